//! Protective devices: ratings, the loop impedance that makes them act in time, the energy they let through.

use serde::Deserialize;

use super::look_up::NotInTable;
use super::provenance::Provenance;
use super::vocabulary::{DeviceType, EnergyClass, TripCurve};
use crate::quantities::{Amps, Kiloamps, Ohms, Volts};
use crate::table::rows;

/// Cmin: the lowest voltage of a public supply against its nominal, for the least fault current.
/// Source: BS 7671 411.4.4 and Appendix 3 (from memory); the formula was seen.
pub const VOLTAGE_FACTOR_MIN: f64 = 0.95;

/// The voltage at which the tables of loop impedance are printed.
pub const TABLE_VOLTAGE: Volts = Volts::new(230.0);

/// One rating of a protective device, as the tables have it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OvercurrentDevice {
    /// Rated current.
    pub rating: Amps,
    /// The current that trips a breaker at once; fuses have none.
    pub trip: Option<Amps>,
    zs_fast: Option<Ohms>,
    zs_slow: Option<Ohms>,
}

impl OvercurrentDevice {
    /// Greatest earth fault loop impedance for 0.4 s at the given nominal voltage.
    #[must_use]
    pub fn zs_max_fast(&self, voltage: Volts) -> Option<Ohms> {
        self.zs_fast.map(|limit| limit * (voltage.value() / TABLE_VOLTAGE.value()))
    }

    /// Greatest earth fault loop impedance for 5 s at the given nominal voltage.
    #[must_use]
    pub fn zs_max_slow(&self, voltage: Volts) -> Option<Ohms> {
        self.zs_slow.map(|limit| limit * (voltage.value() / TABLE_VOLTAGE.value()))
    }

    /// The current that makes it act within 0.4 s: of a breaker its trip current, of a fuse what the table implies.
    #[must_use]
    pub fn fast_current(&self) -> Option<Amps> {
        self.trip.or_else(|| self.zs_fast.map(implied_current))
    }

    /// The current that makes it act within 5 s.
    #[must_use]
    pub fn slow_current(&self) -> Option<Amps> {
        self.zs_slow.map(implied_current)
    }
}

/// `Ia = U0 x Cmin / Zs`, the way round in which the tables were made.
fn implied_current(limit: Ohms) -> Amps {
    Amps::new(TABLE_VOLTAGE.value() * VOLTAGE_FACTOR_MIN / limit.value())
}

/// The energy that a circuit-breaker may let through at a fault level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LetThrough {
    /// The fault level of the row, not less than that asked for.
    pub fault_level: Kiloamps,
    /// Energy in ampere-squared seconds.
    pub energy_a2s: f64,
    /// The protective conductor that the published guide accepts though the arithmetic asks for a little more.
    pub guide_cpc_mm2: Option<f64>,
}

/// The tables of devices.
#[derive(Debug, Clone)]
pub(super) struct Devices {
    /// By [`column`].
    devices: Vec<Vec<OvercurrentDevice>>,
    let_through: Vec<LetThroughRow>,
}

#[derive(Deserialize)]
struct DeviceRow {
    device: DeviceType,
    curve: Option<TripCurve>,
    rating_a: Amps,
    ia_a: Option<Amps>,
    zs_0_4s_ohm: Option<Ohms>,
    zs_5s_ohm: Option<Ohms>,
    #[serde(rename = "status")]
    _status: Provenance,
}

#[derive(Debug, Clone, Deserialize)]
struct LetThroughRow {
    class: EnergyClass,
    curve: TripCurve,
    rating_over_a: f64,
    rating_to_a: f64,
    fault_level_a: f64,
    energy_a2s: f64,
    guide_cpc_mm2: Option<f64>,
    #[serde(rename = "status")]
    _status: Provenance,
}

