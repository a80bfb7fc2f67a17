//! Published worked examples, handbook figures and limits that any electrician knows, one a line or a test.

mod bad_input;
mod capacity;
mod enclosures;
mod faults_and_devices;
mod grouping;
mod loop_impedance;
mod own_electrode;
mod sizes;
mod voltage_drop;

use std::sync::LazyLock;

use super::*;
use crate::checks::*;
use crate::faults::{Fault, FaultCode};
use crate::standards::{
    Burial, CableGrouping, CableType, CircuitUse, DeviceType, EnergyClass, ReferenceMethod, Standards, SupplyEarthing,
    TripCurve,
};

static STANDARDS: LazyLock<Standards> = LazyLock::new(Standards::built_in);

fn supply() -> CircuitSupply {
    CircuitSupply { ze_ohm: Some(0.35), fault_current_ka: Some(1.2), ..CircuitSupply::of(SupplyEarthing::TnCS) }
}

fn rcbo(curve: TripCurve, rating_a: f64) -> ProtectiveDevice {
    ProtectiveDevice { residual_ma: Some(30.0), ..ProtectiveDevice::breaker(DeviceType::Rcbo, curve, rating_a) }
}

fn flat(line_mm2: f64) -> CircuitCable {
    CircuitCable::of(CableType::FlatTwinAndEarth70, line_mm2)
}

/// A radial of flat cable clipped direct behind a type B device, for tests to change.
fn radial(rating_a: f64, line_mm2: f64, length_m: f64) -> CircuitToCheck {
    CircuitToCheck {
        device: rcbo(TripCurve::B, rating_a),
        cable: flat(line_mm2),
        ..CircuitToCheck::radial("C1", CircuitUse::Power, CircuitLoad::amps(rating_a), length_m, ReferenceMethod::C)
    }
}

fn ring(length_m: f64) -> CircuitToCheck {
    CircuitToCheck { arrangement: Some(Arrangement::Ring), ..radial(32.0, 2.5, length_m) }
}

fn checked(circuit: &CircuitToCheck) -> CheckedCircuit {
    checked_on(&supply(), circuit)
}

fn checked_on(supply: &CircuitSupply, circuit: &CircuitToCheck) -> CheckedCircuit {
    check_one(&STANDARDS, supply, circuit, &UpstreamOfCircuit::at_origin(supply)).expect("a circuit without faults")
}

fn check(circuit: &CircuitToCheck, name: CheckName) -> Check {
    checked(circuit).check(name).expect("all seven are there").clone()
}

fn verdict(circuit: &CircuitToCheck, name: CheckName) -> Verdict {
    check(circuit, name).verdict
}

fn pointers(faults: &[Fault]) -> Vec<&str> {
    faults.iter().map(|fault| fault.pointer.as_str()).collect()
}

fn faults(circuit: &CircuitToCheck) -> Vec<Fault> {
    let supply = supply();
    check_one(&STANDARDS, &supply, circuit, &UpstreamOfCircuit::at_origin(&supply)).expect_err("a circuit with faults")
}

fn close(found: f64, published: f64, allowed: f64) {
    assert!((found - published).abs() <= allowed, "{found} against the published {published}");
}
