//! `/v1/estimates`: a survey in, a costed estimate out, kept in the audit trail.

use actix_web::http::StatusCode;
use actix_web::http::header::{self, EntityTag, HeaderValue};
use actix_web::{HttpRequest, HttpResponse, HttpResponseBuilder, web};
use engine::estimate::Estimate;
use engine::money::Money;
use engine::rate_sheet::Workbook;
use engine::survey::{EstimateRequest, Scope};
use engine::work::WorkBudget;
use engine::{Engine, Stamp};
use store::{Digest, EntryId, EntryKind, NewEntry, Packed, Recorded, StoreError, StoredEntry};
use utoipa::OpenApi;
use uuid::Uuid;

use super::conditional::knows;
use super::kept_estimates;
use super::resource::Resource;
use super::sheet_choice::sheet_asked_for;
use crate::body::{Body, JsonOrCsv, MediaType};
use crate::caller::Caller;
use crate::engine_pool::SheetVersion;
use crate::idempotency::{IDEMPOTENT_REPLAYED, IdempotencyKey};
use crate::negotiation::{Coding, chosen, coding, gives_json};
use crate::outgoing::{AnswerLimit, with_packed};
use crate::problem::{ForBodies, ForCallers, ForReaders, ForStored, Kind, Problem};
use crate::query::{FieldsWanted, TallyScope};
use crate::state::AppState;

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: EstimatesOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(
    create_estimate,
    kept_estimates::list_estimates,
    read_estimate,
    kept_estimates::read_estimate_request
))]
struct EstimatesOperations;

fn configure(config: &mut web::ServiceConfig) {
    config
        .service(
            web::resource("/v1/estimates")
                .route(web::post().to(create_estimate))
                .route(web::get().to(kept_estimates::list_estimates))
                .route(web::head().to(kept_estimates::list_estimates)),
        )
        .service(
            web::resource("/v1/estimates/{id}")
                .route(web::get().to(read_estimate))
                .route(web::head().to(read_estimate)),
        )
        .service(
            web::resource("/v1/estimates/{id}/request")
                .route(web::get().to(kept_estimates::read_estimate_request))
                .route(web::head().to(kept_estimates::read_estimate_request)),
        );
}

/// The place of an entry in the firm's audit chain, and its digest: kept by the caller, it proves later that nothing was cut off.
const AUDIT_ENTRY: &str = "Audit-Entry";

