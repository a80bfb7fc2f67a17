//! `Idempotency-Key`: a caller's own name for a request, so that sending it twice does it once.

use std::future::{Ready, ready};

use actix_web::http::header::HeaderMap;
use actix_web::{FromRequest, HttpRequest, dev};
use engine::faults::FaultCode;

use crate::limits::IDEMPOTENCY_KEY_CHARACTERS_MAX;
use crate::problem::{Problem, ProblemEntry};

/// The header.
pub const IDEMPOTENCY_KEY: &str = "Idempotency-Key";
/// The route that a key belongs to: the one that takes keys.
const ROUTE: &str = "POST /v1/estimates";
/// On an answer that was given before: `true`.
pub const IDEMPOTENT_REPLAYED: &str = "Idempotent-Replayed";

/// The key that a request was sent with, if any: 1 to 255 visible ASCII characters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IdempotencyKey(Option<String>);

impl IdempotencyKey {
    /// The key.
    #[must_use]
    pub fn as_deref(&self) -> Option<&str> {
        self.0.as_deref()
    }

    /// The same, as the store asks for it.
    #[must_use]
    pub fn stored(&self) -> Option<store::RequestKey<'_>> {
        self.as_deref().map(|key| store::RequestKey { route: ROUTE, key })
    }
}

impl FromRequest for IdempotencyKey {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut dev::Payload) -> Self::Future {
        ready(read(request.headers()))
    }
}

fn read(headers: &HeaderMap) -> Result<IdempotencyKey, Problem> {
    let refused = |code, detail: &str| Problem::invalid(vec![ProblemEntry::header(IDEMPOTENCY_KEY, code, detail)]);
    let mut given = headers.get_all(IDEMPOTENCY_KEY);
    let Some(key) = given.next() else { return Ok(IdempotencyKey(None)) };
    if given.next().is_some() {
        return Err(refused(FaultCode::Contradiction, "`Idempotency-Key` is sent more than once; send one"));
    }
    let visible = key.to_str().ok().filter(|text| text.bytes().all(|byte| (b' '..=b'~').contains(&byte)));
    match visible.map(str::trim) {
        Some(text) if (1..=IDEMPOTENCY_KEY_CHARACTERS_MAX).contains(&text.len()) => {
            Ok(IdempotencyKey(Some(text.to_owned())))
        }
        Some(_) => {
            Err(refused(FaultCode::OutOfRange, "`Idempotency-Key` has no characters or too many; give 1 to 255"))
        }
        None => Err(refused(FaultCode::WrongForm, "`Idempotency-Key` has other than visible ASCII characters")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::http::header::{HeaderName, HeaderValue};

    fn keys(values: &[&[u8]]) -> Result<IdempotencyKey, Problem> {
        let mut headers = HeaderMap::new();
        for value in values {
            let value = HeaderValue::from_bytes(value).expect("a header value in a test");
            headers.append(HeaderName::from_static("idempotency-key"), value);
        }
        read(&headers)
    }

    #[test]
    fn a_key_of_one_to_255_characters_is_taken() {
        assert_eq!(keys(&[b"a"]).expect("taken").as_deref(), Some("a"));
        assert!(keys(&[&[b'k'; 255]]).is_ok());
        assert_eq!(keys(&[]).expect("none is fine").as_deref(), None);
    }

    #[test]
    fn an_empty_an_overlong_a_doubled_and_a_foreign_key_are_refused() {
        assert!(keys(&[b""]).is_err());
        assert!(keys(&[&[b'k'; 256]]).is_err());
        assert!(keys(&[b"a", b"b"]).is_err());
        assert!(keys(&["schlüssel".as_bytes()]).is_err());
    }
}
