//! Buildings fed from the house.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::vocabulary::{Ground, OutbuildingConstruction, OutbuildingFeed, OutbuildingUse};
use super::{Appliance, Point};
use crate::geometry::{Outline, Position};

/// A building fed from the house.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Outbuilding {
    /// Its identifier.
    #[schema(min_length = 1, max_length = 64, example = "workshop")]
    pub id: String,
    /// Its name on paper.
    #[schema(max_length = 500, example = "Workshop")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What it is used for.
    #[serde(default, rename = "use", skip_serializing_if = "Option::is_none")]
    pub building_use: Option<OutbuildingUse>,
    /// Where it is fed from; the house's board if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fed_from: Option<OutbuildingFeed>,
    /// Length of the buried run, in metres.
    #[schema(minimum = 0, maximum = 1000, example = 22)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run_m: Option<f64>,
    /// The ground that it crosses, if it is all of one kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ground: Option<Ground>,
    /// The stretches of the run, where the ground changes. Instead of `run_m` and `ground`.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stretches: Vec<Stretch>,
    /// The outbuilding from whose board it could be fed onward instead of from the house; the nearest drawn one, or the
    /// only other one, if left out.
    #[schema(min_length = 1, max_length = 64, example = "garage")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub onward_from: Option<String>,
    /// Length of the buried run from that outbuilding, in metres; by the drawn outlines if left out.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 9)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub onward_m: Option<f64>,
    /// The ground of that run; that of its run from the house, at its end, if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub onward_ground: Option<Ground>,
    /// `true` feeds it onward from there, `false` never does. If left out both ways are priced, and the cheaper one that
    /// complies is taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fed_onward: Option<bool>,
    /// How it is made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub construction: Option<OutbuildingConstruction>,
    /// Whether somebody has found out what else is buried on the way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub buried_services_known: Option<bool>,
    /// Its rectangle on plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<Outline>,
    /// Its corners on plan, in order, where it is no rectangle. Instead of `outline`.
    #[schema(max_items = 64)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub corners: Vec<Position>,
    /// What is wanted in it.
    #[schema(max_items = 200)]
    #[serde(default)]
    pub points: Vec<Point>,
    /// What has a plate of its own in it.
    #[schema(max_items = 200)]
    #[serde(default)]
    pub appliances: Vec<Appliance>,
}

/// A stretch of a buried run over one kind of ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Stretch {
    /// The ground.
    pub ground: Ground,
    /// Its length, in metres.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 17)]
    pub length_m: f64,
}
