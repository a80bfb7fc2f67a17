//! What a circuit or a supply may not be, whatever the tables say. The limits are those of the published schema.

use std::ops::RangeInclusive;

use super::request::{Arrangement, CircuitLoad, CircuitSupply, CircuitToCheck, UpstreamOfCircuit};
use crate::faults::{Fault, FaultCode};
use crate::limits::{IDENTIFIER_CHARACTERS_MAX, LENGTH_M_MAX, LOAD_KW_MAX, TEXT_CHARACTERS_MAX};
use crate::standards::{CableType, DeviceType, ReferenceMethod};

/// Greatest design current, in amps.
pub const CURRENT_A_MAX: f64 = 1_000.0;
const VOLTAGE_V: RangeInclusive<f64> = 100.0..=400.0;
const IMPEDANCE_OHM_MAX: f64 = 2_000.0;
const FAULT_CURRENT_KA_MAX: f64 = 50.0;
const RESIDUAL_MA: RangeInclusive<f64> = 5.0..=1_000.0;
const RATING_A_MAX: f64 = 400.0;
const BREAKING_CAPACITY_KA_MAX: f64 = 150.0;
const LET_THROUGH_A2S_MAX: f64 = 1e8;
const SIZE_MM2_MAX: f64 = 1_000.0;
const AMBIENT_C: RangeInclusive<f64> = -20.0..=100.0;
const GROUPED_CIRCUITS_MAX: u32 = 100;
const INSULATION_MM_MAX: f64 = 1e6;
const SOIL_K_M_PER_W_MAX: f64 = 10.0;
const DEPTH_M_MAX: f64 = 10.0;

/// Faults of a supply; pointers begin at the supply.
pub(crate) fn supply(supply: &CircuitSupply, faults: &mut Vec<Fault>) {
    within("/voltage_v", supply.voltage_v, VOLTAGE_V, faults);
    within("/ze_ohm", supply.ze_ohm, 0.0..=IMPEDANCE_OHM_MAX, faults);
    above_nought("/fault_current_ka", supply.fault_current_ka, FAULT_CURRENT_KA_MAX, faults);
    within("/residual_ma", supply.residual_ma, RESIDUAL_MA, faults);
}

/// Faults of what is upstream; pointers begin there.
pub(crate) fn upstream(upstream: &UpstreamOfCircuit, faults: &mut Vec<Fault>) {
    within("/voltage_drop_v", Some(upstream.voltage_drop_v), 0.0..=*VOLTAGE_V.end(), faults);
    within("/zs_ohm", Some(upstream.zs_ohm), 0.0..=IMPEDANCE_OHM_MAX, faults);
    above_nought("/fault_current_ka", upstream.fault_current_ka, FAULT_CURRENT_KA_MAX, faults);
    within("/residual_ma", upstream.residual_ma, RESIDUAL_MA, faults);
}

/// Faults of a circuit by itself; pointers begin at the circuit.
pub(crate) fn circuit(circuit: &CircuitToCheck, faults: &mut Vec<Fault>) {
    let characters = circuit.id.chars().count();
    if characters == 0 || characters > IDENTIFIER_CHARACTERS_MAX {
        let detail = format!("`id` has {characters} characters; give 1 to {IDENTIFIER_CHARACTERS_MAX}");
        faults.push(Fault::new("/id", FaultCode::OutOfRange, detail));
    }
    let characters = circuit.name.as_ref().map_or(0, |name| name.chars().count());
    if characters > TEXT_CHARACTERS_MAX {
        let detail = format!("`name` has {characters} characters; give at most {TEXT_CHARACTERS_MAX}");
        faults.push(Fault::new("/name", FaultCode::OutOfRange, detail));
    }
    above_nought("/length_m", Some(circuit.length_m), LENGTH_M_MAX, faults);
    within("/disconnection_s", circuit.disconnection_s, 0.1..=5.0, faults);
    load(&circuit.load, faults);
    device(circuit, faults);
    cable(circuit, faults);
    installation(circuit, faults);
    super::enclosure::faults(circuit, faults);
}

