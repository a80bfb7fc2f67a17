//! `/v1/demand`: loads in, demand after diversity out, and whether the supply bears it.

use std::sync::LazyLock;

use actix_web::{HttpRequest, HttpResponse, web};
use engine::demand::{DemandAnswer, DemandRequest};
use engine::document::Contract;

use super::calculation::{Compiled, calculated};
use crate::app::Service;
use crate::body::{Body, Json};
use crate::caller::Caller;
use crate::problem::{ForBodies, ForCallers, Problem};
use crate::query::NoQuery;

/// The addresses.
pub fn addresses(config: &mut web::ServiceConfig) {
    config.service(web::resource("/v1/demand").route(web::post().to(calculate_demand)));
}

static CONTRACT: Compiled<DemandRequest> = LazyLock::new(Contract::new);

/// Work out the demand after diversity
///
/// Loads by kind, what each counts after diversity and why, and whether the supply bears the sum. Nothing is kept.
#[utoipa::path(
    post, path = "/v1/demand", tag = "wiring", operation_id = "calculate_demand",
    request_body = DemandRequest,
    responses((status = 200, description = "The demand, kind by kind.", body = DemandAnswer), ForCallers, ForBodies)
)]
pub async fn calculate_demand(
    _: Caller,
    _: NoQuery,
    request: HttpRequest,
    service: web::Data<Service>,
    body: Body<Json>,
) -> Result<HttpResponse, Problem> {
    calculated(&service, request.headers(), body, &CONTRACT, engine::demand::after_diversity).await
}
