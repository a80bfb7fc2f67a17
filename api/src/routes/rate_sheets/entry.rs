//! What is said of a version of a rate sheet, and what reading and writing have in common.

use actix_web::http::header;
use actix_web::{HttpResponse, HttpResponseBuilder};
use engine::rate_sheet::RateSheet;
use serde::Serialize;
use store::{NewRateSheet, RateSheetSummary, RateSheetVersion};
use utoipa::ToSchema;

use crate::built_in;
use crate::caller::Caller;
use crate::problem::{Kind, Problem};
use crate::routes::conditional;
use crate::state::AppState;

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
    /// The first day on which estimates that name no version may use it; absent where it is in effect at once.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, format = "date", example = "2027-01-04")]
    pub effective_from: Option<String>,
    /// The last such day; absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, format = "date", example = "2027-12-31")]
    pub effective_until: Option<String>,
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
            effective_from: summary.effective_from.map(|day| day.to_string()),
            effective_until: summary.effective_until.map(|day| day.to_string()),
        }
    }
}

/// A version of a sheet of the caller's firm: the one asked for, or the newest; of `standard` the built-in one.
pub(super) async fn find(
    service: &AppState,
    caller: Caller,
    name: &str,
    version: Option<i32>,
) -> Result<RateSheetVersion, Problem> {
    if name == built_in::NAME && version.is_none() {
        let summary = service.built_in.kept(&service.store, caller.firm).await?;
        return Ok(RateSheetVersion { summary, content: service.built_in.content.clone() });
    }
    let what = if version.is_some() { "version of a rate sheet" } else { "rate sheet" };
    let found = service.store.find_rate_sheet(caller.firm, fit_name(name)?, version).await?;
    found.ok_or_else(|| Problem::not_found(what))
}

/// A name that no sheet can have is not looked up: the database's texts cannot even hold some of them.
pub(super) fn fit_name(name: &str) -> Result<&str, Problem> {
    let fit = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    let is_fit = (1..=engine::limits::IDENTIFIER_CHARACTERS_MAX).contains(&name.len()) && name.bytes().all(fit);
    if is_fit { Ok(name) } else { Err(Problem::not_found("rate sheet")) }
}

/// A sheet with its document, as the store keeps it.
pub(super) fn to_keep<'a>(sheet: &'a RateSheet, content: &'a [u8]) -> NewRateSheet<'a> {
    NewRateSheet {
        name: &sheet.name,
        currency: &sheet.currency,
        content,
        invented: sheet.invented,
        notes: Some(&sheet.note),
        effective_from: sheet.first_day(),
        effective_until: sheet.last_day(),
    }
}

/// Somebody was quicker, or the caller has read nothing of it yet.
pub(super) fn otherwise(name: &str, newest: Option<&RateSheetSummary>) -> Problem {
    let detail = match newest {
        Some(newest) => format!(
            "the newest version of `{name}` is {} and not the one that you write over: read it again, and send your change \
             with its `ETag`",
            newest.version
        ),
        None => format!("there is no rate sheet `{name}`: send `If-None-Match: *` to make it"),
    };
    Problem::new(Kind::PreconditionFailed, detail)
}

/// The answer to a write, with the tag of the version that it left as the newest: the next `If-Match` works from it.
pub(super) fn written(mut answer: HttpResponseBuilder, summary: RateSheetSummary) -> HttpResponse {
    answer.insert_header(conditional::tag(&summary.digest));
    answer.insert_header((header::CACHE_CONTROL, "no-store")).json(RateSheetEntry::from(summary))
}

/// The answer to a write that made the sheet.
pub(super) fn made(summary: RateSheetSummary) -> HttpResponse {
    let mut answer = HttpResponse::Created();
    answer.insert_header((header::LOCATION, format!("/v1/rate-sheets/{}", summary.name)));
    written(answer, summary)
}
