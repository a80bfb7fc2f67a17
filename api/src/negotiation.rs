//! Which of the forms that an answer has is given, by `Accept` (RFC 9110 section 12.5.1).

use std::future::{Ready, ready};

use actix_web::http::header::{Accept, AcceptEncoding, ContentEncoding, Encoding, Header, Quality, QualityItem};
use actix_web::{FromRequest, HttpRequest, dev};
use mime::Mime;

use crate::body::MediaType;
use crate::problem::{Kind, Problem};

/// The first of `offered` that the caller prefers; the first of all where there is no `Accept`.
///
/// # Errors
/// A problem that names what is offered, where the caller takes none of it.
pub fn chosen<T: Copy>(request: &HttpRequest, offered: &[(&'static str, T)]) -> Result<T, Problem> {
    // What cannot be read in it counts as not said.
    let ranges = Accept::parse(request).map(|accept| accept.0).unwrap_or_default();
    let mut best: Option<(Quality, T)> = None;
    for (media_type, form) in offered {
        let preference = if ranges.is_empty() { Quality::MAX } else { preference(&ranges, media_type) };
        if preference > best.map_or(Quality::ZERO, |(preference, _)| preference) {
            best = Some((preference, *form));
        }
    }
    best.map(|(_, form)| form).ok_or_else(|| {
        let names: Vec<&str> = offered.iter().map(|(media_type, _)| *media_type).collect();
        Problem::new(
            Kind::NotAcceptable,
            format!("this is given as {}; `Accept` allows none of them", names.join(", ")),
        )
    })
}

/// An answer that is given as JSON and nothing else: asked before a body is read.
#[derive(Debug, Clone, Copy)]
pub struct GivesJson;

impl FromRequest for GivesJson {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut dev::Payload) -> Self::Future {
        ready(gives_json(request).map(|()| Self))
    }
}

/// Whether the answer may be given in JSON, for a handler that asks once it knows who calls.
///
/// # Errors
/// `NotAcceptable` where `Accept` has no room for it.
pub fn gives_json(request: &HttpRequest) -> Result<(), Problem> {
    chosen(request, &[(MediaType::Json.as_str(), ())])
}

/// How the bytes of a kept answer are sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Coding {
    /// As they were written.
    Identity,
    /// As they are kept.
    Zstd,
}

/// How a kept answer is sent, by `Accept-Encoding` (RFC 9110 section 12.5.3); as it was written where that says nothing.
///
/// # Errors
/// `NotAcceptable` where the caller takes neither.
pub fn coding(request: &HttpRequest) -> Result<Coding, Problem> {
    let offered = [Encoding::identity(), Encoding::zstd()];
    // What cannot be read in it counts as not said.
    let accepted = AcceptEncoding::parse(request).unwrap_or(AcceptEncoding(Vec::new()));
    match accepted.negotiate(offered.iter()) {
        Some(Encoding::Known(ContentEncoding::Zstd)) => Ok(Coding::Zstd),
        Some(_) => Ok(Coding::Identity),
        None => {
            let detail = "this is sent as zstd or without a coding; `Accept-Encoding` allows neither";
            Err(Problem::new(Kind::NotAcceptable, detail))
        }
    }
}

/// The quality of the entry that names the media type most closely; nothing where none does.
fn preference(ranges: &[QualityItem<Mime>], media_type: &str) -> Quality {
    ranges
        .iter()
        .filter_map(|range| closeness(&range.item, media_type).map(|closeness| (closeness, range.quality)))
        .max()
        .map_or(Quality::ZERO, |(_, quality)| quality)
}

/// How closely a range names the media type; none where it does not.
fn closeness(range: &Mime, media_type: &str) -> Option<u8> {
    match (range.type_().as_str(), range.subtype().as_str()) {
        ("*", "*") => Some(0),
        (kind, "*") => media_type.split_once('/').is_some_and(|(own, _)| own == kind).then_some(1),
        _ => (range.essence_str() == media_type).then_some(2),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::http::header;
    use actix_web::test::TestRequest;

    const OFFERED: [(&str, &str); 3] =
        [("application/json", "json"), ("text/csv", "csv"), ("application/vnd.example", "sheet")];

    fn given(accept: &'static str) -> Result<&'static str, Problem> {
        let request = TestRequest::default().insert_header((header::ACCEPT, accept)).to_http_request();
        chosen(&request, &OFFERED)
    }

    #[test]
    fn json_is_given_to_whoever_does_not_care() {
        assert_eq!(chosen(&TestRequest::default().to_http_request(), &OFFERED).expect("given"), "json");
        assert_eq!(given("*/*").expect("given"), "json");
        assert_eq!(given("text/html, */*;q=0.1").expect("given"), "json");
    }

    #[test]
    fn the_form_with_the_highest_quality_is_given() {
        assert_eq!(given("application/json;q=0.5, text/csv").expect("given"), "csv");
        assert_eq!(given("text/*, application/json;q=0.9").expect("given"), "csv");
        assert_eq!(given("APPLICATION/VND.EXAMPLE").expect("given"), "sheet");
    }

    #[test]
    fn a_form_that_is_refused_by_name_is_not_given_through_a_wildcard() {
        assert_eq!(given("*/*, application/json;q=0").expect("given"), "csv");
    }

    #[test]
    fn where_no_form_is_taken_the_problem_names_those_offered() {
        let refused = given("image/png").expect_err("no picture");
        assert_eq!(refused.kind(), Kind::NotAcceptable);
        assert!(given("text/csv;q=0").is_err());
    }

    #[test]
    fn a_garbled_accept_harms_nobody() {
        for garbled in [";;;", ",,,", "a/b/c;q=NaN", "/", "*/*;q=-1", "*/*;q=1e99"] {
            let _ = given(garbled);
        }
    }
}
