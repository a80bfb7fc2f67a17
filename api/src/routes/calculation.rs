//! What the addresses that only calculate have in common: JSON in, one call of the engine, JSON out; nothing is kept.

use std::sync::LazyLock;

use actix_web::http::header::{self, HeaderMap};
use actix_web::{HttpResponse, web};
use engine::document::Contract;
use engine::faults::Fault;
use engine::standards::Standards;
use serde::Serialize;
use serde::de::DeserializeOwned;
use utoipa::ToSchema;

use crate::app::Service;
use crate::body::{Body, Json, MediaType};
use crate::negotiation::chosen;
use crate::problem::{Problem, ProblemEntry};

/// A request's contract, compiled at the first request.
pub(super) type Compiled<Q> = LazyLock<Contract<Q>>;

/// Reads a request, calculates and answers.
pub(super) async fn calculated<Q, A>(
    service: &Service,
    headers: &HeaderMap,
    body: Body<Json>,
    contract: &'static Compiled<Q>,
    work: fn(&Standards, &Q) -> Result<A, Vec<Fault>>,
) -> Result<HttpResponse, Problem>
where
    Q: ToSchema + DeserializeOwned,
    A: Serialize + 'static,
{
    chosen(headers, &[(MediaType::Json.as_str(), ())])?;
    let answer = service.desk.run(move |engine| bytes(&engine.standards, &body.bytes, contract, work)).await??;
    Ok(HttpResponse::Ok()
        .content_type(MediaType::Json.as_str())
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .body(answer))
}

fn bytes<Q, A>(
    standards: &Standards,
    body: &web::Bytes,
    contract: &Contract<Q>,
    work: fn(&Standards, &Q) -> Result<A, Vec<Fault>>,
) -> Result<Vec<u8>, Problem>
where
    Q: ToSchema + DeserializeOwned,
    A: Serialize,
{
    let request = contract.read(body)?;
    let answer = work(standards, &request)
        .map_err(|faults| Problem::invalid(faults.into_iter().map(ProblemEntry::from).collect()))?;
    serde_json::to_vec(&answer).map_err(Problem::internal)
}
