//! Rate sheets: a firm's prices and labour units, as versions that never change.
//!
//! A sheet's content is a document that the store does not read. What is asked for by name and version today is the same,
//! to the byte, in ten years: an estimate of today can be worked out again then.

use jiff::Timestamp;
use jiff::civil::Date;
use tokio_postgres::{Row, Transaction};

use crate::database::{Store, answer_or_discard};
use crate::digest::Digest;
use crate::list::{ListPart, one_more};
use crate::transaction::{SET_FIRM, TransactionAccess};
use crate::{FirmId, StoreError};

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
    /// The first day on which it is used where none is named; at once if there is none.
    pub effective_from: Option<Date>,
    /// The last such day; without end if there is none.
    pub effective_until: Option<Date>,
}

/// What the writer of a version takes to be there: a twin that was quicker is not written over.
#[derive(Clone, Copy, Debug)]
pub enum Expected<'a> {
    /// Whatever is there, or nothing.
    Anything,
    /// No sheet of that name.
    Nothing,
    /// A sheet, whatever its newest version.
    Something,
    /// A sheet whose newest version has one of these digests.
    Newest(&'a [Digest]),
}

/// What became of a version that was to be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
#[must_use]
pub enum Kept {
    /// It is the newest version now.
    New(RateSheetSummary),
    /// The newest version was this very document already.
    Same(RateSheetSummary),
    /// Something else was there than was expected: the newest version, or nothing.
    Otherwise(Option<RateSheetSummary>),
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
    /// The first day on which it is used where none is named; at once if there is none.
    pub effective_from: Option<Date>,
    /// The last such day; without end if there is none.
    pub effective_until: Option<Date>,
}

/// A version with its document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RateSheetVersion {
    /// What is known of it.
    pub summary: RateSheetSummary,
    /// The document, to the byte.
    pub content: Vec<u8>,
}

/// The columns of [`RateSheetSummary`], of the table that goes by the name `v`.
macro_rules! summary_columns {
    () => {
        "v.name, v.version, v.currency, v.digest, v.invented, v.notes, v.created_at, v.effective_from, v.effective_until"
    };
}

const LIST_SHEETS: &str = concat!(
    "SELECT ",
    summary_columns!(),
    " FROM rate_sheets AS s
    CROSS JOIN LATERAL (
        SELECT name, version, currency, digest, invented, notes, created_at, effective_from, effective_until
        FROM rate_sheet_versions
        WHERE firm = s.firm AND name = s.name ORDER BY version DESC LIMIT 1
    ) AS v
    WHERE s.firm = $1 AND ($2::text IS NULL OR s.name > $2)
    ORDER BY s.name LIMIT $3"
);

const LIST_VERSIONS: &str = concat!(
    "SELECT ",
    summary_columns!(),
    " FROM rate_sheet_versions AS v
    WHERE v.firm = $1 AND v.name = $2 AND ($3::integer IS NULL OR v.version < $3)
    ORDER BY v.version DESC LIMIT $4"
);

const FIND_VERSION: &str = concat!(
    "SELECT v.content, ",
    summary_columns!(),
    " FROM rate_sheet_versions AS v
    WHERE v.firm = $1 AND v.name = $2 AND ($3::integer IS NULL OR v.version = $3)
    ORDER BY v.version DESC LIMIT 1"
);

/// The newest version without its document, in effect on a day if one is given.
const FIND_NEWEST: &str = concat!(
    "SELECT ",
    summary_columns!(),
    " FROM rate_sheet_versions AS v
    WHERE v.firm = $1 AND v.name = $2
        AND ($3::date IS NULL OR coalesce(v.effective_from, '-infinity') <= $3 AND coalesce(v.effective_until, 'infinity') >= $3)
    ORDER BY v.version DESC LIMIT 1"
);

/// The first version that is a certain document, without it.
const FIND_DOCUMENT: &str = concat!(
    "SELECT ",
    summary_columns!(),
    " FROM rate_sheet_versions AS v WHERE v.firm = $1 AND v.name = $2 AND v.digest = $3 ORDER BY v.version LIMIT 1"
);

/// Only one at a time adds a version of a sheet; it ends with the transaction.
const LOCK_SHEET: &str =
    "SELECT pg_advisory_xact_lock(hashtextextended('rate sheet ' || $1::uuid || ' ' || $2::text, 0))";

const INSERT_SHEET: &str = "INSERT INTO rate_sheets (firm, name) VALUES ($1, $2) ON CONFLICT (firm, name) DO NOTHING";

const INSERT_VERSION: &str = concat!(
    "INSERT INTO rate_sheet_versions AS v
        (firm, name, version, currency, content, digest, invented, notes, effective_from, effective_until)
    VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)
    RETURNING ",
    summary_columns!()
);

impl Store {
    /// Keeps a sheet: where its newest version is this very document, that is it; else it becomes the next version.
    ///
    /// # Errors
    /// As [`Store::keep_rate_sheet`].
    pub async fn ensure_rate_sheet(
        &self,
        firm: FirmId,
        sheet: &NewRateSheet<'_>,
    ) -> Result<RateSheetSummary, StoreError> {
        match self.keep_rate_sheet(firm, sheet, Expected::Anything).await? {
            Kept::New(summary) | Kept::Same(summary) => Ok(summary),
            Kept::Otherwise(_) => {
                Err(StoreError::Refused("anything was expected, and something else was there".into()))
            }
        }
    }

