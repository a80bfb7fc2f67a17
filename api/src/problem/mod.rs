//! What is answered when something is wrong: an RFC 9457 problem document, always.
//!
//! Everything that can go wrong becomes a [`Problem`] here, and only here are crates' own errors given a status. Two texts
//! leave: `detail` for the caller, the source chain for the log.

mod convert;
mod kinds;
mod page;
mod responses;

use std::error::Error;
use std::fmt;
use std::sync::Arc;

use actix_web::http::header::{self, HeaderName, HeaderValue};
use actix_web::{HttpResponse, ResponseError};
use engine::faults::{Fault, FaultCode};
use engine::limits::FAULTS_LISTED_MAX;
use serde::Serialize;
use utoipa::ToSchema;

pub use kinds::{KINDS, Kind, KindRow};
pub(crate) use page::escaped;
pub use page::page;
pub use responses::{ForBodies, ForCallers, ForLists, ForReaders, ForReadiness, ForStored, ForWriters, responses};

use crate::limits;
use crate::request_id::RequestId;

/// The media type of a problem document.
pub const PROBLEM_JSON: &str = "application/problem+json";

/// Something that is wrong with a request, or with the service.
#[derive(Debug, Clone)]
pub struct Problem {
    kind: Kind,
    detail: String,
    errors: Vec<ProblemEntry>,
    headers: Vec<(HeaderName, HeaderValue)>,
    cause: Option<Arc<dyn Error + Send + Sync>>,
    instance: Option<RequestId>,
}

/// A problem document (RFC 9457), sent as `application/problem+json` with every status from 400 on.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Problem)]
pub struct ProblemDocument<'a> {
    /// The kind of problem, as a reference that can be followed on this service.
    #[serde(rename = "type")]
    #[schema(value_type = String, format = "uri-reference", example = "/problems#invalid")]
    kind: String,
    /// The same for every problem of the kind.
    #[schema(value_type = String, example = "Understood, but it cannot be worked on as it is")]
    title: &'a str,
    /// The HTTP status.
    #[schema(minimum = 400, maximum = 599, example = 422)]
    status: u16,
    /// What it is this time, and how to mend it.
    #[schema(value_type = String, example = "2 faults; `errors` lists each")]
    detail: &'a str,
    /// The request, as it is named in the log.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, format = "uri", example = "urn:request:0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d")]
    instance: Option<String>,
    /// Every fault of the request, where it could be read.
    #[serde(skip_serializing_if = "<[ProblemEntry]>::is_empty")]
    #[schema(value_type = Vec<ProblemEntry>, required = false, max_items = 100)]
    errors: &'a [ProblemEntry],
}

/// One fault of a request. It names its place in one way: `pointer`, or `row` and `column`, or `parameter`, or `header`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ProblemEntry {
    /// JSON Pointer (RFC 6901, plain, not a URI fragment) into a JSON body; empty for the whole document.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, example = "/survey/rooms/0/points/1/count")]
    pointer: Option<String>,
    /// Row of a CSV body; 1 is the header.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, minimum = 1)]
    row: Option<u64>,
    /// Column of a CSV body.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    column: Option<String>,
    /// Query parameter.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    parameter: Option<String>,
    /// Header field.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    header: Option<String>,
    /// A stable code for the kind of fault. New kinds may be added.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = String, required = false, example = "out-of-range")]
    code: Option<FaultCode>,
    /// What was found, what is accepted, and how to mend it.
    #[schema(example = "`count` is -2; give 0 or more")]
    detail: String,
}

impl ProblemEntry {
    fn bare(code: Option<FaultCode>, detail: String) -> Self {
        Self { pointer: None, row: None, column: None, parameter: None, header: None, code, detail }
    }

    /// A fault in a query parameter.
    #[must_use]
    pub fn parameter(name: impl Into<String>, code: FaultCode, detail: impl Into<String>) -> Self {
        Self { parameter: Some(name.into()), ..Self::bare(Some(code), detail.into()) }
    }

    /// A fault in a header field.
    #[must_use]
    pub fn header(name: impl Into<String>, code: FaultCode, detail: impl Into<String>) -> Self {
        Self { header: Some(name.into()), ..Self::bare(Some(code), detail.into()) }
    }
}

impl From<Fault> for ProblemEntry {
    fn from(fault: Fault) -> Self {
        Self { pointer: Some(fault.pointer), ..Self::bare(Some(fault.code), fault.detail) }
    }
}

