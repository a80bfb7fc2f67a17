//! What happens around every request: it gets a name and a span in the log, a time limit, and an answer whatever happens.
//! Every answer from status 400 on leaves as a problem document; a panic costs the one request.

use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use std::time::Instant;

use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{Error, HttpMessage, HttpResponse};
use futures_util::FutureExt;
use store::FirmId;
use tracing::{Instrument, Span, field};

use crate::in_hand::InHand;
use crate::limits;
use crate::outgoing::{bytes_held, in_pieces};
use crate::problem::{Kind, PROBLEM_JSON, Problem};
use crate::rate_limits::Allowance;
use crate::refusals::Refusals;
use crate::request_id::{RequestId, X_REQUEST_ID, trace_id};
use crate::state::AppState;

/// Runs one request.
///
/// # Errors
/// Where nothing in the service has answered: the problem then is the answer.
pub async fn answer(
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let started = Instant::now();
    let id = RequestId::of(request.headers());
    let span = request_span(&request, &id);
    request.extensions_mut().insert(id.clone());
    let service = AppState::of(request.request())?;
    let work = AssertUnwindSafe(next.call(request)).catch_unwind();
    let outcome = tokio::time::timeout(limits::REQUEST_TIME, work.instrument(span.clone())).await;
    let _entered = span.enter();
    let answer = match outcome {
        Ok(Ok(Ok(response))) => Ok(finished(response.map_into_boxed_body(), &id, &service.in_hand)),
        Ok(Ok(Err(error))) => Err(error.as_error::<Problem>().cloned().unwrap_or_else(|| unforeseen(&error))),
        // The panic hook has logged where.
        Ok(Err(_)) => Err(Problem::internal("the request's work panicked")),
        Err(_) => {
            Err(Problem::new(Kind::Timeout, format!("no answer within {} seconds", limits::REQUEST_TIME.as_secs())))
        }
    };
    match answer {
        Ok((response, problem)) => {
            note_caller(&span, &response);
            let quiet = response.request().path().starts_with("/health/");
            log(started, response.status().as_u16(), quiet, problem.as_ref(), &id, &service.refusals);
            Ok(response)
        }
        Err(problem) => {
            let problem = problem.of_request(id.clone()).with_header(X_REQUEST_ID, id.header());
            log(started, problem.kind().row().status.as_u16(), false, Some(&problem), &id, &service.refusals);
            Err(problem.into())
        }
    }
}

/// The span that everything logged for one request stands in. No query, address, body or key.
fn request_span(request: &ServiceRequest, id: &RequestId) -> Span {
    tracing::info_span!(
        "request",
        "http.method" = %request.method(),
        "http.route" = field::Empty,
        "request.id" = %id,
        "trace.id" = trace_id(request.headers()),
        "firm.id" = field::Empty,
    )
}

fn note_caller(span: &Span, response: &ServiceResponse) {
    let route = response.request().match_pattern();
    span.record("http.route", route.as_deref().unwrap_or("(none)"));
    if let Some(firm) = response.request().extensions().get::<FirmId>() {
        span.record("firm.id", field::display(firm));
    }
}

/// Turns every bad answer into a problem document, and adds what every answer carries. The problem, if it is one, is for
/// the log.
fn finished(
    response: ServiceResponse<BoxBody>,
    id: &RequestId,
    in_hand: &Arc<InHand>,
) -> (ServiceResponse<BoxBody>, Option<Problem>) {
    let (request, response) = response.into_parts();
    let (mut response, problem) =
        if response.status().as_u16() < 400 { (response, None) } else { as_document(response, id) };
    decorate(response.headers_mut(), id);
    if let Some(allowance) = request.extensions().get::<Allowance>() {
        for (name, value) in allowance.headers() {
            response.headers_mut().insert(name, value);
        }
    }
    let held = bytes_held(&response);
    if held > limits::PIECE_BYTES as u64 {
        let share = in_hand.count(request.extensions().get::<FirmId>().copied(), held);
        response = response.map_body(|_, body| in_pieces(body, share));
    }
    (ServiceResponse::new(request, response), problem)
}

fn as_document(response: HttpResponse, id: &RequestId) -> (HttpResponse, Option<Problem>) {
    let known = response.error().and_then(|error| error.as_error::<Problem>());
    if let Some(problem) = known {
        return (problem.response(Some(id)), Some(problem.clone()));
    }
    if response.headers().get(header::CONTENT_TYPE).is_some_and(|kind| kind == PROBLEM_JSON) {
        return (response, None);
    }
    let problem = Problem::of_status(response.status());
    let mut document = problem.response(Some(id));
    // What a library said besides the body still holds: `Allow` above all.
    if let Some(allow) = response.headers().get(header::ALLOW) {
        document.headers_mut().insert(header::ALLOW, allow.clone());
    }
    (document, Some(problem))
}

fn unforeseen(error: &Error) -> Problem {
    let problem = Problem::of_status(error.as_response_error().status_code());
    problem.caused_by(error.to_string())
}

/// Headers of every answer, unless the answer has set them itself.
pub(crate) fn decorate(headers: &mut HeaderMap, id: &RequestId) {
    const ALWAYS: [(HeaderName, HeaderValue); 4] = [
        (header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff")),
        (header::X_FRAME_OPTIONS, HeaderValue::from_static("DENY")),
        (header::REFERRER_POLICY, HeaderValue::from_static("no-referrer")),
        (header::CONTENT_SECURITY_POLICY, HeaderValue::from_static("default-src 'none'; frame-ancestors 'none'")),
    ];
    for (name, value) in ALWAYS {
        if !headers.contains_key(&name) {
            headers.insert(name, value);
        }
    }
    headers.insert(X_REQUEST_ID, id.header());
}

/// The cause of a failure, logged once, where it is answered.
fn note_failure(problem: &Problem) {
    let row = problem.kind().row();
    let Some(causes) = problem.causes() else { return };
    if row.kind == Kind::Internal {
        tracing::error!(problem = row.slug, causes, "the request failed through a fault of the service");
    } else {
        tracing::debug!(problem = row.slug, causes, "the request was refused");
    }
}

/// One line a request, but for those that were turned away: these are counted.
fn log(started: Instant, status: u16, quiet: bool, problem: Option<&Problem>, id: &RequestId, refusals: &Refusals) {
    if let Some(problem) = problem {
        note_failure(problem);
        if problem.kind().is_refusal() {
            refusals.count(problem, id);
            return;
        }
    }
    let latency_ms = started.elapsed().as_secs_f64() * 1_000.0;
    match status {
        // Asked every few seconds by whatever watches the service.
        _ if quiet => tracing::debug!("http.status" = status, latency_ms, "request answered"),
        500.. => tracing::error!("http.status" = status, latency_ms, "request answered"),
        _ => tracing::info!("http.status" = status, latency_ms, "request answered"),
    }
}
