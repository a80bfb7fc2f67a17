//! Routes that lie beside the map of the house or on none: outbuildings with their feeds, houses that nobody drew, what a
//! way round something costs. Houses and figures are invented.

mod support;

use engine::checks::Verdict;
use engine::document::Contract;
use engine::estimate::{Estimate, Route, RoutesRequest};
use engine::money::Money;
use engine::survey::{EstimateRequest, Medium};
use serde_json::{Value, json};
use support::{ENGINE, WORKBOOK, example, priced};

fn read(request: &Value) -> EstimateRequest {
    support::read(request)
}

/// The route of a circuit by its name.
fn route<'a>(estimate: &'a Estimate, circuit: &str) -> &'a Route {
    let circuit = estimate.circuits.iter().find(|one| one.name == circuit).expect("there is such a circuit");
    let own = |route: &&Route| route.circuit.as_ref() == Some(&circuit.id);
    estimate.routes.iter().find(own).expect("it has a route")
}

/// A drawn house of one room with a drawn shed at the end of the garden: its board hangs at (2, 20).
fn house_and_shed(points: Value) -> Value {
    json!({ "survey": {
        "rooms": [{
            "id": "hall", "use": "hall", "wall": "brick", "height_m": 2.4,
            "outline": { "x_m": 0, "y_m": 0, "width_m": 4, "depth_m": 4 },
            "floor": { "construction": "suspended-timber", "covering": "carpet" },
            "points": [{ "type": "double-socket", "at": { "x_m": 4, "y_m": 2 } }]
        }],
        "consumer_unit": { "room": "hall", "at": { "x_m": 0, "y_m": 2 } },
        "outbuildings": [{
            "id": "shed", "outline": { "x_m": 0, "y_m": 20, "width_m": 4, "depth_m": 3 },
            "run_m": 17, "ground": "lawn", "construction": "timber", "points": points
        }]
    } })
}

/// Board down from 1.5 to 0.45 m and 1.0 m left at it; 2.0 m and 1.5 m round a corner of the wall, 5 % for bends; 0.3 m left
/// in the box: 1.05 + 1.0 + 3.5 * 1.05 + 0.3 = 6.025 m.
#[test]
fn a_socket_in_a_drawn_shed_takes_the_metres_of_the_sum_by_hand_round_its_walls() {
    let socket = json!([{ "type": "single-socket", "at": { "x_m": 4, "y_m": 21.5 }, "height_m": 0.45 }]);

    let estimate = priced(&read(&house_and_shed(socket)));

    let sockets = route(&estimate, "Sockets, shed");
    assert!((sockets.metres.value() - 6.025).abs() < 0.02, "{sockets:?}");
    assert!(sockets.segments.iter().all(|segment| segment.medium == Medium::SurfaceClipped), "{sockets:?}");
    assert!(sockets.segments.iter().all(|segment| segment.path.len() > 1 && segment.amount > Some(Money::ZERO)));
    let path = sockets.segments.iter().flat_map(|segment| &segment.path);
    let places: Vec<(f64, f64)> = path.map(|place| (place.x_m, place.y_m)).collect();
    assert!(places.contains(&(4.0, 20.0)), "round the corner, not across the room: {places:?}");
    assert!(estimate.assumptions.iter().any(|assumption| assumption.subject == "sub-board-place"));
    let ground = &estimate.plan.as_ref().expect("it was drawn").storeys[0];
    assert_eq!(ground.sub_boards.iter().map(|place| (place.x_m, place.y_m)).collect::<Vec<_>>(), [(2.0, 20.0)]);
}

