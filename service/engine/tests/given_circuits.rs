//! Circuits that a designer has fixed are kept and checked, and the rest is designed round them.

mod support;

use engine::checks::Verdict;
use engine::document::Unreadable;
use engine::estimate::{Circuit, Estimate};
use serde_json::{Value, json};
use support::{ENGINE, priced, read};

/// A small house with a workshop, invented, and the circuits that are given for it.
fn house(circuits: Value) -> Value {
    let outline = |x_m: f64, y_m: f64| json!({ "x_m": x_m, "y_m": y_m, "width_m": 4.0, "depth_m": 4.0 });
    json!({ "survey": {
        "rooms": [
            { "id": "kitchen", "use": "kitchen", "storey": "ground", "outline": outline(0.0, 0.0),
              "points": [{ "type": "double-socket", "count": 6 }, { "type": "pendant" }, { "type": "one-way-switch" },
                         { "type": "heat-alarm" }, { "type": "cooker-control" }],
              "appliances": [{ "type": "oven", "load_kw": 3.6 }, { "type": "dishwasher", "load_kw": 2.1 }] },
            { "id": "hall", "use": "hall", "storey": "ground", "outline": outline(4.0, 0.0),
              "points": [{ "type": "double-socket", "count": 2 }, { "type": "pendant" }, { "type": "one-way-switch" },
                         { "type": "smoke-alarm" }, { "type": "data-outlet" }] },
            { "id": "bed", "use": "bedroom", "storey": "first", "outline": outline(0.0, 0.0),
              "points": [{ "type": "double-socket", "count": 4 }, { "type": "pendant" }, { "type": "one-way-switch" }] }
        ],
        "outbuildings": [{ "id": "workshop", "construction": "timber", "run_m": 20,
                           "points": [{ "type": "double-socket", "count": 2 }] }],
        "consumer_unit": { "room": "hall" }, "intake": { "room": "hall" },
        "supply": { "earthing": "tn-c-s", "ze_ohm": 0.3, "fault_current_ka": 1.2, "cut_out_a": 80 },
        "circuits": circuits
    } })
}

fn estimate(circuits: Value) -> Estimate {
    priced(&read(&house(circuits)))
}

fn circuit<'a>(estimate: &'a Estimate, id: &str) -> &'a Circuit {
    estimate.circuits.iter().find(|circuit| circuit.id == id).unwrap_or_else(|| panic!("no circuit {id}"))
}

fn faults(circuits: Value) -> Vec<(String, String)> {
    match ENGINE.read_survey(&house(circuits).to_string().into_bytes()) {
        Err(Unreadable::Faults(faults)) => faults.into_iter().map(|fault| (fault.pointer, fault.detail)).collect(),
        other => panic!("not refused: {other:?}"),
    }
}

fn pointers(circuits: Value) -> Vec<String> {
    faults(circuits).into_iter().map(|(pointer, _)| pointer).collect()
}

#[test]
fn what_a_designer_gives_is_kept_and_carries_the_seven_checks() {
    let given = json!([{
        "id": "S1", "name": "Kitchen ring", "type": "ring-sockets", "rooms": ["kitchen"],
        "device": { "curve": "c", "rating_a": 32 }, "cable": { "line_mm2": 4 }, "length_m": 62, "method": "100"
    }]);

    let estimate = estimate(given);

    let ring = circuit(&estimate, "S1");
    assert_eq!((ring.name.as_str(), ring.arrangement.as_str()), ("Kitchen ring", "ring"));
    assert_eq!((ring.device.curve.as_deref(), ring.device.rating_a.value()), (Some("c"), 32.0));
    assert_eq!((ring.cable.line_mm2, ring.cable.method.word()), (4.0, "100"));
    assert_eq!((ring.length_m.value(), ring.far_end_m.value()), (62.0, 62.0));
    assert_eq!(ring.points.iter().map(|points| points.count).sum::<u64>(), 6);
    assert_eq!(ring.checks.len(), 7);
    assert!(ring.because.iter().any(|line| line.contains("Given by the designer")), "{:?}", ring.because);
}

