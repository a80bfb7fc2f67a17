//! What was drawn must be possible; each fault has its pointer.

use std::sync::LazyLock;

use engine::document::Unreadable;
use engine::survey::{self, SurveyContract};
use serde_json::{Value, json};

static CONTRACT: LazyLock<SurveyContract> = LazyLock::new(SurveyContract::new);

fn faults(survey: &Value) -> Vec<(String, String)> {
    let request = json!({ "survey": survey });
    match survey::read(&CONTRACT, request.to_string().as_bytes()) {
        Ok(_) => Vec::new(),
        Err(Unreadable::Faults(faults)) => faults.into_iter().map(|fault| (fault.pointer, fault.detail)).collect(),
        Err(other) => panic!("{other:?}"),
    }
}

fn room(id: &str, storey: &str, (x, y): (f64, f64), (width, depth): (f64, f64)) -> Value {
    json!({
        "id": id, "storey": storey, "outline": { "x_m": x, "y_m": y, "width_m": width, "depth_m": depth },
        "points": [{ "type": "double-socket", "count": 2 }]
    })
}

fn only(survey: &Value, pointer: &str, words: &str) {
    let faults = faults(survey);
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert_eq!(faults[0].0, pointer);
    assert!(faults[0].1.contains(words), "{}", faults[0].1);
}

#[test]
fn rooms_that_lie_in_each_other_are_refused() {
    let survey = json!({ "rooms": [
        room("hall", "ground", (0.0, 0.0), (3.0, 3.0)), room("living", "ground", (2.0, 0.0), (4.0, 3.0))
    ] });
    only(&survey, "/survey/rooms/1/outline", "over 3.00 m2");
}

#[test]
fn rooms_that_share_a_wall_or_lie_on_different_storeys_are_fine() {
    let survey = json!({ "rooms": [
        room("hall", "ground", (0.0, 0.0), (3.0, 3.0)),
        room("living", "ground", (3.0, 0.0), (4.0, 3.0)),
        room("bed", "first", (1.0, 0.0), (4.0, 3.0))
    ] });
    assert_eq!(faults(&survey), []);
}

#[test]
fn a_room_in_the_air_is_refused() {
    let survey = json!({ "rooms": [
        room("hall", "ground", (0.0, 0.0), (3.0, 3.0)), room("bed", "first", (10.0, 0.0), (4.0, 3.0))
    ] });
    only(&survey, "/survey/rooms/1/outline", "stands in the air");
}

#[test]
fn an_outline_that_crosses_itself_is_refused() {
    let mut hall = room("hall", "ground", (0.0, 0.0), (3.0, 3.0));
    hall["outline"] = Value::Null;
    hall.as_object_mut().expect("an object").remove("outline");
    hall["corners"] = json!([
        { "x_m": 0, "y_m": 0 }, { "x_m": 4, "y_m": 3 }, { "x_m": 4, "y_m": 0 }, { "x_m": 0, "y_m": 3 }
    ]);
    only(&json!({ "rooms": [hall] }), "/survey/rooms/0/corners", "crosses");
}

#[test]
fn two_corners_and_an_outline_beside_corners_are_refused() {
    let mut hall = room("hall", "ground", (0.0, 0.0), (3.0, 3.0));
    hall["corners"] = json!([{ "x_m": 0, "y_m": 0 }, { "x_m": 4, "y_m": 3 }]);
    only(&json!({ "rooms": [hall.clone()] }), "/survey/rooms/0/corners", "not both");
    hall.as_object_mut().expect("an object").remove("outline");
    only(&json!({ "rooms": [hall] }), "/survey/rooms/0/corners", "at least 3");
}

#[test]
fn an_l_shaped_room_holds_a_point_in_its_arm_and_not_one_in_its_corner() {
    let mut kitchen = json!({
        "id": "kitchen", "storey": "ground",
        "corners": [
            { "x_m": 0, "y_m": 0 }, { "x_m": 6, "y_m": 0 }, { "x_m": 6, "y_m": 2 },
            { "x_m": 2, "y_m": 2 }, { "x_m": 2, "y_m": 5 }, { "x_m": 0, "y_m": 5 }
        ],
        "points": [{ "type": "double-socket", "at": { "x_m": 5.0, "y_m": 1.0 } }]
    });
    assert_eq!(faults(&json!({ "rooms": [kitchen.clone()] })), []);
    kitchen["points"][0]["at"] = json!({ "x_m": 5.0, "y_m": 4.0 });
    only(&json!({ "rooms": [kitchen] }), "/survey/rooms/0/points/0/at", "outside the room");
}

#[test]
fn a_place_along_a_wall_needs_the_wall_its_length_and_a_drawn_room() {
    let with = |point: Value| {
        let mut hall = room("hall", "ground", (0.0, 0.0), (3.0, 2.0));
        hall["points"] = json!([point]);
        json!({ "rooms": [hall] })
    };
    assert_eq!(faults(&with(json!({ "type": "double-socket", "wall": "front", "along_m": 2.5 }))), []);
    let at = "/survey/rooms/0/points/0";
    only(&with(json!({ "type": "double-socket", "wall": "left" })), &format!("{at}/along_m"), "give `along_m`");
    only(&with(json!({ "type": "double-socket", "along_m": 1 })), &format!("{at}/wall"), "give `wall`");
    let long = json!({ "type": "double-socket", "wall": "left", "along_m": 2.5 });
    only(&with(long), &format!("{at}/along_m"), "the left of the room is 2.00 m long");
    let both = json!({ "type": "double-socket", "wall": "left", "along_m": 1, "at": { "x_m": 0, "y_m": 1 } });
    only(&with(both), &format!("{at}/wall"), "not both");
    let mut undrawn = with(json!({ "type": "double-socket", "wall": "left", "along_m": 1 }));
    undrawn["rooms"][0].as_object_mut().expect("an object").remove("outline");
    only(&undrawn, &format!("{at}/wall"), "no drawn room");
}

#[test]
fn a_board_and_a_service_stand_in_their_rooms() {
    let survey = json!({
        "rooms": [room("hall", "ground", (0.0, 0.0), (3.0, 3.0))],
        "consumer_unit": { "room": "hall", "at": { "x_m": 5, "y_m": 0 } },
        "services": [{ "type": "gas", "room": "hall", "at": { "x_m": 1, "y_m": 9 } }]
    });
    let pointers: Vec<String> = faults(&survey).into_iter().map(|(pointer, _)| pointer).collect();
    assert_eq!(pointers, ["/survey/consumer_unit/at", "/survey/services/0/at"]);
}

#[test]
fn a_storey_that_no_room_is_on_is_refused() {
    let survey = json!({
        "site": { "storeys": [{ "id": "ground", "level": 0 }, { "id": "first", "level": 1 }] },
        "rooms": [room("hall", "ground", (0.0, 0.0), (3.0, 3.0))]
    });
    only(&survey, "/survey/site/storeys/1/id", "no room is on the storey");
}

#[test]
fn two_thousand_rooms_all_in_one_place_are_refused_without_being_held_against_each_other_one_by_one() {
    let rooms: Vec<Value> =
        (0..2_000).map(|index| room(&format!("r{index}"), "ground", (0.0, 0.0), (3.0, 3.0))).collect();
    assert_eq!(faults(&json!({ "rooms": rooms })).len(), 100);
}
