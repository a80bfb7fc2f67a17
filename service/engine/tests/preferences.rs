//! What is done one way or another as the survey asks: where neutrals are looped, what is laid ready for later, what may
//! show. Houses are invented.

mod support;

use engine::Stamp;
use engine::estimate::{Estimate, Line};
use engine::rate_sheet::RateSheet;
use engine::survey::{EstimateRequest, Medium, NeutralLoop};
use serde_json::{Value, json};
use support::{ENGINE, example, priced};

fn looped_at(place: Option<NeutralLoop>) -> Estimate {
    let mut house = example("three-bed.json");
    house.survey.preferences.get_or_insert_default().neutral_looped_at = place;
    priced(&house)
}

fn metres_of(estimate: &Estimate, item: &str) -> f64 {
    estimate.lines.iter().filter(|line| line.item == item).map(|line| line.quantity).sum()
}

/// Domain practice, from memory: feed in and out of every switch and a cable to its light take more than one drop does.
#[test]
fn a_neutral_looped_at_the_switches_takes_more_cable_and_a_joint_in_every_switch_box() {
    let (ceiling, switch) = (looped_at(Some(NeutralLoop::Ceiling)), looped_at(Some(NeutralLoop::Switch)));

    assert!(metres_of(&switch, "cable-1-5") > metres_of(&ceiling, "cable-1-5"));
    let switches: u32 = example("three-bed.json")
        .survey
        .rooms
        .iter()
        .flat_map(|room| &room.points)
        .filter(|point| point.point_type.word().ends_with("switch") && point.point_type.word() != "shower-switch")
        .map(|point| point.count.unwrap_or(1))
        .sum();
    assert!((metres_of(&switch, "neutral-at-switch") - f64::from(switches)).abs() < 1e-9, "{switches}");
    assert!(metres_of(&ceiling, "neutral-at-switch").abs() < 1e-9);
    assert!(switch.totals.net > ceiling.totals.net);
}

#[test]
fn where_nobody_says_where_neutrals_are_looped_it_is_at_the_ceiling_and_the_estimate_says_so() {
    let (unsaid, ceiling) = (looped_at(None), looped_at(Some(NeutralLoop::Ceiling)));

    let assumed =
        |estimate: &Estimate| estimate.assumptions.iter().any(|assumption| assumption.subject == "neutral-looped-at");
    assert!(assumed(&unsaid) && !assumed(&ceiling));
    assert_eq!(unsaid.totals, ceiling.totals);
}

/// The three-bedroom house with what may come.
fn with_future(futures: &[&str]) -> EstimateRequest {
    let mut house = example("three-bed.json");
    let future = futures.iter().map(|kind| json!({ "type": kind })).collect::<Vec<_>>();
    house.survey.future = serde_json::from_value(future.into()).expect("plans for the future");
    house
}

fn draw_ins(estimate: &Estimate) -> Vec<&Line> {
    estimate.lines.iter().filter(|line| line.item == "draw-in-run").collect()
}

#[test]
fn a_loft_conversion_to_come_has_a_draw_in_run_to_the_loft_counted_by_its_route() {
    let (plain, estimate) = (priced(&with_future(&[])), priced(&with_future(&["loft-conversion"])));

    let [line] = draw_ins(&estimate)[..] else { panic!("one run: {:?}", draw_ins(&estimate)) };
    // Ground floor, first floor and their ceilings, less the height of the board: 2 * 2.4 + 0.25 - 1.5 m at least.
    assert!(line.quantity > 3.5, "{line:?}");
    let provisions = &estimate.board.provisions;
    assert_eq!(provisions[0].metres.map(|metres| metres.value()), Some(line.quantity));
    let route = estimate.routes.iter().find(|route| route.serves.starts_with("draw-in run")).expect("it has a route");
    assert!((route.metres.value() - line.quantity).abs() < 0.02, "{} and {}", route.metres, line.quantity);
    // Conduit and the hours of running it, each rounded where it is made; chases and floors are lines of their own.
    let chases = route.segments.iter().filter(|segment| segment.medium == Medium::WallChase);
    let laid: f64 = route.segments.iter().map(|segment| segment.hours.value()).sum::<f64>()
        - chases.map(|segment| segment.hours.value()).sum::<f64>();
    assert!(line.hours.value() >= laid - 0.05, "{} of {laid}", line.hours);
    assert!(estimate.totals.net > plain.totals.net);
}

#[test]
fn what_may_come_to_one_place_shares_one_draw_in_run() {
    let one = priced(&with_future(&["loft-conversion"]));
    let both = priced(&with_future(&["loft-conversion", "solar"]));
    let garden = priced(&with_future(&["loft-conversion", "garden-room"]));
    let none = priced(&with_future(&["stair-lift", "battery", "home-office"]));

    assert_eq!(draw_ins(&both).len(), 1);
    assert!((draw_ins(&both)[0].quantity - draw_ins(&one)[0].quantity).abs() < 1e-9);
    assert_eq!(draw_ins(&garden).len(), 2);
    assert!(draw_ins(&none).is_empty());
}

#[test]
fn a_draw_in_run_ends_where_the_survey_says_that_the_thing_will_be() {
    let mut house = with_future(&["charge-point"]);
    let usual = draw_ins(&priced(&house))[0].quantity;
    house.survey.future[0].room = Some("kitchen".to_owned());

    let estimate = priced(&house);

    let line = draw_ins(&estimate)[0];
    assert_eq!(line.room.as_deref(), Some("kitchen"));
    // The board hangs by the front door, the kitchen is at the back.
    assert!(line.quantity > usual, "{} and {usual}", line.quantity);
}

