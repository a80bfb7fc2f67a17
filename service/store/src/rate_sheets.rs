//! Rate sheets: a firm's prices and labour units, as versions that never change.
//!
//! A sheet's content is a document that the store does not read. What is asked for by name and version today is the same,
//! to the byte, in ten years: an estimate of today can be worked out again then.

use jiff::Timestamp;
use tokio_postgres::Row;

use crate::database::{Store, settle};
use crate::digest::Digest;
use crate::transaction::{Access, SET_FIRM};
use crate::{FirmId, StoreError, limits};

/// A rate sheet to be kept.
#[derive(Clone, Copy, Debug)]
pub struct NewRateSheet<'a> {
    /// Its name, 1 to 100 characters.
    pub name: &'a str,
    /// Its currency, as `GBP`.
    pub currency: &'a str,
    /// The document.
    pub content: &'a [u8],
    /// Whether the figures are invented demonstration data.
    pub invented: bool,
    /// What a reader should know of it.
    pub notes: Option<&'a str>,
}

/// What is known of a version without its document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RateSheetSummary {
    /// The sheet's name.
    pub name: String,
    /// The version, from 1.
    pub version: i32,
    /// The currency.
    pub currency: String,
    /// SHA-256 of the document: the version's strong entity tag.
    pub digest: Digest,
    /// Whether the figures are invented demonstration data.
    pub invented: bool,
    /// What a reader should know of it.
    pub notes: Option<String>,
    /// When it was kept.
    pub created_at: Timestamp,
}

/// A version with its document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RateSheetVersion {
    /// What is known of it.
    pub summary: RateSheetSummary,
    /// The document, to the byte.
    pub content: Vec<u8>,
}

/// Part of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page<T> {
    /// The items of this page.
    pub items: Vec<T>,
    /// Whether more follow after the last of them.
    pub more: bool,
}

const LIST_SHEETS: &str = "
    SELECT v.name, v.version, v.currency, v.digest, v.invented, v.notes, v.created_at
    FROM rate_sheets AS s
    CROSS JOIN LATERAL (
        SELECT name, version, currency, digest, invented, notes, created_at FROM rate_sheet_versions
        WHERE firm = s.firm AND name = s.name ORDER BY version DESC LIMIT 1
    ) AS v
    WHERE s.firm = $1 AND ($2::text IS NULL OR s.name > $2)
    ORDER BY s.name LIMIT $3";

const LIST_VERSIONS: &str = "
    SELECT name, version, currency, digest, invented, notes, created_at FROM rate_sheet_versions
    WHERE firm = $1 AND name = $2 AND ($3::integer IS NULL OR version < $3)
    ORDER BY version DESC LIMIT $4";

const FIND_VERSION: &str = "
    SELECT name, version, currency, digest, invented, notes, created_at, content FROM rate_sheet_versions
    WHERE firm = $1 AND name = $2 AND ($3::integer IS NULL OR version = $3)
    ORDER BY version DESC LIMIT 1";

/// The newest version without its document.
const FIND_NEWEST: &str = "
    SELECT name, version, currency, digest, invented, notes, created_at FROM rate_sheet_versions
    WHERE firm = $1 AND name = $2
    ORDER BY version DESC LIMIT 1";

/// Only one at a time adds a version of a sheet; it ends with the transaction.
const LOCK_SHEET: &str =
    "SELECT pg_advisory_xact_lock(hashtextextended('rate sheet ' || $1::uuid || ' ' || $2::text, 0))";

const INSERT_SHEET: &str = "INSERT INTO rate_sheets (firm, name) VALUES ($1, $2) ON CONFLICT (firm, name) DO NOTHING";

const INSERT_VERSION: &str = "
    INSERT INTO rate_sheet_versions (firm, name, version, currency, content, digest, invented, notes)
    VALUES ($1, $2, $3, $4, $5, $6, $7, $8)
    RETURNING name, version, currency, digest, invented, notes, created_at";

