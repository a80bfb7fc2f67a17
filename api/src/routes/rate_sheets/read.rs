//! Listing and reading rate sheets and their versions.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use engine::rate_sheet::RateSheet;
use store::RateSheetVersion;

use super::entry::{RateSheetEntry, find, fit_name};
use crate::body::MediaType;
use crate::built_in;
use crate::caller::Caller;
use crate::negotiation::gives_json;
use crate::problem::{ForCallers, ForReaders, Problem};
use crate::query::{NoQuery, Page, Paging, wrong_cursor};
use crate::routes::conditional::unless_known;
use crate::state::AppState;

const SHEETS: &str = "rate-sheets";

/// List your rate sheets
///
/// By name, each at its newest version.
#[utoipa::path(
    get, path = "/v1/rate-sheets", tag = "rate sheets", operation_id = "list_rate_sheets",
    params(Paging),
    responses((status = 200, description = "A page of rate sheets.", body = Page<RateSheetEntry>), ForCallers)
)]
pub async fn list_rate_sheets(
    caller: Caller,
    paging: Paging,
    request: HttpRequest,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    gives_json(&request)?;
    let after = paging.after(SHEETS)?;
    let mut page = service.store.list_rate_sheets(caller.firm, paging.limit, after.as_deref()).await?;
    if let Some(standard) = page.items.iter_mut().find(|sheet| sheet.name == built_in::NAME) {
        *standard = service.built_in.kept(&service.store, caller.firm).await?;
    }
    Ok(Paging::page::<_, RateSheetEntry>(SHEETS, page, |sheet| sheet.name.clone()))
}

/// Read a rate sheet
///
/// Its newest version; `Content-Location` says which.
#[utoipa::path(
    get, path = "/v1/rate-sheets/{name}", tag = "rate sheets", operation_id = "read_rate_sheet",
    params(
        ("name" = String, Path, description = "The sheet's name.", example = "standard"),
        ("If-None-Match" = Option<String>, Header, description = "`ETag` of the version that you have.", nullable = false)
    ),
    responses(
        (status = 200, description = "The sheet.", body = RateSheet,
         headers(("ETag" = String, description = "Digest of the document."),
                 ("Content-Location" = String, description = "The version's own address."))),
        (status = 304, description = "You have it already."),
        ForCallers, ForReaders
    )
)]
pub async fn read_rate_sheet(
    caller: Caller,
    _: NoQuery,
    request: HttpRequest,
    path: web::Path<String>,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    gives_json(&request)?;
    let found = find(&service, caller, &path, None).await?;
    Ok(document(&request, found, "private, no-cache"))
}

/// List the versions of a rate sheet
///
/// The newest first.
#[utoipa::path(
    get, path = "/v1/rate-sheets/{name}/versions", tag = "rate sheets", operation_id = "list_rate_sheet_versions",
    params(("name" = String, Path, description = "The sheet's name.", example = "standard"), Paging),
    responses(
        (status = 200, description = "A page of versions.", body = Page<RateSheetEntry>),
        ForCallers, ForReaders
    )
)]
pub async fn list_rate_sheet_versions(
    caller: Caller,
    paging: Paging,
    request: HttpRequest,
    path: web::Path<String>,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    gives_json(&request)?;
    let name = fit_name(&path)?;
    let list = format!("{SHEETS}/{name}");
    let after = paging.after(&list)?.map(|key| key.parse().map_err(|_| wrong_cursor())).transpose()?;
    let page = service.store.list_rate_sheet_versions(caller.firm, name, paging.limit, after).await?;
    if page.items.is_empty() && after.is_none() {
        return Err(Problem::not_found("rate sheet"));
    }
    Ok(Paging::page::<_, RateSheetEntry>(&list, page, |sheet| sheet.version.to_string()))
}

/// Read a version of a rate sheet
///
/// It never changes, and may be kept for good.
#[utoipa::path(
    get, path = "/v1/rate-sheets/{name}/versions/{version}", tag = "rate sheets", operation_id = "read_rate_sheet_version",
    params(
        ("name" = String, Path, description = "The sheet's name.", example = "standard"),
        ("version" = i32, Path, description = "The version, from 1.", minimum = 1, example = 1),
        ("If-None-Match" = Option<String>, Header, description = "`ETag` of the version that you have.", nullable = false)
    ),
    responses(
        (status = 200, description = "The version.", body = RateSheet,
         headers(("ETag" = String, description = "Digest of the document."),
                 ("Content-Location" = String, description = "The version's own address."))),
        (status = 304, description = "You have it already."),
        ForCallers, ForReaders
    )
)]
pub async fn read_rate_sheet_version(
    caller: Caller,
    _: NoQuery,
    request: HttpRequest,
    path: web::Path<(String, String)>,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    gives_json(&request)?;
    let (name, version) = path.into_inner();
    let version: i32 = version.parse().map_err(|_| Problem::not_found("version of a rate sheet"))?;
    let found = find(&service, caller, &name, Some(version)).await?;
    Ok(document(&request, found, "private, max-age=31536000, immutable"))
}

/// The document to the byte, as it was kept.
fn document(request: &HttpRequest, found: RateSheetVersion, keep: &'static str) -> HttpResponse {
    let RateSheetVersion { summary, content } = found;
    unless_known(request, &summary.digest, content, |response| {
        response
            .content_type(MediaType::Json.as_str())
            .insert_header((header::CACHE_CONTROL, keep))
            .insert_header((header::VARY, "Authorization"))
            .insert_header((
                header::CONTENT_LOCATION,
                format!("/v1/rate-sheets/{}/versions/{}", summary.name, summary.version),
            ));
    })
}
