//! What the engine answers, held by its digest: to the published examples, to the houses of the flags, and to three hundred
//! houses made by a rule. A change that means to leave every answer as it is shows here that it did.

mod houses;
#[path = "../support/mod.rs"]
mod support;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::thread;

use engine::Stamp;
use engine::document::Unreadable;
use engine::estimate::{RoutesRequest, SurveyReviewRequest};
use engine::survey::EstimateRequest;
use serde::Serialize;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use support::{ENGINE, WORKBOOK, put};

/// Houses that are made by a rule.
const HOUSES: u64 = 300;

/// Writes the digests anew instead of holding them against the engine's answers.
const WRITE: &str = "WRITE_ANSWER_DIGESTS";
/// A folder that every answer is written to, to be compared with those of another version.
const FOLDER: &str = "ANSWERS_DIR";

#[expect(clippy::disallowed_methods, reason = "a person tells the test where to write; the engine reads no settings")]
fn setting(name: &str) -> Option<PathBuf> {
    std::env::var_os(name).map(PathBuf::from)
}

fn file(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// The examples, the flags' houses and the made ones, each with its name.
fn asked() -> Vec<(String, Value)> {
    let mut all = Vec::new();
    let examples =
        ["minimal", "counts-only", "second-job", "three-bed", "partial", "kestrel-bank"].map(|name| name.to_owned());
    for name in examples {
        let bytes = std::fs::read(file(&format!("../../openapi/examples/{name}.json"))).expect("the example is there");
        all.push((name, serde_json::from_slice(&bytes).expect("it is JSON")));
    }
    let cases: Value = serde_json::from_str(include_str!("../fixtures/flags.json")).expect("reads");
    for case in cases["cases"].as_array().expect("cases") {
        let mut document = cases["base"].clone();
        for change in case["change"].as_array().expect("changes") {
            put(&mut document, change["pointer"].as_str().expect("a pointer"), &change["value"]);
        }
        all.push((format!("flag-{}", case["id"].as_str().expect("an id")), document));
    }
    all.extend((0..HOUSES).map(|seed| (format!("house-{seed:03}"), houses::house(seed))));
    all
}

fn bytes(answer: &impl Serialize) -> Vec<u8> {
    serde_json::to_vec(answer).expect("writes")
}

fn refusal(fault: &Unreadable) -> Vec<u8> {
    format!("{fault:?}").into_bytes()
}

/// The ways to three rooms and a ring through all of them, as a caller would ask for them.
fn routes(request: &EstimateRequest) -> Vec<u8> {
    let rooms: Vec<&str> = request.survey.rooms.iter().map(|room| room.id.as_str()).collect();
    let runs: Vec<Value> =
        rooms.iter().take(3).map(|room| json!({ "id": format!("to-{room}"), "to": { "room": room } })).collect();
    let visit: Vec<Value> = rooms.iter().take(8).map(|room| json!({ "room": room })).collect();
    let asked = json!({
        "survey": request.survey, "runs": runs,
        "tours": [{ "id": "round", "visit": visit, "arrangement": "ring" }]
    });
    let asked: RoutesRequest = serde_json::from_value(asked).expect("reads");
    match ENGINE.routes(&asked, &WORKBOOK) {
        Ok(answer) => bytes(&answer),
        Err(faults) => format!("{faults:?}").into_bytes(),
    }
}

/// Everything that the engine answers to one request, by kind.
fn answers(request: &Value) -> Vec<(&'static str, Vec<u8>)> {
    let read = match ENGINE.read_survey(&bytes(request)) {
        Ok(read) => read,
        Err(fault) => return vec![("refused", refusal(&fault))],
    };
    let stamp = Stamp { id: String::new(), created_at: String::new() };
    let estimate = bytes(&ENGINE.estimate(&read, &WORKBOOK, stamp));
    let review = bytes(&ENGINE.review(&SurveyReviewRequest { survey: read.survey.clone() }, &WORKBOOK));
    let routes = routes(&read);
    vec![("estimate", estimate), ("review", review), ("routes", routes)]
}

/// A line for each request: its name, and the digest of each answer.
fn digests(asked: &[(String, Value)]) -> String {
    let folder = setting(FOLDER);
    let mut lines = String::new();
    for (name, request) in asked {
        write!(lines, "{name}").expect("a string takes it");
        for (kind, answer) in answers(request) {
            let digest = Sha256::digest(&answer);
            let short: String = digest[..8].iter().map(|byte| format!("{byte:02x}")).collect();
            write!(lines, " {kind} {short}").expect("a string takes it");
            if let Some(folder) = &folder {
                std::fs::create_dir_all(folder).expect("the folder can be made");
                let pretty = serde_json::from_slice::<Value>(&answer)
                    .map_or(answer.clone(), |value| serde_json::to_vec_pretty(&value).expect("writes"));
                std::fs::write(folder.join(format!("{name}.{kind}")), pretty).expect("the answer can be written");
            }
        }
        lines.push('\n');
    }
    lines
}

#[test]
fn every_answer_is_the_one_that_was_given_before() {
    let asked = asked();
    let (first, second) = asked.split_at(asked.len() / 2);

    let given = thread::scope(|scope| {
        let half = scope.spawn(|| digests(first));
        let other = digests(second);
        half.join().expect("ends") + &other
    });

    let kept = file("tests/fixtures/answers.sha256");
    if setting(WRITE).is_some() {
        std::fs::write(&kept, &given).expect("the digests can be written");
    }
    let before = std::fs::read_to_string(&kept).expect("the digests are there");
    let differing: Vec<&str> = given
        .lines()
        .filter(|line| !before.lines().any(|kept| kept == *line))
        .map(|line| line.split(' ').next().unwrap_or_default())
        .collect();
    assert!(
        differing.is_empty() && given.lines().count() == before.lines().count(),
        "{} answers differ: {differing:?}. If that is meant: {WRITE}=1, and say why. {FOLDER} writes the answers out",
        differing.len()
    );
}

#[test]
fn most_of_the_houses_are_priced_and_some_are_refused() {
    let refused = (0..HOUSES).filter(|seed| ENGINE.read_survey(&bytes(&houses::house(*seed))).is_err()).count() as u64;

    assert!((1..HOUSES / 5).contains(&refused), "{refused} of {HOUSES} are refused");
}
