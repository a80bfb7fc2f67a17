//! What the protective conductor withstands: `S >= sqrt(I2t) / k`.
//!
//! The energy never falls with the length of the run: a fault may be anywhere along it, and the worst place counts.

use super::answer::{Check, CheckName, CheckUnit, Finding, Verdict};
use super::disconnection::{acts_fast, acts_slowly};
use super::figure::{Working, line};
use super::prepared::Prepared;
use crate::quantities::{Amps, Ohms};
use crate::standards::{DeviceType, EnergyClass, SupplyEarthing, TABLE_VOLTAGE, VOLTAGE_FACTOR_MIN};

/// Longest time in which a general residual current device acts at its rating (BS EN 61008, from memory).
const RESIDUAL_S: f64 = 0.3;
/// A breaker that trips at once does so within this time (time-current curves of BS 7671 Appendix 3, from memory).
const AT_ONCE_S: f64 = 0.1;
/// Well above its trip current a breaker breaks within a half cycle of 50 Hz (common practice, no source).
const HALF_CYCLE_S: f64 = 0.01;
/// Nothing is nearer to a source than this; it keeps the current finite where the impedance given is nought.
const LEAST_LOOP_OHM: f64 = 0.001;
const FAST_S: f64 = 0.4;
const SLOW_S: f64 = 5.0;
/// Within this time a device acts at its conventional current (BS EN 60898, BS 88, BS 3036, from memory).
const CONVENTIONAL_S: f64 = 3_600.0;
const CONVENTIONAL_BREAKER: f64 = 1.45;
const CONVENTIONAL_FUSE: f64 = 1.6;
const CONVENTIONAL_REWIRABLE: f64 = 2.0;

/// The energy of the worst fault, and how sure it is.
struct Energy {
    a2s: f64,
    /// An area that the published guide accepts instead.
    guide_mm2: Option<f64>,
    /// Whether it rests on a fault level that was not given.
    assumed: bool,
}

impl Energy {
    const fn sure(a2s: f64) -> Self {
        Self { a2s, guide_mm2: None, assumed: false }
    }

    /// The worse of a fault near the board and one at the far end.
    fn or_at_the_end(self, far_a2s: f64) -> Self {
        if far_a2s > self.a2s { Self::sure(far_a2s) } else { self }
    }
}

/// The check.
pub(super) fn fault_withstand(prepared: &Prepared<'_>) -> Check {
    let mut working = prepared.working(240);
    let energy = energy(prepared, &mut working);
    let needed = energy.a2s.sqrt() / prepared.k;
    line!(working, "; S = sqrt(", energy.a2s, " A2s) / ", prepared.k, " = ", needed, " mm2");
    // The guide's exception holds for copper in a 70 degC cable, for which it was made.
    let accepted = energy.guide_mm2.filter(|guide| *guide < needed && prepared.k >= GUIDE_K);
    if let Some(guide) = accepted {
        line!(working, "; the On-Site Guide accepts ", guide, " mm2 here (from memory)");
    }
    let finding = Finding {
        name: CheckName::FaultWithstand,
        value: accepted.unwrap_or(needed),
        limit: prepared.loop_parts.area.value(),
        unit: CheckUnit::SquareMillimetres,
        clause: "BS 7671 543.1.3",
        otherwise: if energy.assumed { Verdict::Advise } else { Verdict::Fail },
    };
    Check::judge(finding, working)
}

const GUIDE_K: f64 = 115.0;

