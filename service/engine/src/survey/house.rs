//! The house as it was found: storeys, rooms, what they are made of, what stands in the way.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::vocabulary::{
    Above, Below, Boards, CeilingConstruction, Dwelling, FloorConstruction, FloorCovering, Insulation, JoistDirection,
    Medium, Nation, ObstructionType, Occupancy, Parking, RoomUse, Tenure, Wall,
};
use super::{Appliance, Point, WallOpening};
use crate::geometry::{Outline, Position, WallSide};

/// The house as a whole.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SiteRecord {
    /// The kind of dwelling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dwelling: Option<Dwelling>,
    /// The year in which it was built, as near as is known.
    #[schema(minimum = 1500, maximum = 2100, example = 1934)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub built_year: Option<u16>,
    /// The nation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nation: Option<Nation>,
    /// How the client holds it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tenure: Option<Tenure>,
    /// Whether it is protected as a listed building.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub listed: Option<bool>,
    /// Occupancy of every room that does not say otherwise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub occupancy: Option<Occupancy>,
    /// Wall of every room that does not say otherwise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<Wall>,
    /// Distance from the firm, one way.
    #[schema(minimum = 0, maximum = 1000, example = 12)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance_km: Option<f64>,
    /// Where the van stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub parking: Option<Parking>,
    /// Sides on which it adjoins a neighbour, seen from the front.
    #[schema(max_items = 3)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub party_walls: Vec<WallSide>,
    /// Whether somebody in the house depends on power or clean air for their health, or is under two years old.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vulnerable_person: Option<bool>,
    /// The storeys, lowest first or in any order.
    #[schema(max_items = 40)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub storeys: Vec<Storey>,
}

/// One storey.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Storey {
    /// Its identifier.
    #[schema(min_length = 1, max_length = 64, example = "ground")]
    pub id: String,
    /// 0 is the ground, -1 a cellar, 1 the first floor.
    #[schema(minimum = -5, maximum = 40, example = 0)]
    pub level: i8,
    /// Floor to ceiling, in metres.
    #[schema(minimum = 1.0, maximum = 20, example = 2.5)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// What is over its rooms where none of the dwelling's own is; taken from the dwelling if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub above: Option<Above>,
    /// What is under its rooms where none of the dwelling's own is; taken from the dwelling if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub below: Option<Below>,
}

/// One room, or the outside of the house.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Room {
    /// Its identifier.
    #[schema(min_length = 1, max_length = 64, example = "kitchen")]
    pub id: String,
    /// Its name on paper; the identifier if left out.
    #[schema(max_length = 500, example = "Kitchen")]
    #[serde(default, rename = "name", skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What it is used for; read from the identifier if left out.
    #[serde(default, rename = "use", skip_serializing_if = "Option::is_none")]
    pub room_use: Option<RoomUse>,
    /// The storey that it is on.
    #[schema(min_length = 1, max_length = 64, example = "ground")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub storey: Option<String>,
    /// Its rectangle on plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<Outline>,
    /// Its corners on plan, in order round the room, where it is no rectangle. Instead of `outline`.
    #[schema(max_items = 64)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub corners: Vec<Position>,
    /// Floor to ceiling where it differs from the storey's, in metres.
    #[schema(minimum = 0.3, maximum = 20, example = 2.4)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// What is over it where no own room is; that of the storey if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub above: Option<Above>,
    /// What is under it where no own room is; that of the storey if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub below: Option<Below>,
    /// The floor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor: Option<Floor>,
    /// The ceiling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ceiling: Option<Ceiling>,
    /// What most of its walls are made of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<Wall>,
    /// What is in the hollow of those walls to keep the heat, where somebody looked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall_insulation: Option<Insulation>,
    /// Whether the walls that take boxes are tiled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tiled: Option<bool>,
    /// How full it is while we work.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub occupancy: Option<Occupancy>,
    /// Whether cables may be seen here, clipped or in trunking.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface_wiring: Option<bool>,
    /// In a kitchen: whether the fitted units stay while we work.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub units_stay: Option<bool>,
    /// Whether something in it burns gas, oil or solid fuel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub combustion_appliance: Option<bool>,
    /// Doors and windows in its walls. One between two rooms may be recorded in either.
    #[schema(max_items = 40)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub openings: Vec<WallOpening>,
    /// Its baths and shower trays on plan; the zones of the room are measured from them.
    #[schema(max_items = 20)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub baths: Vec<Outline>,
    /// What is wanted.
    #[schema(max_items = 200)]
    #[serde(default)]
    pub points: Vec<Point>,
    /// What has a plate of its own.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub appliances: Vec<Appliance>,
}

/// A floor.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Floor {
    /// How it is made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub construction: Option<FloorConstruction>,
    /// What lies on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub covering: Option<FloorCovering>,
    /// Clear height of the crawl space below, in metres.
    #[schema(minimum = 0, maximum = 5, example = 0.35)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crawl_space_m: Option<f64>,
    /// Which way its joists run; half of an opened line is taken across them if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joists: Option<JoistDirection>,
    /// Depth of its joists, in millimetres.
    #[schema(minimum = 50, maximum = 500, example = 175)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joist_depth_mm: Option<f64>,
    /// How its boards meet; square-edged if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boards: Option<Boards>,
    /// Whether its joists were seen to be notched or drilled already.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joists_notched: Option<bool>,
}

/// A ceiling.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Ceiling {
    /// What it is made of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub construction: Option<CeilingConstruction>,
    /// Whether it has a textured coating.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub textured: Option<bool>,
    /// Whether a sample of the coating was found free of asbestos.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub coating_clear: Option<bool>,
    /// Insulation above it, in millimetres.
    #[schema(minimum = 0, maximum = 2000, example = 150)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insulation_mm: Option<f64>,
    /// Layers that the insulation lies in, one if left out. Between two a cable is wholly surrounded (BS 7671 523.9).
    #[schema(minimum = 1, maximum = 2, example = 2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insulation_layers: Option<u8>,
    /// What that insulation is made of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insulation: Option<Insulation>,
    /// Whether it is a fire line that every hole must keep.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fire_line: Option<bool>,
    /// Whether somebody has found a way into the roof void above it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub void_reached: Option<bool>,
}

/// What stands in the way of cables, as a line on plan with a width. No cable runs along it or down through it; over or
/// under it one goes only by a crossing that its route names.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Obstruction {
    /// Its identifier, by which routes name it; they name it by its kind if left out.
    #[schema(min_length = 1, max_length = 64, example = "dining-steel")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// The kind.
    #[serde(rename = "type")]
    pub obstruction_type: ObstructionType,
    /// The storey that it is on.
    #[schema(min_length = 1, max_length = 64, example = "ground")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub storey: Option<String>,
    /// One end.
    pub from: Position,
    /// The other end.
    pub to: Position,
    /// How wide it is on plan, in metres, half of it on either side of the line; 0.15 if left out.
    #[schema(exclusive_minimum = 0, maximum = 5, example = 0.15)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width_m: Option<f64>,
    /// How far a beam or a lintel reaches below the ceiling, in metres; 0.12 if left out.
    #[schema(minimum = 0, maximum = 5, example = 0.25)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_m: Option<f64>,
    /// The ways that it closes.
    #[schema(max_items = 18)]
    #[serde(default)]
    pub blocks: Vec<Medium>,
    /// Whether somebody has lifted a board and looked: what it blocks is then taken as seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub looked_at: Option<bool>,
}
