//! Reading the data files, once.

use serde::de::DeserializeOwned;

/// The rows of one of our own data files.
///
/// # Panics
/// If the file does not read. It is compiled into the program, so the first test that runs finds it.
pub(super) fn rows<Row: DeserializeOwned>(file: &str, text: &str) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).trim(csv::Trim::All).from_reader(text.as_bytes());
    let read: Result<Vec<Row>, csv::Error> = reader.deserialize().collect();
    read.unwrap_or_else(|error| panic!("the data file {file} does not read: {error}"))
}

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
