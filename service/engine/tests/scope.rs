//! What kind of job it is: what stays, what is checked, what is put right first, which papers it takes.

mod support;

use engine::estimate::{Estimate, JobScope};
use serde_json::{Value, json};
use support::{ENGINE, priced, put, read_as_it_is};

fn asked(survey: Value) -> Value {
    json!({ "survey": survey })
}

/// So many double sockets in one lounge. Invented.
fn sockets(count: u32) -> Value {
    asked(json!({ "rooms": [{ "id": "lounge", "points": [{ "type": "double-socket", "count": count }] }] }))
}

/// So many double sockets in each of these rooms. Invented.
fn rooms(ids: &[&str], count: u32) -> Value {
    let room = |id: &&str| json!({ "id": id, "points": [{ "type": "double-socket", "count": count }] });
    let rooms: Vec<Value> = ids.iter().map(room).collect();
    asked(json!({ "rooms": rooms }))
}

fn estimate(request: &Value) -> Estimate {
    priced(&read_as_it_is(request))
}

fn with(mut request: Value, changes: &[(&str, Value)]) -> Value {
    for (pointer, value) in changes {
        put(&mut request, pointer, value);
    }
    request
}

fn scope(request: &Value) -> JobScope {
    estimate(request).scope.expect("every estimate says what kind of job it is")
}

fn net(request: &Value) -> f64 {
    estimate(request).totals.net.approximate()
}

fn has(estimate: &Estimate, item: &str) -> bool {
    estimate.lines.iter().any(|line| line.item == item)
}

fn certificates(scope: &JobScope) -> Vec<&'static str> {
    scope.certificates.iter().map(|due| due.kind.word()).collect()
}

fn fault(request: &Value) -> (String, String) {
    let faults = ENGINE.read_survey(request.to_string().as_bytes()).expect_err("it is refused");
    let engine::document::Unreadable::Faults(faults) = faults else { panic!("{faults:?}") };
    (faults[0].pointer.clone(), faults[0].detail.clone())
}

/// A shower on a circuit of its own, in this nation, from a board with so many free ways. Invented.
fn shower(nation: &str, ways_spare: u32) -> Value {
    asked(json!({
        "scope": "single-circuit", "site": { "nation": nation, "dwelling": "semi-detached" },
        "rooms": [
            { "id": "hall", "use": "hall" },
            { "id": "bathroom", "use": "bathroom", "points": [{ "type": "shower-switch" }],
              "appliances": [{ "type": "shower", "load_kw": 9.5 }] }
        ],
        "consumer_unit": { "room": "hall", "existing": { "condition": "modern", "ways_spare": ways_spare } }
    }))
}

#[test]
fn one_socket_is_taken_as_an_addition_and_that_is_said_first_and_asked_first() {
    let estimate = estimate(&sockets(1));

    let scope = estimate.scope.as_ref().expect("a scope");
    assert_eq!((scope.kind.word(), scope.assumed), ("addition", true));
    assert_eq!(estimate.assumptions[0].subject, "scope");
    assert_eq!(estimate.questions[0].id, "scope");
    assert_eq!(estimate.questions[0].answers.len(), 2);
}

#[test]
fn what_stays_is_not_priced() {
    let estimate = estimate(&sockets(1));

    for item in ["consumer-unit", "tails", "main-earth-terminal", "bond-gas", "bond-water", "old-board", "old-points"] {
        assert!(!has(&estimate, item), "{item}");
    }
    assert!(has(&estimate, "what-stays"), "what stays is looked at");
    let stays = estimate.scope.expect("a scope").stays;
    assert!(stays.iter().any(|stays| stays == "Consumer unit") && stays.iter().any(|stays| stays == "Main bonds"));
}

#[test]
fn nine_points_or_three_rooms_or_a_board_are_a_rewire() {
    let three_rooms = rooms(&["a", "b", "c"], 1);
    let a_board = with(sockets(1), &[("/survey/consumer_unit", json!({ "room": "lounge" }))]);

    for request in [sockets(9), three_rooms, a_board] {
        assert_eq!(scope(&request).kind.word(), "rewire", "{request}");
    }
    assert_eq!(scope(&sockets(8)).kind.word(), "addition");
}