    /// Keeps a sheet, if what is expected is there. Of two who expect the same version, exactly one gets the next.
    ///
    /// # Errors
    /// As any call of the store; `Refused` where the name or the currency is not one.
    pub async fn keep_rate_sheet(
        &self,
        firm: FirmId,
        sheet: &NewRateSheet<'_>,
        expected: Expected<'_>,
    ) -> Result<Kept, StoreError> {
        let mut client = self.connection().await?;
        let digest = Digest::of(sheet.content);
        let answer = tokio::time::timeout(self.answer_wait(), async {
            let transaction = client.transaction().await?;
            transaction.query_one(SET_FIRM, &[&firm.as_uuid()]).await?;
            transaction.query_one(LOCK_SHEET, &[&firm.as_uuid(), &sheet.name]).await?;
            let newest = transaction.query_opt(FIND_NEWEST, &[&firm.as_uuid(), &sheet.name, &None::<Date>]).await?;
            let newest = newest.as_ref().map(RateSheetSummary::from_row).transpose()?;
            if !expected.is(newest.as_ref()) {
                return Ok(Kept::Otherwise(newest));
            }
            let next = match newest {
                Some(newest) if newest.digest == digest => return Ok(Kept::Same(newest)),
                Some(newest) => newest.version + 1,
                None => 1,
            };
            let added = insert_version(&transaction, firm, sheet, next, digest).await?;
            transaction.commit().await?;
            Ok(Kept::New(added))
        })
        .await;
        answer_or_discard(client, answer)
    }

    /// The newest version of a sheet that is in effect on that day, without its document.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn find_rate_sheet_in_effect(
        &self,
        firm: FirmId,
        name: &str,
        day: Date,
    ) -> Result<Option<RateSheetSummary>, StoreError> {
        let rows = self
            .in_transaction(firm, TransactionAccess::Read, FIND_NEWEST, &[&firm.as_uuid(), &name, &Some(day)])
            .await?;
        rows.first().map(RateSheetSummary::from_row).transpose()
    }

    /// The first version of a sheet that is the document of that digest.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn find_rate_sheet_by_digest(
        &self,
        firm: FirmId,
        name: &str,
        digest: Digest,
    ) -> Result<Option<RateSheetSummary>, StoreError> {
        let parameters: [&(dyn tokio_postgres::types::ToSql + Sync); 3] =
            [&firm.as_uuid(), &name, &digest.as_bytes().as_slice()];
        let rows = self.in_transaction(firm, TransactionAccess::Read, FIND_DOCUMENT, &parameters).await?;
        rows.first().map(RateSheetSummary::from_row).transpose()
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
        let rows = self
            .in_transaction(firm, TransactionAccess::Read, FIND_VERSION, &[&firm.as_uuid(), &name, &version])
            .await?;
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
    ) -> Result<ListPart<RateSheetSummary>, StoreError> {
        let rows = self
            .in_transaction(firm, TransactionAccess::Read, LIST_SHEETS, &[&firm.as_uuid(), &after, &one_more(limit)])
            .await?;
        ListPart::of_rows(&rows, limit, RateSheetSummary::from_row)
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
    ) -> Result<ListPart<RateSheetSummary>, StoreError> {
        let parameters: [&(dyn tokio_postgres::types::ToSql + Sync); 4] =
            [&firm.as_uuid(), &name, &after, &one_more(limit)];
        let rows = self.in_transaction(firm, TransactionAccess::Read, LIST_VERSIONS, &parameters).await?;
        ListPart::of_rows(&rows, limit, RateSheetSummary::from_row)
    }
}

impl Expected<'_> {
    fn is(&self, newest: Option<&RateSheetSummary>) -> bool {
        match self {
            Self::Anything => true,
            Self::Nothing => newest.is_none(),
            Self::Something => newest.is_some(),
            Self::Newest(digests) => newest.is_some_and(|newest| digests.contains(&newest.digest)),
        }
    }
}

async fn insert_version(
    transaction: &Transaction<'_>,
    firm: FirmId,
    sheet: &NewRateSheet<'_>,
    version: i32,
    digest: Digest,
) -> Result<RateSheetSummary, StoreError> {
    let firm = firm.as_uuid();
    transaction.execute(INSERT_SHEET, &[&firm, &sheet.name]).await?;
    let row = transaction
        .query_one(
            INSERT_VERSION,
            &[
                &firm,
                &sheet.name,
                &version,
                &sheet.currency,
                &sheet.content,
                &digest.as_bytes().as_slice(),
                &sheet.invented,
                &sheet.notes,
                &sheet.effective_from,
                &sheet.effective_until,
            ],
        )
        .await?;
    RateSheetSummary::from_row(&row)
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
            effective_from: row.try_get("effective_from")?,
            effective_until: row.try_get("effective_until")?,
        })
    }
}
