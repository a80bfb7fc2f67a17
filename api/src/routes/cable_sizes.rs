//! `/v1/cable-sizes`: one load in, each size judged and the smallest that passes out.

use std::sync::LazyLock;

use actix_web::{HttpResponse, web};
use engine::document::Contract;
use engine::working::{CableSizeAnswer, CableSizeRequest};
use utoipa::OpenApi;

use super::calculation::{Compiled, WiringRequest, written};
use super::resource::Resource;
use crate::problem::{ForBodies, ForCallers, Problem};

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: CableSizesOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(size_cable))]
struct CableSizesOperations;

fn configure(config: &mut web::ServiceConfig) {
    config.service(web::resource("/v1/cable-sizes").route(web::post().to(size_cable)));
}

static CONTRACT: Compiled<CableSizeRequest> = LazyLock::new(Contract::new);

/// Size the cable of one circuit
///
/// Each size judged by every check, and the smallest that passes; where none does, the nearest miss. Nothing is kept.
#[utoipa::path(
    post, path = "/v1/cable-sizes", tag = "wiring", operation_id = "size_cable",
    request_body = CableSizeRequest,
    responses((status = 200, description = "The sizes, judged.", body = CableSizeAnswer), ForCallers, ForBodies)
)]
pub async fn size_cable(asked: WiringRequest) -> Result<HttpResponse, Problem> {
    asked
        .answered(&CONTRACT, |standards, request| {
            engine::working::size_cable(standards, request).map(|sizes| written(&sizes))
        })
        .await
}
