//! The order of the steps, kept by the build: a module imports only from those above it in the list, and no top-level
//! modules of any crate stand in a circle. A file holds one idea: 500 lines at most; a function is what clippy lets pass.
//!
//! The wiring crate needs no list: it does not depend on the engine.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The engine from the ground up. Modules of one row do not import each other, but for those of the ground floor.
const ENGINE: [&[&str]; 18] = [
    &["wiring", "standards", "checks", "demand", "working", "quantities", "faults"],
    &["limits", "money", "geometry", "document", "table", "work"],
    &["survey"],
    &["catalogue"],
    &["rate_sheet"],
    &["context"],
    &["site"],
    &["unit_rates"],
    &["routes"],
    &["circuits"],
    &["take_off"],
    &["labour"],
    &["pricing"],
    &["unknowns"],
    &["range", "flags"],
    &["options"],
    &["answer"],
    &["estimate"],
];

/// Rows whose modules may import each other in the order in which they stand.
const GROUND_ROWS: usize = 2;

/// Names of the engine's root that are no modules, and the module that they come from.
const ROOT_NAMES: [(&str, &str); 4] =
    [("Engine", "estimate"), ("Stamp", "estimate"), ("RULESET_ID", "standards"), ("ENGINE_VERSION", "limits")];

/// Imports that still go up: file and module. An entry that is no longer needed fails too.
const EXCEPTIONS: &[(&str, &str)] = &[];

/// Steps that give facts and make no sentence of them.
const WORDLESS: [&str; 11] = [
    "site",
    "unknowns",
    "range",
    "unit_rates",
    "routes",
    "circuits",
    "take_off",
    "labour",
    "pricing",
    "flags",
    "options",
];

/// Files of theirs that write all the same: refusals, the names of circuits on the chart, and the names of storeys that nobody
/// named.
const WRITERS: [&str; 5] =
    ["circuits/bound.rs", "circuits/gather.rs", "circuits/given.rs", "circuits/names.rs", "site/mod.rs"];

/// What makes a text; the names of macros with their mark.
const WRITING: [&str; 5] = ["format!", "write!", "writeln!", "push_str", "to_string"];

/// Longest file that is no test, in lines.
const LINES_MAX: usize = 500;

/// Files that are still longer.
const LONG_FILES: &[&str] = &[];

/// The crates, by their folders.
const CRATES: [&str; 5] = ["service/wiring", "service/engine", "service/store", "service/documents", "api"];

/// Functions that are longer than the lints allow, by file; none may take more parameters.
const LONG_FUNCTIONS: [&str; 1] = ["service/engine/src/answer/words/flags.rs"];

/// A source file: its path under `src`, the modules from the root to it, its tokens.
struct Source {
    path: String,
    modules: Vec<String>,
    tokens: Vec<String>,
    lines: usize,
}

fn sources(crate_folder: &str) -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(crate_folder).join("src");
    let mut files = Vec::new();
    collect(&root, &mut files);
    files.sort();
    files.iter().filter(|file| !is_test(&root, file)).map(|file| source(&root, file)).collect()
}

fn collect(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display())) {
        let path = entry.expect("an entry of the folder").path();
        if path.is_dir() {
            collect(&path, files);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            files.push(path);
        }
    }
}

/// Files of tests: `tests.rs`, those under `tests/`, and the fixtures that are modules of tests.
fn is_test(root: &Path, file: &Path) -> bool {
    let inside = file.strip_prefix(root).expect("it lies under the root");
    let mut parts = inside.components().map(|part| part.as_os_str().to_string_lossy().into_owned());
    parts.any(|part| ["tests", "tests.rs", "properties.rs", "examples"].contains(&part.as_str()))
}

fn source(root: &Path, file: &Path) -> Source {
    let inside = file.strip_prefix(root).expect("it lies under the root");
    let mut modules: Vec<String> =
        inside.with_extension("").components().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect();
    if modules.last().is_some_and(|last| ["mod", "lib", "main"].contains(&last.as_str())) {
        modules.pop();
    }
    let text = fs::read_to_string(file).expect("a source file is text");
    Source {
        path: inside.to_string_lossy().into_owned(),
        modules,
        tokens: without_tests(tokens(&text)),
        lines: text.lines().count(),
    }
}

