//! Routes against sums by hand, against what the trade expects of them, and against what must always hold.

mod support;

use std::sync::LazyLock;

use engine::document::Contract;
use engine::estimate::{AskedRoute, AskedTour, Estimate, RoutesAnswer, RoutesRequest};
use engine::money::Money;
use engine::survey::{EstimateRequest, Medium};
use serde_json::{Value, json};
use support::{ENGINE, WORKBOOK, example, priced};

static CONTRACT: LazyLock<Contract<RoutesRequest>> = LazyLock::new(Contract::new);

/// The routes of a request, at the built-in sheet.
fn planned(request: &Value) -> RoutesAnswer {
    let read = CONTRACT.read(request.to_string().as_bytes()).unwrap_or_else(|fault| panic!("{fault:?} in {request}"));
    ENGINE.routes(&read, &WORKBOOK).unwrap_or_else(|faults| panic!("{faults:?} in {request}"))
}

/// Where a request for routes is at fault.
fn refused(request: &Value) -> Vec<String> {
    let read = CONTRACT.read(request.to_string().as_bytes()).unwrap_or_else(|fault| panic!("{fault:?} in {request}"));
    let faults = ENGINE.routes(&read, &WORKBOOK).expect_err("the request is at fault");
    faults.into_iter().map(|fault| fault.pointer).collect()
}

fn read(request: &Value) -> EstimateRequest {
    support::read(request)
}

fn room(id: &str, storey: &str, (x, y): (f64, f64), (width, depth): (f64, f64)) -> Value {
    json!({
        "id": id, "storey": storey, "use": "other", "wall": "brick", "occupancy": "empty", "height_m": 2.4,
        "outline": { "x_m": x, "y_m": y, "width_m": width, "depth_m": depth },
        "floor": { "construction": "suspended-timber", "covering": "none" },
        "ceiling": { "construction": "plasterboard" }
    })
}

/// The same with concrete over it, so that the floor is the only void.
fn under_concrete(id: &str, origin: (f64, f64), size: (f64, f64)) -> Value {
    let mut room = room(id, "ground", origin, size);
    room["ceiling"]["construction"] = "concrete".into();
    room
}

fn socket(room: &str, (x, y): (f64, f64)) -> Value {
    json!({ "room": room, "at": { "x_m": x, "y_m": y }, "height_m": 0.45 })
}

fn board(room: &str, (x, y): (f64, f64)) -> Value {
    json!({ "room": room, "at": { "x_m": x, "y_m": y } })
}

/// The route of one run in a house of these rooms.
fn one(rooms: &[Value], board: &Value, run: Value) -> AskedRoute {
    let request = json!({ "survey": { "rooms": rooms, "consumer_unit": board }, "runs": [run] });
    planned(&request).routes.remove(0)
}

/// The way of one tour in a house of these rooms.
fn one_tour(rooms: &[Value], board: &Value, tour: Value) -> AskedTour {
    let request = json!({ "survey": { "rooms": rooms, "consumer_unit": board }, "tours": [tour] });
    planned(&request).tours.remove(0)
}

fn metres(route: &AskedRoute) -> f64 {
    route.metres.value()
}

fn cost(route: &AskedRoute) -> f64 {
    route.cost.approximate()
}

/// The built-in sheet's rate.
const LABOUR_RATE: f64 = 28.0;

/// Board 1.5 m down and 1.0 m left at it; 6 m across, 5 % for bends; 0.45 m up and 0.3 m left in the box:
/// 1.5 + 1.0 + 6 * 1.05 + 0.45 + 0.3 = 9.55 m.
#[test]
fn one_socket_across_a_room_with_a_raised_floor_takes_the_metres_of_the_sum_by_hand() {
    let rooms = [under_concrete("hall", (0.0, 0.0), (6.0, 4.0))];
    let run = json!({ "id": "socket", "to": socket("hall", (6.0, 2.0)) });

    let route = one(&rooms, &board("hall", (0.0, 2.0)), run);

    assert!((metres(&route) - 9.55).abs() < 0.02, "{route:?}");
    assert_eq!(
        route.segments.iter().map(|segment| segment.medium).collect::<Vec<_>>(),
        [Medium::FloorVoid, Medium::WallChase]
    );
}

