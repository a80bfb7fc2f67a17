//! No survey, small or large, makes more work than a house can need: what it would make is counted before it is made.

mod support;

use engine::document::Unreadable;
use engine::estimate::RoutesRequest;
use engine::faults::Fault;
use engine::limits::{APPLIANCES_MAX, CIRCUITS_DESIGNED_MAX, POINTS_MAX};
use serde_json::{Value, json};
use support::{ENGINE, WORKBOOK};

fn faults(request: &Value) -> Vec<Fault> {
    match ENGINE.read_survey(request.to_string().as_bytes()) {
        Ok(_) => Vec::new(),
        Err(Unreadable::Faults(faults)) => faults,
        Err(other) => panic!("{other:?}"),
    }
}

/// A room with so many charge points, each of which wants its own circuit.
fn garage(charge_points: u64) -> Value {
    json!({ "id": "garage", "points": [{ "type": "double-socket" }],
            "appliances": [{ "type": "charge-point", "load_kw": 7.4, "count": charge_points }] })
}

#[test]
fn ten_thousand_loads_of_their_own_in_one_room_are_refused_at_their_count() {
    let faults = faults(&json!({ "survey": { "rooms": [garage(10_000)] } }));

    assert_eq!(faults.len(), 1, "{faults:?}");
    assert_eq!(faults[0].pointer, "/survey/rooms/0/appliances/0/count");
    assert!(faults[0].detail.contains("10000") && faults[0].detail.contains("1000 in all"), "{}", faults[0].detail);
}

#[test]
fn appliances_are_added_up_over_rooms_and_outbuildings() {
    let building =
        json!({ "id": "shed", "appliances": [{ "type": "machine", "load_kw": 3, "count": APPLIANCES_MAX }] });
    let faults = faults(&json!({ "survey": { "rooms": [garage(1)], "outbuildings": [building] } }));

    assert_eq!(faults.len(), 1, "{faults:?}");
    assert_eq!(faults[0].pointer, "/survey/outbuildings/0/appliances/0/count");
}

#[test]
fn more_circuits_than_a_house_has_are_refused_before_they_are_designed() {
    let heaters = |count: usize| json!({ "survey": { "rooms": [{ "id": "hall", "points": [{ "type": "storage-heater-point", "count": count }] }] } });

    let over = faults(&heaters(CIRCUITS_DESIGNED_MAX + 1));

    assert_eq!(over.len(), 1, "{over:?}");
    assert!(over[0].detail.contains("1001 circuits"), "{}", over[0].detail);
    assert!(faults(&heaters(CIRCUITS_DESIGNED_MAX - 1)).is_empty(), "as many as are designed are read");
}

#[test]
fn many_points_on_few_circuits_are_not_refused() {
    let rooms: Vec<Value> = (0..60)
        .map(|index| json!({ "id": format!("room-{index}"), "points": [{ "type": "double-socket", "count": 30 }] }))
        .collect();

    assert!(faults(&json!({ "survey": { "rooms": rooms } })).is_empty());
}

#[test]
fn a_request_for_routes_with_more_points_than_are_given_a_place_is_refused_before_one_is() {
    let points = vec![json!({ "type": "double-socket", "count": 10_000 }); 200];
    let outline = json!({ "x_m": 0, "y_m": 0, "width_m": 4, "depth_m": 4 });
    let asked = json!({ "survey": { "rooms": [{ "id": "hall", "storey": "ground", "outline": outline, "points": points }] },
                        "runs": [{ "id": "a", "to": { "room": "nowhere" } }] });
    let asked: RoutesRequest = serde_json::from_value(asked).expect("it has the form of a request");

    let faults = ENGINE.routes(&asked, &WORKBOOK).expect_err("two million points");

    assert_eq!(faults.len(), 1, "the run is not looked at: {faults:?}");
    assert!(faults[0].detail.contains(&format!("at most {POINTS_MAX}")), "{}", faults[0].detail);
}
