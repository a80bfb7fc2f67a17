//! The API's own document: OpenAPI 3.1, derived from the handlers and the types that they read and write.

mod examples;

use examples::Examples;
pub use examples::MINIMAL;

use utoipa::openapi::security::{Http, HttpAuthScheme, SecurityScheme};
use utoipa::{Modify, OpenApi};

use crate::problem::{self, ProblemDocument};
use crate::routes::RESOURCES;

/// The document as it is served, printed and checked in: pretty, with a newline at its end.
#[must_use]
pub fn document() -> String {
    // A document of texts and maps always serialises.
    let mut text = Document::openapi().to_pretty_json().unwrap_or_default();
    text.push('\n');
    text
}

#[derive(OpenApi)]
#[openapi(
    info(
        title = "Rewire estimating",
        description = include_str!("description.md"),
        license(name = "Apache-2.0", identifier = "Apache-2.0")
    ),
    servers((url = "/", description = "This service.")),
    tags(
        (name = "estimates", description = "A survey in, a costed estimate out."),
        (name = "firm", description = "Who offers and to whom, as papers have it; kept apart from surveys."),
        (name = "rate sheets", description = "Your prices and labour units, as versions that never change."),
        (name = "wiring", description = "Circuits checked, cables sized and routed, demand worked out; nothing is kept."),
        (name = "operations", description = "Whether the service runs, and this document.")
    ),
    security(("key" = [])),
    components(schemas(ProblemDocument)),
    modifiers(&Resources, &Problems, &Keys, &Examples)
)]
struct Document;

/// The operations of every resource, with the types that they take and give.
struct Resources;

impl Modify for Resources {
    fn modify(&self, document: &mut utoipa::openapi::OpenApi) {
        for resource in &RESOURCES {
            document.merge((resource.operations)());
        }
    }
}

/// Every status from 400 on, described once.
struct Problems;

impl Modify for Problems {
    fn modify(&self, document: &mut utoipa::openapi::OpenApi) {
        let components = document.components.get_or_insert_default();
        components.responses.extend(problem::responses());
    }
}

/// How a caller shows who it is.
struct Keys;

impl Modify for Keys {
    fn modify(&self, document: &mut utoipa::openapi::OpenApi) {
        let mut scheme = Http::new(HttpAuthScheme::Bearer);
        scheme.description = Some(
            "A firm's key, as `estimator keys create` prints it. Not asked for where the service runs with AUTH=open."
                .to_owned(),
        );
        document.components.get_or_insert_default().add_security_scheme("key", SecurityScheme::Http(scheme));
    }
}

#[cfg(test)]
mod tests {
    use serde_json::Value;

    use super::*;
    use crate::limits;

    fn parsed() -> Value {
        serde_json::from_str(&document()).expect("the document is JSON")
    }

    fn operations(document: &Value) -> impl Iterator<Item = (String, &Value)> {
        let paths = document["paths"].as_object().into_iter().flatten();
        paths.flat_map(|(path, methods)| {
            let methods = methods.as_object().into_iter().flatten();
            methods.map(move |(method, operation)| (format!("{method} {path}"), operation))
        })
    }

    #[test]
    fn every_operation_has_an_identifier_a_tag_and_a_summary() {
        let document = parsed();
        let mut seen = std::collections::BTreeSet::new();
        for (name, operation) in operations(&document) {
            let id = operation["operationId"].as_str().unwrap_or_default();
            assert!(id.contains('_') && seen.insert(id.to_owned()), "{name}: {id:?}");
            assert!(operation["tags"][0].is_string(), "{name} has no tag");
            assert!(operation["summary"].is_string(), "{name} has no summary");
        }
        assert!(seen.len() >= 9, "{seen:?}");
    }

    #[test]
    fn every_problem_is_answered_by_reference_and_every_reference_leads_somewhere() {
        let document = parsed();
        for (name, operation) in operations(&document) {
            for (status, response) in operation["responses"].as_object().into_iter().flatten() {
                if status.as_str() < "400" {
                    continue;
                }
                let target = response["$ref"].as_str().unwrap_or_default();
                let found = document.pointer(target.trim_start_matches('#'));
                assert!(found.is_some(), "{name} {status}: {response}");
            }
        }
        let text = super::document();
        for reference in text.split("\"$ref\": \"#").skip(1).filter_map(|rest| rest.split('"').next()) {
            assert!(document.pointer(reference).is_some(), "{reference} leads nowhere");
        }
    }

    #[test]
    fn the_published_limits_are_those_that_are_enforced() {
        let document = parsed();
        let parameters = &document["paths"]["/v1/rate-sheets"]["get"]["parameters"];
        let limit = &parameters
            .as_array()
            .and_then(|all| all.iter().find(|one| one["name"] == "limit"))
            .expect("limit")["schema"];
        assert_eq!(limit["maximum"], limits::PAGE_ITEMS_MAX);
        assert_eq!(limit["default"], limits::PAGE_ITEMS_DEFAULT);

        let key = &document["paths"]["/v1/estimates"]["post"]["parameters"][0]["schema"];
        assert_eq!(key["maxLength"], limits::IDEMPOTENCY_KEY_CHARACTERS_MAX);
        let description = document["info"]["description"].as_str().unwrap_or_default();
        for figure in ["1 MiB", "128 levels", "10 seconds", "24 hours"] {
            assert!(description.contains(figure), "{figure}");
        }
        assert_eq!((limits::BODY_BYTES_MAX, limits::JSON_DEPTH_MAX), (1 << 20, 128));
        assert!(description.contains("10 MiB"), "a list of circuits");
        assert_eq!(limits::CIRCUITS_BYTES_MAX, 10 << 20);
        let circuits = &document["components"]["schemas"]["CircuitCheckRequest"]["properties"]["circuits"];
        assert_eq!(circuits["maxItems"], engine::limits::CIRCUITS_MAX);
        let loads = &document["components"]["schemas"]["DemandRequest"]["properties"]["loads"];
        assert_eq!(loads["maxItems"], engine::limits::LOADS_MAX);
        let count = &document["components"]["schemas"]["DemandLoad"]["properties"]["count"];
        assert_eq!(count["maximum"], engine::limits::LOAD_COUNT_MAX);
        assert_eq!((limits::REQUEST_TIME.as_secs(), store::limits::IDEMPOTENCY_KEY_HOURS), (10, 24));
        let rooms = &document["components"]["schemas"]["Survey"]["properties"]["rooms"];
        assert_eq!(rooms["maxItems"], engine::limits::ROOMS_MAX);
    }

    #[test]
    fn requests_and_answers_have_real_examples() {
        let document = parsed();
        let body = &document["paths"]["/v1/estimates"]["post"]["requestBody"]["content"];
        assert!(body["application/json"]["examples"]["minimal"]["value"]["survey"]["rooms"].is_array());
        assert!(
            body["text/csv"]["examples"]["tally"]["value"].as_str().is_some_and(|tally| tally.starts_with("room,"))
        );
    }

    #[test]
    fn the_licence_and_the_cautions_are_named() {
        let document = parsed();
        assert_eq!(document["openapi"], "3.1.0");
        assert_eq!(document["info"]["license"]["name"], "Apache-2.0");
        assert!(document["info"]["description"].as_str().is_some_and(|text| text.contains("not a design certificate")));
    }
}