/// Price a survey
///
/// Takes a survey as JSON, or a tally of points as CSV, and answers with a costed estimate, which is kept in the audit
/// trail before it is sent. Whatever the survey leaves out is assumed, and said in `assumptions`.
///
/// With an `Idempotency-Key` the same body is priced once: sent again within 24 hours, the first answer comes back to the byte.
#[utoipa::path(
    post, path = "/v1/estimates", tag = "estimates", operation_id = "create_estimate",
    params(
        ("Idempotency-Key" = Option<String>, Header, description = "Your own name for this request; kept for 24 hours.",
         min_length = 1, max_length = 255, nullable = false, example = "J-1042-first-try"),
        TallyScope
    ),
    request_body(
        description = "A survey, or a tally of points by room. At most 1 MiB.",
        content((EstimateRequest = "application/json"), (String = "text/csv"))
    ),
    responses(
        (status = 201, description = "The estimate, priced and kept.", body = Estimate, content_type = "application/json",
         headers(
            ("Location" = String, description = "Where the estimate is from now on."),
            ("Idempotent-Replayed" = String, description = "`true` where this very answer was given before."),
            ("Audit-Entry" = String, description = "Place in the firm's audit chain, and the entry's digest."),
            ("Content-Encoding" = String, description = "`zstd` where `Accept-Encoding` takes that.")
         ),
         links(("read_estimate" = (operation_id = "read_estimate", parameters(("id" = "$response.body#/id")),
                description = "The same estimate, later, in any of its forms.")))),
        ForCallers, ForBodies, ForStored
    )
)]
pub async fn create_estimate(
    caller: Caller,
    tally: TallyScope,
    request: HttpRequest,
    key: IdempotencyKey,
    service: web::Data<AppState>,
    mut body: Body<JsonOrCsv>,
) -> Result<HttpResponse, Problem> {
    gives_json(&request)?;
    tally.fits(body.media_type)?;
    let coding = coding(&request)?;
    let turn = service.engine_pool.admitted_turn(caller.identity, body.bytes.len()).await?;
    // Read as it came, so that faults name its rows; kept with its scope in it, so that it can be priced again.
    let (media_type, bytes) = (body.media_type, body.bytes.clone());
    body.bytes = tally.written_into(body.bytes);
    if let Some(key) = key.stored() {
        // Looked up before it is priced: a caller who tries again costs a query.
        if let Some(before) = service.store.find_recorded(caller.firm, key, &body.bytes).await? {
            return recorded_before(before, coding);
        }
    }
    let survey = turn.run(move |engine| read_request_as(engine, media_type, &bytes, tally.scope)).await??;
    let (sheet, workbook) = sheet_asked_for(&service, &turn, caller, survey.rate_sheet.as_ref()).await?;

    let (id, limit) = (EntryId::now(), service.answer_limit);
    let priced = turn.run_within(move |engine, work| price((engine, work), &survey, &workbook, id, limit)).await??;

    let entry = priced.entry(&sheet, &body, &key);
    match service.store.record_estimate(caller.firm, &entry).await.map_err(|error| not_recorded(error, &key))? {
        Recorded::New(receipt) => {
            tracing::info!("estimate.id" = %id, "audit.n" = receipt.n, "estimate kept");
            created(id, receipt.n, &receipt.digest, false, &priced.response, coding)
        }
        before => recorded_before(before, coding),
    }
}

/// The answer that was given before under the same key.
fn recorded_before(recorded: Recorded, coding: Coding) -> Result<HttpResponse, Problem> {
    match recorded {
        Recorded::Replayed(first) => created(first.id, first.n, &first.digest, true, &first.response, coding),
        Recorded::KeyReused => Err(Problem::new(
            Kind::IdempotencyKeyReused,
            "this `Idempotency-Key` came before with another body: use a new key for a new request",
        )),
        Recorded::New(_) => Err(Problem::internal("what is new was not recorded before")),
    }
}

/// A request as it was sent, read.
pub(super) fn read_request(engine: &Engine, media_type: MediaType, bytes: &[u8]) -> Result<EstimateRequest, Problem> {
    read_request_as(engine, media_type, bytes, None)
}

/// The same, a tally as a job of that kind.
fn read_request_as(
    engine: &Engine,
    media_type: MediaType,
    bytes: &[u8],
    scope: Option<Scope>,
) -> Result<EstimateRequest, Problem> {
    match media_type {
        MediaType::Json => Ok(engine.read_survey(bytes)?),
        MediaType::Csv => Ok(engine.read_tally_as(bytes, scope)?),
    }
}

/// The media type that a kept request was sent as.
pub(super) fn media_type_of(entry: &StoredEntry) -> MediaType {
    if entry.request_media_type == MediaType::Csv.as_str() { MediaType::Csv } else { MediaType::Json }
}

/// An estimate, serialised and compressed: these very bytes are digested, kept and sent.
struct PricedBody {
    id: EntryId,
    response: Packed,
    reference: Option<String>,
    gross: Money,
    ruleset: &'static str,
}

fn price(
    (engine, work): (&Engine, &WorkBudget),
    request: &EstimateRequest,
    workbook: &Workbook,
    id: EntryId,
    limit: AnswerLimit,
) -> Result<PricedBody, Problem> {
    let faults = engine.faults_on(request, workbook);
    if !faults.is_empty() {
        return Err(faults.into());
    }
    let stamp = Stamp { id: id.to_string(), created_at: id.created_at().to_string() };
    let estimate = engine.estimate_within(request, workbook, stamp, work)?;
    let response = limit.packed(&estimate, work)?;
    Ok(PricedBody {
        id,
        response,
        reference: estimate.reference,
        gross: estimate.totals.gross,
        ruleset: estimate.ruleset.id.word(),
    })
}

