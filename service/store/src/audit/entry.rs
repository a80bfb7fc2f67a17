//! An audit entry: one answer that was given, with all that is needed to give it again.

use jiff::Timestamp;
use rust_decimal::Decimal;
use tokio_postgres::Row;
use uuid::Uuid;

use crate::digest::{Digest, Framed};
use crate::packed::Packed;
use crate::{FirmId, StoreError};

/// The identifier of an entry: always a UUIDv7, which carries the time the entry was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct EntryId(Uuid);

impl EntryId {
    /// A fresh identifier, made now.
    #[must_use]
    pub fn now() -> Self {
        Self(Uuid::now_v7())
    }

    /// The identifier as it stands in a path or a document; `None` where it cannot be one of ours.
    #[must_use]
    pub fn from_uuid(id: Uuid) -> Option<Self> {
        (id.get_version_num() == 7).then_some(Self(id))
    }

    /// The identifier as a plain UUID.
    #[must_use]
    pub fn as_uuid(&self) -> Uuid {
        self.0
    }

    /// When the entry was made, to the millisecond. An answer's `created_at` must be this very time.
    #[must_use]
    pub fn created_at(&self) -> Timestamp {
        let bytes = self.0.as_bytes();
        let milliseconds = bytes[..6].iter().fold(0_i64, |sum, byte| sum << 8 | i64::from(*byte));
        // 48 bits of milliseconds reach the year 10889, jiff ends in 9999: an identifier beyond was never made by a clock.
        Timestamp::from_millisecond(milliseconds).unwrap_or(Timestamp::MAX)
    }
}

impl std::fmt::Display for EntryId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

/// What kind of answer an entry holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum EntryKind {
    /// A costed estimate.
    Estimate,
}

impl EntryKind {
    /// As it stands in the table.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Estimate => "estimate",
        }
    }

    fn from_column(text: &str) -> Option<Self> {
        [Self::Estimate].into_iter().find(|kind| kind.as_str() == text)
    }
}

/// A caller's own name for a request, so that sending it twice does it once.
#[derive(Clone, Copy, Debug)]
pub struct RequestKey<'a> {
    /// The route the key belongs to, as `POST /v1/estimates`.
    pub route: &'a str,
    /// The key as the caller sent it, 1 to 255 characters.
    pub key: &'a str,
}

/// An answer about to be given. Bodies are kept to the byte.
#[derive(Clone, Debug)]
pub struct NewEntry<'a> {
    /// The identifier, which stands in the response too.
    pub id: EntryId,
    /// What kind of answer it is.
    pub kind: EntryKind,
    /// The caller's reference of the job, if any.
    pub reference: Option<&'a str>,
    /// The request's body as it came.
    pub request: &'a [u8],
    /// The request's media type.
    pub request_media_type: &'a str,
    /// The response's body as it will be sent, compressed.
    pub response: &'a Packed,
    /// Name of the rate sheet used.
    pub rate_sheet_name: &'a str,
    /// Version of the rate sheet used.
    pub rate_sheet_version: i32,
    /// The ruleset used.
    pub ruleset: &'a str,
    /// The engine's version.
    pub engine_version: &'a str,
    /// The gross total, for look-ups; two decimal places.
    pub gross: Option<Decimal>,
    /// The caller's idempotency key, if one was sent.
    pub idempotency_key: Option<RequestKey<'a>>,
}

/// An entry as it lies in the trail.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredEntry {
    /// Its place in the firm's chain, from 1.
    pub n: i64,
    /// Its identifier.
    pub id: EntryId,
    /// What kind of answer it is.
    pub kind: EntryKind,
    /// When it was made.
    pub created_at: Timestamp,
    /// The caller's reference of the job, if any.
    pub reference: Option<String>,
    /// The request's body as it came.
    pub request: Vec<u8>,
    /// The request's media type.
    pub request_media_type: String,
    /// The response's body as it was sent; compressed, but for entries from before answers were.
    pub response: Packed,
    /// Name of the rate sheet used.
    pub rate_sheet_name: String,
    /// Version of the rate sheet used.
    pub rate_sheet_version: i32,
    /// The ruleset used.
    pub ruleset: String,
    /// The engine's version.
    pub engine_version: String,
    /// The gross total.
    pub gross: Option<Decimal>,
    /// The entry's digest.
    pub digest: Digest,
    /// The digest of the firm's entry before it; [`Digest::NONE`] for the first.
    pub previous_digest: Digest,
}

/// Number of the digest's layout; it is part of what is digested.
pub(crate) const DIGEST_FORMAT: i32 = 1;

impl NewEntry<'_> {
    /// The digest of everything in the entry but its place in the chain.
    pub(crate) fn content_digest(&self, firm: FirmId) -> Digest {
        Content {
            firm,
            id: self.id,
            created_at: self.id.created_at(),
            kind: self.kind,
            reference: self.reference,
            request: self.request,
            request_media_type: self.request_media_type,
            response: self.response,
            rate_sheet_name: self.rate_sheet_name,
            rate_sheet_version: self.rate_sheet_version,
            ruleset: self.ruleset,
            engine_version: self.engine_version,
            gross: self.gross,
        }
        .digest()
    }
}

