//! `/v1/estimates/{id}/replay`: an estimate worked out again from what was kept of it.

use actix_web::{HttpRequest, HttpResponse, web};
use engine::estimate::RateSheetUsed;
use engine::estimate::replay::{Outcome, Replay, ReplayFault, ReplayInput};
use engine::rate_sheet::Workbook;
use engine::work::WorkBudget;
use engine::{Engine, Stamp};
use store::StoredEntry;
use utoipa::OpenApi;

use super::calculation::not_kept;
use super::estimates::{find_estimate, media_type_of, read_request};
use super::resource::Resource;
use crate::caller::Caller;
use crate::engine_pool::SheetVersion;
use crate::negotiation::gives_json;
use crate::outgoing::AnswerLimit;
use crate::problem::{ForCallers, ForReaders, Kind, Problem};
use crate::query::NoQuery;
use crate::state::AppState;

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: ReplayOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(replay_estimate))]
struct ReplayOperations;

fn configure(config: &mut web::ServiceConfig) {
    config.service(web::resource("/v1/estimates/{id}/replay").route(web::post().to(replay_estimate)));
}

/// Work an estimate out again
///
/// From the request that was kept, with the version of the rate sheet that was used: says whether it still comes out the
/// same to the byte, and if not, why and where. Nothing is kept of it.
#[utoipa::path(
    post, path = "/v1/estimates/{id}/replay", tag = "estimates", operation_id = "replay_estimate",
    params(("id" = Uuid, Path, description = "The estimate's `id`.", example = "0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d")),
    responses(
        (status = 200, description = "What came out this time, held against what was given.", body = Replay),
        ForCallers, ForReaders
    )
)]
pub async fn replay_estimate(
    caller: Caller,
    _: NoQuery,
    request: HttpRequest,
    path: web::Path<String>,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    gives_json(&request)?;
    let entry = find_estimate(&service, caller, &path).await?;
    let version = u32::try_from(entry.rate_sheet_version).map_err(Problem::internal)?;
    let sheet =
        SheetVersion { firm: caller.firm, name: entry.rate_sheet_name.clone(), version: entry.rate_sheet_version };
    let turn = service.engine_pool.turn(caller.identity, entry.request.len());
    let workbook = match turn.workbook(&service.store, &sheet).await {
        Ok(Some(workbook)) => Ok(workbook),
        Ok(None) => Err(ReplayFault::no_rate_sheet(&sheet.name, version)),
        Err(problem) if problem.kind() == Kind::Invalid => {
            let used = RateSheetUsed { name: sheet.name, version, note: String::new() };
            Err(ReplayFault::incomplete_rate_sheet(&used, problem.detail()))
        }
        Err(problem) => return Err(problem),
    };
    let limit = service.answer_limit;
    let replayed = move |engine: &Engine, work: &WorkBudget| {
        let given = entry.response.unpacked().map_err(Problem::internal)?;
        let outcome = workbook.and_then(|workbook| again((engine, work), &entry, &workbook));
        limit.written(&held_against(&entry, &given, version, outcome), work)
    };
    let answer = turn.run_within(replayed).await??;
    Ok(not_kept(answer))
}

/// The estimate once more, under the stamp that it had.
fn again((engine, work): (&Engine, &WorkBudget), entry: &StoredEntry, workbook: &Workbook) -> Outcome {
    let media_type = media_type_of(entry);
    let request =
        read_request(engine, media_type, &entry.request).map_err(|problem| ReplayFault::request(problem.detail()))?;
    let stamp = Stamp { id: entry.id.to_string(), created_at: entry.id.created_at().to_string() };
    let estimate = engine
        .estimate_within(&request, workbook, stamp, work)
        .map_err(|stopped| ReplayFault::request(&stopped.to_string()))?;
    // What was given once is never too large to be made again.
    AnswerLimit(usize::MAX).written(&estimate, work).map_err(|problem| ReplayFault::request(problem.detail()))
}

/// The document that was given, held against what came out.
fn held_against(entry: &StoredEntry, document: &[u8], version: u32, outcome: Outcome) -> Replay {
    let given = ReplayInput {
        id: &entry.id.to_string(),
        document,
        engine_version: &entry.engine_version,
        ruleset: &entry.ruleset,
        rate_sheet: &entry.rate_sheet_name,
        rate_sheet_version: version,
    };
    Replay::of(given, outcome)
}
