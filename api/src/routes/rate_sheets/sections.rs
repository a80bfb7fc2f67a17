//! A section of a rate sheet as CSV, for a spreadsheet.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use engine::Engine;
use engine::rate_sheet::RateSheet;
use engine::rate_sheet::sections::{Section, export};
use store::{Expected, Kept, RateSheetVersion};

use super::entry::{RateSheetEntry, find, otherwise, to_keep, written};
use crate::body::{Body, MediaType, SheetCsv};
use crate::built_in::refuse_to_write;
use crate::caller::Caller;
use crate::negotiation::{GivesJson, chosen};
use crate::problem::{ForBodies, ForCallers, ForReaders, ForWriters, Problem};
use crate::query::NoQuery;
use crate::routes::conditional::{Precondition, unless_known};
use crate::state::AppState;

/// Read a section of a rate sheet as CSV
///
/// Of the newest version. The columns are the fields of the document; the `ETag` is that of the whole version, because that
/// is what a section is written over.
#[utoipa::path(
    get, path = "/v1/rate-sheets/{name}/sections/{section}", tag = "rate sheets", operation_id = "read_rate_sheet_section",
    params(
        ("name" = String, Path, description = "The sheet's name.", example = "standard"),
        ("section" = Section, Path, description = "The section.", example = "materials"),
        ("If-None-Match" = Option<String>, Header, description = "`ETag` of the version that you have.", nullable = false)
    ),
    responses(
        (status = 200, description = "The section, a heading and a row each.", body = String, content_type = "text/csv",
         headers(("ETag" = String, description = "Digest of the version."),
                 ("Content-Location" = String, description = "The version's own address."))),
        (status = 304, description = "You have it already."),
        ForCallers, ForReaders
    )
)]
pub async fn read_rate_sheet_section(
    caller: Caller,
    _: NoQuery,
    request: HttpRequest,
    path: web::Path<(String, String)>,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    chosen(&request, &[(MediaType::Csv.as_str(), ())])?;
    let (name, section) = path.into_inner();
    let section = section_of(&section)?;
    let found = find(&service, caller, &name, None).await?;
    let (digest, version) = (found.summary.digest, found.summary.version);
    let turn = service.engine_pool.turn(caller.identity, found.content.len());
    let table = turn.run(move |engine| Ok::<_, Problem>(export(section, &sheet_of(engine, &found)?))).await??;
    Ok(unless_known(&request, &digest, table, |answer| {
        answer
            .content_type("text/csv; charset=utf-8; header=present")
            .insert_header((header::CACHE_CONTROL, "private, no-cache"))
            .insert_header((header::VARY, "Authorization"))
            .insert_header((header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}-{section}.csv\"")))
            .insert_header((header::CONTENT_LOCATION, format!("/v1/rate-sheets/{name}/versions/{version}")));
    }))
}

/// Write a section of a rate sheet as CSV
///
/// Makes the next version of the sheet, with this section in place of its own. A byte-order mark, semicolons or tabs,
/// blank lines, any line end, pound and percent signs are taken where the meaning is plain; every fault is told at once, by
/// row and column. Where nothing changes, there is no new version. The `ETag` is that of the newest version, for the next
/// `If-Match`; the table itself may be written otherwise than it was sent: read it again to have it.
#[utoipa::path(
    put, path = "/v1/rate-sheets/{name}/sections/{section}", tag = "rate sheets", operation_id = "write_rate_sheet_section",
    params(
        ("name" = String, Path, description = "The sheet's name.", example = "ours"),
        ("section" = Section, Path, description = "The section.", example = "materials"),
        ("If-Match" = Option<String>, Header, description = "`ETag` of the version that is written over.", nullable = false),
        ("If-None-Match" = Option<String>, Header,
         description = "Never holds: a section is written over one that is there.", nullable = false)
    ),
    request_body(description = "The section, with its heading. At most 4 MiB.", content((String = "text/csv"))),
    responses(
        (status = 200, description = "It is in the newest version.", body = RateSheetEntry,
         headers(("ETag" = String, description = "Digest of the newest version."))),
        ForCallers, ForBodies, ForWriters, ForReaders
    )
)]
pub async fn write_rate_sheet_section(
    caller: Caller,
    _: (NoQuery, GivesJson),
    precondition: Precondition,
    path: web::Path<(String, String)>,
    service: web::Data<AppState>,
    body: Body<SheetCsv>,
) -> Result<HttpResponse, Problem> {
    let (name, section) = path.into_inner();
    let section = section_of(&section)?;
    refuse_to_write(&name)?;
    let found = find(&service, caller, &name, None).await?;
    if !precondition.holds(Some(&found.summary.digest)) {
        return Err(otherwise(&name, Some(&found.summary)));
    }
    let newest = found.summary.clone();
    let turn = service.engine_pool.turn(caller.identity, body.bytes.len());
    let next = turn.run(move |engine| accept(engine, section, &found, &body.bytes)).await??;
    let Some(next) = next else { return Ok(written(HttpResponse::Ok(), newest)) };
    let expected = [newest.digest];
    let new = to_keep(&next.sheet, &next.content);
    match service.store.keep_rate_sheet(caller.firm, &new, Expected::Newest(&expected)).await? {
        Kept::New(summary) | Kept::Same(summary) => Ok(written(HttpResponse::Ok(), summary)),
        Kept::Otherwise(newest) => Err(otherwise(&name, newest.as_ref())),
    }
}

/// The next version of a sheet.
struct Next {
    sheet: RateSheet,
    content: Vec<u8>,
}

/// The sheet with the section as it was sent; none where nothing changes.
fn accept(engine: &Engine, section: Section, newest: &RateSheetVersion, table: &[u8]) -> Result<Option<Next>, Problem> {
    let before = sheet_of(engine, newest)?;
    let sheet = engine.accept_section(section, table, &before)?;
    if sheet == before {
        return Ok(None);
    }
    let content = serde_json::to_vec(&sheet).map_err(Problem::internal)?;
    Ok(Some(Next { sheet, content }))
}

/// The document of a version, read. What is kept was read before it was kept: where it cannot be read now, the service is
/// at fault.
fn sheet_of(engine: &Engine, version: &RateSheetVersion) -> Result<RateSheet, Problem> {
    let sheet = engine.read_rate_sheet(&version.content).map_err(Problem::internal)?;
    Ok(RateSheet { invented: sheet.invented || version.summary.invented, ..sheet })
}

fn section_of(word: &str) -> Result<Section, Problem> {
    Section::from_word(word).ok_or_else(|| Problem::not_found("section of a rate sheet"))
}