/// 6 m along the front and 2 m to the back, through one wall: 2.5 + 8 * 1.05 + 0.75 = 11.65 m.
#[test]
fn a_socket_in_the_next_room_takes_the_metres_of_the_sum_by_hand_and_one_hole() {
    let rooms = [under_concrete("hall", (0.0, 0.0), (3.0, 4.0)), under_concrete("living", (3.0, 0.0), (3.0, 4.0))];
    let run = json!({ "id": "socket", "to": socket("living", (6.0, 3.0)) });

    let route = one(&rooms, &board("hall", (0.0, 1.0)), run);

    assert!((metres(&route) - 11.65).abs() < 0.02, "{route:?}");
    assert_eq!(route.openings.iter().filter(|opening| opening.what == "wall").count(), 1, "{:?}", route.openings);
}

/// Round a room of 4 by 3 m: 14 m * 1.05 = 14.7; the board twice 2.5 m; three sockets, each twice 0.75 m:
/// 14.7 + 5.0 + 4.5 = 24.2 m.
#[test]
fn a_ring_round_one_room_takes_the_metres_of_the_sum_by_hand() {
    let rooms = [under_concrete("hall", (0.0, 0.0), (4.0, 3.0))];
    let visit = [socket("hall", (4.0, 3.0)), socket("hall", (4.0, 0.0)), socket("hall", (0.0, 3.0))];
    let tour = json!({ "id": "ring", "arrangement": "ring", "visit": visit });

    let tour = one_tour(&rooms, &board("hall", (0.0, 0.0)), tour);

    assert!((tour.metres.value() - 24.2).abs() < 0.02, "{tour:?}");
}

/// Three sockets along a corridor, asked for in no order.
fn corridor() -> ([Value; 3], [Value; 3]) {
    let room = |index: u8| under_concrete(&format!("r{index}"), (4.0 * f64::from(index), 0.0), (4.0, 2.0));
    let sockets = [socket("r2", (11.0, 0.0)), socket("r0", (2.0, 0.0)), socket("r1", (6.0, 0.0))];
    ([room(0), room(1), room(2)], sockets)
}

#[test]
fn a_radial_along_a_corridor_visits_its_sockets_from_the_near_end_to_the_far_one_and_stays_there() {
    let (rooms, visit) = corridor();
    let ask = json!({ "id": "a", "arrangement": "radial", "visit": visit });

    let tour = one_tour(&rooms, &board("r0", (0.0, 1.0)), ask);

    let ways: Vec<_> = tour.legs.iter().map(|leg| (leg.from, leg.to)).collect();
    assert_eq!(tour.order, [1, 2, 0]);
    assert_eq!(ways, [(None, Some(1)), (Some(1), Some(2)), (Some(2), Some(0))]);
}

#[test]
fn a_ring_along_a_corridor_comes_back_to_where_it_began() {
    let (rooms, visit) = corridor();
    let ask = |arrangement: &str| json!({ "id": "a", "arrangement": arrangement, "visit": visit });
    let board = board("r0", (0.0, 1.0));

    let (ring, radial) = (one_tour(&rooms, &board, ask("ring")), one_tour(&rooms, &board, ask("radial")));

    let last = ring.legs.last().expect("a ring has legs");
    assert_eq!((ring.legs.len(), last.to), (4, None));
    assert!(last.from.is_some(), "{last:?}");
    assert!(ring.legs.windows(2).all(|pair| pair[0].to == pair[1].from), "a leg begins where the one before ended");
    // There and back along the one void: more than the way there, at most twice as much.
    let times = ring.metres.value() / radial.metres.value();
    assert!((1.4..=2.0).contains(&times), "{times}");
}

#[test]
fn a_tour_costs_the_sum_of_its_legs_and_its_shares_and_takes_their_hours() {
    let (rooms, visit) = corridor();
    let ask = json!({ "id": "a", "arrangement": "ring", "visit": visit });

    let tour = one_tour(&rooms, &board("r0", (0.0, 1.0)), ask);

    let legs: Money = tour.legs.iter().map(|leg| leg.cost).sum();
    let shares: Money = tour.openings.iter().map(|opening| opening.share).sum();
    assert_eq!(tour.cost, legs + shares);
    let metres: f64 = tour.legs.iter().flat_map(|leg| &leg.segments).map(|segment| segment.metres.value()).sum();
    assert!((tour.metres.value() - metres).abs() < 0.006, "{metres}");
    let hours: f64 = tour.legs.iter().map(|leg| leg.hours.value()).sum::<f64>()
        + tour.openings.iter().map(|opening| opening.hours.value()).sum::<f64>();
    assert!((tour.hours.value() - hours).abs() < 0.006, "{hours}");
}

