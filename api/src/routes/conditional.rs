//! Answers that a client may keep: told by their digest whether they have changed (RFC 9110 section 13).

use actix_web::http::header::{self, EntityTag, Header, IfNoneMatch};
use actix_web::{HttpRequest, HttpResponse, HttpResponseBuilder, web};
use store::Digest;

/// 304 where the client has these very bytes already, else 200 with them. The strong `ETag` is their digest.
pub fn unless_known(
    request: &HttpRequest,
    digest: &Digest,
    bytes: impl Into<web::Bytes>,
    dress: impl FnOnce(&mut HttpResponseBuilder),
) -> HttpResponse {
    let tag = EntityTag::new_strong(digest.to_string());
    let known = match IfNoneMatch::parse(request) {
        Ok(IfNoneMatch::Any) => request.headers().contains_key(header::IF_NONE_MATCH),
        Ok(IfNoneMatch::Items(tags)) => tags.iter().any(|known| known.weak_eq(&tag)),
        Err(_) => false,
    };
    let mut response = if known { HttpResponse::NotModified() } else { HttpResponse::Ok() };
    response.insert_header(header::ETag(tag));
    dress(&mut response);
    if known { response.finish() } else { response.body(bytes.into()) }
}
