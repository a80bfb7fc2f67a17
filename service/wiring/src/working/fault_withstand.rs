//! The working of what the protective conductor withstands.

use super::answer::Check;
use super::line::{Working, line};
use crate::checks::{AT_ONCE_S, Broken, FarFault, FaultWithstand, HALF_CYCLE_S, NearFault, Prepared, RESIDUAL_S};
use crate::standards::{EnergyClass, TABLE_VOLTAGE, VOLTAGE_FACTOR_MIN};

pub(super) fn fault_withstand(prepared: &Prepared<'_>, found: &FaultWithstand) -> Check {
    let mut working = Working::new(240);
    write_near(prepared, found.near, &mut working);
    if let Some(far) = found.far {
        write_far(far, &mut working);
    }
    line!(working, ". S = sqrt(", found.a2s, " A2s) / ", prepared.k, " = ", found.needed_mm2, " mm2");
    if let Some(guide) = found.accepted_mm2 {
        line!(working, ". The On-Site Guide accepts ", guide, " mm2 here (from memory)");
    }
    Check::shown(&found.judged, "BS 7671 543.1.3", working)
}

fn write_far(far: FarFault, working: &mut Working) {
    let reason = match far.broken {
        Broken::ByResidualDevice => "broken by the RCD",
        Broken::WithinFiveSeconds => "the 5 s point of the table",
        Broken::AtConventionalCurrent => "perhaps not broken within 5 s",
    };
    line!(*working, ". At the far end: (", far.current_a, " A)^2 x ", far.seconds, " s (", reason, ")");
}

fn write_near(prepared: &Prepared<'_>, near: NearFault, working: &mut Working) {
    match near {
        NearFault::Electrode { impedance_ohm, current_a } => line!(
            *working,
            "I = ",
            prepared.voltage.value(),
            " V / ",
            impedance_ohm,
            " ohm = ",
            current_a,
            " A. The RCD breaks it within ",
            RESIDUAL_S,
            " s"
        ),
        NearFault::Maker(a2s) => line!(*working, "Energy let through: ", a2s, " A2s (maker's figure)"),
        NearFault::Class(_) | NearFault::NoClass { .. } => write_breaker(prepared, near, working),
        NearFault::Fuse { current, impedance, seconds } => line!(
            *working,
            "Energy let through is at most that of Ia = ",
            TABLE_VOLTAGE.value(),
            " V x ",
            VOLTAGE_FACTOR_MIN,
            " / ",
            impedance.value(),
            " ohm = ",
            current.value(),
            " A for ",
            seconds,
            " s"
        ),
    }
}

/// A breaker of which the maker said nothing, at the fault level.
fn write_breaker(prepared: &Prepared<'_>, near: NearFault, working: &mut Working) {
    let level = prepared.fault_level.value();
    if prepared.upstream.fault_current_ka.is_none() {
        line!(*working, "Fault level not given. We took ", level, " kA. ");
    }
    match near {
        NearFault::Class(row) => line!(
            *working,
            "Energy let through at ",
            level,
            " kA: the ",
            prepared.circuit.device.energy_class.map_or("class 3", class_words),
            " limit for ",
            row.fault_level.value(),
            " kA is ",
            row.energy_a2s,
            " A2s (BS EN 60898-1 annex ZA)"
        ),
        NearFault::NoClass { trip_a } => line!(
            *working,
            "No class limit is known. Ask for the maker's figure. Energy let through: the greater of (",
            trip_a,
            " A)^2 x ",
            AT_ONCE_S,
            " s and (",
            level,
            " kA)^2 x ",
            HALF_CYCLE_S,
            " s"
        ),
        NearFault::Electrode { .. } | NearFault::Maker(_) | NearFault::Fuse { .. } => {}
    }
}

const fn class_words(class: EnergyClass) -> &'static str {
    match class {
        EnergyClass::Class2 => "class 2",
        EnergyClass::Class3 => "class 3",
    }
}
