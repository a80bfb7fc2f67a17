//! Reading a request's body: who sends it, its media type and the queue first, then its bytes, within their limits of size
//! and time.

use std::future::Future;
use std::marker::PhantomData;
use std::pin::Pin;

use actix_web::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use actix_web::web::{Bytes, BytesMut};
use actix_web::{FromRequest, HttpRequest, dev};
use futures_util::StreamExt;

use crate::caller::Caller;
use crate::in_hand::HeldShare;
use crate::limits;
use crate::problem::{Kind, Problem};
use crate::state::AppState;

/// A media type that is read here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MediaType {
    /// `application/json`.
    Json,
    /// `text/csv`.
    Csv,
}

impl MediaType {
    /// As it is written.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Json => "application/json",
            Self::Csv => "text/csv",
        }
    }
}

/// What a handler reads.
pub trait Accepts: 'static {
    /// The media types.
    const MEDIA_TYPES: &'static [MediaType];
    /// The same, as the header `Accept-Post`.
    const ACCEPT_POST: &'static str;
    /// Whether the request is recorded, and waits to be admitted as a whole.
    const RECORDED: bool = false;
    /// Bytes of the answer to be expected for each byte of the request.
    const ANSWER_PER_BYTE: u64 = limits::ANSWER_EXPECTED_PER_BYTE;
    /// Bytes that it may have.
    const BYTES_MAX: usize = limits::BODY_BYTES_MAX;
}

/// JSON and nothing else.
#[derive(Debug)]
pub struct Json;

impl Accepts for Json {
    const MEDIA_TYPES: &'static [MediaType] = &[MediaType::Json];
    const ACCEPT_POST: &'static str = "application/json";
}

/// A long list of circuits as JSON.
#[derive(Debug)]
pub struct JsonCircuits;

impl Accepts for JsonCircuits {
    const MEDIA_TYPES: &'static [MediaType] = Json::MEDIA_TYPES;
    const ACCEPT_POST: &'static str = Json::ACCEPT_POST;
    const ANSWER_PER_BYTE: u64 = limits::CIRCUITS_EXPECTED_PER_BYTE;
    const BYTES_MAX: usize = limits::CIRCUITS_BYTES_MAX;
}

/// A survey to be priced and kept: JSON, or a tally as CSV.
#[derive(Debug)]
pub struct JsonOrCsv;

impl Accepts for JsonOrCsv {
    const MEDIA_TYPES: &'static [MediaType] = &[MediaType::Json, MediaType::Csv];
    const ACCEPT_POST: &'static str = "application/json, text/csv";
    const RECORDED: bool = true;
}

/// A rate sheet as JSON.
#[derive(Debug)]
pub struct SheetJson;

impl Accepts for SheetJson {
    const MEDIA_TYPES: &'static [MediaType] = &[MediaType::Json];
    const ACCEPT_POST: &'static str = "application/json";
    const ANSWER_PER_BYTE: u64 = 0;
    const BYTES_MAX: usize = limits::RATE_SHEET_BYTES_MAX;
}

/// What a firm or its client puts on papers, as JSON.
#[derive(Debug)]
pub struct PaperJson;

impl Accepts for PaperJson {
    const MEDIA_TYPES: &'static [MediaType] = Json::MEDIA_TYPES;
    const ACCEPT_POST: &'static str = Json::ACCEPT_POST;
    const ANSWER_PER_BYTE: u64 = 1;
}

/// A section of a rate sheet as CSV.
#[derive(Debug)]
pub struct SheetCsv;

impl Accepts for SheetCsv {
    const MEDIA_TYPES: &'static [MediaType] = &[MediaType::Csv];
    const ACCEPT_POST: &'static str = "text/csv";
    const ANSWER_PER_BYTE: u64 = 0;
    const BYTES_MAX: usize = limits::RATE_SHEET_BYTES_MAX;
}

/// A body as it came, of a media type that the handler reads.
#[derive(Debug)]
pub struct Body<A> {
    /// What it says it is.
    pub media_type: MediaType,
    /// The very bytes.
    pub bytes: Bytes,
    /// What they and the answer that is to be expected take of the room for all: held until the answer is there.
    pub share: HeldShare,
    accepts: PhantomData<fn() -> A>,
}

