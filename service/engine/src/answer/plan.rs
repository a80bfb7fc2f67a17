//! The house as it was drawn, for drawings: rooms, points with their places, what stands in the way.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::survey::vocabulary::{Medium, ObstructionType, PointType, RoomUse, ServiceType};

/// The house on plan, one origin for all storeys: x along the front, y to the back, metres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Plan {
    /// The storeys that have a drawn room, lowest first.
    pub storeys: Vec<PlanStorey>,
}

/// One storey on plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanStorey {
    /// Its identifier, as the survey has it; a usual word or `level-<n>` where it lists no storeys.
    #[schema(example = "ground")]
    pub id: String,
    /// Its name on paper.
    #[schema(example = "Ground")]
    pub name: String,
    /// 0 is the ground, -1 a cellar, 1 the first floor.
    pub level: i8,
    /// The drawn rooms, and the insides of drawn outbuildings on level 0.
    pub rooms: Vec<PlanRoom>,
    /// Every single point in a drawn room, and those outside on the outside wall.
    pub points: Vec<PlanPoint>,
    /// What stands in the way of cables.
    pub obstructions: Vec<PlanObstruction>,
    /// The board, if it stands on this storey and its place is known.
    pub board: Option<PlanPlace>,
    /// The boards of drawn outbuildings; empty in older estimates.
    #[serde(default)]
    pub sub_boards: Vec<PlanPlace>,
    /// Where the supply comes in, if it does so on this storey and the place is known.
    pub intake: Option<PlanPlace>,
    /// Services whose place is known.
    pub services: Vec<PlanService>,
}

/// A room on plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanRoom {
    /// Its identifier.
    #[schema(example = "kitchen")]
    pub id: String,
    /// Its name on paper.
    #[schema(example = "Kitchen")]
    pub name: String,
    /// What it is used for.
    #[serde(rename = "use")]
    pub room_use: RoomUse,
    /// Its corners in order; the last one is not the first one again.
    pub corners: Vec<PlanPlace>,
    /// Whether it lies outside the house: a drawn piece of garden, or an outbuilding.
    pub outside: bool,
}

/// One point on plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanPoint {
    /// The room.
    pub room: String,
    /// The kind.
    #[serde(rename = "type")]
    pub point_type: PointType,
    /// Where it stands.
    pub at: PlanPlace,
    /// Its centre above the floor, in metres.
    pub height_m: f64,
    /// The circuit that feeds it; absent for signal wiring.
    #[schema(example = "1")]
    pub circuit: Option<String>,
    /// Whether somebody marked the place, or it was spread by the stated rule.
    pub placed: Placed,
}

/// How a point came by its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Placed {
    /// As the survey marks it.
    AsMarked,
    /// Spread along the walls, or over the ceiling, by the stated rule.
    SpreadByRule,
}

/// What stands in the way of cables, as a line on plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanObstruction {
    /// The kind.
    #[serde(rename = "type")]
    pub obstruction_type: ObstructionType,
    /// One end.
    pub from: PlanPlace,
    /// The other end.
    pub to: PlanPlace,
    /// The ways that it closes.
    pub blocks: Vec<Medium>,
}

/// A service on plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanService {
    /// The kind.
    #[serde(rename = "type")]
    pub service_type: ServiceType,
    /// Where it comes in.
    pub at: PlanPlace,
}

/// A place on plan, in the house's own coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PlanPlace {
    /// Along the front, in metres.
    pub x_m: f64,
    /// To the back, in metres.
    pub y_m: f64,
}

/// A place along a route.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoutePlace {
    /// The level of the storey; a void counts to the storey below it, the void under the ground floor to level 0.
    pub level: i8,
    /// Along the front, in metres.
    pub x_m: f64,
    /// To the back, in metres.
    pub y_m: f64,
    /// Above the floor of that storey, in metres; below 0 under it.
    pub height_m: f64,
}