/// A hall with hollow walls: nothing is bought for the way but the cable.
fn hollow_hall() -> Value {
    let mut hall = under_concrete("hall", (0.0, 0.0), (6.0, 4.0));
    hall["wall"] = "timber-stud".into();
    hall
}

/// The built-in sheet's invented prices: 0.88 a metre of 2.5 mm2 with 10 % of waste, 3.92 of 10 mm2 with 8 %, 11.90 of
/// 16 mm2 armoured with 5 %.
#[test]
fn a_route_costs_its_hours_at_the_rate_of_the_sheet_and_its_metres_of_the_cable_that_was_asked_for() {
    let cables = [
        (json!({}), 0.88 * 1.10, "2.5 mm2 flat twin and earth"),
        (json!({ "line_mm2": 10 }), 3.92 * 1.08, "10 mm2 flat twin and earth"),
        (json!({ "line_mm2": 16, "cable_type": "armoured-70c" }), 11.90 * 1.05, "16 mm2 armoured"),
    ];
    for (cable, metre, words) in cables {
        let mut run = json!({ "id": "a", "to": socket("hall", (6.0, 2.0)) });
        cable.as_object().expect("an object").iter().for_each(|(key, value)| run[key] = value.clone());

        let route = one(&[hollow_hall()], &board("hall", (0.0, 2.0)), run);

        let by_hand = route.hours.value() * LABOUR_RATE + metres(&route) * metre;
        // Hours are given to a hundredth: 28 * 0.005 = 0.14 either way.
        assert!((cost(&route) - by_hand).abs() < 0.2, "{} against {by_hand} for {words}", cost(&route));
        assert_eq!(route.cable, words);
    }
}

/// No cable of 3 mm2 is made.
#[test]
fn a_size_that_the_sheet_does_not_price_is_priced_as_the_next_one_and_says_so() {
    let run = json!({ "id": "a", "line_mm2": 3.0, "to": socket("hall", (6.0, 2.0)) });
    let route = one(&[hollow_hall()], &board("hall", (0.0, 2.0)), run);
    assert_eq!(route.cable, "4 mm2 flat twin and earth");
}

#[test]
fn a_cable_that_starts_lower_on_the_wall_is_shorter_by_as_much_over_a_raised_floor() {
    let from = |height: f64| json!({ "room": "hall", "at": { "x_m": 0.0, "y_m": 2.0 }, "height_m": height });
    let run = |height: f64| json!({ "id": "a", "from": from(height), "to": socket("hall", (6.0, 2.0)) });
    let rooms = [under_concrete("hall", (0.0, 0.0), (6.0, 4.0))];
    let board = board("hall", (3.0, 0.0));

    let (high, low) = (one(&rooms, &board, run(1.4)), one(&rooms, &board, run(0.4)));

    assert!((metres(&high) - metres(&low) - 1.0).abs() < 0.02, "{} and {}", metres(&high), metres(&low));
}

#[test]
fn what_cannot_be_routed_is_refused_where_it_stands() {
    let survey = json!({ "rooms": [hollow_hall()], "consumer_unit": board("hall", (0.0, 2.0)) });
    let to = socket("hall", (6.0, 2.0));
    let neither = json!({ "survey": survey });
    let in_conduit = json!({ "survey": survey, "runs": [{ "id": "a", "cable_type": "single-core-70c", "to": to }] });
    let from_above = json!({
        "survey": survey, "runs": [{ "id": "a", "from": { "room": "hall", "place": "ceiling" }, "to": to }]
    });
    let twice = json!({ "survey": survey, "tours": [{ "id": "a", "visit": [to] }, { "id": "a", "visit": [to] }] });
    let far_too_many = json!({
        "survey": survey,
        "tours": (0..11).map(|id| json!({ "id": id.to_string(), "visit": vec![to.clone(); 100] })).collect::<Vec<_>>()
    });

    assert_eq!(refused(&neither), ["/runs"]);
    assert_eq!(refused(&in_conduit), ["/runs/0/cable_type"]);
    assert_eq!(refused(&from_above), ["/runs/0/from/place"]);
    assert_eq!(refused(&twice), ["/tours/1/id"]);
    assert_eq!(refused(&far_too_many), ["/tours"]);
}