impl<A: Accepts> FromRequest for Body<A> {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut dev::Payload) -> Self::Future {
        let head = media_type::<A>(request.headers())
            .and_then(|media_type| Ok((media_type, small_enough(request.headers(), A::BYTES_MAX)?)));
        let (caller, service) = (Caller::extract(request), AppState::of(request));
        let payload = payload.take();
        Box::pin(async move {
            // A body that is not going to be worked on is not read.
            let caller = caller.await?;
            let (media_type, length) = head?;
            let service = service?;
            let answer = |length| service.answer_limit.expected(length, A::ANSWER_PER_BYTE);
            let queue = service.engine_pool.expect_room(caller.firm, A::RECORDED);
            let held = service.in_hand.expect_room(caller.firm, length.saturating_add(answer(length)));
            if let Err(no_room) = queue.and(held) {
                tokio::time::sleep(limits::REFUSAL_PAUSE).await;
                return Err(no_room);
            }
            let share = service.in_hand.take(caller.firm, 0)?;
            let (bytes, mut share) = tokio::time::timeout(limits::BODY_TIME, collect(payload, A::BYTES_MAX, share))
                .await
                .map_err(|_| {
                    let seconds = limits::BODY_TIME.as_secs();
                    Problem::new(Kind::RequestTimeout, format!("the body was not complete within {seconds} seconds"))
                })??;
            share.grow(answer(bytes.len() as u64))?;
            Ok(Self { media_type, bytes, share, accepts: PhantomData })
        })
    }
}

fn media_type<A: Accepts>(headers: &HeaderMap) -> Result<MediaType, Problem> {
    let refused = |detail: String| {
        let accepted = (HeaderName::from_static("accept-post"), HeaderValue::from_static(A::ACCEPT_POST));
        Problem::new(Kind::UnsupportedMediaType, detail).with_header(accepted.0, accepted.1)
    };
    if headers.get_all(header::CONTENT_ENCODING).any(|coding| coding != "identity") {
        let plain = (header::ACCEPT_ENCODING, HeaderValue::from_static("identity"));
        return Err(refused("a compressed body is not read: send it plain".to_owned()).with_header(plain.0, plain.1));
    }
    let Some(given) = headers.get(header::CONTENT_TYPE) else {
        return Err(refused(format!("`Content-Type` is missing: send {}", A::ACCEPT_POST)));
    };
    let text = given.to_str().unwrap_or_default();
    let mut parts = text.split(';').map(str::trim);
    let essence = parts.next().unwrap_or_default().to_ascii_lowercase();
    let Some(known) = A::MEDIA_TYPES.iter().find(|media_type| media_type.as_str() == essence) else {
        return Err(refused(format!("`Content-Type` is not one that is read here: send {}", A::ACCEPT_POST)));
    };
    let foreign_charset = parts.filter_map(|part| part.split_once('=')).find(|(name, value)| {
        let value = value.trim_matches('"').to_ascii_lowercase();
        name.eq_ignore_ascii_case("charset") && !["utf-8", "us-ascii"].contains(&value.as_str())
    });
    match foreign_charset {
        Some(_) => Err(refused("the text is not in UTF-8: send it in UTF-8".to_owned())),
        None => Ok(*known),
    }
}

/// What says beforehand that it is too large is refused without reading it. Gives the length that was said, or 0.
fn small_enough(headers: &HeaderMap, most: usize) -> Result<u64, Problem> {
    let length = headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok()?.parse::<u64>().ok());
    match length {
        Some(length) if length > most as u64 => Err(too_large(most)),
        length => Ok(length.unwrap_or_default()),
    }
}

fn too_large(most: usize) -> Problem {
    Problem::new(Kind::BodyTooLarge, format!("the body has more than {most} bytes"))
}

/// What has come is counted as it comes: a length that is only announced takes no room.
async fn collect(mut payload: dev::Payload, most: usize, mut share: HeldShare) -> Result<(Bytes, HeldShare), Problem> {
    let mut bytes = BytesMut::new();
    while let Some(chunk) = payload.next().await {
        let chunk = chunk.map_err(Problem::from)?;
        if bytes.len() + chunk.len() > most {
            return Err(too_large(most));
        }
        let room = bytes.capacity();
        bytes.extend_from_slice(&chunk);
        share.grow((bytes.capacity() - room) as u64)?;
    }
    Ok((bytes.freeze(), share))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(content_type: &'static str) -> Result<MediaType, Problem> {
        let mut headers = HeaderMap::new();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(content_type));
        media_type::<JsonOrCsv>(&headers)
    }

    #[test]
    fn json_and_csv_are_read_with_the_parameters_that_they_may_have() {
        assert_eq!(of("application/json").expect("read"), MediaType::Json);
        assert_eq!(of("Application/JSON; charset=UTF-8").expect("read"), MediaType::Json);
        assert_eq!(of("text/csv; header=present; charset=\"utf-8\"").expect("read"), MediaType::Csv);
    }

    #[test]
    fn another_type_or_charset_is_refused() {
        for wrong in
            ["text/plain", "application/json-seq", "text/csv; charset=utf-16", "", "application/x-www-form-urlencoded"]
        {
            let refused = of(wrong).expect_err(wrong);
            assert_eq!(refused.kind(), Kind::UnsupportedMediaType, "{wrong}");
        }
    }

    #[test]
    fn a_compressed_body_is_refused() {
        let mut headers = HeaderMap::new();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static("application/json"));
        headers.insert(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"));
        assert_eq!(media_type::<Json>(&headers).expect_err("gzip").kind(), Kind::UnsupportedMediaType);
    }
}
