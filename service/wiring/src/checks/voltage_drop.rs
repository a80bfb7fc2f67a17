//! Voltage drop from the origin to the far end, in percent of nominal.

use super::judged::JudgedCheck;
use super::names::{CheckName, Verdict};
use super::prepared::{Prepared, RING_SHARE};
use super::request::LoadSpread;
use crate::quantities::{Amps, Volts};
use crate::standards::DeviceType;

/// What a ring is taken to carry half way round before the rest is spread (the reading of the On-Site Guide that gives
/// its published 106 m).
pub(crate) const RING_FAR_A: f64 = 20.0;
/// A current that is spread evenly drops half as much as one at the end.
const EVEN_SHARE: f64 = 0.5;
/// Above this the table's figure has a reactance, which a cooler conductor does not lessen.
const RESISTIVE_MM2_MAX: f64 = 16.0;
/// The formula of Ct refers copper to 230 degC below nought and the tables to air at 30 degC.
pub(crate) const COPPER_C: f64 = 230.0;
pub(crate) const TABLE_AIR_C: f64 = 30.0;

/// The check, and what it was worked from.
pub(crate) struct VoltageDrop {
    pub judged: JudgedCheck,
    pub load: EffectiveLoad,
    pub correction: Correction,
    /// What this circuit drops.
    pub own: Volts,
    /// From the origin to the end.
    pub total: Volts,
    /// The same in percent of nominal.
    pub percent: f64,
}

/// The load as it counts for the drop.
#[derive(Clone, Copy)]
pub(crate) enum EffectiveLoad {
    /// All of it at the far end.
    AtEnd { effective: Amps },
    /// Spread evenly, which counts half.
    Even { effective: Amps },
    /// Of a ring, all of it half way round.
    HalfWayRound { effective: Amps },
    /// Of a ring, 20 A half way round and the rest spread evenly.
    RestSpread { rest_a: f64, effective: Amps },
}

impl EffectiveLoad {
    fn of(prepared: &Prepared<'_>) -> Self {
        let ib = prepared.ib;
        match prepared.spread() {
            Some(LoadSpread::AtEnd) => Self::AtEnd { effective: ib },
            Some(LoadSpread::Even) => Self::Even { effective: ib * EVEN_SHARE },
            None if ib.value() > RING_FAR_A => {
                let rest_a = ib.value() - RING_FAR_A;
                Self::RestSpread { rest_a, effective: Amps::new(RING_FAR_A + rest_a * EVEN_SHARE) }
            }
            None => Self::HalfWayRound { effective: ib },
        }
    }

    /// The current that, at the far end alone, would drop what the load as it is spread drops.
    pub const fn effective(self) -> Amps {
        match self {
            Self::AtEnd { effective }
            | Self::Even { effective }
            | Self::HalfWayRound { effective }
            | Self::RestSpread { effective, .. } => effective,
        }
    }
}

/// Whether the drop was corrected for the temperature that the load makes.
#[derive(Clone, Copy)]
pub(crate) enum Correction {
    /// Not asked for.
    NotAsked,
    /// Asked for, and not made above 16 mm2 or with rewirable fuses.
    NotMade,
    /// `Ct = (230 + tp - (Ca^2 Cg^2 - Ib^2 / It^2)(tp - 30)) / (230 + tp)` (BS 7671 Appendix 4 section 6.1). Ci is taken
    /// with Ca and Cg, which makes the conductor warmer: on the safe side.
    Ct { rated_c: f64, factors: f64, loaded: f64, ct: f64 },
}

impl Correction {
    fn of(prepared: &Prepared<'_>, effective: Amps) -> Self {
        if !prepared.drop_at_operating_temperature() {
            return Self::NotAsked;
        }
        if prepared.line.value() > RESISTIVE_MM2_MAX || prepared.circuit.device.device_type == DeviceType::FuseBs3036 {
            return Self::NotMade;
        }
        let rated_c = prepared.circuit.cable.cable_type.conductor_temperature().value();
        let factors = (prepared.capacity.rating.ca * prepared.capacity.rating.cg * prepared.capacity.rating.ci).powi(2);
        let loaded =
            (conductor_current(prepared, effective).value() / prepared.capacity.rating.tabulated.value()).powi(2);
        let ct = (COPPER_C + rated_c - (factors - loaded) * (rated_c - TABLE_AIR_C)) / (COPPER_C + rated_c);
        Self::Ct { rated_c, factors, loaded, ct }
    }
}

/// The current that warms the conductor: of a ring each leg carries half, by the reading that gives the published 106 m
/// half of the current that counts for the drop.
fn conductor_current(prepared: &Prepared<'_>, effective: Amps) -> Amps {
    match (prepared.ring, prepared.spread()) {
        (false, _) => prepared.ib,
        (true, None) => effective * EVEN_SHARE,
        (true, Some(_)) => prepared.ib * EVEN_SHARE,
    }
}

pub(crate) fn voltage_drop(prepared: &Prepared<'_>) -> VoltageDrop {
    let load = EffectiveLoad::of(prepared);
    let correction = Correction::of(prepared, load.effective());
    let mut own = prepared.drop.drop(load.effective(), prepared.length);
    if prepared.ring {
        own = own * RING_SHARE;
    }
    if let Correction::Ct { ct, .. } = correction {
        own = own * ct;
    }
    let total = Volts::new(prepared.upstream.voltage_drop_v) + own;
    let percent = total.value() / prepared.voltage.value() * 100.0;
    let judged = JudgedCheck::of(CheckName::VoltageDrop, percent, prepared.drop_limit_percent, Verdict::Fail);
    VoltageDrop { judged, load, correction, own, total, percent }
}
