//! Conductors and armour: resistance, temperature, and what they withstand in a fault.

use serde::Deserialize;

use super::look_up::{NotInTable, same_size, sizes_held};
use super::provenance::Provenance;
use super::vocabulary::{CableType, ProtectiveConductor};
use crate::quantities::{Metres, Ohms, SquareMillimetres};
use crate::table::rows;

/// Resistance of a conductor per metre of run.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct MilliohmsPerMetre(f64);

impl MilliohmsPerMetre {
    /// From milliohms per metre.
    #[must_use]
    pub const fn new(value: f64) -> Self {
        Self(value)
    }

    /// The figure in milliohms per metre.
    #[must_use]
    pub const fn value(self) -> f64 {
        self.0
    }

    /// At another temperature, by its multiplier.
    #[must_use]
    pub fn times(self, multiplier: f64) -> Self {
        Self(self.0 * multiplier)
    }

    /// In line with another conductor.
    #[must_use]
    pub fn in_line_with(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }

    /// Over a length: `r x L / 1000`.
    #[must_use]
    pub fn over(self, length: Metres) -> Ohms {
        Ohms::new(self.0 * length.value() / 1_000.0)
    }
}

/// The steel wire armour of a cable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Armour {
    /// Cross-section of all wires together.
    pub area: SquareMillimetres,
    /// Resistance at 20 degrees Celsius.
    pub resistance: MilliohmsPerMetre,
}

/// The tables of conductors.
#[derive(Debug, Clone)]
pub(super) struct Conductors {
    copper: Vec<(SquareMillimetres, MilliohmsPerMetre)>,
    armour: Vec<(SquareMillimetres, u8, Armour)>,
    multipliers: Vec<MultiplierRow>,
    adiabatic: Vec<AdiabaticRow>,
}

#[derive(Deserialize)]
struct CopperRow {
    size_mm2: SquareMillimetres,
    r20_mohm_per_m: f64,
    #[serde(rename = "status")]
    _status: Provenance,
}

#[derive(Deserialize)]
struct ArmourRow {
    line_mm2: SquareMillimetres,
    cores: u8,
    area_mm2: SquareMillimetres,
    r20_mohm_per_m: f64,
    #[serde(rename = "status_area")]
    _status_area: Provenance,
    #[serde(rename = "status_resistance")]
    _status_resistance: Provenance,
}

#[derive(Debug, Clone, Deserialize)]
struct MultiplierRow {
    conductor: String,
    temperature_c: f64,
    multiplier: f64,
    #[serde(rename = "status")]
    _status: Provenance,
}

#[derive(Debug, Clone, Deserialize)]
struct AdiabaticRow {
    conductor: ProtectiveConductor,
    cable_type: CableType,
    k: f64,
    #[serde(rename = "status")]
    _status: Provenance,
}

const COPPER_TABLE: &str = "IEC 60228 Tables 1 and 2";
const ARMOUR_TABLE: &str = "the armour table of BS 5467";
const MULTIPLIER_TABLE: &str = "On-Site Guide Table I3";
const ADIABATIC_TABLE: &str = "BS 7671 Tables 54.3 and 54.4";

impl Conductors {
    /// The sizes of copper conductors that are made, smallest first.
    pub(super) fn sizes(&self) -> impl Iterator<Item = SquareMillimetres> {
        self.copper.iter().map(|(size, _)| *size)
    }

    pub(super) fn built_in() -> Self {
        let text = include_str!("../../data/conductor_resistance.csv");
        let copper = rows("conductor_resistance.csv", text)
            .into_iter()
            .map(|CopperRow { size_mm2, r20_mohm_per_m, .. }| (size_mm2, MilliohmsPerMetre(r20_mohm_per_m)))
            .collect();
        let text = include_str!("../../data/armour.csv");
        let armour = rows("armour.csv", text)
            .into_iter()
            .map(|row: ArmourRow| {
                let armour = Armour { area: row.area_mm2, resistance: MilliohmsPerMetre(row.r20_mohm_per_m) };
                (row.line_mm2, row.cores, armour)
            })
            .collect();
        let text = include_str!("../../data/temperature_multipliers.csv");
        let multipliers = rows("temperature_multipliers.csv", text);
        let text = include_str!("../../data/adiabatic_k.csv");
        let adiabatic = rows("adiabatic_k.csv", text);
        Self { copper, armour, multipliers, adiabatic }
    }

    pub(super) fn copper(&self, size: SquareMillimetres) -> Result<MilliohmsPerMetre, NotInTable> {
        self.copper
            .iter()
            .find(|(held, _)| same_size(*held, size))
            .map(|(_, resistance)| *resistance)
            .ok_or_else(|| NotInTable::new(COPPER_TABLE, sizes_held(size, self.copper.iter().map(|(held, _)| *held))))
    }

    pub(super) fn armour(&self, line: SquareMillimetres, cores: u8) -> Result<Armour, NotInTable> {
        let found = self.armour.iter().find(|(held, of, _)| same_size(*held, line) && *of == cores);
        found.map(|(.., armour)| *armour).ok_or_else(|| {
            let detail =
                format!("it has no armour for {cores} cores of {line}; it has 2, 3 and 4 cores of 1.5 to 95 mm2");
            NotInTable::new(ARMOUR_TABLE, detail)
        })
    }

    pub(super) fn multiplier(&self, conductor: ProtectiveConductor, cable: CableType) -> Result<f64, NotInTable> {
        let (word, temperature) = match conductor {
            ProtectiveConductor::CopperCore => ("copper", Some(cable.conductor_temperature().value())),
            ProtectiveConductor::SteelArmour => ("steel-armour", None),
        };
        let meant = |row: &&MultiplierRow| {
            row.conductor == word && temperature.is_none_or(|degrees| (row.temperature_c - degrees).abs() < 0.5)
        };
        self.multipliers
            .iter()
            .find(meant)
            .map(|row| row.multiplier)
            .ok_or_else(|| NotInTable::new(MULTIPLIER_TABLE, format!("it has no multiplier for {word} in {cable}")))
    }

    pub(super) fn adiabatic_k(&self, conductor: ProtectiveConductor, cable: CableType) -> Result<f64, NotInTable> {
        self.adiabatic
            .iter()
            .find(|row| row.conductor == conductor && row.cable_type == cable)
            .map(|row| row.k)
            .ok_or_else(|| NotInTable::new(ADIABATIC_TABLE, format!("it has no k for {conductor} of {cable}")))
    }
}
