//! Additional protection by a residual current device of 30 mA.

use super::answer::{Check, CheckName, CheckUnit, Finding, Verdict};
use super::figure::line;
use super::prepared::Prepared;
use super::request::Serves;
use crate::standards::CircuitUse;

/// Additional protection acts at 30 mA or less (BS 7671 415.1.1, from memory).
const ADDITIONAL_MA: f64 = 30.0;

/// The check: the earth current that disconnects, against 30 mA. Without a residual current device that is the current
/// that the overcurrent device needs.
pub(super) fn additional_protection(prepared: &Prepared<'_>) -> Check {
    let mut working = prepared.working(176);
    let value = if let Some(residual_ma) = prepared.residual_ma {
        line!(working, "a residual current device acts at ", residual_ma, " mA");
        residual_ma
    } else {
        let current = prepared.device.fast_current().or_else(|| prepared.device.slow_current());
        let current = current.unwrap_or(prepared.device.rating).value();
        line!(
            working,
            "no residual current device: only the overcurrent device acts, at ",
            current,
            " A = ",
            current * 1_000.0,
            " mA"
        );
        current * 1_000.0
    };
    let armoured = prepared.circuit.cable.cable_type.is_armoured();
    let (limit, clause, otherwise) = match (prepared.serves, prepared.circuit.circuit_use) {
        (Serves::Loads, CircuitUse::Lighting) => (ADDITIONAL_MA, "BS 7671 411.3.4, 415.1.1", Verdict::Fail),
        (Serves::Loads, CircuitUse::Power) => (ADDITIONAL_MA, "BS 7671 411.3.3, 522.6.202, 415.1.1", Verdict::Fail),
        (Serves::Board, _) if armoured => {
            working.push_str("; not asked for of an armoured cable to a board");
            (value.max(ADDITIONAL_MA), "BS 7671 522.6.204", Verdict::Pass)
        }
        (Serves::Board, _) => {
            working.push_str("; to a board asked for only where the cable is hidden in a wall less than 50 mm deep");
            (ADDITIONAL_MA, "BS 7671 522.6.202", Verdict::Advise)
        }
    };
    let finding =
        Finding { name: CheckName::AdditionalProtection, value, limit, unit: CheckUnit::Milliamps, clause, otherwise };
    Check::judge(finding, working)
}
