//! Load, device and cable: `Ib <= In` and `In <= Iz`, with the rule of rings.

use super::answer::{Check, CheckName, CheckUnit, Finding, Verdict};
use super::figure::{Working, line};
use super::prepared::Prepared;
use crate::standards::{DeviceType, GROUPING_TABLE, INSULATION_TABLE, ReferenceMethod, ambient_table, capacity_table};

/// A ring of 30 or 32 A may be wired in a cable of 20 A from 2.5 mm2 on (BS 7671 433.1.204, from memory).
const RING_CABLE_A: f64 = 20.0;
const RING_DEVICE_A_MAX: f64 = 32.0;
const RING_LINE_MM2_MIN: f64 = 2.5;
/// A rewirable fuse protects a cable only to this share (BS 7671 433.1.202, from memory).
const REWIRABLE_SHARE: f64 = 0.725;
/// A buried cable, whose tables assume a ground of 20 degC, is protected to this share (433.1.203, from memory).
const BURIED_SHARE: f64 = 0.9;

/// `Ib <= In`.
pub(super) fn design_current(prepared: &Prepared<'_>) -> Check {
    let mut working = prepared.working(112);
    let ib = prepared.ib.value();
    let rating = prepared.device.rating.value();
    match prepared.circuit.load.load_kw {
        Some(load_kw) if prepared.circuit.load.current_a.is_none() => {
            line!(working, "Ib = ", load_kw, " kW x 1000 / ", prepared.voltage.value(), " V = ", ib, " A")
        }
        Some(_) | None => line!(working, "Ib = ", ib, " A as given"),
    };
    line!(working, "; In = ", rating, " A");
    let finding = Finding {
        name: CheckName::DesignCurrent,
        value: prepared.ib.value(),
        limit: prepared.device.rating.value(),
        unit: CheckUnit::Amps,
        clause: "BS 7671 433.1.1(i)",
        otherwise: Verdict::Fail,
    };
    Check::judge(finding, working)
}

/// `In <= Iz`.
pub(super) fn overload(prepared: &Prepared<'_>) -> Check {
    let mut working = prepared.working(240);
    let iz = write_capacity(prepared, &mut working);
    let (limit, share_clause) = usable_capacity(prepared, iz, &mut working);
    let rating = prepared.device.rating.value();
    let by_ring_rule = prepared.ring
        && rating > RING_CABLE_A
        && rating <= RING_DEVICE_A_MAX
        && prepared.line.value() >= RING_LINE_MM2_MIN;
    let (value, clause) = if by_ring_rule {
        line!(working, "; a ring of ", rating, " A needs a cable of ", RING_CABLE_A, " A");
        (RING_CABLE_A, "BS 7671 433.1.204")
    } else {
        if prepared.ring && rating > RING_CABLE_A {
            working.push_str("; the 20 A rule of rings holds for 30 or 32 A and 2.5 mm2 up only");
        }
        line!(working, "; In = ", rating, " A");
        (rating, share_clause)
    };
    let finding =
        Finding { name: CheckName::Overload, value, limit, unit: CheckUnit::Amps, clause, otherwise: Verdict::Fail };
    Check::judge(finding, working)
}

fn write_capacity(prepared: &Prepared<'_>, working: &mut Working) -> f64 {
    let capacity = &prepared.capacity;
    let method = prepared.circuit.installation.method;
    line!(
        *working,
        "Iz = It ",
        capacity.tabulated.value(),
        " A (",
        prepared.line.value(),
        " mm2, method ",
        method,
        ", ",
        capacity_table(prepared.circuit.cable.cable_type, method),
        ") x Ca ",
        capacity.ca,
        " (",
        capacity.ambient_c,
        " degC, ",
        ambient_table(capacity.surroundings),
        ") x Cg ",
        capacity.cg,
        " (",
        capacity.grouped,
        " together, ",
        GROUPING_TABLE,
        ")"
    );
    if method.allows_for_insulation() {
        line!(*working, " x Ci 1 (the method allows for insulation)")
    } else {
        line!(
            *working,
            " x Ci ",
            capacity.ci,
            " (",
            capacity.insulation_mm,
            " mm in insulation, ",
            INSULATION_TABLE,
            ")"
        )
    };
    if let Some((cs, cd)) = capacity.buried {
        line!(*working, " x Cs ", cs, " x Cd ", cd, " (BS 7671 Tables 4B3, 4B4)");
    }
    let iz = capacity.iz().value();
    line!(*working, " = ", iz, " A");
    iz
}

/// What of the capacity the device protects.
fn usable_capacity(prepared: &Prepared<'_>, iz: f64, working: &mut Working) -> (f64, &'static str) {
    let mut limit = iz;
    if let Some(limited) = prepared.terminal_limited {
        let cooler = limited.value() * prepared.capacity.factor();
        if cooler < limit {
            limit = cooler;
            line!(
                *working,
                "; terminals for 70 degC let it carry ",
                cooler,
                " A (It ",
                limited.value(),
                " A of BS 7671 Table 4D4A, 512.1.5)"
            );
        }
    }
    if prepared.circuit.device.device_type == DeviceType::FuseBs3036 {
        line!(*working, "; x ", REWIRABLE_SHARE, " behind a rewirable fuse = ", limit * REWIRABLE_SHARE, " A");
        (limit * REWIRABLE_SHARE, "BS 7671 433.1.202")
    } else if prepared.circuit.installation.method == ReferenceMethod::D {
        line!(*working, "; x ", BURIED_SHARE, " in the ground = ", limit * BURIED_SHARE, " A");
        (limit * BURIED_SHARE, "BS 7671 433.1.203")
    } else {
        (limit, "BS 7671 433.1.1(ii)")
    }
}
