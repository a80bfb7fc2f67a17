//! Published allowances, and what must hold of any house.

use std::sync::LazyLock;

use proptest::prelude::*;

use super::*;

static STANDARDS: LazyLock<Standards> = LazyLock::new(Standards::built_in);

fn load(kind: LoadKind, current_a: f64) -> DemandLoad {
    DemandLoad { kind, count: None, load_kw: None, current_a: Some(current_a), socket_outlet: None }
}

fn demand(cut_out_a: Option<f64>, loads: Vec<DemandLoad>) -> DemandAnswer {
    let request = DemandRequest { ruleset: None, supply: DemandSupply { voltage_v: None, cut_out_a }, loads };
    after_diversity(&STANDARDS, &request).expect("no faults in a test's loads")
}

fn after(loads: Vec<DemandLoad>) -> f64 {
    demand(Some(100.0), loads).after_diversity_a
}

#[test]
fn a_third_of_the_lighting_is_taken_to_be_off() {
    // Source: On-Site Guide Table A2, lighting 66 % (seen).
    assert_eq!(after(vec![load(LoadKind::Lighting, 10.0)]), 6.6);
}

#[test]
fn a_12_kw_cooker_with_a_socket_counts_27_65_a() {
    // Source: On-Site Guide Table A2: 10 + 0.3 x (52.17 - 10) + 5; the usual textbook example of 12 kW (from memory).
    let cooker = DemandLoad {
        kind: LoadKind::Cooker,
        count: None,
        load_kw: Some(12.0),
        current_a: None,
        socket_outlet: Some(true),
    };
    assert_eq!(after(vec![cooker]), 27.65);
}

#[test]
fn a_cooker_under_10_a_counts_in_full() {
    // Source: On-Site Guide Table A2 (seen).
    assert_eq!(after(vec![load(LoadKind::Cooker, 8.0)]), 8.0);
}

#[test]
fn oven_and_hob_share_one_first_10_a() {
    // Source: On-Site Guide Table A2, all cooking appliances together (seen): 10 + 0.3 x (13 + 32 - 10).
    assert_eq!(after(vec![load(LoadKind::Cooker, 13.0), load(LoadKind::Cooker, 32.0)]), 20.5);
}

#[test]
fn a_third_shower_counts_a_quarter() {
    // Source: On-Site Guide Table A2: 100 %, 100 %, 25 % (seen).
    let showers = vec![load(LoadKind::Shower, 40.0), load(LoadKind::Shower, 30.0), load(LoadKind::Shower, 20.0)];
    assert_eq!(after(showers), 75.0);
}

#[test]
fn showers_and_other_instant_heaters_are_ranked_together() {
    // Source: On-Site Guide Table A2, one row for instantaneous water heaters (seen).
    let answer = demand(
        Some(100.0),
        vec![
            load(LoadKind::InstantaneousWaterHeater, 12.0),
            DemandLoad { count: Some(2), ..load(LoadKind::Shower, 40.0) },
        ],
    );
    assert_eq!(answer.after_diversity_a, 83.0);
    assert_eq!(answer.by_kind[1].working, "1 x 12 A x 0.25 = 3 A");
}

#[test]
fn the_second_ring_counts_two_fifths() {
    // Source: On-Site Guide Table A2: 100 % of the largest, 40 % of every other (seen): 32 + 0.4 x (32 + 20).
    let circuits =
        vec![load(LoadKind::SocketCircuit, 20.0), DemandLoad { count: Some(2), ..load(LoadKind::SocketCircuit, 32.0) }];
    assert_eq!(after(circuits), 52.8);
}

#[test]
fn direct_heating_over_10_a_counts_half() {
    // Source: On-Site Guide Table A2: 100 % up to 10 A, 50 % of the rest (seen).
    assert_eq!(after(vec![load(LoadKind::SpaceHeating, 26.0)]), 18.0);
}