#[test]
fn no_point_is_wired_twice_and_none_is_lost() {
    let count = |estimate: &Estimate| -> u64 {
        estimate.circuits.iter().flat_map(|circuit| &circuit.points).map(|points| points.count).sum()
    };
    let designed = estimate(json!([]));
    let given = estimate(json!([
        { "id": "S1", "points": [{ "room": "kitchen", "type": "double-socket", "count": 2 }] },
        { "id": "S2", "type": "lighting", "rooms": ["hall", "bed"] }
    ]));

    assert_eq!(count(&given), count(&designed));
    assert_eq!(circuit(&given, "S1").points.iter().map(|points| points.count).sum::<u64>(), 2);
    assert_eq!(circuit(&given, "S2").points.len(), 4, "two pendants and two switches");
}

#[test]
fn a_given_cable_that_is_too_small_fails_and_is_not_replaced() {
    let estimate = estimate(json!([{
        "id": "S1", "type": "cooker", "points": [{ "room": "kitchen", "type": "cooker-control" }],
        "device": { "rating_a": 40 }, "cable": { "line_mm2": 2.5 }
    }]));

    let cooker = circuit(&estimate, "S1");
    assert_eq!((cooker.cable.line_mm2, cooker.device.rating_a.value(), cooker.verdict), (2.5, 40.0, Verdict::Fail));
    let flag = estimate.risk_flags.iter().find(|flag| flag.id == "circuit-check-failed").expect("a flag");
    assert_eq!(flag.places, ["S1"]);
    assert!(flag.what.contains("overload"), "{}", flag.what);
}

#[test]
fn a_given_device_without_a_cable_gets_a_cable_that_bears_it() {
    let estimate = estimate(json!([{
        "id": "S1", "type": "cooker", "points": [{ "room": "kitchen", "type": "cooker-control" }],
        "device": { "rating_a": 40 }
    }]));

    let cooker = circuit(&estimate, "S1");
    assert_eq!((cooker.cable.line_mm2, cooker.verdict), (10.0, Verdict::Pass));
}

#[test]
fn a_given_length_is_what_is_priced() {
    let metres = |length_m: f64| {
        let given = json!([{ "id": "S1", "type": "ring-sockets", "rooms": ["kitchen"], "length_m": length_m }]);
        let estimate = estimate(given);
        let lines = estimate.lines.iter().filter(|line| line.circuit.as_deref() == Some("S1"));
        let cable = lines.filter(|line| line.item.starts_with("cable-"));
        cable.map(|line| line.quantity).sum::<f64>()
    };

    assert!((metres(50.0) - 50.0).abs() < 0.1, "{}", metres(50.0));
    assert!((metres(80.0) - 80.0).abs() < 0.1, "{}", metres(80.0));
}

#[test]
fn an_oven_that_the_designer_puts_apart_leaves_the_cooker_circuit() {
    let estimate =
        estimate(json!([{ "id": "S1", "type": "oven", "appliances": [{ "room": "kitchen", "type": "oven" }] }]));

    let oven = circuit(&estimate, "S1");
    assert!((oven.design_current_a.value() - 15.65).abs() < 0.01, "{:?}", oven.design_current_a);
    assert_eq!(estimate.circuits.iter().filter(|circuit| circuit.circuit_type == "cooker").count(), 1);
}

#[test]
fn the_feed_of_an_outbuilding_may_be_given_too() {
    let estimate = estimate(json!([{
        "id": "F1", "type": "distribution", "rooms": ["workshop"],
        "device": { "type": "breaker", "curve": "c", "rating_a": 40 }, "cable": { "line_mm2": 16 }
    }]));

    let feed = circuit(&estimate, "F1");
    assert_eq!((feed.cable.line_mm2, feed.device.rating_a.value()), (16.0, 40.0));
    assert_eq!(feed.cable.cable_type, "armoured-70c");
    assert_eq!(estimate.board.sub_boards[0].fed_from, "F1");
    assert!(estimate.circuits.iter().any(|circuit| circuit.fed_from.as_deref() == Some("F1")));
}

#[test]
fn one_lighting_circuit_that_is_given_is_kept_and_says_what_it_darkens() {
    let estimate = estimate(json!([{ "id": "L1", "type": "lighting", "rooms": ["kitchen", "hall", "bed"] }]));

    let lights = circuit(&estimate, "L1");
    assert!(lights.because.iter().any(|line| line.contains("darkens")), "{:?}", lights.because);
    assert_eq!(estimate.circuits.iter().filter(|circuit| circuit.circuit_type == "lighting").count(), 1);
}

#[test]
fn an_identifier_of_the_designer_is_never_given_again() {
    let estimate = estimate(json!([{ "id": "C1", "type": "lighting", "rooms": ["hall"] }]));

    let mut ids: Vec<&str> = estimate.circuits.iter().map(|circuit| circuit.id.as_str()).collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), estimate.circuits.len());
    assert_eq!(circuit(&estimate, "C1").circuit_type, "lighting");
}

