//! One circuit, checked and shown.

use super::answer::CheckedCircuit;
use super::{
    additional_protection, advice, breaking_capacity, disconnection, enclosure, fault_withstand, overload, voltage_drop,
};
use crate::checks::{Checks, CircuitSupply, CircuitToCheck, Prepared, Serves, UpstreamOfCircuit, prepare};
use crate::faults::Fault;
use crate::standards::Standards;

/// Checks one circuit and shows the working: about a microsecond. `upstream` is what it finds at its board:
/// [`UpstreamOfCircuit::at_origin`] or [`CheckedCircuit::feeds`].
///
/// # Errors
/// Every fault, with pointers that begin at the circuit, such as `/cable/line_mm2`.
///
/// ```
/// use wiring::checks::{
///     CheckName, CircuitCable, CircuitLoad, CircuitSupply, CircuitToCheck, ProtectiveDevice, UpstreamOfCircuit, Verdict,
/// };
/// use wiring::standards::{CableType, CircuitUse, DeviceType, ReferenceMethod, Standards, SupplyEarthing, TripCurve};
/// use wiring::working::check_one;
///
/// let standards = Standards::built_in();
/// let supply = CircuitSupply { ze_ohm: Some(0.35), fault_current_ka: Some(1.2), ..CircuitSupply::of(SupplyEarthing::TnCS) };
/// let shower = CircuitToCheck {
///     device: ProtectiveDevice { residual_ma: Some(30.0), ..ProtectiveDevice::breaker(DeviceType::Rcbo, TripCurve::B, 45.0) },
///     cable: CircuitCable::of(CableType::FlatTwinAndEarth70, 10.0),
///     ..CircuitToCheck::radial("shower", CircuitUse::Power, CircuitLoad::kilowatts(9.5), 18.0, ReferenceMethod::C)
/// };
/// let checked = check_one(&standards, &supply, &shower, &UpstreamOfCircuit::at_origin(&supply)).expect("no faults");
/// assert_eq!(checked.verdict, Verdict::Pass);
/// assert_eq!(checked.check(CheckName::Disconnection).map(|check| check.limit), Some(0.97));
/// ```
pub fn check_one(
    standards: &Standards,
    supply: &CircuitSupply,
    circuit: &CircuitToCheck,
    upstream: &UpstreamOfCircuit,
) -> Result<CheckedCircuit, Vec<Fault>> {
    check_serving(standards, supply, circuit, upstream, circuit.serves.unwrap_or(Serves::Loads))
}

/// The same; `serves` is what stands at its end.
pub(super) fn check_serving(
    standards: &Standards,
    supply: &CircuitSupply,
    circuit: &CircuitToCheck,
    upstream: &UpstreamOfCircuit,
    serves: Serves,
) -> Result<CheckedCircuit, Vec<Fault>> {
    let prepared = prepare(standards, supply, circuit, upstream, serves)?;
    Ok(shown(&prepared, &Checks::of(&prepared)))
}

fn shown(prepared: &Prepared<'_>, checks: &Checks) -> CheckedCircuit {
    let judged = checks.judged(prepared);
    let enclosed = prepared.enclosed.as_ref().zip(judged.enclosure);
    CheckedCircuit {
        id: prepared.circuit.id.clone(),
        name: prepared.circuit.name.clone(),
        verdict: judged.verdict,
        checks: vec![
            overload::design_current(prepared, &checks.design_current),
            overload::overload(prepared, &checks.overload),
            voltage_drop::voltage_drop(prepared, &checks.voltage_drop),
            disconnection::disconnection(prepared, &checks.disconnection),
            fault_withstand::fault_withstand(prepared, &checks.fault_withstand),
            additional_protection::additional_protection(prepared, &checks.additional_protection),
            breaking_capacity::breaking_capacity(prepared, &checks.breaking_capacity),
        ],
        enclosure: enclosed.map(|(enclosed, judged)| enclosure::enclosure(enclosed, judged)),
        ib_a: judged.ib_a,
        in_a: judged.in_a,
        iz_a: judged.iz_a,
        voltage_drop_v: judged.voltage_drop_v,
        zs_ohm: judged.zs_ohm,
        r1_r2_ohm: judged.r1_r2_ohm,
        fault_current_ka: judged.fault_current_ka,
        end_fault_current_ka: judged.end_fault_current_ka,
        residual_ma: judged.residual_ma,
        advice: advice::of_circuit(prepared),
    }
}
