//! Places and areas on a sheet, in millimetres from its upper left corner.

/// A place on the sheet, from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct At {
    pub(super) x: f64,
    pub(super) y: f64,
}

pub(super) const fn at(x: f64, y: f64) -> At {
    At { x, y }
}

impl At {
    pub(super) fn moved(self, x: f64, y: f64) -> Self {
        at(self.x + x, self.y + y)
    }
}

/// An upright rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) width: f64,
    pub(super) height: f64,
}

impl Area {
    pub(super) fn around(middle: At, width: f64, height: f64) -> Self {
        Self { left: middle.x - width / 2.0, top: middle.y - height / 2.0, width, height }
    }

    pub(super) fn right(&self) -> f64 {
        self.left + self.width
    }

    pub(super) fn bottom(&self) -> f64 {
        self.top + self.height
    }

    pub(super) fn middle(&self) -> At {
        at(self.left + self.width / 2.0, self.top + self.height / 2.0)
    }

    pub(super) fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right() && other.left < self.right() && self.top < other.bottom() && other.top < self.bottom()
    }

    pub(super) fn holds(&self, other: &Self) -> bool {
        self.left <= other.left
            && self.top <= other.top
            && other.right() <= self.right()
            && other.bottom() <= self.bottom()
    }
}
