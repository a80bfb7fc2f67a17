//! The page `/docs/glossary`: the words of the trade that answers and contract use, each with a plain meaning. Made from a
//! table, so that a word is added by adding a row.

use std::fmt::Write as _;

use serde::Deserialize;

use crate::problem::escaped;

/// A word of the trade.
#[derive(Debug, Clone, Deserialize)]
pub struct GlossaryTerm {
    /// The word.
    pub term: String,
    /// How else it is written where it is used, parted by semicolons.
    said_as: String,
    /// What it means, in plain English.
    pub meaning: String,
    /// Where the meaning is fixed, or how it is known.
    pub source: String,
}

impl GlossaryTerm {
    /// The word and the other ways in which it is written.
    pub fn spellings(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.term.as_str()).chain(self.said_as.split(';').filter(|other| !other.is_empty()))
    }

    /// Its anchor on the page.
    #[must_use]
    pub fn anchor(&self) -> String {
        let letter = |letter: char| if letter.is_ascii_alphanumeric() { letter.to_ascii_lowercase() } else { '-' };
        self.term.chars().map(letter).collect()
    }
}

/// The words, in the order of the alphabet.
///
/// # Panics
/// If the table that is part of the program does not read; the first test that runs finds it.
#[must_use]
pub fn terms() -> Vec<GlossaryTerm> {
    let mut terms: Vec<GlossaryTerm> = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(include_bytes!("../data/glossary.csv").as_slice())
        .deserialize()
        .collect::<Result<_, _>>()
        .unwrap_or_else(|fault| panic!("built-in table glossary.csv: {fault}"));
    terms.sort_by_key(|term| term.term.to_lowercase());
    terms
}

/// The page: a heading for each letter, and under it a list of words with their meanings.
#[must_use]
pub fn page() -> String {
    let mut html = String::from(
        "<!doctype html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width\">\n<title>Glossary</title>\n<style>\n\
         body { font: 1rem/1.5 system-ui, sans-serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem; }\n\
         dt { font-weight: bold; margin-top: 1rem; } dd { margin-left: 1.5rem; } :target { background: #fff3bf; }\n\
         .source { color: #444; font-size: .9em; }\n\
         </style>\n</head>\n<body>\n<main>\n<h1>Glossary</h1>\n\
         <p>Words of the trade that answers use, in plain English. The meanings help you to read an estimate. They do not \
         replace the standards, your local codes or a competent person.</p>\n",
    );
    let mut letter = None;
    for term in terms() {
        let first = term.term.chars().next().map(|first| first.to_ascii_uppercase());
        // Writing to a string cannot fail.
        if first != letter {
            let closed = if letter.is_some() { "</dl>\n" } else { "" };
            let _ = write!(html, "{closed}<h2>{}</h2>\n<dl>\n", first.unwrap_or_default());
            letter = first;
        }
        let (anchor, word) = (term.anchor(), escaped(&term.term));
        let (meaning, source) = (escaped(&term.meaning), escaped(&term.source));
        let _ = write!(
            html,
            "<dt id=\"{anchor}\"><dfn>{word}</dfn></dt>\n<dd>{meaning} <span class=\"source\">({source})</span></dd>\n"
        );
    }
    html.push_str("</dl>\n</main>\n</body>\n</html>\n");
    html
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::path::Path;

    use super::*;

    #[test]
    fn every_word_is_explained_once_and_says_where_from() {
        let terms = terms();
        let anchors: BTreeSet<String> = terms.iter().map(GlossaryTerm::anchor).collect();
        assert_eq!(anchors.len(), terms.len(), "no two words share an anchor");
        for term in &terms {
            assert!(term.meaning.ends_with('.') && !term.source.is_empty(), "{term:?}");
        }
    }

    #[test]
    fn a_word_is_there_because_the_answers_or_the_contract_use_it() {
        let openapi = Path::new(env!("CARGO_MANIFEST_DIR")).join("../openapi");
        let answers = std::fs::read_dir(openapi.join("examples/answers")).expect("the example answers");
        let files = answers.map(|entry| entry.expect("a file").path()).chain([openapi.join("openapi.json")]);
        let text: String = files.map(|file| std::fs::read_to_string(file).expect("a text").to_lowercase()).collect();
        let unused: Vec<String> = terms()
            .into_iter()
            .filter(|term| !term.spellings().any(|spelling| says(&text, &spelling.to_lowercase())))
            .map(|term| term.term)
            .collect();
        assert!(unused.is_empty(), "explained, and nobody says it: {unused:?}");
        assert!(!says(&text, "hyperspace"), "a word that nobody says is found out");
    }

    /// Whether a text has a word by itself, in the singular or with an `s`.
    fn says(text: &str, word: &str) -> bool {
        let letter = |letter: Option<char>| letter.is_some_and(char::is_alphanumeric);
        text.match_indices(word).any(|(at, _)| {
            let after = &text[at + word.len()..];
            let after = after.strip_prefix('s').unwrap_or(after);
            !letter(text[..at].chars().next_back()) && !letter(after.chars().next())
        })
    }

    #[test]
    fn the_page_is_read_by_people_and_by_their_readers() {
        let page = page();
        assert!(page.contains("<html lang=\"en-GB\">") && page.contains("<h1>Glossary</h1>"), "{page}");
        assert_eq!(page.matches("<dt ").count(), page.matches("<dd>").count(), "a meaning for each word");
        assert_eq!(page.matches("<dl>").count(), page.matches("</dl>").count(), "{page}");
        assert!(!page.contains("<script") && !page.contains("http"), "it runs nothing and loads nothing");
    }
}
