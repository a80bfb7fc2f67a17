//! `/v1/firm` and `/v1/estimates/{id}/client`: who offers and to whom, as their papers have it. Kept apart from surveys and from
//! the audit trail: an estimate names nobody.

use std::sync::LazyLock;

use actix_web::http::header;
use actix_web::{HttpResponse, web};
use documents::quotation::{ClientDetails, DetailFault, FirmDetails};
use engine::document::Contract;
use engine::faults::{Fault, FaultCode};
use serde::Serialize;
use serde::de::DeserializeOwned;
use store::EntryId;
use utoipa::OpenApi;

use super::estimates::find_estimate;
use super::resource::Resource;
use crate::body::{Body, PaperJson};
use crate::caller::Caller;
use crate::negotiation::GivesJson;
use crate::problem::{ForBodies, ForCallers, ForReaders, Problem};
use crate::query::NoQuery;
use crate::state::AppState;

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: FirmOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(read_firm, write_firm, read_client, write_client, forget_client))]
struct FirmOperations;

fn configure(config: &mut web::ServiceConfig) {
    config
        .service(
            web::resource("/v1/firm")
                .route(web::get().to(read_firm))
                .route(web::head().to(read_firm))
                .route(web::put().to(write_firm)),
        )
        .service(
            web::resource("/v1/estimates/{id}/client")
                .route(web::get().to(read_client))
                .route(web::head().to(read_client))
                .route(web::put().to(write_client))
                .route(web::delete().to(forget_client)),
        );
}

static FIRM: LazyLock<Contract<FirmDetails>> = LazyLock::new(Contract::new);
static CLIENT: LazyLock<Contract<ClientDetails>> = LazyLock::new(Contract::new);

/// Read what the firm prints on its papers
///
/// Empty where it has given nothing yet: its papers then have blanks.
#[utoipa::path(
    get, path = "/v1/firm", tag = "firm", operation_id = "read_firm",
    responses((status = 200, description = "The firm's details.", body = FirmDetails), ForCallers)
)]
pub async fn read_firm(
    caller: Caller,
    _: NoQuery,
    _: GivesJson,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    Ok(told(&details_of(&service, caller).await?.unwrap_or_default()))
}

/// Write what the firm prints on its papers
///
/// In place of what was there. It stands on quotations from now on, on those of earlier estimates too.
#[utoipa::path(
    put, path = "/v1/firm", tag = "firm", operation_id = "write_firm", request_body = FirmDetails,
    responses((status = 200, description = "The firm's details, kept.", body = FirmDetails), ForCallers, ForBodies)
)]
pub async fn write_firm(
    caller: Caller,
    _: NoQuery,
    _: GivesJson,
    service: web::Data<AppState>,
    body: Body<PaperJson>,
) -> Result<HttpResponse, Problem> {
    let details = FIRM.read(&body.bytes)?;
    details.logo().map_err(fault)?;
    service.store.keep_firm_details(caller.firm, &body.bytes).await?;
    Ok(told(&details))
}

/// Read for whom an estimate is
///
/// 404 where nobody is named.
#[utoipa::path(
    get, path = "/v1/estimates/{id}/client", tag = "firm", operation_id = "read_client",
    params(("id" = Uuid, Path, description = "The estimate's `id`.", example = "0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d")),
    responses((status = 200, description = "The client.", body = ClientDetails), ForCallers, ForReaders)
)]
pub async fn read_client(
    caller: Caller,
    _: NoQuery,
    _: GivesJson,
    path: web::Path<String>,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    let estimate = find_estimate(&service, caller, &path).await?.id;
    let client = client_of(&service, caller, estimate).await?;
    client.map(|client| told(&client)).ok_or_else(|| Problem::not_found("client"))
}

/// Write for whom an estimate is
///
/// In place of whoever was named. Kept apart from the estimate and from the audit trail, and taken away by DELETE.
#[utoipa::path(
    put, path = "/v1/estimates/{id}/client", tag = "firm", operation_id = "write_client", request_body = ClientDetails,
    params(("id" = Uuid, Path, description = "The estimate's `id`.", example = "0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d")),
    responses(
        (status = 200, description = "The client, kept.", body = ClientDetails), ForCallers, ForReaders, ForBodies
    )
)]
pub async fn write_client(
    caller: Caller,
    _: NoQuery,
    _: GivesJson,
    path: web::Path<String>,
    service: web::Data<AppState>,
    body: Body<PaperJson>,
) -> Result<HttpResponse, Problem> {
    let client = CLIENT.read(&body.bytes)?;
    let estimate = find_estimate(&service, caller, &path).await?.id;
    service.store.keep_client(caller.firm, estimate, &body.bytes).await?;
    Ok(told(&client))
}

/// Forget for whom an estimate is
///
/// For good. The estimate itself stays as it is: it names nobody.
#[utoipa::path(
    delete, path = "/v1/estimates/{id}/client", tag = "firm", operation_id = "forget_client",
    params(("id" = Uuid, Path, description = "The estimate's `id`.", example = "0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d")),
    responses((status = 204, description = "Nobody is named now."), ForCallers, ForReaders)
)]
pub async fn forget_client(
    caller: Caller,
    _: NoQuery,
    _: GivesJson,
    path: web::Path<String>,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    let estimate = find_estimate(&service, caller, &path).await?.id;
    service.store.forget_client(caller.firm, estimate).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// The firm's details, if it has given any.
pub(super) async fn details_of(service: &AppState, caller: Caller) -> Result<Option<FirmDetails>, Problem> {
    read(service.store.find_firm_details(caller.firm).await?)
}

/// The client of an estimate, if one was given.
pub(super) async fn client_of(
    service: &AppState,
    caller: Caller,
    estimate: EntryId,
) -> Result<Option<ClientDetails>, Problem> {
    read(service.store.find_client(caller.firm, estimate).await?)
}

fn read<T: DeserializeOwned>(kept: Option<Vec<u8>>) -> Result<Option<T>, Problem> {
    kept.map(|bytes| serde_json::from_slice(&bytes).map_err(Problem::internal)).transpose()
}

fn told(details: &impl Serialize) -> HttpResponse {
    HttpResponse::Ok().insert_header((header::CACHE_CONTROL, "no-store")).json(details)
}

fn fault(fault: DetailFault) -> Problem {
    vec![Fault { pointer: fault.pointer.to_owned(), code: FaultCode::WrongForm, detail: fault.detail }].into()
}
