//! The plan of the answer shows what was drawn and nothing else.

mod support;

use engine::estimate::Placed;
use support::{example, priced};

#[test]
fn every_storey_of_the_demonstration_house_is_drawn_with_its_rooms_and_each_single_point() {
    let plan = priced(&example("kestrel-bank.json")).plan.expect("the house was drawn");

    let storeys: Vec<(&str, i8, usize)> =
        plan.storeys.iter().map(|storey| (storey.id.as_str(), storey.level, storey.rooms.len())).collect();
    assert_eq!(storeys, [("cellar", -1, 1), ("ground", 0, 8), ("first", 1, 7), ("loft", 2, 1)]);
    let points: usize = plan.storeys.iter().map(|storey| storey.points.len()).sum();
    assert_eq!(points, 176);
}

#[test]
fn a_point_is_shown_where_it_was_marked_and_says_so() {
    let plan = priced(&example("kestrel-bank.json")).plan.expect("the house was drawn");

    let points = plan.storeys.iter().flat_map(|storey| &storey.points);
    let marked: Vec<_> = points.filter(|point| point.placed == Placed::AsMarked).collect();
    assert_eq!(marked.len(), 1, "only the charge point was marked");
    assert_eq!((marked[0].at.x_m, marked[0].at.y_m), (7.8, 1.0));
}

#[test]
fn a_point_on_a_circuit_names_a_circuit_of_the_estimate() {
    let estimate = priced(&example("three-bed.json"));
    let plan = estimate.plan.expect("the house was drawn");

    let ids: Vec<&str> = estimate.circuits.iter().map(|circuit| circuit.id.as_str()).collect();
    let named: Vec<&str> =
        plan.storeys.iter().flat_map(|storey| &storey.points).filter_map(|point| point.circuit.as_deref()).collect();
    let on_circuits: u64 = estimate.circuits.iter().flat_map(|circuit| &circuit.points).map(|point| point.count).sum();
    assert_eq!(named.len() as u64, on_circuits);
    assert!(named.iter().all(|id| ids.contains(id)));
}

#[test]
fn a_house_that_was_not_drawn_has_no_plan() {
    assert_eq!(priced(&example("counts-only.json")).plan, None);
}
