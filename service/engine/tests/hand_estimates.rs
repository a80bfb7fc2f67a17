//! Jobs held against three estimators who priced them by hand, by stage, and against guides for householders.
//!
//! Source of the estimates: trade judgement, no published source; the jobs are invented. `cargo test -p engine --test
//! hand_estimates -- --nocapture` prints the table.

mod support;

use engine::estimate::Estimate;
use serde_json::Value;
use support::{document, priced, read_as_it_is};

const STAGES: [&str; 5] = ["strip_out", "first_fix", "second_fix", "testing", "preliminaries"];

fn fixture(name: &str) -> String {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/hand_estimates");
    std::fs::read_to_string(folder.join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn json(name: &str) -> Value {
    serde_json::from_str(&fixture(name)).expect("JSON")
}

/// What three people made of one job: the lowest, the middle and the highest.
#[derive(Clone, Copy)]
struct Spread {
    low: f64,
    middle: f64,
    high: f64,
}

impl Spread {
    fn of(job: &Value, likely: &str, (low, high): (&str, &str)) -> Self {
        let all = |pointer: &str| -> Vec<f64> {
            let estimates = job["estimates"].as_array().expect("estimates");
            let mut found: Vec<f64> =
                estimates.iter().map(|one| one.pointer(pointer).and_then(Value::as_f64).expect("a figure")).collect();
            found.sort_by(f64::total_cmp);
            found
        };
        Self { low: all(low)[0], middle: all(likely)[1], high: all(high)[2] }
    }

    fn hours(job: &Value) -> Self {
        Self::of(job, "/hours/total_likely", ("/hours/total_low", "/hours/total_high"))
    }

    fn net(job: &Value) -> Self {
        Self::of(job, "/net/likely", ("/net/low", "/net/high"))
    }

    fn stage(job: &Value, stage: &str) -> Self {
        let pointer = format!("/hours/{stage}");
        Self::of(job, &pointer, (&pointer, &pointer))
    }

    fn holds(self, figure: f64) -> bool {
        self.low <= figure && figure <= self.high
    }
}

fn estimate(job: &str) -> Estimate {
    let request = match job {
        "three-bed" | "kestrel-bank" => document(&format!("{job}.json")),
        _ => json(&format!("{job}.json")),
    };
    priced(&read_as_it_is(&request))
}

fn hours(estimate: &Estimate, stage: &str) -> f64 {
    let all = serde_json::to_value(&estimate.hours).expect("JSON");
    all[stage].as_f64().expect("hours")
}

fn net(estimate: &Estimate) -> f64 {
    estimate.totals.net.approximate()
}

fn job(id: &str) -> Value {
    let all = json("estimates.json");
    let jobs = all["jobs"].as_array().expect("jobs");
    jobs.iter().find(|job| job["id"] == id).cloned().unwrap_or_else(|| panic!("{id} is estimated"))
}

fn print(id: &str) {
    let (job, estimate) = (job(id), estimate(id));
    println!(
        "{id}: net {:.0} against {:.0} ({:.0} to {:.0})",
        net(&estimate),
        Spread::net(&job).middle,
        Spread::net(&job).low,
        Spread::net(&job).high
    );
    for stage in STAGES {
        let by_hand = Spread::stage(&job, stage);
        println!(
            "  {stage:14} {:7.1} against {:6.1} ({:.1} to {:.1})",
            hours(&estimate, stage),
            by_hand.middle,
            by_hand.low,
            by_hand.high
        );
    }
    let by_hand = Spread::hours(&job);
    println!(
        "  {:14} {:7.1} against {:6.1} ({:.1} to {:.1})",
        "total",
        hours(&estimate, "total"),
        by_hand.middle,
        by_hand.low,
        by_hand.high
    );
}

/// Likely hours within a fifth of the middle estimator and within all three spreads; the price within the spreads.
fn holds(id: &str) {
    /// Of the middle estimator's hours.
    const A_FIFTH: f64 = 0.2;
    print(id);
    let (job, estimate) = (job(id), estimate(id));
    let (by_hand, ours) = (Spread::hours(&job), hours(&estimate, "total"));
    assert!(by_hand.holds(ours), "{id}: {ours} h, by hand {} to {}", by_hand.low, by_hand.high);
    assert!((ours / by_hand.middle - 1.0).abs() <= A_FIFTH, "{id}: {ours} h, by hand {}", by_hand.middle);
    let price = Spread::net(&job);
    assert!(price.holds(net(&estimate)), "{id}: {} net, by hand {} to {}", net(&estimate), price.low, price.high);
}

#[test]
fn one_socket_takes_the_hours_and_the_price_that_three_estimators_give_it() {
    holds("one-socket");
}

#[test]
fn a_board_change_takes_the_hours_and_the_price_that_three_estimators_give_it() {
    holds("board-change");
}

#[test]
fn a_charge_point_takes_the_hours_and_the_price_that_three_estimators_give_it() {
    holds("charge-point");
}

#[test]
fn a_three_bedroom_house_takes_the_hours_and_the_price_that_three_estimators_give_it() {
    holds("three-bed");
}

#[test]
fn the_demonstration_house_takes_the_hours_and_the_price_that_three_estimators_give_it() {
    holds("kestrel-bank");
}

#[test]
fn an_empty_house_with_boarded_floors_takes_the_hours_and_the_price_that_three_estimators_give_it() {
    holds("house-b-boarded");
}
