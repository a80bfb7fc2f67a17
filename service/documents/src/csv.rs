//! The lines of an estimate as CSV (RFC 4180, with a heading), for a spreadsheet.

use ::csv::{QuoteStyle, Terminator, WriterBuilder};
use engine::estimate::{Estimate, Line};
use engine::money::decimal;

use crate::words::clean;

/// Why no CSV could be made: never the estimate's fault, as it is written to memory.
#[derive(Debug, thiserror::Error)]
#[error("the lines could not be written as CSV")]
pub struct CsvError(#[from] ::csv::Error);

const HEADING: [&str; 14] = [
    "id",
    "kind",
    "room",
    "circuit",
    "item",
    "description",
    "quantity",
    "unit",
    "hours",
    "materials",
    "labour",
    "amount",
    "currency",
    "because",
];

/// The lines, one a row; their `amount`s add to the net price.
///
/// Every cell that holds text stands in quotation marks, and one that a spreadsheet would take for a formula gets an
/// apostrophe before it. Figures are plain.
///
/// # Errors
/// [`CsvError`] if the writer fails, which memory does not.
pub fn estimate_lines(estimate: &Estimate) -> Result<Vec<u8>, CsvError> {
    let mut writer =
        WriterBuilder::new().terminator(Terminator::CRLF).quote_style(QuoteStyle::NonNumeric).from_writer(Vec::new());
    writer.write_record(HEADING)?;
    for line in &estimate.lines {
        writer.write_record(cells(line, &estimate.currency))?;
    }
    writer.into_inner().map_err(|failure| CsvError(failure.into_error().into()))
}

fn cells(line: &Line, currency: &str) -> [String; HEADING.len()] {
    [
        text(&line.id),
        line.kind.word().to_owned(),
        text(line.room.as_deref().unwrap_or_default()),
        text(line.circuit.as_deref().unwrap_or_default()),
        text(&line.item),
        text(&line.description),
        figure(line.quantity),
        text(&line.unit),
        figure(line.hours.value()),
        line.materials.to_string(),
        line.labour.to_string(),
        line.amount.to_string(),
        text(currency),
        text(&line.because.join(". ")),
    ]
}

/// A physical figure at the six decimals that money is worked out with.
fn figure(figure: f64) -> String {
    decimal(figure).normalize().to_string()
}

/// Text that no spreadsheet takes for a formula (common practice against CSV injection, from memory): what starts
/// like one, the full-width signs with it, gets an apostrophe before it.
fn text(text: &str) -> String {
    const STARTS_A_FORMULA: [char; 11] = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠'];
    if text.starts_with(STARTS_A_FORMULA) { format!("'{}", clean(text)) } else { clean(text) }
}
