//! SHA-256 digests.

use std::fmt;

use sha2::Digest as _;

/// A SHA-256 digest; `Display` is 64 hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Digest([u8; 32]);

impl Digest {
    /// What stands before the first entry of a chain.
    pub const NONE: Self = Self([0; 32]);

    /// The digest of some bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(sha2::Sha256::digest(bytes).into())
    }

    /// The digest that 64 hexadecimal digits stand for; none where they are not that.
    #[must_use]
    pub fn from_hex(text: &str) -> Option<Self> {
        let mut bytes = [0; 32];
        hex::decode_to_slice(text, &mut bytes).ok()?;
        // An uppercase spelling is not the one that is given out.
        Some(Self(bytes)).filter(|digest| digest.to_string() == text)
    }

    /// The 32 bytes themselves.
    #[must_use]
    pub fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    pub(crate) fn from_column(bytes: &[u8]) -> Option<Self> {
        bytes.try_into().ok().map(Self)
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex::encode(self.0))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Digest({self})")
    }
}

/// A digest over several fields, each preceded by its length, so that no two different lists give the same bytes.
///
/// A field is eight bytes of length, big-endian, then the bytes; a field that is absent is the length −1 and nothing.
pub(crate) struct Framed(sha2::Sha256);

impl Framed {
    pub(crate) fn new() -> Self {
        Self(sha2::Sha256::new())
    }

    pub(crate) fn field(mut self, bytes: &[u8]) -> Self {
        // A slice is never longer than isize::MAX bytes, so its length always fits.
        self.0.update((bytes.len() as i64).to_be_bytes());
        self.0.update(bytes);
        self
    }

    pub(crate) fn optional(mut self, bytes: Option<&[u8]>) -> Self {
        match bytes {
            Some(bytes) => self.field(bytes),
            None => {
                self.0.update((-1_i64).to_be_bytes());
                self
            }
        }
    }

    pub(crate) fn digest(self) -> Digest {
        Digest(self.0.finalize().into())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: FIPS 180-4 example, SHA-256 of "abc".
    #[test]
    fn a_digest_is_the_published_sha_256() {
        assert_eq!(Digest::of(b"abc").to_string(), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn moving_a_byte_from_one_field_to_the_next_changes_the_digest() {
        let one = Framed::new().field(b"ab").field(b"c").digest();
        let other = Framed::new().field(b"a").field(b"bc").digest();
        assert_ne!(one, other);
    }

    #[test]
    fn an_absent_field_differs_from_an_empty_one() {
        let absent = Framed::new().optional(None).digest();
        let empty = Framed::new().optional(Some(b"")).digest();
        assert_ne!(absent, empty);
    }
}