impl StoredEntry {
    /// The digest that the entry should have after `previous`, worked out afresh from what is stored.
    pub(crate) fn digest_after(&self, previous: Digest, firm: FirmId) -> Digest {
        let content = Content {
            firm,
            id: self.id,
            created_at: self.created_at,
            kind: self.kind,
            reference: self.reference.as_deref(),
            request: &self.request,
            request_media_type: &self.request_media_type,
            response: &self.response,
            rate_sheet_name: &self.rate_sheet_name,
            rate_sheet_version: self.rate_sheet_version,
            ruleset: &self.ruleset,
            engine_version: &self.engine_version,
            gross: self.gross,
        }
        .digest();
        chain_digest(previous, self.n, content)
    }

    pub(crate) fn from_row(row: &Row) -> Result<Self, StoreError> {
        let damaged = |what: &str| StoreError::Corrupt(format!("an audit entry's {what}"));
        let n = row.try_get("n")?;
        Ok(Self {
            n,
            id: EntryId::from_uuid(row.try_get("id")?).ok_or_else(|| damaged("identifier"))?,
            kind: EntryKind::from_column(row.try_get("kind")?).ok_or_else(|| damaged("kind"))?,
            created_at: row.try_get("created_at")?,
            reference: row.try_get("reference")?,
            request: row.try_get("request")?,
            request_media_type: row.try_get("request_media_type")?,
            response: response(row)?.ok_or_else(|| damaged("response"))?,
            rate_sheet_name: row.try_get("rate_sheet_name")?,
            rate_sheet_version: row.try_get("rate_sheet_version")?,
            ruleset: row.try_get("ruleset")?,
            engine_version: row.try_get("engine_version")?,
            gross: row.try_get("gross")?,
            digest: Digest::from_column(row.try_get("digest")?).ok_or_else(|| damaged("digest"))?,
            previous_digest: Digest::from_column(row.try_get("previous_digest")?)
                .ok_or_else(|| damaged("previous digest"))?,
        })
    }
}

/// The response of a row, as it lies; none where its columns do not fit together.
fn response(row: &Row) -> Result<Option<Packed>, StoreError> {
    Ok(Packed::as_kept(row.try_get("response_coding")?, row.try_get("response")?, row.try_get("response_length")?))
}

/// What the content digest is taken over, in this order.
///
/// The place in the chain is not in it, so that the bodies (which may be large) are digested before the chain's head is
/// locked: while it is, only a hundred bytes are left to digest.
struct Content<'a> {
    firm: FirmId,
    id: EntryId,
    created_at: Timestamp,
    kind: EntryKind,
    reference: Option<&'a str>,
    request: &'a [u8],
    request_media_type: &'a str,
    response: &'a Packed,
    rate_sheet_name: &'a str,
    rate_sheet_version: i32,
    ruleset: &'a str,
    engine_version: &'a str,
    gross: Option<Decimal>,
}

impl Content<'_> {
    fn digest(&self) -> Digest {
        // `numeric(14,2)` gives back two places whatever went in.
        let gross = self.gross.map(|gross| {
            let mut gross = gross;
            gross.rescale(2);
            gross.to_string()
        });
        let content = Framed::new()
            .field(self.firm.as_uuid().as_bytes())
            .field(self.id.as_uuid().as_bytes())
            .field(&self.created_at.as_microsecond().to_be_bytes())
            .field(self.kind.as_str().as_bytes())
            .optional(self.reference.map(str::as_bytes))
            .field(self.request)
            .field(self.request_media_type.as_bytes())
            .field(self.response.bytes())
            .field(self.rate_sheet_name.as_bytes())
            .field(&self.rate_sheet_version.to_be_bytes())
            .field(self.ruleset.as_bytes())
            .field(self.engine_version.as_bytes())
            .optional(gross.as_deref().map(str::as_bytes));
        // An entry from before answers were compressed has the fields so far; every other says what its bytes are.
        match self.response.kept_length() {
            None => content,
            Some(length) => content.field(self.response.coding().as_bytes()).field(&length.to_be_bytes()),
        }
        .digest()
    }
}

/// The digest of entry `n`. The SQL function `audit_digest` is its twin; a test holds the two together.
pub(crate) fn chain_digest(previous: Digest, n: i64, content: Digest) -> Digest {
    Framed::new()
        .field(&DIGEST_FORMAT.to_be_bytes())
        .field(previous.as_bytes())
        .field(&n.to_be_bytes())
        .field(content.as_bytes())
        .digest()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_identifier_carries_the_time_it_was_made() {
        let before = Timestamp::now().as_millisecond();
        let made = EntryId::now().created_at().as_millisecond();
        let after = Timestamp::now().as_millisecond();
        assert!((before..=after).contains(&made));
    }

    #[test]
    fn a_random_uuid_is_not_an_entry() {
        assert_eq!(EntryId::from_uuid(Uuid::nil()), None);
        assert_eq!(EntryId::from_uuid(Uuid::max()), None);
    }
}
