//! Circuits of one request, feeders before what they feed.

use super::advice;
use super::answer::{CheckedCircuit, CircuitCheckAnswer};
use super::circuit::check_serving;
use crate::checks::{CircuitCheckRequest, CircuitSupply, Feeding, Serves, UpstreamOfCircuit, Verdict, feeding, supply};
use crate::faults::{Fault, FaultCode};
use crate::limits::{CIRCUITS_MAX, FAULTS_LISTED_MAX};
use crate::standards::{RulesetId, Standards};

/// Checks circuits as given. Linear in circuits: a few microseconds and some two kilobytes each.
///
/// # Errors
/// Every fault at once, at most [`FAULTS_LISTED_MAX`], with pointers that begin at the request.
pub fn check_circuits(standards: &Standards, request: &CircuitCheckRequest) -> Result<CircuitCheckAnswer, Vec<Fault>> {
    let mut faults = Vec::new();
    supply(&request.supply, &mut faults);
    let mut faults = under("/supply", faults);
    let count = request.circuits.len();
    if count == 0 || count > CIRCUITS_MAX {
        let detail = format!("`circuits` has {count} entries; give 1 to {CIRCUITS_MAX}");
        faults.push(Fault::new("/circuits", FaultCode::OutOfRange, detail));
        return Err(faults);
    }
    let feeding = feeding(&request.circuits).map_err(|found| faults.extend(found)).ok();
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
    feeding: Option<&Feeding>,
    faults: &mut Vec<Fault>,
) -> Vec<Option<CheckedCircuit>> {
    let origin = UpstreamOfCircuit::at_origin(&request.supply);
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
        match check_serving(standards, &request.supply, circuit, &upstream, serves) {
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

pub(super) fn assumptions(supply: &CircuitSupply) -> Vec<String> {
    let mut taken = Vec::new();
    if supply.voltage_v.is_none() {
        taken.push("Supply of 230 V, the nominal voltage of the public network".to_owned());
    }
    if supply.ze_ohm.is_none() {
        taken.push(format!(
            "Loop impedance of {} ohm outside the house, the highest usual for {}. Measure it",
            supply.ze(),
            supply.earthing
        ));
    }
    if supply.fault_current_ka.is_none() {
        taken.push("Fault current not given. What rests on it is advised, not failed. Measure it".to_owned());
    }
    taken
}

pub(super) fn under(prefix: &str, faults: Vec<Fault>) -> Vec<Fault> {
    faults.into_iter().map(|fault| Fault { pointer: format!("{prefix}{}", fault.pointer), ..fault }).collect()
}
