//! What the service says of itself: the API's document, pages to read it in, the glossary, and the page of problem types. All of it is
//! in the program: nothing is fetched from anywhere.

use std::borrow::Cow;
use std::sync::Arc;

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use store::Digest;
use utoipa::OpenApi;
use utoipa_swagger_ui::Config;

use super::conditional::unless_known;
use super::resource::Resource;
use crate::glossary;
use crate::problem::{ForLists, Problem, page};
use crate::query::NoQuery;
use crate::state::AppState;

/// The pages run their own scripts and load nothing from elsewhere. The reader of the document sets styles from its scripts.
const PAGE_POLICY: &str = "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; object-src 'none'; \
                           base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

const THEIR_TITLE: &str = "<title>Swagger UI</title>";
const OUR_TITLE: &str = "<title>Rewire estimating</title>";

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: PagesOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(read_openapi))]
struct PagesOperations;

fn configure(config: &mut web::ServiceConfig) {
    config
        .service(web::resource("/openapi.json").route(web::get().to(read_openapi)).route(web::head().to(read_openapi)))
        .service(web::resource("/problems").route(web::get().to(read_problems)).route(web::head().to(read_problems)))
        .service(web::resource("/docs").route(web::get().to(find_docs)).route(web::head().to(find_docs)))
        .service(
            web::resource("/docs/glossary").route(web::get().to(read_glossary)).route(web::head().to(read_glossary)),
        )
        .service(web::resource("/docs/{file:.*}").route(web::get().to(read_docs)).route(web::head().to(read_docs)));
}

/// This document
///
/// OpenAPI 3.1. The requests' schemas in it are the ones that requests are checked against.
#[utoipa::path(
    get, path = "/openapi.json", tag = "operations", operation_id = "read_openapi", security(()),
    responses(
        (status = 200, description = "The document.", body = Object, content_type = "application/json"),
        (status = 304, description = "You have it already."),
        ForLists
    )
)]
pub async fn read_openapi(_: NoQuery, request: HttpRequest, service: web::Data<AppState>) -> HttpResponse {
    let document = service.openapi.clone();
    unless_known(&request, &Digest::of(&document), document, |response| {
        response.insert_header((header::CONTENT_TYPE, "application/json"));
        response.insert_header((header::CACHE_CONTROL, "no-cache"));
    })
}

async fn read_problems() -> HttpResponse {
    written(page())
}

async fn read_glossary() -> HttpResponse {
    written(glossary::page())
}

/// A page of our own.
fn written(html: String) -> HttpResponse {
    HttpResponse::Ok()
        .content_type("text/html; charset=utf-8")
        .insert_header((header::CACHE_CONTROL, "no-cache"))
        .insert_header((header::CONTENT_SECURITY_POLICY, PAGE_POLICY))
        .body(html)
}

async fn find_docs() -> HttpResponse {
    HttpResponse::PermanentRedirect().insert_header((header::LOCATION, "/docs/")).finish()
}

async fn read_docs(file: web::Path<String>) -> Result<HttpResponse, Problem> {
    let config =
        Config::from("/openapi.json").use_base_layout().try_it_out_enabled(true).display_request_duration(true);
    // The library's error is not one that threads may share, and says nothing but that its own file is damaged.
    let found =
        utoipa_swagger_ui::serve(&file, Arc::new(config)).map_err(|error| Problem::internal(error.to_string()))?;
    let Some(file) = found else { return Err(Problem::not_found("page")) };
    let mut response = HttpResponse::Ok();
    response
        .content_type(file.content_type)
        .insert_header((header::CACHE_CONTROL, "no-cache"))
        .insert_header((header::CONTENT_SECURITY_POLICY, PAGE_POLICY));
    if file.gzpipped {
        response.insert_header((header::CONTENT_ENCODING, "gzip"));
    }
    Ok(response.body(titled(file.bytes)))
}

/// The reader's own page with our title; everything else as it is.
fn titled(bytes: Cow<'_, [u8]>) -> Vec<u8> {
    match std::str::from_utf8(&bytes) {
        Ok(html) if html.contains(THEIR_TITLE) => html.replace(THEIR_TITLE, OUR_TITLE).into_bytes(),
        _ => bytes.into_owned(),
    }
}