/// Faults of a load; pointers begin at what holds it.
pub(crate) fn load(load: &CircuitLoad, faults: &mut Vec<Fault>) {
    above_nought("/load/load_kw", load.load_kw, LOAD_KW_MAX, faults);
    above_nought("/load/current_a", load.current_a, CURRENT_A_MAX, faults);
    match (load.load_kw, load.current_a) {
        (Some(_), Some(_)) => {
            let detail = "both `load_kw` and `current_a` are given; give one of them";
            faults.push(Fault::new("/load", FaultCode::Contradiction, detail));
        }
        (None, None) => {
            let detail = "neither `load_kw` nor `current_a` is given; give one of them";
            faults.push(Fault::new("/load", FaultCode::MissingField, detail));
        }
        (Some(_), None) | (None, Some(_)) => {}
    }
}

fn device(circuit: &CircuitToCheck, faults: &mut Vec<Fault>) {
    let device = &circuit.device;
    above_nought("/device/rating_a", Some(device.rating_a), RATING_A_MAX, faults);
    within("/device/residual_ma", device.residual_ma, RESIDUAL_MA, faults);
    above_nought("/device/breaking_capacity_ka", device.breaking_capacity_ka, BREAKING_CAPACITY_KA_MAX, faults);
    above_nought("/device/let_through_a2s", device.let_through_a2s, LET_THROUGH_A2S_MAX, faults);
    curve(device.device_type, device.curve.is_some(), faults);
    energy_class(device.device_type, device.energy_class.is_some(), faults);
    if device.device_type == DeviceType::Rcbo && device.residual_ma.is_none() {
        let detail = "an RCBO (`rcbo`) has a residual operating current. Give `residual_ma`";
        faults.push(Fault::new("/device/residual_ma", FaultCode::MissingField, detail));
    }
}

/// Breakers are marked with a class of energy, fuses are not.
pub(crate) fn energy_class(device: DeviceType, given: bool, faults: &mut Vec<Fault>) {
    if !device.is_breaker() && given {
        let detail = format!("`{device}` is a fuse and has no class of energy; leave `energy_class` out");
        faults.push(Fault::new("/device/energy_class", FaultCode::Contradiction, detail));
    }
}

/// A breaker has a trip curve, a fuse none.
pub(crate) fn curve(device: DeviceType, given: bool, faults: &mut Vec<Fault>) {
    if device.is_breaker() && !given {
        let detail = format!("`{device}` has a trip curve; give `curve` as b, c or d");
        faults.push(Fault::new("/device/curve", FaultCode::MissingField, detail));
    }
    if !device.is_breaker() && given {
        let detail = format!("`{device}` is a fuse and has no trip curve; leave `curve` out");
        faults.push(Fault::new("/device/curve", FaultCode::Contradiction, detail));
    }
}

fn cable(circuit: &CircuitToCheck, faults: &mut Vec<Fault>) {
    let cable = &circuit.cable;
    above_nought("/cable/line_mm2", Some(cable.line_mm2), SIZE_MM2_MAX, faults);
    above_nought("/cable/cpc_mm2", cable.cpc_mm2, SIZE_MM2_MAX, faults);
    if cable.cores.is_some_and(|cores| !(2..=4).contains(&cores)) {
        let detail = format!("`cores` is {}; give 2, 3 or 4", cable.cores.unwrap_or_default());
        faults.push(Fault::new("/cable/cores", FaultCode::OutOfRange, detail));
    }
    if cable.cores.is_some() && !cable.cable_type.is_armoured() {
        let detail = format!("`cores` is for armoured cables; leave it out of `{}`", cable.cable_type);
        faults.push(Fault::new("/cable/cores", FaultCode::Contradiction, detail));
    }
    if cable.cable_type == CableType::SingleCore70 && cable.cpc_mm2.is_none() {
        let detail = "single-core cables have their protective conductor beside them; give `cpc_mm2`";
        faults.push(Fault::new("/cable/cpc_mm2", FaultCode::MissingField, detail));
    }
    if cable.cable_type != CableType::SingleCore70 && cable.cpc_mm2.is_some_and(|cpc| cpc > cable.line_mm2) {
        let detail = format!(
            "`cpc_mm2` is {} and `line_mm2` {}; no such cable is made with a protective conductor above its line conductor",
            cable.cpc_mm2.unwrap_or_default(),
            cable.line_mm2
        );
        faults.push(Fault::new("/cable/cpc_mm2", FaultCode::Contradiction, detail));
    }
}

