//! The published examples are requests that the engine reads without a fault.

use std::path::PathBuf;

use engine::survey::{self, EstimateRequest, SurveyContract};

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
    assert!(read.iter().all(|points| *points > 0), "{names:?}: {read:?}");
}

#[test]
fn the_demonstration_house_has_176_points_with_its_workshop() {
    assert_eq!(points(&example("kestrel-bank.json")), 176);
}

#[test]
fn the_reference_house_has_75_points_with_and_without_its_geometry() {
    let whole = example("three-bed.json");
    let counts = example("counts-only.json");

    assert_eq!(points(&whole), 75);
    assert_eq!(points(&counts), 75);
    assert!(counts.survey.rooms.iter().all(|room| room.outline.is_none() && room.floor.is_none()));
}
