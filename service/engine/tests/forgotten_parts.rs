//! Parts that are easily forgotten: where data and television cables end, what holds the cables at the board, tails in
//! walls and what fills stud walls. Houses are invented.

mod support;

use engine::estimate::Estimate;
use engine::rate_sheet::RateSheet;
use serde_json::{Value, json};
use support::{priced, priced_with, put, read};

/// Three rooms in a row, a store without a socket among them, wired from the hall.
fn house() -> Value {
    let room = |id: &str, room_use: &str, x_m: f64, points: &Value| {
        json!({ "id": id, "use": room_use, "storey": "ground", "wall": "brick", "height_m": 2.4, "surface_wiring": false,
                "floor": { "construction": "solid-concrete", "covering": "none" },
                "ceiling": { "construction": "plasterboard" },
                "outline": { "x_m": x_m, "y_m": 0, "width_m": 4.0, "depth_m": 4.0 }, "points": points })
    };
    let usual = json!([{ "type": "double-socket", "count": 4 }, { "type": "pendant" }, { "type": "one-way-switch" }]);
    let signal = json!([{ "type": "double-socket", "count": 4 }, { "type": "data-outlet", "count": 6 },
                        { "type": "tv-outlet", "count": 3 }, { "type": "pendant" }, { "type": "one-way-switch" }]);
    let store = json!([{ "type": "pendant" }, { "type": "one-way-switch" }]);
    json!({ "survey": {
        "site": { "built_year": 1930 },
        "rooms": [room("hall", "hall", 0.0, &usual), room("living", "living", 4.0, &signal),
                  room("store", "store", 8.0, &store)],
        "consumer_unit": { "room": "hall", "at": { "x_m": 0.1, "y_m": 0.1 }, "height_m": 1.5 },
        "intake": { "room": "hall", "at": { "x_m": 0.1, "y_m": 0.1 } },
        "services": [],
        "supply": { "earthing": "tn-c-s", "ze_ohm": 0.3, "fault_current_ka": 1.2, "cut_out_a": 80 }
    } })
}

fn with(changes: &[(&str, Value)]) -> Estimate {
    let mut request = house();
    changes.iter().for_each(|(pointer, value)| put(&mut request, pointer, value));
    priced(&read(&request))
}

fn used(estimate: &Estimate, item: &str) -> f64 {
    estimate.take_off.iter().filter(|one| one.item == item).map(|one| one.used).sum()
}

fn line<'e>(estimate: &'e Estimate, item: &str) -> Option<&'e engine::estimate::Line> {
    estimate.lines.iter().find(|line| line.item == item)
}

#[test]
fn data_and_television_cables_end_at_a_place_that_is_named_with_a_panel_and_a_splitter() {
    let estimate = with(&[]);

    let ends = line(&estimate, "signal-ends").expect("they end somewhere");
    assert!(ends.description.contains("beside the board"), "{}", ends.description);
    // Six data cables are too many for a plate; three televisions want a splitter.
    assert_eq!((used(&estimate, "patch-panel-12"), used(&estimate, "tv-splitter")), (1.0, 1.0));
    let taken = estimate.assumptions.iter().find(|one| one.subject == "signal-hub").expect("it is said");
    assert_eq!(taken.assumed, "beside the board");
    let asked = estimate.questions.iter().find(|one| one.id == "signal-hub").expect("it is asked");
    assert!(asked.worth > engine::money::Money::ZERO, "cables end nearer or farther: {asked:?}");
}

#[test]
fn where_the_survey_says_where_they_end_nothing_is_assumed_or_asked_and_the_cables_go_there() {
    let here = with(&[("/survey/signal_hub", json!({ "room": "living", "wall": "back", "along_m": 2.0 }))]);
    let board = with(&[]);

    assert!(here.assumptions.iter().all(|one| one.subject != "signal-hub"));
    assert!(here.questions.iter().all(|one| one.id != "signal-hub"));
    assert!(used(&here, "cable-data") < used(&board, "cable-data"), "all of the outlets are in that room");
}

#[test]
fn few_data_cables_end_on_a_plate_and_one_television_wants_no_splitter() {
    let points = json!([{ "type": "data-outlet", "count": 2 }, { "type": "tv-outlet" }]);
    let estimate = with(&[("/survey/rooms/1/points", points)]);
    assert_eq!((used(&estimate, "plate-data-modules"), used(&estimate, "patch-panel-12")), (1.0, 0.0));
    assert_eq!(used(&estimate, "tv-splitter"), 0.0);
}

#[test]
fn a_room_without_a_socket_gets_one_for_the_equipment_and_a_room_with_some_does_not() {
    let at = |room: &str| with(&[("/survey/signal_hub", json!({ "room": room }))]);
    let (store, living) = (at("store"), at("living"));
    assert_eq!(used(&store, "plate-double-socket"), used(&living, "plate-double-socket") + 1.0);
}

#[test]
fn a_place_that_is_no_room_is_refused() {
    let mut request = house();
    put(&mut request, "/survey/signal_hub", &json!({ "room": "attic" }));
    let faults = support::ENGINE.read_survey(request.to_string().as_bytes());
    assert!(format!("{faults:?}").contains("/survey/signal_hub/room"), "{faults:?}");
}

