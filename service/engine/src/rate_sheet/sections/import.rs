//! A section of a sheet from CSV: every fault at once, by row and column.

use std::collections::{BTreeMap, BTreeSet};

use csv::StringRecord;
use serde::Deserialize;
use serde_json::{Map, Value};

use super::cells::{self, Style, sign_of};
use super::{CREW, CellKind, OF_THE_SHEET, PAYMENT, Section, TERM_ROWS, family, list_of, term_pointer};
use crate::faults::{CellFault, Fault, FaultCode, nearest};
use crate::limits::{FAULTS_LISTED_MAX, SHEET_ROWS_MAX};
use crate::rate_sheet::RateSheet;
use crate::table::spreadsheet::{self, Rows, separator, shown};

/// The sheet with this section put in place of its own, held against `contract` and `rules`, whose faults are given back by
/// row and column.
///
/// A cell that cannot be read, or that the contract refuses, is a fault; something that passes stands in for it, so that all
/// the rest is judged in the same answer. What then breaks a rule only together with such a cell is not told.
///
/// # Errors
/// Every fault, at most [`FAULTS_LISTED_MAX`], in the order of the rows.
pub fn import(
    section: Section,
    bytes: &[u8],
    sheet: &RateSheet,
    contract: impl FnOnce(&Value) -> Vec<Fault>,
    rules: impl FnOnce(&RateSheet) -> Vec<Fault>,
) -> Result<RateSheet, Vec<CellFault>> {
    let text = spreadsheet::text(bytes).map_err(|fault| vec![fault])?;
    let mut table = SectionTable::of(section, text, &sheet.currency);
    let mut document = serde_json::to_value(sheet).unwrap_or_default();
    if table.read(text, &mut document) {
        table.judge(&mut document, contract, rules);
    }
    if !table.faults.is_empty() {
        table.faults.sort();
        table.faults.dedup();
        table.faults.truncate(FAULTS_LISTED_MAX);
        return Err(table.faults);
    }
    serde_json::from_value(document)
        .map_err(|fault| vec![CellFault { row: 1, column: None, detail: fault.to_string() }])
}

/// A file while it is read.
struct SectionTable {
    section: Section,
    style: Style,
    /// What each cell of a row stands under; none where the heading is empty or unknown.
    headings: Vec<Option<usize>>,
    /// The line that each row of the document was written in.
    lines: Vec<u64>,
    /// The line that each term was written in, by its pointer.
    term_lines: BTreeMap<String, u64>,
    /// The cells that something stands in for, by their pointers.
    stood_in: BTreeSet<String>,
    faults: Vec<CellFault>,
}

impl SectionTable {
    fn of(section: Section, text: &str, currency: &str) -> Self {
        let columns = section.columns();
        let is_heading = |cell: &str| columns.iter().any(|column| column.name == heading(cell));
        Self {
            section,
            style: Style { separator: separator(text, is_heading), sign: sign_of(currency) },
            headings: Vec::new(),
            lines: Vec::new(),
            term_lines: BTreeMap::new(),
            stood_in: BTreeSet::new(),
            faults: Vec::new(),
        }
    }

    fn fault(&mut self, row: u64, column: Option<&str>, detail: String) {
        self.faults.push(CellFault { row, column: column.map(str::to_owned), detail });
    }

