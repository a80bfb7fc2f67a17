//! Earth faults: whether the loop impedance lets enough current flow for the device to act in time.

use super::judged::{JudgedCheck, round_to_4};
use super::names::{CheckName, Verdict};
use super::prepared::Prepared;
use crate::quantities::Ohms;

/// The check. In TN the overcurrent device alone is held to its limit, even where a residual current device would act.
pub(crate) fn disconnection(prepared: &Prepared<'_>) -> JudgedCheck {
    let limit = prepared.loop_limit.impedance();
    JudgedCheck::of(CheckName::Disconnection, prepared.zs().value(), limit.value(), Verdict::Fail)
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
    limit.is_some_and(|limit| round_to_4(impedance.value()) <= round_to_4(limit.value()))
}
