//! The incoming supply as it was taken, for whoever checks the design.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::quantities::{Amps, Kiloamps, Ohms, Volts};
use crate::site::SupplyPlan;
use crate::survey::Earthing;

/// The incoming supply as it was taken: recorded, or assumed and then listed in `assumptions`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SupplyTaken {
    /// Nominal voltage to earth.
    pub voltage_v: Volts,
    /// Phases.
    #[schema(example = 1)]
    pub phases: u8,
    /// How it is earthed.
    pub earthing: Earthing,
    /// Whether somebody found out how it is earthed.
    pub earthing_known: bool,
    /// Earth fault loop impedance outside the house.
    pub ze_ohm: Ohms,
    /// Rating of the cut-out.
    pub cut_out_a: Amps,
    /// Whether somebody read it.
    pub cut_out_read: bool,
    /// Prospective fault current; absent where nobody measured it.
    pub fault_current_ka: Option<Kiloamps>,
    /// Whether it is looped from a neighbour; absent where unknown.
    pub looped: Option<bool>,
    /// Whether there is an isolator after the meter; absent where unknown.
    pub isolator_after_meter: Option<bool>,
}

impl From<&SupplyPlan> for SupplyTaken {
    fn from(supply: &SupplyPlan) -> Self {
        Self {
            voltage_v: supply.voltage,
            phases: supply.phases,
            earthing: supply.earthing,
            earthing_known: supply.earthing_known,
            ze_ohm: supply.ze,
            cut_out_a: supply.cut_out,
            cut_out_read: supply.cut_out_read,
            fault_current_ka: supply.fault_current,
            looped: supply.looped,
            isolator_after_meter: supply.isolator_after_meter,
        }
    }
}
