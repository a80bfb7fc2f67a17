//! Follows a firm's chain from its first entry to its head.

use tokio_postgres::Row;
use uuid::Uuid;

use super::entry::StoredEntry;
use super::entry_columns;
use crate::database::Store;
use crate::digest::Digest;
use crate::transaction::TransactionAccess;
use crate::{FirmId, StoreError, limits};

/// What following a chain showed.
#[derive(Clone, Debug, PartialEq, Eq)]
#[must_use]
pub struct Verification {
    /// Whether every entry is there and as it was written.
    pub intact: bool,
    /// How many entries there are.
    pub entries: i64,
    /// Place of the first entry that is there; none in an empty chain.
    pub first: Option<i64>,
    /// Place of the last entry that is there.
    pub last: Option<i64>,
    /// The first place that is not as it was written.
    pub breaks_at: Option<i64>,
    /// What is wrong at that place.
    pub fault: Option<ChainFault>,
}

/// How a chain is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChainFault {
    /// The entry is not there.
    Missing,
    /// Its content does not fit its digest.
    Altered,
    /// It does not name the digest of the entry before it.
    Unlinked,
    /// It stands where the chain has no place for it.
    Extra,
    /// The chain's head does not name the last entry's digest.
    HeadAltered,
}

/// The chain as it stands at one moment; entries added later are left out.
struct Extent {
    head_n: i64,
    head_digest: Digest,
    entries: i64,
    first: Option<i64>,
    last: Option<i64>,
}

const EXTENT: &str = "
    SELECT h.n, h.digest, e.entries, e.first, e.last
    FROM audit_heads AS h,
        (SELECT count(*) AS entries, min(n) AS first, max(n) AS last FROM audit_entries WHERE firm = $1) AS e
    WHERE h.firm = $1";

const ENTRIES_AFTER: &str = concat!(
    "SELECT ",
    entry_columns!(),
    " FROM audit_entries AS e WHERE e.firm = $1 AND (e.n, e.id) > ($2, $3) AND e.n <= $4 ORDER BY e.n, e.id LIMIT $5"
);

impl Store {
    /// Follows the firm's chain and says whether it is whole, and if not, where it first breaks.
    ///
    /// Reads every entry, in batches of [`limits::VERIFY_BATCH`]. A tail that was cut off together with the head's own
    /// record cannot be seen from inside: compare with a [`crate::Receipt`] that was given out.
    ///
    /// # Errors
    /// As any call of the store; a broken chain is not an error but the answer.
    pub async fn verify_chain(&self, firm: FirmId) -> Result<Verification, StoreError> {
        let extent = self.extent(firm).await?;
        let broken = self.first_break(firm, &extent).await?;
        Ok(Verification {
            intact: broken.is_none(),
            entries: extent.entries,
            first: extent.first,
            last: extent.last,
            breaks_at: broken.map(|(n, _)| n),
            fault: broken.map(|(_, fault)| fault),
        })
    }

    async fn extent(&self, firm: FirmId) -> Result<Extent, StoreError> {
        let rows = self.in_transaction(firm, TransactionAccess::Read, EXTENT, &[&firm.as_uuid()]).await?;
        let row = rows.first().ok_or(StoreError::UnknownFirm)?;
        Ok(Extent {
            head_n: row.try_get("n")?,
            head_digest: Digest::from_column(row.try_get("digest")?)
                .ok_or_else(|| StoreError::Corrupt("the head of an audit chain".to_owned()))?,
            entries: row.try_get("entries")?,
            first: row.try_get("first")?,
            last: row.try_get("last")?,
        })
    }

    async fn first_break(&self, firm: FirmId, extent: &Extent) -> Result<Option<(i64, ChainFault)>, StoreError> {
        let mut walk = Walk { firm, n: 0, digest: Digest::NONE };
        let mut after = (0_i64, Uuid::max());
        loop {
            let rows = self
                .in_transaction(
                    firm,
                    TransactionAccess::Read,
                    ENTRIES_AFTER,
                    &[&firm.as_uuid(), &after.0, &after.1, &extent.head_n, &limits::VERIFY_BATCH],
                )
                .await?;
            for row in &rows {
                if let Some(fault) = walk.step(row)? {
                    return Ok(Some(fault));
                }
            }
            match rows.last() {
                Some(row) => after = (row.try_get("n")?, row.try_get("id")?),
                None => return Ok(walk.end(extent)),
            }
        }
    }
}

/// How far a chain has been followed.
struct Walk {
    firm: FirmId,
    n: i64,
    digest: Digest,
}

impl Walk {
    /// Takes the next entry; gives the place and the fault where it does not fit.
    fn step(&mut self, row: &Row) -> Result<Option<(i64, ChainFault)>, StoreError> {
        let due = self.n + 1;
        let n: i64 = row.try_get("n")?;
        if n < due {
            return Ok(Some((n, ChainFault::Extra)));
        }
        if n > due {
            return Ok(Some((due, ChainFault::Missing)));
        }
        let entry = match StoredEntry::from_row(row) {
            Ok(entry) => entry,
            // A kind or an identifier that was never written by this program.
            Err(StoreError::Corrupt(_)) => return Ok(Some((n, ChainFault::Altered))),
            Err(error) => return Err(error),
        };
        if entry.previous_digest != self.digest {
            return Ok(Some((n, ChainFault::Unlinked)));
        }
        if entry.digest_after(self.digest, self.firm) != entry.digest {
            return Ok(Some((n, ChainFault::Altered)));
        }
        self.n = n;
        self.digest = entry.digest;
        Ok(None)
    }

    /// Compares the end of the walk with the head.
    fn end(&self, extent: &Extent) -> Option<(i64, ChainFault)> {
        if self.n < extent.head_n {
            Some((self.n + 1, ChainFault::Missing))
        } else if extent.entries > self.n {
            Some((self.n + 1, ChainFault::Extra))
        } else if self.digest != extent.head_digest {
            Some((self.n, ChainFault::HeadAltered))
        } else {
            None
        }
    }
}