#[test]
fn the_cables_at_the_board_are_counted_from_the_circuits_and_held_in_trunking() {
    let estimate = with(&[("/survey/rooms/1/points", json!([{ "type": "double-socket", "count": 4 }]))]);

    let from_board = estimate.circuits.iter().filter(|circuit| circuit.fed_from.is_none());
    let cables: u32 = from_board.map(|circuit| if circuit.arrangement == "ring" { 2 } else { 1 }).sum();
    let held = line(&estimate, "board-containment").expect("trunking at the board");
    let told = held.because.join("; ");
    assert!(told.contains(&format!("{cables} cables from above and 0 from below")), "{cables}: {told}");
    // From 1.5 m up to the ceiling at 2.4 m.
    let trunking = used(&estimate, if cables < 4 { "mini-trunking" } else { "trunking-50" });
    assert!((trunking - 0.9).abs() < 0.01, "{trunking}");
}

#[test]
fn where_cables_may_be_seen_they_are_clipped_to_the_board_and_want_no_trunking() {
    let estimate = with(&[("/survey/rooms/0/surface_wiring", true.into())]);
    assert!(line(&estimate, "board-containment").is_none());
}

#[test]
fn tails_that_would_lie_in_a_wall_go_in_trunking_on_its_face() {
    // Source: BS 7671 522.6.204, seen: no residual current device stands before them.
    let beside = with(&[]);
    let apart = with(&[("/survey/consumer_unit", json!({ "room": "store", "at": { "x_m": 11.9, "y_m": 2.0 } }))]);

    assert!(line(&beside, "tails-containment").is_none());
    let held = line(&apart, "tails-containment").expect("they come down the wall of the store");
    assert!(held.quantity > 0.5 && used(&apart, "tails-25") > held.quantity, "{}", held.quantity);
}

#[test]
fn tails_are_one_length_without_a_joint_whatever_packs_they_are_sold_in() {
    let mut sheet = RateSheet::standard();
    let tails = sheet.materials.iter_mut().find(|one| one.item == "tails-25").expect("on the sheet");
    (tails.pack_size, tails.other_packs) =
        (5.0, vec![engine::rate_sheet::OtherPack { size: 25.0, price: tails.pack_price }]);
    let mut request = house();
    let far = json!({ "room": "store", "at": { "x_m": 11.9, "y_m": 2.0 } });
    put(&mut request, "/survey/consumer_unit", &far);

    let bought = priced_with(&read(&request), sheet).take_off;

    let tails = bought.iter().find(|one| one.item == "tails-25").expect("bought");
    assert!(tails.used > 5.0, "longer than a pack: {}", tails.used);
    assert_eq!((tails.drums.len(), tails.drums[0].cuts.len(), tails.joints), (1, 1, 0), "{tails:?}");
}

fn stud_walls(built_year: Option<u16>, recorded: Option<&str>) -> Estimate {
    let mut request = house();
    put(&mut request, "/survey/site/built_year", &built_year.map_or(Value::Null, Into::into));
    for room in 0..3 {
        put(&mut request, &format!("/survey/rooms/{room}/wall"), &"timber-stud".into());
        if let Some(recorded) = recorded {
            put(&mut request, &format!("/survey/rooms/{room}/wall_insulation"), &recorded.into());
        }
    }
    priced(&read(&request))
}

fn taken(estimate: &Estimate) -> Option<&str> {
    estimate.assumptions.iter().find(|one| one.subject == "stud-insulation").map(|one| one.assumed.as_str())
}

/// The methods by which stretches in stud walls are rated.
fn in_the_studs(estimate: &Estimate) -> Vec<String> {
    let segments = estimate.routes.iter().flat_map(|route| &route.segments);
    let studs = segments.filter(|segment| segment.medium.word() == "stud-cavity");
    let mut methods: Vec<String> = studs.filter_map(|segment| Some(segment.method?.word().to_owned())).collect();
    methods.sort_unstable();
    methods.dedup();
    methods
}

#[test]
fn stud_walls_that_nobody_looked_into_are_taken_by_their_age_and_asked_about() {
    // Partitions are filled since Approved Document E of 2003, from memory.
    let (old, new, unknown) = (stud_walls(Some(1930), None), stud_walls(Some(2010), None), stud_walls(None, None));
    assert_eq!(taken(&old), Some("empty"));
    assert_eq!(taken(&new), Some("insulated, the cables touching the face of the wall"));
    assert_eq!(taken(&unknown), taken(&new), "the careful side");
    assert_eq!((in_the_studs(&old), in_the_studs(&new)), (vec!["b".to_owned()], vec!["102".to_owned()]));
    assert!(old.questions.iter().any(|one| one.id == "stud-insulation"));
}

#[test]
fn stud_walls_that_somebody_looked_into_are_neither_assumed_nor_asked_about() {
    let seen = stud_walls(Some(2010), Some("none"));
    assert_eq!(taken(&seen), None);
    assert!(seen.questions.iter().all(|one| one.id != "stud-insulation"));
    assert_eq!(in_the_studs(&seen), ["b"]);
}
