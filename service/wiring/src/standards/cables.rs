//! Cables: what they carry, what they drop, and the protective conductor made into them.

use serde::Deserialize;

use super::look_up::{NotInTable, same_size, sizes_held};
use super::provenance::Provenance;
use super::vocabulary::{CableType, ReferenceMethod};
use crate::quantities::{Amps, Metres, SquareMillimetres, Volts};
use crate::table::rows;

/// Voltage drop per amp and metre of run, line and neutral together.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct MillivoltsPerAmpMetre(f64);

impl MillivoltsPerAmpMetre {
    /// The figure in millivolts per amp and metre.
    #[must_use]
    pub const fn value(self) -> f64 {
        self.0
    }

    /// The drop of a current over a length: `mV x Ib x L / 1000`.
    #[must_use]
    pub fn drop(self, current: Amps, length: Metres) -> Volts {
        Volts::new(self.0 * current.value() * length.value() / 1_000.0)
    }
}

/// One figure for one size.
#[derive(Debug, Clone, Copy)]
struct OfSize<Figure> {
    line: SquareMillimetres,
    figure: Figure,
}

/// The tables of cables, kept by kind and method.
#[derive(Debug, Clone)]
pub(super) struct CableTables {
    /// By [`slot`].
    capacities: Vec<Vec<OfSize<Amps>>>,
    /// By cable type.
    drops: Vec<Vec<OfSize<MillivoltsPerAmpMetre>>>,
    flat_protective: Vec<OfSize<SquareMillimetres>>,
}

#[derive(Deserialize)]
struct CapacityRow {
    cable_type: CableType,
    line_mm2: SquareMillimetres,
    method: ReferenceMethod,
    capacity_a: Amps,
    #[serde(rename = "status")]
    _status: Provenance,
}

#[derive(Deserialize)]
struct DropRow {
    cable_type: CableType,
    line_mm2: SquareMillimetres,
    mv_per_a_m: f64,
    #[serde(rename = "status")]
    _status: Provenance,
}

#[derive(Deserialize)]
struct ProtectiveRow {
    line_mm2: SquareMillimetres,
    cpc_mm2: SquareMillimetres,
    #[serde(rename = "status")]
    _status: Provenance,
}

fn slot(cable: CableType, method: ReferenceMethod) -> usize {
    cable as usize * ReferenceMethod::ALL.len() + method as usize
}

/// The printed table that holds the capacities of a kind of cable, laid in that way.
pub(crate) const fn capacity_table(cable: CableType, method: ReferenceMethod) -> &'static str {
    match cable {
        // The table of flat cables has no column for trunking and conduit.
        CableType::FlatTwinAndEarth70 if matches!(method, ReferenceMethod::B) => "BS 7671 Table 4D2A",
        CableType::FlatTwinAndEarth70 => "BS 7671 Table 4D5",
        CableType::SingleCore70 => "BS 7671 Table 4D1A",
        CableType::Armoured70 => "BS 7671 Table 4D4A",
        CableType::Armoured90 => "BS 7671 Table 4E4A",
    }
}

/// The printed table that holds the voltage drop of a kind of cable.
pub(crate) const fn drop_table(cable: CableType) -> &'static str {
    match cable {
        CableType::FlatTwinAndEarth70 => "BS 7671 Table 4D5",
        CableType::SingleCore70 => "BS 7671 Table 4D1B",
        CableType::Armoured70 => "BS 7671 Table 4D4B",
        CableType::Armoured90 => "BS 7671 Table 4E4B",
    }
}

impl CableTables {
    pub(super) fn built_in() -> Self {
        let mut capacities = vec![Vec::new(); CableType::ALL.len() * ReferenceMethod::ALL.len()];
        let text = include_str!("../../data/cable_capacities.csv");
        for CapacityRow { cable_type, line_mm2, method, capacity_a, .. } in rows("cable_capacities.csv", text) {
            capacities[slot(cable_type, method)].push(OfSize { line: line_mm2, figure: capacity_a });
        }
        let mut drops = vec![Vec::new(); CableType::ALL.len()];
        let text = include_str!("../../data/voltage_drop.csv");
        for DropRow { cable_type, line_mm2, mv_per_a_m, .. } in rows("voltage_drop.csv", text) {
            drops[cable_type as usize].push(OfSize { line: line_mm2, figure: MillivoltsPerAmpMetre(mv_per_a_m) });
        }
        let text = include_str!("../../data/flat_cable_protective_conductors.csv");
        let flat_protective = rows("flat_cable_protective_conductors.csv", text)
            .into_iter()
            .map(|ProtectiveRow { line_mm2, cpc_mm2, .. }| OfSize { line: line_mm2, figure: cpc_mm2 })
            .collect();
        Self { capacities, drops, flat_protective }
    }

    pub(super) fn capacity(
        &self,
        cable: CableType,
        method: ReferenceMethod,
        line: SquareMillimetres,
    ) -> Result<Amps, NotInTable> {
        let column = self.capacities.get(slot(cable, method)).map_or(&[][..], Vec::as_slice);
        if column.is_empty() {
            let held: Vec<&str> = self.methods(cable).map(ReferenceMethod::word).collect();
            let detail = format!("it has no column for method {method}; it has {}", held.join(", "));
            return Err(NotInTable::new(capacity_table(cable, method), detail));
        }
        of_size(column, line).ok_or_else(|| unknown_size(capacity_table(cable, method), column, line))
    }

    pub(super) fn drop(&self, cable: CableType, line: SquareMillimetres) -> Result<MillivoltsPerAmpMetre, NotInTable> {
        let column = self.drops.get(cable as usize).map_or(&[][..], Vec::as_slice);
        of_size(column, line).ok_or_else(|| unknown_size(drop_table(cable), column, line))
    }

    pub(super) fn sizes(&self, cable: CableType) -> impl Iterator<Item = SquareMillimetres> {
        self.drops.get(cable as usize).into_iter().flatten().map(|entry| entry.line)
    }

    pub(super) fn methods(&self, cable: CableType) -> impl Iterator<Item = ReferenceMethod> {
        ReferenceMethod::ALL
            .iter()
            .copied()
            .filter(move |method| self.capacities.get(slot(cable, *method)).is_some_and(|column| !column.is_empty()))
    }

    pub(super) fn flat_protective(&self, line: SquareMillimetres) -> Result<SquareMillimetres, NotInTable> {
        of_size(&self.flat_protective, line)
            .ok_or_else(|| unknown_size("the table of flat cables (BS 6004)", &self.flat_protective, line))
    }
}

fn of_size<Figure: Copy>(column: &[OfSize<Figure>], line: SquareMillimetres) -> Option<Figure> {
    column.iter().find(|entry| same_size(entry.line, line)).map(|entry| entry.figure)
}

fn unknown_size<Figure>(table: &'static str, column: &[OfSize<Figure>], line: SquareMillimetres) -> NotInTable {
    NotInTable::new(table, sizes_held(line, column.iter().map(|entry| entry.line)))
}
