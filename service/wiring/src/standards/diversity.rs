//! The published allowances for diversity in one dwelling.

use crate::closed_list;
use serde::Deserialize;

use super::provenance::Provenance;
use crate::quantities::Amps;
use crate::table::rows;

closed_list! {
    /// A kind of load, by how its demand is allowed for.
    LoadKind {
        Lighting = "lighting": "Lighting.",
        SpaceHeating = "space-heating": "Direct electric heating, and fixed things not listed here.",
        FloorHeating = "floor-heating": "Electric floor heating.",
        StorageHeating = "storage-heating": "Storage heaters.",
        Cooker = "cooker": "Cooker, oven or hob.",
        Shower = "shower": "Instantaneous shower.",
        InstantaneousWaterHeater = "instantaneous-water-heater": "Water heater without a store.",
        ThermostaticWaterHeater = "thermostatic-water-heater": "Immersion heater or other water heater with a store.",
        Motor = "motor": "Motor.",
        SocketCircuit = "socket-circuit": "Ring or radial circuit of sockets, by the rating of its device.",
        EvCharger = "ev-charger": "Charge point for a vehicle.",
        HeatPump = "heat-pump": "Heat pump.",
    }
}

/// How an allowance is worked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AllowanceRule {
    /// One fraction of all of it.
    All,
    /// A fraction up to a threshold, another of what lies above, something for a socket.
    AboveThreshold,
    /// One fraction of the two largest, another of the rest.
    TwoLargest,
    /// One fraction of the largest, another of the rest.
    Largest,
}

/// The allowance for one kind of load.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct DiversityAllowance {
    /// The kind.
    pub kind: LoadKind,
    /// How it is worked.
    pub rule: AllowanceRule,
    first: f64,
    threshold_a: Option<Amps>,
    rest: Option<f64>,
    add_a: Option<Amps>,
    /// The rule in words.
    pub text: String,
    /// The published table.
    pub source: String,
    #[serde(rename = "status")]
    _status: Provenance,
}

impl DiversityAllowance {
    /// The fraction that is taken first.
    #[must_use]
    pub const fn first(&self) -> f64 {
        self.first
    }

    /// The fraction of the rest; the first where there is no other.
    #[must_use]
    pub fn rest(&self) -> f64 {
        self.rest.unwrap_or(self.first)
    }

    /// The current up to which the first fraction holds; nothing where there is no threshold.
    #[must_use]
    pub fn threshold(&self) -> Amps {
        self.threshold_a.unwrap_or(Amps::ZERO)
    }

    /// What a socket in the control unit adds.
    #[must_use]
    pub fn socket(&self) -> Amps {
        self.add_a.unwrap_or(Amps::ZERO)
    }
}

/// The allowances, one a kind.
///
/// # Panics
/// If the data file lacks a kind: it is our own, and the first test finds it.
pub(super) fn built_in() -> Vec<DiversityAllowance> {
    let mut allowances: Vec<DiversityAllowance> = rows("diversity.csv", include_str!("../../data/diversity.csv"));
    allowances.sort_by_key(|allowance| allowance.kind);
    assert!(
        allowances.iter().map(|allowance| allowance.kind).eq(LoadKind::ALL.iter().copied()),
        "diversity.csv holds every kind of load once"
    );
    allowances
}