/// The text as identifiers, `::` and single characters, without comments, strings and characters.
fn tokens(text: &str) -> Vec<String> {
    let chars: Vec<char> = text.chars().collect();
    let at = |index: usize| chars.get(index).copied().unwrap_or('\0');
    let mut found = Vec::new();
    let mut index = 0;
    while index < chars.len() {
        let one = chars[index];
        if one == '/' && at(index + 1) == '/' {
            index = skip_while(&chars, index, |letter| letter != '\n');
        } else if one == '/' && at(index + 1) == '*' {
            index = after_block_comment(&chars, index);
        } else if one == '"' {
            index = after_string(&chars, index);
        } else if one == 'r'
            && (at(index + 1) == '"' || (at(index + 1) == '#' && [at(index + 2), at(index + 3)].contains(&'"')))
        {
            index = after_raw_string(&chars, index + 1);
        } else if one == '\'' && (at(index + 1) == '\\' || at(index + 2) == '\'') {
            let from = if at(index + 1) == '\\' { index + 3 } else { index + 2 };
            index = skip_while(&chars, from, |letter| letter != '\'') + 1;
        } else if one.is_alphanumeric() || one == '_' {
            let end = skip_while(&chars, index, |letter| letter.is_alphanumeric() || letter == '_');
            found.push(chars[index..end].iter().collect());
            index = end;
        } else if one == ':' && at(index + 1) == ':' {
            found.push("::".to_owned());
            index += 2;
        } else {
            if !one.is_whitespace() {
                found.push(one.to_string());
            }
            index += 1;
        }
    }
    found
}

fn skip_while(chars: &[char], from: usize, goes_on: impl Fn(char) -> bool) -> usize {
    chars[from.min(chars.len())..].iter().position(|letter| !goes_on(*letter)).map_or(chars.len(), |steps| from + steps)
}

fn after_block_comment(chars: &[char], from: usize) -> usize {
    let rest = &chars[from..];
    rest.windows(2).position(|pair| pair == ['*', '/']).map_or(chars.len(), |steps| from + steps + 2)
}

fn after_string(chars: &[char], from: usize) -> usize {
    let mut index = from + 1;
    while index < chars.len() && chars[index] != '"' {
        index += if chars[index] == '\\' { 2 } else { 1 };
    }
    index + 1
}

fn after_raw_string(chars: &[char], from: usize) -> usize {
    let quote = skip_while(chars, from, |letter| letter == '#');
    let hashes = quote - from;
    let mut index = quote + 1;
    while index < chars.len() {
        if chars[index] == '"' && skip_while(chars, index + 1, |letter| letter == '#') >= index + 1 + hashes {
            return index + 1 + hashes;
        }
        index += 1;
    }
    index
}

/// The tokens without what stands behind `#[cfg(test)]`: an item to its `;` or its closing brace.
fn without_tests(all: Vec<String>) -> Vec<String> {
    let marker = ["#", "[", "cfg", "(", "test", ")", "]"];
    let mut kept = Vec::with_capacity(all.len());
    let mut index = 0;
    while index < all.len() {
        if all[index..].iter().zip(marker).filter(|(token, mark)| token == mark).count() == marker.len() {
            index = after_item(&all, index + marker.len());
        } else {
            kept.push(all[index].clone());
            index += 1;
        }
    }
    kept
}

fn after_item(all: &[String], from: usize) -> usize {
    let mut depth = 0_usize;
    for (index, token) in all.iter().enumerate().skip(from) {
        match token.as_str() {
            "{" => depth += 1,
            "}" => {
                depth -= 1;
                // A `use` of several names goes on to its semicolon.
                if depth == 0 && all.get(index + 1).is_none_or(|next| next != ";") {
                    return index + 1;
                }
            }
            ";" if depth == 0 => return index + 1,
            _ => {}
        }
    }
    all.len()
}

