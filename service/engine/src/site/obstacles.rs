//! What was recorded to stand in the way, as strips on plan: things with a width, which bear on walls at their ends.

use crate::geometry::{Edge, Strip};
use crate::survey::{Obstruction, ObstructionType, Position};

/// Width of a beam, a lintel or a wall where nobody measured it. Common practice, no source.
pub const USUAL_WIDTH_M: f64 = 0.15;
/// How far a beam reaches below the ceiling where nobody measured it. Common practice, no source.
pub const USUAL_DEPTH_M: f64 = 0.12;
/// What a beam or a lintel bears on at each end. Source: 150 mm is the usual least bearing of a lintel, from memory.
pub const BEARING_M: f64 = 0.15;
/// A cable keeps so far from it. Common practice, no source.
pub const CLEAR_M: f64 = 0.025;
/// A place on a face so far from the line of a wall is on that wall: a thick one drawn by its middle. From memory.
pub const FACE_OFF_M_MAX: f64 = 0.35;

/// Something recorded that stands in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Obstacle {
    /// What.
    pub what: ObstructionType,
    /// Its entry among the obstructions of the site.
    pub entry: usize,
}

impl Obstacle {
    /// A door or a window, which is no entry of the obstructions.
    pub const OPENING: Self = Self { what: ObstructionType::Other, entry: usize::MAX };

    /// Whether it holds the house up.
    #[must_use]
    pub const fn must_not_be_cut(self) -> bool {
        must_not_be_cut(self.what)
    }
}

/// Whether it holds the house up.
#[must_use]
pub const fn must_not_be_cut(what: ObstructionType) -> bool {
    match what {
        ObstructionType::SteelBeam
        | ObstructionType::ConcreteBeam
        | ObstructionType::ConcreteLintel
        | ObstructionType::StructuralWall
        | ObstructionType::ChimneyBreast => true,
        ObstructionType::Pipework | ObstructionType::Noggins | ObstructionType::KeptUnits | ObstructionType::Other => {
            false
        }
    }
}

/// What an obstacle takes up on plan, with what is kept clear of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Footprint {
    /// The obstacle.
    pub obstacle: Obstacle,
    /// Its strip.
    pub strip: Strip,
}

impl Footprint {
    /// Of an obstruction by its entry in the list.
    #[must_use]
    pub fn of(entry: usize, recorded: &Obstruction) -> Self {
        let what = recorded.obstruction_type;
        let half = recorded.width_m.unwrap_or(USUAL_WIDTH_M) / 2.0 + CLEAR_M;
        let beyond = if bears(what) { BEARING_M } else { 0.0 } + CLEAR_M;
        let line = Edge { from: recorded.from, to: recorded.to };
        Self { obstacle: Obstacle { what, entry }, strip: Strip::round(line, half, beyond) }
    }

    /// Whether it comes as near as a wall to the rectangle between two places.
    #[must_use]
    pub fn is_near(&self, least: Position, greatest: Position) -> bool {
        let corners = self.strip.corners(FACE_OFF_M_MAX);
        let span = |of: fn(&Position) -> f64| {
            let all = || corners.iter().map(of);
            (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max))
        };
        let (across, deep) = (span(|place| place.x_m), span(|place| place.y_m));
        across.0 <= greatest.x_m && across.1 >= least.x_m && deep.0 <= greatest.y_m && deep.1 >= least.y_m
    }

    /// Whether a place on a wall of a room is in it: within its strip, or so far off its line on the face of the wall that
    /// it stands in.
    #[must_use]
    pub fn is_in_the_wall(&self, wall: Option<Edge>, at: Position, off_max: f64) -> bool {
        is_in_the_wall(&self.strip, wall, at, off_max)
    }

    /// Whether it is a beam or a lintel, which bears on walls and has nothing under it.
    #[must_use]
    pub const fn is_a_beam(&self) -> bool {
        bears(self.obstacle.what)
    }
}

/// Whether a place on a wall is in a strip, or so far off its line on the face of the wall that it stands in.
pub(super) fn is_in_the_wall(strip: &Strip, wall: Option<Edge>, at: Position, off_max: f64) -> bool {
    /// Askew by more than this it is no part of the wall.
    const ALONG: f64 = 0.95;
    let (ux, uy) = strip.direction();
    let is_along = |wall: Edge| {
        let length = wall.length().max(f64::MIN_POSITIVE);
        let (dx, dy) = (wall.to.x_m - wall.from.x_m, wall.to.y_m - wall.from.y_m);
        ((ux * dx + uy * dy) / length).abs() > ALONG
    };
    strip.holds(at) || strip.is_beside(at, off_max) && wall.is_some_and(is_along)
}

const fn bears(what: ObstructionType) -> bool {
    matches!(what, ObstructionType::SteelBeam | ObstructionType::ConcreteBeam | ObstructionType::ConcreteLintel)
}
