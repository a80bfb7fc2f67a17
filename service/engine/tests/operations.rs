//! The labour table against the work that is priced: every operation is either done in some house, or stands here with the
//! reason why none does it; and what is done is what lies on the routes.

mod support;

use std::collections::{BTreeMap, BTreeSet};

use engine::estimate::Estimate;
use engine::rate_sheet::{RateSheet, Stage};
use engine::survey::{FloorConstruction, FloorCovering, Ground, PointType, Wall};
use serde_json::{Value, json};
use support::{example, priced};

/// Operations of the table that no house is priced with, and why.
const NEVER: [(&str, &str); 15] = [
    (
        "ceiling-hole-and-patch-access",
        "a closed ceiling is fished; holes in it are an answer to a question, not a plan",
    ),
    ("make-good-ceiling-patch", "as for the holes"),
    ("crawl-under-floor", "a floor is opened from above; a crawl space is never planned as the way"),
    ("fire-resistant-1-5", "alarms of grade D in a dwelling take ordinary cable (BS 5839-6, from memory)"),
    ("skirting-trunking", "no medium of the routes: the client chooses it on the flag `both-voids-closed`"),
    ("conduit-20-surface-plastic", "surface runs are clipped"),
    ("conduit-20-surface-steel", "surface runs are clipped"),
    (
        "trench-clay-or-stony",
        "a survey tells the surface and not the soil; the flag on the ground tells what it may cost",
    ),
    ("trench-mini-digger", "trenches are dug by hand until somebody has seen that a machine gets there"),
    ("duct-50-lay", "the armoured cable lies in the trench itself"),
    ("cu-change-existing-6-way", "a board is fitted, and what stays is moved to it and tested, way by way"),
    ("cu-change-existing-12-way", "as above"),
    ("cu-change-existing-18-way", "as above"),
    (
        "supplementary-bond",
        "left out where every circuit of the room has 30 mA protection, as designed here (701.415.2)",
    ),
    ("fault-find-allowance", "a chance and not a plan: it is in the spread of the tests' hours"),
];

/// Names of the operations in the working of a price.
fn done(estimate: &Estimate, known: &BTreeSet<String>) -> BTreeSet<String> {
    let because = estimate.lines.iter().flat_map(|line| &line.because);
    let parts = because.flat_map(|why| why.split(" + "));
    let names = parts.filter_map(|part| part.split_once(" × ")?.1.split_once(" at ").map(|(name, _)| name.to_owned()));
    names.filter(|name| known.contains(name)).collect()
}

fn of(survey: &Value) -> Estimate {
    priced(&support::read(&json!({ "survey": survey })))
}

/// A drawn house of one storey over another, five rooms each way, the walls and floors in turn. Invented.
fn houses() -> Vec<Value> {
    let mut houses = Vec::new();
    let every_point: Vec<Value> = PointType::ALL.iter().map(|point| json!({ "type": point.word() })).collect();
    let switches = ["one-way-switch", "two-way-switch", "intermediate-switch", "dimmer"];
    let gangs = switches.iter().flat_map(|kind| (2..=4).map(move |gangs| json!({ "type": kind, "gangs": gangs })));
    let mut points = every_point;
    points.extend(gangs);
    points.push(json!({ "type": "pendant", "supplied_by": "client", "weight_kg": 9 }));
    points.push(json!({ "type": "double-socket", "existing_reuse": true }));
    for (place, wall) in Wall::ALL.iter().enumerate() {
        // Every point in every wall, on a floor and under a covering that change with the wall.
        let floor = FloorConstruction::ALL[place % FloorConstruction::ALL.len()];
        let covering = FloorCovering::ALL[place % FloorCovering::ALL.len()];
        let occupancy = ["empty", "furnished", "full", "in-use"][place % 4];
        houses.push(json!({
            "site": { "built_year": 1955, "occupancy": occupancy, "parking": "permit", "distance_km": 12 },
            "existing": { "points_to_strip": 30, "storage_heaters": 1, "surface_wiring_m": 5 },
            "rooms": [
                { "id": "kitchen", "wall": wall.word(), "height_m": 3.2, "points": points,
                  "floor": { "construction": floor.word(), "covering": covering.word() },
                  "ceiling": { "fire_line": true, "insulation_mm": 200 },
                  "appliances": [ { "type": "cooker", "load_kw": 11 }, { "type": "oven", "load_kw": 3.6 }, { "type": "hob", "load_kw": 7.4 } ] },
                { "id": "loft", "use": "loft", "storey": "loft", "points": [ { "type": "loft-light" } ],
                  "ceiling": { "insulation_mm": 270 } }
            ],
            "supply": { "earthing": "tt" },
            "outbuildings": Ground::ALL.iter().enumerate().map(|(index, ground)| json!({
                "id": format!("shed-{index}"), "run_m": 10 + 12 * index, "ground": ground.word(),
                "points": [ { "type": "double-socket" } ],
                "appliances": [ { "type": "machine", "load_kw": 2.0 + 3.0 * index as f64 } ]
            })).collect::<Vec<_>>()
        }));
    }
    houses.extend(covered());
    houses.push(drawn("carpet", false));
    houses.push(drawn("laminate", false));
    houses.push(drawn("none", true));
    houses.push(json!({
        "preferences": { "neutral_looped_at": "switch" },
        "rooms": [ { "id": "living", "points": [ { "type": "pendant" }, { "type": "one-way-switch" } ] } ]
    }));
    houses
}

