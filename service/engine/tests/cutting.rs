//! Cables cut from drums, against an exact solver on generated lengths.
//!
//! Source: OR-Tools 9.15 (CP-SAT), each case solved to proven optimality by `fixtures/cutting/generate.py`. Lengths and
//! prices are invented.

use engine::take_off::buying::{Pack, plan};
use serde::Deserialize;

#[derive(Deserialize)]
struct Case {
    packs: Vec<(u64, u64)>,
    pieces: Vec<u64>,
    cost: u64,
}

/// Far more than a request may spend: here the question is whether the method is right.
const STEPS: u64 = 20_000_000;

fn cases() -> Vec<Case> {
    serde_json::from_str(include_str!("fixtures/cutting/cases.json")).expect("the cases are read")
}

#[test]
fn drums_cost_as_little_as_an_exact_solver_finds() {
    let cases = cases();
    assert!(cases.len() >= 100);
    for (index, case) in cases.iter().enumerate() {
        let packs: Vec<Pack> = case.packs.iter().map(|(size, price)| Pack { size: *size, price: *price }).collect();

        let plan = plan(&case.pieces, &packs, &mut STEPS.clone());

        assert_eq!((plan.cost, plan.at_least), (case.cost, case.cost), "case {index}: {:?}", case.pieces);
    }
}

#[test]
fn within_the_steps_of_a_request_no_plan_is_cheaper_than_the_exact_one_and_the_gap_holds_it() {
    for (index, case) in cases().iter().enumerate() {
        let packs: Vec<Pack> = case.packs.iter().map(|(size, price)| Pack { size: *size, price: *price }).collect();

        let plan = plan(&case.pieces, &packs, &mut engine::limits::CUTTING_STEPS_MAX.clone());

        assert!(plan.at_least <= case.cost && case.cost <= plan.cost, "case {index}");
    }
}