#[test]
fn a_socket_on_the_ring_takes_a_minor_works_certificate_and_no_notice_in_england() {
    let scope = scope(&sockets(1));

    assert_eq!(certificates(&scope), ["minor-works-certificate"]);
    assert!(!scope.notifiable.required);
}

#[test]
fn each_circuit_worked_on_has_a_minor_works_certificate() {
    let both = asked(json!({ "scope": "addition", "rooms": [{ "id": "lounge", "points": [
        { "type": "double-socket" }, { "type": "ceiling-light" }, { "type": "one-way-switch" }] }] }));

    assert_eq!(certificates(&scope(&both)), ["minor-works-certificate"; 2]);
}

#[test]
fn one_installation_certificate_holds_the_new_circuit_and_the_additions_of_the_visit() {
    let mut request = shower("england", 2);
    put(&mut request, "/survey/scope", &json!("addition"));
    put(&mut request, "/survey/rooms/0/points", &json!([{ "type": "double-socket" }]));

    let scope = scope(&request);

    assert_eq!(certificates(&scope), ["installation-certificate"]);
    assert_eq!(scope.certificates[0].circuits.len(), 2);
}

#[test]
fn a_new_circuit_is_notified_in_england_and_wales_and_not_in_northern_ireland_or_a_low_scottish_house() {
    let required = |nation: &str| scope(&shower(nation, 2)).notifiable.required;

    assert!(required("england") && required("wales"));
    assert!(!required("scotland") && !required("northern-ireland"));
}

#[test]
fn a_socket_in_a_kitchen_is_notified_in_wales_alone() {
    let kitchen = |nation: &str| {
        asked(json!({ "scope": "addition", "site": { "nation": nation },
            "rooms": [{ "id": "kitchen", "use": "kitchen", "points": [{ "type": "double-socket" }] }] }))
    };

    assert!(scope(&kitchen("wales")).notifiable.required);
    assert!(!scope(&kitchen("england")).notifiable.required);
}

#[test]
fn a_flat_in_scotland_wants_a_warrant() {
    let flat = with(shower("scotland", 2), &[("/survey/site/dwelling", json!("flat"))]);

    assert!(scope(&flat).notifiable.required);
}

#[test]
fn a_board_without_a_free_way_gets_a_small_board_beside_it_which_is_put_apart() {
    let (free, full) = (shower("england", 1), shower("england", 0));

    assert!(!has(&estimate(&free), "small-board"));
    assert!(has(&estimate(&full), "small-board"));
    let made_good = scope(&full).made_good;
    assert_eq!(made_good.len(), 1);
    assert!(made_good[0].net.approximate() > 0.0);
    assert!(net(&full) > net(&free) + 100.0);
}

#[test]
fn only_what_is_recorded_as_wrong_is_put_right() {
    let bond = |bonded: Value| {
        with(
            sockets(1),
            &[(
                "/survey/services",
                json!([{ "type": "water", "room": "lounge", "entry_material": "metal", "bonded_mm2": bonded }]),
            )],
        )
    };

    assert_eq!(scope(&bond(json!(10))).made_good, []);
    assert_eq!(scope(&sockets(1)).made_good, []);
    assert_eq!(scope(&bond(json!(0))).made_good[0].what, "Main bond to water");
}

#[test]
fn an_old_circuit_without_30_ma_gets_it_with_a_new_socket() {
    let board = |condition: &str| {
        with(
            sockets(1),
            &[("/survey/consumer_unit", json!({ "room": "lounge", "existing": { "condition": condition } }))],
        )
    };

    assert!(!has(&estimate(&board("modern")), "residual-protection"));
    for condition in ["breakers-no-rcd", "rewireable-fuses"] {
        assert!(has(&estimate(&board(condition)), "residual-protection"), "{condition}");
    }
}

#[test]
fn more_sockets_never_cost_less() {
    let prices: Vec<f64> = (1..=8).map(|count| net(&sockets(count))).collect();

    assert!(prices.windows(2).all(|pair| pair[0] < pair[1]), "{prices:?}");
}

