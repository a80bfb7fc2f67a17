//! Whether the device can break the fault current at the board that it stands in.

use super::answer::{Check, CheckName, CheckUnit, Finding, Verdict};
use super::figure::line;
use super::prepared::Prepared;
use super::request::Device;
use crate::standards::DeviceType;

/// The most that an operator declares for a house, which is seldom met (ENA practice, from memory).
const DECLARED_KA: f64 = 16.0;

/// Rated breaking capacity: as given, or what is usual for the kind (maker's catalogues, from memory).
pub(super) fn breaking_capacity_ka(device: &Device) -> f64 {
    device.breaking_capacity_ka.unwrap_or(match device.device_type {
        DeviceType::Breaker | DeviceType::Rcbo | DeviceType::FuseBs1362 => 6.0,
        DeviceType::FuseBs882 => 80.0,
        DeviceType::FuseBs883 | DeviceType::FuseBs1361 => 16.0,
        DeviceType::FuseBs3036 => 1.0,
    })
}

/// The check.
pub(super) fn breaking_capacity(prepared: &Prepared<'_>) -> Check {
    let mut working = prepared.working(176);
    let device = &prepared.circuit.device;
    let capacity = breaking_capacity_ka(device);
    let known = prepared.upstream.fault_current_ka;
    let level = known.unwrap_or(DECLARED_KA);
    match known {
        Some(level) => line!(working, "prospective fault current at the device ", level, " kA"),
        None => line!(
            working,
            "fault current not given: ",
            DECLARED_KA,
            " kA is the most that an operator declares; measure it, or see the conditional rating of the board"
        ),
    };
    line!(working, "; breaking capacity ", capacity, " kA");
    if device.breaking_capacity_ka.is_none() {
        line!(working, " (usual for ", device.device_type, ")");
    }
    let finding = Finding {
        name: CheckName::BreakingCapacity,
        value: level,
        limit: capacity,
        unit: CheckUnit::Kiloamps,
        clause: "BS 7671 434.5.1",
        otherwise: if known.is_some() { Verdict::Fail } else { Verdict::Advise },
    };
    Check::judge(finding, working)
}