#[test]
fn circuits_are_named_by_their_way_and_a_name_that_was_given_is_kept_for_the_given_one() {
    // `C1` to `C3` would read as the codes of an inspection report.
    let estimate = estimate(json!([{ "id": "2", "type": "lighting", "rooms": ["hall"] }]));

    let ids: Vec<&str> = estimate.circuits.iter().map(|circuit| circuit.id.as_str()).collect();
    assert!(ids.iter().all(|id| !id.starts_with('C')), "{ids:?}");
    assert_eq!(circuit(&estimate, "2").circuit_type, "lighting");
    let chart = estimate.board.chart.iter().filter_map(|way| Some((way.way, way.circuit.as_deref()?)));
    for (way, id) in chart {
        let named = [format!("{way}"), format!("house-{way}")];
        assert!(id == "2" || named.iter().any(|name| name == id), "way {way} is called {id}");
    }
    let mut once = ids.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), ids.len(), "{ids:?}");
}

#[test]
fn every_circuit_has_the_figures_that_a_tester_compares_with() {
    let estimate = estimate(json!([]));
    for circuit in &estimate.circuits {
        let expected = circuit.test_values.as_ref().expect("figures to compare with");
        let cold = expected.zs_max_measured_ohm.value();
        assert!(cold > 0.0 && expected.r1_r2_ohm.value() > 0.0, "{}", circuit.id);
        assert_eq!(expected.r1_ohm.is_some(), circuit.arrangement == "ring", "{}", circuit.id);
        // Cold, the circuit's own part of the loop is less than hot.
        let hot = circuit.zs_ohm.expect("checked").value();
        assert!(expected.r1_r2_ohm.value() < hot, "{}", circuit.id);
    }
}

#[test]
fn what_the_survey_does_not_bear_is_refused_where_it_stands() {
    let cases = [
        (json!([{ "id": "S1", "rooms": ["kitchn"], "type": "lighting" }]), "/survey/circuits/0/rooms/0"),
        (
            json!([{ "id": "S1", "points": [{ "room": "attic", "type": "pendant" }] }]),
            "/survey/circuits/0/points/0/room",
        ),
        (
            json!([{ "id": "S1", "points": [{ "room": "kitchen", "type": "double-socket", "count": 7 }] }]),
            "/survey/circuits/0/points/0",
        ),
        (
            json!([{ "id": "S1", "appliances": [{ "room": "kitchen", "type": "shower" }] }]),
            "/survey/circuits/0/appliances/0",
        ),
        (
            json!([{ "id": "S1", "type": "lighting", "rooms": ["hall"], "device": { "rating_a": 7 } }]),
            "/survey/circuits/0/device/rating_a",
        ),
        (
            json!([{ "id": "S1", "type": "lighting", "rooms": ["hall"], "cable": { "line_mm2": 1.25 } }]),
            "/survey/circuits/0/cable/line_mm2",
        ),
        (json!([{ "id": "S1", "points": [{ "room": "hall", "type": "data-outlet" }] }]), "/survey/circuits/0/points"),
        (
            json!([{ "id": "S1", "type": "lighting", "arrangement": "ring", "rooms": ["hall"] }]),
            "/survey/circuits/0/arrangement",
        ),
        (
            json!([{ "id": "S1", "points": [{ "room": "hall", "type": "double-socket" }, { "room": "hall", "type": "pendant" }] }]),
            "/survey/circuits/0/type",
        ),
        (
            json!([{ "id": "S1", "points": [{ "room": "hall", "type": "double-socket" },
                                            { "room": "workshop", "type": "double-socket" }] }]),
            "/survey/circuits/0/points",
        ),
        (json!([{ "id": "S1", "type": "distribution", "rooms": ["kitchen"] }]), "/survey/circuits/0/rooms"),
        (
            json!([{ "id": "F1", "type": "distribution", "rooms": ["workshop"] },
                   { "id": "F2", "type": "distribution", "rooms": ["workshop"] }]),
            "/survey/circuits/1/rooms",
        ),
        (
            json!([{ "id": "F1", "type": "distribution", "rooms": ["workshop"], "cable": { "line_mm2": 2.5 } }]),
            "/survey/circuits/0/cable/line_mm2",
        ),
        (json!([{ "id": "S1", "type": "lighting" }]), "/survey/circuits/0/points"),
        (json!([{ "id": "S1", "type": "lighting", "rooms": ["hall"], "length_m": 0 }]), "/survey/circuits/0/length_m"),
        (json!([{ "id": "S1", "type": "lighting", "rooms": ["hall"], "colour": "red" }]), "/survey/circuits/0/colour"),
    ];
    for (given, pointer) in cases {
        assert_eq!(pointers(given.clone()), [pointer], "{given}");
    }
}