    /// Reads the rows into the document, and says whether all of them are in it: under a heading that cannot be read no
    /// row can, and a table that is nothing but faults is not read to its end.
    fn read(&mut self, text: &str, document: &mut Value) -> bool {
        let mut rows = Rows::new(text, self.style.separator);
        let Some((row, cells)) = rows.next() else {
            let names: Vec<&str> = self.section.columns().iter().map(|column| column.name).collect();
            self.fault(1, None, format!("the table is empty; its first line reads {}", names.join(",")));
            return false;
        };
        self.headings(row, &cells);
        if !self.faults.is_empty() {
            return false;
        }
        let mut read = Vec::new();
        for (row, cells) in rows {
            if read.len() == SHEET_ROWS_MAX {
                self.fault(row, None, format!("more than {SHEET_ROWS_MAX} rows; a section has no more"));
                return false;
            }
            self.surplus(row, &cells);
            read.push((row, self.cells(&cells)));
            if self.faults.len() >= FAULTS_LISTED_MAX {
                return false;
            }
        }
        if self.section == Section::Terms {
            self.terms(&read, document);
        } else {
            let entries = read.iter().map(|(row, cells)| self.entry(*row, cells)).collect();
            document[self.section.word()] = Value::Array(entries);
        }
        self.faults.len() < FAULTS_LISTED_MAX
    }

    /// Holds the document against contract and rules.
    fn judge(
        &mut self,
        document: &mut Value,
        contract: impl FnOnce(&Value) -> Vec<Fault>,
        rules: impl FnOnce(&RateSheet) -> Vec<Fault>,
    ) {
        for fault in contract(&*document) {
            if self.stood_in.contains(&fault.pointer) {
                continue;
            }
            self.stand_in(document, &fault.pointer);
            let fault = self.placed(fault);
            self.faults.push(fault);
        }
        // Row 1 stands for all that has no row of its own.
        let spoilt: BTreeSet<u64> = self.faults.iter().map(|fault| fault.row).filter(|row| *row > 1).collect();
        // What cannot be read even so has its faults told by the contract.
        let Ok(sheet) = RateSheet::deserialize(&*document) else { return };
        for fault in rules(&sheet) {
            let together = matches!(fault.code, FaultCode::Contradiction | FaultCode::DuplicateId);
            let of_a_list = together && self.stood_in.iter().any(|cell| rests_on(&fault.pointer, cell));
            let cell = self.stood_in.contains(&fault.pointer);
            let fault = self.placed(fault);
            if !(cell || of_a_list || (together && spoilt.contains(&fault.row))) {
                self.faults.push(fault);
            }
        }
    }

    /// Puts something that passes in the place of what does not.
    fn stand_in(&mut self, document: &mut Value, pointer: &str) {
        let Some((above, name)) = pointer.rsplit_once('/') else { return };
        let kind = kind_of(self.section, name);
        if let (Some(kind), Some(holder)) = (kind, document.pointer_mut(above).and_then(Value::as_object_mut)) {
            // A list that is too long has nothing in it that could not be read.
            if holder.get(name).is_some_and(|held| held.is_array() || held.is_object()) {
                return;
            }
            holder.insert(name.to_owned(), passing(kind, name));
            self.stood_in.insert(pointer.to_owned());
        }
    }

    fn headings(&mut self, row: u64, cells: &StringRecord) {
        let columns = self.section.columns();
        for cell in cells {
            let name = heading(cell);
            let found = columns.iter().position(|column| column.name == name);
            if found.is_some() && self.headings.contains(&found) {
                self.fault(row, Some(&name), format!("the column `{name}` is there twice; keep one"));
            }
            // The built-in files, and many people's, have a remark on each term.
            let remark = self.section == Section::Terms && name == "source";
            if found.is_none() && !name.is_empty() && !remark {
                let words = columns.iter().map(|column| column.name);
                let mend = match nearest(&name, words.clone()) {
                    Some(meant) => format!("did you mean `{meant}`?"),
                    None => format!("leave it out, or use one of {}", words.collect::<Vec<_>>().join(", ")),
                };
                self.fault(row, Some(&shown(&name)), format!("there is no column `{}`; {mend}", shown(&name)));
            }
            self.headings.push(found);
        }
        for (index, column) in columns.iter().enumerate() {
            if !self.headings.contains(&Some(index)) {
                self.fault(row, Some(column.name), format!("the column `{}` is missing; add it", column.name));
            }
        }
        self.faults.truncate(FAULTS_LISTED_MAX);
    }

