//! Postgres: firms and their keys, rate sheets, and the audit trail of every answer given.
//!
//! SQL stands here and nowhere else. In come documents as bytes, with a few figures to look them up by; out come the same
//! bytes. Nothing here reads a document, knows HTTP, or computes an estimate.
//!
//! What always holds:
//! - Firms are apart: every statement runs in a transaction that has named its firm, as a role that row security binds.
//! - An answer is in the trail before it is sent: [`Store::record_estimate`] returns once the entry is committed.
//! - What is kept of an answer is compressed once ([`Packed`]), and digested, kept and given out as it then is.
//! - History stays: entries and rate-sheet versions are added, never changed, and each firm's entries form a chain of
//!   digests that [`Store::verify_chain`] follows from the first to the last.

mod audit;
mod connect;
mod database;
mod digest;
#[cfg(feature = "embedded")]
mod embedded;
mod error;
mod firms;
mod keys;
pub mod limits;
mod list;
mod migrations;
mod packed;
mod papers;
mod rate_sheets;
mod role;
mod settings;
mod transaction;

pub use audit::{
    ChainFault, EntryId, EntryKind, EstimateFilter, EstimateSummary, NewEntry, Receipt, Recorded, RequestKey,
    StoredEntry, Verification,
};
pub use database::{Connections, Store, migrate};
pub use digest::Digest;
pub use error::{Cause, StoreError};
pub use firms::FirmId;
pub use keys::{KeySummary, NewKey};
pub use list::ListPart;
pub use packed::{Packed, Packer, Unpacking};
pub use rate_sheets::{Expected, Kept, NewRateSheet, RateSheetSummary, RateSheetVersion};
pub use settings::DatabaseSettings;
