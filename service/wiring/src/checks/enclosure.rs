//! Whether the cables fit their conduit or trunking.

use super::judged::{JudgedEnclosure, round_to_4};
use super::names::Verdict;
use super::request::{Arrangement, CircuitEnclosure, CircuitToCheck};
use crate::faults::{Fault, FaultCode};
use crate::quantities::{Metres, SquareMillimetres};
use crate::standards::{CableType, EnclosureSize, EnclosureSpace, EnclosureType, ReferenceMethod, Standards};

/// Most sizes of other cables in one enclosure.
pub(super) const OTHERS_MAX: usize = 50;
const OTHER_COUNT_MAX: u32 = 100;
const SIDE_MM_MAX: f64 = 1_000.0;
const RUN_M_MAX: f64 = 100.0;
const BENDS_MAX: u8 = 10;

/// Faults of what encloses a circuit; pointers begin at the circuit.
pub(super) fn faults(circuit: &CircuitToCheck, faults: &mut Vec<Fault>) {
    let Some(enclosure) = &circuit.enclosure else { return };
    let mut fault = |field: &str, code, detail: String| {
        faults.push(Fault::new(format!("/enclosure{field}"), code, detail));
    };
    let method = circuit.installation.method;
    if circuit.cable.cable_type != CableType::SingleCore70 || !matches!(method, ReferenceMethod::A | ReferenceMethod::B)
    {
        let detail = format!(
            "the terms of On-Site Guide Appendix E are for `single-core-70c` by method a or b, and this is `{}` by {method}; \
             leave `enclosure` out",
            circuit.cable.cable_type
        );
        fault("", FaultCode::Contradiction, detail);
        return;
    }
    sides(enclosure, &mut fault);
    fields_of_its_kind(enclosure, &mut fault);
    if enclosure.run_m.is_some_and(|run| !(run > 0.0 && run <= RUN_M_MAX)) {
        let run = enclosure.run_m.unwrap_or_default();
        fault("/run_m", FaultCode::OutOfRange, format!("`run_m` is {run}; give more than 0 and at most {RUN_M_MAX}"));
    }
    if enclosure.bends.is_some_and(|bends| bends > BENDS_MAX) {
        let bends = enclosure.bends.unwrap_or_default();
        fault("/bends", FaultCode::OutOfRange, format!("`bends` is {bends}; give 0 to {BENDS_MAX}"));
    }
    if enclosure.others.len() > OTHERS_MAX {
        let detail = format!("`others` has {} entries; give at most {OTHERS_MAX}", enclosure.others.len());
        fault("/others", FaultCode::OutOfRange, detail);
    }
    for (index, other) in enclosure.others.iter().enumerate() {
        if other.count == 0 || other.count > OTHER_COUNT_MAX {
            let detail = format!("`count` is {}; give 1 to {OTHER_COUNT_MAX}", other.count);
            fault(&format!("/others/{index}/count"), FaultCode::OutOfRange, detail);
        }
    }
}

fn sides(enclosure: &CircuitEnclosure, fault: &mut impl FnMut(&str, FaultCode, String)) {
    let sides = [
        ("/diameter_mm", enclosure.diameter_mm),
        ("/width_mm", enclosure.width_mm),
        ("/height_mm", enclosure.height_mm),
    ];
    for (field, side) in sides {
        if side.is_some_and(|side| !(side > 0.0 && side <= SIDE_MM_MAX)) {
            let name = &field[1..];
            let side = side.unwrap_or_default();
            fault(
                field,
                FaultCode::OutOfRange,
                format!("`{name}` is {side}; give more than 0 and at most {SIDE_MM_MAX}"),
            );
        }
    }
}