    /// Cells with something in them under no heading: a comma too many in the row.
    fn surplus(&mut self, row: u64, cells: &StringRecord) {
        let extra = cells.iter().skip(self.headings.len()).find(|cell| !cell.trim().is_empty());
        if let Some(extra) = extra.map(shown) {
            let detail =
                format!("`{extra}` stands under no heading; put a text that holds the separator in quotation marks");
            self.fault(row, None, detail);
        }
    }

    /// The cells in the order of the columns.
    fn cells(&self, cells: &StringRecord) -> Vec<String> {
        let mut ordered = vec![String::new(); self.section.columns().len()];
        for (heading, cell) in self.headings.iter().zip(cells) {
            if let Some(index) = heading {
                cell.clone_into(&mut ordered[*index]);
            }
        }
        ordered
    }

    fn entry(&mut self, row: u64, cells: &[String]) -> Value {
        let index = self.lines.len();
        self.lines.push(row);
        let mut entry = Map::new();
        for (column, cell) in self.section.columns().iter().zip(cells) {
            let cell = if column.key { cell.trim() } else { cell };
            let value = cells::read(column.kind, cell, self.style).unwrap_or_else(|why| {
                self.fault(row, Some(column.name), format!("`{}` {why}", column.name));
                self.stood_in.insert(format!("/{}/{index}/{}", self.section, column.name));
                passing(column.kind, column.name)
            });
            entry.insert(column.name.to_owned(), value);
        }
        Value::Object(entry)
    }

    fn terms(&mut self, rows: &[(u64, Vec<String>)], document: &mut Value) {
        document["terms"] = serde_json::json!({ "finish_multiples": {}, "payment_stages": [], "crew": [] });
        for term in OF_THE_SHEET {
            if let Some(fields) = document.as_object_mut() {
                fields.remove(term);
            }
        }
        for (row, cells) in rows {
            let [term, value] = cells.as_slice() else { continue };
            self.term(*row, term.trim(), value, document);
        }
    }

    fn term(&mut self, row: u64, term: &str, cell: &str, document: &mut Value) {
        let known = TERM_ROWS.iter().find(|(name, _)| *name == term).map(|(_, kind)| *kind);
        let of_a_family = term.starts_with(PAYMENT) || family(term).is_some();
        let of_the_crew = term.starts_with(CREW).then_some(CellKind::Grade);
        let Some(kind) = known.or(of_the_crew).or(of_a_family.then_some(CellKind::Percent)) else {
            let mend = match nearest(term, TERM_ROWS.iter().map(|(name, _)| *name)) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None => "leave the row out".to_owned(),
            };
            return self.fault(row, Some("term"), format!("there is no term `{}`; {mend}", shown(term)));
        };
        let before = list_of(term).and_then(|list| document["terms"][list].as_array()).map_or(0, Vec::len);
        let pointer = term_pointer(term, before);
        if let Some(first) = self.term_lines.insert(pointer.clone(), row) {
            return self.fault(row, Some("term"), format!("`{}` stands in row {first} too; keep one", shown(term)));
        }
        match cells::read(kind, cell, self.style) {
            Ok(Value::Null) => {}
            Ok(value) => put(document, term, value),
            Err(why) => {
                self.fault(row, Some("value"), format!("`{}` {why}", shown(term)));
                self.stood_in.insert(pointer);
                put(document, term, passing(kind, term));
            }
        }
    }

    /// A fault of the document, at the row and column that it was read from.
    fn placed(&self, fault: Fault) -> CellFault {
        let mut tokens = fault.pointer.split('/').skip(1);
        if self.section == Section::Terms {
            // The fault of a payment or a grade lies in one of its fields, a level below.
            let above = fault.pointer.rsplit_once('/').map_or("", |(above, _)| above);
            let row = self.term_lines.get(&fault.pointer).or_else(|| self.term_lines.get(above)).copied();
            return CellFault { row: row.unwrap_or(1), column: row.map(|_| "value".to_owned()), detail: fault.detail };
        }
        let own = tokens.next() == Some(self.section.word());
        let row = tokens.next().and_then(|index| self.lines.get(index.parse::<usize>().ok()?)).copied();
        match row.filter(|_| own) {
            Some(row) => CellFault { row, column: tokens.next().map(str::to_owned), detail: fault.detail },
            None if own => CellFault { row: 1, column: None, detail: fault.detail },
            None => CellFault { row: 1, column: None, detail: format!("{}: {}", fault.pointer, fault.detail) },
        }
    }
}

