//! What must hold of every estimate, over random surveys, and the demonstration house against the trade's bands.

mod support;

use std::collections::BTreeSet;

use engine::estimate::{Estimate, LineKind, SurveyReviewRequest};
use engine::money::Money;
use engine::rate_sheet::Workbook;
use engine::survey::{EstimateRequest, Occupancy, PointType, SuppliedBy};
use engine::{Engine, Stamp};
use proptest::prelude::*;
use support::{ENGINE, WORKBOOK};

fn price(engine: &Engine, workbook: &Workbook, request: &EstimateRequest) -> Estimate {
    let stamp = Stamp { id: "0".to_owned(), created_at: "2026-01-01T00:00:00Z".to_owned() };
    engine.estimate(request, workbook, stamp)
}

fn read(engine: &Engine, survey: &serde_json::Value) -> EstimateRequest {
    let mut survey = survey.clone();
    survey["survey"]["scope"] = "rewire".into();
    let bytes = serde_json::to_vec(&survey).expect("writes");
    engine.read_survey(&bytes).unwrap_or_else(|fault| panic!("{fault:?} in {survey}"))
}

/// A room of a use, with a few entries of any point type.
fn room() -> impl Strategy<Value = serde_json::Value> {
    let uses =
        prop::sample::select(vec!["living", "kitchen", "bedroom", "bathroom", "hall", "landing", "garage", "outside"]);
    let walls =
        prop::option::of(prop::sample::select(vec!["brick", "timber-stud", "concrete", "plasterboard-on-dabs"]));
    let floors =
        prop::option::of(prop::sample::select(vec!["suspended-timber", "solid-concrete", "chipboard-on-joists"]));
    let points = prop::collection::vec((prop::sample::select(PointType::ALL.to_vec()), 1u32..6), 1..6);
    (uses, walls, floors, points).prop_map(|(room_use, wall, floor, points)| {
        let points: Vec<_> = points
            .into_iter()
            .map(|(kind, count)| serde_json::json!({ "type": kind.word(), "count": count }))
            .collect();
        let mut room = serde_json::json!({ "use": room_use, "points": points });
        if let Some(wall) = wall {
            room["wall"] = wall.into();
        }
        if let Some(floor) = floor {
            room["floor"] = serde_json::json!({ "construction": floor });
        }
        room
    })
}

fn survey() -> impl Strategy<Value = serde_json::Value> {
    prop::collection::vec(room(), 1..8).prop_map(|mut rooms| {
        for (index, room) in rooms.iter_mut().enumerate() {
            room["id"] = format!("room-{index}").into();
        }
        serde_json::json!({ "survey": { "rooms": rooms } })
    })
}

#[test]
fn the_keys_of_lines_stay_when_a_point_is_added_elsewhere() {
    let house = |more: &[serde_json::Value]| {
        let mut rooms = vec![
            serde_json::json!({ "id": "living", "points": [{ "type": "double-socket", "count": 4 }, { "type": "pendant" }] }),
            serde_json::json!({ "id": "bedroom", "points": [{ "type": "double-socket", "count": 3 }] }),
        ];
        rooms.extend_from_slice(more);
        price(&ENGINE, &WORKBOOK, &read(&ENGINE, &serde_json::json!({ "survey": { "rooms": rooms } })))
    };
    let keys = |estimate: &Estimate| -> BTreeSet<String> {
        let of_points = estimate.lines.iter().filter(|line| line.kind == LineKind::Point);
        of_points.map(|line| line.key.clone()).collect()
    };

    let (before, after) =
        (house(&[]), house(&[serde_json::json!({ "id": "attic", "points": [{ "type": "downlight" }] })]));

    assert!(keys(&before).is_subset(&keys(&after)), "{:?} in {:?}", keys(&before), keys(&after));
    assert!(before.lines.iter().any(|line| line.key.starts_with("living/point/double-socket/white")));
}

