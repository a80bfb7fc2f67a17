//! Whether the device can break the fault current at the board that it stands in.

use super::judged::JudgedCheck;
use super::names::{CheckName, Verdict};
use super::prepared::{Prepared, breaking_capacity_ka};

/// The most that an operator declares for a house, which is seldom met (ENA practice, from memory).
pub(crate) const DECLARED_KA: f64 = 16.0;

/// The check.
pub(crate) fn breaking_capacity(prepared: &Prepared<'_>) -> JudgedCheck {
    let known = prepared.upstream.fault_current_ka;
    let otherwise = if known.is_some() { Verdict::Fail } else { Verdict::Advise };
    let capacity = breaking_capacity_ka(&prepared.circuit.device);
    JudgedCheck::of(CheckName::BreakingCapacity, known.unwrap_or(DECLARED_KA), capacity, otherwise)
}
