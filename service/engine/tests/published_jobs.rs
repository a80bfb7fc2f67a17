//! Small jobs held against guides for householders: the price with the demonstration sheet and the hours on site lie in the
//! guides' joint range, or the fixture says why they do not.
//!
//! Three estimators who priced a job by hand prevail over the guides: they count travel, testing and the certificate.
//! `cargo test -p engine --test published_jobs -- --nocapture` prints the table.

mod support;

use engine::estimate::Estimate;
use serde::Deserialize;
use serde_json::{Value, json};
use support::{document, priced, read_as_it_is};

#[derive(Debug, Deserialize)]
struct Guide {
    job: String,
    hours_low: Option<f64>,
    hours_high: Option<f64>,
    price_low: Option<f64>,
    price_high: Option<f64>,
    source: String,
    differs: String,
}

fn guides() -> Vec<Guide> {
    let text = include_str!("fixtures/published_jobs.csv");
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    reader.deserialize().map(|row| row.expect("a row of the guides")).collect()
}

/// An ordinary house of 1990 near the firm, its board modern. Invented.
fn at_home(scope: &str, rooms: Value) -> Value {
    json!({ "survey": { "scope": scope,
        "site": { "dwelling": "terrace", "built_year": 1990, "nation": "england", "distance_km": 8, "parking": "drive",
            "occupancy": "lightly-furnished" },
        "rooms": rooms,
        "consumer_unit": { "room": "hall", "existing": { "condition": "modern", "ways_spare": 4 } } } })
}

fn with_hall(room: Value) -> Value {
    json!([{ "id": "hall", "use": "hall" }, room])
}

fn sockets(count: u32) -> Value {
    at_home(
        "addition",
        with_hall(json!({ "id": "lounge", "use": "living", "wall": "timber-stud",
        "points": [{ "type": "double-socket", "count": count }] })),
    )
}

/// What a householder pays, and the hours on site: travel and what is written in the office apart.
#[derive(Debug, Clone, Copy)]
struct Ours {
    hours: f64,
    gross: f64,
}

fn ours(request: &Value) -> Ours {
    let estimate: Estimate = priced(&read_as_it_is(request));
    let away = ["travel", "collect-materials", "certificate", "minor-works", "notification", "operator-form"];
    let on_site = estimate.lines.iter().filter(|line| !away.contains(&line.item.as_str()));
    Ours { hours: on_site.map(|line| line.hours.value()).sum(), gross: estimate.totals.gross.approximate() }
}

fn job(id: &str) -> Ours {
    match id {
        "one-socket" => ours(&sockets(1)),
        // Of three in one visit beside two.
        "further-socket" => {
            let (three, two) = (ours(&sockets(3)), ours(&sockets(2)));
            Ours { hours: three.hours - two.hours, gross: three.gross - two.gross }
        }
        "outside-socket" => ours(&at_home(
            "addition",
            with_hall(json!({ "id": "patio", "use": "outside",
            "points": [{ "type": "outside-socket" }] })),
        )),
        "new-ring" => ours(&at_home(
            "addition",
            with_hall(json!({ "id": "room", "use": "bedroom", "wall": "timber-stud",
            "points": [{ "type": "double-socket", "count": 8 }] })),
        )),
        "consumer-unit" => ours(&document("board-change.json")),
        "garage-board" => {
            let mut request = at_home(
                "single-circuit",
                with_hall(json!({ "id": "bathroom", "use": "bathroom",
                "storey": "first", "points": [{ "type": "shower-switch" }],
                "appliances": [{ "type": "shower", "load_kw": 9.5 }] })),
            );
            request["survey"]["consumer_unit"]["existing"]["ways_spare"] = json!(0);
            // The board alone, as it is put apart from the shower.
            let estimate = priced(&read_as_it_is(&request));
            let board = estimate.lines.iter().find(|line| line.item == "small-board").expect("a small board");
            /// Value added tax.
            const WITH_TAX: f64 = 1.2;
            Ours { hours: board.hours.value(), gross: board.price.approximate() * WITH_TAX }
        }
        other => panic!("no job for `{other}`"),
    }
}

/// The widest range of several guides.
fn joint(low: impl Iterator<Item = f64>, high: impl Iterator<Item = f64>) -> (f64, f64) {
    (low.fold(f64::INFINITY, f64::min), high.fold(0.0, f64::max))
}

#[test]
fn small_jobs_lie_in_the_joint_range_of_the_guides_or_say_why_not() {
    let guides = guides();
    let mut ids: Vec<&str> = guides.iter().map(|guide| guide.job.as_str()).collect();
    ids.dedup();
    let mut wrong = Vec::new();
    for id in ids {
        let of = || guides.iter().filter(|guide| guide.job == id);
        let ours = job(id);
        let hours = joint(of().filter_map(|guide| guide.hours_low), of().filter_map(|guide| guide.hours_high));
        let price = joint(of().filter_map(|guide| guide.price_low), of().filter_map(|guide| guide.price_high));
        let within = |figure: f64, (low, high): (f64, f64)| high == 0.0 || (low.min(high) <= figure && figure <= high);
        let sound = within(ours.hours, hours) && within(ours.gross, price);
        let said = of().any(|guide| !guide.differs.is_empty());
        println!(
            "{id}: {:.1} h on site against {hours:?}, {:.0} against {price:?}, within: {sound}",
            ours.hours, ours.gross
        );
        assert!(of().all(|guide| !guide.source.is_empty()), "{id}");
        if sound == said {
            wrong.push(format!("{id}: {ours:?} against {hours:?} h and {price:?}, a reason is given: {said}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