/// Rooms over each other whose floors are opened, each covering in turn.
fn covered() -> Vec<Value> {
    let house = |covering: &FloorCovering| {
        // Tongued boards are a survey's word; square ones are taken without it.
        let boards = if *covering == FloorCovering::None { "tongued" } else { "square" };
        let floor = json!({ "construction": "suspended-timber", "covering": covering.word(), "boards": boards });
        json!({
            "site": { "occupancy": "lightly-furnished", "built_year": 1910 },
            "rooms": [ { "id": "living", "storey": "ground", "floor": floor, "points": [ { "type": "double-socket", "count": 4 } ] },
                       { "id": "bedroom", "storey": "first", "floor": floor, "points": [ { "type": "double-socket", "count": 4 } ] } ]
        })
    };
    FloorCovering::ALL.iter().map(house).collect()
}

/// A drawn house with every size of cable in it, its floors under one covering, or all of it on the surface.
fn drawn(covering: &str, surface: bool) -> Value {
    let room = |id: &str, level: &str, x: f64, floor: &str, wall: &str, points: Value, appliances: Value| {
        json!({ "id": id, "storey": level, "outline": { "x_m": x, "y_m": 0, "width_m": 4, "depth_m": 4 }, "wall": wall,
                "surface_wiring": surface,
                // Joists too shallow to be drilled without a plate, in one of the houses.
                "floor": { "construction": floor, "covering": covering, "joist_depth_mm": if covering == "carpet" { 110 } else { 200 } },
                "ceiling": { "construction": "plasterboard" }, "points": points, "appliances": appliances })
    };
    let sockets = json!([ { "type": "double-socket", "count": 6 }, { "type": "pendant" }, { "type": "two-way-switch", "count": 2 },
                          { "type": "data-outlet" }, { "type": "tv-outlet" } ]);
    let kitchen = json!([ { "type": "double-socket", "count": 6 }, { "type": "cooker-control" }, { "type": "hob-point" }, { "type": "oven-point" },
                          { "type": "pendant" }, { "type": "one-way-switch" } ]);
    let bath = json!([ { "type": "shower-switch" }, { "type": "bathroom-light" }, { "type": "pull-cord-switch" }, { "type": "immersion-point" } ]);
    let cooking = json!([ { "type": "cooker", "load_kw": 11 }, { "type": "hob", "load_kw": 7.4 }, { "type": "oven", "load_kw": 5 } ]);
    let none = json!([]);
    json!({
        "site": { "built_year": 1990, "occupancy": "furnished", "parking": "distant", "distance_km": 30,
                  "storeys": [ { "id": "ground", "level": 0, "height_m": 2.4 }, { "id": "first", "level": 1, "height_m": 2.4 } ] },
        "rooms": [
            room("hall", "ground", 0.0, "solid-concrete", "brick", sockets.clone(), none.clone()),
            room("living", "ground", 4.0, "suspended-timber", "timber-stud", sockets.clone(), none.clone()),
            room("kitchen", "ground", 8.0, "solid-concrete", "plasterboard-on-dabs", kitchen, cooking),
            room("landing", "first", 0.0, "chipboard-on-joists", "brick", sockets.clone(), none.clone()),
            room("bedroom", "first", 4.0, "chipboard-on-joists", "dense-block", sockets, none.clone()),
            room("bathroom", "first", 8.0, "chipboard-on-joists", "timber-stud", bath, json!([ { "type": "shower", "load_kw": 10.5 } ])),
            { "id": "outside", "use": "outside", "points": [ { "type": "charge-point" }, { "type": "outside-socket" } ],
              "appliances": [ { "type": "charge-point", "load_kw": 7.4 } ] }
        ],
        "intake": { "room": "hall", "at": { "x_m": 0.2, "y_m": 0.2 } },
        "services": [ { "type": "gas", "room": "kitchen", "at": { "x_m": 11, "y_m": 3 }, "entry_material": "metal" },
                      { "type": "water", "room": "living", "at": { "x_m": 5, "y_m": 3 }, "entry_material": "metal" } ]
    })
}

