//! The greatest earth fault loop impedance with which a device acts in time.

use super::request::Serves;
use crate::quantities::{Ohms, Volts};
use crate::standards::{OvercurrentDevice, SupplyEarthing};

/// Touch voltage that an own electrode may raise (BS 7671 411.5.3, from memory).
pub(crate) const TOUCH_VOLTAGE_V: f64 = 50.0;

/// The times for which the tables give loop impedances.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum DisconnectionTime {
    /// 0.2 s: final circuits with an own electrode.
    Fifth,
    /// 0.4 s: final circuits.
    TwoFifths,
    /// 1 s: distribution circuits with an own electrode.
    One,
    /// 5 s: distribution circuits.
    Five,
}

impl DisconnectionTime {
    pub const ALL: [Self; 4] = [Self::Fifth, Self::TwoFifths, Self::One, Self::Five];

    pub const fn seconds(self) -> f64 {
        match self {
            Self::Fifth => 0.2,
            Self::TwoFifths => 0.4,
            Self::One => 1.0,
            Self::Five => 5.0,
        }
    }

    /// By the rules where none was asked for (BS 7671 411.3.2.2 to 411.3.2.4, from memory).
    pub const fn by_rule(earthing: SupplyEarthing, serves: Serves) -> Self {
        match (earthing, serves) {
            (SupplyEarthing::Tt, Serves::Loads) => Self::Fifth,
            (SupplyEarthing::Tt, Serves::Board) => Self::One,
            (SupplyEarthing::TnCS | SupplyEarthing::TnS, Serves::Loads) => Self::TwoFifths,
            (SupplyEarthing::TnCS | SupplyEarthing::TnS, Serves::Board) => Self::Five,
        }
    }
}

/// The greatest loop impedance that is allowed.
#[derive(Clone, Copy)]
pub(crate) enum LoopLimit {
    /// By the overcurrent device.
    Overcurrent(Ohms),
    /// By the residual current device of an own electrode, in milliamps.
    Residual(Ohms, f64),
}

impl LoopLimit {
    /// By the residual current device of an own electrode, where it has one.
    pub fn residual(earthing: SupplyEarthing, residual_ma: Option<f64>) -> Option<Self> {
        let residual_ma = residual_ma.filter(|_| earthing == SupplyEarthing::Tt)?;
        Some(Self::Residual(Ohms::new(TOUCH_VOLTAGE_V * 1_000.0 / residual_ma), residual_ma))
    }

    /// By the overcurrent device. A breaker trips at once or not, so that the 0.4 s figure holds for 0.2 s too; a fuse has
    /// no figure for 0.2 s. For 1 s the 0.4 s figure is taken, which is on the safe side.
    pub fn overcurrent(device: &OvercurrentDevice, time: DisconnectionTime, voltage: Volts) -> Option<Self> {
        let limit = match time {
            DisconnectionTime::Fifth if device.trip.is_none() => None,
            DisconnectionTime::Fifth | DisconnectionTime::TwoFifths | DisconnectionTime::One => {
                device.zs_max_fast(voltage)
            }
            DisconnectionTime::Five => device.zs_max_slow(voltage),
        };
        limit.map(Self::Overcurrent)
    }

    pub const fn impedance(self) -> Ohms {
        match self {
            Self::Overcurrent(limit) | Self::Residual(limit, _) => limit,
        }
    }
}
