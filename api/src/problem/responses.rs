//! The problems as OpenAPI responses: one component a status, referred to by every operation that can answer so.

use std::collections::BTreeMap;

use utoipa::IntoResponses;
use utoipa::openapi::header::HeaderBuilder;
use utoipa::openapi::schema::{ObjectBuilder, SchemaType, Type};
use utoipa::openapi::{ContentBuilder, Ref, RefOr, Response, ResponseBuilder};

use super::{KINDS, Kind, KindRow, PROBLEM_JSON};

/// What any call under `/v1` may be answered with.
pub struct ForCallers;
/// What a call with a body may be answered with.
pub struct ForBodies;
/// What a call that records under an idempotency key may be answered with.
pub struct ForStored;
/// What a call that writes over something may be answered with.
pub struct ForWriters;
/// What a call for something by its name or identifier may be answered with.
pub struct ForReaders;
/// What the question whether the service is ready may be answered with.
pub struct ForReadiness;
/// What a call for a list, or with query parameters, may be answered with.
pub struct ForLists;

impl IntoResponses for ForCallers {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        references(&[
            Kind::Unauthenticated,
            Kind::NotAcceptable,
            Kind::Misdirected,
            Kind::Invalid,
            Kind::TooManyRequests,
            Kind::HeadTooLarge,
            Kind::Internal,
            Kind::Unavailable,
            Kind::Timeout,
        ])
    }
}

impl IntoResponses for ForBodies {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        references(&[Kind::MalformedBody, Kind::RequestTimeout, Kind::BodyTooLarge, Kind::UnsupportedMediaType])
    }
}

impl IntoResponses for ForStored {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        references(&[Kind::Conflict])
    }
}

impl IntoResponses for ForWriters {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        references(&[Kind::Conflict, Kind::PreconditionFailed, Kind::PreconditionRequired])
    }
}

impl IntoResponses for ForReaders {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        references(&[Kind::NotFound])
    }
}

impl IntoResponses for ForReadiness {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        references(&[Kind::Unavailable])
    }
}

impl IntoResponses for ForLists {
    fn responses() -> BTreeMap<String, RefOr<Response>> {
        references(&[Kind::Invalid])
    }
}

fn references(kinds: &[Kind]) -> BTreeMap<String, RefOr<Response>> {
    let reference = |row: &KindRow| {
        let target = Ref::new(format!("#/components/responses/{}", row.slug));
        (row.status.as_str().to_owned(), RefOr::Ref(target))
    };
    kinds.iter().map(|kind| reference(kind.row())).collect()
}

/// The components: a response for each status, named by the slug of its first kind.
#[must_use]
pub fn responses() -> BTreeMap<String, RefOr<Response>> {
    let mut components = BTreeMap::new();
    for row in &KINDS {
        let same_status = || KINDS.iter().filter(|other| other.status == row.status);
        if same_status().next().is_some_and(|first| first.slug != row.slug) {
            continue;
        }
        let description: Vec<String> =
            same_status().map(|kind| format!("`{}`: {} {}", kind.slug, kind.meaning, kind.remedy)).collect();
        components.insert(row.slug.to_owned(), RefOr::T(response(row, description.join("\n\n"))));
    }
    components
}

fn response(row: &KindRow, description: String) -> Response {
    let content = ContentBuilder::new().schema(Some(Ref::from_schema_name("Problem"))).example(Some(example(row)));
    let response = ResponseBuilder::new().description(description).content(PROBLEM_JSON, content.build());
    let header = |text: &str| HeaderBuilder::new().schema(Some(text_schema())).description(Some(text)).build();
    match row.kind {
        Kind::Conflict | Kind::TooManyRequests | Kind::Unavailable => {
            response.header("Retry-After", header("Seconds to wait before trying again."))
        }
        Kind::Unauthenticated => response.header("WWW-Authenticate", header("How to show a key.")),
        Kind::UnsupportedMediaType => response.header("Accept-Post", header("The media types that are read here.")),
        Kind::MethodNotAllowed => response.header("Allow", header("The methods that the address takes.")),
        _ => response,
    }
    .build()
}

fn text_schema() -> utoipa::openapi::schema::Object {
    ObjectBuilder::new().schema_type(SchemaType::new(Type::String)).build()
}

fn example(row: &KindRow) -> serde_json::Value {
    let mut document = serde_json::json!({
        "type": format!("/problems#{}", row.slug),
        "title": row.title,
        "status": row.status.as_u16(),
        "detail": row.meaning,
        "instance": "urn:request:0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d",
    });
    if row.kind == Kind::Invalid {
        document["detail"] = "2 faults; `errors` lists each".into();
        document["errors"] = serde_json::json!([
            { "pointer": "/survey/rooms/0/points/0/count", "code": "out-of-range", "detail": "`count` is -2; give 0 or more" },
            { "pointer": "/survey/rooms/0/poins", "code": "unknown-field",
              "detail": "there is no field `poins` here; did you mean `points`?" },
        ]);
    }
    document
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_problem_is_described_in_the_response_of_its_status() {
        let components = responses();
        for row in &KINDS {
            let told = components.values().any(|response| {
                matches!(response, RefOr::T(response) if response.description.contains(&format!("`{}`", row.slug)))
            });
            assert!(told, "{}", row.slug);
        }
    }
}
