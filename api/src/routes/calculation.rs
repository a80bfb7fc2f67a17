//! What the addresses that only calculate have in common: JSON in, one call of the engine, JSON out; nothing is kept.

use std::pin::Pin;
use std::sync::LazyLock;

use actix_web::http::header;
use actix_web::{FromRequest, HttpRequest, HttpResponse, dev, web};
use engine::document::Contract;
use engine::faults::Fault;
use engine::standards::Standards;
use serde::Serialize;
use serde::de::DeserializeOwned;
use utoipa::ToSchema;

use crate::body::{Accepts, Body, Json, MediaType};
use crate::caller::Caller;
use crate::negotiation::gives_json;
use crate::problem::Problem;
use crate::query::NoQuery;
use crate::state::AppState;

/// A request's contract, compiled at the first request.
pub(super) type Compiled<Q> = LazyLock<Contract<Q>>;
/// What the engine makes of a request: the answer's JSON, or every fault.
pub(super) type Work<Q> = fn(&Standards, &Q) -> Result<Vec<u8>, Vec<Fault>>;

/// A request of somebody who may call, without a query, that can be answered in JSON, and its body.
pub struct WiringRequest<A = Json> {
    service: web::Data<AppState>,
    caller: Caller,
    body: Body<A>,
}

impl<A: Accepts> FromRequest for WiringRequest<A> {
    type Error = actix_web::Error;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Self::Error>>>>;

    fn from_request(request: &HttpRequest, payload: &mut dev::Payload) -> Self::Future {
        let (who, query) = (Caller::extract(request), NoQuery::extract(request));
        let service = web::Data::extract(request);
        let acceptable = gives_json(request);
        let body = Body::from_request(request, payload);
        Box::pin(async move {
            let caller = who.await?;
            query.await?;
            acceptable?;
            Ok(Self { service: service.await?, caller, body: body.await? })
        })
    }
}

impl<A: Accepts> WiringRequest<A> {
    /// Reads the request, calculates and answers.
    pub(super) async fn answered<Q>(
        self,
        contract: &'static Compiled<Q>,
        work: Work<Q>,
    ) -> Result<HttpResponse, Problem>
    where
        Q: ToSchema + DeserializeOwned,
    {
        let Body { bytes, share: _held, .. } = self.body;
        let (turn, limit) =
            (self.service.engine_pool.turn(self.caller.identity, bytes.len()), self.service.answer_limit);
        let answer = turn.run(move |engine| {
            let request = contract.read(&bytes)?;
            // What it was read from makes room for the answer.
            drop(bytes);
            limit.kept_by(work(&engine.standards, &request)?)
        });
        Ok(not_kept(answer.await??))
    }
}

/// The answer to a calculation: JSON that nobody keeps.
pub(super) fn not_kept(json: Vec<u8>) -> HttpResponse {
    HttpResponse::Ok()
        .content_type(MediaType::Json.as_str())
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .body(json)
}

/// An answer as JSON.
pub(super) fn written<A: Serialize>(answer: &A) -> Vec<u8> {
    serde_json::to_vec(answer).expect("answers have text keys only, and a vector takes every byte")
}
