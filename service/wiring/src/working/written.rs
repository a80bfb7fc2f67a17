//! The answer as JSON, circuit by circuit: the same bytes as serialising the whole answer, without ever holding it.
//!
//! An answer for ten thousand circuits has some twenty megabytes, most of it working. Each circuit is written while it
//! is still in the cache and then let go.

use serde::Serialize;

use super::advice;
use super::answer::Advice;
use super::circuit::check_serving;
use super::circuits::{assumptions, check_circuits};
use crate::checks::{self, CircuitCheckRequest, Feeding, Serves, UpstreamOfCircuit, Verdict, judge_serving};
use crate::faults::Fault;
use crate::limits::CIRCUITS_MAX;
use crate::standards::{Ruleset, RulesetId, Standards};

/// Bytes of one circuit's answer, about, so that the whole finds room at once.
const CIRCUIT_BYTES: usize = 2_560;

#[derive(Serialize)]
struct Head<'a> {
    ruleset: &'a Ruleset,
}

#[derive(Serialize)]
struct Tail<'a> {
    verdict: Verdict,
    advice: &'a [Advice],
    assumptions: &'a [String],
}

/// Checks circuits as given and writes the answer as JSON: byte for byte what [`check_circuits`] answers.
///
/// # Errors
/// As [`check_circuits`].
pub fn check_circuits_as_json(standards: &Standards, request: &CircuitCheckRequest) -> Result<Vec<u8>, Vec<Fault>> {
    match written(standards, request) {
        Some(bytes) => Ok(bytes),
        // Something is at fault: every fault has to be gathered, in the order of the document.
        None => check_circuits(standards, request).map(|answer| json(&answer)),
    }
}

/// None where anything is at fault.
fn written(standards: &Standards, request: &CircuitCheckRequest) -> Option<Vec<u8>> {
    let mut faults = Vec::new();
    checks::supply(&request.supply, &mut faults);
    let count = request.circuits.len();
    if !faults.is_empty() || count == 0 || count > CIRCUITS_MAX {
        return None;
    }
    let feeding = checks::feeding(&request.circuits).ok()?;
    let boards = boards(standards, request, &feeding)?;
    let origin = UpstreamOfCircuit::at_origin(&request.supply);

    let ruleset = standards.ruleset(request.ruleset.unwrap_or(RulesetId::IN_FORCE));
    let mut bytes = Vec::with_capacity(count * CIRCUIT_BYTES);
    append(&mut bytes, &Head { ruleset });
    bytes.pop();
    bytes.extend_from_slice(b",\"circuits\":[");
    let mut verdict = Verdict::Pass;
    for (index, circuit) in request.circuits.iter().enumerate() {
        if index > 0 {
            bytes.push(b',');
        }
        let upstream = feeding.feeder[index].and_then(|feeder| boards[feeder]).unwrap_or(origin);
        let serves = if feeding.feeds[index] { Serves::Board } else { circuit.serves.unwrap_or(Serves::Loads) };
        let checked = check_serving(standards, &request.supply, circuit, &upstream, serves).ok()?;
        verdict = verdict.max(checked.verdict);
        append(&mut bytes, &checked);
    }
    let tail =
        Tail { verdict, advice: &advice::of_installation(&request.supply), assumptions: &assumptions(&request.supply) };
    bytes.push(b']');
    let at = bytes.len();
    append(&mut bytes, &tail);
    bytes[at] = b',';
    Some(bytes)
}

/// What the circuits find that are fed from each circuit that feeds any: few, so checking them twice costs little.
fn boards(
    standards: &Standards,
    request: &CircuitCheckRequest,
    feeding: &Feeding,
) -> Option<Vec<Option<UpstreamOfCircuit>>> {
    let origin = UpstreamOfCircuit::at_origin(&request.supply);
    let mut boards = vec![None; request.circuits.len()];
    for &index in feeding.order.iter().filter(|index| feeding.feeds[**index]) {
        let upstream = feeding.feeder[index].and_then(|feeder| boards[feeder]).unwrap_or(origin);
        let judged =
            judge_serving(standards, &request.supply, &request.circuits[index], &upstream, Serves::Board).ok()?;
        boards[index] = Some(judged.feeds());
    }
    Some(boards)
}

fn append<A: Serialize>(bytes: &mut Vec<u8>, part: &A) {
    serde_json::to_writer(bytes, part).expect("answers have text keys only, and a vector takes every byte");
}

fn json<A: Serialize>(answer: &A) -> Vec<u8> {
    let mut bytes = Vec::new();
    append(&mut bytes, answer);
    bytes
}