/// From 1.5 m down to the joists, 1.35 m, and 1.0 m left; 4 m across the loft, 5 % for bends; 0.3 m up and 0.3 m left in the
/// box: 1.35 + 1.0 + 4.0 * 1.05 + 0.6 = 7.15 m; round the walls it would be 4.2 m more.
#[test]
fn a_cable_in_a_loft_goes_across_it_and_not_round_its_walls() {
    let mut request = house_and_shed(json!([]));
    request["survey"]["site"] = json!({ "storeys": [{ "id": "ground", "level": 0 }, { "id": "loft", "level": 1 }] });
    let loft = json!({
        "id": "loft", "use": "loft", "storey": "loft",
        "outline": { "x_m": 0, "y_m": 0, "width_m": 4, "depth_m": 4 }
    });
    request["survey"]["rooms"][0]["storey"] = "ground".into();
    request["survey"]["rooms"].as_array_mut().expect("a list").push(loft);
    let end = |x_m: f64| json!({ "room": "loft", "at": { "x_m": x_m, "y_m": 2.0 } });
    request["runs"] = json!([{ "id": "across", "from": end(0.0), "to": end(4.0) }]);

    let asked = Contract::<RoutesRequest>::new().read(request.to_string().as_bytes()).expect("a right request");
    let route = ENGINE.routes(&asked, &WORKBOOK).expect("there is a way").routes.remove(0);

    assert!((route.metres.value() - 7.15).abs() < 0.02, "{route:?}");
}

/// From light to light under the roof: 2 m * 1.05, and twice 0.3 m left in the boxes: 2.7 m.
#[test]
fn lights_in_a_drawn_shed_are_joined_under_its_roof_and_not_by_way_of_the_walls() {
    let lights = |last: f64| {
        json!([{ "type": "linear-light", "at": { "x_m": 1, "y_m": 21.5 } },
               { "type": "linear-light", "at": { "x_m": last, "y_m": 21.5 } }])
    };
    let metres = |points: Value| {
        let estimate = priced(&read(&house_and_shed(points)));
        route(&estimate, "Lights, shed").metres.value()
    };

    let both = metres(lights(3.0));
    let alone = metres(json!([{ "type": "linear-light", "at": { "x_m": 1, "y_m": 21.5 } }]));

    assert!((both - alone - 2.7).abs() < 0.02, "{both} against {alone}");
}

/// The floor of the hall is up for its sockets anyway: a run under it that is asked for pays half, and all of it where
/// the hall has no points.
#[test]
fn a_run_asked_for_shares_what_the_points_of_the_survey_open_anyway() {
    let floor = |points: Value| {
        let mut request = house_and_shed(json!([]));
        request["survey"]["rooms"][0]["points"] = points;
        request["survey"]["rooms"][0]["ceiling"] = json!({ "construction": "concrete" });
        request["runs"] = json!([{ "id": "more", "to": { "room": "hall", "at": { "x_m": 4, "y_m": 3 } } }]);
        let asked = Contract::<RoutesRequest>::new().read(request.to_string().as_bytes()).expect("a right request");
        let route = ENGINE.routes(&asked, &WORKBOOK).expect("there is a way").routes.remove(0);
        let floor = route.openings.into_iter().find(|opening| opening.what == "floor").expect("the floor is lifted");
        (floor.shared_by, floor.share.approximate())
    };

    let (alone, beside) = (floor(json!([])), floor(json!([{ "type": "double-socket", "at": { "x_m": 4, "y_m": 2 } }])));

    assert_eq!((alone.0, beside.0), (1, 2));
    assert!((alone.1 - 2.0 * beside.1).abs() < 0.02, "{alone:?} and {beside:?}");
}