fn installation(circuit: &CircuitToCheck, faults: &mut Vec<Fault>) {
    installation_figures(&circuit.installation, faults);
    if circuit.arrangement == Some(Arrangement::Ring) && circuit.installation.method == ReferenceMethod::D {
        let detail = "a ring is not laid in the ground; give a radial, or another method";
        faults.push(Fault::new("/arrangement", FaultCode::Contradiction, detail));
    }
}

/// Faults of how a cable lies; pointers begin at what holds the installation.
pub(crate) fn installation_figures(installation: &super::request::InstallationConditions, faults: &mut Vec<Fault>) {
    let buried = installation.method == ReferenceMethod::D;
    within("/installation/ambient_c", installation.ambient_c, AMBIENT_C, faults);
    within("/installation/insulation_mm", installation.insulation_mm, 0.0..=INSULATION_MM_MAX, faults);
    above_nought("/installation/soil_k_m_per_w", installation.soil_k_m_per_w, SOIL_K_M_PER_W_MAX, faults);
    above_nought("/installation/depth_m", installation.depth_m, DEPTH_M_MAX, faults);
    let grouped = installation.grouped_circuits.unwrap_or(1);
    if grouped == 0 || grouped > GROUPED_CIRCUITS_MAX {
        let detail = format!("`grouped_circuits` is {grouped}; give 1 to {GROUPED_CIRCUITS_MAX}, itself included");
        faults.push(Fault::new("/installation/grouped_circuits", FaultCode::OutOfRange, detail));
    }
    if buried && grouped > 1 {
        let detail = "not in our tables: buried cables that lie together go by BS 7671 Tables 4C2 and 4C3, which are not \
                      held; give 1";
        faults.push(Fault::new("/installation/grouped_circuits", FaultCode::NotInTable, detail));
    }
    if let Some(grouping) = installation.grouping {
        use crate::standards::CableGrouping;
        let fits = match grouping {
            CableGrouping::Bunched => true,
            CableGrouping::SingleLayer => installation.method == ReferenceMethod::C,
            CableGrouping::Tray | CableGrouping::Ladder => installation.method == ReferenceMethod::E,
        };
        if !fits {
            let method = installation.method;
            let detail =
                format!("not in BS 7671 Table 4C1: `{grouping}` does not go with method {method}; give `bunched`");
            faults.push(Fault::new("/installation/grouping", FaultCode::NotInTable, detail));
        }
    }
    let buried_only = [
        ("burial", installation.burial.is_some()),
        ("soil_k_m_per_w", installation.soil_k_m_per_w.is_some()),
        ("depth_m", installation.depth_m.is_some()),
    ];
    for (field, _) in buried_only.into_iter().filter(|(_, given)| *given && !buried) {
        let detail = format!("`{field}` is for method d only; leave it out of method {}", installation.method);
        faults.push(Fault::new(format!("/installation/{field}"), FaultCode::Contradiction, detail));
    }
}

fn within(pointer: &str, value: Option<f64>, range: RangeInclusive<f64>, faults: &mut Vec<Fault>) {
    let Some(value) = value else { return };
    if !range.contains(&value) {
        let field = pointer.rsplit('/').next().unwrap_or_default();
        let detail = format!("`{field}` is {value}; give {} to {}", range.start(), range.end());
        faults.push(Fault::new(pointer, FaultCode::OutOfRange, detail));
    }
}

fn above_nought(pointer: &str, value: Option<f64>, max: f64, faults: &mut Vec<Fault>) {
    let Some(value) = value else { return };
    // Not a number is not above nought either.
    if !(value > 0.0 && value <= max) {
        let field = pointer.rsplit('/').next().unwrap_or_default();
        let detail = format!("`{field}` is {value}; give more than 0 and at most {max}");
        faults.push(Fault::new(pointer, FaultCode::OutOfRange, detail));
    }
}
