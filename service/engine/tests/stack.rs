//! What is over and under a dwelling: as recorded, else as it usually is; nothing goes through what belongs to others.

mod support;

use engine::estimate::Estimate;
use engine::survey::Medium;
use serde_json::{Value, json};
use support::{ENGINE, priced, read};

/// A drawn room with a light and two sockets.
fn room(id: &str, storey: &str, (x, y): (f64, f64), (width, depth): (f64, f64)) -> Value {
    json!({
        "id": id, "storey": storey, "use": "bedroom", "wall": "brick", "occupancy": "empty",
        "outline": { "x_m": x, "y_m": y, "width_m": width, "depth_m": depth },
        "floor": { "construction": "suspended-timber", "covering": "carpet" },
        "ceiling": { "construction": "plasterboard" },
        "points": [
            { "type": "pendant", "at": { "x_m": x + width / 2.0, "y_m": y + depth / 2.0 } },
            { "type": "double-socket", "at": { "x_m": x, "y_m": y + 1.0 } },
            { "type": "double-socket", "at": { "x_m": x + width, "y_m": y + 1.0 } }
        ]
    })
}

fn dwelling(kind: &str, storeys: &[(&str, i8)], rooms: &[Value]) -> Value {
    let storeys: Vec<Value> =
        storeys.iter().map(|(id, level)| json!({ "id": id, "level": level, "height_m": 2.5 })).collect();
    let first = rooms[0]["id"].clone();
    json!({ "survey": {
        "site": { "dwelling": kind, "occupancy": "empty", "wall": "brick", "storeys": storeys },
        "rooms": rooms, "consumer_unit": { "room": first }, "intake": { "room": first }
    } })
}

fn flat() -> Value {
    let rooms = [room("bed-1", "ground", (0.0, 0.0), (4.0, 3.0)), room("bed-2", "ground", (4.0, 0.0), (4.0, 3.0))];
    dwelling("flat", &[("ground", 0)], &rooms)
}

fn metres_in(estimate: &Estimate, media: &[Medium]) -> f64 {
    let segments = estimate.routes.iter().flat_map(|route| &route.segments);
    segments.filter(|segment| media.contains(&segment.medium)).map(|segment| segment.metres.value()).sum()
}

fn assumed(estimate: &Estimate, subject: &str, what: &str) -> bool {
    let entries = serde_json::to_value(&estimate.assumptions).expect("they are written");
    let is_it = |entry: &Value| entry["subject"] == subject && entry["assumed"] == what;
    entries.as_array().expect("a list").iter().any(is_it)
}

/// Where a survey is at fault.
fn refused(request: &Value) -> Vec<String> {
    let fault = ENGINE.read_survey(request.to_string().as_bytes()).expect_err("it is at fault");
    let engine::document::Unreadable::Faults(faults) = fault else { panic!("{fault:?}") };
    faults.into_iter().map(|fault| fault.pointer).collect()
}

const HIDDEN: [Medium; 4] = [Medium::Loft, Medium::CeilingVoid, Medium::FloorVoid, Medium::CrawlSpace];

#[test]
fn a_flat_is_wired_through_no_loft_and_under_no_floor_and_it_is_said_and_asked_what_that_is_worth() {
    let estimate = priced(&read(&flat()));

    assert!(metres_in(&estimate, &HIDDEN).abs() < f64::EPSILON);
    assert!(assumed(&estimate, "above", "another-dwelling") && assumed(&estimate, "below", "another-dwelling"));
    for id in ["above", "below"] {
        let asked = estimate.questions.iter().find(|question| question.id == id);
        assert!(asked.is_some_and(|asked| asked.worth.to_string() != "0.00"), "{id}: {asked:?}");
    }
}

#[test]
fn a_flat_under_its_own_roof_has_a_loft_and_one_on_the_ground_its_floors() {
    let mut own = flat();
    own["survey"]["site"]["storeys"][0]["above"] = "roof-void".into();
    own["survey"]["site"]["storeys"][0]["below"] = "ground".into();

    let estimate = priced(&read(&own));

    assert!(metres_in(&estimate, &[Medium::Loft]) > 0.0);
    assert!(metres_in(&estimate, &[Medium::FloorVoid]) > 0.0);
    assert!(estimate.questions.iter().all(|question| question.id != "above" && question.id != "below"));
}