impl PricedBody {
    fn entry<'a>(
        &'a self,
        sheet: &'a SheetVersion,
        body: &'a Body<JsonOrCsv>,
        key: &'a IdempotencyKey,
    ) -> NewEntry<'a> {
        NewEntry {
            id: self.id,
            kind: EntryKind::Estimate,
            reference: self.reference.as_deref(),
            request: &body.bytes,
            request_media_type: body.media_type.as_str(),
            response: &self.response,
            rate_sheet_name: &sheet.name,
            rate_sheet_version: sheet.version,
            ruleset: self.ruleset,
            engine_version: engine::ENGINE_VERSION,
            gross: Some(self.gross.exact()),
            idempotency_key: key.stored(),
        }
    }
}

/// Where a request with a key had to wait too long, a twin of it is the likely cause.
fn not_recorded(error: StoreError, key: &IdempotencyKey) -> Problem {
    match error {
        StoreError::Held(_) if key.as_deref().is_some() => {
            let detail = "a request with this `Idempotency-Key` is still being worked on; send this one again later";
            Problem::new(Kind::Conflict, detail).caused_by(error)
        }
        other => other.into(),
    }
}

fn created(
    id: EntryId,
    n: i64,
    digest: &Digest,
    replayed: bool,
    response: &Packed,
    coding: Coding,
) -> Result<HttpResponse, Problem> {
    let mut answer = HttpResponse::Created();
    answer
        .content_type(MediaType::Json.as_str())
        .insert_header((header::LOCATION, format!("/v1/estimates/{id}")))
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .insert_header((header::VARY, "Accept-Encoding"))
        .insert_header((AUDIT_ENTRY, audit_entry(n, digest)));
    if replayed {
        answer.insert_header((IDEMPOTENT_REPLAYED, HeaderValue::from_static("true")));
    }
    given(answer, response, coding)
}

/// The kept answer, as it lies or unpacked, and said so.
fn given(mut answer: HttpResponseBuilder, response: &Packed, coding: Coding) -> Result<HttpResponse, Problem> {
    let as_it_lies = coding == Coding::Zstd && response.is_compressed();
    if as_it_lies {
        answer.insert_header((header::CONTENT_ENCODING, response.coding()));
    }
    with_packed(answer, response, as_it_lies)
}

/// As a dictionary (RFC 8941).
fn audit_entry(n: i64, digest: &Digest) -> String {
    format!("n={n}, digest=\"{digest}\"")
}

/// The forms that a kept estimate is given in.
#[derive(Clone, Copy)]
enum Form {
    Json,
    Csv,
    Workbook,
}

const XLSX: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
const FORMS: [(&str, Form); 3] = [("application/json", Form::Json), ("text/csv", Form::Csv), (XLSX, Form::Workbook)];

