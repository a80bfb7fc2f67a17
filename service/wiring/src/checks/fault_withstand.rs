//! What the protective conductor withstands: `S >= sqrt(I2t) / k`.
//!
//! The energy never falls with the length of the run: a fault may be anywhere along it, and the worst place counts.

use super::disconnection::{acts_fast, acts_slowly};
use super::judged::JudgedCheck;
use super::names::{CheckName, Verdict};
use super::prepared::Prepared;
use crate::quantities::{Amps, Ohms};
use crate::standards::{DeviceType, LetThrough, SupplyEarthing, TABLE_VOLTAGE};

/// Longest time in which a general residual current device acts at its rating (BS EN 61008, from memory).
pub(crate) const RESIDUAL_S: f64 = 0.3;
/// A breaker that trips at once does so within this time (time-current curves of BS 7671 Appendix 3, from memory).
pub(crate) const AT_ONCE_S: f64 = 0.1;
/// Well above its trip current a breaker breaks within a half cycle of 50 Hz (common practice, no source).
pub(crate) const HALF_CYCLE_S: f64 = 0.01;
/// Nothing is nearer to a source than this; it keeps the current finite where the impedance given is nought.
const LEAST_LOOP_OHM: f64 = 0.001;
const FAST_S: f64 = 0.4;
const SLOW_S: f64 = 5.0;
/// Within this time a device acts at its conventional current (BS EN 60898, BS 88, BS 3036, from memory).
const CONVENTIONAL_S: f64 = 3_600.0;
const CONVENTIONAL_BREAKER: f64 = 1.45;
const CONVENTIONAL_FUSE: f64 = 1.6;
const CONVENTIONAL_REWIRABLE: f64 = 2.0;
/// The guide's exception holds for copper in a 70 degC cable, for which it was made: k of at least this.
const GUIDE_K: f64 = 115.0;

/// The check, and what it was worked from.
pub(crate) struct FaultWithstand {
    pub judged: JudgedCheck,
    /// A fault near the board.
    pub near: NearFault,
    /// One at the far end, where it may flow longer.
    pub far: Option<FarFault>,
    /// The energy of the worst fault, in ampere-squared seconds.
    pub a2s: f64,
    /// The area that it needs, in mm2.
    pub needed_mm2: f64,
    /// A smaller area that the published guide accepts instead, in mm2.
    pub accepted_mm2: Option<f64>,
}

/// What breaks a fault near the board, and what flows until then.
#[derive(Clone, Copy)]
pub(crate) enum NearFault {
    /// With an own electrode the earth limits the current, and the residual current device breaks it.
    Electrode { impedance_ohm: f64, current_a: f64 },
    /// A breaker whose maker says what it lets through, in ampere-squared seconds.
    Maker(f64),
    /// A breaker whose class says it.
    Class(LetThrough),
    /// A breaker of no class, by its trip current and the fault level.
    NoClass { trip_a: f64 },
    /// A fuse, by the slowest point of its table.
    Fuse { current: Amps, impedance: Ohms, seconds: f64 },
}

/// A fault at the far end.
#[derive(Clone, Copy)]
pub(crate) struct FarFault {
    pub current_a: f64,
    pub seconds: f64,
    pub broken: Broken,
}

/// What bounds the time of a fault at the far end.
#[derive(Clone, Copy)]
pub(crate) enum Broken {
    ByResidualDevice,
    WithinFiveSeconds,
    AtConventionalCurrent,
}

impl FarFault {
    fn a2s(self) -> f64 {
        self.current_a * self.current_a * self.seconds
    }
}

impl NearFault {
    fn a2s(self, prepared: &Prepared<'_>) -> f64 {
        match self {
            Self::Electrode { current_a, .. } => current_a * current_a * RESIDUAL_S,
            Self::Maker(a2s) => a2s,
            Self::Class(row) => row.energy_a2s,
            Self::NoClass { trip_a } => {
                let at_trip = trip_a * trip_a * AT_ONCE_S;
                let at_level = (prepared.fault_level.value() * 1_000.0).powi(2) * HALF_CYCLE_S;
                at_trip.max(at_level)
            }
            Self::Fuse { current, seconds, .. } => current.value() * current.value() * seconds,
        }
    }

    /// Whether it rests on the fault level.
    const fn rests_on_level(self) -> bool {
        match self {
            Self::Class(_) | Self::NoClass { .. } => true,
            Self::Electrode { .. } | Self::Maker(_) | Self::Fuse { .. } => false,
        }
    }
}

