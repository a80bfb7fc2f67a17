//! Whether the service lives, and whether it may be sent requests. Never behind a key, and no detail to strangers.

use actix_web::http::header;
use actix_web::{HttpResponse, web};
use serde::Serialize;
use utoipa::{OpenApi, ToSchema};

use super::resource::Resource;
use crate::limits;
use crate::problem::{ForLists, ForReadiness, Kind, Problem};
use crate::query::NoQuery;
use crate::state::AppState;

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: HealthOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(read_liveness, read_readiness))]
struct HealthOperations;

fn configure(config: &mut web::ServiceConfig) {
    config
        .service(web::resource("/health/live").route(web::get().to(read_liveness)).route(web::head().to(read_liveness)))
        .service(
            web::resource("/health/ready").route(web::get().to(read_readiness)).route(web::head().to(read_readiness)),
        );
}

/// How the service is.
#[derive(Debug, Serialize, ToSchema)]
pub struct Health {
    /// `live` or `ready`.
    #[schema(value_type = String, example = "ready")]
    status: &'static str,
}

/// Whether the process lives
///
/// It looks at nothing but itself: where this fails, start the process again.
#[utoipa::path(
    get, path = "/health/live", tag = "operations", operation_id = "read_liveness", security(()),
    responses((status = 200, description = "The process lives.", body = Health, example = json!({ "status": "live" })), ForLists)
)]
pub async fn read_liveness(_: NoQuery) -> HttpResponse {
    answer("live")
}

/// Whether the service may be sent requests
///
/// It asks the database, and says no while the service is stopping.
#[utoipa::path(
    get, path = "/health/ready", tag = "operations", operation_id = "read_readiness", security(()),
    responses(
        (status = 200, description = "Send requests.", body = Health, example = json!({ "status": "ready" })),
        ForLists, ForReadiness
    )
)]
pub async fn read_readiness(_: NoQuery, service: web::Data<AppState>) -> Result<HttpResponse, Problem> {
    let not_ready = || Problem::new(Kind::Unavailable, "the service is not ready");
    if service.is_draining() {
        return Err(not_ready());
    }
    match tokio::time::timeout(limits::READY_TIME, service.store.ready()).await {
        Ok(Ok(())) => Ok(answer("ready")),
        Ok(Err(error)) => Err(not_ready().caused_by(error)),
        Err(late) => Err(not_ready().caused_by(late)),
    }
}

fn answer(status: &'static str) -> HttpResponse {
    HttpResponse::Ok().insert_header((header::CACHE_CONTROL, "no-store")).json(Health { status })
}
