//! `/v1/rate-sheets`: a firm's prices and labour units, by name and version. A version never changes.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use engine::rate_sheet::RateSheet;
use serde::Serialize;
use store::{RateSheetSummary, RateSheetVersion};
use utoipa::ToSchema;

use super::conditional::unless_known;
use crate::app::Service;
use crate::body::MediaType;
use crate::caller::Caller;
use crate::negotiation::chosen;
use crate::problem::{ForCallers, ForReaders, Problem};
use crate::query::{NoQuery, Page, Paging, cursor, wrong_cursor};

/// The addresses.
pub fn addresses(config: &mut web::ServiceConfig) {
    config
        .service(
            web::resource("/v1/rate-sheets")
                .route(web::get().to(list_rate_sheets))
                .route(web::head().to(list_rate_sheets)),
        )
        .service(
            web::resource("/v1/rate-sheets/{name}")
                .route(web::get().to(read_rate_sheet))
                .route(web::head().to(read_rate_sheet)),
        )
        .service(
            web::resource("/v1/rate-sheets/{name}/versions")
                .route(web::get().to(list_rate_sheet_versions))
                .route(web::head().to(list_rate_sheet_versions)),
        )
        .service(
            web::resource("/v1/rate-sheets/{name}/versions/{version}")
                .route(web::get().to(read_rate_sheet_version))
                .route(web::head().to(read_rate_sheet_version)),
        );
}

/// What is known of a version of a rate sheet without its rows.
#[derive(Debug, Serialize, ToSchema)]
pub struct RateSheetEntry {
    /// The sheet's name.
    #[schema(example = "standard")]
    pub name: String,
    /// The version, from 1.
    #[schema(minimum = 1, example = 1)]
    pub version: i32,
    /// ISO 4217.
    #[schema(example = "GBP")]
    pub currency: String,
    /// SHA-256 of the document: its `ETag`, without the quotes.
    #[schema(pattern = "^[0-9a-f]{64}$")]
    pub digest: String,
    /// Whether the figures are invented demonstration data.
    pub invented: bool,
    /// What a reader should know of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub notes: Option<String>,
    /// When it was kept: RFC 3339, UTC.
    #[schema(format = "date-time", example = "2026-11-25T10:00:00Z")]
    pub created_at: String,
}

impl From<RateSheetSummary> for RateSheetEntry {
    fn from(summary: RateSheetSummary) -> Self {
        Self {
            name: summary.name,
            version: summary.version,
            currency: summary.currency,
            digest: summary.digest.to_string(),
            invented: summary.invented,
            notes: summary.notes,
            created_at: summary.created_at.to_string(),
        }
    }
}

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
    service: web::Data<Service>,
) -> Result<HttpResponse, Problem> {
    chosen(request.headers(), &[(MediaType::Json.as_str(), ())])?;
    let after = paging.after(SHEETS)?;
    let page = service.store.list_rate_sheets(caller.firm, paging.limit, after.as_deref()).await?;
    let last = page.items.last().filter(|_| page.more).map(|sheet| cursor(SHEETS, &sheet.name));
    Ok(listed(page.items, last))
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
    service: web::Data<Service>,
) -> Result<HttpResponse, Problem> {
    chosen(request.headers(), &[(MediaType::Json.as_str(), ())])?;
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
    service: web::Data<Service>,
) -> Result<HttpResponse, Problem> {
    chosen(request.headers(), &[(MediaType::Json.as_str(), ())])?;
    let name = fit_name(&path)?;
    let list = format!("{SHEETS}/{name}");
    let after = paging.after(&list)?.map(|key| key.parse().map_err(|_| wrong_cursor())).transpose()?;
    let page = service.store.list_rate_sheet_versions(caller.firm, name, paging.limit, after).await?;
    if page.items.is_empty() && after.is_none() {
        return Err(Problem::not_found("rate sheet"));
    }
    let last = page.items.last().filter(|_| page.more).map(|sheet| cursor(&list, &sheet.version.to_string()));
    Ok(listed(page.items, last))
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
    service: web::Data<Service>,
) -> Result<HttpResponse, Problem> {
    chosen(request.headers(), &[(MediaType::Json.as_str(), ())])?;
    let (name, version) = path.into_inner();
    let version: i32 = version.parse().map_err(|_| Problem::not_found("version of a rate sheet"))?;
    let found = find(&service, caller, &name, Some(version)).await?;
    Ok(document(&request, found, "private, max-age=31536000, immutable"))
}

async fn find(
    service: &Service,
    caller: Caller,
    name: &str,
    version: Option<i32>,
) -> Result<RateSheetVersion, Problem> {
    let what = if version.is_some() { "version of a rate sheet" } else { "rate sheet" };
    let found = service.store.find_rate_sheet(caller.firm, fit_name(name)?, version).await?;
    found.ok_or_else(|| Problem::not_found(what))
}

/// A name that no sheet can have is not looked up: the database's texts cannot even hold some of them.
fn fit_name(name: &str) -> Result<&str, Problem> {
    let fit = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    let is_fit = (1..=engine::limits::IDENTIFIER_CHARACTERS_MAX).contains(&name.len()) && name.bytes().all(fit);
    if is_fit { Ok(name) } else { Err(Problem::not_found("rate sheet")) }
}

fn listed(items: Vec<RateSheetSummary>, next_cursor: Option<String>) -> HttpResponse {
    let items = items.into_iter().map(RateSheetEntry::from).collect();
    HttpResponse::Ok().insert_header((header::CACHE_CONTROL, "no-store")).json(Page { items, next_cursor })
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
