//! What the client wants, now and later.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::vocabulary::{
    AlarmCategory, ApplianceType, BoardKind, Finish, FutureType, NeutralLoop, PointType, Priority, SuppliedBy,
};
use crate::geometry::{Position, WallSide};

/// One kind of point wanted in a room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// The kind.
    #[serde(rename = "type")]
    pub point_type: PointType,
    /// How many; one if left out.
    #[schema(minimum = 0, maximum = 10000, example = 5)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// Where it stands, if it was marked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Position>,
    /// The side of the room on whose wall it stands, where that was measured instead of the place. With `along_m`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<WallSide>,
    /// Metres along that wall: from the left end of a front or back wall, from the front end of a side wall.
    #[schema(minimum = 0, maximum = 1000, example = 1.2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_m: Option<f64>,
    /// Its centre above the floor, in metres.
    #[schema(minimum = 0, maximum = 20, example = 0.45)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// Gangs of a switch; one if left out.
    #[schema(minimum = 1, maximum = 4, example = 2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gangs: Option<u8>,
    /// Length of a strip light, in metres.
    #[schema(exclusive_minimum = 0, maximum = 100, example = 3)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<f64>,
    /// Its look; the preference of the survey if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finish: Option<Finish>,
    /// Who buys it; the firm if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supplied_by: Option<SuppliedBy>,
    /// Weight of a fitting, in kilograms.
    #[schema(minimum = 0, maximum = 500, example = 9)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weight_kg: Option<f64>,
    /// How much it is wanted; `want` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub priority: Option<Priority>,
    /// Whether it is there now and stays: it is not priced, and what is added is taken from the nearest that stays.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stays: Option<bool>,
    /// Whether an existing flush box is used again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub existing_reuse: Option<bool>,
    /// A remark that is kept with the survey. It changes no figure.
    #[schema(max_length = 500)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A thing with a plate of its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Appliance {
    /// The kind.
    #[serde(rename = "type")]
    pub appliance_type: ApplianceType,
    /// Its load, in kilowatts; the upper side of what is usual if left out.
    #[schema(exclusive_minimum = 0, maximum = 100, example = 3.2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load_kw: Option<f64>,
    /// How many; one if left out.
    #[schema(minimum = 0, maximum = 10000, example = 1)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// Phases that it takes, 1 or 3; one if left out. Its load is that of all of them together.
    #[schema(minimum = 1, maximum = 3, example = 3)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub phases: Option<u8>,
    /// Where it stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Position>,
    /// A remark that is kept with the survey. It changes no figure.
    #[schema(max_length = 500)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What may come later.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Future {
    /// The kind.
    #[serde(rename = "type")]
    pub future_type: FutureType,
    /// The room that it will be in or against, where that is known: a draw-in run for it ends there.
    #[schema(min_length = 1, max_length = 64, example = "garage")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// The place on plan, inside the house or beside it: a draw-in run ends on the outside wall nearest to it, or in the
    /// room that was named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Position>,
    /// Its load, in kilowatts.
    #[schema(exclusive_minimum = 0, maximum = 100, example = 7.4)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load_kw: Option<f64>,
    /// A remark that is kept with the survey. It changes no figure.
    #[schema(max_length = 500)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What the client prefers.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Preferences {
    /// Finish of every point that does not say otherwise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finish: Option<Finish>,
    /// How the circuits of the board are protected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub board: Option<BoardKind>,
    /// Where the neutral of lighting circuits is looped on; at the ceiling if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub neutral_looped_at: Option<NeutralLoop>,
    /// The alarm category wanted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alarms: Option<AlarmCategory>,
    /// Whether the owner has declined surge protection in writing (BS 7671 443.4.1); it is fitted if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surge_declined: Option<bool>,
    /// Whether the firm fills chases and round boxes; it does if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub making_good: Option<bool>,
}
