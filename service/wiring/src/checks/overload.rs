//! Load, device and cable: `Ib <= In` and `In <= Iz`, with the rule of rings.

use super::judged::JudgedCheck;
use super::names::{CheckName, Verdict};
use super::prepared::Prepared;
use crate::standards::{DeviceType, ReferenceMethod};

/// A ring of 30 or 32 A may be wired in a cable of 20 A from 2.5 mm2 on (BS 7671 433.1.204, from memory).
pub(crate) const RING_CABLE_A: f64 = 20.0;
const RING_DEVICE_A_MAX: f64 = 32.0;
const RING_LINE_MM2_MIN: f64 = 2.5;
/// A rewirable fuse protects a cable only to this share (BS 7671 433.1.202, from memory).
const REWIRABLE_SHARE: f64 = 0.725;
/// A buried cable, whose tables assume a ground of 20 degC, is protected to this share (433.1.203, from memory).
pub(super) const BURIED_SHARE: f64 = 0.9;

/// `Ib <= In`.
pub(crate) fn design_current(prepared: &Prepared<'_>) -> JudgedCheck {
    let (ib, rating) = (prepared.ib.value(), prepared.device.rating.value());
    JudgedCheck::of(CheckName::DesignCurrent, ib, rating, Verdict::Fail)
}

/// `In <= Iz`, and what it was worked from.
pub(crate) struct Overload {
    pub judged: JudgedCheck,
    /// What the cable carries as it lies, in amps.
    pub iz_a: f64,
    /// What terminals for 70 degC let it carry, in amps, where that is less.
    pub terminals_a: Option<f64>,
    /// The share of it that the device protects.
    pub protection: Protection,
    /// The largest device that it bears, in amps.
    pub usable_a: f64,
    /// Whether that is by the formulae for a group that is not overloaded all at once.
    pub alone: bool,
    pub ring_rule: RingRule,
}

/// How much of a cable's capacity its device protects.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Protection {
    Whole,
    RewirableFuse,
    Buried,
}

impl Protection {
    fn of(prepared: &Prepared<'_>) -> Self {
        if prepared.circuit.device.device_type == DeviceType::FuseBs3036 {
            Self::RewirableFuse
        } else if prepared.circuit.installation.method == ReferenceMethod::D {
            Self::Buried
        } else {
            Self::Whole
        }
    }

    /// As a fraction of one.
    pub const fn share(self) -> f64 {
        match self {
            Self::Whole => 1.0,
            Self::RewirableFuse => REWIRABLE_SHARE,
            Self::Buried => BURIED_SHARE,
        }
    }
}

/// Whether the rule of rings was taken.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum RingRule {
    /// A ring of 30 or 32 A in 2.5 mm2 or more.
    Taken,
    /// A ring for which the rule is not made.
    Beyond,
    /// A radial, or a ring that needs no rule.
    NotWanted,
}

impl RingRule {
    fn of(prepared: &Prepared<'_>) -> Self {
        let rating = prepared.device.rating.value();
        if !prepared.ring || rating <= RING_CABLE_A {
            Self::NotWanted
        } else if rating <= RING_DEVICE_A_MAX && prepared.line.value() >= RING_LINE_MM2_MIN {
            Self::Taken
        } else {
            Self::Beyond
        }
    }
}

pub(crate) fn overload(prepared: &Prepared<'_>) -> Overload {
    let iz_a = prepared.capacity.rating.iz().value();
    let cooler = prepared.terminal_limited.map(|limited| limited.value() * prepared.capacity.rating.factor());
    let terminals_a = cooler.filter(|cooler| *cooler < iz_a);
    let protection = Protection::of(prepared);
    let ring_rule = RingRule::of(prepared);
    let by_formula = overloaded_alone(prepared, ring_rule, terminals_a);
    let usable_a = by_formula.unwrap_or_else(|| terminals_a.unwrap_or(iz_a)) * protection.share();
    let value = if ring_rule == RingRule::Taken { RING_CABLE_A } else { prepared.device.rating.value() };
    let judged = JudgedCheck::of(CheckName::Overload, value, usable_a, Verdict::Fail);
    Overload { judged, iz_a, terminals_a, protection, usable_a, alone: by_formula.is_some(), ring_rule }
}

/// The largest device where no two of the group are overloaded at once.
fn overloaded_alone(prepared: &Prepared<'_>, ring_rule: RingRule, terminals_a: Option<f64>) -> Option<f64> {
    let capacity = &prepared.capacity.rating;
    let asked = prepared.circuit.installation.simultaneous_overload == Some(false);
    if !asked || ring_rule == RingRule::Taken || terminals_a.is_some() {
        return None;
    }
    alone_a(capacity.iz().value() / capacity.cg, capacity.cg, prepared.ib.value())
}

/// `It >= Ib / Cg` and `It >= sqrt(In^2 + 0.48 Ib^2 (1 - Cg^2) / Cg^2)`, each over `Ca` and `Ci` (BS 7671 Appendix 4, seen),
/// solved for `In`; none where nothing groups, or the first of them does not hold.
pub(super) fn alone_a(ungrouped_a: f64, cg: f64, ib_a: f64) -> Option<f64> {
    const OF_THE_OTHERS: f64 = 0.48;
    if cg >= 1.0 || ib_a > ungrouped_a * cg {
        return None;
    }
    let others = OF_THE_OTHERS * ib_a.powi(2) * (1.0 - cg.powi(2)) / cg.powi(2);
    Some((ungrouped_a.powi(2) - others).max(0.0).sqrt())
}