/// A fault at the board is broken by the overcurrent device. One at the end may flow longer, where the loop impedance
/// no longer makes that device act at once. What then flows is bounded by constants of the device, not by the run, so
/// that a longer run is never the better one.
fn energy(prepared: &Prepared<'_>, working: &mut Working) -> Energy {
    if prepared.earthing == SupplyEarthing::Tt && prepared.residual_ma.is_some() {
        return electrode(prepared, working);
    }
    let near = if prepared.device.trip.is_some() { breaker(prepared, working) } else { fuse(prepared, working) };
    if acts_fast(prepared) {
        near
    } else if prepared.residual_ma.is_some() {
        let current = prepared.device.fast_current().or_else(|| prepared.device.slow_current());
        near.or_at_the_end(far_energy(current, RESIDUAL_S, "broken by the residual current device", working))
    } else if acts_slowly(prepared) {
        near.or_at_the_end(far_energy(prepared.device.slow_current(), SLOW_S, "the 5 s point of the table", working))
    } else {
        let current = prepared.device.rating * conventional_multiple(prepared);
        near.or_at_the_end(far_energy(
            Some(current),
            CONVENTIONAL_S,
            "not certain to be broken within 5 s, the conventional current of the device",
            working,
        ))
    }
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

fn far_energy(current: Option<Amps>, seconds: f64, reason: &str, working: &mut Working) -> f64 {
    // Every device of the tables has a current for at least one of the two times.
    let current = current.map_or(0.0, Amps::value);
    line!(*working, "; at the end (", current, " A)^2 x ", seconds, " s (", reason, ")");
    current * current * seconds
}

/// With an own electrode the earth limits the current, most at the board: the residual current device breaks it.
fn electrode(prepared: &Prepared<'_>, working: &mut Working) -> Energy {
    let impedance = prepared.ze.min(Ohms::new(prepared.upstream.zs_ohm)).value().max(LEAST_LOOP_OHM);
    let current = prepared.voltage.value() / impedance;
    line!(
        *working,
        "I = ",
        prepared.voltage.value(),
        " V / ",
        impedance,
        " ohm = ",
        current,
        " A, broken by the residual current device within ",
        RESIDUAL_S,
        " s"
    );
    Energy::sure(current * current * RESIDUAL_S)
}

/// A breaker in its instantaneous range: the maker's figure, else the limit of its class at the fault level, else a
/// half cycle of the fault level.
fn breaker(prepared: &Prepared<'_>, working: &mut Working) -> Energy {
    if let Some(a2s) = prepared.circuit.device.let_through_a2s {
        line!(*working, "energy let through ", a2s, " A2s (maker's figure)");
        return Energy::sure(a2s);
    }
    let known = prepared.upstream.fault_current_ka.is_some();
    let level = prepared.fault_level.value();
    if !known {
        line!(*working, "fault level not given, taken as ", level, " kA; ");
    }
    if let Some(row) = prepared.let_through {
        line!(
            *working,
            "energy let through at ",
            level,
            " kA, ",
            prepared.circuit.device.energy_class.map_or("class 3", class_words),
            " limit for ",
            row.fault_level.value(),
            " kA: ",
            row.energy_a2s,
            " A2s (BS EN 60898-1 annex ZA)"
        );
        return Energy { a2s: row.energy_a2s, guide_mm2: row.guide_cpc_mm2, assumed: !known };
    }
    let trip = prepared.device.trip.map_or(0.0, Amps::value);
    let at_trip = trip * trip * AT_ONCE_S;
    let at_level = (level * 1_000.0).powi(2) * HALF_CYCLE_S;
    line!(
        *working,
        "no class limit, hold it against the maker's figure: the greater of (",
        trip,
        " A)^2 x ",
        AT_ONCE_S,
        " s and (",
        level,
        " kA)^2 x ",
        HALF_CYCLE_S,
        " s"
    );
    Energy { a2s: at_trip.max(at_level), guide_mm2: None, assumed: !known }
}

const fn class_words(class: EnergyClass) -> &'static str {
    match class {
        EnergyClass::Class2 => "class 2",
        EnergyClass::Class3 => "class 3",
    }
}

/// A fuse lets through less the more current flows, so the slowest point of the table bounds it.
fn fuse(prepared: &Prepared<'_>, working: &mut Working) -> Energy {
    let device = prepared.device;
    let (current, impedance, seconds) = match (device.fast_current(), device.zs_max_fast(TABLE_VOLTAGE)) {
        (Some(current), Some(impedance)) => (current, impedance, FAST_S),
        // Every fuse of the tables has a figure for 5 s.
        _ => (
            device.slow_current().unwrap_or(Amps::ZERO),
            device.zs_max_slow(TABLE_VOLTAGE).unwrap_or(Ohms::ZERO),
            SLOW_S,
        ),
    };
    line!(
        *working,
        "energy let through at most that of Ia = ",
        TABLE_VOLTAGE.value(),
        " V x ",
        VOLTAGE_FACTOR_MIN,
        " / ",
        impedance.value(),
        " ohm = ",
        current.value(),
        " A for ",
        seconds,
        " s"
    );
    Energy::sure(current.value() * current.value() * seconds)
}