#[test]
fn a_board_whose_place_was_not_marked_hangs_on_a_wall_of_its_room_and_says_so() {
    let mut house = example("three-bed.json");
    house.survey.consumer_unit.as_mut().expect("the example has a board").at = None;

    let estimate = priced(&house);

    assert!(estimate.assumptions.iter().any(|assumption| assumption.subject == "board-place"));
    let plan = estimate.plan.expect("a drawn house has a plan");
    let board = plan.storeys.iter().find_map(|storey| storey.board).expect("the board is on the plan");
    let hall = house.survey.rooms.iter().find(|room| room.id == "hall").and_then(|room| room.outline);
    let hall = hall.expect("the hall is drawn");
    let off_the_walls = [
        board.x_m - hall.x_m,
        hall.x_m + hall.width_m - board.x_m,
        board.y_m - hall.y_m,
        hall.y_m + hall.depth_m - board.y_m,
    ];
    assert!(off_the_walls.iter().any(|metres| metres.abs() < 1e-6), "{board:?} in {hall:?}");
}

/// Common practice, no source.
#[test]
fn a_short_rise_out_of_a_raised_floor_costs_less_than_the_drop_from_the_ceiling() {
    let over = room("bed", "first", (0.0, 0.0), (6.0, 4.0));
    let raised = room("living", "ground", (0.0, 0.0), (6.0, 4.0));
    let mut solid = raised.clone();
    solid["floor"]["construction"] = "solid-concrete".into();
    let run = json!({ "id": "socket", "to": socket("living", (6.0, 2.0)) });
    let board = board("living", (0.0, 2.0));

    let rise = one(&[raised, over.clone()], &board, run.clone());
    let drop = one(&[solid, over], &board, run);

    assert!(rise.segments.iter().any(|segment| segment.medium == Medium::FloorVoid), "{rise:?}");
    assert!(cost(&rise) < cost(&drop), "{} against {}", cost(&rise), cost(&drop));
    assert!(rise.hours < drop.hours);
}

/// Common practice, no source: about three times the clear hours.
#[test]
fn a_run_across_a_blocked_bay_with_laminate_down_takes_about_three_times_its_clear_hours() {
    let clear = under_concrete("living", (0.0, 0.0), (4.0, 3.0));
    let mut laminate = clear.clone();
    laminate["floor"]["covering"] = "laminate".into();
    let run = json!({ "id": "socket", "to": socket("living", (4.0, 1.0)) });
    let survey = |room: &Value, blocked: bool| {
        let mut request = json!({
            "survey": { "rooms": [room], "consumer_unit": board("living", (0.0, 1.0)) }, "runs": [run]
        });
        if blocked {
            request["survey"]["obstructions"] = json!([{
                "type": "noggins", "storey": "ground", "from": { "x_m": 2.0, "y_m": -1.0 }, "to": { "x_m": 2.0, "y_m": 4.0 },
                "blocks": ["floor-void"]
            }]);
        }
        planned(&request).routes.remove(0)
    };

    let (open, blocked) = (survey(&clear, false), survey(&laminate, true));

    let times = blocked.hours.value() / open.hours.value();
    assert!((2.0..=4.0).contains(&times), "{times}");
}

/// Common practice, no source: several times the hours of one beside the board.
#[test]
fn bonding_to_the_far_side_takes_several_times_the_hours_of_one_beside_the_board() {
    let with_gas_at = |x: f64, y: f64, room: &str| {
        let mut request = example("three-bed.json");
        let services = request.survey.services.as_mut().expect("the example has services");
        services[0].room = Some(room.to_owned());
        services[0].at = Some(engine::survey::Position { x_m: x, y_m: y });
        let estimate = priced(&request);
        let bond = estimate.lines.iter().find(|line| line.item == "bond-gas").expect("there is a bond");
        bond.hours.value()
    };

    let (beside, far) = (with_gas_at(0.2, 1.0, "hall"), with_gas_at(3.2, 8.3, "kitchen"));

    // Clamp and label are the same at both; the run is what differs.
    assert!(far > 1.5 * beside, "{far} against {beside}");
}

#[test]
fn every_circuit_of_the_demonstration_house_has_a_route_with_segments_by_medium() {
    let estimate = priced(&example("kestrel-bank.json"));
    for circuit in &estimate.circuits {
        let route = estimate.routes.iter().find(|route| route.circuit.as_ref() == Some(&circuit.id));
        let route = route.unwrap_or_else(|| panic!("{} has no route", circuit.id));
        assert!(!route.segments.is_empty() && !route.chosen_because.is_empty(), "{}", circuit.id);
        assert!((route.metres.value() - circuit.length_m.value()).abs() < 0.2, "{}", circuit.id);
    }
}

