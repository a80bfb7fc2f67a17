//! Two outbuildings: one feed onward from the first to the second against a feed each from the house. Houses and figures
//! are invented.

mod support;

use engine::checks::{CheckName, Verdict};
use engine::document::Unreadable;
use engine::estimate::{Circuit, Estimate};
use engine::money::Money;
use serde_json::{Value, json};
use support::{ENGINE, priced, read};

/// A small house with a garage at the end of the garden and a shed behind it: 12 m to the one, 24 m of slabs to the
/// other, 6 m of lawn from the one to the other.
fn garage_and_shed() -> Value {
    let points =
        json!([{ "type": "double-socket", "count": 2 }, { "type": "linear-light" }, { "type": "one-way-switch" }]);
    json!({ "survey": {
        "rooms": [{ "id": "hall", "points": [{ "type": "double-socket", "count": 2 }, { "type": "pendant" }] }],
        "supply": { "earthing": "tn-s", "ze_ohm": 0.4, "cut_out_a": 100, "fault_current_ka": 1.5 },
        "outbuildings": [
            { "id": "garage", "run_m": 12, "ground": "lawn", "construction": "timber", "points": points },
            { "id": "shed", "run_m": 24, "ground": "slabs", "construction": "timber", "points": points,
              "onward_from": "garage", "onward_m": 6, "onward_ground": "lawn" }
        ]
    } })
}

fn with(mut request: Value, pointer: &str, value: Value) -> Value {
    let (parent, key) = pointer.rsplit_once('/').expect("a pointer with a field");
    let parent = request.pointer_mut(parent).expect("the place is there");
    parent[key] = value;
    request
}

fn feed<'a>(estimate: &'a Estimate, building: &str) -> &'a Circuit {
    let name = format!("Feed to {building}");
    estimate.circuits.iter().find(|circuit| circuit.name == name).unwrap_or_else(|| panic!("there is no {name}"))
}

fn option(estimate: &Estimate, id: &str) -> Option<Money> {
    estimate.options.iter().find(|option| option.id == id).map(|option| option.net_change)
}

fn value(circuit: &Circuit, name: CheckName) -> f64 {
    circuit.checks.iter().find(|check| check.name == name).expect("it was checked").value
}

#[test]
fn a_shed_behind_the_garage_is_fed_onward_from_it_where_that_is_cheaper() {
    let estimate = priced(&read(&garage_and_shed()));

    let (garage, shed) = (feed(&estimate, "garage"), feed(&estimate, "shed"));
    assert_eq!((garage.fed_from.as_deref(), shed.fed_from.as_deref()), (None, Some(garage.id.as_str())));
    assert!(shed.because.iter().any(|line| line.contains("Fed from the board of garage")), "{:?}", shed.because);
    assert!(option(&estimate, "feed-of-its-own") > Some(Money::ZERO), "{:?}", estimate.options);
    let route = estimate.routes.iter().find(|route| route.circuit.as_ref() == Some(&shed.id)).expect("it has a route");
    let runner_up = route.runner_up.as_ref().expect("the other feed is shown");
    assert!(runner_up.money_more > Some(Money::ZERO) && runner_up.hours_more.value() > 0.0, "{runner_up:?}");
}

#[test]
fn a_shed_on_the_other_side_of_the_house_has_a_feed_of_its_own() {
    let apart = with(garage_and_shed(), "/survey/outbuildings/1/onward_m", json!(60));

    let estimate = priced(&read(&apart));

    assert_eq!(feed(&estimate, "shed").fed_from, None);
    assert!(option(&estimate, "feed-onward") > Some(Money::ZERO), "{:?}", estimate.options);
}

#[test]
fn of_the_two_feeds_the_one_that_is_taken_is_not_the_dearer() {
    for onward_m in [3, 18, 24, 30, 60] {
        let free = with(garage_and_shed(), "/survey/outbuildings/1/onward_m", json!(onward_m));
        let net = |fed_onward: bool| {
            priced(&read(&with(free.clone(), "/survey/outbuildings/1/fed_onward", json!(fed_onward)))).totals
        };
        let direct = |totals: &engine::estimate::Totals| totals.materials + totals.labour + totals.preliminaries;

        let (taken, onward, own) = (priced(&read(&free)).totals, net(true), net(false));

        // Small materials go by the materials: a penny either way.
        let least = direct(&onward).min(direct(&own)).approximate();
        assert!(direct(&taken).approximate() <= least + 0.02, "{onward_m} m: {taken:?}, {onward:?}, {own:?}");
    }
}

#[test]
fn volt_drop_and_impedance_are_carried_from_feed_to_feed() {
    let onward = with(garage_and_shed(), "/survey/outbuildings/1/fed_onward", json!(true));

    let estimate = priced(&read(&onward));

    let (garage, shed) = (feed(&estimate, "garage"), feed(&estimate, "shed"));
    let lights = estimate.circuits.iter().find(|circuit| circuit.fed_from.as_ref() == Some(&shed.id));
    let last = lights.expect("the shed has circuits");
    let drops = [garage, shed, last].map(|circuit| value(circuit, CheckName::VoltageDrop));
    let impedances = [garage, shed, last].map(|circuit| circuit.zs_ohm.expect("it was checked").value());
    assert!(drops.windows(2).all(|pair| pair[0] < pair[1]), "{drops:?}");
    assert!(impedances.windows(2).all(|pair| pair[0] < pair[1]), "{impedances:?}");
    assert!(garage.device.rating_a > shed.device.rating_a, "the nearer device trips last");
}

