//! Doors and windows: no cable is chased across one, no point stands in one, and none lies outside of its wall.

mod support;

use engine::document::Unreadable;
use engine::estimate::Estimate;
use serde_json::{Value, json};
use support::{ENGINE, priced, read};

fn house(openings: &Value, points: &Value) -> Value {
    let room = |id: &str, y: f64| {
        json!({
            "id": id, "storey": "ground", "use": "other", "wall": "brick", "occupancy": "empty", "height_m": 2.4,
            "outline": { "x_m": 0, "y_m": y, "width_m": 4, "depth_m": 3 },
            "floor": { "construction": "solid-concrete", "covering": "none" }, "ceiling": { "construction": "plasterboard" },
            "points": [{ "type": "pendant" }, { "type": "one-way-switch" }]
        })
    };
    let mut living = room("living", 0.0);
    living["openings"] = openings.clone();
    living["points"] = points.clone();
    json!({ "survey": {
        "rooms": [living, room("dining", 3.1)],
        "consumer_unit": { "room": "dining", "at": { "x_m": 0, "y_m": 5 } }
    } })
}

fn door() -> Value {
    json!([{ "kind": "door", "wall": "front", "from_m": 1.0, "width_m": 0.9 }])
}

fn socket(x: f64) -> Value {
    json!([{ "type": "double-socket", "at": { "x_m": x, "y_m": 0 } }])
}

/// Where cables go up or down on the front wall.
fn falls(estimate: &Estimate) -> Vec<f64> {
    let segments = estimate.routes.iter().flat_map(|route| &route.segments);
    let falling = segments.filter(|segment| segment.medium.word() == "wall-chase").flat_map(|segment| &segment.path);
    falling.filter(|place| place.y_m.abs() < 0.1).map(|place| place.x_m).collect()
}

#[test]
fn a_socket_in_a_doorway_is_moved_beside_it_said_and_asked_about() {
    let estimate = priced(&read(&house(&door(), &socket(1.2))));

    assert!(estimate.assumptions.iter().any(|one| one.subject == "point-moved"), "{:?}", estimate.assumptions);
    for id in ["point-place", "opening-heights"] {
        assert!(estimate.questions.iter().any(|question| question.id == id), "{id}");
    }
    let falls = falls(&estimate);
    assert!(!falls.is_empty() && falls.iter().all(|x| !(1.0..=1.9).contains(x)), "{falls:?}");
}

#[test]
fn a_socket_beside_a_door_stays_where_it_was_marked() {
    let estimate = priced(&read(&house(&door(), &socket(3.0))));
    assert!(estimate.assumptions.iter().all(|one| one.subject != "point-moved"));
    assert!(falls(&estimate).contains(&3.0));
}

#[test]
fn under_a_sill_a_socket_stays_and_its_cable_does_not_come_down_through_the_window() {
    let window = |sill: Option<f64>| {
        let mut window = json!([{ "kind": "window", "wall": "front", "from_m": 1.0, "width_m": 1.2, "head_m": 2.1 }]);
        if let Some(sill) = sill {
            window[0]["sill_m"] = sill.into();
        }
        window
    };
    let mut raised = house(&window(Some(0.9)), &socket(1.5));
    raised["survey"]["rooms"][0]["floor"]["construction"] = "suspended-timber".into();
    let known = priced(&read(&raised));
    assert!(known.assumptions.iter().all(|one| one.subject != "point-moved"));
    let segments = known.routes.iter().flat_map(|route| &route.segments);
    let from_above = segments.flat_map(|segment| segment.path.windows(2)).filter(|pair| {
        pair.iter().all(|place| place.y_m.abs() < 0.01 && (1.0..=2.2).contains(&place.x_m))
            && pair.iter().any(|place| place.height_m > 2.1)
            && pair.iter().any(|place| place.height_m < 0.9)
    });
    assert_eq!(from_above.count(), 0);

    let unknown = priced(&read(&house(&window(None), &socket(1.5))));
    assert!(unknown.assumptions.iter().any(|one| one.subject == "point-moved"), "the sill is not known");
}

#[test]
fn a_door_that_is_blocked_up_is_no_door() {
    let mut blocked = door();
    blocked[0]["change"] = "blocked-up".into();
    let estimate = priced(&read(&house(&blocked, &socket(1.2))));
    assert!(estimate.assumptions.iter().all(|one| one.subject != "point-moved"));
    assert!(estimate.questions.iter().all(|question| question.id != "opening-heights"));
}

#[test]
fn openings_outside_their_wall_or_in_each_other_are_refused_where_they_stand_and_rounding_is_not() {
    let refused = |openings: Value| -> Vec<String> {
        let document = house(&openings, &socket(3.5)).to_string();
        match ENGINE.read_survey(document.as_bytes()) {
            Ok(_) => Vec::new(),
            Err(Unreadable::Faults(faults)) => faults.into_iter().map(|fault| fault.pointer).collect(),
            Err(other) => panic!("{other:?}"),
        }
    };
    let at = |from: f64, width: f64| json!({ "kind": "window", "wall": "front", "from_m": from, "width_m": width });
    let first = "/survey/rooms/0/openings/0";
    assert_eq!(refused(json!([at(3.5, 0.52)])), Vec::<String>::new(), "20 mm are rounding");
    assert_eq!(refused(json!([at(3.5, 0.6)])), [format!("{first}/width_m")]);
    assert_eq!(refused(json!([at(4.5, 0.6)])), [format!("{first}/from_m")]);
    assert_eq!(refused(json!([at(1.0, 1.0), at(1.98, 1.0)])), Vec::<String>::new());
    assert_eq!(refused(json!([at(1.0, 1.0), at(1.5, 1.0)])), ["/survey/rooms/0/openings/1"]);
    assert_eq!(refused(json!([{ "kind": "door", "wall": "front", "width_m": 0.8 }])), [format!("{first}/from_m")]);
    let high =
        json!([{ "kind": "window", "wall": "front", "along_m": 1.0, "width_m": 1.0, "sill_m": 0.9, "head_m": 3.0 }]);
    assert_eq!(refused(high), Vec::<String>::new(), "a head above the ceiling is asked about");
    let upside_down =
        json!([{ "kind": "window", "wall": "front", "from_m": 1.0, "width_m": 1.0, "sill_m": 2.0, "head_m": 1.0 }]);
    assert_eq!(refused(upside_down), [format!("{first}/head_m")]);
}