#[test]
fn an_addition_costs_less_than_the_rewire_that_holds_it_and_a_silent_survey_lies_between() {
    let of = |scope: &str| net(&with(sockets(3), &[("/survey/scope", json!(scope))]));

    let (addition, silent, rewire) = (of("addition"), net(&sockets(3)), of("rewire"));

    assert!(addition <= silent && silent < rewire, "{addition}, {silent}, {rewire}");
}

#[test]
fn a_whole_house_whose_scope_is_silent_is_a_rewire_and_is_asked_about() {
    let house = rooms(&["a", "b", "c", "d"], 4);

    let estimate = estimate(&house);

    let scope = estimate.scope.as_ref().expect("a scope");
    assert_eq!((scope.kind.word(), scope.assumed), ("rewire", true));
    assert!(estimate.questions.iter().any(|question| question.id == "scope"));
}

#[test]
fn a_board_change_needs_no_points_and_tests_every_circuit_that_stays() {
    let request = asked(json!({ "scope": "board-change", "rooms": [{ "id": "hall", "use": "hall" }],
        "consumer_unit": { "room": "hall", "existing": { "condition": "rewireable-fuses", "ways": 6 } } }));

    let estimate = estimate(&request);

    assert!(has(&estimate, "consumer-unit") && has(&estimate, "old-board"));
    assert_eq!(estimate.circuits.len(), 6);
    assert!(estimate.circuits.iter().all(|circuit| circuit.existing));
    assert_eq!(estimate.lines.iter().filter(|line| line.item == "circuit-tests").count(), 6);
    let scope = estimate.scope.expect("a scope");
    assert_eq!(certificates(&scope), ["installation-certificate"]);
    assert!(scope.notifiable.required);
}

#[test]
fn a_circuit_that_stays_is_checked_as_it_will_be() {
    let long = asked(json!({ "scope": "addition",
        "rooms": [{ "id": "lounge", "points": [{ "type": "double-socket" }] }],
        "circuits": [{ "id": "ring", "type": "ring-sockets", "existing": true, "length_m": 125,
            "cable": { "line_mm2": 2.5 }, "device": { "rating_a": 32 } }] }));
    let short = with(long.clone(), &[("/survey/circuits/0/length_m", json!(50))]);

    let verdict = |request: &Value| estimate(request).circuits[0].verdict.word();

    assert_eq!(verdict(&long), "fail");
    assert_ne!(verdict(&short), "fail");
}

#[test]
fn a_scope_that_the_survey_contradicts_is_refused_with_a_way_out() {
    let no_board = asked(json!({ "scope": "board-change", "rooms": [{ "id": "hall" }],
        "consumer_unit": { "room": "hall", "existing": { "condition": "none" } } }));
    let stays =
        with(sockets(1), &[("/survey/scope", json!("rewire")), ("/survey/rooms/0/points/0/stays", json!(true))]);
    let nothing = asked(json!({ "scope": "addition", "rooms": [{ "id": "hall" }] }));

    assert_eq!(fault(&no_board).0, "/survey/scope");
    assert!(fault(&stays).1.contains("partial-rewire"));
    assert_eq!(fault(&nothing).0, "/survey/rooms");
}

#[test]
fn a_loop_impedance_that_was_measured_says_how_long_a_ring_is() {
    // 2.5/1.5 mm2: 7.41 + 12.10 mohm/m; (1.00 - 0.35) x 4 / 0.01951 = 133 m. Source: On-Site Guide, ring, from memory.
    let request = asked(json!({ "scope": "addition", "supply": { "ze_ohm": 0.35 },
        "rooms": [{ "id": "lounge", "points": [{ "type": "double-socket" }] }],
        "circuits": [{ "id": "ring", "type": "ring-sockets", "existing": true, "zs_ohm": 1.00,
            "cable": { "line_mm2": 2.5 }, "device": { "rating_a": 32 } }] }));

    let ring = &estimate(&request).circuits[0];

    assert!((ring.length_m.value() - 133.3 - 6.6).abs() < 1.0, "{}", ring.length_m.value());
}