#[test]
fn the_stretches_of_a_route_follow_each_other_from_place_to_place() {
    let estimate = priced(&example("three-bed.json"));
    let paths = estimate.routes.iter().flat_map(|route| &route.segments).map(|segment| &segment.path);
    assert!(paths.clone().all(|path| path.len() > 1));
    let inside = |x: f64, y: f64| (-0.5..=6.9).contains(&x) && (-0.5..=8.9).contains(&y);
    assert!(paths.flatten().all(|place| inside(place.x_m, place.y_m)));
}

#[test]
fn a_route_costs_the_sum_of_its_segments_and_its_shares() {
    let estimate = priced(&example("kestrel-bank.json"));
    for route in estimate.routes.iter().filter(|route| route.amount.is_some()) {
        let segments: Money = route.segments.iter().filter_map(|segment| segment.amount).sum();
        let shares: Money = route.openings.iter().map(|opening| opening.share).sum();
        assert_eq!(route.amount, Some(segments + shares), "{}", route.id);
        let metres: f64 = route.segments.iter().map(|segment| segment.metres.value()).sum();
        assert!((metres - route.metres.value()).abs() < 0.01, "{}", route.id);
    }
}

/// A beam over the whole width between dining room and kitchen side, and over the living room.
fn beam(request: &mut EstimateRequest, kind: &str) {
    let beam = json!({
        "type": kind, "storey": "ground", "from": { "x_m": -0.5, "y_m": 4.4 }, "to": { "x_m": 7.0, "y_m": 4.4 },
        "blocks": ["ceiling-void"]
    });
    request.survey.obstructions.push(serde_json::from_value(beam).expect("an obstruction"));
}

/// Whether it was found, as a risk or as what the price holds.
fn has_flag(estimate: &Estimate, id: &str) -> bool {
    estimate.risk_flags.iter().any(|flag| flag.id == id) || estimate.included.iter().any(|one| one.id == id)
}

#[test]
fn a_steel_beam_across_the_house_raises_the_price_and_its_flag() {
    let plain = example("three-bed.json");
    let mut with_beam = plain.clone();
    beam(&mut with_beam, "steel-beam");

    let (before, after) = (priced(&plain), priced(&with_beam));

    assert!(after.totals.net > before.totals.net, "{} against {}", after.totals.net, before.totals.net);
    assert!(!has_flag(&before, "steel-across-route") && has_flag(&after, "steel-across-route"));
}

#[test]
fn the_board_put_by_the_intake_makes_the_tails_short_and_takes_the_switched_fuse_away() {
    let far = example("kestrel-bank.json");
    let mut near = far.clone();
    let unit = near.survey.consumer_unit.as_mut().expect("the example has a board");
    unit.room = "cellar".to_owned();
    unit.at = Some(engine::survey::Position { x_m: 3.6, y_m: 0.1 });

    let (before, after) = (priced(&far), priced(&near));

    assert!(after.board.tails_m < before.board.tails_m);
    assert!(before.lines.iter().any(|line| line.item == "switched-fuse"));
    assert!(!after.lines.iter().any(|line| line.item == "switched-fuse"));
    assert_ne!(before.totals.net, after.totals.net);
    assert!(has_flag(&before, "tails-too-long") != has_flag(&after, "tails-too-long"), "{:?}", after.risk_flags);
}

/// The house with left and right changed, about the middle of its width.
fn mirrored(request: &EstimateRequest, width: f64) -> EstimateRequest {
    let mut request = request.clone();
    let mm = |x: f64| (x * 1_000.0).round() / 1_000.0;
    for room in &mut request.survey.rooms {
        if let Some(outline) = &mut room.outline {
            outline.x_m = mm(width - outline.x_m - outline.width_m);
        }
        for at in room.points.iter_mut().filter_map(|point| point.at.as_mut()) {
            at.x_m = mm(width - at.x_m);
        }
    }
    let unit = request.survey.consumer_unit.iter_mut().filter_map(|unit| unit.at.as_mut());
    let intake = request.survey.intake.iter_mut().filter_map(|intake| intake.at.as_mut());
    for at in unit.chain(intake) {
        at.x_m = mm(width - at.x_m);
    }
    for service in request.survey.services.iter_mut().flatten() {
        if let Some(at) = &mut service.at {
            at.x_m = mm(width - at.x_m);
        }
    }
    for thing in &mut request.survey.obstructions {
        thing.from.x_m = mm(width - thing.from.x_m);
        thing.to.x_m = mm(width - thing.to.x_m);
    }
    request
}