#[test]
fn every_operation_of_the_table_is_done_in_some_house_or_has_a_reason_why_none_does_it() {
    let known: BTreeSet<String> = RateSheet::standard().labour.into_iter().map(|unit| unit.operation).collect();
    let mut used = BTreeSet::new();
    for house in houses() {
        used.extend(done(&of(&house), &known));
    }
    for name in [
        "kestrel-bank.json",
        "three-bed.json",
        "partial.json",
        "one-socket.json",
        "board-change.json",
        "charge-point.json",
    ] {
        used.extend(done(&priced(&example(name)), &known));
    }
    let never: BTreeSet<String> = NEVER.iter().map(|(name, _)| (*name).to_owned()).collect();

    let idle: Vec<&String> = known.iter().filter(|name| !used.contains(*name) && !never.contains(*name)).collect();
    let wrong: Vec<&String> = never.iter().filter(|name| used.contains(*name) || !known.contains(*name)).collect();

    assert!(idle.is_empty(), "in the table, and nobody does it: {idle:?}");
    assert!(wrong.is_empty(), "said never to be done: {wrong:?}");
}

/// Metres of an item's operations of running cable, from its working.
fn metres_run(because: &[String]) -> f64 {
    let parts = because.iter().flat_map(|why| why.split(" + ")).filter_map(|part| part.split_once(" × "));
    let runs = parts.filter(|(_, rest)| {
        ["te-", "armoured-", "data-cable", "coax-cable"].iter().any(|start| rest.starts_with(start))
            && rest.contains(" at ")
    });
    runs.filter_map(|(quantity, _)| quantity.trim().parse::<f64>().ok()).sum()
}

#[test]
fn the_hours_of_running_cable_are_paid_for_the_very_metres_of_the_routes() {
    let house = priced(&example("kestrel-bank.json"));
    let mut paid: BTreeMap<String, f64> = BTreeMap::new();
    let mut pieces: BTreeMap<String, f64> = BTreeMap::new();
    // What lies beyond an isolator is on no route.
    let on_route =
        |why: &Vec<String>| !why.iter().any(|why| why.contains("From the isolator") || why.contains("From the sensor"));
    for line in house.lines.iter().filter(|line| line.item.starts_with("cable-") && on_route(&line.because)) {
        if let Some(circuit) = &line.circuit {
            *paid.entry(circuit.clone()).or_default() += metres_run(&line.because);
            *pieces.entry(circuit.clone()).or_default() += 1.0;
        }
    }
    assert!(paid.len() > 10);
    for route in &house.routes {
        let circuit = &route.serves;
        let Some(paid) = paid.get(circuit) else { continue };
        // Each operation of each room is told to the centimetre.
        let within = 0.05 * pieces[circuit] + 0.05;
        let on_route = route.metres.value();
        assert!((on_route - paid).abs() <= within, "{circuit}: {on_route} m on the route, {paid} m paid for");
    }
}

#[test]
fn the_builders_work_of_the_routes_is_in_the_price_at_the_stage_that_it_belongs_to() {
    let house = priced(&example("kestrel-bank.json"));
    let stages: BTreeMap<String, BTreeSet<Stage>> = {
        let mut stages: BTreeMap<String, BTreeSet<Stage>> = BTreeMap::new();
        for unit in RateSheet::standard().labour {
            stages.entry(unit.operation).or_default().insert(unit.stage);
        }
        stages
    };
    let known: BTreeSet<String> = stages.keys().cloned().collect();
    let used = done(&house, &known);
    // What the work of a furnished old house is made of, and the stage of each.
    for (start, stage) in [
        ("lift-relay-", Stage::FirstFix),
        ("drill-joist", Stage::FirstFix),
        ("chase-", Stage::FirstFix),
        ("box-", Stage::FirstFix),
        ("te-2-5-", Stage::FirstFix),
        ("fit-double-socket", Stage::SecondFix),
        ("cu-fit-enclosure", Stage::SecondFix),
        ("make-good-chase", Stage::SecondFix),
        ("dead-test-", Stage::Testing),
        ("live-test-circuit", Stage::Testing),
        ("strip-out-point", Stage::StripOut),
        ("move-furniture-", Stage::Preliminaries),
    ] {
        let name = used.iter().find(|name| name.starts_with(start));
        let name = name.unwrap_or_else(|| panic!("nothing of {start} in the house"));
        assert!(stages[name].contains(&stage), "{name}");
    }
    let by_stage = [house.hours.strip_out, house.hours.first_fix, house.hours.second_fix, house.hours.testing];
    assert!(by_stage.iter().all(|hours| hours.value() > 0.0));
    let lines: f64 = house.lines.iter().map(|line| line.hours.value()).sum();
    assert!((lines - house.hours.total.value()).abs() < 0.005 * house.lines.len() as f64);
}
