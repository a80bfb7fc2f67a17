//! The working of voltage drop.

use super::answer::Check;
use super::line::{Working, line};
use crate::checks::{COPPER_C, Correction, EffectiveLoad, Prepared, RING_FAR_A, TABLE_AIR_C, VoltageDrop};
use crate::standards::drop_table;

pub(super) fn voltage_drop(prepared: &Prepared<'_>, found: &VoltageDrop) -> Check {
    let mut working = Working::new(232);
    write_load(prepared, found.load, &mut working);
    write_correction(found.correction, &mut working);
    line!(
        working,
        "Drop = ",
        prepared.drop.value(),
        " mV/A/m (",
        drop_table(prepared.circuit.cable.cable_type),
        ") x ",
        found.load.effective().value(),
        " A x ",
        prepared.length.value(),
        " m / 1000"
    );
    if prepared.ring {
        working.push_str(" / 4 (ring)");
    }
    if let Correction::Ct { ct, .. } = found.correction {
        line!(working, " x Ct ", ct);
    }
    line!(working, " = ", found.own.value(), " V");
    let upstream_v = prepared.upstream.voltage_drop_v;
    if upstream_v > 0.0 {
        line!(working, ". With ", upstream_v, " V upstream = ", found.total.value(), " V");
    }
    line!(working, ". Of ", prepared.voltage.value(), " V that is ", found.percent, " %");
    Check::shown(&found.judged, "BS 7671 525.202, Appendix 4 section 6.4", working)
}

fn write_load(prepared: &Prepared<'_>, load: EffectiveLoad, working: &mut Working) {
    match load {
        EffectiveLoad::AtEnd { .. } => {}
        EffectiveLoad::Even { .. } => line!(*working, prepared.ib.value(), " A spread evenly counts half. "),
        EffectiveLoad::HalfWayRound { .. } => working.push_str("All of it half way round. "),
        EffectiveLoad::RestSpread { rest_a, effective } => line!(
            *working,
            RING_FAR_A,
            " A half way round and ",
            rest_a,
            " A spread evenly count ",
            effective.value(),
            " A. "
        ),
    }
}

fn write_correction(correction: Correction, working: &mut Working) {
    match correction {
        Correction::NotAsked => {}
        Correction::NotMade => working.push_str("No Ct above 16 mm2 or with rewirable fuses. "),
        Correction::Ct { rated_c, factors, loaded, ct } => line!(
            *working,
            "Ct = (",
            COPPER_C,
            " + ",
            rated_c,
            " - (",
            factors,
            " - ",
            loaded,
            ") x (",
            rated_c,
            " - ",
            TABLE_AIR_C,
            ")) / (",
            COPPER_C,
            " + ",
            rated_c,
            ") = ",
            ct,
            ". "
        ),
    }
}
