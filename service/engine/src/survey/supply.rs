//! The supply, the services and the installation that is there now.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::vocabulary::{BoardCondition, CableEra, Earthing, EntryMaterial, PeakSeason, ServiceType};
use crate::geometry::{Position, WallSide};

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

/// Where the cables of data, television and telephone outlets end: at the router, a patch panel or a splitter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SignalHub {
    /// The room.
    #[schema(min_length = 1, max_length = 64, example = "hall")]
    pub room: String,
    /// The place in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Position>,
    /// The side of the room on whose wall it hangs, where that was measured instead of the place. With `along_m`.
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
    /// Ways that it has, used and spare.
    #[schema(minimum = 1, maximum = 100, example = 8)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ways: Option<u32>,
    /// Ways of it that are free and take a device that its maker declares for it (BS 7671 536.4.203, seen).
    #[schema(minimum = 0, maximum = 100, example = 2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ways_spare: Option<u32>,
    /// Residual operating current of what protects its circuits, in milliamps; 0 where nothing does.
    #[schema(minimum = 0, maximum = 1000, example = 30)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub residual_ma: Option<f64>,
    /// Rating of its main switch, in amps.
    #[schema(minimum = 20, maximum = 400, example = 100)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub main_switch_a: Option<f64>,
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
    /// Phases of the cut-out, 1 or 3; as many as `phases` if left out.
    #[schema(minimum = 1, maximum = 3, example = 3)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut_out_phases: Option<u8>,
    /// How it is earthed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub earthing: Option<Earthing>,
    /// Earth fault loop impedance outside the house, in ohms.
    #[schema(minimum = 0, maximum = 2000, example = 0.3)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ze_ohm: Option<f64>,
    /// Rating of the cut-out fuse, in amps; of each phase where there are three.
    #[schema(minimum = 20, maximum = 400, example = 80)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut_out_a: Option<f64>,
    /// A peak of the house's current that was measured, in amps: of each phase the largest. Not over the cut-out.
    #[schema(exclusive_minimum = 0, maximum = 400, example = 34)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured_peak_a: Option<f64>,
    /// When it was measured. Left out, as in summer: what a winter adds is put on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured_in: Option<PeakSeason>,
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
