//! Doors and windows as they will be: where a cable can go up or down a wall past them.

use super::obstacles::{CLEAR_M, FACE_OFF_M_MAX, is_in_the_wall};
use crate::geometry::{Edge, Shape, Strip};
use crate::survey::{Position, WallOpening, WallOpeningChange, WallOpeningKind};

/// A box stands so far from a frame. Common practice, no source.
const BESIDE_M: f64 = 0.08;

/// A door or a window in a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallOpeningPlan {
    /// A door or a window.
    pub kind: WallOpeningKind,
    /// On plan.
    pub line: Edge,
    /// Its lower edge above the floor, if it is known.
    pub sill: Option<f64>,
    /// Its upper edge above the floor, if it is known and below the ceiling.
    pub head: Option<f64>,
}

impl WallOpeningPlan {
    /// Those of a drawn room.
    #[must_use]
    pub fn all(recorded: &[WallOpening], outline: Option<&Shape>, height: f64) -> Vec<Self> {
        let Some(outline) = outline else { return Vec::new() };
        recorded.iter().filter_map(|opening| Self::of(opening, outline, height)).collect()
    }

    /// In a wall of a room that is so high; none where it is walled up, or where the wall is not drawn.
    #[must_use]
    pub fn of(recorded: &WallOpening, outline: &Shape, height: f64) -> Option<Self> {
        if recorded.change == Some(WallOpeningChange::BlockedUp) {
            return None;
        }
        let long = outline.side_length(recorded.wall);
        let begins = recorded.begins_m()?;
        let ends = [begins, begins + recorded.width_m].map(|along| outline.on_side(recorded.wall, along.min(long)));
        let [Some(from), Some(to)] = ends else { return None };
        let floor = (recorded.kind == WallOpeningKind::Door).then_some(0.0);
        let sill = recorded.sill_m.or(floor);
        let head = recorded.head_m.filter(|head| *head <= height);
        Some(Self { kind: recorded.kind, line: Edge { from, to }, sill, head })
    }

    /// Whether nobody knows what is over or under it.
    #[must_use]
    pub const fn is_doubtful(&self) -> bool {
        self.sill.is_none() || self.head.is_none()
    }

    /// What it takes up on plan, with what is kept clear of it.
    #[must_use]
    pub fn strip(&self) -> Strip {
        Strip::round(self.line, CLEAR_M, BESIDE_M)
    }

    /// Whether a place on a wall is in it, from either side.
    #[must_use]
    pub fn is_at(&self, wall: Option<Edge>, at: Position) -> bool {
        is_in_the_wall(&self.strip(), wall, at, FACE_OFF_M_MAX)
    }

    /// Whether a cable from the floor up to a height would have to cross it.
    #[must_use]
    pub fn stops_a_rise(&self, height: f64) -> bool {
        self.sill.is_none_or(|sill| height > sill)
    }

    /// Whether a cable from the ceiling down to a height would have to cross it.
    #[must_use]
    pub fn stops_a_drop(&self, height: f64) -> bool {
        self.head.is_none_or(|head| height < head)
    }

    /// Whether nothing can stand at this height in it.
    #[must_use]
    pub fn holds_no_box(&self, height: f64) -> bool {
        self.stops_a_rise(height) && self.stops_a_drop(height)
    }
}
