//! Answers that a client may keep: told by their digest whether they have changed (RFC 9110 section 13).

use std::future::{Ready, ready};

use actix_web::http::header::{self, EntityTag, Header, IfMatch, IfNoneMatch};
use actix_web::{FromRequest, HttpRequest, HttpResponse, HttpResponseBuilder, dev, web};
use engine::faults::FaultCode;
use store::{Digest, Expected};

use crate::problem::{Kind, Problem, ProblemEntry};

/// What a writer takes to be there, by `If-Match` or `If-None-Match: *`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Precondition {
    /// `If-None-Match: *`: nothing.
    Nothing,
    /// `If-Match: *`: something, whatever it is.
    Something,
    /// `If-Match` with tags: one of these.
    OneOf(Vec<Digest>),
}

impl FromRequest for Precondition {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut dev::Payload) -> Self::Future {
        ready(Self::read(request))
    }
}

impl Precondition {
    fn read(request: &HttpRequest) -> Result<Self, Problem> {
        let refused = |header: &str, detail: &str| {
            Problem::invalid(vec![ProblemEntry::header(header, FaultCode::WrongForm, detail)])
        };
        let given = |name| request.headers().contains_key(name);
        match (given(header::IF_MATCH), given(header::IF_NONE_MATCH)) {
            (false, false) => Err(Problem::new(
                Kind::PreconditionRequired,
                "send the `ETag` of the version that you have read in `If-Match`, or `If-None-Match: *` for a new one",
            )),
            (true, true) => {
                Err(refused("If-None-Match", "`If-Match` and `If-None-Match` cannot both hold here; send one of them"))
            }
            (true, false) => match IfMatch::parse(request) {
                Ok(IfMatch::Any) => Ok(Self::Something),
                Ok(IfMatch::Items(tags)) => Ok(Self::OneOf(tags.iter().filter_map(strong_digest).collect())),
                Err(_) => Err(refused("If-Match", "`If-Match` is no list of entity tags; send the `ETag` as it came")),
            },
            (false, true) => match IfNoneMatch::parse(request) {
                Ok(IfNoneMatch::Any) => Ok(Self::Nothing),
                _ => Err(refused("If-None-Match", "writing takes `If-None-Match: *` and nothing else")),
            },
        }
    }

    /// The same, as the store asks for it.
    pub fn expected(&self) -> Expected<'_> {
        match self {
            Self::Nothing => Expected::Nothing,
            Self::Something => Expected::Something,
            Self::OneOf(digests) => Expected::Newest(digests),
        }
    }

    /// Whether it holds for what is there.
    pub fn holds(&self, there: Option<&Digest>) -> bool {
        match (self, there) {
            (Self::Nothing, there) => there.is_none(),
            (Self::Something, there) => there.is_some(),
            (Self::OneOf(digests), there) => there.is_some_and(|there| digests.contains(there)),
        }
    }
}

/// The digest that a strong tag of ours stands for; a weak or a strange one matches nothing.
fn strong_digest(tag: &EntityTag) -> Option<Digest> {
    (!tag.weak).then(|| Digest::from_hex(tag.tag())).flatten()
}

/// The strong tag of these bytes.
pub fn tag(digest: &Digest) -> header::ETag {
    header::ETag(EntityTag::new_strong(digest.to_string()))
}

/// Whether the client says that it has what goes by that tag.
pub fn knows(request: &HttpRequest, tag: &EntityTag) -> bool {
    match IfNoneMatch::parse(request) {
        Ok(IfNoneMatch::Any) => request.headers().contains_key(header::IF_NONE_MATCH),
        Ok(IfNoneMatch::Items(tags)) => tags.iter().any(|known| known.weak_eq(tag)),
        Err(_) => false,
    }
}

/// 304 where the client has these very bytes already, else 200 with them. The strong `ETag` is their digest.
pub fn unless_known(
    request: &HttpRequest,
    digest: &Digest,
    bytes: impl Into<web::Bytes>,
    dress: impl FnOnce(&mut HttpResponseBuilder),
) -> HttpResponse {
    let tag = EntityTag::new_strong(digest.to_string());
    let known = knows(request, &tag);
    let mut response = if known { HttpResponse::NotModified() } else { HttpResponse::Ok() };
    response.insert_header(header::ETag(tag));
    dress(&mut response);
    if known { response.finish() } else { response.body(bytes.into()) }
}