#[test]
fn every_fault_of_the_given_circuits_is_named_at_once() {
    let given = json!([
        { "id": "S1", "type": "lighting", "rooms": ["hall"] },
        { "id": "S1", "type": "lighting", "rooms": ["nowhere"], "device": { "rating_a": 7 } }
    ]);

    let found = pointers(given);

    assert_eq!(found, ["/survey/circuits/1/id", "/survey/circuits/1/device/rating_a", "/survey/circuits/1/rooms/0"]);
}

#[test]
fn a_circuit_that_stays_takes_its_way_and_its_tests_and_no_cable_but_what_is_joined() {
    let ring = |existing: bool, points: Value| {
        let mut ring = json!({ "id": "S1", "type": "ring-sockets", "device": { "rating_a": 32 }, "cable": { "line_mm2": 2.5 },
                               "length_m": 62, "points": points });
        if existing {
            ring["existing"] = json!(true);
        }
        estimate(json!([ring]))
    };
    let bedroom = json!([{ "room": "bed", "type": "double-socket", "count": 1 }]);
    let cable = |estimate: &Estimate| -> f64 {
        let lines = estimate.lines.iter().filter(|line| line.circuit.as_deref() == Some("S1"));
        lines.filter(|line| line.item.starts_with("cable-")).map(|line| line.quantity).sum()
    };
    let works = |estimate: &Estimate| -> Vec<String> {
        let lines = estimate.lines.iter().filter(|line| line.circuit.as_deref() == Some("S1"));
        lines.map(|line| line.item.clone()).filter(|item| !item.starts_with("cable-")).collect()
    };

    let (new, joined, untouched) = (ring(false, bedroom.clone()), ring(true, bedroom), ring(true, json!([])));

    // The length that was given is what the checks go by, and not what is bought.
    for stays in [&joined, &untouched] {
        let kept = circuit(stays, "S1");
        assert_eq!((kept.existing, kept.length_m.value(), kept.checks.len()), (true, 62.0, 7));
        assert!(stays.board.chart.iter().any(|way| way.circuit.as_deref() == Some("S1")), "a way of the new board");
    }
    assert!((cable(&new) - 62.0).abs() < 0.1, "{}", cable(&new));
    assert!(cable(&joined) > 1.0 && cable(&joined) < 20.0, "{}", cable(&joined));
    assert!(cable(&untouched) == 0.0);
    assert!(joined.totals.net < new.totals.net, "{} {}", joined.totals.net, new.totals.net);
    assert_eq!(works(&untouched), ["circuit-tests", "existing-circuit-survey"]);
    assert!(works(&joined).contains(&"join-existing".to_owned()), "{:?}", works(&joined));
    assert!(untouched.routes.iter().all(|route| route.circuit.as_deref() != Some("S1")), "nothing is laid");
}

#[test]
fn lights_in_1_mm2_are_kept_checked_and_priced_as_such() {
    // Source: BS 7671 Table 4D5, 1 mm2 clipped carries 16 A, seen; common in houses that are there, common practice.
    let given =
        json!([{ "id": "L1", "type": "lighting", "rooms": ["hall"], "cable": { "line_mm2": 1 }, "method": "c" }]);

    let estimate = estimate(given);

    let lights = circuit(&estimate, "L1");
    assert_eq!((lights.cable.line_mm2, lights.cable.cpc_mm2, lights.verdict), (1.0, 1.0, Verdict::Pass));
    assert_eq!(lights.capacity_a.map(|capacity| capacity.value()), Some(16.0));
    let lines: Vec<&str> = estimate
        .lines
        .iter()
        .filter(|line| line.circuit.as_deref() == Some("L1") && line.item.starts_with("cable-"))
        .map(|line| line.item.as_str())
        .collect();
    assert!(!lines.is_empty() && lines.iter().all(|item| *item == "cable-1"), "{lines:?}");
}

