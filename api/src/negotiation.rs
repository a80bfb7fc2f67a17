//! Which of the forms that an answer has is given, by `Accept` (RFC 9110 section 12.5.1).

use std::future::{Ready, ready};

use actix_web::http::header::{self, HeaderMap};
use actix_web::{FromRequest, HttpRequest, dev};

use crate::body::MediaType;
use crate::problem::{Kind, Problem};

/// The first of `offered` that the caller likes best; the first of all where there is no `Accept`.
///
/// # Errors
/// A problem that names what is offered, where the caller takes none of it.
pub fn chosen<T: Copy>(headers: &HeaderMap, offered: &[(&'static str, T)]) -> Result<T, Problem> {
    let accept: Vec<&str> = headers.get_all(header::ACCEPT).filter_map(|value| value.to_str().ok()).collect();
    let ranges: Vec<Range<'_>> = accept.iter().flat_map(|text| text.split(',')).filter_map(Range::read).collect();
    let mut best: Option<(u16, T)> = None;
    for (media_type, form) in offered {
        let liking = if ranges.is_empty() { 1_000 } else { liking(&ranges, media_type) };
        if liking > best.map_or(0, |(liking, _)| liking) {
            best = Some((liking, *form));
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
        ready(gives_json(request.headers()).map(|()| Self))
    }
}

/// Whether the answer may be given in JSON, for a handler that asks once it knows who calls.
///
/// # Errors
/// `NotAcceptable` where `Accept` has no room for it.
pub fn gives_json(headers: &HeaderMap) -> Result<(), Problem> {
    chosen(headers, &[(MediaType::Json.as_str(), ())])
}

/// One entry of `Accept`.
struct Range<'a> {
    kind: &'a str,
    subtype: &'a str,
    /// Its quality, in thousandths.
    quality: u16,
}

impl<'a> Range<'a> {
    fn read(text: &'a str) -> Option<Self> {
        let mut parts = text.split(';').map(str::trim);
        let (kind, subtype) = parts.next()?.split_once('/')?;
        let quality = parts
            .filter_map(|part| part.split_once('='))
            .find(|(name, _)| name.trim().eq_ignore_ascii_case("q"))
            .map_or(1_000, |(_, value)| thousandths(value.trim()));
        Some(Self { kind, subtype, quality })
    }

    /// How closely it names the media type; none where it does not.
    fn closeness(&self, media_type: &str) -> Option<u8> {
        let (kind, subtype) = media_type.split_once('/')?;
        match (self.kind, self.subtype) {
            ("*", "*") => Some(0),
            (own, "*") if own.eq_ignore_ascii_case(kind) => Some(1),
            (own, sub) if own.eq_ignore_ascii_case(kind) && sub.eq_ignore_ascii_case(subtype) => Some(2),
            _ => None,
        }
    }
}

/// The quality of the entry that names the media type most closely; nothing where none does.
fn liking(ranges: &[Range<'_>], media_type: &str) -> u16 {
    ranges
        .iter()
        .filter_map(|range| range.closeness(media_type).map(|closeness| (closeness, range.quality)))
        .max()
        .map_or(0, |(_, quality)| quality)
}

/// A quality that is not written as one counts as full.
fn thousandths(text: &str) -> u16 {
    let quality: f32 = text.parse().unwrap_or(1.0);
    // Between 0 and 1000 by the clamp, so that nothing is cut off; what is not a number becomes 0.
    (quality.clamp(0.0, 1.0) * 1_000.0).round() as u16
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::http::header::HeaderValue;

    const OFFERED: [(&str, &str); 3] =
        [("application/json", "json"), ("text/csv", "csv"), ("application/vnd.example", "sheet")];

    fn given(accept: &'static str) -> Result<&'static str, Problem> {
        let mut headers = HeaderMap::new();
        headers.insert(header::ACCEPT, HeaderValue::from_static(accept));
        chosen(&headers, &OFFERED)
    }

    #[test]
    fn json_is_given_to_whoever_does_not_care() {
        assert_eq!(chosen(&HeaderMap::new(), &OFFERED).expect("given"), "json");
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
