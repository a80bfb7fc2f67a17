//! What goes out is read by an electrician, an office and a client: short sentences, one thought each, in the trade's words.
//! `fixtures/reading.py` measures the grade of the same texts with a library; here stands what needs none.

use std::path::Path;

use serde_json::Value;

/// Keys of an answer whose value is prose, as in `fixtures/reading.py`.
const PROSE: [&str; 34] = [
    "action",
    "after",
    "answer",
    "ask",
    "ask_operator",
    "assumed",
    "because",
    "cause",
    "cautions",
    "chosen_because",
    "condition",
    "conductor_because",
    "confidence_because",
    "description",
    "designed_because",
    "earthing",
    "effect",
    "enclosure",
    "exclusions",
    "feed_entry",
    "note",
    "notes",
    "operator_because",
    "provision",
    "residual_type",
    "rule",
    "serves",
    "step",
    "surge",
    "towards",
    "vat_basis",
    "what",
    "when",
    "working",
];

/// Words of letters that a sentence may have, citations in brackets aside: common practice of plain English.
const WORDS_MAX: usize = 28;

/// What the trade calls otherwise, and turns of phrase that have to be read twice.
const BANNED: [(&str, &str); 7] = [
    ("combined device", "RCBO"),
    ("residual current device", "RCD"),
    ("falls away", "is left out"),
    ("hangs on", "rests on, or is connected to"),
    ("nobody counts", "sundries"),
    ("is out:", "not, with the reason"),
    ("the middle of the stock", "a usual house"),
];

/// Each text under a key of prose, with its key.
fn prose<'a>(key: &str, value: &'a Value, found: &mut Vec<(String, &'a str)>) {
    match value {
        Value::Object(fields) => fields.iter().for_each(|(name, inner)| prose(name, inner, found)),
        Value::Array(entries) => entries.iter().for_each(|inner| prose(key, inner, found)),
        Value::String(text) if PROSE.contains(&key) && text.contains(' ') => found.push((key.to_owned(), text)),
        _ => {}
    }
}

/// A text without what stands in brackets.
fn without_brackets(text: &str) -> String {
    let mut depth = 0_usize;
    let kept = text.chars().filter(|letter| match letter {
        '(' => {
            depth += 1;
            false
        }
        ')' => {
            depth = depth.saturating_sub(1);
            false
        }
        _ => depth == 0,
    });
    kept.collect()
}

/// What is wrong with a text.
fn faults(text: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let plain = without_brackets(text);
    if plain.contains(';') {
        faults.push("half sentences in a chain".to_owned());
    }
    for (banned, instead) in BANNED {
        if text.to_lowercase().contains(banned) {
            faults.push(format!("`{banned}`: say {instead}"));
        }
    }
    for sentence in plain.split(". ").flat_map(|part| part.split("? ")) {
        let letters = |word: &&str| word.chars().filter(|letter| letter.is_alphabetic()).count() > 1;
        let words = sentence.split_whitespace().filter(letters).count();
        if words > WORDS_MAX {
            faults.push(format!("{words} words in a sentence"));
        }
    }
    faults
}

#[test]
fn what_the_published_answers_say_is_short_and_in_the_words_of_the_trade() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../openapi/examples/answers");
    let mut wrong = Vec::new();
    let mut texts = 0;
    for entry in std::fs::read_dir(folder).expect("the published answers") {
        let text = std::fs::read_to_string(entry.expect("an answer").path()).expect("a text");
        let answer: Value = serde_json::from_str(&text).expect("JSON");
        let mut found = Vec::new();
        prose("", &answer, &mut found);
        texts += found.len();
        for (key, text) in found {
            wrong.extend(faults(text).into_iter().map(|fault| format!("{key}: {fault}: {text}")));
        }
    }
    wrong.sort();
    wrong.dedup();
    assert!(texts > 1_000, "{texts} texts looked at");
    assert!(wrong.is_empty(), "{} texts are hard to read:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn a_chain_a_private_word_and_a_long_sentence_are_each_found_out() {
    assert_eq!(faults("Water bond undersized. Replace with 10 mm2"), Vec::<String>::new());
    assert_eq!(faults("found too small; ordered first").len(), 1);
    assert_eq!(faults("A combined device guards it").len(), 1);
    assert_eq!(faults(&"one more word ".repeat(10)).len(), 1);
    assert_eq!(faults(&format!("Short ({})", "one more word ".repeat(10))).len(), 0, "citations do not count");
}
