//! What kind of job it is: what stays, what is checked, what is put right first, which papers it takes.

mod support;

use engine::estimate::{Estimate, JobScope, LineKind, Severity};
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

/// Rooms of a flat of so many double sockets each, beside a hall with the board as it is there. Invented.
fn beside_a_board(board: Value, rooms: Value) -> Value {
    let mut all = vec![json!({ "id": "hall", "use": "hall" })];
    all.extend(rooms.as_array().cloned().unwrap_or_default());
    asked(
        json!({ "scope": "addition", "site": { "nation": "england", "built_year": 1990, "distance_km": 8, "parking": "drive" },
        "rooms": all, "consumer_unit": { "room": "hall", "existing": board } }),
    )
}

fn example(name: &str) -> Estimate {
    estimate(&support::document(&format!("{name}.json")))
}

const SMALL_JOBS: [&str; 8] = [
    "one-socket",
    "three-sockets-and-outside",
    "board-change",
    "charge-point",
    "shower-circuit",
    "kitchen",
    "loft-conversion",
    "second-job",
];

#[test]
fn a_small_job_is_held_back_by_no_flag_and_no_circuit_of_it_fails() {
    for job in SMALL_JOBS {
        let estimate = example(job);
        let stops: Vec<_> = estimate.risk_flags.iter().filter(|flag| flag.severity == Severity::Stop).collect();
        assert!(stops.is_empty(), "{job}: {stops:?}");
        for circuit in &estimate.circuits {
            assert_ne!(circuit.verdict.word(), "fail", "{job}: {}", circuit.name);
        }
    }
}

#[test]
fn the_programme_says_the_people_and_the_visits_that_are_priced() {
    for job in SMALL_JOBS {
        let estimate = example(job);
        // `1 person`, `2 people`.
        let people = format!(", {} pe", estimate.programme.people);
        for travel in estimate.lines.iter().filter(|line| line.item == "travel") {
            assert!(travel.because.iter().any(|why| why.contains(&people)), "{job}: {:?}", travel.because);
        }
        assert_eq!(estimate.programme.visits, estimate.scope.map(|scope| scope.visits), "{job}");
    }
    assert_eq!(example("one-socket").programme.people, 1);
}

#[test]
fn a_socket_that_is_filled_and_fitted_on_one_visit_waits_for_no_plaster() {
    let waits = |job: &str| example(job).programme.steps.iter().any(|step| step.wait_days.is_some());

    assert!(!waits("one-socket"));
    assert!(waits("three-sockets-and-outside"), "ten metres of chase dry before they are fitted over");
}

#[test]
fn a_board_that_stays_is_shown_with_what_was_recorded_of_it() {
    let request = beside_a_board(
        json!({ "condition": "modern", "ways": 12, "ways_spare": 3, "main_switch_a": 80 }),
        json!([{ "id": "lounge", "points": [{ "type": "double-socket" }] }]),
    );

    let board = estimate(&request).board;

    assert!(board.stays && !board.surge_device);
    assert_eq!((board.ways, board.ways_used, board.ways_spare), (12, 9, 3));
    assert_eq!(board.main_switch_a.value(), 80.0);
    assert_eq!(board.chart.iter().filter(|way| way.unrecorded).count(), 8);
    assert_eq!((board.tails_mm2, board.switched_fuse_a), (None, None));
    assert!(board.because[0].contains("as counted"), "{:?}", board.because);
    assert!(!estimate(&with(request, &[("/survey/scope", json!("rewire"))])).board.stays);
}

#[test]
fn a_new_circuit_takes_a_free_way_or_stands_on_the_small_board() {
    let shower = |free: u32| estimate(&shower("england", free)).board;

    let (way, small) = (shower(2), shower(0));

    assert_eq!((way.ways_spare, way.small_board), (1, None));
    let beside = small.small_board.expect("a small board");
    assert_eq!((beside.ways, beside.ways_used, small.ways_spare), (6, 1, 0));
    assert!(small.chart.iter().all(|way| way.circuit.is_none()));
}

