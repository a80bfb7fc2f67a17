//! Adds an entry to the trail, and finds one again.

use jiff::Timestamp;
use tokio_postgres::Row;
use tokio_postgres::types::ToSql;

use super::entry::{EntryId, NewEntry, RequestKey, StoredEntry, chain_digest};
use super::entry_columns;
use crate::database::Store;
use crate::digest::Digest;
use crate::transaction::TransactionAccess;
use crate::{FirmId, StoreError, limits};

/// What became of an answer that was to be recorded.
#[derive(Clone, Debug)]
#[must_use]
pub enum Recorded {
    /// It is in the trail, and may be sent.
    New(Receipt),
    /// The same request came before under this key: send this entry's response instead.
    Replayed(Box<StoredEntry>),
    /// The key came before with another request: refuse.
    KeyReused,
}

/// An entry's place in the chain. Given out, it proves later that the chain had come at least this far.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// The place in the firm's chain, from 1.
    pub n: i64,
    /// The entry's digest.
    pub digest: Digest,
}

/// Claims the idempotency key, moves the chain's head and adds the entry: all of it or nothing.
///
/// A key that is there and not expired is not claimed, and for a firm that is not known none is; then nothing else happens, and
/// no row comes back. A twin that is
/// being recorded at this moment holds the key; Postgres waits for it here, as long as the lock limit allows.
const RECORD: &str = "
    WITH claim AS (
        INSERT INTO idempotency_keys AS k (firm, route, key, fingerprint, entry)
        SELECT $1, $2, $3, $4, $5 FROM audit_heads WHERE firm = $1 AND $3::text IS NOT NULL
        ON CONFLICT (firm, route, key) DO UPDATE
            SET fingerprint = excluded.fingerprint, entry = excluded.entry, created_at = now()
            WHERE k.created_at < now() - make_interval(hours => $6)
        RETURNING k.firm
    ), head AS (
        UPDATE audit_heads
        SET n = n + 1, previous_digest = digest, digest = audit_digest(digest, n + 1, $7)
        WHERE firm = $1 AND ($3::text IS NULL OR EXISTS (SELECT FROM claim))
        RETURNING n, digest, previous_digest
    )
    INSERT INTO audit_entries (firm, n, id, kind, created_at, reference, request, request_media_type, response,
        response_coding, response_length, rate_sheet_name, rate_sheet_version, ruleset, engine_version, gross, digest,
        previous_digest)
    SELECT $1, head.n, $5, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, head.digest, head.previous_digest
    FROM head
    RETURNING n, digest, previous_digest";

/// The entry that a live key stands for.
const FIND_BY_KEY: &str = concat!(
    "SELECT k.fingerprint, ",
    entry_columns!(),
    " FROM idempotency_keys AS k JOIN audit_entries AS e ON e.firm = k.firm AND e.id = k.entry
      WHERE k.firm = $1 AND k.route = $2 AND k.key = $3 AND k.created_at >= now() - make_interval(hours => $4)"
);

const FIND_BY_ID: &str =
    concat!("SELECT ", entry_columns!(), " FROM audit_entries AS e WHERE e.firm = $1 AND e.id = $2");

impl Store {
    /// Records an estimate, and returns once it is committed. Only then may the response be sent.
    ///
    /// With an idempotency key, the same request sent twice, at once or within [`limits::IDEMPOTENCY_KEY_HOURS`], is
    /// recorded once.
    ///
    /// # Errors
    /// `Held` where a twin with the same key, or the firm's other requests, hold the chain too long. After `Unavailable`
    /// it is not known whether the entry was committed: sending the request again with its key finds out.
    pub async fn record_estimate(&self, firm: FirmId, entry: &NewEntry<'_>) -> Result<Recorded, StoreError> {
        let content = entry.content_digest(firm);
        let fingerprint = Digest::of(entry.request);
        // Twice, because a key that is taken at the insert may have expired by the time it is looked up.
        for _ in 0..2 {
            if let Some(row) = self.insert_entry(firm, entry, content, fingerprint).await?.first() {
                let receipt = receipt(row, content)?;
                if receipt.n % limits::FORGET_KEYS_EVERY == 0 {
                    self.forget_expired_keys(firm).await;
                }
                return Ok(Recorded::New(receipt));
            }
            let Some(key) = entry.idempotency_key else {
                break;
            };
            match self.find_by_key(firm, key).await? {
                Some((seen, _)) if seen != fingerprint => return Ok(Recorded::KeyReused),
                Some((_, stored)) => return Ok(Recorded::Replayed(Box::new(stored))),
                None => {}
            }
        }
        Err(StoreError::UnknownFirm)
    }

