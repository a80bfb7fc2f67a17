//! What several tests share.

#![allow(dead_code, reason = "each test is built with all of it and uses some")]

use std::path::PathBuf;
use std::sync::LazyLock;

use engine::estimate::Estimate;
use engine::rate_sheet::{RateSheet, Workbook};
use engine::survey::{self, EstimateRequest, SurveyContract};
use engine::{Engine, Stamp};
use serde_json::Value;

static CONTRACT: LazyLock<SurveyContract> = LazyLock::new(SurveyContract::new);
/// Built once: the tables are the same for every test.
pub static ENGINE: LazyLock<Engine> = LazyLock::new(Engine::new);
/// The built-in sheet.
pub static WORKBOOK: LazyLock<Workbook> =
    LazyLock::new(|| ENGINE.prepare(RateSheet::standard(), 1).expect("the built-in sheet is complete"));

fn file(name: &str) -> Vec<u8> {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../openapi/examples").join(name);
    std::fs::read(file).expect("the example is there")
}

/// A published example as it stands, to change before it is read.
pub fn document(name: &str) -> Value {
    serde_json::from_slice(&file(name)).expect("it is JSON")
}

/// The document with a value put in at a JSON Pointer, or with `null` for one taken out.
pub fn put(document: &mut Value, pointer: &str, value: &Value) {
    let (parent, key) = pointer.rsplit_once('/').expect("a pointer");
    match document.pointer_mut(parent).unwrap_or_else(|| panic!("{parent} is there")) {
        Value::Object(fields) if value.is_null() => {
            fields.remove(key);
        }
        Value::Object(fields) => {
            fields.insert(key.to_owned(), value.clone());
        }
        Value::Array(entries) => {
            let index: usize = key.parse().expect("an index");
            match entries.get_mut(index) {
                Some(_) if value.is_null() => drop(entries.remove(index)),
                Some(entry) => *entry = value.clone(),
                None => entries.push(value.clone()),
            }
        }
        other => panic!("{other} has no {key}"),
    }
}

/// A survey, read as the service reads it: of a rewire, unless it says otherwise.
pub fn read(request: &Value) -> EstimateRequest {
    let mut request = request.clone();
    if let Some(survey) = request.get_mut("survey").and_then(Value::as_object_mut) {
        survey.entry("scope").or_insert_with(|| "rewire".into());
    }
    read_as_it_is(&request)
}

/// The same where the survey may leave open what kind of job it is.
pub fn read_as_it_is(request: &Value) -> EstimateRequest {
    ENGINE.read_survey(request.to_string().as_bytes()).unwrap_or_else(|fault| panic!("{fault:?} in {request}"))
}

/// A published example.
pub fn example(name: &str) -> EstimateRequest {
    survey::read(&CONTRACT, &file(name)).unwrap_or_else(|faults| panic!("{name}: {faults:?}"))
}

/// The estimate of a request at the built-in sheet.
pub fn priced(request: &EstimateRequest) -> Estimate {
    ENGINE.estimate(request, &WORKBOOK, stamp())
}

/// The estimate of a request at a sheet of its own.
pub fn priced_with(request: &EstimateRequest, sheet: RateSheet) -> Estimate {
    let workbook = ENGINE.prepare(sheet, 1).expect("the sheet is complete");
    ENGINE.estimate(request, &workbook, stamp())
}

fn stamp() -> Stamp {
    Stamp { id: "00000000-0000-7000-8000-000000000000".to_owned(), created_at: String::new() }
}