#[test]
fn to_know_that_a_flat_has_a_loft_never_costs_more_than_to_know_that_it_has_none() {
    let mut own = flat();
    own["survey"]["site"]["storeys"][0]["above"] = "roof-void".into();
    let mut theirs = flat();
    theirs["survey"]["site"]["storeys"][0]["above"] = "another-dwelling".into();

    let cost = |request: &Value| {
        let totals = priced(&read(request)).totals;
        totals.materials + totals.labour
    };

    assert!(cost(&own) <= cost(&theirs));
}

#[test]
fn rooms_over_a_neighbour_or_a_passage_are_accepted_and_it_is_said_what_is_under_them() {
    let rooms = [
        room("living", "first", (0.0, 0.0), (4.0, 3.0)),
        room("bed", "second", (0.0, 0.0), (4.0, 3.0)),
        room("over-the-neighbour", "second", (4.0, 0.0), (4.0, 3.0)),
    ];
    let storeys = [("first", 1), ("second", 2)];

    let maisonette = priced(&read(&dwelling("maisonette", &storeys, &rooms)));
    let house = priced(&read(&dwelling("detached", &storeys, &rooms)));

    assert!(maisonette.plan.is_some() && house.plan.is_some());
    assert!(assumed(&maisonette, "below", "another-dwelling"));
    assert!(assumed(&house, "below", "open-air"));
}

#[test]
fn a_whole_storey_beside_the_one_below_is_refused_unless_it_is_said_what_is_under_it() {
    let rooms = [room("hall", "ground", (0.0, 0.0), (4.0, 3.0)), room("bed", "first", (10.0, 0.0), (4.0, 3.0))];
    let mut request = dwelling("detached", &[("ground", 0), ("first", 1)], &rooms);

    assert_eq!(refused(&request), ["/survey/rooms/1/outline"]);

    request["survey"]["rooms"][1]["below"] = "another-dwelling".into();
    assert!(priced(&read(&request)).plan.is_some());
}

#[test]
fn what_is_said_to_be_over_or_under_a_room_and_the_rooms_that_were_drawn_there_must_agree() {
    let rooms = [room("hall", "ground", (0.0, 0.0), (4.0, 3.0)), room("bed", "first", (0.0, 0.0), (4.0, 3.0))];
    let request = dwelling("detached", &[("ground", 0), ("first", 1)], &rooms);
    let said = |room: usize, field: &str, what: &str| {
        let mut request = request.clone();
        request["survey"]["rooms"][room][field] = what.into();
        request
    };

    assert_eq!(refused(&said(0, "above", "flat-roof")), ["/survey/rooms/0/above"]);
    assert_eq!(refused(&said(1, "below", "open-air")), ["/survey/rooms/1/below"]);
    priced(&read(&said(0, "above", "rooms")));
    priced(&read(&said(1, "above", "flat-roof")));
}

#[test]
fn an_extension_has_a_flat_roof_unless_it_is_said_that_it_has_a_void() {
    let rooms = [
        room("hall", "ground", (0.0, 0.0), (4.0, 3.0)),
        room("extension", "ground", (0.0, 3.0), (4.0, 3.0)),
        room("bed", "first", (0.0, 0.0), (4.0, 3.0)),
    ];
    let flat_roof = dwelling("detached", &[("ground", 0), ("first", 1)], &rooms);
    let mut pitched = flat_roof.clone();
    pitched["survey"]["rooms"][1]["above"] = "roof-void".into();

    let over_the_extension = |request: &Value, medium: Medium| {
        let estimate = priced(&read(request));
        let segments = estimate.routes.iter().flat_map(|route| &route.segments);
        let there = segments.filter(|one| one.room.as_deref() == Some("extension") && one.medium == medium);
        there.map(|segment| segment.metres.value()).sum::<f64>()
    };

    assert!(assumed(&priced(&read(&flat_roof)), "above", "flat-roof"));
    assert!(over_the_extension(&flat_roof, Medium::Loft).abs() < f64::EPSILON);
    assert!(over_the_extension(&pitched, Medium::Loft) > 0.0);
}
