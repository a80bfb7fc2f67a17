//! The sections of a rate sheet as tables, for a spreadsheet: out as CSV, and in again.
//!
//! Each section is one table of columns, and everything follows from it: what is written, what is read, and where a fault
//! of the document lies in the file. What is written and read again unchanged is the same sheet, and written again the
//! same bytes. Work grows with the bytes.

use wiring::closed_list;

mod cells;
mod export;
mod import;

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
        Hire = "hire": "What is hired for a job.",
        Terms = "terms": "Rates, percentages, tax, and what the sheet says of itself.",
    }
}

/// What stands in a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CellKind {
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
    /// People of one grade, as `1 at 34.00`, or `1 at 34.00, tests` where they may.
    Grade,
}

/// A column of a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct SectionColumn {
    /// Its heading: the field of the document.
    pub name: &'static str,
    /// What stands in it.
    pub kind: CellKind,
    /// Whether it tells rows apart.
    pub key: bool,
}

const fn key(name: &'static str) -> SectionColumn {
    SectionColumn { name, kind: CellKind::Text, key: true }
}

const fn column(name: &'static str, kind: CellKind) -> SectionColumn {
    SectionColumn { name, kind, key: false }
}

const LABOUR: &[SectionColumn] = &[
    key("operation"),
    key("stage"),
    column("group", CellKind::Text),
    column("description", CellKind::Text),
    column("unit", CellKind::Text),
    column("optimistic_h", CellKind::Figure),
    column("likely_h", CellKind::Figure),
    column("pessimistic_h", CellKind::Figure),
    column("people", CellKind::Whole),
    column("difficulty_factors", CellKind::Words),
    column("assumes", CellKind::Text),
    column("source", CellKind::Text),
];

const MATERIALS: &[SectionColumn] = &[
    key("item"),
    column("description", CellKind::Text),
    column("unit", CellKind::Text),
    column("pack_size", CellKind::Figure),
    column("pack_price", CellKind::Money),
    column("waste_percent", CellKind::Percent),
    column("finished", CellKind::YesNo),
    column("other_packs", CellKind::Packs),
    column("category", CellKind::Text),
    column("stage", CellKind::OptionalText),
    column("source", CellKind::Text),
];

const POINTS: &[SectionColumn] = &[
    key("item"),
    column("first", CellKind::Money),
    column("further", CellKind::Money),
    column("materials_percent", CellKind::Percent),
    column("source", CellKind::Text),
];

const FACTORS: &[SectionColumn] = &[
    key("factor"),
    key("level"),
    column("first_fix", CellKind::Figure),
    column("second_fix", CellKind::Figure),
    column("testing", CellKind::Figure),
    column("preliminaries", CellKind::Figure),
    column("source", CellKind::Text),
];

const HIRE: &[SectionColumn] = &[
    key("item"),
    column("kind", CellKind::Text),
    column("description", CellKind::Text),
    column("unit", CellKind::Text),
    column("capacity_m3", CellKind::Figure),
    column("price", CellKind::Money),
    column("source", CellKind::Text),
];

/// The terms are one row each, under these two headings.
const TERMS: &[SectionColumn] = &[key("term"), column("value", CellKind::Text)];

/// The terms, in the order in which they are written. Those of the sheet itself stand first; multiples and shares stand after
/// all others, each family under its own word.
const TERM_ROWS: &[(&str, CellKind)] = &[
    ("currency", CellKind::Text),
    ("note", CellKind::Text),
    ("invented", CellKind::YesNo),
    ("effective_from", CellKind::OptionalText),
    ("effective_until", CellKind::OptionalText),
    ("labour_rate", CellKind::Money),
    ("sundries_percent", CellKind::Percent),
    ("overhead_percent", CellKind::Percent),
    ("left_over_charged_percent", CellKind::Percent),
    ("spare_under", CellKind::Money),
    ("profit_margin_percent", CellKind::Percent),
    ("factor_cap", CellKind::Figure),
    ("people", CellKind::Whole),
    ("hours_per_day", CellKind::Figure),
    ("vehicle_per_km", CellKind::Money),
    ("paid_travel", CellKind::Text),
    ("paid_travel_beyond_km", CellKind::Figure),
    ("paid_travel_beyond_min", CellKind::Figure),
    ("waste_gate_fee", CellKind::Money),
    ("notification_fee", CellKind::Money),
    ("crew_spread", CellKind::Figure),
    ("price_spread", CellKind::Figure),
    ("minimum_charge", CellKind::Money),
    ("round_down_to", CellKind::Money),
    ("vat", CellKind::Text),
    ("valid_days", CellKind::Whole),
];

/// What stands before the name of a multiple or a share, and the field that holds them: the finishes, the categories of
/// materials, and the payments, which keep their order.
const FAMILIES: [(&str, &str); 2] = [("finish:", "finish_multiples"), ("category:", "category_percents")];
const PAYMENT: &str = "payment:";
/// What stands before a grade of the crew.
const CREW: &str = "crew:";

/// The terms that belong to the sheet and not to its `terms`.
const OF_THE_SHEET: [&str; 5] = ["currency", "note", "invented", "effective_from", "effective_until"];

impl Section {
    /// Its columns.
    pub(super) const fn columns(self) -> &'static [SectionColumn] {
        match self {
            Self::Labour => LABOUR,
            Self::Materials => MATERIALS,
            Self::Points => POINTS,
            Self::Factors => FACTORS,
            Self::Hire => HIRE,
            Self::Terms => TERMS,
        }
    }
}

/// The list that a term belongs to, in which it keeps its order: the payments, or the crew.
fn list_of(term: &str) -> Option<&'static str> {
    [(PAYMENT, "payment_stages"), (CREW, "crew")]
        .into_iter()
        .find_map(|(prefix, field)| term.starts_with(prefix).then_some(field))
}

/// Where a term lies in the document. What belongs to a list lies where it stands in it, after so many.
fn term_pointer(term: &str, before: usize) -> String {
    if let Some(list) = list_of(term) {
        return format!("/terms/{list}/{before}");
    }
    match family(term) {
        Some((field, name)) => format!("/terms/{field}/{}", crate::faults::pointer_token(name)),
        None if OF_THE_SHEET.contains(&term) => format!("/{term}"),
        None => format!("/terms/{term}"),
    }
}

/// The field that holds a term of a family, and its name there.
fn family(term: &str) -> Option<(&'static str, &str)> {
    FAMILIES.iter().find_map(|(prefix, field)| term.strip_prefix(prefix).map(|name| (*field, name)))
}
