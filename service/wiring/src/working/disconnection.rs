//! The working of earth faults.

use super::answer::Check;
use super::line::{Working, line};
use crate::checks::{JudgedCheck, LoopLimit, Prepared, TOUCH_VOLTAGE_V};
use crate::quantities::Ohms;
use crate::standards::{ProtectiveConductor, VOLTAGE_FACTOR_MIN, impedance_table};

pub(super) fn disconnection(prepared: &Prepared<'_>, judged: &JudgedCheck) -> Check {
    let mut working = Working::new(256);
    write_impedance(prepared, &mut working);
    let clause = match prepared.loop_limit {
        LoopLimit::Residual(limit, residual_ma) => {
            line!(
                working,
                ". Own electrode: Zs x ",
                residual_ma,
                " mA <= ",
                TOUCH_VOLTAGE_V,
                " V, so Zs <= ",
                limit.value(),
                " ohm. The RCD acts within ",
                prepared.time.seconds(),
                " s"
            );
            "BS 7671 411.5.3"
        }
        LoopLimit::Overcurrent(limit) => {
            write_overcurrent(prepared, limit, &mut working);
            "BS 7671 411.4.4"
        }
    };
    Check::shown(judged, clause, working)
}

fn write_impedance(prepared: &Prepared<'_>, working: &mut Working) {
    let parts = &prepared.loop_parts;
    let protective = match parts.kind {
        ProtectiveConductor::CopperCore => "",
        ProtectiveConductor::SteelArmour => " armour",
    };
    line!(
        *working,
        "Zs = ",
        prepared.upstream.zs_ohm,
        " + (",
        parts.line.value(),
        " x ",
        parts.line_multiplier,
        " + ",
        parts.protective.value(),
        " x ",
        parts.protective_multiplier,
        protective,
        ") mohm/m x ",
        prepared.length.value(),
        " m / 1000"
    );
    if prepared.ring {
        working.push_str(" / 4 (ring)");
    }
    line!(*working, " = ", prepared.zs().value(), " ohm");
}

fn write_overcurrent(prepared: &Prepared<'_>, limit: Ohms, working: &mut Working) {
    let device = &prepared.circuit.device;
    match device.curve {
        Some(curve) => line!(*working, ". ", curve.letter(), device.rating_a),
        None => line!(*working, ". ", device.device_type, " ", device.rating_a, " A"),
    };
    line!(
        *working,
        " at ",
        prepared.time.seconds(),
        " s: ",
        limit.value(),
        " ohm (",
        impedance_table(device.device_type),
        ", ",
        VOLTAGE_FACTOR_MIN,
        " x U0)"
    );
    if let Some(residual_ma) = prepared.residual_ma {
        line!(*working, ". The ", residual_ma, " mA RCD is not counted here");
    }
}
