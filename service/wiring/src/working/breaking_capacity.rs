//! The working of breaking capacity.

use super::answer::Check;
use super::line::{Working, line};
use crate::checks::{DECLARED_KA, JudgedCheck, Prepared, breaking_capacity_ka};

pub(super) fn breaking_capacity(prepared: &Prepared<'_>, judged: &JudgedCheck) -> Check {
    let mut working = Working::new(176);
    let device = &prepared.circuit.device;
    match prepared.upstream.fault_current_ka {
        Some(level) => line!(working, "Prospective fault current at the device: ", level, " kA"),
        None => line!(
            working,
            "Fault current not given. ",
            DECLARED_KA,
            " kA is the most that an operator declares. Measure it, or see the conditional rating of the board"
        ),
    };
    line!(working, ". Breaking capacity: ", breaking_capacity_ka(device), " kA");
    if device.breaking_capacity_ka.is_none() {
        line!(working, " (usual for ", device.device_type, ")");
    }
    Check::shown(judged, "BS 7671 434.5.1", working)
}