#[test]
fn a_house_and_its_mirror_image_cost_the_same() {
    let house = example("three-bed.json");
    let (one, other) = (priced(&house), priced(&mirrored(&house, 6.4)));
    // Without the contingency and what rests on it: that is drawn, and moves within the noise of the draws.
    let counted = |estimate: &Estimate| {
        let totals = &estimate.totals;
        (totals.materials + totals.labour + totals.preliminaries + totals.overhead).approximate()
    };
    let (a, b) = (counted(&one), counted(&other));
    let amounts = |estimate: &Estimate| -> Vec<String> {
        let told = estimate
            .lines
            .iter()
            .map(|line| format!("{:?} {} {:?}: {}", line.room, line.item, line.circuit, line.amount));
        told.collect()
    };
    let differ: Vec<(String, String)> =
        amounts(&one).into_iter().zip(amounts(&other)).filter(|(one, other)| one != other).collect();
    // Of two ways that cost the planner the same, the one may cross a few joists more than the other.
    assert!((a - b).abs() / a < 0.002, "{a} against {b}: {differ:#?}");
}

#[test]
fn an_obstruction_never_makes_a_run_cheaper() {
    let rooms = [
        room("hall", "ground", (0.0, 0.0), (3.0, 4.0)),
        room("living", "ground", (3.0, 0.0), (4.0, 4.0)),
        room("kitchen", "ground", (3.0, 4.0), (4.0, 3.0)),
        room("bed", "first", (0.0, 0.0), (4.0, 4.0)),
        room("study", "first", (4.0, 0.0), (3.0, 7.0)),
    ];
    let runs = [
        json!({ "id": "a", "to": socket("kitchen", (6.0, 7.0)) }),
        json!({ "id": "b", "to": socket("study", (7.0, 6.0)) }),
    ];
    for run in runs {
        let survey = json!({ "rooms": rooms, "consumer_unit": board("hall", (0.0, 1.0)) });
        let clear = cost(&planned(&json!({ "survey": survey, "runs": [run] })).routes[0]);
        let places = (0..6).flat_map(|x| (0..6).map(move |y| (f64::from(x), f64::from(y))));
        for ((x, y), (kind, medium)) in places.flat_map(|place| {
            [("steel-beam", "ceiling-void"), ("noggins", "floor-void"), ("pipework", "floor-void")]
                .map(|what| (place, what))
        }) {
            let mut blocked = survey.clone();
            blocked["obstructions"] = json!([{
                "type": kind, "from": { "x_m": x, "y_m": y }, "to": { "x_m": x + 2.0, "y_m": y + 2.0 }, "blocks": [medium]
            }]);
            let with = cost(&planned(&json!({ "survey": blocked, "runs": [run] })).routes[0]);
            assert!(with >= clear - 0.011, "{kind} at ({x}, {y}): {with} against {clear}");
        }
    }
}

#[test]
fn moving_the_board_nearer_never_makes_the_sum_of_the_runs_dearer() {
    let rooms = [
        room("hall", "ground", (0.0, 0.0), (3.0, 4.0)),
        room("living", "ground", (3.0, 0.0), (4.0, 4.0)),
        room("kitchen", "ground", (7.0, 0.0), (4.0, 4.0)),
    ];
    let runs = [json!({ "id": "a", "to": socket("kitchen", (11.0, 2.0)) })];
    let tours = [
        json!({ "id": "b", "arrangement": "ring", "visit": [
            socket("living", (5.0, 0.0)), socket("kitchen", (9.0, 4.0))
        ] }),
        json!({ "id": "c", "arrangement": "radial", "line_mm2": 1.5, "visit": [
            { "room": "living", "place": "ceiling" }, { "room": "kitchen", "place": "ceiling" }
        ] }),
    ];
    let sum = |x: f64| -> f64 {
        let survey = json!({ "rooms": rooms, "consumer_unit": board("hall", (x, 2.0)) });
        let planned = planned(&json!({ "survey": survey, "runs": runs, "tours": tours }));
        planned.routes.iter().map(cost).chain(planned.tours.iter().map(|tour| tour.cost.approximate())).sum()
    };
    let sums: Vec<f64> = (0..=6).map(|step| sum(f64::from(step) * 0.5)).collect();
    assert!(sums.windows(2).all(|pair| pair[1] <= pair[0] + 0.03), "{sums:?}");
}

