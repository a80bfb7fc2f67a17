//! `/v1/demand`: loads in, demand after diversity out, and whether the supply bears it.

use std::sync::LazyLock;

use actix_web::{HttpResponse, web};
use engine::demand::{DemandAnswer, DemandRequest};
use engine::document::Contract;
use utoipa::OpenApi;

use super::calculation::{Compiled, WiringRequest, written};
use super::resource::Resource;
use crate::problem::{ForBodies, ForCallers, Problem};

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: DemandOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(calculate_demand))]
struct DemandOperations;

fn configure(config: &mut web::ServiceConfig) {
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
pub async fn calculate_demand(asked: WiringRequest) -> Result<HttpResponse, Problem> {
    asked
        .answered(&CONTRACT, |standards, request| {
            engine::demand::after_diversity(standards, request).map(|demand| written(&demand))
        })
        .await
}