#[test]
fn a_feed_goes_by_the_map_to_the_outside_wall_and_then_by_each_kind_of_ground() {
    let estimate = priced(&example("kestrel-bank.json"));

    let feed = route(&estimate, "Feed to workshop");

    let buried: Vec<f64> = feed
        .segments
        .iter()
        .filter(|segment| segment.medium == Medium::Trench)
        .map(|segment| segment.metres.value())
        .collect();
    assert_eq!(buried, [6.0, 17.0]);
    assert_eq!(feed.segments.last().and_then(|segment| segment.room.as_deref()), Some("workshop"));
    // Armoured cable is clipped low along the walls: no floor is lifted for it, and it lies over no ceiling.
    let hidden = |medium: Medium| matches!(medium, Medium::FloorVoid | Medium::CeilingVoid | Medium::Loft);
    assert!(feed.segments.iter().all(|segment| !hidden(segment.medium)), "{feed:?}");
    assert!(feed.segments[0].path.len() > 1 && feed.openings.iter().all(|opening| opening.what != "floor"), "{feed:?}");
    let shares: Money = feed.openings.iter().map(|opening| opening.share).sum();
    let laid: Money = feed.segments.iter().filter_map(|segment| segment.amount).sum();
    assert_eq!(feed.amount, Some(laid + shares));
}

/// Two glands of 0.48 h by the labour table are in the line and not in the route.
#[test]
fn the_route_of_a_feed_takes_the_hours_of_its_lines_without_the_glands() {
    const GLANDS_H: f64 = 2.0 * 0.48;
    let estimate = priced(&example("kestrel-bank.json"));
    let feed = route(&estimate, "Feed to workshop");

    let holes = feed.openings.iter().filter(|opening| opening.what == "outside-wall");
    let of_route = feed.hours.value() + holes.map(|opening| opening.hours.value()).sum::<f64>();

    let own = estimate.lines.iter().filter(|line| line.circuit == feed.circuit);
    let of_lines: f64 =
        own.filter(|line| matches!(&*line.item, "armoured-feed" | "trench")).map(|line| line.hours.value()).sum();
    assert!((of_route + GLANDS_H - of_lines).abs() < 0.03, "{of_route} and {GLANDS_H} against {of_lines}");
}

#[test]
fn every_bond_and_draw_in_run_says_what_it_uses_and_what_the_next_best_way_costs() {
    let estimate = priced(&example("kestrel-bank.json"));

    let own: Vec<&Route> = estimate.routes.iter().filter(|route| route.circuit.is_none()).collect();

    assert!(own.len() >= 4, "{own:?}");
    for route in own {
        let more = route.runner_up.as_ref().and_then(|other| other.money_more);
        assert!(more >= Some(Money::ZERO), "{}: {}", route.serves, route.chosen_because);
        assert!(route.chosen_because.contains("The next best way"), "{}", route.chosen_because);
    }
}

#[test]
fn where_nothing_was_drawn_every_stretch_has_its_money_and_the_route_says_how_far_to_trust_it() {
    let estimate = priced(&example("minimal.json"));

    assert!(!estimate.routes.is_empty());
    for route in &estimate.routes {
        let laid: Money = route.segments.iter().filter_map(|segment| segment.amount).sum();
        assert!(route.segments.iter().all(|segment| segment.amount > Some(Money::ZERO)), "{route:?}");
        assert_eq!(route.amount, Some(laid));
        assert!(route.chosen_because.contains("good to a quarter either way"), "{}", route.chosen_because);
    }
}

#[test]
fn a_shed_that_nobody_drew_beside_a_drawn_house_goes_by_a_usual_floor_and_says_so() {
    let mut undrawn = house_and_shed(json!([{ "type": "double-socket", "count": 2 }]));
    undrawn["survey"]["outbuildings"][0].as_object_mut().expect("an object").remove("outline");

    let estimate = priced(&read(&undrawn));

    let (sockets, feed) = (route(&estimate, "Sockets, shed"), route(&estimate, "Feed to shed"));
    assert!(sockets.chosen_because.contains("was not drawn"), "{}", sockets.chosen_because);
    assert!(sockets.amount > Some(Money::ZERO));
    assert!(feed.chosen_because.contains("inside the house, as"), "{}", feed.chosen_because);
}