/// The names right under the root that a file uses, by `crate::` or by `super::` as far as the root.
fn names_from_the_root(source: &Source) -> BTreeSet<String> {
    let tokens = &source.tokens;
    let mut names = BTreeSet::new();
    let mut index = 0;
    while index < tokens.len() {
        let from = match tokens[index].as_str() {
            "crate" => 1,
            "super" => 2 * supers(tokens, index) - 1,
            _ => 0,
        };
        let leads_to_root = tokens[index] == "crate" || (from > 0 && supers(tokens, index) == source.modules.len());
        if leads_to_root && tokens.get(index + from).is_some_and(|token| token == "::") {
            first_names(tokens, index + from + 1, &mut names);
        }
        index += from.max(1);
    }
    names
}

/// How many `super`s stand in a row.
fn supers(tokens: &[String], from: usize) -> usize {
    tokens[from..].chunks(2).take_while(|pair| pair[0] == "super").count()
}

/// The first name of a path, or of each branch of a group.
fn first_names(tokens: &[String], from: usize, names: &mut BTreeSet<String>) {
    match tokens.get(from).map(String::as_str) {
        Some("{") => {
            let mut depth = 0_usize;
            let mut starts = false;
            for token in &tokens[from..] {
                match token.as_str() {
                    "{" => {
                        depth += 1;
                        starts = depth == 1;
                    }
                    "}" if depth == 1 => break,
                    "}" => depth -= 1,
                    "," => starts = depth == 1,
                    name if starts && depth == 1 => {
                        names.insert(name.to_owned());
                        starts = false;
                    }
                    _ => {}
                }
            }
        }
        Some(name) => drop(names.insert(name.to_owned())),
        None => {}
    }
}

fn row_of(module: &str) -> Option<usize> {
    ENGINE.iter().position(|row| row.contains(&module))
}

#[test]
fn each_step_of_the_engine_imports_only_from_steps_above_it() {
    let mut wrong = Vec::new();
    let (mut imports, mut upward) = (0, 0);
    let mut used: BTreeSet<(String, String)> = BTreeSet::new();
    for source in sources("service/engine") {
        let Some(own) = source.modules.first() else { continue };
        let Some(row) = row_of(own) else {
            wrong.push(format!("{} is in no row of the list", source.path));
            continue;
        };
        for name in names_from_the_root(&source) {
            let module = ROOT_NAMES.iter().find(|(root, _)| *root == name).map_or(name.as_str(), |(_, module)| module);
            if module == own.as_str() {
                continue;
            }
            imports += 1;
            let Some(other) = row_of(module) else {
                wrong.push(format!("{}: {name} is in no row of the list", source.path));
                continue;
            };
            let place = |module: &str| ENGINE[row].iter().position(|one| *one == module);
            let in_order = other < row || (other == row && row < GROUND_ROWS && place(module) < place(own));
            if !in_order {
                upward += 1;
                let excepted = EXCEPTIONS.contains(&(source.path.as_str(), module));
                used.insert((source.path.clone(), module.to_owned()));
                if !excepted {
                    wrong.push(format!("{}: {own} (row {row}) imports {module} (row {other})", source.path));
                }
            }
        }
    }
    let unused = EXCEPTIONS.iter().filter(|(file, module)| !used.contains(&((*file).to_owned(), (*module).to_owned())));
    wrong.extend(unused.map(|(file, module)| format!("the exception {file} -> {module} is no longer needed")));

    assert!(wrong.is_empty(), "{}\n{imports} imports between modules, {upward} go up", wrong.join("\n"));
}

#[test]
fn steps_before_the_answer_make_no_sentence() {
    let sources = sources("service/engine");
    let writes = |source: &Source| {
        source.tokens.windows(2).any(|pair| {
            let word = if pair[1] == "!" { format!("{}!", pair[0]) } else { pair[0].clone() };
            WRITING.contains(&word.as_str())
        })
    };
    let silent = sources.iter().filter(|one| one.modules.first().is_some_and(|own| WORDLESS.contains(&own.as_str())));
    let writing: Vec<&str> = silent.filter(|one| writes(one)).map(|one| one.path.as_str()).collect();

    assert_eq!(writing, WRITERS, "files below the answer that put something in words");
}

