//! The sections of a rate sheet as tables, for a spreadsheet: out as CSV, and in again.
//!
//! Each section is one table of columns, and everything follows from it: what is written, what is read, and where a fault
//! of the document lies in the file. What is written and read again unchanged is the same sheet, and written again the
//! same bytes. Work grows with the bytes.

mod cells;
mod export;
mod import;

use crate::survey::vocabulary::closed_list;

pub use export::export;
pub(super) use export::rows;
pub use import::import;

closed_list! {
    /// A section of a rate sheet.
    Section {
        Labour = "labour": "Three-point hours by operation and stage.",
        Materials = "materials": "Prices, packs and waste by item.",
        Points = "points": "Selling rates by point.",
        Factors = "factors": "What multiplies hours.",
        Terms = "terms": "Rates, percentages, tax, and what the sheet says of itself.",
    }
}

/// What stands in a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Any text.
    Text,
    /// A text that may be left empty, and then is not there.
    OptionalText,
    /// An amount of money.
    Money,
    /// A number.
    Figure,
    /// A percentage, whose sign may be written.
    Percent,
    /// A whole number.
    Whole,
    /// `yes` or `no`.
    YesNo,
    /// Words with `;` between them.
    Words,
    /// Packs with `;` between them, each as `50 at 47.00`.
    Packs,
}

/// A column of a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Column {
    /// Its heading: the field of the document.
    pub name: &'static str,
    /// What stands in it.
    pub kind: Kind,
    /// Whether it tells rows apart.
    pub key: bool,
}

const fn key(name: &'static str) -> Column {
    Column { name, kind: Kind::Text, key: true }
}

const fn column(name: &'static str, kind: Kind) -> Column {
    Column { name, kind, key: false }
}

const LABOUR: &[Column] = &[
    key("operation"),
    key("stage"),
    column("group", Kind::Text),
    column("description", Kind::Text),
    column("unit", Kind::Text),
    column("optimistic_h", Kind::Figure),
    column("likely_h", Kind::Figure),
    column("pessimistic_h", Kind::Figure),
    column("people", Kind::Whole),
    column("difficulty_factors", Kind::Words),
    column("assumes", Kind::Text),
    column("source", Kind::Text),
];

const MATERIALS: &[Column] = &[
    key("item"),
    column("description", Kind::Text),
    column("unit", Kind::Text),
    column("pack_size", Kind::Figure),
    column("pack_price", Kind::Money),
    column("waste_percent", Kind::Percent),
    column("finished", Kind::YesNo),
    column("other_packs", Kind::Packs),
    column("category", Kind::Text),
    column("stage", Kind::OptionalText),
    column("source", Kind::Text),
];

const POINTS: &[Column] = &[
    key("item"),
    column("first", Kind::Money),
    column("further", Kind::Money),
    column("materials_percent", Kind::Percent),
    column("source", Kind::Text),
];

const FACTORS: &[Column] = &[
    key("factor"),
    key("level"),
    column("first_fix", Kind::Figure),
    column("second_fix", Kind::Figure),
    column("testing", Kind::Figure),
    column("preliminaries", Kind::Figure),
    column("source", Kind::Text),
];

/// The terms are one row each, under these two headings.
const TERMS: &[Column] = &[key("term"), column("value", Kind::Text)];

/// The terms, in the order in which they are written. Those of the sheet itself stand first; `finish:` and a finish stand
/// for the multiples by finish, after all others.
const TERM_ROWS: &[(&str, Kind)] = &[
    ("currency", Kind::Text),
    ("note", Kind::Text),
    ("invented", Kind::YesNo),
    ("effective_from", Kind::OptionalText),
    ("effective_until", Kind::OptionalText),
    ("labour_rate", Kind::Money),
    ("sundries_percent", Kind::Percent),
    ("overhead_percent", Kind::Percent),
    ("left_over_charged_percent", Kind::Percent),
    ("profit_margin_percent", Kind::Percent),
    ("factor_cap", Kind::Figure),
    ("people", Kind::Whole),
    ("hours_per_day", Kind::Figure),
    ("vehicle_per_km", Kind::Money),
    ("waste_gate_fee", Kind::Money),
    ("notification_fee", Kind::Money),
    ("crew_spread", Kind::Figure),
    ("price_spread", Kind::Figure),
];

/// What comes before the finish in the name of a multiple.
const FINISH: &str = "finish:";

/// The terms that belong to the sheet and not to its `terms`.
const OF_THE_SHEET: [&str; 5] = ["currency", "note", "invented", "effective_from", "effective_until"];

impl Section {
    /// Its columns.
    pub(super) const fn columns(self) -> &'static [Column] {
        match self {
            Self::Labour => LABOUR,
            Self::Materials => MATERIALS,
            Self::Points => POINTS,
            Self::Factors => FACTORS,
            Self::Terms => TERMS,
        }
    }
}

/// Where a term lies in the document.
fn term_pointer(term: &str) -> String {
    match term.strip_prefix(FINISH) {
        Some(finish) => format!("/terms/finish_multiples/{}", crate::faults::pointer_token(finish)),
        None if OF_THE_SHEET.contains(&term) => format!("/{term}"),
        None => format!("/terms/{term}"),
    }
}
