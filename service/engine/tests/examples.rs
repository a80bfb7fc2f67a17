//! The published examples are requests that the engine reads without a fault, and the published answers are what it
//! gives to them.

use std::path::PathBuf;

use engine::rate_sheet::RateSheet;
use engine::survey::{self, EstimateRequest, SurveyContract};
use engine::{Engine, Stamp};

fn example_file(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../openapi/examples").join(name)
}

fn example(name: &str) -> EstimateRequest {
    let bytes = std::fs::read(example_file(name)).expect("the example is there");
    survey::read(&SurveyContract::new(), &bytes).unwrap_or_else(|faults| panic!("{name}: {faults:?}"))
}

/// Points of the whole survey, those of outbuildings with them.
fn points(request: &EstimateRequest) -> u32 {
    let in_rooms = request.survey.rooms.iter().flat_map(|room| &room.points);
    let in_buildings = request.survey.outbuildings.iter().flat_map(|building| &building.points);
    in_rooms.chain(in_buildings).map(|point| point.count.unwrap_or(1)).sum()
}

#[test]
fn every_json_example_is_read_without_a_fault() {
    let mut names: Vec<String> = std::fs::read_dir(example_file("."))
        .expect("the folder of examples is there")
        .map(|entry| entry.expect("an entry of the folder").file_name().to_string_lossy().into_owned())
        .filter(|name| name.ends_with(".json"))
        .collect();
    names.sort();

    let read: Vec<u32> = names.iter().map(|name| points(&example(name))).collect();

    assert!(names.len() >= 4, "{names:?}");
    // Only a board change may want no point.
    let without: Vec<&String> =
        names.iter().zip(read).filter(|(_, points)| *points == 0).map(|(name, _)| name).collect();
    assert_eq!(without, ["board-change.json"]);
}

#[test]
fn the_demonstration_house_has_176_points_with_its_workshop() {
    assert_eq!(points(&example("kestrel-bank.json")), 176);
}

#[test]
fn the_partial_rewire_says_of_each_circuit_that_stays_what_is_to_be_known() {
    let engine = Engine::new();
    let workbook = engine.prepare(RateSheet::standard(), 1).expect("the built-in sheet is complete");
    let stamp = Stamp { id: String::new(), created_at: String::new() };

    let estimate = engine.estimate(&example("partial.json"), &workbook, stamp);

    let raised = |id: &str, place: &str| {
        estimate
            .risk_flags
            .iter()
            .any(|flag| flag.id == id && flag.places.iter().any(|one| one == place) && flag.at_stake.is_some())
    };
    for (id, place) in [
        ("old-ring-extended", "K1"),
        ("partial-keeps-old", "K3"),
        ("shower-bigger-than-cable", "K4"),
        ("polystyrene-contact", "bed1"),
    ] {
        assert!(raised(id, place), "{id} at {place}: {:?}", estimate.risk_flags);
    }
    assert_eq!(estimate.circuits.iter().filter(|circuit| circuit.existing).count(), 4);
}

#[test]
fn the_reference_house_has_75_points_with_and_without_its_geometry() {
    let whole = example("three-bed.json");
    let counts = example("counts-only.json");

    assert_eq!(points(&whole), 75);
    assert_eq!(points(&counts), 75);
    assert!(counts.survey.rooms.iter().all(|room| room.outline.is_none() && room.floor.is_none()));
}

/// Writes the published answers anew instead of holding them against the engine's.
const WRITE: &str = "WRITE_EXAMPLE_ANSWERS";

/// What is asked, and the file in `openapi/examples/answers` that holds the answer.
const ANSWERS: [(&str, &str); 15] = [
    ("one-socket.json", "one-socket.json"),
    ("one-socket.csv", "one-socket-tally.json"),
    ("three-sockets-and-outside.json", "three-sockets-and-outside.json"),
    ("board-change.json", "board-change.json"),
    ("charge-point.json", "charge-point.json"),
    ("shower-circuit.json", "shower-circuit.json"),
    ("kitchen.json", "kitchen.json"),
    ("loft-conversion.json", "loft-conversion.json"),
    ("minimal.json", "minimal.json"),
    ("counts-only.json", "counts-only.json"),
    ("second-job.json", "second-job.json"),
    ("three-bed.json", "three-bed.json"),
    ("partial.json", "partial.json"),
    ("kestrel-bank.json", "kestrel-bank.json"),
    ("tally.csv", "tally.json"),
];

#[expect(
    clippy::disallowed_methods,
    reason = "the test is told by a person to write; the engine itself reads no settings"
)]
fn to_be_written() -> bool {
    std::env::var_os(WRITE).is_some()
}

/// The answer to an example, a line a member. The identifier and the time are placeholders.
fn answer(engine: &Engine, asked: &str) -> String {
    let bytes = std::fs::read(example_file(asked)).expect("the example is there");
    let request = if asked.ends_with(".csv") {
        engine.read_tally(&bytes).unwrap_or_else(|faults| panic!("{asked}: {faults:?}"))
    } else {
        engine.read_survey(&bytes).unwrap_or_else(|faults| panic!("{asked}: {faults:?}"))
    };
    let workbook = engine.prepare(RateSheet::standard(), 1).expect("the built-in sheet is complete");
    let stamp =
        Stamp { id: "00000000-0000-7000-8000-000000000000".to_owned(), created_at: "2026-01-01T00:00:00Z".to_owned() };
    let mut text = serde_json::to_string_pretty(&engine.estimate(&request, &workbook, stamp)).expect("writes");
    text.push('\n');
    text
}

#[test]
fn the_published_answers_are_those_that_the_engine_gives() {
    let engine = Engine::new();
    let folder = example_file("answers");

    let differing: Vec<&str> = ANSWERS
        .into_iter()
        .filter(|(asked, file)| {
            let given = answer(&engine, asked);
            if to_be_written() {
                std::fs::create_dir_all(&folder).expect("the folder can be made");
                std::fs::write(folder.join(file), &given).expect("the answer can be written");
            }
            std::fs::read_to_string(folder.join(file)).ok().as_ref() != Some(&given)
        })
        .map(|(_, file)| file)
        .collect();

    assert!(
        differing.is_empty(),
        "{differing:?} in openapi/examples/answers differ from what the engine gives. If that is meant: \
         {WRITE}=1 cargo test -p engine --test examples, and read the difference"
    );
}
