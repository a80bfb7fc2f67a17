//! Real examples in the document: the files of `openapi/examples`, which the tests price.

use serde_json::Value;
use utoipa::Modify;
use utoipa::openapi::example::{Example, ExampleBuilder};
use utoipa::openapi::{Content, OpenApi, RefOr};

/// A survey with nothing but what is needed. The curl line that is printed at start-up sends it.
pub const MINIMAL: &str = include_str!("../../../openapi/examples/minimal.json");
const COUNTS_ONLY: &str = include_str!("../../../openapi/examples/counts-only.json");
const KESTREL_BANK: &str = include_str!("../../../openapi/examples/kestrel-bank.json");
const TALLY: &str = include_str!("../../../openapi/examples/tally.csv");

/// Puts the examples into the document.
pub struct Examples;

impl Modify for Examples {
    fn modify(&self, document: &mut OpenApi) {
        let request = document
            .paths
            .paths
            .get_mut("/v1/estimates")
            .and_then(|path| path.post.as_mut())
            .and_then(|operation| operation.request_body.as_mut());
        let Some(RefOr::T(request)) = request else { return };
        let json = [
            ("minimal", "The least that is priced: rooms with points", MINIMAL),
            ("counts-only", "Points by room, nothing of the building", COUNTS_ONLY),
            ("demonstration-house", "A whole survey of an invented house", KESTREL_BANK),
        ];
        if let Some(RefOr::T(content)) = request.content.get_mut("application/json") {
            for (name, summary, text) in json {
                add(content, name, summary, document_of(text));
            }
        }
        if let Some(RefOr::T(content)) = request.content.get_mut("text/csv") {
            add(content, "tally", "A tally of points from a spreadsheet", Value::from(TALLY));
        }
    }
}

fn add(content: &mut Content, name: &str, summary: &str, value: Value) {
    let example: Example = ExampleBuilder::new().summary(summary).value(Some(value)).build();
    content.examples.insert(name.to_owned(), RefOr::T(example));
}

/// The files are part of the program and read by the tests; one that is not JSON is shown as the text that it is.
fn document_of(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|_| Value::from(text))
}
