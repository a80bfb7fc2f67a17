//! `/v1/rate-sheet-differences`: two versions of rate sheets, row by row, and as money on a survey.

use std::sync::{Arc, LazyLock};

use actix_web::{HttpResponse, web};
use engine::document::Contract;
use engine::estimate::difference::{EstimateDifference, between};
use engine::faults::{Fault, FaultCode};
use engine::rate_sheet::Workbook;
use engine::rate_sheet::difference::{SheetChange, difference};
use engine::survey::{EstimateRequest, Method, RateSheetReference, Survey, Terms};
use engine::work::WorkBudget;
use engine::{Engine, Stamp};
use serde::{Deserialize, Serialize};
use utoipa::{OpenApi, ToSchema};

use super::calculation::not_kept;
use super::resource::Resource;
use super::sheet_choice::{built_in_as_kept, is_built_in};
use crate::body::{Body, Json};
use crate::caller::Caller;
use crate::engine_pool::{SheetVersion, Turn};
use crate::negotiation::GivesJson;
use crate::problem::{ForBodies, ForCallers, Problem};
use crate::query::NoQuery;
use crate::state::AppState;

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: RateSheetDifferencesOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(compare_rate_sheets))]
struct RateSheetDifferencesOperations;

fn configure(config: &mut web::ServiceConfig) {
    config.service(web::resource("/v1/rate-sheet-differences").route(web::post().to(compare_rate_sheets)));
}

/// Two versions of rate sheets, and a survey to see their difference on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RateSheetsToCompare {
    /// The one before; its newest version if none is named.
    pub before: RateSheetReference,
    /// The one after; its newest version if none is named.
    pub after: RateSheetReference,
    /// A survey that is priced with both.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub survey: Option<Survey>,
    /// How it is priced; `measured` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub method: Option<Method>,
    /// Tax and confidence.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terms: Option<Terms>,
}

/// Where two versions of rate sheets differ.
#[derive(Debug, Serialize, ToSchema)]
pub struct RateSheetDifference {
    /// The one before.
    pub before: RateSheetCompared,
    /// The one after.
    pub after: RateSheetCompared,
    /// The changes, section by section, by key.
    pub changes: Vec<SheetChange>,
    /// How many there are; more than are listed where there are very many.
    pub changes_total: usize,
    /// What the difference comes to on the survey; absent where none was sent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub on_survey: Option<EstimateDifference>,
}

/// A version of a rate sheet that is compared.
#[derive(Debug, Serialize, ToSchema)]
pub struct RateSheetCompared {
    /// Its name.
    #[schema(example = "standard")]
    pub name: String,
    /// Its version.
    #[schema(example = 1)]
    pub version: u32,
}

static CONTRACT: LazyLock<Contract<RateSheetsToCompare>> = LazyLock::new(Contract::new);

/// Compare two rate sheets
///
/// Or two versions of one: row by row and column by column, and with a `survey` as money, line by line.
#[utoipa::path(
    post, path = "/v1/rate-sheet-differences", tag = "rate sheets", operation_id = "compare_rate_sheets",
    request_body(
        description = "Two versions of rate sheets, and a survey if wanted. At most 1 MiB.",
        content((RateSheetsToCompare = "application/json",
            examples(("versions" = (summary = "A version against itself: nothing has changed",
                value = json!({ "before": { "name": "standard", "version": 1 }, "after": { "name": "standard" } }))))))
    ),
    responses((status = 200, description = "Where they differ.", body = RateSheetDifference), ForCallers, ForBodies)
)]
pub async fn compare_rate_sheets(
    caller: Caller,
    _: NoQuery,
    _: GivesJson,
    service: web::Data<AppState>,
    body: Body<Json>,
) -> Result<HttpResponse, Problem> {
    let Body { bytes, share: _held, .. } = body;
    let turn = service.engine_pool.turn(caller.identity, bytes.len());
    let asked = turn.run(move |engine| read(engine, &bytes)).await??;
    let before = workbook(&service, &turn, caller, &asked.before, "/before").await?;
    let after = workbook(&service, &turn, caller, &asked.after, "/after").await?;
    let limit = service.answer_limit;
    let compared = move |engine: &Engine, work: &WorkBudget| {
        limit.written(&compared((engine, work), asked, &before, &after)?, work)
    };
    let answer = turn.run_within(compared).await??;
    Ok(not_kept(answer))
}

fn read(engine: &Engine, bytes: &[u8]) -> Result<RateSheetsToCompare, Problem> {
    let asked = CONTRACT.read(bytes)?;
    let mut faults = Vec::new();
    if asked.survey.is_none() {
        let unused = [("/method", asked.method.is_some()), ("/terms", asked.terms.is_some())];
        faults.extend(unused.into_iter().filter(|(_, given)| *given).map(|(pointer, _)| {
            let detail = "it says how a survey is priced, and there is no `survey`; add one or leave this out";
            Fault::new(pointer, FaultCode::Contradiction, detail)
        }));
    }
    if let Some(request) = request(&asked) {
        faults.extend(engine.rule_faults(&request));
    }
    if faults.is_empty() { Ok(asked) } else { Err(faults.into()) }
}

fn request(asked: &RateSheetsToCompare) -> Option<EstimateRequest> {
    let survey = asked.survey.clone()?;
    Some(EstimateRequest { survey, rate_sheet: None, method: asked.method, terms: asked.terms.clone() })
}

/// The version that is asked for, or the newest, whenever it is in effect.
async fn workbook(
    service: &AppState,
    turn: &Turn<'_>,
    caller: Caller,
    asked: &RateSheetReference,
    pointer: &str,
) -> Result<Arc<Workbook>, Problem> {
    if is_built_in(Some(asked)) {
        return Ok(built_in_as_kept(service, turn, caller).await?.1);
    }
    let version = match asked.version {
        Some(version) => i32::try_from(version).ok(),
        None => {
            let newest = service.store.list_rate_sheet_versions(caller.firm, &asked.name, 1, None).await?;
            newest.items.first().map(|summary| summary.version)
        }
    };
    let found = match version {
        Some(version) => {
            let sheet = SheetVersion { firm: caller.firm, name: asked.name.clone(), version };
            turn.workbook(&service.store, &sheet).await?
        }
        None => None,
    };
    found.ok_or_else(|| {
        let detail = format!("there is no such version of `{}`; GET /v1/rate-sheets lists yours", asked.name);
        vec![Fault::new(pointer, FaultCode::UnknownReference, detail)].into()
    })
}

/// Both prices of a survey are of one answer, and share what it may take.
fn compared(
    (engine, work): (&Engine, &WorkBudget),
    asked: RateSheetsToCompare,
    before: &Workbook,
    after: &Workbook,
) -> Result<RateSheetDifference, Problem> {
    let on_survey = match request(&asked) {
        Some(request) => {
            let price = |workbook| {
                let faults = engine.faults_on(&request, workbook);
                let stamp = Stamp { id: String::new(), created_at: String::new() };
                if !faults.is_empty() {
                    return Err(Problem::from(faults));
                }
                Ok(engine.estimate_within(&request, workbook, stamp, work)?)
            };
            Some(between(&price(before)?, &price(after)?))
        }
        None => None,
    };
    let sheets = difference(&before.sheet, &after.sheet);
    let told = |workbook: &Workbook| RateSheetCompared { name: workbook.sheet.name.clone(), version: workbook.version };
    Ok(RateSheetDifference {
        before: told(before),
        after: told(after),
        changes: sheets.changes,
        changes_total: sheets.changes_total,
        on_survey,
    })
}
