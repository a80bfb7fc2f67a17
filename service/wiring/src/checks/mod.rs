//! Circuits against the wiring rules: seven checks each, with the working.
//!
//! In: circuits as given, the supply, the tables. Out: every check with value, limit, verdict, clause and a line of
//! working that is made from the very figures that decided. Nothing here chooses or changes a circuit, but for
//! [`size_cable`], which judges every size. One phase only.
//!
//! How it is put together: [`request`] is what is asked; `rules` refuses what cannot be; `prepared` looks everything
//! up; then each check has its file and cannot fail; [`answer`] is what comes out. `feeding` orders circuits that hang
//! on each other.

pub mod answer;
pub mod request;
pub mod sizing;

mod additional_protection;
mod advice;
mod breaking_capacity;
mod disconnection;
mod enclosure;
mod fault_withstand;
mod feeding;
mod figure;
mod overload;
mod prepared;
mod rules;
mod voltage_drop;
mod written;

#[cfg(test)]
mod examples;
#[cfg(test)]
mod properties;

pub use answer::{
    Advice, AdviceName, Check, CheckName, CheckUnit, CheckedCircuit, CircuitCheckAnswer, EnclosureCheck, Verdict,
};
pub use request::{
    Arrangement, Cable, Circuit, CircuitCheckRequest, ConductorTemperature, Device, EnclosedCable, Enclosure,
    Installation, Load, LoadSpread, Serves, Supply, Upstream,
};
pub use sizing::{CableSizeAnswer, CableSizeRequest, DeviceWanted, size_cable};
pub use written::check_circuits_as_json;

use crate::faults::{Fault, FaultCode};
use crate::limits::{CIRCUITS_MAX, FAULTS_LISTED_MAX};
use crate::standards::{RulesetId, Standards};
use crate::told::Told;

use prepared::Prepared;

/// Checks circuits as given. Linear in circuits: a few microseconds and some two kilobytes each.
///
/// # Errors
/// Every fault at once, at most [`FAULTS_LISTED_MAX`], with pointers that begin at the request.
pub fn check_circuits(standards: &Standards, request: &CircuitCheckRequest) -> Result<CircuitCheckAnswer, Vec<Fault>> {
    let mut faults = Vec::new();
    rules::supply(&request.supply, &mut faults);
    let mut faults = under("/supply", faults);
    let count = request.circuits.len();
    if count == 0 || count > CIRCUITS_MAX {
        let detail = format!("`circuits` has {count} entries; give 1 to {CIRCUITS_MAX}");
        faults.push(Fault::new("/circuits", FaultCode::OutOfRange, detail));
        return Err(faults);
    }
    let feeding = feeding::feeding(&request.circuits).map_err(|found| faults.extend(found)).ok();
    let checked = check_in_order(standards, request, feeding.as_ref(), &mut faults);
    if !faults.is_empty() {
        faults.truncate(FAULTS_LISTED_MAX);
        return Err(faults);
    }
    let circuits: Vec<CheckedCircuit> = checked.into_iter().flatten().collect();
    Ok(CircuitCheckAnswer {
        ruleset: standards.ruleset(request.ruleset.unwrap_or(RulesetId::IN_FORCE)).clone(),
        verdict: circuits.iter().map(|circuit| circuit.verdict).max().unwrap_or(Verdict::Pass),
        circuits,
        advice: advice::of_installation(&request.supply),
        assumptions: assumptions(&request.supply),
    })
}

/// Feeders first, so that each circuit finds what its feeder leaves it. Where the feeding itself is at fault, circuits
/// are still looked at one by one, for the sake of their own faults.
fn check_in_order(
    standards: &Standards,
    request: &CircuitCheckRequest,
    feeding: Option<&feeding::Feeding>,
    faults: &mut Vec<Fault>,
) -> Vec<Option<CheckedCircuit>> {
    let origin = Upstream::at_origin(&request.supply);
    let mut checked: Vec<Option<CheckedCircuit>> = Vec::with_capacity(request.circuits.len());
    checked.resize_with(request.circuits.len(), || None);
    let as_given: Vec<usize>;
    let order = match feeding {
        Some(feeding) => &feeding.order,
        None => {
            as_given = (0..request.circuits.len()).collect();
            &as_given
        }
    };
    for &index in order {
        let circuit = &request.circuits[index];
        let feeds = feeding.is_some_and(|feeding| feeding.feeds[index]);
        let feeder = feeding.and_then(|feeding| feeding.feeder[index]);
        let upstream = feeder.and_then(|feeder| checked[feeder].as_ref()).map_or(origin, CheckedCircuit::feeds);
        let serves = if feeds { Serves::Board } else { circuit.serves.unwrap_or(Serves::Loads) };
        match check_serving(standards, &request.supply, circuit, &upstream, (serves, Told::InWords)) {
            Ok(circuit) => checked[index] = Some(circuit),
            Err(found) => faults.extend(under(&format!("/circuits/{index}"), found)),
        }
        if faults.len() >= FAULTS_LISTED_MAX {
            break;
        }
    }
    faults.sort_by_cached_key(|fault| place(&fault.pointer));
    checked
}

