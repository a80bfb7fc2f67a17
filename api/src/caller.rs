//! Who calls: every handler under `/v1` takes a [`Caller`], and so cannot be reached by anyone else.

use std::future::Future;
use std::pin::Pin;

use actix_web::{FromRequest, HttpMessage, HttpRequest, dev};
use store::FirmId;

use crate::problem::Problem;
use crate::state::Service;

/// The firm that a request is made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Caller {
    /// Whose data it is.
    pub firm: FirmId,
}

impl FromRequest for Caller {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, _: &mut dev::Payload) -> Self::Future {
        let request = request.clone();
        Box::pin(async move {
            let service = Service::of(&request)?;
            let firm = service.authenticator.firm_of(request.headers(), &service.store).await?;
            request.extensions_mut().insert(firm);
            Ok(Self { firm })
        })
    }
}
