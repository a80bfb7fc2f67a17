//! Earth faults: whether the loop impedance lets enough current flow for the device to act in time.

use super::answer::{Check, CheckName, CheckUnit, Finding, Verdict};
use super::figure::{Working, line, settled};
use super::prepared::{DisconnectionTime, Prepared};
use crate::faults::{Fault, FaultCode};
use crate::quantities::Ohms;
use crate::standards::{ProtectiveConductor, SupplyEarthing, VOLTAGE_FACTOR_MIN, impedance_table};

/// Touch voltage that an own electrode may raise (BS 7671 411.5.3, from memory).
const TOUCH_VOLTAGE_V: f64 = 50.0;

/// The greatest loop impedance that is allowed.
enum Limit {
    /// By the overcurrent device.
    Overcurrent(Ohms),
    /// By the residual current device of an own electrode, in milliamps.
    Residual(Ohms, f64),
}

fn limit(prepared: &Prepared<'_>) -> Option<Limit> {
    if let (SupplyEarthing::Tt, Some(residual_ma)) = (prepared.earthing, prepared.residual_ma) {
        return Some(Limit::Residual(Ohms::new(TOUCH_VOLTAGE_V * 1_000.0 / residual_ma), residual_ma));
    }
    overcurrent_limit(prepared).map(Limit::Overcurrent)
}

/// Greatest loop impedance for the overcurrent device. A breaker trips at once or not, so that the 0.4 s figure holds
/// for 0.2 s too; a fuse has no figure for 0.2 s. For 1 s the 0.4 s figure is taken, which is on the safe side.
fn overcurrent_limit(prepared: &Prepared<'_>) -> Option<Ohms> {
    match prepared.time {
        DisconnectionTime::Fifth if prepared.device.trip.is_none() => None,
        DisconnectionTime::Fifth | DisconnectionTime::TwoFifths | DisconnectionTime::One => {
            prepared.device.zs_max_fast(prepared.voltage)
        }
        DisconnectionTime::Five => prepared.device.zs_max_slow(prepared.voltage),
    }
}

/// Whether the device is certain to act on an earth fault at the end, in 0.4 s; the rounding is that of the check.
pub(super) fn acts_fast(prepared: &Prepared<'_>) -> bool {
    within(prepared.zs(), prepared.device.zs_max_fast(prepared.voltage))
}

/// Whether the device is certain to act on an earth fault at the end, in 5 s.
pub(super) fn acts_slowly(prepared: &Prepared<'_>) -> bool {
    within(prepared.zs(), prepared.device.zs_max_slow(prepared.voltage))
}

fn within(impedance: Ohms, limit: Option<Ohms>) -> bool {
    limit.is_some_and(|limit| settled(impedance.value()) <= settled(limit.value()))
}

/// Refuses what the tables of impedance do not hold: a big fuse has no 0.4 s figure.
pub(super) fn limit_is_known(prepared: &Prepared<'_>, faults: &mut Vec<Fault>) {
    if limit(prepared).is_none() {
        let device = &prepared.circuit.device;
        let detail = format!(
            "not in {}: no figure for {} of {} A at {} s; give a residual current device, another time or device",
            impedance_table(device.device_type),
            device.device_type,
            device.rating_a,
            prepared.time.seconds()
        );
        faults.push(Fault::new("/device/rating_a", FaultCode::NotInTable, detail));
    }
}

/// The check. In TN the overcurrent device alone is held to its limit, even where a residual current device would act.
pub(super) fn disconnection(prepared: &Prepared<'_>) -> Check {
    let mut working = prepared.working(256);
    let zs = write_impedance(prepared, &mut working);
    // `prepare` has refused circuits without a limit.
    let limit = limit(prepared).unwrap_or(Limit::Overcurrent(Ohms::ZERO));
    let (limit, clause) = match limit {
        Limit::Residual(limit, residual_ma) => {
            line!(
                working,
                "; own electrode: Zs x ",
                residual_ma,
                " mA <= ",
                TOUCH_VOLTAGE_V,
                " V, so Zs <= ",
                limit.value(),
                " ohm; acts within ",
                prepared.time.seconds(),
                " s"
            );
            (limit, "BS 7671 411.5.3")
        }
        Limit::Overcurrent(limit) => {
            write_overcurrent(prepared, limit, &mut working);
            (limit, "BS 7671 411.4.4")
        }
    };
    let finding = Finding {
        name: CheckName::Disconnection,
        value: zs.value(),
        limit: limit.value(),
        unit: CheckUnit::Ohms,
        clause,
        otherwise: Verdict::Fail,
    };
    Check::judge(finding, working)
}

fn write_impedance(prepared: &Prepared<'_>, working: &mut Working) -> Ohms {
    let parts = &prepared.loop_parts;
    let zs = prepared.zs();
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
    line!(*working, " = ", zs.value(), " ohm");
    zs
}

fn write_overcurrent(prepared: &Prepared<'_>, limit: Ohms, working: &mut Working) {
    let device = &prepared.circuit.device;
    match device.curve {
        Some(curve) => line!(
            *working,
            "; ",
            curve.letter(),
            device.rating_a,
            " at ",
            prepared.time.seconds(),
            " s: ",
            limit.value(),
            " ohm (",
            impedance_table(device.device_type),
            ", ",
            VOLTAGE_FACTOR_MIN,
            " x U0)"
        ),
        None => line!(
            *working,
            "; ",
            device.device_type,
            " ",
            device.rating_a,
            " A at ",
            prepared.time.seconds(),
            " s: ",
            limit.value(),
            " ohm (",
            impedance_table(device.device_type),
            ", ",
            VOLTAGE_FACTOR_MIN,
            " x U0)"
        ),
    };
    if let Some(residual_ma) = prepared.residual_ma {
        line!(*working, "; the ", residual_ma, " mA residual device is not counted here");
    }
}