fn put(document: &mut Value, term: &str, value: Value) {
    if let Some(when) = term.strip_prefix(PAYMENT) {
        if let Some(payments) = document["terms"]["payment_stages"].as_array_mut() {
            payments.push(serde_json::json!({ "when": when, "percent": value }));
        }
        return;
    }
    if let Some(grade) = term.strip_prefix(CREW) {
        let mut value = value;
        value["grade"] = grade.into();
        if let Some(crew) = document["terms"]["crew"].as_array_mut() {
            crew.push(value);
        }
        return;
    }
    match family(term) {
        Some((field, name)) => document["terms"][field][name] = value,
        None if OF_THE_SHEET.contains(&term) => document[term] = value,
        None => document["terms"][term] = value,
    }
}

/// What stands in a field of the section or of what its rows hold.
fn kind_of(section: Section, name: &str) -> Option<CellKind> {
    let column = section.columns().iter().find(|column| column.name == name).map(|column| column.kind);
    let term = TERM_ROWS.iter().find(|(term, _)| *term == name).map(|(_, kind)| *kind);
    let inner = match name {
        "size" | "percent" => Some(CellKind::Figure),
        "price" | "rate" => Some(CellKind::Money),
        "people" => Some(CellKind::Whole),
        "when" | "grade" => Some(CellKind::Text),
        _ => None,
    };
    let known = if section == Section::Terms { term.or(inner) } else { column.or(inner) };
    // A multiple or a share goes by a name of the firm's own.
    known.or((section == Section::Terms).then_some(CellKind::Percent))
}

/// Something that contract and rules let pass, to stand in for a cell that is a fault already.
fn passing(kind: CellKind, name: &str) -> Value {
    match (name, kind) {
        ("stage", _) => "first-fix".into(),
        ("kind", _) => "ladder".into(),
        ("vat", _) => "standard".into(),
        ("currency", _) => "GBP".into(),
        (_, CellKind::Text) => "unread".into(),
        (_, CellKind::OptionalText) => Value::Null,
        (_, CellKind::Money) => "1.00".into(),
        (_, CellKind::Figure | CellKind::Percent) => 1.0.into(),
        (_, CellKind::Whole) => 1.into(),
        (_, CellKind::YesNo) => false.into(),
        (_, CellKind::Words | CellKind::Packs) => Value::Array(Vec::new()),
        (_, CellKind::Grade) => serde_json::json!({ "people": 1, "rate": "1.00", "tests": true }),
    }
}

/// Whether what is said of `pointer` rests on the list that `cell` is of: shares that add up, a crew and its mix.
fn rests_on(pointer: &str, cell: &str) -> bool {
    const OF_THE_CREW: [&str; 3] = ["/terms/crew", "/terms/people", "/terms/labour_rate"];
    match pointer {
        "/terms/payment_stages" => cell.starts_with("/terms/payment_stages/"),
        crew if OF_THE_CREW.contains(&crew) => cell.starts_with("/terms/crew/") || OF_THE_CREW.contains(&cell),
        _ => false,
    }
}

/// A heading without regard to capitals and spaces.
fn heading(cell: &str) -> String {
    cell.trim().to_lowercase().replace(' ', "_")
}
