//! Who calls: every handler under `/v1` takes a [`Caller`], and so cannot be reached by anyone else.

use std::pin::Pin;

use actix_web::{FromRequest, HttpMessage, HttpRequest, dev};
use futures_util::FutureExt;
use futures_util::future::{LocalBoxFuture, Shared};
use store::FirmId;

use crate::auth::Identity;
use crate::problem::Problem;
use crate::rate_limits::Allowance;
use crate::state::AppState;

/// The firm that a request is made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Caller {
    /// Whose data it is.
    pub firm: FirmId,
    /// Whose turn it takes up at the engine.
    pub identity: Identity,
}

/// Who calls, found out once a request however many ask.
type Known = Shared<LocalBoxFuture<'static, Result<(Caller, Option<Allowance>), Problem>>>;

impl FromRequest for Caller {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, _: &mut dev::Payload) -> Self::Future {
        let known = known(request);
        let request = request.clone();
        Box::pin(async move {
            let (caller, allowance) = known.await?;
            let mut notes = request.extensions_mut();
            notes.insert(caller.firm);
            if let Some(allowance) = allowance {
                notes.insert(allowance);
            }
            Ok(caller)
        })
    }
}

fn known(request: &HttpRequest) -> Known {
    if let Some(known) = request.extensions().get::<Known>() {
        return known.clone();
    }
    // It is kept with the request, so it must not hold the request.
    let (service, headers) = (AppState::of(request), request.headers().clone());
    let known = async move {
        let service = service?;
        let identity = service.authenticator.identify(&headers, &service.store).await?;
        let allowance = match (&service.rate_limits, identity.key) {
            (Some(limits), Some(key)) => Some(limits.take(key)?),
            _ => None,
        };
        Ok((Caller { firm: identity.firm, identity }, allowance))
    };
    let known = known.boxed_local().shared();
    request.extensions_mut().insert(known.clone());
    known
}
