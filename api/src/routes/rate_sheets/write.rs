//! Making a rate sheet, and its next version. The name keeps a request that is sent twice from being done twice.

use std::sync::LazyLock;

use actix_web::{HttpResponse, web};
use engine::Engine;
use engine::document::Contract;
use engine::faults::{Fault, FaultCode};
use engine::rate_sheet::RateSheet;
use engine::survey::RateSheetReference;
use serde::{Deserialize, Serialize};
use store::{Digest, Expected, Kept};
use utoipa::ToSchema;

use super::entry::{RateSheetEntry, find, made, otherwise, to_keep, written};
use crate::body::{Body, SheetJson};
use crate::built_in::refuse_to_write;
use crate::caller::Caller;
use crate::engine_pool::Turn;
use crate::negotiation::GivesJson;
use crate::problem::{ForBodies, ForCallers, ForStored, ForWriters, Kind, Problem};
use crate::query::NoQuery;
use crate::routes::conditional::Precondition;
use crate::state::AppState;

/// A rate sheet to be made: a copy of one that is there, or a whole one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RateSheetToMake {
    /// Its name.
    #[schema(min_length = 1, max_length = 64, pattern = "^[a-z0-9][a-z0-9-]*$", example = "ours")]
    pub name: String,
    /// The sheet that it is a copy of; the newest version if none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub copy_of: Option<RateSheetReference>,
    /// What the copy says of itself; what the original says if left out.
    #[schema(max_length = 500)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The whole sheet, under the same name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheet: Option<RateSheet>,
}

static CONTRACT: LazyLock<Contract<RateSheetToMake>> = LazyLock::new(Contract::new);

/// Make a rate sheet
///
/// As a copy of another (`copy_of`), or whole (`sheet`). The name is what keeps a request from being done twice: sent again,
/// it is answered as before, and another sheet under the same name is refused.
#[utoipa::path(
    post, path = "/v1/rate-sheets", tag = "rate sheets", operation_id = "create_rate_sheet",
    request_body(
        description = "A rate sheet to be made. At most 4 MiB.",
        content((RateSheetToMake = "application/json",
            examples(("copy" = (summary = "A sheet of your own to begin with",
                value = json!({ "name": "ours", "copy_of": { "name": "standard" }, "note": "Our rates, still to be entered." }))))))
    ),
    responses(
        (status = 201, description = "The sheet is there.", body = RateSheetEntry,
         headers(("Location" = String, description = "The sheet."), ("ETag" = String, description = "Digest of the document."))),
        ForCallers, ForBodies, ForStored
    )
)]
pub async fn create_rate_sheet(
    caller: Caller,
    _: NoQuery,
    _: GivesJson,
    service: web::Data<AppState>,
    body: Body<SheetJson>,
) -> Result<HttpResponse, Problem> {
    let turn = service.engine_pool.turn(caller.identity, body.bytes.len());
    let asked = turn.run(move |engine| read(engine, &body.bytes)).await??;
    refuse_to_write(&asked.name)?;
    let sheet = match (asked.copy_of, asked.sheet) {
        (Some(original), None) => copy(&service, &turn, caller, &original, (asked.name, asked.note)).await?,
        (_, Some(sheet)) => sheet,
        // The reader has refused it.
        (None, None) => return Err(Problem::internal("a rate sheet to be made of nothing")),
    };
    let content = serde_json::to_vec(&sheet).map_err(Problem::internal)?;
    match service.store.keep_rate_sheet(caller.firm, &to_keep(&sheet, &content), Expected::Nothing).await? {
        Kept::New(summary) | Kept::Same(summary) => Ok(made(summary)),
        Kept::Otherwise(_) => made_before(&service, caller, &sheet.name, &content).await,
    }
}

fn read(engine: &Engine, bytes: &[u8]) -> Result<RateSheetToMake, Problem> {
    let asked = CONTRACT.read(bytes)?;
    let mut faults = Vec::new();
    let mut fault = |pointer: &str, code, detail: &str| faults.push(Fault::new(pointer, code, detail));
    match (&asked.copy_of, &asked.sheet) {
        (None, None) => {
            fault("/copy_of", FaultCode::MissingField, "there is neither `copy_of` nor `sheet`; give one of them");
        }
        (Some(_), Some(_)) => {
            fault("/sheet", FaultCode::Contradiction, "`copy_of` and `sheet` cannot both hold; give one of them");
        }
        (None, Some(sheet)) => {
            if sheet.name != asked.name {
                fault("/sheet/name", FaultCode::Contradiction, "it differs from `name`; give the same name in both");
            }
            if asked.note.is_some() {
                fault("/note", FaultCode::Contradiction, "a whole sheet has its own `note`; leave this one out");
            }
            let inner = engine.rate_sheet_faults(sheet).into_iter();
            faults.extend(inner.map(|fault| Fault { pointer: format!("/sheet{}", fault.pointer), ..fault }));
        }
        (Some(_), None) => {
            if asked.note.as_deref().is_some_and(|note| note.chars().any(char::is_control)) {
                fault("/note", FaultCode::WrongForm, "it holds a line end or another control character; take it out");
            }
        }
    }
    if faults.is_empty() { Ok(asked) } else { Err(faults.into()) }
}