pub(crate) fn fault_withstand(prepared: &Prepared<'_>) -> FaultWithstand {
    let near = near(prepared);
    let far = far(prepared);
    let near_a2s = near.a2s(prepared);
    // The worse of a fault near the board and one at the far end.
    let worse = far.map(FarFault::a2s).filter(|far_a2s| *far_a2s > near_a2s);
    let a2s = worse.unwrap_or(near_a2s);
    let needed_mm2 = a2s.sqrt() / prepared.k;
    let guide_mm2 = match near {
        NearFault::Class(row) if worse.is_none() => row.guide_cpc_mm2,
        _ => None,
    };
    let accepted_mm2 = guide_mm2.filter(|guide| *guide < needed_mm2 && prepared.k >= GUIDE_K);
    let assumed = worse.is_none() && near.rests_on_level() && prepared.upstream.fault_current_ka.is_none();
    let judged = JudgedCheck::of(
        CheckName::FaultWithstand,
        accepted_mm2.unwrap_or(needed_mm2),
        prepared.loop_parts.area.value(),
        if assumed { Verdict::Advise } else { Verdict::Fail },
    );
    FaultWithstand { judged, near, far, a2s, needed_mm2, accepted_mm2 }
}

fn near(prepared: &Prepared<'_>) -> NearFault {
    if broken_by_residual_device(prepared) {
        electrode(prepared)
    } else if prepared.device.trip.is_some() {
        breaker(prepared)
    } else {
        fuse(prepared)
    }
}

fn broken_by_residual_device(prepared: &Prepared<'_>) -> bool {
    prepared.earthing == SupplyEarthing::Tt && prepared.residual_ma.is_some()
}

/// A fault at the board is broken by the overcurrent device. One at the end may flow longer, where the loop impedance
/// no longer makes that device act at once. What then flows is bounded by constants of the device, not by the run, so
/// that a longer run is never the better one.
fn far(prepared: &Prepared<'_>) -> Option<FarFault> {
    if broken_by_residual_device(prepared) || acts_fast(prepared) {
        return None;
    }
    let device = prepared.device;
    let (current, seconds, broken) = if prepared.residual_ma.is_some() {
        (device.fast_current().or_else(|| device.slow_current()), RESIDUAL_S, Broken::ByResidualDevice)
    } else if acts_slowly(prepared) {
        (device.slow_current(), SLOW_S, Broken::WithinFiveSeconds)
    } else {
        (Some(device.rating * conventional_multiple(prepared)), CONVENTIONAL_S, Broken::AtConventionalCurrent)
    };
    // Every device of the tables has a current for at least one of the two times.
    Some(FarFault { current_a: current.map_or(0.0, Amps::value), seconds, broken })
}

fn conventional_multiple(prepared: &Prepared<'_>) -> f64 {
    match prepared.circuit.device.device_type {
        DeviceType::Breaker | DeviceType::Rcbo => CONVENTIONAL_BREAKER,
        DeviceType::FuseBs3036 => CONVENTIONAL_REWIRABLE,
        DeviceType::FuseBs882 | DeviceType::FuseBs883 | DeviceType::FuseBs1361 | DeviceType::FuseBs1362 => {
            CONVENTIONAL_FUSE
        }
    }
}

/// With an own electrode the earth limits the current, most at the board: the residual current device breaks it.
fn electrode(prepared: &Prepared<'_>) -> NearFault {
    let impedance_ohm = prepared.ze.min(Ohms::new(prepared.upstream.zs_ohm)).value().max(LEAST_LOOP_OHM);
    NearFault::Electrode { impedance_ohm, current_a: prepared.voltage.value() / impedance_ohm }
}

/// A breaker in its instantaneous range: the maker's figure, else the limit of its class at the fault level, else a
/// half cycle of the fault level.
fn breaker(prepared: &Prepared<'_>) -> NearFault {
    if let Some(a2s) = prepared.circuit.device.let_through_a2s {
        NearFault::Maker(a2s)
    } else if let Some(row) = prepared.let_through {
        NearFault::Class(row)
    } else {
        NearFault::NoClass { trip_a: prepared.device.trip.map_or(0.0, Amps::value) }
    }
}

/// A fuse lets through less the more current flows, so the slowest point of the table bounds it.
fn fuse(prepared: &Prepared<'_>) -> NearFault {
    let device = prepared.device;
    match (device.fast_current(), device.zs_max_fast(TABLE_VOLTAGE)) {
        (Some(current), Some(impedance)) => NearFault::Fuse { current, impedance, seconds: FAST_S },
        // Every fuse of the tables has a figure for 5 s.
        _ => NearFault::Fuse {
            current: device.slow_current().unwrap_or(Amps::ZERO),
            impedance: device.zs_max_slow(TABLE_VOLTAGE).unwrap_or(Ohms::ZERO),
            seconds: SLOW_S,
        },
    }
}
