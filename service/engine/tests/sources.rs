//! Where the figures come from: a basis names a standard or a public body, and page addresses stand in one file.

use std::fs;
use std::path::{Path, PathBuf};

/// Endings of the names of hosts, as pages that print tables have them.
const ENDINGS: [&str; 10] =
    [".info", ".co.uk", ".com", ".org", ".org.uk", ".gov.uk", ".pages.dev", ".blog", ".ie", ".cz"];
/// What calls itself a place where people talk.
const WORDS: [&str; 3] = ["forum", "issuu", "scribd"];

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder of the service").flatten() {
        let path = entry.path();
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        if path.is_dir() {
            if name != "target" {
                files(&path, found);
            }
        } else if matches!(path.extension().and_then(|ending| ending.to_str()), Some("csv" | "rs" | "json")) {
            found.push(path);
        }
    }
}

/// A host's name in a line: an ending after a letter or a figure, and no letter behind it.
fn address(line: &str) -> Option<&'static str> {
    let line = line.to_lowercase();
    let ends = |ending: &&&str| {
        line.match_indices(**ending).any(|(at, _)| {
            let before = line[..at].chars().next_back().is_some_and(char::is_alphanumeric);
            let behind =
                line[at + ending.len()..].chars().next().is_some_and(|next| next.is_alphanumeric() || next == '(');
            before && !behind
        })
    };
    ENDINGS.iter().find(ends).or_else(|| WORDS.iter().find(|word| line.contains(**word))).copied()
}

#[test]
fn a_basis_names_a_standard_and_addresses_stand_in_one_file() {
    let service = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut found = Vec::new();
    files(&service, &mut found);
    assert!(found.len() > 200, "the service has its files: {}", found.len());
    // Estimates that were kept long ago keep their words.
    let kept = ["sources.csv", "sources.rs", "first-version.json"];
    let looked_at = found.iter().filter(|path| !kept.iter().any(|name| path.ends_with(name)));
    let mut faults = Vec::new();
    for path in looked_at {
        let text = fs::read_to_string(path).unwrap_or_default();
        // The name space of drawings is no page that was read.
        let read = |line: &&str| !line.contains("www.w3.org");
        let lines = text.lines().filter(read).enumerate().filter_map(|(line, text)| Some((line + 1, address(text)?)));
        faults.extend(lines.map(|(line, what)| format!("{}:{line} {what}", path.display())));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_file_of_sources_speaks_of_files_that_are_there() {
    let service = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let text = fs::read_to_string(service.join("sources.csv")).expect("the file of sources");
    let rows: Vec<&str> = text.lines().filter(|line| !line.starts_with('#')).skip(1).collect();
    assert!(rows.len() > 30);
    for row in rows {
        let name = row.split(',').next().unwrap_or_default();
        let there = ["wiring", "engine"].iter().any(|part| service.join(part).join("data").join(name).is_file());
        let there = there || service.join("engine/tests/fixtures").join(name).is_file();
        assert!(there && row.split(',').count() == 4, "{row}");
    }
}