/// The top-level modules that stand in a circle with others of their crate.
fn circle(crate_folder: &str) -> BTreeSet<String> {
    let sources = sources(crate_folder);
    let modules: BTreeSet<&String> = sources.iter().filter_map(|source| source.modules.first()).collect();
    let mut arrows: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for source in &sources {
        let Some(own) = source.modules.first() else { continue };
        let used = names_from_the_root(source);
        let used = used.into_iter().filter(|name| name != own && modules.contains(name));
        arrows.entry(own).or_default().extend(used);
    }
    // A module that imports nothing that is left stands in no circle; take such away until none is left.
    loop {
        let free: Vec<&str> = arrows
            .iter()
            .filter(|(_, used)| used.iter().all(|name| !arrows.contains_key(name.as_str())))
            .map(|(module, _)| *module)
            .collect();
        if free.is_empty() {
            return arrows.keys().map(|module| (*module).to_owned()).collect();
        }
        for module in free {
            arrows.remove(module);
        }
    }
}

#[test]
fn no_modules_of_a_crate_stand_in_a_circle() {
    for crate_folder in CRATES {
        let circle = circle(crate_folder);
        assert!(circle.is_empty(), "{crate_folder}: {circle:?} import each other");
    }
}

#[test]
fn no_file_holds_more_than_one_idea() {
    let all: Vec<(String, usize)> = CRATES
        .iter()
        .flat_map(|folder| {
            sources(folder).into_iter().map(move |source| (format!("{folder}/{}", source.path), source.lines))
        })
        .collect();

    let long: Vec<&(String, usize)> =
        all.iter().filter(|(path, lines)| *lines > LINES_MAX && !LONG_FILES.contains(&path.as_str())).collect();

    assert!(long.is_empty(), "over {LINES_MAX} lines: {long:?}");
}

#[test]
fn clippy_holds_every_crate_to_short_functions_of_few_parameters() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let read = |file: &str| fs::read_to_string(root.join(file)).unwrap_or_else(|error| panic!("{file}: {error}"));
    let figures = read("clippy.toml");
    assert!(figures.contains("too-many-lines-threshold = 60") && figures.contains("too-many-arguments-threshold = 6"));
    let workspace = read("Cargo.toml");
    assert!(workspace.contains("too_many_lines = \"warn\"") && workspace.contains("too_many_arguments = \"warn\""));

    let mut excused = Vec::new();
    for folder in CRATES {
        let manifest = read(&format!("{folder}/Cargo.toml"));
        assert!(manifest.contains("[lints]\nworkspace = true"), "{folder} takes the lints of the workspace");
        for source in sources(folder) {
            let lints = source.tokens.iter().filter(|token| token.starts_with("too_many_"));
            excused.extend(lints.map(|lint| (format!("{folder}/src/{}", source.path), lint.clone())));
        }
    }

    let expected = LONG_FUNCTIONS.map(|file| (file.to_owned(), "too_many_lines".to_owned()));
    assert_eq!(excused, expected, "functions that the lints are switched off for");
}

/// Names that two types still share. The list may only shrink.
const SHARED_NAMES: &[&str] = &[];

/// The types that a file declares.
fn types(source: &Source) -> Vec<String> {
    let declares = |pair: &&[String]| ["struct", "enum", "trait", "union"].contains(&pair[0].as_str());
    let names = source.tokens.windows(2).filter(declares).map(|pair| pair[1].clone());
    names.filter(|name| name.starts_with(char::is_uppercase)).collect()
}

#[test]
fn no_two_types_share_a_name() {
    let mut places: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for folder in CRATES {
        for source in sources(folder) {
            for name in types(&source) {
                places.entry(name).or_default().push(format!("{folder}/{}", source.path));
            }
        }
    }

    let shared = |name: &str| places.get(name).is_some_and(|files| files.len() > 1);
    let mut wrong: Vec<String> = places
        .iter()
        .filter(|(name, _)| shared(name) && !SHARED_NAMES.contains(&name.as_str()))
        .map(|(name, files)| format!("{name}: {}", files.join(", ")))
        .collect();
    let alone = SHARED_NAMES.iter().filter(|name| !shared(name));
    wrong.extend(alone.map(|name| format!("{name} is no longer shared: take it from the list")));

    assert!(wrong.is_empty(), "types that share a name:\n{}", wrong.join("\n"));
}
