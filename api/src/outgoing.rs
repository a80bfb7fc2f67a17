//! What goes out: bounded in bytes, counted while it is on its way, and handed to the connection in small pieces of shared
//! bytes, so that a reader who is slow holds no second copy.

use std::error::Error;
use std::io::{self, Read, Write};
use std::pin::Pin;
use std::task::{Context, Poll, ready};

use actix_web::HttpResponse;
use actix_web::body::{BodySize, BoxBody, MessageBody};
use actix_web::web::Bytes;
use engine::work::WorkBudget;
use serde::Serialize;
use store::{Packed, Packer, Unpacking};

use crate::in_hand::HeldShare;
use crate::limits::{self, PIECE_BYTES};
use crate::problem::{Kind, Problem};

/// Bytes that an answer may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AnswerLimit(pub usize);

impl AnswerLimit {
    /// The answer as JSON. It is given up as soon as it is too large, or nobody waits for it any more.
    ///
    /// # Errors
    /// `AnswerTooLarge`, or why the work was stopped.
    pub fn written<A: Serialize>(self, answer: &A, work: &WorkBudget) -> Result<Vec<u8>, Problem> {
        self.written_into(Vec::new(), answer, work)
    }

    /// The answer as JSON, compressed as it is written.
    ///
    /// # Errors
    /// As [`Self::written`].
    pub fn packed<A: Serialize>(self, answer: &A, work: &WorkBudget) -> Result<Packed, Problem> {
        let packer = self.written_into(Packer::new().map_err(Problem::internal)?, answer, work)?;
        packer.finish().map_err(Problem::internal)
    }

    fn written_into<A: Serialize, W: Write>(self, into: W, answer: &A, work: &WorkBudget) -> Result<W, Problem> {
        let mut limited = Limited { piece: Vec::with_capacity(WRITTEN_PIECE_BYTES), into, left: self.0, work };
        match serde_json::to_writer(&mut limited, answer).map_err(io::Error::from).and_then(|()| limited.flush()) {
            Ok(()) => Ok(limited.into),
            Err(error) => {
                work.finished()?;
                Err(if error.kind() == TOO_LARGE { self.too_large() } else { Problem::internal(error) })
            }
        }
    }

    /// The answer, if it is within the limit.
    ///
    /// # Errors
    /// `AnswerTooLarge`.
    pub fn kept_by<A: AsRef<[u8]>>(self, answer: A) -> Result<A, Problem> {
        if answer.as_ref().len() <= self.0 { Ok(answer) } else { Err(self.too_large()) }
    }

    /// The bytes that the answer to a request of so many is likely to have.
    #[must_use]
    pub fn expected(self, request_bytes: u64, per_byte: u64) -> u64 {
        let likely = per_byte.saturating_mul(request_bytes);
        likely.saturating_add(limits::ANSWER_EXPECTED_BYTES).min(self.0 as u64)
    }

    fn too_large(self) -> Problem {
        let detail = format!(
            "the answer would have more than {} bytes: ask for less at a time, as fewer rooms, points, circuits or runs in a \
             request",
            self.0
        );
        Problem::new(Kind::AnswerTooLarge, detail)
    }
}

/// Bytes of an answer that are written between two looks at whether anybody waits for it: well under a millisecond's.
const WRITTEN_PIECE_BYTES: usize = 64 * 1024;
/// How a writer says that an answer is too large.
const TOO_LARGE: io::ErrorKind = io::ErrorKind::FileTooLarge;

/// Hands bytes on in pieces, until there are too many or nobody waits for them.
struct Limited<'a, W> {
    piece: Vec<u8>,
    into: W,
    left: usize,
    work: &'a WorkBudget,
}

impl<W: Write> Write for Limited<'_, W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.left = self.left.checked_sub(bytes.len()).ok_or(TOO_LARGE)?;
        if self.piece.len() + bytes.len() > WRITTEN_PIECE_BYTES {
            self.flush()?;
        }
        self.piece.extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        if !self.work.goes_on() {
            return Err(io::ErrorKind::BrokenPipe.into());
        }
        self.into.write_all(&self.piece)?;
        self.piece.clear();
        Ok(())
    }
}

/// Beside a response whose body is not held as it is sent: the bytes that it takes in memory.
#[derive(Debug, Clone, Copy)]
struct BytesHeld(u64);

/// The bytes in memory that a response stands for, until it is sent.
#[must_use]
pub fn bytes_held(response: &HttpResponse<BoxBody>) -> u64 {
    let declared = response.extensions().get::<BytesHeld>().map(|held| held.0);
    declared.unwrap_or_else(|| match response.body().size() {
        BodySize::Sized(bytes) => bytes,
        BodySize::None | BodySize::Stream => 0,
    })
}

/// The body in pieces, with the share that is held for it.
#[must_use]
pub fn in_pieces(body: BoxBody, share: HeldShare) -> BoxBody {
    BoxBody::new(InPieces { body, piece: Bytes::new(), _share: share })
}

struct InPieces {
    body: BoxBody,
    piece: Bytes,
    _share: HeldShare,
}

impl MessageBody for InPieces {
    type Error = Box<dyn Error>;

