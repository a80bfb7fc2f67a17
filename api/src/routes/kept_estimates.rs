//! Estimates that are kept: listed and found, the request that one was made from, and parts of one by name.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use actix_web::http::header::{self, EntityTag};
use actix_web::{HttpRequest, HttpResponse, web};
use serde::Serialize;
use serde::de::{Deserializer as _, IgnoredAny, MapAccess, Visitor};
use serde_json::Value;
use store::{Digest, EntryId, EstimateFilter, EstimateSummary, Packed};
use utoipa::ToSchema;
use uuid::Uuid;

use super::estimates::{find_estimate, media_type_of};
use crate::body::MediaType;
use crate::caller::Caller;
use crate::negotiation::{chosen, gives_json};
use crate::problem::{ForCallers, ForReaders, Problem};
use crate::query::{EstimatesWanted, FindingEstimates, NoQuery, Page, Paging, wrong_cursor};
use crate::state::AppState;

/// An estimate in the list.
#[derive(Debug, Serialize, ToSchema)]
pub struct EstimateEntry {
    /// Its identifier.
    #[schema(value_type = Uuid)]
    pub id: String,
    /// When it was made.
    #[schema(example = "2026-11-25T10:00:00Z")]
    pub created_at: String,
    /// The caller's reference of the job.
    pub reference: Option<String>,
    /// The gross total, as text.
    #[schema(example = "36118.18")]
    pub gross: Option<String>,
    /// The rate sheet's name.
    pub rate_sheet: String,
    /// Its version.
    pub rate_sheet_version: i32,
    /// The engine's version.
    pub engine_version: String,
    /// Where the estimate is.
    #[schema(example = "/v1/estimates/0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d")]
    pub href: String,
}

impl From<EstimateSummary> for EstimateEntry {
    fn from(summary: EstimateSummary) -> Self {
        Self {
            id: summary.id.to_string(),
            created_at: summary.created_at.to_string(),
            reference: summary.reference,
            gross: summary.gross.map(|gross| format!("{gross:.2}")),
            rate_sheet: summary.rate_sheet_name,
            rate_sheet_version: summary.rate_sheet_version,
            engine_version: summary.engine_version,
            href: format!("/v1/estimates/{}", summary.id),
        }
    }
}

const ESTIMATES: &str = "estimates";

/// List and find estimates
///
/// The firm's estimates, the newest first; by reference, and by when they were made.
#[utoipa::path(
    get, path = "/v1/estimates", tag = "estimates", operation_id = "list_estimates",
    params(EstimatesWanted, Paging),
    responses((status = 200, description = "A page of them.", body = Page<EstimateEntry>), ForCallers)
)]
pub async fn list_estimates(
    caller: Caller,
    finding: FindingEstimates,
    request: HttpRequest,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    gives_json(&request)?;
    let after = finding.paging.after(ESTIMATES)?;
    let after = after.map(|id| Uuid::parse_str(&id).ok().and_then(EntryId::from_uuid).ok_or_else(wrong_cursor));
    let wanted = EstimateFilter {
        reference: finding.wanted.reference,
        from: finding.wanted.from,
        before: finding.wanted.before,
        after: after.transpose()?,
    };
    let page = service.store.list_estimates(caller.firm, &wanted, finding.paging.limit).await?;
    Ok(Paging::page::<_, EstimateEntry>(ESTIMATES, page, |estimate| estimate.id.to_string()))
}

/// Read what an estimate was made from
///
/// The request as it came, to the byte: JSON or a tally. To be changed and priced again.
#[utoipa::path(
    get, path = "/v1/estimates/{id}/request", tag = "estimates", operation_id = "read_estimate_request",
    params(("id" = Uuid, Path, description = "The estimate's `id`.", example = "0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d")),
    responses(
        (status = 200, description = "The request.",
         content((engine::survey::EstimateRequest = "application/json"), (String = "text/csv"))),
        ForCallers, ForReaders
    )
)]
pub async fn read_estimate_request(
    caller: Caller,
    _: NoQuery,
    request: HttpRequest,
    path: web::Path<String>,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    chosen(&request, &[(MediaType::Json.as_str(), ()), (MediaType::Csv.as_str(), ())])?;
    let entry = find_estimate(&service, caller, &path).await?;
    // It is given as it came, and not turned into the other form.
    chosen(&request, &[(media_type_of(&entry).as_str(), ())])?;
    Ok(HttpResponse::Ok()
        .content_type(entry.request_media_type)
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .body(entry.request))
}

/// The strong tag of parts of an estimate: neither changes.
pub fn tag_of_parts(digest: &Digest, wanted: &BTreeSet<String>) -> EntityTag {
    let names: Vec<&str> = wanted.iter().map(String::as_str).collect();
    EntityTag::new_strong(format!("{digest}-{}", names.join("+")))
}

/// Those parts of a kept estimate, and its `id`.
///
/// # Errors
/// Where the document is no JSON: a fault of ours.
pub fn only(response: &Packed, wanted: &BTreeSet<String>) -> Result<Vec<u8>, Problem> {
    picked(&response.unpacked().map_err(Problem::internal)?, wanted)
}

/// What is not asked for is passed over without being read.
fn picked(document: &[u8], wanted: &BTreeSet<String>) -> Result<Vec<u8>, Problem> {
    let mut reader = serde_json::Deserializer::from_slice(document);
    let parts = reader.deserialize_map(Wanted(wanted)).map_err(Problem::internal)?;
    serde_json::to_vec(&parts).map_err(Problem::internal)
}

/// Reads the parts that are wanted.
struct Wanted<'a>(&'a BTreeSet<String>);

impl<'de> Visitor<'de> for Wanted<'_> {
    type Value = BTreeMap<String, Value>;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("an estimate")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut parts = BTreeMap::new();
        while let Some(name) = map.next_key::<String>()? {
            if name == "id" || self.0.contains(&name) {
                parts.insert(name, map.next_value()?);
            } else {
                map.next_value::<IgnoredAny>()?;
            }
        }
        Ok(parts)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exactly_the_parts_that_are_named_come_and_the_id() {
        let document = br#"{"id":"x","totals":{"net":"1.00"},"lines":[1,2],"range":null}"#;
        let wanted = BTreeSet::from(["totals".to_owned(), "range".to_owned()]);
        let found = picked(document, &wanted).expect("it is JSON");
        assert_eq!(found, br#"{"id":"x","range":null,"totals":{"net":"1.00"}}"#);
    }
}