#[test]
fn what_is_left_on_has_no_diversity() {
    // Source: On-Site Guide Table A2 for the first three (seen); charge point and heat pump from memory.
    let kinds = [
        LoadKind::ThermostaticWaterHeater,
        LoadKind::FloorHeating,
        LoadKind::StorageHeating,
        LoadKind::EvCharger,
        LoadKind::HeatPump,
    ];
    for kind in kinds {
        assert_eq!(after(vec![load(kind, 17.0)]), 17.0, "{kind}");
    }
}

#[test]
fn a_modest_house_on_a_read_cut_out_passes_and_nobody_need_be_asked() {
    // Invented house.
    let answer = demand(Some(80.0), vec![load(LoadKind::Lighting, 6.0), load(LoadKind::SocketCircuit, 32.0)]);
    assert_eq!((answer.verdict, answer.after_diversity_a), (Verdict::Pass, 35.96));
    assert!(answer.ask_operator.is_empty());
}

#[test]
fn an_unread_cut_out_is_never_passed() {
    let answer = demand(None, vec![load(LoadKind::Lighting, 6.0)]);
    assert_eq!((answer.verdict, answer.cut_out_a), (Verdict::Advise, 60.0));
    assert!(answer.ask_operator[0].contains("main fuse"), "{:?}", answer.ask_operator);
}

#[test]
fn a_demand_over_the_cut_out_fails_and_says_what_to_ask() {
    let answer = demand(Some(60.0), vec![load(LoadKind::Shower, 41.3), load(LoadKind::EvCharger, 32.0)]);
    assert_eq!(answer.verdict, Verdict::Fail);
    assert!(answer.working.ends_with("73.3 A > 60 A"), "{}", answer.working);
    assert_eq!(answer.ask_operator.len(), 2);
}

#[test]
fn every_fault_of_a_demand_is_named_at_once() {
    let neither = DemandLoad { current_a: None, ..load(LoadKind::Lighting, 1.0) };
    let both = DemandLoad { load_kw: Some(1.0), ..load(LoadKind::Lighting, 1.0) };
    let mine = DemandLoad { socket_outlet: Some(true), ..load(LoadKind::Motor, f64::NAN) };
    let supply = DemandSupply { voltage_v: Some(0.0), cut_out_a: Some(1_000.0) };
    let request = DemandRequest { ruleset: None, supply, loads: vec![neither, both, mine] };
    let faults = after_diversity(&STANDARDS, &request).expect_err("six faults");
    let pointers: Vec<&str> = faults.iter().map(|fault| fault.pointer.as_str()).collect();
    assert_eq!(
        pointers,
        [
            "/supply/voltage_v",
            "/supply/cut_out_a",
            "/loads/0",
            "/loads/1",
            "/loads/2/current_a",
            "/loads/2/socket_outlet"
        ]
    );
}

fn any_load() -> impl Strategy<Value = DemandLoad> {
    (0..LoadKind::ALL.len(), 0..5u32, 0.1..100.0f64)
        .prop_map(|(kind, count, current_a)| DemandLoad { count: Some(count), ..load(LoadKind::ALL[kind], current_a) })
}

proptest! {
    #[test]
    fn the_kinds_add_to_the_total_and_diversity_never_adds(loads in prop::collection::vec(any_load(), 1..12)) {
        let answer = demand(Some(100.0), loads);
        let sum: f64 = answer.by_kind.iter().map(|kind| kind.after_diversity_a).sum();
        prop_assert!((sum - answer.after_diversity_a).abs() < 0.005);
        prop_assert!(answer.after_diversity_a <= answer.connected_a + 0.05);
        prop_assert_eq!(answer.verdict == Verdict::Fail, answer.after_diversity_a > answer.cut_out_a);
    }

    #[test]
    fn one_more_load_never_lessens_the_demand(loads in prop::collection::vec(any_load(), 1..12), more in any_load()) {
        let before = after(loads.clone());
        let grown: Vec<DemandLoad> = loads.into_iter().chain([more]).collect();
        prop_assert!(after(grown) >= before - 0.05);
    }

    #[test]
    fn the_order_of_the_loads_does_not_matter(loads in prop::collection::vec(any_load(), 1..12)) {
        let forwards = after(loads.clone());
        let backwards = after(loads.into_iter().rev().collect());
        prop_assert!((forwards - backwards).abs() < 0.05);
    }
}
