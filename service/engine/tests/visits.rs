//! Several small jobs on one visit: the first of them pays for getting there, the others do not pay again.

mod support;

use engine::document::Unreadable;
use engine::estimate::{Estimate, LineKind};
use engine::money::Money;
use engine::rate_sheet::RateSheet;
use engine::survey::{EstimateRequest, Method, Terms, Visit};
use support::ENGINE;

/// One job of so many sockets in the hall, 12 km away, parking in the street. Invented.
fn job(sockets: u32) -> EstimateRequest {
    let survey = format!(
        r#"{{ "survey": {{ "reference": "J-2", "site": {{ "distance_km": 12, "parking": "street", "occupancy": "furnished" }},
            "rooms": [ {{ "id": "hall", "points": [ {{ "type": "double-socket", "count": {sockets} }} ] }} ] }} }}"#
    );
    ENGINE.read_survey(survey.as_bytes()).unwrap_or_else(|fault| panic!("{fault:?}"))
}

fn beside(mut request: EstimateRequest, days: Option<f64>, rooms: &[&str]) -> EstimateRequest {
    let rooms = rooms.iter().map(|room| (*room).to_owned()).collect();
    request.terms = Some(Terms { visit: Some(Visit { paid_by: "J-1".to_owned(), days, rooms }), ..Terms::default() });
    assert_eq!(ENGINE.faults(&request), []);
    request
}

fn priced_with(request: &EstimateRequest, sheet: RateSheet) -> Estimate {
    let estimate = support::priced_with(request, sheet);
    assert_eq!(estimate.lines.iter().map(|line| line.amount).sum::<Money>(), estimate.totals.net);
    estimate
}

fn priced(request: &EstimateRequest) -> Estimate {
    priced_with(request, RateSheet::standard())
}

fn quantity(estimate: &Estimate, item: &str) -> f64 {
    estimate.lines.iter().filter(|line| line.item == item).map(|line| line.quantity).sum()
}

#[test]
fn a_job_on_a_visit_that_another_pays_for_counts_no_travel_parking_or_setting_up_and_says_so() {
    let alone = priced(&job(2));

    let second = priced(&beside(job(2), Some(5.0), &[]));

    for item in ["travel", "park-and-carry", "set-up", "collect-materials"] {
        assert!(quantity(&alone, item) > 0.0 && quantity(&second, item) == 0.0, "{item}");
    }
    let told = second.lines.iter().find(|line| line.item == "visit-shared").expect("a line that says who pays");
    assert_eq!((told.kind, told.amount), (LineKind::Preliminaries, Money::ZERO));
    assert!(told.description.contains("J-1") && told.because[0].contains("travel"), "{told:?}");
    assert!(second.assumptions.iter().any(|taken| taken.subject == "visit"));
    assert!(second.totals.net < alone.totals.net);
    assert!(alone.lines.iter().all(|line| line.item != "visit-shared"));
}

#[test]
fn what_a_job_takes_beyond_the_days_that_are_paid_for_it_pays_itself() {
    let visits = |days| {
        let estimate = priced(&beside(job(40), Some(days), &[]));
        (quantity(&estimate, "travel"), estimate.programme.crew_days, estimate.totals.net)
    };
    let alone = priced(&job(40));

    let (none_left, enough) = (visits(0.5), visits(60.0));

    assert_eq!(enough.0, 0.0);
    assert!(none_left.0 > 0.0 && none_left.0 < quantity(&alone, "travel"));
    let nets: Vec<Money> = [0.5, 1.0, 2.0, 4.0, 60.0].map(|days| visits(days).2).to_vec();
    assert!(nets.is_sorted_by(|a, b| a >= b), "a longer visit never makes the job dearer: {nets:?}");
    assert!(nets[0] <= alone.totals.net);
}

#[test]
fn a_room_that_the_other_job_has_begun_is_neither_cleared_nor_scanned_again() {
    let plain = priced(&beside(job(2), None, &[]));

    let begun = priced(&beside(job(2), None, &["hall"]));

    for item in ["move-furniture", "scan-before-cutting"] {
        assert!(quantity(&plain, item) > 0.0 && quantity(&begun, item) == 0.0, "{item}");
    }
    assert!(quantity(&begun, "protection") < quantity(&plain, "protection"));
}

#[test]
fn at_point_rates_the_visit_is_free_and_every_point_in_a_room_begun_is_a_further_one() {
    let at_rates = |mut request: EstimateRequest| {
        request.method = Some(Method::PerPoint);
        priced(&request)
    };
    let rate = |item: &str| {
        let rates = RateSheet::standard().points;
        let rate = rates.iter().find(|rate| rate.item == item).expect("a rate");
        (rate.first, rate.further)
    };
    let alone = at_rates(job(2));
    let second = at_rates(beside(job(2), None, &["hall"]));

    let (first, further) = rate("double-socket");
    let saved = rate("visit").0 + (first - further);
    assert_eq!(alone.totals.net - second.totals.net, saved);
    let socket = second.lines.iter().find(|line| line.item == "double-socket").expect("the sockets");
    assert!(socket.because[0].contains("J-1"), "{:?}", socket.because);
    assert!(first > further);
}

#[test]
fn the_minimum_charge_is_that_of_the_job_that_pays_for_the_visit() {
    let mut sheet = RateSheet::standard();
    sheet.terms.minimum_charge = "99000.00".parse().expect("an amount");

    let alone = priced_with(&job(1), sheet.clone());
    let second = priced_with(&beside(job(1), None, &[]), sheet);

    assert_eq!(alone.totals.net, "99000.00".parse().expect("an amount"));
    assert!(second.lines.iter().all(|line| line.item != "minimum-charge"));
    assert!(second.totals.net < alone.totals.net);
}

#[test]
fn a_single_point_on_somebody_elses_visit_is_no_single_item_visit() {
    let raised = |estimate: &Estimate| estimate.included.iter().any(|one| one.id == "single-item-visit");
    assert!(raised(&priced(&job(1))));
    assert!(!raised(&priced(&beside(job(1), None, &[]))));
}

#[test]
fn a_visit_paid_for_by_the_job_itself_or_begun_in_a_room_that_is_not_there_is_refused() {
    let body = r#"{ "survey": { "reference": "J-2", "rooms": [ { "id": "hall", "points": [ { "type": "pendant" } ] } ] },
        "terms": { "visit": { "paid_by": "J-2", "rooms": [ "attic" ] } } }"#;
    match ENGINE.read_survey(body.as_bytes()) {
        Err(Unreadable::Faults(faults)) => {
            let pointers: Vec<&str> = faults.iter().map(|fault| fault.pointer.as_str()).collect();
            assert_eq!(pointers, ["/terms/visit/paid_by", "/terms/visit/rooms/0"]);
        }
        other => panic!("{other:?}"),
    }
}
