//! What is wrong with a request, said so that it can be mended: where, what, and how.

use serde::Serialize;
use utoipa::ToSchema;

/// One fault of a document.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
pub struct Fault {
    /// JSON Pointer (RFC 6901) to the value at fault; empty for the whole document.
    #[schema(example = "/survey/rooms/0/points/1/count")]
    pub pointer: String,
    /// A stable code for the kind of fault.
    pub code: FaultCode,
    /// What was found, what is accepted, and how to mend it.
    #[schema(example = "`count` is -2; give a whole number from 0 to 10000")]
    pub detail: String,
}

/// The kinds of fault. New kinds may be added.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FaultCode {
    /// A field that the contract does not know.
    UnknownField,
    /// A field that has to be there is not.
    MissingField,
    /// A value of the wrong type, such as text for a number.
    WrongType,
    /// A value that is not on its closed list.
    UnknownValue,
    /// A number, count or length outside its limits.
    OutOfRange,
    /// A text that does not have the form asked for.
    WrongForm,
    /// An identifier used twice.
    DuplicateId,
    /// A reference to something that the document does not hold.
    UnknownReference,
    /// Values that cannot stand together.
    Contradiction,
    /// A value that the published tables do not hold.
    NotInTable,
}

/// What is wrong with one cell, row or heading of a table in CSV.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
pub struct CellFault {
    /// Line of the file, from 1: the heading as a rule stands in line 1.
    #[schema(minimum = 1, example = 3)]
    pub row: u64,
    /// The column; absent where the whole row or file is meant.
    #[schema(example = "count")]
    pub column: Option<String>,
    /// What was found, what is accepted, and how to mend it.
    #[schema(example = "`count` is -2; give a whole number from 0 to 10000")]
    pub detail: String,
}

impl Fault {
    /// A fault at `pointer`.
    #[must_use]
    pub fn new(pointer: impl Into<String>, code: FaultCode, detail: impl Into<String>) -> Self {
        Self { pointer: pointer.into(), code, detail: detail.into() }
    }
}

/// Escapes one key for use in a JSON Pointer (RFC 6901 section 3).
#[must_use]
pub fn pointer_token(key: &str) -> String {
    key.replace('~', "~0").replace('/', "~1")
}

/// The accepted word nearest to what was written, if one is near enough to be meant.
#[must_use]
pub fn nearest<'a>(written: &str, accepted: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    const SIMILAR_ENOUGH: f64 = 0.75;
    let written: String = written.chars().take(64).collect::<String>().to_lowercase().replace(['_', ' '], "-");
    accepted
        .into_iter()
        .map(|word| (strsim::normalized_damerau_levenshtein(&written, &word.replace('_', "-")), word))
        .filter(|(likeness, _)| *likeness >= SIMILAR_ENOUGH)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_misspelt_socket_is_recognised() {
        assert_eq!(nearest("dubble-socket", ["double-socket", "pendant"]), Some("double-socket"));
        assert_eq!(nearest("Double Socket", ["double-socket", "pendant"]), Some("double-socket"));
        assert_eq!(nearest("banana", ["double-socket", "pendant"]), None);
    }
}
