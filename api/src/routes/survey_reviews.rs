//! `/v1/survey-reviews`: a survey in, what it lacks and what that is worth out. Nothing is kept, and nothing is read from
//! the database: a review is priced with the built-in rate sheet.

use std::sync::{Arc, LazyLock};

use actix_web::{HttpRequest, HttpResponse, web};
use engine::Engine;
use engine::document::Contract;
use engine::estimate::{SurveyReview, SurveyReviewRequest};
use engine::work::WorkBudget;
use utoipa::OpenApi;

use super::calculation::{Compiled, not_kept};
use super::resource::Resource;
use crate::body::{Body, Json};
use crate::built_in::BuiltIn;
use crate::caller::Caller;
use crate::negotiation::gives_json;
use crate::outgoing::AnswerLimit;
use crate::problem::{ForBodies, ForCallers, Problem};
use crate::query::NoQuery;
use crate::state::AppState;

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: SurveyReviewsOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(review_survey))]
struct SurveyReviewsOperations;

fn configure(config: &mut web::ServiceConfig) {
    config.service(web::resource("/v1/survey-reviews").route(web::post().to(review_survey)));
}

static CONTRACT: Compiled<SurveyReviewRequest> = LazyLock::new(Contract::new);

/// Look a survey over
///
/// What the survey lacks, by subject and by room; the questions worth asking, the dearest first, each with its answers,
/// their odds and the price under each; the risk flags; and what was taken where nothing was recorded. Quick enough to
/// follow a form as it is typed: rooms may be without points yet. Priced with the built-in rate sheet. Nothing is kept.
#[utoipa::path(
    post, path = "/v1/survey-reviews", tag = "estimates", operation_id = "review_survey",
    request_body = SurveyReviewRequest,
    responses((status = 200, description = "The review.", body = SurveyReview), ForCallers, ForBodies)
)]
pub async fn review_survey(
    caller: Caller,
    _: NoQuery,
    request: HttpRequest,
    service: web::Data<AppState>,
    body: Body<Json>,
) -> Result<HttpResponse, Problem> {
    gives_json(&request)?;
    let limit = service.answer_limit;
    let Body { bytes, share: _held, .. } = body;
    let turn = service.engine_pool.turn(caller.identity, bytes.len());
    let answer = turn.run_within({
        let built_in = Arc::clone(&service.built_in);
        move |engine, work| reviewed((engine, work), &built_in, &bytes, limit)
    });
    let answer = answer.await??;
    Ok(not_kept(answer))
}

fn reviewed(
    (engine, work): (&Engine, &WorkBudget),
    built_in: &BuiltIn,
    body: &web::Bytes,
    limit: AnswerLimit,
) -> Result<Vec<u8>, Problem> {
    let request = CONTRACT.read(body)?;
    let faults = engine.review_faults(&request);
    if !faults.is_empty() {
        return Err(faults.into());
    }
    limit.written(&engine.review_within(&request, &*built_in.workbook(engine)?, work)?, work)
}