impl Store {
    /// Keeps a sheet: where its newest version is this very document, that is it; else it becomes the next version.
    ///
    /// # Errors
    /// As any call of the store; `Refused` where the name or the currency is not one.
    pub async fn ensure_rate_sheet(
        &self,
        firm: FirmId,
        sheet: &NewRateSheet<'_>,
    ) -> Result<RateSheetSummary, StoreError> {
        let mut client = self.connection().await?;
        let digest = Digest::of(sheet.content);
        let firm = firm.as_uuid();
        let answer = tokio::time::timeout(limits::ANSWER_WAIT, async {
            let transaction = client.transaction().await?;
            transaction.query_one(SET_FIRM, &[&firm]).await?;
            transaction.query_one(LOCK_SHEET, &[&firm, &sheet.name]).await?;
            let newest = transaction.query_opt(FIND_NEWEST, &[&firm, &sheet.name]).await?;
            let newest = newest.as_ref().map(RateSheetSummary::from_row).transpose()?;
            let next = match newest {
                Some(newest) if newest.digest == digest => return Ok(newest),
                Some(newest) => newest.version + 1,
                None => 1,
            };
            transaction.execute(INSERT_SHEET, &[&firm, &sheet.name]).await?;
            let row = transaction
                .query_one(
                    INSERT_VERSION,
                    &[
                        &firm,
                        &sheet.name,
                        &next,
                        &sheet.currency,
                        &sheet.content,
                        &digest.as_bytes().as_slice(),
                        &sheet.invented,
                        &sheet.notes,
                    ],
                )
                .await?;
            transaction.commit().await?;
            RateSheetSummary::from_row(&row)
        })
        .await;
        settle(client, answer)
    }

    /// A version of a sheet with its document: the one asked for, or the newest.
    ///
    /// # Errors
    /// `Corrupt` where the document is no longer what was written.
    pub async fn find_rate_sheet(
        &self,
        firm: FirmId,
        name: &str,
        version: Option<i32>,
    ) -> Result<Option<RateSheetVersion>, StoreError> {
        let rows = self.in_transaction(firm, Access::Read, FIND_VERSION, &[&firm.as_uuid(), &name, &version]).await?;
        let Some(row) = rows.first() else {
            return Ok(None);
        };
        let summary = RateSheetSummary::from_row(row)?;
        let content: Vec<u8> = row.try_get("content")?;
        if Digest::of(&content) != summary.digest {
            return Err(StoreError::Corrupt(format!("rate sheet {} version {}", summary.name, summary.version)));
        }
        Ok(Some(RateSheetVersion { summary, content }))
    }

    /// The firm's sheets by name, each at its newest version; `after` is the last name already seen.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn list_rate_sheets(
        &self,
        firm: FirmId,
        limit: u32,
        after: Option<&str>,
    ) -> Result<Page<RateSheetSummary>, StoreError> {
        let rows =
            self.in_transaction(firm, Access::Read, LIST_SHEETS, &[&firm.as_uuid(), &after, &one_more(limit)]).await?;
        page(&rows, limit)
    }

    /// A sheet's versions, the newest first; `after` is the last version already seen. Empty where there is no such sheet.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn list_rate_sheet_versions(
        &self,
        firm: FirmId,
        name: &str,
        limit: u32,
        after: Option<i32>,
    ) -> Result<Page<RateSheetSummary>, StoreError> {
        let parameters: [&(dyn tokio_postgres::types::ToSql + Sync); 4] =
            [&firm.as_uuid(), &name, &after, &one_more(limit)];
        let rows = self.in_transaction(firm, Access::Read, LIST_VERSIONS, &parameters).await?;
        page(&rows, limit)
    }
}

impl RateSheetSummary {
    fn from_row(row: &Row) -> Result<Self, StoreError> {
        Ok(Self {
            name: row.try_get("name")?,
            version: row.try_get("version")?,
            currency: row.try_get("currency")?,
            digest: Digest::from_column(row.try_get("digest")?)
                .ok_or_else(|| StoreError::Corrupt("a rate sheet's digest".to_owned()))?,
            invented: row.try_get("invented")?,
            notes: row.try_get("notes")?,
            created_at: row.try_get("created_at")?,
        })
    }
}

/// One row more than asked for is read: whether it is there says whether the list goes on.
fn one_more(limit: u32) -> i64 {
    i64::from(limit) + 1
}

fn page(rows: &[Row], limit: u32) -> Result<Page<RateSheetSummary>, StoreError> {
    // A limit beyond the address space is as good as none.
    let limit = usize::try_from(limit).unwrap_or(usize::MAX);
    let items = rows.iter().take(limit).map(RateSheetSummary::from_row).collect::<Result<_, _>>()?;
    Ok(Page { items, more: rows.len() > limit })
}
