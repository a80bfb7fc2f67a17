//! Where the figures of the tables come from.

/// Where a figure of a table comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Provenance {
    /// Read on a secondary page, named in the head of the file.
    Seen,
    /// Recalled; to be held against the book.
    Memory,
    /// Computed from other figures.
    Derived,
}