    /// What was recorded under that key, if anything: asked before a request is worked on that may have been before.
    ///
    /// # Errors
    /// `Corrupt` where the entry is no longer what was written.
    pub async fn find_recorded(
        &self,
        firm: FirmId,
        key: RequestKey<'_>,
        request: &[u8],
    ) -> Result<Option<Recorded>, StoreError> {
        Ok(self.find_by_key(firm, key).await?.map(|(seen, stored)| match seen == Digest::of(request) {
            true => Recorded::Replayed(Box::new(stored)),
            false => Recorded::KeyReused,
        }))
    }

    async fn insert_entry(
        &self,
        firm: FirmId,
        entry: &NewEntry<'_>,
        content: Digest,
        fingerprint: Digest,
    ) -> Result<Vec<Row>, StoreError> {
        let created_at: Timestamp = entry.id.created_at();
        self.in_transaction(
            firm,
            TransactionAccess::Write,
            RECORD,
            &[
                &firm.as_uuid(),
                &entry.idempotency_key.map(|key| key.route),
                &entry.idempotency_key.map(|key| key.key),
                &fingerprint.as_bytes().as_slice(),
                &entry.id.as_uuid(),
                &limits::IDEMPOTENCY_KEY_HOURS,
                &content.as_bytes().as_slice(),
                &entry.kind.as_str(),
                &created_at,
                &entry.reference,
                &entry.request,
                &entry.request_media_type,
                &entry.response.bytes().as_ref(),
                &entry.response.coding(),
                &entry.response.kept_length(),
                &entry.rate_sheet_name,
                &entry.rate_sheet_version,
                &entry.ruleset,
                &entry.engine_version,
                &entry.gross,
            ],
        )
        .await
    }

    async fn find_by_key(
        &self,
        firm: FirmId,
        key: RequestKey<'_>,
    ) -> Result<Option<(Digest, StoredEntry)>, StoreError> {
        let rows = self
            .in_transaction(
                firm,
                TransactionAccess::Read,
                FIND_BY_KEY,
                &[&firm.as_uuid(), &key.route, &key.key, &limits::IDEMPOTENCY_KEY_HOURS],
            )
            .await?;
        let Some(row) = rows.first() else {
            return Ok(None);
        };
        let fingerprint = Digest::from_column(row.try_get("fingerprint")?)
            .ok_or_else(|| StoreError::Corrupt("an idempotency key".to_owned()))?;
        Ok(Some((fingerprint, unaltered(firm, row)?)))
    }

    /// The estimate with that identifier, or none where the firm has no such one.
    ///
    /// # Errors
    /// `Corrupt` where the entry is no longer what was written.
    pub async fn find_estimate(&self, firm: FirmId, id: EntryId) -> Result<Option<StoredEntry>, StoreError> {
        let rows =
            self.in_transaction(firm, TransactionAccess::Read, FIND_BY_ID, &[&firm.as_uuid(), &id.as_uuid()]).await?;
        rows.first().map(|row| unaltered(firm, row)).transpose()
    }

    /// Removes the firm's expired idempotency keys. That it failed is no reason to refuse an answer already recorded.
    async fn forget_expired_keys(&self, firm: FirmId) {
        let sql = "DELETE FROM idempotency_keys WHERE firm = $1 AND created_at < now() - make_interval(hours => $2)";
        let parameters: [&(dyn ToSql + Sync); 2] = [&firm.as_uuid(), &limits::IDEMPOTENCY_KEY_HOURS];
        if let Err(error) = self.in_transaction(firm, TransactionAccess::Write, sql, &parameters).await {
            tracing::warn!(%error, "expired idempotency keys could not be removed; the next turn will");
        }
    }
}

/// The receipt of a row just written, after its digest is worked out here as well: two programs must agree on it.
fn receipt(row: &Row, content: Digest) -> Result<Receipt, StoreError> {
    let n = row.try_get("n")?;
    let digest = Digest::from_column(row.try_get("digest")?);
    let previous = Digest::from_column(row.try_get("previous_digest")?);
    match (digest, previous) {
        (Some(digest), Some(previous)) if digest == chain_digest(previous, n, content) => Ok(Receipt { n, digest }),
        _ => Err(StoreError::Corrupt(format!("audit entry {n}, just written"))),
    }
}

/// The entry of a row, if its digest still fits it.
fn unaltered(firm: FirmId, row: &Row) -> Result<StoredEntry, StoreError> {
    let entry = StoredEntry::from_row(row)?;
    if entry.digest_after(entry.previous_digest, firm) == entry.digest {
        Ok(entry)
    } else {
        Err(StoreError::Corrupt(format!("audit entry {}", entry.id)))
    }
}
