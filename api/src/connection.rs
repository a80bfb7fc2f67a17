//! The connection to a caller, below the server library: it gives up on who does not read, and puts a problem document in
//! place of what the library answers by itself, a bare status, to what is no HTTP or comes too slowly.

use std::fmt::Write as _;
use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll, ready};
use std::time::{Duration, SystemTime};

use actix_web::body::MessageBody;
use actix_web::http::header::{CONTENT_LENGTH, HeaderMap, HttpDate};
use actix_web::http::{StatusCode, Version};
use actix_web::rt::net::TcpStream;
use actix_web::web::Bytes;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Instant, Sleep, sleep_until};

use crate::limits::{HEAD_TIME, PIECE_BYTES};
use crate::middleware::decorate;
use crate::problem::{Kind, Problem};
use crate::refusals::Refusals;
use crate::request_id::RequestId;

/// A caller's connection.
pub struct Connection<S = TcpStream> {
    stream: S,
    patience: Duration,
    waiting: Option<PieceDue>,
    document: Bytes,
    refusals: Arc<Refusals>,
}

/// The reader has not taken a piece yet.
struct PieceDue {
    until: Pin<Box<Sleep>>,
    taken: usize,
}

impl<S> Connection<S> {
    /// A connection whose reader has so much time for every piece.
    pub fn new(stream: S, patience: Duration, refusals: Arc<Refusals>) -> Self {
        Self { stream, patience, waiting: None, document: Bytes::new(), refusals }
    }

    /// The document in place of a bare status.
    fn dress(&mut self, status: StatusCode) {
        let id = RequestId::of(&HeaderMap::new());
        let problem = of_library(status);
        self.refusals.count(&problem, &id);
        self.document = written(&problem, &id);
    }
}

impl<S: AsyncWrite + Unpin> Connection<S> {
    /// Writes as far as the reader takes it. A piece takes as long as the patience at most, in however many writes.
    fn write_patiently(&mut self, context: &mut Context<'_>, bytes: &[u8]) -> Poll<io::Result<usize>> {
        match Pin::new(&mut self.stream).poll_write(context, bytes) {
            Poll::Ready(Ok(written)) => {
                let taken = self.waiting.as_ref().map_or(0, |waiting| waiting.taken) + written;
                match &mut self.waiting {
                    Some(waiting) if written < bytes.len() && taken < PIECE_BYTES => waiting.taken = taken,
                    waiting => *waiting = None,
                }
                Poll::Ready(Ok(written))
            }
            Poll::Ready(Err(error)) => Poll::Ready(Err(error)),
            Poll::Pending => {
                let patience = self.patience;
                let begun = || PieceDue { until: Box::pin(sleep_until(Instant::now() + patience)), taken: 0 };
                ready!(self.waiting.get_or_insert_with(begun).until.as_mut().poll(context));
                tracing::debug!("a reader was cut off");
                Poll::Ready(Err(io::ErrorKind::TimedOut.into()))
            }
        }
    }

