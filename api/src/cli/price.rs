//! `estimator price`: one survey file, priced with the built-in sheet, without a service or a database.

use std::io::Read;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use clap::Args;
use engine::document::Unreadable;
use engine::rate_sheet::RateSheet;
use engine::survey::{EstimateRequest, Scope};
use engine::{Engine, Stamp};
use store::EntryId;

use super::output::print;
use crate::limits;

#[derive(Args)]
pub(super) struct PriceOptions {
    /// A survey as JSON or a tally as CSV; `-` reads standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// What kind of job a tally is: rewire, partial-rewire, addition, alteration, board-change, single-circuit
    #[arg(long, value_name = "SCOPE", value_parser = scope)]
    scope: Option<Scope>,
    /// Print the estimate as JSON instead of a table
    #[arg(long)]
    json: bool,
}

fn scope(word: &str) -> Result<Scope, String> {
    let words = || Scope::ALL.iter().map(|scope| scope.word()).collect::<Vec<_>>().join(", ");
    Scope::from_word(word).ok_or_else(|| format!("no kind of job; accepted: {}", words()))
}

/// Prices a file and prints the estimate.
///
/// # Errors
/// Where the file cannot be read or priced: every fault of it.
pub(super) fn run(options: &PriceOptions) -> anyhow::Result<()> {
    let bytes = read(&options.file)?;
    let engine = Engine::new();
    let request = match is_json(&options.file, &bytes) {
        true if options.scope.is_some() => bail!("`--scope` is for a tally; in a survey give `scope`"),
        true => engine.read_survey(&bytes).map_err(|unreadable| said(&options.file, unreadable))?,
        false => engine.read_tally_as(&bytes, options.scope).map_err(|faults| {
            let lines = faults.iter().map(|fault| match &fault.column {
                Some(column) => format!("row {}, column `{column}`: {}", fault.row, fault.detail),
                None => format!("row {}: {}", fault.row, fault.detail),
            });
            refused(&options.file, lines)
        })?,
    };
    let workbook = engine.prepare(built_in_sheet(&request)?, 1)?;
    let faults = engine.faults_on(&request, &workbook);
    if !faults.is_empty() {
        return Err(said(&options.file, Unreadable::Faults(faults)));
    }
    let id = EntryId::now();
    let stamp = Stamp { id: id.to_string(), created_at: id.created_at().to_string() };
    let estimate = engine.estimate(&request, &workbook, stamp);
    if options.json {
        print(&format!("{}\n", serde_json::to_string_pretty(&estimate)?))
    } else {
        print(&documents::table::estimate(&estimate))
    }
}

fn read(file: &Path) -> anyhow::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    // One byte more than is taken tells whether it is too large.
    let most = limits::BODY_BYTES_MAX as u64 + 1;
    if file == Path::new("-") {
        std::io::stdin().take(most).read_to_end(&mut bytes).context("cannot read standard input")?;
    } else {
        let opened = std::fs::File::open(file).with_context(|| format!("cannot open {}", file.display()))?;
        opened.take(most).read_to_end(&mut bytes).with_context(|| format!("cannot read {}", file.display()))?;
    }
    if bytes.len() > limits::BODY_BYTES_MAX {
        bail!("{} has more than {} bytes", file.display(), limits::BODY_BYTES_MAX);
    }
    Ok(bytes)
}

/// By the file's ending; where that says nothing, a document that begins with a brace is JSON.
fn is_json(file: &Path, bytes: &[u8]) -> bool {
    match file.extension().and_then(|ending| ending.to_str()).map(str::to_ascii_lowercase).as_deref() {
        Some("json") => true,
        Some("csv") => false,
        _ => bytes.iter().find(|byte| !byte.is_ascii_whitespace()).is_some_and(|first| *first == b'{'),
    }
}

/// Other sheets are a firm's own, and lie in the service's database.
fn built_in_sheet(request: &EstimateRequest) -> anyhow::Result<RateSheet> {
    let sheet = RateSheet::standard();
    match &request.rate_sheet {
        Some(asked) if asked.name != sheet.name || asked.version.is_some_and(|version| version != 1) => bail!(
            "the survey asks for the rate sheet `{}`{}; on the command line there is only `{}`, version 1: use the service",
            asked.name,
            asked.version.map(|version| format!(", version {version}")).unwrap_or_default(),
            sheet.name
        ),
        _ => Ok(sheet),
    }
}

fn said(file: &Path, unreadable: Unreadable) -> anyhow::Error {
    match unreadable {
        Unreadable::NotJson { .. } => refused(file, std::iter::once(unreadable.to_string())),
        Unreadable::Faults(faults) => {
            refused(file, faults.into_iter().map(|fault| format!("{}: {}", fault.pointer, fault.detail)))
        }
    }
}

fn refused(file: &Path, lines: impl Iterator<Item = String>) -> anyhow::Error {
    let lines: Vec<String> = lines.map(|line| format!("  {line}")).collect();
    anyhow::anyhow!("{} cannot be priced as it is:\n{}", file.display(), lines.join("\n"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_told_by_its_ending_else_by_its_first_character() {
        assert!(is_json(Path::new("a.JSON"), b"room"));
        assert!(!is_json(Path::new("a.csv"), b"{"));
        assert!(is_json(Path::new("-"), b"\n {"));
        assert!(!is_json(Path::new("-"), b"room,point,count"));
    }
}
