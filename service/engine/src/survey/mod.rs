//! What was recorded on the walk round, as it came. Anything may be left out: an absent field is *unknown*, which
//! is answered later by a stated assumption, never by a silent default.
//!
//! In: a JSON document or a CSV tally. Out: an [`EstimateRequest`] whose every fault has been reported at once.
//! This module never fills a gap.

mod circuits;
pub mod rules;
pub mod tally;
pub mod vocabulary;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

pub use crate::geometry::{Outline, Position, WallSide};
pub use circuits::*;
pub use vocabulary::*;

use crate::document::{Contract, Unreadable};

/// A survey and how to price it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EstimateRequest {
    /// What was recorded.
    pub survey: Survey,
    /// The rate sheet to price with; the newest version of `standard` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_sheet: Option<RateSheetReference>,
    /// `measured` if left out. The other method comes back in `cross_check`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub method: Option<Method>,
    /// Tax, confidence, and the visit that the job is done on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terms: Option<Terms>,
}

/// A rate sheet by name and version.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RateSheetReference {
    /// The sheet's name.
    #[schema(min_length = 1, max_length = 64, pattern = "^[a-z0-9][a-z0-9-]*$", example = "standard")]
    pub name: String,
    /// The version; the newest if left out.
    #[schema(minimum = 1, maximum = 1000000, example = 1)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub version: Option<u32>,
}

/// Tax, confidence, and the visit that a job is done on.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Terms {
    /// The tax case of the job; that of the rate sheet if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vat: Option<VatCase>,
    /// What falls under another case: jobs are mixed. The first that covers a line decides; lines of the whole house are
    /// shared out as the others.
    #[schema(max_items = 50)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub vat_exceptions: Vec<VatException>,
    /// How sure the price should be of covering the cost: 0.8 puts the contingency at the eightieth percentile. Left out:
    /// 0.8, and 0.9 while two or more `stop` flags are open.
    #[schema(minimum = 0.5, maximum = 0.99, example = 0.8)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub confidence: Option<f64>,
    /// The visit that this job is done on, where another job pays for getting there. Left out: the job pays its own way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub visit: Option<Visit>,
}

/// A visit that another job pays for. Travel, parking, setting up, the evenings and the way to the merchant's counter are
/// that job's for so many days; what this job takes beyond them it pays itself. The firm's minimum charge is that job's too.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Visit {
    /// The firm's reference of the job that pays for it.
    #[schema(min_length = 1, max_length = 500, example = "J-1041")]
    pub paid_by: String,
    /// Days of the crew that it pays for and that have room for this job; one if left out.
    #[schema(minimum = 0.5, maximum = 365, example = 1)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub days: Option<f64>,
    /// Rooms that it has cleared, protected and scanned: here every point is a further one.
    #[schema(max_items = 200, example = json!(["hall"]))]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rooms: Vec<String>,
}

impl Visit {
    /// Days of the crew that the other job pays for.
    #[must_use]
    pub fn days_paid(&self) -> f64 {
        self.days.unwrap_or(1.0)
    }

    /// Whether the other job has cleared, protected and scanned this room.
    #[must_use]
    pub fn has_begun(&self, room: &str) -> bool {
        self.rooms.iter().any(|begun| begun == room)
    }
}

/// What falls under a tax case of its own: a room, a kind of point, or one kind of point in one room.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VatException {
    /// The case.
    pub case: VatCase,
    /// The room or outbuilding.
    #[schema(min_length = 1, max_length = 64, example = "workshop")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// The kind of point, with the circuits that serve nothing else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub point: Option<PointType>,
}

/// What was recorded of the house and of what is wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Survey {
    /// The firm's own reference.
    #[schema(max_length = 500, example = "J-1042")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    /// A remark that is kept with the survey. It changes no figure.
    #[schema(max_length = 500)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The house as a whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site: Option<SiteRecord>,
    /// The rooms with what is wanted in each.
    #[schema(min_items = 1, max_items = 2000)]
    pub rooms: Vec<Room>,
    /// What stands in the way of cables.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub obstructions: Vec<Obstruction>,
    /// Where the supply comes in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub intake: Option<Intake>,
    /// Where the board is to stand, and the one that is there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub consumer_unit: Option<ConsumerUnit>,
    /// Gas, water, oil and steel that may need bonding. Left out: unknown. Empty: looked for and none there.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub services: Option<Vec<Service>>,
    /// Buildings fed from the house.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outbuildings: Vec<Outbuilding>,
    /// The incoming supply.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supply: Option<Supply>,
    /// The installation that is there now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub existing: Option<Existing>,
    /// What may come later.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub future: Vec<Future>,
    /// What the client prefers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub preferences: Option<Preferences>,
    /// Circuits that a designer has fixed, and those that are there now and stay: kept and checked, never replaced. The
    /// rest is designed round them.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub circuits: Vec<GivenCircuit>,
}

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
    /// Where it stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Position>,
    /// A remark that is kept with the survey. It changes no figure.
    #[schema(max_length = 500)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What stands in the way of cables, as a line on plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Obstruction {
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
    /// The ways that it closes.
    #[schema(max_items = 18)]
    #[serde(default)]
    pub blocks: Vec<Medium>,
    /// Whether somebody has lifted a board and looked: what it blocks is then taken as seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub looked_at: Option<bool>,
}