#[test]
fn a_full_board_is_asked_about_with_the_board_changed_as_the_dearer_way() {
    let estimate = estimate(&shower("england", 0));

    let asked = estimate.questions.iter().find(|question| question.id == "board-kept").expect("it is asked");
    assert_eq!(asked.answers[0].net, estimate.totals.net);
    assert!(asked.answers[1].net.approximate() > estimate.totals.net.approximate() + 200.0, "{asked:?}");
    assert!(asked.worth.approximate() > 0.0);
}

#[test]
fn free_ways_that_nobody_counted_are_asked_about_with_the_small_board_priced() {
    let uncounted = with(shower("england", 1), &[("/survey/consumer_unit/existing/ways_spare", Value::Null)]);

    let estimate = estimate(&uncounted);

    let asked = estimate.questions.iter().find(|question| question.id == "free-ways").expect("it is asked");
    assert!(asked.answers[1].net.approximate() > estimate.totals.net.approximate() + 100.0, "{asked:?}");
}

#[test]
fn earthing_that_stays_and_was_not_looked_at_is_in_the_range_and_asked() {
    let estimate = estimate(&sockets(1));

    let asked = estimate.questions.iter().find(|question| question.id == "earthing-sound").expect("it is asked");
    assert!(asked.worth.approximate() > 0.0 && asked.answers[1].net > asked.answers[0].net);
}

#[test]
fn a_board_that_nobody_touches_raises_asbestos_only_where_it_is_suspect() {
    let raised = |board: Value| {
        let request = beside_a_board(board, json!([{ "id": "lounge", "points": [{ "type": "double-socket" }] }]));
        let old = with(request, &[("/survey/site/built_year", json!(1960))]);
        estimate(&old).risk_flags.iter().any(|flag| flag.id == "asbestos-behind-board")
    };

    assert!(!raised(json!({ "condition": "rewireable-fuses" })));
    assert!(raised(json!({ "condition": "rewireable-fuses", "backing_board_suspect": true })));
}

#[test]
fn what_a_usual_circuit_does_not_bear_gets_a_circuit_of_its_own() {
    let loft = |sockets: u32| {
        let room = json!({ "id": "loft", "use": "bedroom", "storey": "second", "points": [{ "type": "double-socket", "count": sockets }] });
        estimate(&beside_a_board(json!({ "condition": "modern", "ways_spare": 4 }), json!([room])))
    };

    let (few, many) = (loft(2), loft(6));

    assert!(few.circuits.iter().all(|circuit| circuit.existing));
    assert!(many.circuits.iter().all(|circuit| !circuit.existing && circuit.verdict.word() != "fail"));
}

#[test]
fn lights_and_alarms_of_a_loft_share_one_new_circuit_and_the_sound_board_keeps() {
    let loft = example("loft-conversion");

    assert_eq!(loft.circuits.iter().filter(|circuit| circuit.circuit_type == "lighting").count(), 1);
    assert!(loft.circuits.iter().all(|circuit| circuit.circuit_type != "alarms"));
    assert!(!has(&loft, "small-board") && !has(&loft, "consumer-unit"));
}

#[test]
fn a_load_given_as_a_point_and_as_an_appliance_is_one_circuit_unless_more_are_counted() {
    let circuits = |point: &str, appliance: &str, load: f64, count: u32| {
        let room = json!({ "id": "there", "use": "other", "points": [{ "type": point }],
            "appliances": [{ "type": appliance, "load_kw": load, "count": count }] });
        let request = beside_a_board(json!({ "condition": "modern" }), json!([room]));
        estimate(&with(request, &[("/survey/scope", json!("single-circuit"))])).circuits.len()
    };

    for (point, appliance, load) in [
        ("charge-point", "charge-point", 7.4),
        ("shower-switch", "shower", 9.5),
        ("cooker-control", "cooker", 11.0),
        ("cooker-plate", "cooker", 11.0),
        ("cooker-plate", "hob", 7.2),
        ("cooker-plate", "oven", 3.6),
        ("hob-point", "hob", 7.2),
        ("oven-point", "oven", 3.6),
        ("heat-pump-isolator", "heat-pump", 3.5),
        ("immersion-point", "immersion-heater", 3.0),
        ("towel-rail-point", "towel-rail", 2.5),
    ] {
        assert_eq!(circuits(point, appliance, load, 1), 1, "{point} and {appliance}");
    }
    for (point, appliance, load) in [("charge-point", "charge-point", 7.4), ("shower-switch", "shower", 9.5)] {
        assert_eq!(circuits(point, appliance, load, 2), 2, "{point} and two of {appliance}");
    }
}