/// Read an estimate
///
/// As it was given, to the byte; or, by `Accept`, its lines as CSV or the whole as a workbook. With `fields` only the parts that
/// are named.
#[utoipa::path(
    get, path = "/v1/estimates/{id}", tag = "estimates", operation_id = "read_estimate",
    params(
        ("id" = Uuid, Path, description = "The estimate's `id`.", example = "0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d"),
        FieldsWanted
    ),
    responses(
        (status = 200, description = "The estimate.",
         content(
            (Estimate = "application/json"),
            (String = "text/csv"),
            (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
         ),
         headers(
            ("Audit-Entry" = String, description = "Place in the firm's audit chain, and the entry's digest."),
            ("ETag" = String, description = "Of the JSON, in the coding that it is sent in; it never changes."),
            ("Content-Encoding" = String, description = "`zstd` where `Accept-Encoding` takes that.")
         )),
        (status = 304, description = "You have it already."),
        ForCallers, ForReaders
    )
)]
pub async fn read_estimate(
    caller: Caller,
    FieldsWanted { fields }: FieldsWanted,
    request: HttpRequest,
    path: web::Path<String>,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    let form = if fields.is_empty() { chosen(&request, &FORMS)? } else { chosen(&request, &FORMS[..1])? };
    let coding = if fields.is_empty() { coding(&request)? } else { Coding::Identity };
    let entry = find_estimate(&service, caller, &path).await?;
    let id = entry.id;
    let mut answer = HttpResponse::Ok();
    answer
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .insert_header((header::VARY, "Accept, Accept-Encoding"))
        .insert_header((AUDIT_ENTRY, audit_entry(entry.n, &entry.digest)));
    let response = entry.response;
    let turn = service.engine_pool.turn(caller.identity, response.unpacked_length());
    let limit = service.answer_limit;
    match form {
        Form::Json if !fields.is_empty() => {
            let tag = kept_estimates::tag_of_parts(&entry.digest, &fields);
            answer.insert_header(header::ETag(tag.clone()));
            if knows(&request, &tag) {
                return Ok(answer.status(StatusCode::NOT_MODIFIED).finish());
            }
            let parts = turn.run(move |_| limit.kept_by(kept_estimates::only(&response, &fields)?));
            answer.content_type(MediaType::Json.as_str());
            Ok(answer.body(parts.await??))
        }
        Form::Json => {
            let tag = tag_of(&entry.digest, coding, &response);
            answer.insert_header(header::ETag(tag.clone()));
            if knows(&request, &tag) {
                return Ok(answer.status(StatusCode::NOT_MODIFIED).finish());
            }
            answer.content_type(MediaType::Json.as_str());
            given(answer, &response, coding)
        }
        Form::Csv => {
            let lines = turn.run(move |_| {
                let lines = documents::csv::estimate_lines(&read_kept(&response)?).map_err(Problem::internal)?;
                limit.kept_by(lines)
            });
            answer.content_type("text/csv; charset=utf-8; header=present").insert_header(download(id, "csv"));
            Ok(answer.body(lines.await??))
        }
        Form::Workbook => {
            let sheets = turn.run(move |_| {
                limit.kept_by(documents::xlsx::estimate(&read_kept(&response)?).map_err(Problem::internal)?)
            });
            answer.content_type(XLSX).insert_header(download(id, "xlsx"));
            Ok(answer.body(sheets.await??))
        }
    }
}

/// The entry of an estimate of the caller's firm.
pub(super) async fn find_estimate(service: &AppState, caller: Caller, id: &str) -> Result<StoredEntry, Problem> {
    let id = Uuid::parse_str(id).ok().and_then(EntryId::from_uuid).ok_or_else(|| Problem::not_found("estimate"))?;
    let found = service.store.find_estimate(caller.firm, id).await?;
    found.ok_or_else(|| Problem::not_found("estimate"))
}

/// A kept estimate, read.
pub(super) fn read_kept(response: &Packed) -> Result<Estimate, Problem> {
    let plain = response.unpacked().map_err(Problem::internal)?;
    serde_json::from_slice(&plain).map_err(Problem::internal)
}

/// The strong tag of an estimate in one coding. It never changes: the entry's digest stands for its bytes.
fn tag_of(digest: &Digest, coding: Coding, response: &Packed) -> EntityTag {
    match coding {
        Coding::Zstd if response.is_compressed() => EntityTag::new_strong(format!("{digest}-{}", response.coding())),
        _ => EntityTag::new_strong(digest.to_string()),
    }
}

fn download(id: EntryId, ending: &str) -> (header::HeaderName, String) {
    (header::CONTENT_DISPOSITION, format!("attachment; filename=\"estimate-{id}.{ending}\""))
}