/// Where the supply comes in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Intake {
    /// The room.
    #[schema(min_length = 1, max_length = 64, example = "hall")]
    pub room: String,
    /// The place in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Position>,
    /// The side of the room on whose wall it comes in, where that was measured instead of the place. With `along_m`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<WallSide>,
    /// Metres along that wall: from the left end of a front or back wall, from the front end of a side wall.
    #[schema(minimum = 0, maximum = 1000, example = 1.2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_m: Option<f64>,
}

/// Where the board is to stand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ConsumerUnit {
    /// The room.
    #[schema(min_length = 1, max_length = 64, example = "utility")]
    pub room: String,
    /// The place in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Position>,
    /// Its middle above the floor, in metres.
    #[schema(minimum = 0, maximum = 20, example = 1.4)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// The side of the room on whose wall it hangs, where that was measured instead of the place. With `along_m`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<WallSide>,
    /// Metres along that wall: from the left end of a front or back wall, from the front end of a side wall.
    #[schema(minimum = 0, maximum = 1000, example = 1.2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_m: Option<f64>,
    /// The board that is there now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub existing: Option<ExistingBoard>,
}

/// The board that is there now.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ExistingBoard {
    /// The room.
    #[schema(min_length = 1, max_length = 64, example = "cellar")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// The place in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Position>,
    /// Its state.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub condition: Option<BoardCondition>,
    /// Whether it is fixed to a board that may hold asbestos.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backing_board_suspect: Option<bool>,
}

/// A service that enters the house.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Service {
    /// The kind.
    #[serde(rename = "type")]
    pub service_type: ServiceType,
    /// The room where it comes in.
    #[schema(min_length = 1, max_length = 64, example = "garage")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// The place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Position>,
    /// The side of the room on whose wall it comes in, where that was measured instead of the place. With `along_m`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<WallSide>,
    /// Metres along that wall: from the left end of a front or back wall, from the front end of a side wall.
    #[schema(minimum = 0, maximum = 1000, example = 1.2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_m: Option<f64>,
    /// What its pipe is made of where it comes in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub entry_material: Option<EntryMaterial>,
    /// Size of the bonding conductor that is there now, in mm2; 0 where there is none.
    #[schema(minimum = 0, maximum = 100, example = 4)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bonded_mm2: Option<f64>,
}

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

/// The incoming supply.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Supply {
    /// Nominal voltage to earth, in volts.
    #[schema(minimum = 100, maximum = 400, example = 230)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub voltage_v: Option<f64>,
    /// Phases.
    #[schema(minimum = 1, maximum = 3, example = 1)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub phases: Option<u8>,
    /// How it is earthed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub earthing: Option<Earthing>,
    /// Earth fault loop impedance outside the house, in ohms.
    #[schema(minimum = 0, maximum = 2000, example = 0.3)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ze_ohm: Option<f64>,
    /// Rating of the cut-out fuse, in amps.
    #[schema(minimum = 20, maximum = 400, example = 80)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut_out_a: Option<f64>,
    /// Prospective fault current at the origin, in kiloamps.
    #[schema(exclusive_minimum = 0, maximum = 50, example = 1.6)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fault_current_ka: Option<f64>,
    /// Whether the supply is looped from a neighbour's cut-out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub looped: Option<bool>,
    /// Whether there is an isolator after the meter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub isolator_after_meter: Option<bool>,
}

/// The installation that is there now.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Existing {
    /// The oldest cable that was seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cable_era: Option<CableEra>,
    /// Points to be taken off; the number of new points if left out and there is an installation.
    #[schema(minimum = 0, maximum = 10000, example = 60)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub points_to_strip: Option<u32>,
    /// Old cable, conduit and trunking on the surface to be taken off, in metres; none if left out.
    #[schema(minimum = 0, maximum = 10000, example = 25)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface_wiring_m: Option<f64>,
    /// Old storage heaters to be taken out; none if left out.
    #[schema(minimum = 0, maximum = 100, example = 4)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub storage_heaters: Option<u32>,
    /// Whether a borrowed neutral is suspected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub borrowed_neutral: Option<bool>,
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
    /// Whether the firm fills chases and round boxes; it does if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub making_good: Option<bool>,
}

/// The contract of a survey, compiled once.
pub type SurveyContract = Contract<EstimateRequest>;

/// Reads a survey: against the contract first, then against the rules that no schema can say.
///
/// # Errors
/// Every fault at once, with a JSON Pointer each.
pub fn read(contract: &SurveyContract, bytes: &[u8]) -> Result<EstimateRequest, Unreadable> {
    let request = contract.read(bytes)?;
    let faults = rules::faults(&request);
    if faults.is_empty() { Ok(request) } else { Err(Unreadable::Faults(faults)) }
}
