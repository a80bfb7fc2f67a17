//! The working of load, device and cable.

use super::answer::Check;
use super::line::{Working, line};
use crate::checks::{JudgedCheck, Overload, Prepared, Protection, RING_CABLE_A, RingRule};
use crate::standards::{GROUPING_TABLE, INSULATION_TABLE, ambient_table, capacity_table};

pub(super) fn design_current(prepared: &Prepared<'_>, judged: &JudgedCheck) -> Check {
    let mut working = Working::new(112);
    let ib = prepared.ib.value();
    match prepared.circuit.load.load_kw {
        Some(load_kw) if prepared.circuit.load.current_a.is_none() => {
            line!(working, "Ib = ", load_kw, " kW x 1000 / ", prepared.voltage.value(), " V = ", ib, " A")
        }
        Some(_) | None => line!(working, "Ib = ", ib, " A as given"),
    };
    line!(working, ". In = ", prepared.device.rating.value(), " A");
    Check::shown(judged, "BS 7671 433.1.1(i)", working)
}

pub(super) fn overload(prepared: &Prepared<'_>, found: &Overload) -> Check {
    let mut working = Working::new(320);
    write_capacity(prepared, found.iz_a, &mut working);
    write_usable(prepared, found, &mut working);
    let rating = prepared.device.rating.value();
    match found.ring_rule {
        RingRule::Taken => {
            line!(working, ". A ring of ", rating, " A needs a cable of ", RING_CABLE_A, " A");
            return Check::shown(&found.judged, "BS 7671 433.1.204", working);
        }
        RingRule::Beyond => {
            working.push_str(". The 20 A rule for rings holds only at 30 or 32 A and from 2.5 mm2 up");
        }
        RingRule::NotWanted => {}
    }
    line!(working, ". In = ", rating, " A");
    let clause = match found.protection {
        Protection::RewirableFuse => "BS 7671 433.1.202",
        Protection::Buried => "BS 7671 433.1.203",
        Protection::Whole => "BS 7671 433.1.1(ii)",
    };
    Check::shown(&found.judged, clause, working)
}

fn write_capacity(prepared: &Prepared<'_>, iz_a: f64, working: &mut Working) {
    let capacity = &prepared.capacity;
    let method = prepared.circuit.installation.method;
    line!(
        *working,
        "It ",
        capacity.rating.tabulated.value(),
        " A: ",
        prepared.line.value(),
        " mm2, method ",
        method,
        ", ",
        capacity_table(prepared.circuit.cable.cable_type, method),
        ". Ca ",
        capacity.rating.ca,
        ": ",
        capacity.ambient_c,
        " degC, ",
        ambient_table(capacity.surroundings),
        ". Cg ",
        capacity.rating.cg,
        ": ",
        capacity.grouped,
        " together, ",
        GROUPING_TABLE
    );
    if method.allows_for_insulation() {
        working.push_str(". Ci 1: the method allows for insulation");
    } else {
        line!(
            *working,
            ". Ci ",
            capacity.rating.ci,
            ": ",
            capacity.insulation_mm,
            " mm in insulation, ",
            INSULATION_TABLE
        );
    }
    let ci = if method.allows_for_insulation() { 1.0 } else { capacity.rating.ci };
    if let Some((cs, cd)) = capacity.rating.buried {
        line!(*working, ". Cs ", cs, " and Cd ", cd, ": BS 7671 Tables 4B3, 4B4");
    }
    line!(
        *working,
        ". Iz = ",
        capacity.rating.tabulated.value(),
        " A x ",
        capacity.rating.ca,
        " x ",
        capacity.rating.cg,
        " x ",
        ci
    );
    if let Some((cs, cd)) = capacity.rating.buried {
        line!(*working, " x ", cs, " x ", cd);
    }
    line!(*working, " = ", iz_a, " A");
}

/// What of the capacity the device protects.
fn write_usable(prepared: &Prepared<'_>, found: &Overload, working: &mut Working) {
    if let (Some(terminals_a), Some(limited)) = (found.terminals_a, prepared.terminal_limited) {
        line!(
            *working,
            ". Terminals for 70 degC let it carry ",
            terminals_a,
            " A (It ",
            limited.value(),
            " A of BS 7671 Table 4D4A, 512.1.5)"
        );
    }
    if found.alone {
        line!(
            *working,
            ". No two of the group are overloaded at once. In may be up to sqrt((Iz / Cg)^2 - 0.48 Ib^2 (1 - Cg^2) / Cg^2) = ",
            found.usable_a / found.protection.share(),
            " A (BS 7671 Appendix 4)"
        );
    }
    let why = match found.protection {
        Protection::Whole => return,
        Protection::RewirableFuse => " (behind a rewirable fuse) = ",
        Protection::Buried => " (in the ground) = ",
    };
    line!(*working, ". Iz x ", found.protection.share(), why, found.usable_a, " A");
}