    fn write_document(&mut self, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        while !self.document.is_empty() {
            let document = self.document.clone();
            let written = ready!(self.write_patiently(context, &document))?;
            if written == 0 {
                return Poll::Ready(Err(io::ErrorKind::WriteZero.into()));
            }
            self.document = document.slice(written..);
        }
        Poll::Ready(Ok(()))
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Connection<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        let before = buffer.filled().len();
        ready!(Pin::new(&mut self.stream).poll_read(context, buffer))?;
        // Whoever closes its side has gone: the request is dropped, and with it the work for it. The library could be told so
        // too, and would then drop an honest request because nonsense came behind it.
        let gone = buffer.filled().len() == before && buffer.remaining() > 0;
        Poll::Ready(if gone { Err(io::ErrorKind::ConnectionAborted.into()) } else { Ok(()) })
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Connection<S> {
    fn poll_write(mut self: Pin<&mut Self>, context: &mut Context<'_>, bytes: &[u8]) -> Poll<io::Result<usize>> {
        ready!(self.write_document(context))?;
        match bare_answer(bytes) {
            None => self.write_patiently(context, bytes),
            Some((0, status)) => {
                self.dress(status);
                // What does not go out at once goes out when the connection is flushed.
                match self.write_document(context) {
                    Poll::Ready(Err(error)) => Poll::Ready(Err(error)),
                    Poll::Ready(Ok(())) | Poll::Pending => Poll::Ready(Ok(bytes.len())),
                }
            }
            Some((before, _)) => self.write_patiently(context, &bytes[..before]),
        }
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        ready!(self.write_document(context))?;
        Pin::new(&mut self.stream).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        ready!(self.write_document(context))?;
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}

/// The longest head that the library writes by itself.
const BARE_HEAD_BYTES_MAX: usize = 200;

/// Where in what is to be written an answer of the library's own begins, and its status. It is a head without a body and
/// without the headers that every answer of the service has, at the very end: after it the library closes.
///
/// No body of ours can look like it: none ends with an empty line.
fn bare_answer(bytes: &[u8]) -> Option<(usize, StatusCode)> {
    if !bytes.ends_with(b"\r\n\r\n") {
        return None;
    }
    let from = bytes.len().saturating_sub(BARE_HEAD_BYTES_MAX);
    let place = from + bytes[from..].windows(7).rposition(|window| window == b"HTTP/1.")?;
    let head = std::str::from_utf8(&bytes[place..]).ok()?;
    let mut lines = head.trim_end_matches("\r\n").split("\r\n");
    let status = lines.next()?.split(' ').nth(1)?.parse::<u16>().ok()?;
    let status = StatusCode::from_u16(status).ok().filter(|status| status.as_u16() >= 400)?;
    let fields: Option<Vec<(&str, &str)>> = lines.map(|line| line.split_once(": ")).collect();
    let fields = fields?;
    let bare = fields.iter().all(|(name, _)| ["content-length", "connection", "date"].contains(name));
    (bare && fields.contains(&(CONTENT_LENGTH.as_str(), "0"))).then_some((place, status))
}

/// What the library means by a status of its own.
fn of_library(status: StatusCode) -> Problem {
    match status {
        StatusCode::BAD_REQUEST => Problem::of_kind(Kind::MalformedRequest),
        StatusCode::REQUEST_TIMEOUT => {
            let detail = format!("the head of the request was not complete within {} seconds", HEAD_TIME.as_secs());
            Problem::new(Kind::RequestTimeout, detail)
        }
        other => Problem::of_status(other),
    }
}

/// The whole answer as HTTP. The library closes the connection after it.
fn written(problem: &Problem, id: &RequestId) -> Bytes {
    let mut response = problem.response(Some(id));
    decorate(response.headers_mut(), id);
    let status = response.status();
    let (response, body) = response.into_parts();
    let body = body.try_into_bytes().unwrap_or_default();
    // Writing to a string cannot fail.
    let mut head = String::new();
    let _ = write!(head, "{:?} {status}\r\n", Version::HTTP_11);
    for (name, value) in response.headers() {
        let _ = write!(head, "{name}: {}\r\n", value.to_str().unwrap_or_default());
    }
    let date = HttpDate::from(SystemTime::now());
    let _ = write!(head, "{CONTENT_LENGTH}: {}\r\nconnection: close\r\ndate: {date}\r\n\r\n", body.len());
    let mut answer = head.into_bytes();
    answer.extend_from_slice(&body);
    answer.into()
}

#[cfg(test)]
mod tests {
    use tokio::io::{AsyncReadExt, AsyncWriteExt};

    use super::*;

    const BARE: &str = "HTTP/1.1 400 Bad Request\r\ncontent-length: 0\r\nconnection: close\r\ndate: Sun, 06 Nov 1994 08:49:37 GMT\r\n\r\n";

    fn connection(room: usize, patience: Duration) -> (Connection<tokio::io::DuplexStream>, tokio::io::DuplexStream) {
        let (near, far) = tokio::io::duplex(room);
        (Connection::new(near, patience, Arc::default()), far)
    }

    #[test]
    fn a_bare_answer_is_found_behind_another_and_answers_of_the_service_are_not_taken_for_one() {
        let ours = "HTTP/1.1 404 Not Found\r\ncontent-length: 2\r\nx-request-id: 1\r\n\r\n{}";
        assert_eq!(bare_answer(BARE.as_bytes()), Some((0, StatusCode::BAD_REQUEST)));
        assert_eq!(bare_answer(format!("{ours}{BARE}").as_bytes()), Some((ours.len(), StatusCode::BAD_REQUEST)));
        for other in [
            ours.to_owned(),
            "HTTP/1.1 404 Not Found\r\ncontent-length: 2\r\nx-request-id: 1\r\n\r\n".to_owned(),
            BARE.replace("400 Bad Request", "200 OK"),
            BARE.replace("length: 0", "length: 9"),
            BARE.replace("connection: close", "etag: 1"),
            format!("{BARE} "),
            "\r\n\r\n".to_owned(),
        ] {
            assert_eq!(bare_answer(other.as_bytes()), None, "{other}");
        }
    }

    #[actix_web::test]
    async fn a_bare_answer_goes_out_as_a_problem_document() {
        let (mut connection, mut far) = connection(10_000, Duration::from_secs(1));
        connection.write_all(format!("HTTP/1.1 200 OK\r\n\r\n{BARE}").as_bytes()).await.expect("it is taken");
        connection.shutdown().await.expect("it ends");

        let mut read = String::new();
        far.read_to_string(&mut read).await.expect("text");

        let answer = read.strip_prefix("HTTP/1.1 200 OK\r\n\r\n").expect("what came before stands");
        let (head, body) = answer.split_once("\r\n\r\n").expect("a body");
        assert!(head.starts_with("HTTP/1.1 400 Bad Request\r\n"), "{head}");
        assert!(
            head.contains("content-type: application/problem+json") && head.contains("connection: close"),
            "{head}"
        );
        assert!(head.contains(&format!("content-length: {}\r\n", body.len())), "{head}");
        assert!(body.contains("/problems#malformed-request"), "{body}");
    }

    #[actix_web::test]
    async fn a_reader_who_takes_nothing_or_next_to_nothing_is_cut_off() {
        for dribble in [0, 1] {
            let (mut connection, mut far) = connection(1_000, Duration::from_millis(100));
            let reading = actix_web::rt::spawn(async move {
                loop {
                    let _ = far.read(&mut vec![0; dribble]).await;
                    tokio::time::sleep(Duration::from_millis(5)).await;
                }
            });

            let begun = std::time::Instant::now();
            let cut_off = connection.write_all(&[b'a'; 100_000]).await.expect_err("it gives up");

            assert_eq!(cut_off.kind(), io::ErrorKind::TimedOut);
            assert!(begun.elapsed() < Duration::from_secs(2), "{:?}", begun.elapsed());
            reading.abort();
        }
    }

    #[actix_web::test]
    async fn a_reader_who_takes_a_piece_in_time_has_time_for_the_next() {
        let (mut connection, mut far) = connection(1_000, Duration::from_millis(200));
        let reading = actix_web::rt::spawn(async move {
            for _ in 0..20 {
                far.read_exact(&mut vec![0; PIECE_BYTES]).await.expect("a piece");
                tokio::time::sleep(Duration::from_millis(50)).await;
            }
        });

        connection.write_all(&vec![b'a'; 20 * PIECE_BYTES]).await.expect("it takes a second, and none of it too long");

        reading.await.expect("all was read");
    }
}
