//! The name of a request: taken from the caller where it is fit to stand in a log, else made here. It comes back as
//! `x-request-id`, and as `instance` of a problem.

use std::fmt;

use actix_web::http::header::{HeaderMap, HeaderName, HeaderValue};
use uuid::Uuid;

use crate::limits::REQUEST_ID_CHARACTERS_MAX;

/// The header that carries it, both ways.
pub const X_REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");
const TRACEPARENT: HeaderName = HeaderName::from_static("traceparent");

/// The name of a request: letters, digits, dots, dashes and underscores.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RequestId(String);

impl RequestId {
    /// From `x-request-id`, else from the trace that `traceparent` (W3C Trace Context) names, else a new one.
    #[must_use]
    pub fn of(headers: &HeaderMap) -> Self {
        let given = headers.get(X_REQUEST_ID).and_then(|value| value.to_str().ok()).filter(|text| is_fit(text));
        given.or_else(|| trace_id(headers)).map_or_else(|| Self(Uuid::now_v7().to_string()), |id| Self(id.to_owned()))
    }

    /// As `instance` of a problem.
    #[must_use]
    pub fn urn(&self) -> String {
        format!("urn:request:{}", self.0)
    }

    /// As a header.
    #[must_use]
    pub fn header(&self) -> HeaderValue {
        // Only characters that a header may hold ever get in; should that change, the header is empty, not wrong.
        HeaderValue::from_str(&self.0).unwrap_or(HeaderValue::from_static(""))
    }
}

impl fmt::Display for RequestId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// The trace that the caller's `traceparent` names, if it is one.
#[must_use]
pub fn trace_id(headers: &HeaderMap) -> Option<&str> {
    let text = headers.get(TRACEPARENT)?.to_str().ok()?;
    let mut parts = text.split('-');
    let (version, trace, span, flags) = (parts.next()?, parts.next()?, parts.next()?, parts.next()?);
    let hex = |part: &str, digits: usize| {
        part.len() == digits && part.bytes().all(|byte| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte))
    };
    let well_formed = hex(version, 2) && version != "ff" && hex(trace, 32) && hex(span, 16) && hex(flags, 2);
    let names_something = trace.bytes().any(|byte| byte != b'0') && span.bytes().any(|byte| byte != b'0');
    (well_formed && names_something).then_some(trace)
}

fn is_fit(text: &str) -> bool {
    let fit = |byte: u8| byte.is_ascii_alphanumeric() || b"._-".contains(&byte);
    (1..=REQUEST_ID_CHARACTERS_MAX).contains(&text.len()) && text.bytes().all(fit)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(name: HeaderName, value: &str) -> HeaderMap {
        let mut headers = HeaderMap::new();
        headers.insert(name, HeaderValue::from_str(value).expect("a header value in a test"));
        headers
    }

    #[test]
    fn a_fit_request_id_is_taken_over() {
        assert_eq!(RequestId::of(&headers(X_REQUEST_ID, "web-42.a_b")).to_string(), "web-42.a_b");
    }

    #[test]
    fn a_request_id_that_could_forge_a_log_line_or_fill_it_is_not_taken_over() {
        for text in ["", "a b", "a\tb", "{\"x\":1}", "<b>", &"a".repeat(65)] {
            let id = RequestId::of(&headers(X_REQUEST_ID, text)).to_string();
            assert_eq!(id.len(), 36, "{text:?} became {id}");
        }
    }

    #[test]
    fn a_trace_names_the_request_where_no_id_does() {
        let trace = "4bf92f3577b34da6a3ce929d0e0e4736";
        let parent = format!("00-{trace}-00f067aa0ba902b7-01");
        assert_eq!(RequestId::of(&headers(TRACEPARENT, &parent)).to_string(), trace);
    }

    #[test]
    fn a_malformed_trace_is_ignored() {
        for text in [
            "00-4bf92f3577b34da6a3ce929d0e0e4736",
            "00-00000000000000000000000000000000-00f067aa0ba902b7-01",
            "ff-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01",
            "00-4BF92F3577B34DA6A3CE929D0E0E4736-00f067aa0ba902b7-01",
        ] {
            assert_eq!(trace_id(&headers(TRACEPARENT, text)), None, "{text}");
        }
    }
}
