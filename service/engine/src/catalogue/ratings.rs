//! Usual device and cable by kind of circuit and by design current.

use serde::Deserialize;

use super::fabric::yes;
use super::points::CircuitType;
use crate::standards::{CircuitUse, LoadKind};
use crate::survey::ApplianceType;

/// What an appliance draws and asks for.
#[derive(Debug, Clone, Deserialize)]
pub struct ApplianceKind {
    /// The appliance.
    pub appliance: ApplianceType,
    /// Upper side of the usual load.
    pub usual_kw: f64,
    /// Its circuit.
    pub circuit: CircuitType,
    /// Own circuit above this load.
    pub own_above_kw: f64,
    /// Row of the diversity table.
    pub demand: LoadKind,
    /// In words.
    pub label: String,
}

/// The usual form of a kind of circuit.
#[derive(Debug, Clone, Deserialize)]
pub struct CircuitKind {
    /// The kind.
    pub circuit: CircuitType,
    /// In words.
    pub label: String,
    /// Whether it is a ring.
    #[serde(deserialize_with = "yes")]
    pub ring: bool,
    /// Device; 0 where the load decides.
    pub device_a: f64,
    /// Line conductor.
    pub line_mm2: f64,
    /// Protective conductor.
    pub cpc_mm2: f64,
    /// Floor area that it may serve; 0 for no limit.
    pub area_m2_max: f64,
    /// Points that it may serve; 0 for no limit.
    pub points_max: u64,
    /// What it is used for, which sets the limit of its drop.
    #[serde(rename = "use")]
    pub circuit_use: CircuitUse,
    /// Where the row comes from.
    pub source: String,
}

/// Device and cable for a design current.
#[derive(Debug, Clone, Deserialize)]
pub struct RatingStep {
    /// Largest design current of the step.
    pub design_current_a_max: f64,
    /// Device.
    pub device_a: f64,
    /// Line conductor.
    pub line_mm2: f64,
    /// Protective conductor.
    pub cpc_mm2: f64,
    /// Where the pairing comes from.
    pub source: String,
}
