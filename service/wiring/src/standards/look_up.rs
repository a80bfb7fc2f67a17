//! Looking a value up: what is the same size, and what is said where a table does not hold one.

use crate::faults::{Fault, FaultCode};
use crate::quantities::SquareMillimetres;

/// A value that a table does not hold.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("not in {table}: {detail}")]
pub struct NotInTable {
    table: &'static str,
    detail: String,
}

impl NotInTable {
    pub(super) const fn new(table: &'static str, detail: String) -> Self {
        Self { table, detail }
    }

    /// The table that was asked.
    #[must_use]
    pub const fn table(&self) -> &'static str {
        self.table
    }

    /// As a fault of a request, at the value that sent us to the table.
    #[must_use]
    pub fn at(&self, pointer: impl Into<String>) -> Fault {
        Fault::new(pointer, FaultCode::NotInTable, self.to_string())
    }
}

/// Whether two sizes are the same standard size.
pub(super) fn same_size(a: SquareMillimetres, b: SquareMillimetres) -> bool {
    (a.value() - b.value()).abs() < 1e-6
}

/// What a table holds in place of the size that was asked for.
pub(super) fn sizes_held(asked: SquareMillimetres, held: impl Iterator<Item = SquareMillimetres>) -> String {
    let listed: Vec<String> = held.map(|size| size.value().to_string()).collect();
    format!("it has no {asked}; it has {} mm2", listed.join(", "))
}
