//! Additional protection by a residual current device of 30 mA.

use super::judged::JudgedCheck;
use super::names::{CheckName, Verdict};
use super::prepared::Prepared;
use super::request::Serves;

/// Additional protection acts at 30 mA or less (BS 7671 415.1.1, from memory).
const ADDITIONAL_MA: f64 = 30.0;

/// The check: the earth current that disconnects, against 30 mA.
pub(crate) fn additional_protection(prepared: &Prepared<'_>) -> JudgedCheck {
    let value = prepared.residual_ma.unwrap_or_else(|| overcurrent_a(prepared) * 1_000.0);
    let (limit, otherwise) = match prepared.serves {
        Serves::Loads => (ADDITIONAL_MA, Verdict::Fail),
        Serves::Board if prepared.circuit.cable.cable_type.is_armoured() => (value.max(ADDITIONAL_MA), Verdict::Pass),
        Serves::Board => (ADDITIONAL_MA, Verdict::Advise),
    };
    JudgedCheck::of(CheckName::AdditionalProtection, value, limit, otherwise)
}

/// The earth current that disconnects without a residual current device: what the overcurrent device needs.
pub(crate) fn overcurrent_a(prepared: &Prepared<'_>) -> f64 {
    let current = prepared.device.fast_current().or_else(|| prepared.device.slow_current());
    current.unwrap_or(prepared.device.rating).value()
}