/// A heater of 9 kW in each: 39 A, and 39 A and 40 % of what else there is, is more than one feed of 63 A carries with
/// the rest of both.
#[test]
fn a_feed_onward_that_does_not_comply_is_not_taken_though_it_is_cheaper_and_the_reason_is_said() {
    let heaters = json!([{ "type": "sauna", "load_kw": 9.0 }, { "type": "shower", "load_kw": 9.5 }]);
    let heavy = with(garage_and_shed(), "/survey/outbuildings/0/appliances", heaters.clone());
    let heavy = with(heavy, "/survey/outbuildings/1/appliances", heaters);

    let estimate = priced(&read(&heavy));

    let shed = feed(&estimate, "shed");
    assert_eq!(shed.fed_from, None, "{:?}", shed.because);
    assert!(shed.because.iter().any(|line| line.contains("does not comply")), "{:?}", shed.because);
    assert_eq!(option(&estimate, "feed-onward"), None);
}

/// A feed behind an electrode: no breaker sees a fault to 200 ohm, so that a residual current device does.
#[test]
fn a_shed_fed_onward_from_a_metal_garage_hangs_on_its_electrode_and_still_disconnects() {
    let metal = with(garage_and_shed(), "/survey/outbuildings/0/construction", json!("metal"));
    let metal = with(metal, "/survey/outbuildings/1/fed_onward", json!(true));

    let estimate = priced(&read(&metal));

    let shed = feed(&estimate, "shed");
    assert_eq!(shed.device.residual_ma, Some(100.0));
    assert!(shed.zs_ohm.is_some_and(|zs| zs.value() >= 200.0), "{:?}", shed.zs_ohm);
    let board = estimate.board.sub_boards.iter().find(|board| board.outbuilding == "shed").expect("it has a board");
    assert!(board.earthing.contains("its own electrode") && board.electrode.is_none(), "{board:?}");
    let behind = estimate.circuits.iter().filter(|circuit| circuit.fed_from.as_ref() == Some(&shed.id));
    for circuit in behind.chain([shed]) {
        let disconnection = circuit.checks.iter().find(|check| check.name == CheckName::Disconnection);
        assert!(
            disconnection.is_some_and(|check| check.verdict != Verdict::Fail),
            "{}: {disconnection:?}",
            circuit.name
        );
    }
}

/// The straight line between drawn outlines and 1.3 for bends. Source: domain practice, from memory.
#[test]
fn between_drawn_outbuildings_the_run_is_the_straight_line_and_a_third() {
    let mut drawn = garage_and_shed();
    for (index, y_m) in [(0, 20.0), (1, 30.0)] {
        let building = &mut drawn["survey"]["outbuildings"][index];
        building["outline"] = json!({ "x_m": 0, "y_m": y_m, "width_m": 4, "depth_m": 5 });
        building.as_object_mut().expect("an object").remove("onward_m");
    }
    let drawn = with(drawn, "/survey/outbuildings/1/fed_onward", json!(true));

    let estimate = priced(&read(&drawn));

    // 5 m * 1.3 = 6.5 m of trench.
    let trench = estimate.lines.iter().find(|line| line.item == "trench" && line.room.as_deref() == Some("shed"));
    assert!(trench.is_some_and(|line| (line.quantity - 6.5).abs() < 1e-9), "{trench:?}");
    assert!(estimate.assumptions.iter().any(|assumption| assumption.subject == "onward-run"));
}

#[test]
fn the_order_of_outbuildings_changes_nothing() {
    let request = garage_and_shed();
    let mut turned = request.clone();
    turned["survey"]["outbuildings"].as_array_mut().expect("a list").reverse();

    let (one, other) = (priced(&read(&request)), priced(&read(&turned)));

    assert_eq!((one.totals, one.circuits), (other.totals, other.circuits));
}

#[test]
fn what_cannot_be_fed_onward_is_refused_where_it_stands() {
    let refused = |request: &Value| match ENGINE.read_survey(request.to_string().as_bytes()) {
        Err(Unreadable::Faults(faults)) => faults.into_iter().map(|fault| fault.pointer).collect::<Vec<_>>(),
        other => panic!("{other:?}"),
    };
    let base = with(garage_and_shed(), "/survey/outbuildings/1/fed_onward", json!(true));
    let itself = with(base.clone(), "/survey/outbuildings/1/onward_from", json!("shed"));
    let nobody = with(base.clone(), "/survey/outbuildings/1/onward_from", json!("barn"));
    let far = with(base.clone(), "/survey/outbuildings/1/onward_m", Value::Null);
    let empty = with(base.clone(), "/survey/outbuildings/0/points", json!([]));
    let circle = with(base, "/survey/outbuildings/0/fed_onward", json!(true));
    let circle = with(circle, "/survey/outbuildings/0/onward_m", json!(6));

    assert_eq!(refused(&itself), ["/survey/outbuildings/1/onward_from"]);
    assert_eq!(refused(&nobody), ["/survey/outbuildings/1/onward_from"]);
    assert_eq!(refused(&far), ["/survey/outbuildings/1/onward_m"]);
    assert_eq!(refused(&empty), ["/survey/outbuildings/1/fed_onward"]);
    assert_eq!(refused(&circle), ["/survey/outbuildings/0/fed_onward", "/survey/outbuildings/1/fed_onward"]);
}
