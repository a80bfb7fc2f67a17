//! A line on plan that has a width: what stands in the way of cables.

use super::{Edge, Position};

/// A straight strip on plan, a little longer than its line at each end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    from: Position,
    /// Its direction, of length 1.
    direction: (f64, f64),
    length: f64,
    half: f64,
    beyond: f64,
}

impl Strip {
    /// So wide on each side of a line, and so much longer at each of its ends.
    #[must_use]
    pub fn round(line: Edge, half: f64, beyond: f64) -> Self {
        let length = line.length();
        let by = length.max(f64::MIN_POSITIVE);
        let direction = ((line.to.x_m - line.from.x_m) / by, (line.to.y_m - line.from.y_m) / by);
        Self { from: line.from, direction, length, half, beyond }
    }

    /// The length of its line.
    #[must_use]
    pub const fn length(&self) -> f64 {
        self.length
    }

    /// Half of its width.
    #[must_use]
    pub const fn half(&self) -> f64 {
        self.half
    }

    /// Its direction, of length 1.
    #[must_use]
    pub const fn direction(&self) -> (f64, f64) {
        self.direction
    }

    /// Metres along its line from the first end, and metres off it, to the left if positive.
    #[must_use]
    pub fn local(&self, at: Position) -> (f64, f64) {
        let (dx, dy) = (at.x_m - self.from.x_m, at.y_m - self.from.y_m);
        let (ux, uy) = self.direction;
        (dx * ux + dy * uy, dy * ux - dx * uy)
    }

    /// The place so far along its line and so far off it.
    #[must_use]
    pub fn at(&self, along: f64, off: f64) -> Position {
        let (ux, uy) = self.direction;
        Position { x_m: self.from.x_m + ux * along - uy * off, y_m: self.from.y_m + uy * along + ux * off }
    }

    /// Whether a place lies in it, its edges left out.
    #[must_use]
    pub fn holds(&self, at: Position) -> bool {
        let (along, off) = self.local(at);
        along > -self.beyond && along < self.length + self.beyond && off.abs() < self.half
    }

    /// Whether a place lies so near to its line, between its ends.
    #[must_use]
    pub fn is_beside(&self, at: Position, off_max: f64) -> bool {
        let (along, off) = self.local(at);
        along > -self.beyond && along < self.length + self.beyond && off.abs() <= off_max
    }

    /// The part of a straight way that lies in it, as shares of the way; none where the way only touches it.
    #[must_use]
    pub fn inside(&self, from: Position, to: Position) -> Option<(f64, f64)> {
        /// Shares closer than this are one.
        const SAME: f64 = 1e-9;
        let (one, other) = (self.local(from), self.local(to));
        let mut part = (0.0_f64, 1.0_f64);
        let sides =
            [(one.0, other.0, -self.beyond, self.length + self.beyond), (one.1, other.1, -self.half, self.half)];
        for (start, end, least, greatest) in sides {
            let change = end - start;
            if change.abs() < SAME {
                if start <= least || start >= greatest {
                    return None;
                }
                continue;
            }
            let (enters, leaves) = ((least - start) / change, (greatest - start) / change);
            part = (part.0.max(enters.min(leaves)), part.1.min(enters.max(leaves)));
        }
        (part.1 - part.0 > SAME).then_some(part)
    }

    /// Its four corners, a little outside of it.
    #[must_use]
    pub fn corners(&self, outside: f64) -> [Position; 4] {
        let (start, end) = (-self.beyond - outside, self.length + self.beyond + outside);
        let off = self.half + outside;
        [self.at(start, off), self.at(end, off), self.at(end, -off), self.at(start, -off)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x_m: f64, y_m: f64) -> Position {
        Position { x_m, y_m }
    }

    #[test]
    fn a_way_across_a_beam_lies_in_it_for_its_width_and_one_beside_it_does_not() {
        let beam = Strip::round(Edge { from: at(0.0, 2.0), to: at(4.0, 2.0) }, 0.1, 0.15);
        let (enters, leaves) = beam.inside(at(1.0, 0.0), at(1.0, 4.0)).expect("it crosses");
        assert!(((leaves - enters) * 4.0 - 0.2).abs() < 1e-9);
        assert_eq!(beam.inside(at(4.2, 0.0), at(4.2, 4.0)), None);
        assert!(beam.inside(at(4.1, 0.0), at(4.1, 4.0)).is_some(), "the bearing is part of it");
        assert_eq!(beam.inside(at(0.0, 2.1), at(4.0, 2.1)), None, "along its face is not in it");
        assert!(beam.holds(at(-0.1, 2.05)) && !beam.holds(at(1.0, 2.1)));
    }
}
