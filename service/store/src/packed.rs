//! An answer's bytes, compressed once: they are digested, kept and sent as they then are, and unpacked for whoever does
//! not take them so.

use std::fmt;
use std::io::{self, Cursor, Read, Write};

use bytes::Bytes;
use zstd::zstd_safe::CParameter;

/// The content coding of bytes that are as they were written.
const IDENTITY: &str = "identity";
/// The content coding of one Zstandard frame (RFC 8878).
const ZSTD: &str = "zstd";

/// How hard it is tried: the quickest, at which half a megabyte of an estimate becomes a tenth in two milliseconds.
const LEVEL: i32 = 1;
/// The frame looks back 128 KiB (a power of two): as much memory, and little more, is what unpacking takes.
const WINDOW_LOG: u32 = 17;
/// What unpacking holds besides the packed bytes: the window, one block and the tables of the library, rounded up.
const UNPACKING_BYTES: usize = 512 * 1024;

/// An answer's bytes as they are kept.
#[derive(Clone, PartialEq, Eq)]
pub struct Packed {
    bytes: Bytes,
    /// The length of the answer itself, where the bytes are compressed.
    unpacked: Option<usize>,
}

/// Takes an answer piece by piece and compresses it on the way: it is never whole in memory. Each write costs a call of the
/// library: give it pieces of some size.
pub struct Packer {
    encoder: zstd::Encoder<'static, Vec<u8>>,
    taken: usize,
}

/// Reads a packed answer piece by piece, in little memory.
pub struct Unpacking(Reader);

enum Reader {
    Plain(Cursor<Bytes>),
    Zstd(zstd::Decoder<'static, Cursor<Bytes>>),
}

impl Packed {
    /// Compresses an answer.
    ///
    /// # Errors
    /// Where there is no memory for it.
    pub fn of(answer: &[u8]) -> io::Result<Self> {
        let mut packer = Packer::new()?;
        packer.write_all(answer)?;
        packer.finish()
    }

    /// An answer as entries held it before answers were compressed.
    #[must_use]
    pub fn plain(answer: impl Into<Bytes>) -> Self {
        Self { bytes: answer.into(), unpacked: None }
    }

    /// The bytes of a row; none where its columns do not fit together.
    pub(crate) fn as_kept(coding: &str, bytes: Vec<u8>, length: Option<i64>) -> Option<Self> {
        let unpacked = length.map(usize::try_from).transpose().ok()?;
        (coding == coding_of(unpacked)).then(|| Self { bytes: bytes.into(), unpacked })
    }

    /// The column beside the bytes: the answer's length where they are compressed.
    pub(crate) fn kept_length(&self) -> Option<i64> {
        self.unpacked.and_then(|length| i64::try_from(length).ok())
    }

    /// What the bytes are, as HTTP's content codings are named: `identity` or `zstd`.
    #[must_use]
    pub fn coding(&self) -> &'static str {
        coding_of(self.unpacked)
    }

    /// Whether they are compressed.
    #[must_use]
    pub fn is_compressed(&self) -> bool {
        self.unpacked.is_some()
    }

    /// The bytes as they are kept.
    #[must_use]
    pub fn bytes(&self) -> &Bytes {
        &self.bytes
    }

    /// The length of the answer itself.
    #[must_use]
    pub fn unpacked_length(&self) -> usize {
        self.unpacked.unwrap_or(self.bytes.len())
    }

    /// The memory that [`Self::unpacking`] holds.
    #[must_use]
    pub fn unpacking_bytes(&self) -> usize {
        self.bytes.len() + if self.is_compressed() { UNPACKING_BYTES } else { 0 }
    }

    /// The answer, whole.
    ///
    /// # Errors
    /// Where the bytes are not what they say: after a look at the entry's digest they are.
    pub fn unpacked(&self) -> io::Result<Vec<u8>> {
        match self.unpacked {
            None => Ok(self.bytes.to_vec()),
            Some(length) => zstd::bulk::decompress(&self.bytes, length),
        }
    }

    /// The answer, to be read piece by piece.
    ///
    /// # Errors
    /// Where there is no memory for it.
    pub fn unpacking(&self) -> io::Result<Unpacking> {
        let bytes = Cursor::new(self.bytes.clone());
        Ok(Unpacking(match self.unpacked {
            None => Reader::Plain(bytes),
            Some(_) => Reader::Zstd(zstd::Decoder::with_buffer(bytes)?.single_frame()),
        }))
    }
}

impl Packer {
    /// Ready for an answer.
    ///
    /// # Errors
    /// Where there is no memory for it.
    pub fn new() -> io::Result<Self> {
        let mut encoder = zstd::Encoder::new(Vec::new(), LEVEL)?;
        encoder.set_parameter(CParameter::WindowLog(WINDOW_LOG))?;
        Ok(Self { encoder, taken: 0 })
    }

    /// The answer that was written.
    ///
    /// # Errors
    /// Where there is no memory for it.
    pub fn finish(self) -> io::Result<Packed> {
        Ok(Packed { bytes: self.encoder.finish()?.into(), unpacked: Some(self.taken) })
    }
}

impl Write for Packer {
    fn write(&mut self, piece: &[u8]) -> io::Result<usize> {
        let taken = self.encoder.write(piece)?;
        self.taken += taken;
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.encoder.flush()
    }
}

fn coding_of(unpacked: Option<usize>) -> &'static str {
    if unpacked.is_some() { ZSTD } else { IDENTITY }
}

impl Read for Unpacking {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match &mut self.0 {
            Reader::Plain(bytes) => bytes.read(buffer),
            Reader::Zstd(decoder) => decoder.read(buffer),
        }
    }
}

/// Says how much there is and not what: an answer is a firm's own.
impl fmt::Debug for Packed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Packed({} bytes, {}, of {})", self.bytes.len(), self.coding(), self.unpacked_length())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two megabytes, half of them of the kind that does not get smaller.
    fn answer() -> Vec<u8> {
        let mut number = 1_u32;
        let mut next = || {
            number = number.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            number.to_be_bytes()
        };
        (0..250_000).flat_map(|_| [next(), *b"text"].concat()).collect()
    }

    #[test]
    fn what_was_packed_comes_out_to_the_byte_whole_and_piece_by_piece() {
        for answer in [Vec::new(), b"{}".to_vec(), answer()] {
            for packed in [Packed::of(&answer).expect("packed"), Packed::plain(answer.clone())] {
                let mut pieces = Vec::new();
                packed.unpacking().expect("begun").read_to_end(&mut pieces).expect("read");

                assert_eq!(packed.unpacked_length(), answer.len());
                assert!(pieces == answer && packed.unpacked().expect("unpacked") == answer);
            }
        }
    }

    #[test]
    fn what_is_cut_short_or_altered_is_not_taken_for_an_answer() {
        let whole = Packed::of(&answer()).expect("packed");
        let cut = Packed { bytes: whole.bytes.slice(..whole.bytes.len() / 2), ..whole.clone() };
        let longer = Packed { unpacked: Some(3), ..whole };

        assert!(cut.unpacked().is_err() && longer.unpacked().is_err());
        assert!(cut.unpacking().expect("begun").read_to_end(&mut Vec::new()).is_err());
    }

    #[test]
    fn columns_that_do_not_fit_together_are_no_answer() {
        for (coding, length) in [("zstd", None), ("identity", Some(2)), ("zstd", Some(-1)), ("br", Some(2)), ("", None)]
        {
            assert_eq!(Packed::as_kept(coding, Vec::new(), length), None, "{coding} {length:?}");
        }
    }
}
