//! A resource of the API, as its file hands it over to the list in [`super`].

use actix_web::web;
use utoipa::openapi::OpenApi;

/// A resource: its addresses, and what the contract says of them.
pub struct Resource {
    /// Takes its addresses into the application.
    pub configure: fn(&mut web::ServiceConfig),
    /// Its operations and their types, for the published document.
    pub operations: fn() -> OpenApi,
}
