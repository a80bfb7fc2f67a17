//! `/v1/routes`: a drawn site and the ends of runs in, the chosen routes and the next best ones out.

use std::sync::LazyLock;

use actix_web::{HttpRequest, HttpResponse, web};
use engine::document::Contract;
use engine::estimate::{RoutesAnswer, RoutesRequest};
use utoipa::OpenApi;

use super::calculation::{Compiled, not_kept};
use super::resource::Resource;
use super::sheet_choice::{is_built_in, sheet_asked_for};
use crate::body::{Body, Json};
use crate::caller::Caller;
use crate::negotiation::gives_json;
use crate::problem::{ForBodies, ForCallers, Problem};
use crate::query::NoQuery;
use crate::state::AppState;

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: CableRoutesOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(plan_routes))]
struct CableRoutesOperations;

fn configure(config: &mut web::ServiceConfig) {
    config.service(web::resource("/v1/routes").route(web::post().to(plan_routes)));
}

static CONTRACT: Compiled<RoutesRequest> = LazyLock::new(Contract::new);

/// Plan cable routes
///
/// A drawn site, the ends of runs and the places that tours visit: the least-cost way of each cable with its metres,
/// hours and money stretch by stretch, why it goes so, and the next best way by another medium. A tour is put in order; a
/// ring comes back to where it began. All cables of a request are planned together: what one opens (a floor, a wall) the
/// others use, and its cost is shared equally among those that do. Costs are labour and material at the rate sheet's
/// hours and prices, before overhead, contingency, profit and tax. Nothing is kept.
#[utoipa::path(
    post, path = "/v1/routes", tag = "wiring", operation_id = "plan_routes",
    request_body = RoutesRequest,
    responses((status = 200, description = "One route for each run, one for each tour.", body = RoutesAnswer), ForCallers, ForBodies)
)]
pub async fn plan_routes(
    caller: Caller,
    _: NoQuery,
    request: HttpRequest,
    service: web::Data<AppState>,
    body: Body<Json>,
) -> Result<HttpResponse, Problem> {
    gives_json(&request)?;
    let Body { bytes, share: _held, .. } = body;
    let turn = service.engine_pool.turn(caller.identity, bytes.len());
    let asked = turn.run(move |_| CONTRACT.read(&bytes)).await??;
    // The built-in sheet is in the program: what is priced with it needs no database.
    let workbook = if is_built_in(asked.rate_sheet.as_ref()) {
        turn.built_in(&service.built_in).await?
    } else {
        sheet_asked_for(&service, &turn, caller, asked.rate_sheet.as_ref()).await?.1
    };
    let limit = service.answer_limit;
    let planned =
        turn.run_within(move |engine, work| limit.written(&engine.routes_within(&asked, &workbook, work)??, work));
    let answer = planned.await??;
    Ok(not_kept(answer))
}
