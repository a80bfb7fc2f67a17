//! `/v1/circuit-checks`: circuits as given in, every check with its working out.

use std::sync::LazyLock;

use actix_web::{HttpResponse, web};
use engine::checks::CircuitCheckRequest;
use engine::document::Contract;
use engine::working::CircuitCheckAnswer;
use utoipa::OpenApi;

use super::calculation::{Compiled, WiringRequest};
use super::resource::Resource;
use crate::body::JsonCircuits;
use crate::problem::{ForBodies, ForCallers, Problem};

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: CircuitChecksOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(check_circuits))]
struct CircuitChecksOperations;

fn configure(config: &mut web::ServiceConfig) {
    config.service(web::resource("/v1/circuit-checks").route(web::post().to(check_circuits)));
}

static CONTRACT: Compiled<CircuitCheckRequest> = LazyLock::new(Contract::new);

/// Check circuits against the wiring rules
///
/// Each circuit as given, every check with its limit, value, verdict, clause and working. Nothing is kept.
#[utoipa::path(
    post, path = "/v1/circuit-checks", tag = "wiring", operation_id = "check_circuits",
    request_body = CircuitCheckRequest,
    responses((status = 200, description = "The circuits, judged.", body = CircuitCheckAnswer), ForCallers, ForBodies)
)]
pub async fn check_circuits(asked: WiringRequest<JsonCircuits>) -> Result<HttpResponse, Problem> {
    asked.answered(&CONTRACT, engine::working::check_circuits_as_json).await
}
