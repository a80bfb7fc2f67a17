//! Real examples in the document: the files of `openapi/examples`, which the tests price.

use serde_json::Value;
use utoipa::Modify;
use utoipa::openapi::example::{Example, ExampleBuilder};
use utoipa::openapi::{Content, OpenApi, RefOr};

/// A survey with nothing but what is needed. The curl line that is printed at start-up sends it.
pub const MINIMAL: &str = include_str!("../../../openapi/examples/minimal.json");
const SECOND_JOB: &str = include_str!("../../../openapi/examples/second-job.json");
const COUNTS_ONLY: &str = include_str!("../../../openapi/examples/counts-only.json");
const PARTIAL: &str = include_str!("../../../openapi/examples/partial.json");
const KESTREL_BANK: &str = include_str!("../../../openapi/examples/kestrel-bank.json");
const TALLY: &str = include_str!("../../../openapi/examples/tally.csv");

/// Puts the examples into the document.
pub struct Examples;

impl Modify for Examples {
    fn modify(&self, document: &mut OpenApi) {
        let looked_over = [
            ("counts-only", "Points by room, nothing of the building", survey_of(COUNTS_ONLY)),
            ("demonstration-house", "A whole survey of an invented house", survey_of(KESTREL_BANK)),
        ];
        if let Some(content) = content_of(document, "/v1/survey-reviews", "application/json") {
            for (name, summary, value) in looked_over {
                add(content, name, summary, value);
            }
        }
        let json = [
            ("minimal", "The least that is priced: rooms with points", MINIMAL),
            ("counts-only", "Points by room, nothing of the building", COUNTS_ONLY),
            ("partial-rewire", "Circuits that stay, tested or not, and what is joined to them", PARTIAL),
            ("second-job", "A second small job on a visit that another one pays for", SECOND_JOB),
            ("demonstration-house", "A whole survey of an invented house", KESTREL_BANK),
        ];
        if let Some(content) = content_of(document, "/v1/estimates", "application/json") {
            for (name, summary, text) in json {
                add(content, name, summary, document_of(text));
            }
        }
        if let Some(content) = content_of(document, "/v1/estimates", "text/csv") {
            add(content, "tally", "A tally of points from a spreadsheet", Value::from(TALLY));
        }
    }
}

/// What is sent to an address, in one of its media types.
fn content_of<'a>(document: &'a mut OpenApi, path: &str, media_type: &str) -> Option<&'a mut Content> {
    let operation = document.paths.paths.get_mut(path)?.post.as_mut()?;
    let Some(RefOr::T(request)) = operation.request_body.as_mut() else { return None };
    match request.content.get_mut(media_type) {
        Some(RefOr::T(content)) => Some(content),
        _ => None,
    }
}

/// A request to price a survey, as one to look it over.
fn survey_of(text: &str) -> Value {
    serde_json::json!({ "survey": document_of(text)["survey"] })
}

fn add(content: &mut Content, name: &str, summary: &str, value: Value) {
    let example: Example = ExampleBuilder::new().summary(summary).value(Some(value)).build();
    content.examples.insert(name.to_owned(), RefOr::T(example));
}

/// The files are part of the program and read by the tests; one that is not JSON is shown as the text that it is.
fn document_of(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|_| Value::from(text))
}
