//! A firm's estimates, the newest first: found by reference and by when they were made, without their bodies.

use jiff::Timestamp;
use rust_decimal::Decimal;
use tokio_postgres::Row;
use tokio_postgres::types::ToSql;

use super::EntryId;
use crate::database::Store;
use crate::list::{ListPart, one_more};
use crate::transaction::TransactionAccess;
use crate::{FirmId, StoreError};

/// What is listed of an estimate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EstimateSummary {
    /// Its identifier.
    pub id: EntryId,
    /// When it was made.
    pub created_at: Timestamp,
    /// The caller's reference of the job, if any.
    pub reference: Option<String>,
    /// The gross total.
    pub gross: Option<Decimal>,
    /// Name of the rate sheet used.
    pub rate_sheet_name: String,
    /// Version of the rate sheet used.
    pub rate_sheet_version: i32,
    /// The engine's version.
    pub engine_version: String,
}

/// Which estimates are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct EstimateFilter {
    /// Only those of this reference.
    pub reference: Option<String>,
    /// Only those made at this time or later.
    pub from: Option<Timestamp>,
    /// Only those made before this time.
    pub before: Option<Timestamp>,
    /// Only those older than this one: the last of the page before.
    pub after: Option<EntryId>,
}

// Identifiers sort by time: the primary key gives the order, and the month's partition.
const LIST_ESTIMATES: &str = "
    SELECT e.id, e.created_at, e.reference, e.gross, e.rate_sheet_name, e.rate_sheet_version, e.engine_version
    FROM audit_entries AS e
    WHERE e.firm = $1 AND e.kind = 'estimate'
        AND ($2::text IS NULL OR e.reference = $2)
        AND ($3::timestamptz IS NULL OR e.created_at >= $3)
        AND ($4::timestamptz IS NULL OR e.created_at < $4)
        AND ($5::uuid IS NULL OR e.id < $5)
    ORDER BY e.id DESC LIMIT $6";

impl Store {
    /// The firm's estimates that are wanted, the newest first.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn list_estimates(
        &self,
        firm: FirmId,
        wanted: &EstimateFilter,
        limit: u32,
    ) -> Result<ListPart<EstimateSummary>, StoreError> {
        let after = wanted.after.map(|id| id.as_uuid());
        let parameters: [&(dyn ToSql + Sync); 6] =
            [&firm.as_uuid(), &wanted.reference, &wanted.from, &wanted.before, &after, &one_more(limit)];
        let rows = self.in_transaction(firm, TransactionAccess::Read, LIST_ESTIMATES, &parameters).await?;
        ListPart::of_rows(&rows, limit, EstimateSummary::from_row)
    }
}

impl EstimateSummary {
    fn from_row(row: &Row) -> Result<Self, StoreError> {
        let id = EntryId::from_uuid(row.try_get("id")?);
        Ok(Self {
            id: id.ok_or_else(|| StoreError::Corrupt("an audit entry's identifier".to_owned()))?,
            created_at: row.try_get("created_at")?,
            reference: row.try_get("reference")?,
            gross: row.try_get("gross")?,
            rate_sheet_name: row.try_get("rate_sheet_name")?,
            rate_sheet_version: row.try_get("rate_sheet_version")?,
            engine_version: row.try_get("engine_version")?,
        })
    }
}
