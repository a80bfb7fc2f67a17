//! Reading the data files that are part of the program, where a file that does not read is a bug, found by the first test
//! that runs.

use serde::de::DeserializeOwned;

/// The rows of a CSV table with a header; lines that start with `#` are remarks on its source.
///
/// # Panics
/// If the text does not have the columns that its reader asks for, named with `file`. It is compiled into the program, so
/// the first test that runs finds it.
#[must_use]
pub fn rows<Row: DeserializeOwned>(file: &str, text: &str) -> Vec<Row> {
    csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes())
        .deserialize()
        .map(|row| row.unwrap_or_else(|fault| panic!("built-in table {file}: {fault}")))
        .collect()
}