#[test]
fn a_sheet_from_before_conduit_was_asked_for_is_still_read_and_the_line_says_what_is_not_priced() {
    let mut sheet = RateSheet::standard();
    sheet.materials.retain(|material| material.item != "conduit-draw-in-25");
    let workbook = ENGINE.prepare(sheet, 1).expect("it is still complete");
    let stamp = Stamp { id: String::new(), created_at: String::new() };

    let estimate = ENGINE.estimate(&with_future(&["solar"]), &workbook, stamp);

    let line = draw_ins(&estimate)[0];
    assert!(line.because.iter().any(|because| because.contains("is not priced")), "{:?}", line.because);
}

#[test]
fn where_no_way_is_hidden_the_trunking_is_priced_flagged_and_asked_about() {
    let survey = json!({ "survey": {
        "rooms": [{
            "id": "living", "storey": "ground", "use": "living", "wall": "brick", "occupancy": "empty",
            "outline": { "x_m": 0, "y_m": 0, "width_m": 5, "depth_m": 4 }, "height_m": 2.4,
            "floor": { "construction": "solid-concrete", "covering": "carpet" },
            "ceiling": { "construction": "concrete" },
            "points": [{ "type": "double-socket", "count": 3 }]
        }],
        "consumer_unit": { "room": "living", "at": { "x_m": 0, "y_m": 2 } }
    } });
    let request = support::read(&survey);

    let estimate = priced(&request);

    assert!(estimate.lines.iter().any(|line| line.item == "mini-trunking"));
    assert!(estimate.included.iter().any(|one| one.id == "both-voids-closed"));
    let question = estimate.questions.iter().find(|question| question.id == "no-hidden-way").expect("it is asked");
    assert_eq!((question.places.as_slice(), question.answers.len()), (&["living".to_owned()][..], 3));
    assert!(question.worth > engine::money::Money::ZERO);
    assert_eq!(question.answers[0].net, estimate.totals.net, "as priced, it may show");
    assert!(question.answers[1].net > question.answers[2].net, "chasing brick costs more than another's ceiling");
}

#[test]
fn who_makes_good_and_what_the_plates_look_like_is_asked_until_it_is_recorded_and_priced_both_ways() {
    let with = |preferences: Value| {
        let survey = json!({ "survey": {
            "rooms": [{ "id": "living", "wall": "brick", "points": [{ "type": "double-socket", "count": 6 }] }],
            "preferences": preferences
        } });
        priced(&support::read(&survey))
    };
    let answers = |estimate: &Estimate, id: &str| {
        let found = estimate.questions.iter().find(|question| question.id == id);
        found.map(|question| question.answers.iter().map(|answer| answer.net).collect::<Vec<_>>())
    };

    let (silent, told) = (with(json!({})), with(json!({ "making_good": false, "finish": "white" })));

    let making_good = answers(&silent, "making-good").expect("it is asked");
    assert!(making_good[0] == silent.totals.net && making_good[1] < making_good[0], "{making_good:?}");
    let finish = answers(&silent, "finish").expect("it is asked");
    assert!(finish[0] == silent.totals.net && finish.is_sorted() && finish[1] > finish[0], "{finish:?}");
    assert!(silent.assumptions.iter().any(|assumption| assumption.subject == "making-good"));
    assert_eq!((answers(&told, "making-good"), answers(&told, "finish")), (None, None));
}

#[test]
fn what_a_circuit_that_stays_feeds_is_connected_already_and_not_asked_about() {
    let estimate = priced(&example("partial.json"));
    assert!(estimate.circuits.iter().any(|circuit| circuit.name == "Shower"), "it has a shower that stays");
    assert!(estimate.questions.iter().all(|question| question.id != "missing-point"));
}

#[test]
fn a_kitchen_with_no_box_in_its_walls_wants_no_plan() {
    let estimate = priced(&example("partial.json"));
    assert!(estimate.risk_flags.iter().all(|flag| flag.id != "kitchen-plan-missing"));
    assert!(estimate.questions.iter().all(|question| question.id != "kitchen-plan"));
}

/// Joists at 400 mm under 5 m along the front, and over 4 m to the back, counted joist by joist; half of both where nobody looked.
#[test]
fn joists_are_drilled_where_a_way_crosses_them() {
    let drilled = |joists: Option<&str>| {
        let mut floor = json!({ "construction": "suspended-timber", "covering": "none" });
        if let Some(joists) = joists {
            floor["joists"] = joists.into();
        }
        let survey = json!({ "survey": {
            "rooms": [{
                "id": "living", "storey": "ground", "use": "living", "wall": "brick", "occupancy": "empty",
                "outline": { "x_m": 0, "y_m": 0, "width_m": 5, "depth_m": 4 }, "height_m": 2.4, "floor": floor,
                "ceiling": { "construction": "concrete" },
                "points": [{ "type": "double-socket", "count": 3 }]
            }],
            "consumer_unit": { "room": "living", "at": { "x_m": 0, "y_m": 2 } }
        } });
        let request = support::read(&survey);
        let estimate = priced(&request);
        let line = estimate.lines.iter().find(|line| line.item == "open-floor").expect("the floor is opened");
        let hours: f64 = line.hours.value();
        (hours, line.because.join("; "))
    };

    let (across, unknown, along) = (drilled(Some("front-to-back")), drilled(None), drilled(Some("left-to-right")));

    assert!(across.0 > unknown.0 && unknown.0 > along.0, "{} {} {}", across.0, unknown.0, along.0);
    assert!(across.1.contains("13 holes through joists"), "{}", across.1);
    // Outlets stand all round the room, so that some of the way crosses them.
    assert!(along.1.contains(" holes through joists"), "{}", along.1);
    assert!(unknown.1.contains("half of each way"), "{}", unknown.1);
}