#[test]
fn a_board_that_is_changed_where_it_hangs_keeps_its_supply_beside_it() {
    let estimate = example("board-change");

    let tails = estimate.lines.iter().find(|line| line.item == "tails").expect("new tails");
    assert!(tails.quantity <= 3.0 && !has(&estimate, "switched-fuse"), "{tails:?}");
    let hours = estimate.hours.total.value();
    // Three estimators have 8.5 to 17 hours for such a board, the middle one 12.4.
    assert!((9.9..=14.9).contains(&hours), "{hours}");
}

#[test]
fn a_second_job_has_a_contingency_like_any_other() {
    let second = example("second-job").totals;

    assert!(second.contingency.approximate() > 0.0, "{second:?}");
}

/// Points of one kind in one room as an addition, one more each time. Invented.
fn nets(kind: &str, room: Value, counts: std::ops::RangeInclusive<u32>) -> Vec<f64> {
    let of = |count: u32| {
        let mut room = room.clone();
        room["points"] = json!([{ "type": kind, "count": count }]);
        net(&beside_a_board(json!({ "condition": "modern", "ways_spare": 6 }), json!([room])))
    };
    counts.map(of).collect()
}

#[test]
fn more_points_of_any_kind_never_cost_less() {
    for (kind, room) in [
        ("double-socket", json!({ "id": "lounge", "use": "living" })),
        ("downlight", json!({ "id": "lounge", "use": "living" })),
        ("fused-unit", json!({ "id": "utility", "use": "utility" })),
        ("outside-socket", json!({ "id": "patio", "use": "outside" })),
        ("data-outlet", json!({ "id": "study", "use": "study" })),
        ("smoke-alarm", json!({ "id": "landing", "use": "landing" })),
    ] {
        let nets = nets(kind, room, 1..=10);
        assert!(nets.windows(2).all(|pair| pair[0] <= pair[1]), "{kind}: {nets:?}");
    }
}

#[test]
fn an_addition_never_costs_more_than_the_rewire_that_holds_it() {
    for job in SMALL_JOBS.into_iter().filter(|job| *job != "board-change") {
        let request = support::document(&format!("{job}.json"));
        let rewire = with(request.clone(), &[("/survey/scope", json!("rewire"))]);
        let mut rewire = rewire;
        for room in rewire["survey"]["rooms"].as_array_mut().into_iter().flatten() {
            if let Some(points) = room.get_mut("points").and_then(Value::as_array_mut) {
                points.retain(|point| point.get("stays").is_none());
            }
        }
        assert!(net(&request) <= net(&rewire), "{job}: {} and {}", net(&request), net(&rewire));
    }
}

#[test]
fn a_silent_scope_lies_between_its_answers() {
    for count in [1, 3, 6] {
        let silent = estimate(&sockets(count));
        let of = |scope: &str| net(&with(sockets(count), &[("/survey/scope", json!(scope))]));
        let price = silent.totals.net.approximate();
        assert!(of("addition") <= price + 0.01 && price <= of("rewire"), "{count}: {price}");
    }
}

#[test]
fn two_jobs_in_one_visit_cost_less_than_apart() {
    let apart = 2.0 * net(&sockets(2));
    let mut second = sockets(2);
    second["terms"] = json!({ "visit": { "paid_by": "J-1", "days": 1 } });

    assert!(net(&sockets(2)) + net(&second) < apart);
}

#[test]
fn a_further_like_point_within_a_visit_never_costs_more_than_the_one_before() {
    let on_site = |count: u32| {
        let estimate = estimate(&beside_a_board(
            json!({ "condition": "modern" }),
            json!([{ "id": "lounge", "use": "living", "points": [{ "type": "double-socket", "count": count }] }]),
        ));
        // The visit is paid by the first; what comes by the day is not a point's.
        let of_the_visit = |kind: LineKind| {
            use LineKind::{Contingency, Overhead, Preliminaries, Profit, Sundries};
            matches!(kind, Preliminaries | Overhead | Contingency | Profit | Sundries)
        };
        let lines = estimate.lines.iter().filter(|line| !of_the_visit(line.kind));
        lines.map(|line| line.amount.approximate()).sum::<f64>()
    };
    let costs: Vec<f64> = (0..=5).map(|count| if count == 0 { 0.0 } else { on_site(count) }).collect();
    /// Hours are paid in hundredths per line, and a point has some five lines.
    const A_LINE_ROUNDED: f64 = 1.0;
    let each: Vec<f64> = costs.windows(2).map(|pair| pair[1] - pair[0]).collect();

    assert!(each.windows(2).all(|pair| pair[1] <= pair[0] + A_LINE_ROUNDED), "{each:?}");
}