/// A breaker of 40 A may let through 120 % of the limit of the band below it (BS EN 60898-1 annex ZA, from memory).
const FORTY_AMP_ALLOWANCE: f64 = 1.2;
const BAND_TOP_A: f64 = 32.0;
const ALLOWANCE_TOP_A: f64 = 40.0;

/// Where a kind of device and its curve are kept: RCBOs share the figures of breakers.
fn column(device: DeviceType, curve: Option<TripCurve>) -> Option<usize> {
    match (device.is_breaker(), curve) {
        (true, Some(curve)) => Some(curve as usize),
        (false, None) => Some(TripCurve::ALL.len() + device as usize),
        (true, None) | (false, Some(_)) => None,
    }
}

/// The printed table that holds the loop impedances of a kind of device.
pub(crate) const fn impedance_table(device: DeviceType) -> &'static str {
    match device {
        DeviceType::Breaker | DeviceType::Rcbo => "BS 7671 Table 41.3",
        DeviceType::FuseBs882 | DeviceType::FuseBs883 | DeviceType::FuseBs3036 | DeviceType::FuseBs1362 => {
            "BS 7671 Tables 41.2 and 41.4"
        }
        DeviceType::FuseBs1361 => "17th edition Tables 41.2 and 41.4",
    }
}

impl Devices {
    pub(super) fn built_in() -> Self {
        let mut devices = vec![Vec::new(); TripCurve::ALL.len() + DeviceType::ALL.len()];
        let text = include_str!("../../data/protective_devices.csv");
        for row in rows::<DeviceRow>("protective_devices.csv", text) {
            let slot = column(row.device, row.curve).expect("breakers have a curve and fuses none, in our own file");
            devices[slot].push(OvercurrentDevice {
                rating: row.rating_a,
                trip: row.ia_a,
                zs_fast: row.zs_0_4s_ohm,
                zs_slow: row.zs_5s_ohm,
            });
        }
        let text = include_str!("../../data/breaker_let_through.csv");
        Self { devices, let_through: rows("breaker_let_through.csv", text) }
    }

    pub(super) fn device(
        &self,
        device: DeviceType,
        curve: Option<TripCurve>,
        rating: Amps,
    ) -> Result<&OvercurrentDevice, NotInTable> {
        let held = self.ratings(device, curve);
        held.iter().find(|row| (row.rating.value() - rating.value()).abs() < 1e-6).ok_or_else(|| {
            let listed: Vec<String> = held.iter().map(|row| row.rating.value().to_string()).collect();
            let detail = format!("it has no {device} of {rating}; it has {} A", listed.join(", "));
            NotInTable::new(impedance_table(device), detail)
        })
    }

    pub(super) fn ratings(&self, device: DeviceType, curve: Option<TripCurve>) -> &[OvercurrentDevice] {
        column(device, curve).and_then(|slot| self.devices.get(slot)).map_or(&[], Vec::as_slice)
    }

    pub(super) fn let_through(
        &self,
        class: EnergyClass,
        curve: TripCurve,
        rating: Amps,
        fault_level: Kiloamps,
    ) -> Option<LetThrough> {
        let rating_a = rating.value();
        let (band_a, allowance) = if rating_a > BAND_TOP_A && rating_a <= ALLOWANCE_TOP_A {
            (BAND_TOP_A, FORTY_AMP_ALLOWANCE)
        } else {
            (rating_a, 1.0)
        };
        self.let_through
            .iter()
            .filter(|row| {
                row.class == class && row.curve == curve && band_a > row.rating_over_a && band_a <= row.rating_to_a
            })
            .filter(|row| row.fault_level_a + 1e-6 >= fault_level.value() * 1_000.0)
            .min_by(|a, b| a.fault_level_a.total_cmp(&b.fault_level_a))
            .map(|row| LetThrough {
                fault_level: Kiloamps::new(row.fault_level_a / 1_000.0),
                energy_a2s: row.energy_a2s * allowance,
                guide_cpc_mm2: row.guide_cpc_mm2,
            })
    }
}