fn adds_up(estimate: &Estimate) {
    let totals = &estimate.totals;
    let lines: Money = estimate.lines.iter().map(|line| line.amount).sum();
    assert_eq!(lines, totals.net, "lines add to net");
    let sold: Money = estimate.lines.iter().map(|line| line.price).sum();
    assert_eq!(sold, totals.net, "selling prices of the lines add to net");
    let on_top = [LineKind::Overhead, LineKind::Contingency, LineKind::Profit];
    assert!(estimate.lines.iter().all(|line| !on_top.contains(&line.kind) || line.price == Money::ZERO));
    let keys: BTreeSet<&str> = estimate.lines.iter().map(|line| line.key.as_str()).collect();
    assert_eq!(keys.len(), estimate.lines.len(), "a line's key is its own");
    let rooms: Money = estimate.rooms.iter().map(|room| room.amount).sum();
    let house: Money = estimate.lines.iter().filter(|line| line.room.is_none()).map(|line| line.amount).sum();
    assert_eq!(rooms + house, totals.net, "rooms and whole-house lines add to net");
    let parts =
        totals.materials + totals.labour + totals.preliminaries + totals.overhead + totals.contingency + totals.profit;
    assert_eq!(parts, totals.net, "six parts add to net");
    assert_eq!(totals.net + totals.vat, totals.gross, "net and tax add to gross");
    let causes: Money = estimate.cross_check.causes.iter().map(|cause| cause.amount).sum();
    assert_eq!(causes, estimate.cross_check.difference, "causes add to the difference");
    let circuits: Money = estimate.breakdown.by_circuit.iter().map(|row| row.amount).sum();
    let stages: Money = estimate.breakdown.by_stage.iter().map(|row| row.amount).sum();
    assert_eq!((circuits, stages), (totals.net, totals.net), "circuits and stages add to net");
    let tax: Money = estimate.lines.iter().map(|line| line.vat).sum();
    assert_eq!(tax, totals.vat, "the tax of the lines adds to the tax");
    let payments: Money = estimate.offer.payments.iter().map(|payment| payment.amount).sum();
    assert_eq!(payments, totals.gross, "payments add to gross");
    let of_firm = estimate.take_off.iter().filter(|item| item.supplied_by == SuppliedBy::Firm);
    for item in of_firm {
        assert!(item.bought + 0.01 >= item.used + item.waste, "{} covers what is used", item.item);
        assert!(item.cost_at_least <= item.cost, "{}", item.item);
    }
    let range = &estimate.range;
    assert!(range.p10 <= range.p50 && range.p50 <= range.p80 && range.p80 <= range.p90, "percentiles in order");
    let shares: f64 = range.drivers.iter().map(|driver| driver.share_percent).sum();
    assert!((shares - 100.0).abs() < 1e-6, "drivers add to 100: {shares}");
    let bins = &range.distribution;
    let shares: f64 = bins.iter().map(|bin| bin.share).sum();
    assert!((shares - 1.0).abs() < 1e-9, "the distribution adds to 1: {shares}");
    assert!(bins.iter().all(|bin| bin.from <= bin.to && bin.share >= 0.0), "bins in order");
    assert!(bins.windows(2).all(|pair| pair[0].to == pair[1].from), "no gap between bins");
    assert!(bins[0].from <= range.p10 && range.p90 <= bins[bins.len() - 1].to, "the bins hold p10 to p90");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_price_adds_up_by_both_methods(mut survey in survey()) {
        let (engine, workbook) = (&*ENGINE, &*WORKBOOK);
        let measured = price(engine, workbook, &read(engine, &survey));
        adds_up(&measured);
        // Contingency takes the base price to the confidence asked for, to the pennies of rounding.
        if measured.totals.contingency > Money::ZERO {
            // At 80 %, and at 90 while two or more `stop` flags are open.
            let asked = if measured.range.confidence > 0.85 { measured.range.p90 } else { measured.range.p80 };
            prop_assert!((measured.totals.net - asked).approximate().abs() < 0.05);
        }
        prop_assert!(measured.range.mean >= measured.range.p10 && measured.range.mean <= measured.range.p90);
        survey["method"] = "per-point".into();
        let per_point = price(engine, workbook, &read(engine, &survey));
        adds_up(&per_point);
        prop_assert_eq!(per_point.cross_check.net, measured.totals.net);
        prop_assert_eq!(measured.cross_check.net, per_point.totals.net);
    }

    #[test]
    fn the_order_of_rooms_changes_nothing(survey in survey()) {
        let (engine, workbook) = (&*ENGINE, &*WORKBOOK);
        let forwards = price(engine, workbook, &read(engine, &survey));
        let mut turned = survey.clone();
        turned["survey"]["rooms"].as_array_mut().expect("rooms").reverse();
        let backwards = price(engine, workbook, &read(engine, &turned));
        prop_assert_eq!(
            serde_json::to_string(&forwards).expect("writes"),
            serde_json::to_string(&backwards).expect("writes")
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    /// The review goes by the steps of the estimate: it must come to the same, and not care for the order of rooms.
    #[test]
    fn a_review_says_what_the_estimate_says(survey in survey()) {
        let (engine, workbook) = (&*ENGINE, &*WORKBOOK);
        let request = read(engine, &survey);
        let estimate = price(engine, workbook, &request);
        let asked = SurveyReviewRequest { survey: request.survey.clone() };
        let review = engine.review(&asked, workbook);
        prop_assert_eq!(&review.range, &estimate.range);
        prop_assert_eq!(&review.questions, &estimate.questions);
        prop_assert_eq!(&review.risk_flags, &estimate.risk_flags);
        prop_assert_eq!(&review.assumptions, &estimate.assumptions);
        prop_assert!(review.questions.is_sorted_by(|a, b| a.worth >= b.worth));
        for question in review.questions.iter().filter(|question| !question.answers.is_empty()) {
            let odds: f64 = question.answers.iter().map(|answer| answer.odds).sum();
            prop_assert!((odds - 1.0).abs() < 1e-9, "{}: {}", question.id, odds);
        }
        let mut turned = asked;
        turned.survey.rooms.reverse();
        let turned = engine.review(&turned, workbook);
        prop_assert_eq!(
            serde_json::to_string(&turned).expect("writes"),
            serde_json::to_string(&review).expect("writes")
        );
    }
}

fn example(name: &str) -> Vec<u8> {
    let path = format!("{}/../../openapi/examples/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read(path).expect("the example is in the repository")
}

#[test]
fn one_more_socket_in_a_room_never_lowers_the_price_of_the_three_bedroom_house() {
    let (engine, workbook) = (&*ENGINE, &*WORKBOOK);
    let request = engine.read_survey(&example("three-bed.json")).expect("reads");
    let base = price(engine, workbook, &request).totals.net;
    for room in 0..request.survey.rooms.len() {
        let mut more = request.clone();
        for point in &mut more.survey.rooms[room].points {
            if point.point_type == PointType::DoubleSocket {
                point.count = Some(point.count.unwrap_or(1) + 1);
                break;
            }
        }
        let net = price(engine, workbook, &more).totals.net;
        assert!(net >= base, "room {room}: {net} is less than {base}");
    }
}

/// Source: common practice, no source: p10 to p90 of about 314 to 469 person-hours for the demonstration house at
/// furnished factors, 99 to 149 for the empty reference house.
#[test]
fn the_demonstration_houses_take_the_hours_that_the_trade_would_expect() {
    let (engine, workbook) = (&*ENGINE, &*WORKBOOK);
    let mut kestrel = engine.read_survey(&example("kestrel-bank.json")).expect("reads");
    for room in &mut kestrel.survey.rooms {
        room.occupancy = Some(Occupancy::Furnished);
    }
    let kestrel = price(engine, workbook, &kestrel);
    adds_up(&kestrel);
    let hours = kestrel.hours.total.value();
    assert!((314.0..=469.0).contains(&hours), "{hours} h");
    assert_eq!(kestrel.rooms.iter().map(|room| room.points).sum::<u64>(), 176);
    assert!(kestrel.circuits.iter().all(|circuit| circuit.checks.len() == 7), "every circuit carries seven checks");

    let reference = price(engine, workbook, &engine.read_survey(&example("three-bed.json")).expect("reads"));
    let hours = reference.hours.total.value();
    // 124 h by hand, within a quarter: holes joist by joist and cable beyond isolators are not in that figure.
    assert!((93.0..=155.0).contains(&hours), "{hours} h");
    assert!((8..=12).contains(&reference.circuits.len()), "8 to 12 circuits: common practice, no source");
}

#[test]
fn a_survey_of_counts_alone_has_a_wider_range_than_the_same_house_drawn() {
    let (engine, workbook) = (&*ENGINE, &*WORKBOOK);
    let width = |name: &str| {
        let range = price(engine, workbook, &engine.read_survey(&example(name)).expect("reads")).range;
        (range.p90 - range.p10).approximate() / range.p50.approximate()
    };
    assert!(width("counts-only.json") > width("three-bed.json"));
}

#[test]
fn an_empty_house_is_cheaper_than_one_that_is_lived_in() {
    let (engine, workbook) = (&*ENGINE, &*WORKBOOK);
    let mut request = engine.read_survey(&example("kestrel-bank.json")).expect("reads");
    let lived_in = price(engine, workbook, &request).totals.net;
    for room in &mut request.survey.rooms {
        room.occupancy = Some(Occupancy::Empty);
    }
    assert!(price(engine, workbook, &request).totals.net < lived_in);
}

/// A building of that many rooms, none of them drawn.
fn building(rooms: usize) -> serde_json::Value {
    let rooms: Vec<_> = (0..rooms)
        .map(|index| {
            serde_json::json!({
                "id": format!("room-{index:04}"), "use": "bedroom",
                "points": [{ "type": "double-socket", "count": 5 }, { "type": "pendant" }, { "type": "one-way-switch" }]
            })
        })
        .collect();
    serde_json::json!({ "survey": { "rooms": rooms } })
}

#[test]
fn rings_far_from_the_board_are_not_halved_without_end() {
    let circuits = |rooms: usize| {
        let request = read(&ENGINE, &building(rooms));
        price(&ENGINE, &WORKBOOK, &request).circuits.len()
    };

    let (one_hundred, one_thousand) = (circuits(100), circuits(1_000));

    assert!(one_thousand <= one_hundred * 10, "{one_hundred} circuits for 100 rooms, {one_thousand} for 1,000");
}
