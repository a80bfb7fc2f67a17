//! Rating factors: what heat, company, insulation and soil take from a cable's capacity.
//!
//! Between rows the next worse row is taken, which is on the safe side. Past the last row nothing is held.

use serde::Deserialize;

use super::look_up::NotInTable;
use super::provenance::Provenance;
use super::vocabulary::{Burial, CableGrouping, CableType, Celsius, Surroundings};
use crate::quantities::Metres;
use crate::table::rows;

/// The tables of rating factors.
#[derive(Debug, Clone)]
pub(super) struct CorrectionFactors {
    ambient: Vec<AmbientRow>,
    grouping: Vec<GroupingRow>,
    insulation: Vec<InsulationRow>,
    ground: Vec<GroundRow>,
}

#[derive(Debug, Clone, Deserialize)]
struct AmbientRow {
    medium: Surroundings,
    temperature_c: f64,
    ca_70c: Option<f64>,
    ca_90c: Option<f64>,
    #[serde(rename = "status")]
    _status: Provenance,
}

#[derive(Debug, Clone, Deserialize)]
struct GroupingRow {
    arrangement: CableGrouping,
    circuits: u32,
    cg: f64,
    #[serde(rename = "status")]
    _status: Provenance,
}

#[derive(Debug, Clone, Deserialize)]
struct InsulationRow {
    length_mm: f64,
    ci: f64,
    #[serde(rename = "status")]
    _status: Provenance,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum GroundFactor {
    Cs,
    Cd,
}

#[derive(Debug, Clone, Deserialize)]
struct GroundRow {
    factor: GroundFactor,
    at: f64,
    in_duct: f64,
    direct: f64,
    #[serde(rename = "status")]
    _status: Provenance,
}

/// The printed table of temperature factors.
pub(crate) const fn ambient_table(surroundings: Surroundings) -> &'static str {
    match surroundings {
        Surroundings::Air => "BS 7671 Table 4B1",
        Surroundings::Ground => "BS 7671 Table 4B2",
    }
}

pub(crate) const GROUPING_TABLE: &str = "BS 7671 Table 4C1";
pub(crate) const INSULATION_TABLE: &str = "BS 7671 Appendix 4 item 2.6";
const SOIL_TABLE: &str = "BS 7671 Table 4B3";
const DEPTH_TABLE: &str = "BS 7671 Table 4B4";

impl CorrectionFactors {
    pub(super) fn built_in() -> Self {
        Self {
            ambient: rows("ambient_factors.csv", include_str!("../../data/ambient_factors.csv")),
            grouping: rows("grouping_factors.csv", include_str!("../../data/grouping_factors.csv")),
            insulation: rows("insulation_factors.csv", include_str!("../../data/insulation_factors.csv")),
            ground: rows("ground_factors.csv", include_str!("../../data/ground_factors.csv")),
        }
    }

    pub(super) fn ambient(
        &self,
        surroundings: Surroundings,
        cable: CableType,
        temperature: Celsius,
    ) -> Result<f64, NotInTable> {
        let hotter = |row: &&AmbientRow| row.medium == surroundings && row.temperature_c >= temperature.value() - 1e-9;
        let factor = self.ambient.iter().find(hotter).and_then(|row| match cable {
            CableType::FlatTwinAndEarth70 | CableType::SingleCore70 | CableType::Armoured70 => row.ca_70c,
            CableType::Armoured90 => row.ca_90c,
        });
        factor.ok_or_else(|| {
            let detail = format!("it has no factor for {cable} in {surroundings} at {} degC", temperature.value());
            NotInTable::new(ambient_table(surroundings), detail)
        })
    }

    pub(super) fn grouping(&self, grouping: CableGrouping, circuits: u32) -> Result<f64, NotInTable> {
        let enough = |row: &&GroupingRow| row.arrangement == grouping && row.circuits >= circuits;
        self.grouping.iter().find(enough).map(|row| row.cg).ok_or_else(|| {
            NotInTable::new(GROUPING_TABLE, format!("it goes to 20 circuits, and {circuits} were given"))
        })
    }

    pub(super) fn insulation(&self, length: Metres) -> f64 {
        let length_mm = length.value() * 1_000.0;
        if length_mm <= 0.0 {
            return 1.0;
        }
        let longest = self.insulation.last().map_or(0.5, |row| row.ci);
        self.insulation.iter().find(|row| row.length_mm >= length_mm - 1e-9).map_or(longest, |row| row.ci)
    }

    pub(super) fn soil(&self, burial: Burial, resistivity_k_m_per_w: f64) -> Result<f64, NotInTable> {
        self.ground(GroundFactor::Cs, burial, resistivity_k_m_per_w).ok_or_else(|| {
            let detail = format!("it goes to 3 K.m/W, and {resistivity_k_m_per_w} was given");
            NotInTable::new(SOIL_TABLE, detail)
        })
    }

    pub(super) fn depth(&self, burial: Burial, depth: Metres) -> Result<f64, NotInTable> {
        self.ground(GroundFactor::Cd, burial, depth.value())
            .ok_or_else(|| NotInTable::new(DEPTH_TABLE, format!("it goes to 3 m, and {depth} was given")))
    }

    fn ground(&self, factor: GroundFactor, burial: Burial, at: f64) -> Option<f64> {
        let row = self.ground.iter().find(|row| row.factor == factor && row.at >= at - 1e-9)?;
        Some(match burial {
            Burial::Direct => row.direct,
            Burial::Duct => row.in_duct,
        })
    }
}
