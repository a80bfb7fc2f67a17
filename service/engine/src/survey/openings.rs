//! Doors and windows in the walls of a room.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use wiring::closed_list;

use crate::geometry::WallSide;

closed_list! {
    /// What closes an opening in a wall.
    WallOpeningKind {
        Door = "door": "A door, from the floor up.",
        Window = "window": "A window.",
    }
}

closed_list! {
    /// What the builder does with an opening: the survey is of the house as it will be.
    WallOpeningChange {
        BlockedUp = "blocked-up": "It is there now and is walled up: the wall is whole.",
        New = "new": "It is not there yet.",
    }
}

/// A door or a window in a wall of a room. No cable is chased across it from floor to ceiling; over its head or under its
/// sill one may go where they are known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WallOpening {
    /// A door or a window.
    pub kind: WallOpeningKind,
    /// The side of the room on whose wall it is.
    pub wall: WallSide,
    /// Metres along that wall to its nearer end: from the left end of a front or back wall, from the front end of a side
    /// wall.
    #[schema(minimum = 0, maximum = 1000, example = 0.4)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_m: Option<f64>,
    /// The same by the name that points use. Instead of `from_m`.
    #[schema(minimum = 0, maximum = 1000, example = 0.4)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_m: Option<f64>,
    /// How wide it is, in metres.
    #[schema(exclusive_minimum = 0, maximum = 100, example = 0.8)]
    pub width_m: f64,
    /// Its lower edge above the floor, in metres; that of a door is the floor, that of a window is asked about.
    #[schema(minimum = 0, maximum = 20, example = 0.9)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sill_m: Option<f64>,
    /// Its upper edge above the floor, in metres; asked about if left out, or where it is above the ceiling.
    #[schema(exclusive_minimum = 0, maximum = 20, example = 2.0)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head_m: Option<f64>,
    /// What the builder does with it; nothing if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub change: Option<WallOpeningChange>,
}

impl WallOpening {
    /// Metres along its wall to its nearer end, by whichever name it was given.
    #[must_use]
    pub fn begins_m(&self) -> Option<f64> {
        self.from_m.or(self.along_m)
    }
}
