//! The pieces of cable that have to be cut from drums whole: a cable between two ends is not joined on the way.

use std::collections::BTreeMap;

use super::Job;
use super::cables::signal_cable;
use super::house::EARTH_BEYOND_TAILS_M;
use crate::catalogue::{CableClass, CircuitType};
use crate::circuits::CircuitPlan;
use crate::rate_sheet::MaterialIndex;
use crate::site::RoomIndex;
use crate::unit_rates::armoured;

/// Pieces of one length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// The cable.
    pub material: MaterialIndex,
    /// Metres of each piece, without waste.
    pub metres: f64,
    /// How many.
    pub count: u32,
}

/// The pieces that are cut from drums for a job. Of each cable they add to its uses.
#[must_use]
pub fn cuts(job: Job<'_>) -> Vec<Cut> {
    let mut cuts = Vec::new();
    let mut cut = |material: Option<MaterialIndex>, metres: f64, count: u32| {
        if let Some(material) = material
            && metres > 0.0
            && count > 0
        {
            cuts.push(Cut { material, metres, count });
        }
    };
    for circuit in job.installation.circuits.iter().filter(|circuit| circuit.kind != CircuitType::Distribution) {
        let material = job.workbook.cable(circuit.cable.row()).material;
        pieces(circuit, |metres, count| cut(material, metres, count));
    }
    let runs = &job.installation.unassigned;
    for (member, home) in &runs.signal {
        let metres: f64 = home.segments.iter().map(|segment| segment.metres.value()).sum();
        let material = job.workbook.cable(signal_cable(job, *member)).material;
        cut(material, metres / f64::from(member.count.max(1)), member.count);
    }
    for strapper in &runs.strappers {
        cut(job.workbook.cable(job.catalogue.cables().three_core().row()).material, strapper.metres, strapper.count);
    }
    for bond in &runs.bonds {
        cut(job.cable(CableClass::Bond).material, bond.metres, 1);
    }
    if !job.site.scope.board_stays() {
        let tails = job.installation.board.tails.value();
        cut(Some(job.workbook.materials.tails_25), tails, 1);
        cut(Some(job.workbook.materials.earth_16), tails + EARTH_BEYOND_TAILS_M, 1);
    }
    for circuit in &job.installation.circuits {
        if circuit.is_dug() && circuit.outbuilding.is_some() {
            cut(armoured(job.workbook, job.catalogue, circuit.cable).material, circuit.run.metres.value(), 1);
        }
    }
    cuts
}

/// The pieces of a circuit: from the board to the first point, from point to point, and on a ring back again. The metres in a
/// room are shared out evenly among the points there; those that only pass through belong to the way from the board.
fn pieces(circuit: &CircuitPlan, mut cut: impl FnMut(f64, u32)) {
    let mut points: BTreeMap<RoomIndex, u32> = BTreeMap::new();
    for member in &circuit.members {
        *points.entry(member.room).or_default() += member.count;
    }
    let mut metres: BTreeMap<RoomIndex, f64> = BTreeMap::new();
    let mut passing = 0.0;
    for segment in &circuit.run.segments {
        match segment.room.filter(|room| points.get(room).is_some_and(|count| *count > 0)) {
            Some(room) => *metres.entry(room).or_default() += segment.metres.value(),
            None => passing += segment.metres.value(),
        }
    }
    // A ring leaves the board twice.
    let homes = if circuit.ring { 2 } else { 1 };
    let mut from_board = homes;
    for (room, metres) in &metres {
        let count = points.get(room).copied().unwrap_or(1);
        let each = metres / f64::from(count);
        let long = from_board.min(count);
        cut(each + passing / f64::from(homes), long);
        cut(each, count - long);
        from_board -= long;
    }
    cut(passing / f64::from(homes), from_board);
}