/// The index in a pointer such as `/circuits/12/load`, so that faults come in the order of the document.
fn place(pointer: &str) -> Option<usize> {
    pointer.strip_prefix("/circuits/")?.split('/').next()?.parse().ok()
}

/// Checks one circuit. `upstream` is what it finds at its board: [`Upstream::at_origin`] or [`CheckedCircuit::feeds`].
///
/// # Errors
/// Every fault, with pointers that begin at the circuit, such as `/cable/line_mm2`.
///
/// ```
/// use wiring::checks::{
///     Cable, CheckName, Circuit, Device, Installation, Load, Supply, Upstream, Verdict, check_one,
/// };
/// use wiring::standards::{
///     CableType, CircuitUse, DeviceType, ReferenceMethod, Standards, SupplyEarthing, TripCurve,
/// };
///
/// let standards = Standards::built_in();
/// let supply = Supply { ze_ohm: Some(0.35), fault_current_ka: Some(1.2), ..Supply::of(SupplyEarthing::TnCS) };
/// let shower = Circuit {
///     device: Device { residual_ma: Some(30.0), ..Device::breaker(DeviceType::Rcbo, TripCurve::B, 45.0) },
///     cable: Cable::of(CableType::FlatTwinAndEarth70, 10.0),
///     ..Circuit::radial("shower", CircuitUse::Power, Load::kilowatts(9.5), 18.0, ReferenceMethod::C)
/// };
/// let checked = check_one(&standards, &supply, &shower, &Upstream::at_origin(&supply)).expect("no faults");
/// assert_eq!(checked.verdict, Verdict::Pass);
/// assert_eq!(checked.check(CheckName::Disconnection).map(|check| check.limit), Some(0.97));
/// ```
pub fn check_one(
    standards: &Standards,
    supply: &Supply,
    circuit: &Circuit,
    upstream: &Upstream,
) -> Result<CheckedCircuit, Vec<Fault>> {
    check_told(standards, supply, circuit, upstream, Told::InWords)
}

/// The same with or without the workings.
pub fn check_told(
    standards: &Standards,
    supply: &Supply,
    circuit: &Circuit,
    upstream: &Upstream,
    told: Told,
) -> Result<CheckedCircuit, Vec<Fault>> {
    check_serving(standards, supply, circuit, upstream, (circuit.serves.unwrap_or(Serves::Loads), told))
}

fn check_serving(
    standards: &Standards,
    supply: &Supply,
    circuit: &Circuit,
    upstream: &Upstream,
    (serves, told): (Serves, Told),
) -> Result<CheckedCircuit, Vec<Fault>> {
    let prepared = prepared::prepare(standards, supply, circuit, upstream, (serves, told))?;
    Ok(checked(&prepared))
}

fn checked(prepared: &Prepared<'_>) -> CheckedCircuit {
    let (voltage_drop, dropped) = voltage_drop::voltage_drop(prepared);
    let checks = vec![
        overload::design_current(prepared),
        overload::overload(prepared),
        voltage_drop,
        disconnection::disconnection(prepared),
        fault_withstand::fault_withstand(prepared),
        additional_protection::additional_protection(prepared),
        breaking_capacity::breaking_capacity(prepared),
    ];
    let enclosure = prepared.enclosed.as_ref().map(enclosure::Enclosed::check);
    let verdicts = checks.iter().map(|check| check.verdict).chain(enclosure.as_ref().map(|check| check.verdict));
    CheckedCircuit {
        id: prepared.circuit.id.clone(),
        name: prepared.circuit.name.clone(),
        verdict: verdicts.max().unwrap_or(Verdict::Pass),
        checks,
        enclosure,
        ib_a: figure::settled(prepared.ib.value()),
        in_a: prepared.device.rating.value(),
        iz_a: figure::settled(prepared.capacity.iz().value()),
        voltage_drop_v: figure::settled(dropped.value()),
        zs_ohm: figure::settled(prepared.zs().value()),
        r1_r2_ohm: figure::settled(prepared.r1_r2().value()),
        fault_current_ka: prepared.upstream.fault_current_ka.map(figure::settled),
        end_fault_current_ka: prepared.end_fault_current_ka().map(figure::settled),
        residual_ma: prepared.residual_ma,
        advice: advice::of_circuit(prepared),
    }
}

fn assumptions(supply: &Supply) -> Vec<String> {
    let mut taken = Vec::new();
    if supply.voltage_v.is_none() {
        taken.push("supply of 230 V, the nominal voltage of the public network".to_owned());
    }
    if supply.ze_ohm.is_none() {
        taken.push(format!(
            "loop impedance of {} ohm outside the installation, the highest usual for {}; measure it",
            supply.ze(),
            supply.earthing
        ));
    }
    if supply.fault_current_ka.is_none() {
        taken.push("fault current not given: what rests on it is advised, not failed; measure it".to_owned());
    }
    taken
}

fn under(prefix: &str, faults: Vec<Fault>) -> Vec<Fault> {
    faults.into_iter().map(|fault| Fault { pointer: format!("{prefix}{}", fault.pointer), ..fault }).collect()
}
