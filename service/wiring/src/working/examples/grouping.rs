//! Worked examples of grouping and insulation from a file, each with its source or marked as derived.

use serde::Deserialize;

use super::*;
use crate::table::rows;

#[derive(Debug, Deserialize)]
struct Example {
    id: String,
    cable: CableType,
    line_mm2: f64,
    method: ReferenceMethod,
    grouped: u32,
    grouping: CableGrouping,
    insulation_mm: f64,
    simultaneous: String,
    arrangement: Arrangement,
    ib_a: f64,
    rating_a: f64,
    iz_a: f64,
    verdict: Verdict,
    source: String,
    status: String,
}

fn examples() -> Vec<Example> {
    rows("grouping_examples.csv", include_str!("grouping_examples.csv"))
}

fn circuit(example: &Example) -> CircuitToCheck {
    let armoured = example.cable.is_armoured();
    CircuitToCheck {
        arrangement: Some(example.arrangement),
        load: CircuitLoad::amps(example.ib_a),
        cable: CircuitCable { cores: armoured.then_some(3), ..CircuitCable::of(example.cable, example.line_mm2) },
        installation: InstallationConditions {
            grouped_circuits: Some(example.grouped),
            grouping: Some(example.grouping),
            insulation_mm: Some(example.insulation_mm),
            simultaneous_overload: Some(example.simultaneous == "yes"),
            ..InstallationConditions::by(example.method)
        },
        ..radial(example.rating_a, example.line_mm2, 10.0)
    }
}

#[test]
fn cables_that_lie_together_or_in_insulation_carry_what_was_worked_out() {
    for example in examples() {
        let found = checked(&circuit(&example));
        let overload = found.check(CheckName::Overload).expect("all seven are there");
        // Half of the last digit that is printed.
        assert!(
            (found.iz_a - example.iz_a).abs() <= 0.051,
            "{}: {} A against {}",
            example.id,
            found.iz_a,
            example.iz_a
        );
        assert_eq!(overload.verdict, example.verdict, "{}: {}", example.id, overload.working);
    }
}

#[test]
fn every_example_says_where_it_comes_from() {
    let examples = examples();
    let told = |example: &Example| {
        !example.source.is_empty() && ["seen", "memory", "derived"].contains(&example.status.as_str())
    };
    assert!(examples.len() >= 20 && examples.iter().all(told));
}

#[test]
fn a_cable_more_in_a_hole_never_lets_another_bear_more() {
    for example in examples().iter().filter(|example| example.method != ReferenceMethod::D) {
        for simultaneous in [true, false] {
            let mut circuit = circuit(example);
            circuit.installation.simultaneous_overload = Some(simultaneous);
            let mut last = f64::INFINITY;
            for grouped in 1..=20 {
                circuit.installation.grouped_circuits = Some(grouped);
                let limit = check(&circuit, CheckName::Overload).limit;
                assert!(limit <= last + 1e-9, "{}: {grouped} together, {limit} A after {last}", example.id);
                last = limit;
            }
        }
    }
}