#[test]
fn a_circuit_that_stays_needs_its_kind_and_its_cable() {
    let stays = |fields: Value| {
        let mut circuit = json!({ "id": "S1", "existing": true });
        fields.as_object().into_iter().flatten().for_each(|(name, value)| circuit[name] = value.clone());
        json!([circuit])
    };

    assert_eq!(pointers(stays(json!({ "cable": { "line_mm2": 6 } }))), ["/survey/circuits/0/type"]);
    assert_eq!(pointers(stays(json!({ "type": "shower" }))), ["/survey/circuits/0/cable"]);
    assert_eq!(
        pointers(stays(json!({ "type": "distribution", "rooms": ["workshop"] }))),
        ["/survey/circuits/0/cable"],
        "of a feed too"
    );
    let new = json!([{ "id": "S1", "type": "lighting", "rooms": ["hall"], "tested": true }]);
    assert_eq!(pointers(new), ["/survey/circuits/0/tested"]);
}

/// The same house where the fault current was measured.
fn at_fault_level(fault_current_ka: f64) -> Estimate {
    let mut house = house(json!([]));
    house["survey"]["supply"]["fault_current_ka"] = json!(fault_current_ka);
    priced(&read(&house))
}

#[test]
fn above_3_ka_a_ring_keeps_its_cable_and_asks_for_a_device_that_lets_through_less() {
    // Source: BS EN 60898-1 annex ZA, class 3, 32 000 A2s at 4.5 kA, from memory, against 115^2 x 1.5^2 = 29 756 A2s.
    let low = at_fault_level(2.9);
    let high = at_fault_level(3.5);
    let ring = |estimate: &Estimate| -> Circuit {
        let ring = estimate.circuits.iter().find(|circuit| circuit.arrangement == "ring");
        ring.expect("a ring").clone()
    };

    assert_eq!((ring(&low).verdict, ring(&low).device.let_through_a2s_max), (Verdict::Pass, None));
    let asked = ring(&high);
    assert_eq!(asked.cable.line_mm2, ring(&low).cable.line_mm2);
    assert_eq!((asked.verdict, asked.device.let_through_a2s_max), (Verdict::Advise, Some(29_756.0)));
    assert!(asked.because.iter().any(|line| line.contains("29756 A2s")), "{:?}", asked.because);
}

/// The feed of the workshop as it lies in the ground, of two cores.
fn kept_feed(line_mm2: f64) -> Value {
    json!({ "id": "F1", "type": "distribution", "rooms": ["workshop"], "existing": true,
            "cable": { "line_mm2": line_mm2 }, "length_m": 26 })
}

fn items<'a>(estimate: &'a Estimate, circuit: &str) -> Vec<&'a str> {
    let lines = estimate.lines.iter().filter(|line| line.circuit.as_deref() == Some(circuit));
    lines.map(|line| line.item.as_str()).collect()
}

#[test]
fn the_feed_of_an_outbuilding_stays_and_no_trench_is_dug_for_it() {
    // Source: BS 7671 Tables 4D4A, 4D4B and BS 5467, two cores of 2.5 mm2: 28 A in the ground (IEC 60364-5-52 D2, seen), 18 mV/A/m,
    // armour of 8.8 mohm/m. In the ground a device is held to 0.9 of that (433.1.203).
    let new = estimate(json!([{ "id": "F1", "type": "distribution", "rooms": ["workshop"] }]));
    let kept = estimate(json!([kept_feed(2.5)]));

    let feed = circuit(&kept, "F1");
    assert_eq!((feed.existing, feed.cable.line_mm2, feed.cable.method.word()), (true, 2.5, "d"));
    assert_eq!((feed.length_m.value(), feed.checks.len(), feed.verdict), (26.0, 7, Verdict::Pass));
    assert_eq!((feed.device.rating_a.value(), feed.capacity_a.map(|capacity| capacity.value())), (20.0, Some(28.0)));
    let r1_r2_ohm = (7.41 * 1.2 + 8.8 * 1.18) * 26.0 / 1_000.0;
    assert!((feed.zs_ohm.expect("checked").value() - 0.3 - r1_r2_ohm).abs() < 0.000_1, "{:?}", feed.zs_ohm);
    // What hangs on it is designed and judged behind it as behind a new one.
    let behind = kept.circuits.iter().find(|circuit| circuit.fed_from.as_deref() == Some("F1")).expect("sockets");
    assert_eq!((behind.verdict, behind.checks.len()), (Verdict::Pass, 7));
    let sub_board = |estimate: &Estimate| estimate.board.sub_boards[0].clone();
    assert_eq!(sub_board(&kept).earthing, sub_board(&new).earthing);
    assert_eq!(sub_board(&kept).zs_ohm, feed.zs_ohm);
    assert_eq!(kept.demand.after_diversity_a, new.demand.after_diversity_a);
    assert!(kept.board.chart.iter().any(|way| way.circuit.as_deref() == Some("F1")), "a way of the new board");

    assert_eq!(items(&kept, "F1"), ["feed-made-off", "circuit-tests", "existing-circuit-survey"]);
    assert!(items(&new, "F1").contains(&"trench"));
    assert!(kept.totals.net < new.totals.net, "{} {}", kept.totals.net, new.totals.net);
    assert!(kept.routes.iter().all(|route| route.circuit.as_deref() != Some("F1")), "nothing is laid");
    let of_the_trench = kept.questions.iter().filter(|one| matches!(&*one.id, "ground" | "buried-services"));
    assert_eq!(of_the_trench.count(), 0);
}