#[test]
fn one_more_of_each_kind_has_a_price_that_follows_from_the_job() {
    for job in SMALL_JOBS.into_iter().filter(|job| *job != "board-change") {
        let estimate = example(job);
        let mut asked: Vec<&str> = estimate
            .circuits
            .iter()
            .flat_map(|circuit| &circuit.points)
            .map(|point| point.point_type.as_str())
            .collect();
        asked.sort_unstable();
        asked.dedup();
        for kind in asked {
            let extra = estimate.extra_points.iter().find(|extra| extra.point_type == kind);
            assert!(extra.is_some_and(|extra| extra.price.approximate() > 0.0), "{job}: {kind} {extra:?}");
        }
    }
    let (brick, stud) = ("brick", "timber-stud");
    let price = |wall: &str| {
        let request = with(sockets(1), &[("/survey/rooms/0/wall", json!(wall))]);
        estimate(&request).extra_points[0].price
    };
    assert!(price(brick) > price(stud), "a chase costs more than a drop in a stud wall");
}

#[test]
fn each_socket_joined_is_a_spur_of_its_own_in_the_cable_of_the_ring() {
    // On-Site Guide: an unfused spur feeds one single or twin socket, in 2.5 mm2, and there are no more of them than the ring
    // has points. From memory.
    for count in 1..=5 {
        let estimate = estimate(&sockets(count));
        let ring = &estimate.circuits[0];
        assert!(ring.existing && ring.cable.line_mm2 == 2.5, "{count}");
        let cable: f64 = estimate.lines.iter().filter(|line| line.item == "cable-2-5").map(|line| line.quantity).sum();
        assert!((cable - 3.3 * f64::from(count)).abs() < 0.1, "{count}: {cable} m, one way to each");
    }
    assert!(estimate(&sockets(7)).circuits.iter().all(|circuit| !circuit.existing), "more have a circuit of their own");
}

#[test]
fn the_certificate_follows_the_scope() {
    let with_scope =
        |scope: &str, request: Value| certificates(&scope_of(&with(request, &[("/survey/scope", json!(scope))])));
    let board = asked(json!({ "rooms": [{ "id": "hall", "use": "hall" }],
        "consumer_unit": { "room": "hall", "existing": { "condition": "rewireable-fuses" } } }));

    // Model forms of Appendix 6 and 644.1.2, seen second-hand.
    for scope in ["rewire", "partial-rewire"] {
        assert_eq!(with_scope(scope, sockets(2)), ["installation-certificate"], "{scope}");
    }
    for scope in ["addition", "alteration"] {
        assert_eq!(with_scope(scope, sockets(2)), ["minor-works-certificate"], "{scope}");
    }
    assert_eq!(with_scope("single-circuit", shower("england", 2)), ["installation-certificate"]);
    assert_eq!(with_scope("board-change", board), ["installation-certificate"]);
}

fn scope_of(request: &Value) -> JobScope {
    scope(request)
}

#[test]
fn a_drawn_house_prices_one_more_of_each_kind_at_the_average_of_those_that_it_has() {
    for house in ["kestrel-bank", "three-bed"] {
        let estimate = example(house);
        let socket = estimate.extra_points.iter().find(|extra| extra.point_type == "double-socket").expect("a socket");
        assert!(socket.averaged && estimate.extra_points.len() > 10, "{house}");
        let first = estimate.lines.iter().find(|line| line.item == "double-socket").expect("sockets");
        let fitting = first.price.approximate() / first.quantity;
        let one_more = socket.price.approximate();
        assert!(one_more > fitting && one_more < 4.0 * fitting, "{house}: {one_more} beside {fitting} for its fitting");
    }
    assert!(example("one-socket").extra_points.iter().all(|extra| !extra.averaged));
}