    fn size(&self) -> BodySize {
        self.body.size()
    }

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Result<Bytes, Self::Error>>> {
        if self.piece.is_empty() {
            match ready!(Pin::new(&mut self.body).poll_next(context)) {
                Some(Ok(bytes)) => self.piece = bytes,
                other => return Poll::Ready(other),
            }
        }
        let next = self.piece.len().min(PIECE_BYTES);
        Poll::Ready(Some(Ok(self.piece.split_to(next))))
    }
}

/// Puts a kept answer into a response: as it lies, or unpacked as it is sent.
///
/// # Errors
/// Where there is no memory for it.
pub fn with_packed(
    mut response: actix_web::HttpResponseBuilder,
    packed: &Packed,
    as_it_lies: bool,
) -> Result<HttpResponse, Problem> {
    if as_it_lies || !packed.is_compressed() {
        return Ok(response.body(packed.bytes().clone()));
    }
    let body = Unpacked { reader: packed.unpacking().map_err(Problem::internal)?, left: packed.unpacked_length() };
    let mut response = response.body(BoxBody::new(body));
    response.extensions_mut().insert(BytesHeld(packed.unpacking_bytes() as u64));
    Ok(response)
}

/// A packed answer, unpacked piece by piece as the connection takes it.
struct Unpacked {
    reader: Unpacking,
    left: usize,
}

impl MessageBody for Unpacked {
    type Error = io::Error;

    fn size(&self) -> BodySize {
        BodySize::Sized(self.left as u64)
    }

    fn poll_next(mut self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<Option<Result<Bytes, Self::Error>>> {
        let mut piece = vec![0; self.left.min(PIECE_BYTES)];
        if piece.is_empty() {
            return Poll::Ready(None);
        }
        let read = self.reader.read_exact(&mut piece);
        self.left -= piece.len();
        Poll::Ready(Some(read.map(|()| piece.into())))
    }
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;
    use std::sync::Arc;

    use actix_web::body;
    use engine::work::Cancellation;

    use super::*;
    use crate::in_hand::InHand;

    #[test]
    fn an_answer_is_given_up_where_it_would_be_too_large() {
        let limit = AnswerLimit(10);
        let work = WorkBudget::unlimited();
        assert_eq!(limit.written(&"12345678", &work).expect("ten with its quotes"), b"\"12345678\"");
        let packed = limit.packed(&"12345678", &work).expect("ten with its quotes");
        assert_eq!(packed.unpacked().expect("it was packed just now"), b"\"12345678\"");
        let refused = limit.written(&"123456789", &work).expect_err("eleven");
        assert_eq!(refused.kind(), Kind::AnswerTooLarge);
        assert!(refused.detail().contains("more than 10 bytes"), "{}", refused.detail());
        assert!(limit.kept_by([0; 10]).is_ok() && limit.kept_by([0; 11]).is_err());
    }

    #[test]
    fn an_answer_that_nobody_waits_for_is_written_no_further() {
        /// Gives the word when it is reached, and counts how far the writing goes on.
        struct Rows<'a>(&'a Cancellation, &'a Cell<usize>);
        impl Serialize for Rows<'_> {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_seq((0..1_000_000_usize).inspect(|row| {
                    self.1.set(*row);
                    if *row == 1_000 {
                        self.0.cancel();
                    }
                }))
            }
        }
        let (cancellation, reached) = (Cancellation::default(), Cell::new(0));
        let work = WorkBudget::cancelled_by(cancellation.clone());

        let refused = AnswerLimit(usize::MAX).packed(&Rows(&cancellation, &reached), &work);

        assert!(refused.is_err());
        assert!((1_000..1_000 + WRITTEN_PIECE_BYTES).contains(&reached.get()), "{}", reached.get());
    }

    #[actix_web::test]
    async fn a_body_goes_out_in_pieces_and_is_counted_until_it_is_gone() {
        let in_hand = Arc::new(InHand::new(1_000_000));
        let firm = store::FirmId::from_uuid(uuid::Uuid::nil());
        let whole: Vec<u8> = (0..100_000_u32).map(|number| number.to_le_bytes()[0]).collect();
        let share = in_hand.take(firm, 400_000).expect("room");
        let mut pieces = in_pieces(BoxBody::new(whole.clone()), share);
        assert!(matches!(pieces.size(), BodySize::Sized(100_000)));

        let mut sent = Vec::new();
        while let Some(piece) = std::future::poll_fn(|context| Pin::new(&mut pieces).poll_next(context)).await {
            let piece = piece.expect("a piece");
            assert!(piece.len() <= PIECE_BYTES);
            sent.extend_from_slice(&piece);
        }

        assert!(sent == whole);
        assert!(in_hand.expect_room(firm, 200_000).is_err());
        drop(pieces);
        assert!(in_hand.expect_room(firm, 200_000).is_ok());
    }

    #[actix_web::test]
    async fn a_packed_answer_is_sent_as_it_lies_or_unpacked() {
        let answer = "an answer ".repeat(50_000).into_bytes();
        let packed = Packed::of(&answer).expect("packed");
        for (as_it_lies, expected) in [(true, packed.bytes().to_vec()), (false, answer)] {
            let response = with_packed(HttpResponse::Ok(), &packed, as_it_lies).expect("a response");
            assert!(bytes_held(&response) < 1_000_000);
            assert!(matches!(response.body().size(), BodySize::Sized(bytes) if bytes == expected.len() as u64));
            let sent = body::to_bytes(response.into_body()).await.expect("a body");
            assert!(sent == expected);
        }
    }
}