#[test]
fn a_feed_that_stays_but_is_too_thin_for_what_is_put_behind_it_fails() {
    let heated = |line_mm2: f64| {
        let mut house = house(json!([kept_feed(line_mm2)]));
        house["survey"]["outbuildings"][0]["appliances"] = json!([{ "type": "shower", "load_kw": 7.5 }]);
        priced(&read(&house))
    };

    // 7.5 kW is 32.6 A, and 4 of the 10 A of the sockets: 36.6 A.
    let (thin, stout) = (heated(1.5), heated(10.0));

    assert_eq!(circuit(&thin, "F1").verdict, Verdict::Fail);
    let flag = thin.risk_flags.iter().find(|flag| flag.id == "circuit-check-failed" && flag.places == ["F1"]);
    assert!(flag.is_some_and(|flag| flag.what.contains("design-current")), "{flag:?}");
    assert_eq!((circuit(&stout, "F1").verdict, circuit(&stout, "F1").device.rating_a.value()), (Verdict::Pass, 50.0));
}

#[test]
fn a_feed_that_stays_to_a_building_where_nothing_is_done_takes_a_way_and_its_tests() {
    let mut house = house(json!([kept_feed(6.0)]));
    house["survey"]["outbuildings"][0]["points"] = json!([]);
    let estimate = priced(&read(&house));

    let feed = circuit(&estimate, "F1");
    assert_eq!((feed.design_current_a, feed.checks.len()), (feed.device.rating_a, 7));
    // By On-Site Guide Table A2, as one more circuit of the usual kind: 40 A in full, and the ring counts 40 % only.
    let without = {
        house["survey"]["circuits"] = json!([]);
        priced(&read(&house))
    };
    assert!(estimate.demand.after_diversity_a.value() > without.demand.after_diversity_a.value() + 8.0);
    assert!(feed.because.iter().any(|line| line.contains("was not recorded")), "{:?}", feed.because);
    assert!(estimate.board.sub_boards.is_empty(), "its board stays");
    assert!(estimate.lines.iter().all(|line| line.item != "sub-board" && line.item != "trench"));
}

#[test]
fn a_design_current_says_what_it_is_made_of_and_arc_detection_is_advised_where_something_is_plugged_in() {
    // Source: On-Site Guide Table A2: 3.6 kW is 15.65 A; 10 + 0.3 x 5.65 = 11.70 A. 421.1.7 is about socket outlets.
    let estimate = estimate(json!([{ "id": "L1", "type": "lighting", "rooms": ["kitchen", "hall", "bed"] }]));

    let of_kind =
        |kind: &str| estimate.circuits.iter().find(|circuit| circuit.circuit_type == kind).expect("there is one");
    let says = |circuit: &Circuit, words: &str| circuit.because.iter().any(|line| line.contains(words));
    let cooker = of_kind("cooker");
    let words = "Load: oven 3.6 kW at 230 V. The first 10 A and 30 % of the rest make 11.70 A";
    assert!(says(cooker, words), "{:?}", cooker.because);
    let lights = circuit(&estimate, "L1");
    assert!(says(lights, "Load: 3 x 10 W / 230 V = 0.13 A"), "{:?}", lights.because);
    let advised = |circuit: &Circuit| !circuit.advice.is_empty();
    assert_eq!((advised(cooker), advised(lights), advised(of_kind("ring-sockets"))), (false, false, true));
}