/// A conduit goes by its diameter and its run, a trunking by its sides.
fn fields_of_its_kind(enclosure: &CircuitEnclosure, fault: &mut impl FnMut(&str, FaultCode, String)) {
    let kind = enclosure.enclosure_type;
    let conduit = kind == EnclosureType::Conduit;
    let wanted = [
        ("diameter_mm", enclosure.diameter_mm.is_some(), conduit),
        ("run_m", enclosure.run_m.is_some(), conduit),
        ("width_mm", enclosure.width_mm.is_some(), !conduit),
        ("height_mm", enclosure.height_mm.is_some(), !conduit),
    ];
    for (field, given, wanted) in wanted {
        if wanted && !given {
            fault(&format!("/{field}"), FaultCode::MissingField, format!("a {kind} goes by its `{field}`; give it"));
        } else if given && !wanted {
            fault(&format!("/{field}"), FaultCode::Contradiction, format!("a {kind} has no `{field}`; leave it out"));
        }
    }
    if enclosure.bends.is_some() && !conduit {
        fault("/bends", FaultCode::Contradiction, "a trunking has no `bends` to draw round; leave it out".to_owned());
    }
}

/// The cables of an enclosure and the room in it, looked up. Only where nothing was at fault before.
pub(super) fn looked_up(standards: &Standards, circuit: &CircuitToCheck) -> Result<Option<Enclosed>, Vec<Fault>> {
    let Some(enclosure) = &circuit.enclosure else { return Ok(None) };
    let size = EnclosureSize {
        kind: enclosure.enclosure_type,
        width_mm: enclosure.diameter_mm.or(enclosure.width_mm).unwrap_or_default(),
        height_mm: enclosure.height_mm,
        run: Metres::new(enclosure.run_m.unwrap_or_default()),
        bends: enclosure.bends.unwrap_or_default(),
    };
    let space = match standards.enclosure_space(size) {
        Ok(space) => space,
        Err(missing) => return Err(vec![missing.at("/enclosure")]),
    };
    let mut faults = Vec::new();
    let mut term = |line_mm2: f64, pointer: String| {
        let found = standards.enclosed_cable_term(space.table, SquareMillimetres::new(line_mm2));
        found.map_err(|missing| faults.push(missing.at(pointer))).unwrap_or_default()
    };
    // A ring passes twice.
    let times = if circuit.arrangement == Some(Arrangement::Ring) { 2 } else { 1 };
    let cpc_mm2 = circuit.cable.cpc_mm2.unwrap_or_default();
    let line_mm2 = circuit.cable.line_mm2;
    let mut cables = vec![
        EnclosedTerm { count: 2 * times, line_mm2, term: term(line_mm2, "/cable/line_mm2".to_owned()) },
        EnclosedTerm { count: times, line_mm2: cpc_mm2, term: term(cpc_mm2, "/cable/cpc_mm2".to_owned()) },
    ];
    for (index, other) in enclosure.others.iter().enumerate() {
        let pointer = format!("/enclosure/others/{index}/line_mm2");
        cables.push(EnclosedTerm { count: other.count, line_mm2: other.line_mm2, term: term(other.line_mm2, pointer) });
    }
    if faults.is_empty() { Ok(Some(Enclosed { space, cables })) } else { Err(faults) }
}

/// The cables of an enclosure and the room in it.
pub(crate) struct Enclosed {
    pub space: EnclosureSpace,
    pub cables: Vec<EnclosedTerm>,
}

/// Cables of one size in an enclosure.
#[derive(Clone, Copy)]
pub(crate) struct EnclosedTerm {
    pub count: u32,
    pub line_mm2: f64,
    /// The term of each.
    pub term: f64,
}

impl Enclosed {
    /// The check.
    pub fn judged(&self) -> JudgedEnclosure {
        let mut sum = 0.0;
        for cable in &self.cables {
            sum += f64::from(cable.count) * cable.term;
        }
        let (value, limit) = (round_to_4(sum), round_to_4(self.space.term));
        JudgedEnclosure { value, limit, verdict: if value <= limit { Verdict::Pass } else { Verdict::Fail } }
    }
}
