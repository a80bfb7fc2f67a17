//! The audit trail: every answer given, to the byte, in a chain per firm.

mod entry;
mod list;
mod record;
mod verify;

pub use entry::{EntryId, EntryKind, NewEntry, RequestKey, StoredEntry};
pub use list::{EstimateFilter, EstimateSummary};
pub use record::{Receipt, Recorded};
pub use verify::{ChainFault, Verification};

/// The columns of [`StoredEntry`], of the table that goes by the name `e`.
macro_rules! entry_columns {
    () => {
        "e.n, e.id, e.kind, e.created_at, e.reference, e.request, e.request_media_type, e.response, \
         e.response_coding, e.response_length, e.rate_sheet_name, e.rate_sheet_version, e.ruleset, e.engine_version, e.gross, e.digest, e.previous_digest"
    };
}
pub(crate) use entry_columns;