/// Forty rooms are priced again for each outbuilding, forty-one are not.
#[test]
fn feeds_that_are_not_compared_in_a_large_job_are_said() {
    let said = |rooms: usize| {
        let points = json!([{ "type": "double-socket" }]);
        let rooms: Vec<Value> =
            (0..rooms).map(|room| json!({ "id": format!("r{room}"), "points": points.clone() })).collect();
        let estimate = priced(&read(&json!({ "survey": { "rooms": rooms, "outbuildings": [
            { "id": "garage", "run_m": 12, "ground": "lawn", "construction": "timber", "points": points },
            { "id": "shed", "run_m": 24, "ground": "slabs", "construction": "timber", "points": points,
              "onward_from": "garage", "onward_m": 6, "onward_ground": "lawn" }
        ] } })));
        let of_feeds = estimate.assumptions.iter().find(|assumption| assumption.subject == "outbuilding-feed");
        of_feeds.map(|assumption| assumption.places.clone())
    };

    assert_eq!(said(38), None, "with the insides of the two outbuildings they are forty");
    assert_eq!(said(39), Some(vec!["shed".to_owned()]));
}

/// The beam of the demonstration house, cut short: it ends on a post in the room, and every cable goes round it.
#[test]
fn a_beam_that_all_cables_go_round_is_told_with_what_the_way_round_costs() {
    let mut round = example("kestrel-bank.json");
    round.survey.obstructions[0].to.x_m = 4.4;
    let mut seen_to = round.clone();
    seen_to.survey.obstructions[0].looked_at = Some(true);
    let mut free = round.clone();
    free.survey.obstructions.remove(0);

    let (round, seen_to, free) = (priced(&round), priced(&seen_to), priced(&free));

    let flag = |estimate: &Estimate| estimate.risk_flags.iter().find(|flag| flag.id == "steel-across-route").cloned();
    // Overhead and profit make what the way round costs dearer than its direct cost; contingency goes by all that is not known.
    let direct = |estimate: &Estimate| {
        let totals = &estimate.totals;
        (totals.materials + totals.labour + totals.preliminaries).approximate()
    };
    let over = round.routes.iter().flat_map(|route| &route.segments).filter(|segment| segment.obstruction.is_some());
    assert_eq!(over.count(), 0, "every cable goes round it");
    let raised = flag(&round).expect("the flag is raised");
    let saves =
        raised.what.rsplit(' ').next().and_then(|figure| figure.parse::<f64>().ok()).expect("what a free way saves");
    let costs = direct(&round) - direct(&free);
    assert!(costs > 0.0 && (1.0..1.5).contains(&(saves / costs)), "{saves} saved, {costs} of direct cost");
    let question = round.questions.iter().find(|question| question.id == "way-past-steel").expect("it is asked");
    assert_eq!(raised.at_stake, Some(question.worth), "one matter, one figure");
    assert_eq!((flag(&seen_to), flag(&free)), (None, None));
}

/// A quarter of a joist of 90 mm is 22.5 mm, less than the hole of 25 mm. Source: the limits in the reference table of
/// building rules.
#[test]
fn a_hole_is_held_against_the_joist_that_was_measured() {
    let limit = |depth: Value| {
        let mut request = house_and_shed(json!([]));
        request["survey"]["rooms"][0]["floor"]["joist_depth_mm"] = depth;
        request["survey"]["rooms"][0]["ceiling"] = json!({ "construction": "concrete" });
        request["runs"] = json!([{ "id": "socket", "to": { "room": "hall", "at": { "x_m": 4, "y_m": 2 } } }]);
        let asked = Contract::<RoutesRequest>::new().read(request.to_string().as_bytes()).expect("a right request");
        let route = ENGINE.routes(&asked, &WORKBOOK).expect("there is a way").routes.remove(0);
        let hole =
            route.limits.into_iter().find(|limit| limit.working.starts_with("The hole is")).expect("a floor is opened");
        (hole.verdict, hole.working.contains("measured"))
    };

    assert_eq!(limit(json!(90)), (Verdict::Fail, true));
    assert_eq!(limit(json!(200)), (Verdict::Pass, true));
    assert_eq!(limit(Value::Null), (Verdict::Pass, false));
}
