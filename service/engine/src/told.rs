//! Whether a job is told in words, or only its figures are wanted.

use std::fmt;

/// An estimate says what everything is and why; a job that is only priced again for another answer says nothing, which takes
/// a fraction of the time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Told {
    /// Everything says what it is, and is made ready for buying and drawing.
    #[default]
    InWords,
    /// What the price is made of and no more: neither words, nor pieces to be cut from drums, nor findings.
    InFigures,
}

impl Told {
    /// The words, where they are wanted.
    #[must_use]
    pub fn put(self, words: impl fmt::Display) -> String {
        if self == Self::InWords { words.to_string() } else { String::new() }
    }

    /// Adds them to a list, where they are wanted.
    pub fn push(self, words: impl fmt::Display, to: &mut Vec<String>) {
        if self == Self::InWords {
            to.push(words.to_string());
        }
    }
}