/// A copy under another name. When it is in effect is the copy's own business.
async fn copy(
    service: &AppState,
    turn: &Turn<'_>,
    caller: Caller,
    original: &RateSheetReference,
    (name, note): (String, Option<String>),
) -> Result<RateSheet, Problem> {
    let version = original.version.map(|version| i32::try_from(version).unwrap_or(i32::MAX));
    let found = find(service, caller, &original.name, version).await.map_err(|problem| match problem.kind() {
        Kind::NotFound => vec![Fault::new("/copy_of", FaultCode::UnknownReference, problem.detail())].into(),
        _ => problem,
    })?;
    let invented = found.summary.invented;
    let read = turn.run(move |engine| engine.read_rate_sheet(&found.content).map_err(Problem::internal));
    let original = read.await??;
    Ok(RateSheet {
        name,
        note: note.unwrap_or(original.note),
        invented: original.invented || invented,
        effective_from: None,
        effective_until: None,
        ..original
    })
}

/// The same request once more: where the first version is what it asks for, that is the answer.
async fn made_before(service: &AppState, caller: Caller, name: &str, content: &[u8]) -> Result<HttpResponse, Problem> {
    let first = find(service, caller, name, Some(1)).await?;
    if first.summary.digest == Digest::of(content) {
        return Ok(made(first.summary));
    }
    let detail = format!(
        "there is a rate sheet `{name}` already, and it is another: choose another name, or PUT /v1/rate-sheets/{name} with \
         its `ETag` in `If-Match`"
    );
    Err(Problem::new(Kind::AlreadyThere, detail))
}

/// Write the next version of a rate sheet
///
/// The document is kept to the byte, under the digest that is its `ETag`. `If-Match` says which version it is written over;
/// `If-None-Match: *` makes a new sheet. Where the newest version is this very document, nothing happens.
#[utoipa::path(
    put, path = "/v1/rate-sheets/{name}", tag = "rate sheets", operation_id = "write_rate_sheet",
    params(
        ("name" = String, Path, description = "The sheet's name.", example = "ours"),
        ("If-Match" = Option<String>, Header, description = "`ETag` of the version that is written over.", nullable = false),
        ("If-None-Match" = Option<String>, Header, description = "`*` to make a new sheet.", nullable = false)
    ),
    request_body(description = "The whole sheet. At most 4 MiB.", content((RateSheet = "application/json"))),
    responses(
        (status = 200, description = "It is the newest version.", body = RateSheetEntry,
         headers(("ETag" = String, description = "Digest of the document."))),
        (status = 201, description = "The sheet is there.", body = RateSheetEntry,
         headers(("Location" = String, description = "The sheet."), ("ETag" = String, description = "Digest of the document."))),
        ForCallers, ForBodies, ForWriters
    )
)]
pub async fn write_rate_sheet(
    caller: Caller,
    _: (NoQuery, GivesJson),
    precondition: Precondition,
    path: web::Path<String>,
    service: web::Data<AppState>,
    body: Body<SheetJson>,
) -> Result<HttpResponse, Problem> {
    refuse_to_write(&path)?;
    let content = body.bytes.clone();
    let turn = service.engine_pool.turn(caller.identity, body.bytes.len());
    let sheet = turn.run(move |engine| engine.accept_rate_sheet(&content)).await??;
    if sheet.name != *path {
        let detail = "it differs from the name in the address; give the same name in both";
        return Err(vec![Fault::new("/name", FaultCode::Contradiction, detail)].into());
    }
    match service.store.keep_rate_sheet(caller.firm, &to_keep(&sheet, &body.bytes), precondition.expected()).await? {
        Kept::New(summary) if summary.version == 1 => Ok(made(summary)),
        Kept::New(summary) | Kept::Same(summary) => Ok(written(HttpResponse::Ok(), summary)),
        Kept::Otherwise(newest) => Err(otherwise(&sheet.name, newest.as_ref())),
    }
}
