//! The working of additional protection.

use super::answer::Check;
use super::line::{Working, line};
use crate::checks::{JudgedCheck, Prepared, Serves, overcurrent_a};
use crate::standards::CircuitUse;

pub(super) fn additional_protection(prepared: &Prepared<'_>, judged: &JudgedCheck) -> Check {
    let mut working = Working::new(176);
    if let Some(residual_ma) = prepared.residual_ma {
        line!(working, "An RCD acts at ", residual_ma, " mA");
    } else {
        let current = overcurrent_a(prepared);
        line!(working, "No RCD. Only the overcurrent device acts, at ", current, " A = ", current * 1_000.0, " mA");
    }
    let armoured = prepared.circuit.cable.cable_type.is_armoured();
    let clause = match (prepared.serves, prepared.circuit.circuit_use) {
        (Serves::Loads, CircuitUse::Lighting) => "BS 7671 411.3.4, 415.1.1",
        (Serves::Loads, CircuitUse::Power) => "BS 7671 411.3.3, 522.6.202, 415.1.1",
        (Serves::Board, _) if armoured => {
            working.push_str(". Not asked for where an armoured cable feeds a board");
            "BS 7671 522.6.204"
        }
        (Serves::Board, _) => {
            working
                .push_str(". A feed to a board needs it only where the cable is hidden in a wall less than 50 mm deep");
            "BS 7671 522.6.202"
        }
    };
    Check::shown(judged, clause, working)
}
