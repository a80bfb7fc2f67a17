//! `/v1/estimates/{id}/quotation`: a kept estimate as an offer that a client can read.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use documents::quotation::Offered;
use utoipa::OpenApi;

use super::estimates::{find_estimate, read_kept};
use super::firm::{client_of, details_of};
use super::resource::Resource;
use crate::caller::Caller;
use crate::negotiation::chosen;
use crate::problem::{ForCallers, ForReaders, Kind, Problem};
use crate::query::QuotationDetail;
use crate::state::AppState;

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: QuotationOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(read_quotation))]
struct QuotationOperations;

fn configure(config: &mut web::ServiceConfig) {
    config.service(
        web::resource("/v1/estimates/{id}/quotation")
            .route(web::get().to(read_quotation))
            .route(web::head().to(read_quotation)),
    );
}

const HTML: &str = "text/html";

/// Read the quotation of an estimate
///
/// The estimate as an offer to a client, at selling prices: what it costs, what is done, what is not in it, what could change it,
/// when it is paid, certificates, and the notice of the right to cancel. A page for A4 that needs nothing beside itself.
///
/// It is headed *Budget price* while a stop is open that money hangs on or the range is wide, *Estimate* while a question could
/// still move it, and *Quotation* where neither is so. All three depths show the same total. The firm's own name, colours and
/// terms come from `PUT /v1/firm`, the client's from `PUT /v1/estimates/{id}/client`; without them there are blanks.
#[utoipa::path(
    get, path = "/v1/estimates/{id}/quotation", tag = "estimates", operation_id = "read_quotation",
    params(
        ("id" = Uuid, Path, description = "The estimate's `id`.", example = "0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d"),
        QuotationDetail
    ),
    responses(
        (status = 200, description = "The quotation.", body = String, content_type = "text/html"),
        ForCallers, ForReaders
    )
)]
pub async fn read_quotation(
    caller: Caller,
    asked: QuotationDetail,
    request: HttpRequest,
    path: web::Path<String>,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    chosen(&request, &[(HTML, ())])?;
    let entry = find_estimate(&service, caller, &path).await?;
    let firm = details_of(&service, caller).await?.unwrap_or_default();
    let client = client_of(&service, caller, entry.id).await?.unwrap_or_default();
    let response = entry.response;
    let turn = service.engine_pool.turn(caller.identity, response.unpacked_length());
    let limit = service.answer_limit;
    let made = turn.run(move |_| {
        let estimate = read_kept(&response)?;
        let offered = Offered { estimate: &estimate, firm: &firm, client: &client, detail: asked.detail };
        limit.kept_by(offered.html().map_err(|fault| not_printable(&fault.detail))?)
    });
    Ok(HttpResponse::Ok()
        .content_type("text/html; charset=utf-8")
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .insert_header((header::VARY, "Accept"))
        // Names come from outside: nothing on the page may run or load.
        .insert_header((
            header::CONTENT_SECURITY_POLICY,
            "default-src 'none'; style-src 'unsafe-inline'; img-src data:",
        ))
        .body(made.await??))
}

/// The firm's mark was looked at when it came; one that still does not print is the firm's to change.
fn not_printable(detail: &str) -> Problem {
    Problem::new(Kind::Conflict, format!("the firm's `logo` cannot be printed: {detail}; change it by PUT /v1/firm"))
}
