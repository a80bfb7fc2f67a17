//! Places on plan and the outlines between them, in metres: no survey, no house.

mod outlines;
mod shape;
mod strip;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use wiring::closed_list;

pub(crate) use outlines::OutlineTree;
pub use shape::{Edge, OnWall, Shape, TOUCHING_M, between, straight, to_the_millimetre};
pub use strip::Strip;

use crate::quantities::Metres;

/// A rectangle on plan: one origin for the whole house at its left front corner, x along the front, y to the back.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Outline {
    /// Left edge, in metres.
    #[schema(minimum = -1000, maximum = 1000, example = 0)]
    pub x_m: f64,
    /// Front edge, in metres.
    #[schema(minimum = -1000, maximum = 1000, example = 0)]
    pub y_m: f64,
    /// Along the front, in metres.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 4.2)]
    pub width_m: f64,
    /// To the back, in metres.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 3.1)]
    pub depth_m: f64,
}

/// A place on plan, in the house's own coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// Along the front, in metres.
    #[schema(minimum = -1000, maximum = 1000, example = 1.0)]
    pub x_m: f64,
    /// To the back, in metres.
    #[schema(minimum = -1000, maximum = 1000, example = 0)]
    pub y_m: f64,
}

closed_list! {
    /// A side of a room, seen on plan with the front of the house at the bottom.
    WallSide {
        Front = "front": "Towards the front of the house.",
        Back = "back": "Towards the back.",
        Left = "left": "On the left, seen from the front.",
        Right = "right": "On the right, seen from the front.",
    }
}

/// A point marked so far off a wall, in it or beyond it stands on it. Common practice, no source.
pub const OFF_ITS_WALL_M_MAX: f64 = 0.3;

/// Distance along the building's axes.
#[must_use]
pub fn axis_distance(from: Position, to: Position) -> Metres {
    Metres::new((from.x_m - to.x_m).abs() + (from.y_m - to.y_m).abs())
}