#[test]
fn runs_that_go_the_same_way_share_what_is_opened() {
    let rooms = [under_concrete("hall", (0.0, 0.0), (3.0, 4.0)), under_concrete("living", (3.0, 0.0), (3.0, 4.0))];
    let run = |id: &str, y: f64| json!({ "id": id, "to": socket("living", (6.0, y)) });
    let survey = json!({ "rooms": rooms, "consumer_unit": board("hall", (0.0, 1.0)) });

    let alone = planned(&json!({ "survey": survey, "runs": [run("a", 1.0)] }));
    let both = planned(&json!({ "survey": survey, "runs": [run("a", 1.0), run("b", 3.0)] }));

    assert!(both.routes[0].openings.iter().all(|opening| opening.shared_by == 2), "{:?}", both.routes[0].openings);
    assert!(both.routes[0].cost < alone.routes[0].cost);
}

#[test]
fn where_no_hidden_way_exists_the_cable_shows_and_the_flag_says_so() {
    let mut flat = room("living", "ground", (0.0, 0.0), (5.0, 4.0));
    flat["floor"]["construction"] = "solid-concrete".into();
    flat["ceiling"]["construction"] = "concrete".into();
    flat["points"] = json!([{ "type": "double-socket", "count": 3 }]);
    let request = read(&json!({ "survey": { "rooms": [flat], "consumer_unit": board("living", (0.0, 2.0)) } }));

    let estimate = priced(&request);

    let media: Vec<Medium> = estimate.routes[0].segments.iter().map(|segment| segment.medium).collect();
    assert!(media.contains(&Medium::MiniTrunking), "{media:?}");
    assert!(has_flag(&estimate, "both-voids-closed"));
}

#[test]
fn the_order_of_rooms_and_points_changes_no_route() {
    let house = example("three-bed.json");
    let mut turned = house.clone();
    turned.survey.rooms.reverse();
    turned.survey.rooms.iter_mut().for_each(|room| room.points.reverse());
    assert_eq!(priced(&house).routes, priced(&turned).routes);
}

#[test]
fn a_run_to_an_unknown_or_undrawn_room_is_refused_with_a_pointer() {
    let mut undrawn = room("living", "ground", (0.0, 0.0), (5.0, 4.0));
    undrawn.as_object_mut().expect("an object").remove("outline");
    let request = json!({
        "survey": { "rooms": [room("hall", "ground", (5.0, 0.0), (3.0, 4.0)), undrawn] },
        "runs": [{ "id": "a", "to": { "room": "hal" } }],
        "tours": [{ "id": "b", "visit": [{ "room": "hall" }, { "room": "hall", "at": { "x_m": 0, "y_m": 0 } }] }]
    });

    let pointers = refused(&request);

    assert_eq!(pointers, ["/survey/rooms/1/outline", "/runs/0/to/room", "/tours/0/visit/1/at"]);
}

/// A row of drawn rooms with two sockets each.
fn terrace(rooms: usize) -> Value {
    let rooms: Vec<Value> = (0..rooms)
        .map(|index| {
            let mut room = room(
                &format!("r{index:04}"),
                "ground",
                (4.0 * (index % 40) as f64, 4.0 * (index / 40) as f64),
                (4.0, 4.0),
            );
            room["points"] = json!([{ "type": "double-socket", "count": 2 }]);
            room
        })
        .collect();
    json!({ "rooms": rooms, "consumer_unit": { "room": "r0000" } })
}

#[test]
fn a_building_too_large_for_the_map_is_priced_along_its_axes_and_says_so() {
    let assumed = |rooms: usize| {
        let estimate = priced(&read(&json!({ "survey": terrace(rooms) })));
        estimate.assumptions.iter().any(|assumption| assumption.subject == "routes")
    };

    assert!(!assumed(40));
    assert!(assumed(401));
    let asked = json!({ "survey": terrace(401), "runs": [{ "id": "one", "to": { "room": "r0100" } }] });
    assert!(refused(&asked).contains(&"/survey/rooms".to_owned()));
}