impl Problem {
    /// A problem of that kind; `detail` is for the caller.
    #[must_use]
    pub fn new(kind: Kind, detail: impl Into<String>) -> Self {
        Self { kind, detail: detail.into(), errors: Vec::new(), headers: Vec::new(), cause: None, instance: None }
            .retryable_where_it_helps()
    }

    /// The request was read, and these are all its faults; as many are listed as the contract says.
    #[must_use]
    pub fn invalid(mut errors: Vec<ProblemEntry>) -> Self {
        let detail = match errors.as_slice() {
            [only] => only.detail.clone(),
            many if many.len() > FAULTS_LISTED_MAX => {
                format!("more than {FAULTS_LISTED_MAX} faults; `errors` lists the first {FAULTS_LISTED_MAX}")
            }
            several => format!("{} faults; `errors` lists each", several.len()),
        };
        errors.truncate(FAULTS_LISTED_MAX);
        Self { errors, ..Self::new(Kind::Invalid, detail) }
    }

    /// A fault of ours; the caller is told nothing of the cause, the log all.
    #[must_use]
    pub fn internal(cause: impl Into<Box<dyn Error + Send + Sync>>) -> Self {
        Self::new(Kind::Internal, "the service failed on this request; the log has the cause").caused_by(cause)
    }

    /// Nothing under that name or identifier, as far as this caller may know.
    #[must_use]
    pub fn not_found(what: &str) -> Self {
        Self::new(Kind::NotFound, format!("there is no such {what}"))
    }

    /// With the cause, for the log.
    #[must_use]
    pub fn caused_by(mut self, cause: impl Into<Box<dyn Error + Send + Sync>>) -> Self {
        self.cause = Some(Arc::from(cause.into()));
        self
    }

    /// With a header of its own.
    #[must_use]
    pub fn with_header(mut self, name: HeaderName, value: HeaderValue) -> Self {
        self.headers.push((name, value));
        self
    }

    /// With the request's id, for a problem that is answered outside the reach of a response.
    #[must_use]
    pub fn of_request(mut self, request: RequestId) -> Self {
        self.instance = Some(request);
        self
    }

    /// The kind.
    #[must_use]
    pub fn kind(&self) -> Kind {
        self.kind
    }

    /// What the caller is told: the first fault, where faults are listed.
    #[must_use]
    pub fn detail(&self) -> &str {
        self.errors.first().map_or(&self.detail, |first| &first.detail)
    }

    /// The cause and the causes behind it, for the log.
    #[must_use]
    pub fn causes(&self) -> Option<String> {
        let mut next: Option<&(dyn Error + 'static)> = Some(self.cause.as_deref()?);
        let mut texts = Vec::new();
        while let Some(error) = next {
            texts.push(error.to_string());
            next = error.source();
        }
        Some(texts.join(": "))
    }

    /// The answer, with the request's id as `instance`.
    #[must_use]
    pub fn response(&self, request: Option<&RequestId>) -> HttpResponse {
        let row = self.kind.row();
        let document = ProblemDocument {
            kind: format!("/problems#{}", row.slug),
            title: row.title,
            status: row.status.as_u16(),
            detail: &self.detail,
            instance: request.map(RequestId::urn),
            errors: &self.errors,
        };
        let mut response = HttpResponse::build(row.status);
        response.insert_header((header::CONTENT_TYPE, PROBLEM_JSON));
        response.insert_header((header::CACHE_CONTROL, "no-store"));
        for header in &self.headers {
            response.append_header(header.clone());
        }
        // Texts and numbers in a struct always serialise.
        response.body(serde_json::to_vec(&document).unwrap_or_default())
    }

    /// Retrying is helpful or it is not: these kinds say when, the others say 'don't' by not saying.
    fn retryable_where_it_helps(self) -> Self {
        match self.kind {
            Kind::Conflict | Kind::Unavailable => {
                let seconds = limits::RETRY_AFTER_S + fastrand::u32(0..=limits::RETRY_AFTER_SPREAD_S);
                self.with_header(header::RETRY_AFTER, HeaderValue::from(seconds))
            }
            _ => self,
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.kind.row().title)
    }
}

impl Error for Problem {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        self.cause.as_deref().map(|cause| cause as &(dyn Error + 'static))
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> actix_web::http::StatusCode {
        self.kind.row().status
    }

    fn error_response(&self) -> HttpResponse {
        self.response(self.instance.as_ref())
    }
}
