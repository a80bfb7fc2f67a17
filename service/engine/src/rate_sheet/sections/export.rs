//! A section of a sheet as CSV (RFC 4180, with a heading).

use csv::{QuoteStyle, Terminator, WriterBuilder};
use serde_json::Value;

use super::cells::{guarded, plain};
use super::{CREW, CellKind, FAMILIES, OF_THE_SHEET, PAYMENT, Section, SectionColumn, TERM_ROWS};
use crate::rate_sheet::RateSheet;

/// The section as CSV. The same sheet gives the same bytes.
#[must_use]
pub fn export(section: Section, sheet: &RateSheet) -> Vec<u8> {
    let document = serde_json::to_value(sheet).unwrap_or_default();
    let columns = section.columns();
    let mut writer =
        WriterBuilder::new().terminator(Terminator::CRLF).quote_style(QuoteStyle::NonNumeric).from_writer(Vec::new());
    let rows = rows(section, &document);
    // Writing to memory does not fail, and every row has a cell for each column.
    let _ = writer.write_record(columns.iter().map(|column| column.name));
    for row in &rows {
        let _ = writer.write_record(row);
    }
    writer.into_inner().unwrap_or_default()
}

/// The rows of a section, a cell for each column.
pub(in crate::rate_sheet) fn rows(section: Section, document: &Value) -> Vec<Vec<String>> {
    if section == Section::Terms {
        return terms(document);
    }
    let rows = document.get(section.word()).and_then(Value::as_array);
    rows.into_iter().flatten().map(|row| section.columns().iter().map(|column| cell(*column, row)).collect()).collect()
}

fn cell(column: SectionColumn, row: &Value) -> String {
    let value = plain(row.get(column.name).unwrap_or(&Value::Null));
    if column.kind == CellKind::Text || column.kind == CellKind::OptionalText { guarded(&value) } else { value }
}

fn terms(document: &Value) -> Vec<Vec<String>> {
    let terms = document.get("terms").unwrap_or(&Value::Null);
    let mut rows = Vec::new();
    for (term, kind) in TERM_ROWS {
        let holder = if OF_THE_SHEET.contains(term) { document } else { terms };
        let held = holder.get(*term).unwrap_or(&Value::Null);
        // A `no` is left out of the document and not out of the table.
        let value = if *kind == CellKind::YesNo && held.is_null() { "no".to_owned() } else { plain(held) };
        let is_text = *kind == CellKind::Text || *kind == CellKind::OptionalText;
        rows.push(vec![(*term).to_owned(), if is_text { guarded(&value) } else { value }]);
    }
    for (prefix, field) in FAMILIES {
        let members = terms.get(field).and_then(Value::as_object);
        rows.extend(members.into_iter().flatten().map(|(name, figure)| vec![format!("{prefix}{name}"), plain(figure)]));
    }
    let crew = terms.get("crew").and_then(Value::as_array);
    rows.extend(crew.into_iter().flatten().map(|grade| {
        let part = |field| plain(grade.get(field).unwrap_or(&Value::Null));
        let tests = if grade.get("tests") == Some(&Value::Bool(true)) { ", tests" } else { "" };
        vec![format!("{CREW}{}", part("grade")), format!("{} at {}{tests}", part("people"), part("rate"))]
    }));
    let payments = terms.get("payment_stages").and_then(Value::as_array);
    rows.extend(payments.into_iter().flatten().map(|payment| {
        let part = |field| plain(payment.get(field).unwrap_or(&Value::Null));
        vec![format!("{PAYMENT}{}", part("when")), part("percent")]
    }));
    rows
}
