//! The space of conduit and trunking: how many single-core cables may be drawn into one.
//!
//! Each cable and each enclosure has a term; the cables' terms together may not be above the enclosure's. Between rows
//! the next longer run is taken, which is on the safe side; past the last row nothing is held.

use crate::closed_list;
use serde::Deserialize;

use super::look_up::{NotInTable, same_size, sizes_held};
use super::provenance::Provenance;
use crate::quantities::{Metres, SquareMillimetres};
use crate::table::rows;

closed_list! {
    /// What single-core cables are drawn or laid into.
    EnclosureType {
        Conduit = "conduit": "Round conduit.",
        Trunking = "trunking": "Trunking with a lid.",
    }
}

/// A conduit between two places to draw in, or a trunking.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnclosureSize {
    /// The kind.
    pub kind: EnclosureType,
    /// Diameter of a conduit, width of a trunking.
    pub width_mm: f64,
    /// Height of a trunking.
    pub height_mm: Option<f64>,
    /// Longest run of a conduit between two places to draw in.
    pub run: Metres,
    /// Bends of 90 degrees in that run.
    pub bends: u8,
}

/// The printed tables that go together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EnclosureTable {
    /// Conduit of up to 3 m without bends.
    ConduitStraight,
    /// Conduit that is longer or has bends.
    Conduit,
    /// Trunking.
    Trunking,
}

impl EnclosureTable {
    /// Its printed name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::ConduitStraight => "On-Site Guide Tables E1 and E2",
            Self::Conduit => "On-Site Guide Tables E3 and E4",
            Self::Trunking => "On-Site Guide Tables E5 and E6",
        }
    }
}

/// The room in an enclosure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnclosureSpace {
    /// The tables that it was read in.
    pub table: EnclosureTable,
    /// The most that the cables' terms may come to.
    pub term: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum RowKind {
    Cable,
    Enclosure,
}

#[derive(Debug, Clone, Deserialize)]
struct EnclosureRow {
    kind: RowKind,
    enclosure: EnclosureTable,
    line_mm2: Option<f64>,
    width_mm: Option<f64>,
    height_mm: Option<f64>,
    run_m: Option<f64>,
    bends: Option<u8>,
    term: f64,
    #[serde(rename = "status")]
    _status: Provenance,
}

/// The tables of enclosures.
#[derive(Debug, Clone)]
pub(super) struct Enclosures {
    rows: Vec<EnclosureRow>,
}

/// A straight conduit of up to this has tables of its own. Source: On-Site Guide Appendix E, seen.
const STRAIGHT: Metres = Metres::new(3.0);
/// Two sizes as printed are the same.
const SAME_MM: f64 = 1e-6;

impl Enclosures {
    pub(super) fn built_in() -> Self {
        Self { rows: rows("enclosure_terms.csv", include_str!("../../data/enclosure_terms.csv")) }
    }

    fn of(&self, table: EnclosureTable, kind: RowKind) -> impl Iterator<Item = &EnclosureRow> {
        self.rows.iter().filter(move |row| row.enclosure == table && row.kind == kind)
    }

    /// The term of one cable; solid and stranded share the larger.
    pub(super) fn cable(&self, table: EnclosureTable, line: SquareMillimetres) -> Result<f64, NotInTable> {
        let size = |row: &EnclosureRow| SquareMillimetres::new(row.line_mm2.unwrap_or_default());
        let terms = self.of(table, RowKind::Cable).filter(|row| same_size(size(row), line)).map(|row| row.term);
        terms.reduce(f64::max).ok_or_else(|| {
            let mut held: Vec<SquareMillimetres> = self.of(table, RowKind::Cable).map(size).collect();
            held.dedup_by(|one, other| same_size(*one, *other));
            NotInTable::new(table.name(), sizes_held(line, held.into_iter()))
        })
    }

    /// The term of an enclosure.
    pub(super) fn space(&self, asked: EnclosureSize) -> Result<EnclosureSpace, NotInTable> {
        let table = match asked.kind {
            EnclosureType::Trunking => EnclosureTable::Trunking,
            EnclosureType::Conduit if asked.bends == 0 && asked.run <= STRAIGHT => EnclosureTable::ConduitStraight,
            EnclosureType::Conduit => EnclosureTable::Conduit,
        };
        let same = |one: Option<f64>, other: Option<f64>| match (one, other) {
            (Some(one), Some(other)) => (one - other).abs() < SAME_MM,
            (one, other) => one.is_none() && other.is_none(),
        };
        let sized =
            |row: &&EnclosureRow| same(row.width_mm, Some(asked.width_mm)) && same(row.height_mm, asked.height_mm);
        let of_size: Vec<&EnclosureRow> = self.of(table, RowKind::Enclosure).filter(sized).collect();
        if of_size.is_empty() {
            return Err(NotInTable::new(table.name(), self.sizes(table, asked)));
        }
        let long_enough = |row: &&&EnclosureRow| {
            table != EnclosureTable::Conduit
                || (row.bends == Some(asked.bends) && row.run_m.is_some_and(|run| run >= asked.run.value()))
        };
        let run = |row: &EnclosureRow| row.run_m.unwrap_or_default();
        let found = of_size.iter().filter(long_enough).min_by(|a, b| run(a).total_cmp(&run(b)));
        found.map(|row| EnclosureSpace { table, term: row.term }).ok_or_else(|| {
            let detail =
                format!("it has no run of {:.1} with {} bends; put in a box to draw through", asked.run, asked.bends);
            NotInTable::new(table.name(), detail)
        })
    }

    fn sizes(&self, table: EnclosureTable, asked: EnclosureSize) -> String {
        let words = |width: f64, height: Option<f64>| match height {
            Some(height) => format!("{width} x {height}"),
            None => width.to_string(),
        };
        let mut held: Vec<String> = Vec::new();
        for row in self.of(table, RowKind::Enclosure) {
            let size = words(row.width_mm.unwrap_or_default(), row.height_mm);
            if held.last() != Some(&size) && !held.contains(&size) {
                held.push(size);
            }
        }
        format!("it has no {} of {} mm; it has {}", asked.kind, words(asked.width_mm, asked.height_mm), held.join(", "))
    }
}
