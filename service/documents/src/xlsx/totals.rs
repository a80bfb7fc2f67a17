//! The formulas of the totals, each with what it gives when the sheet is worked out again.

use engine::estimate::{Estimate, Line, LineKind};
use engine::money::Money;
use rust_decimal::Decimal;

use crate::words;

/// A formula and what it gives.
pub(super) struct Total {
    pub(super) formula: String,
    pub(super) gives: Money,
}

/// Columns of the sheet `Lines` that totals add up.
#[derive(Clone, Copy)]
pub(super) enum Column {
    Materials,
    Labour,
    Amount,
}

impl Column {
    fn letter(self) -> char {
        match self {
            Self::Materials => 'J',
            Self::Labour => 'K',
            Self::Amount => 'L',
        }
    }

    fn of(self, line: &Line) -> Money {
        match self {
            Self::Materials => line.materials,
            Self::Labour => line.labour,
            Self::Amount => line.amount,
        }
    }
}

/// The range of a column of the sheet `Lines`, its heading left out.
fn range(letter: char, estimate: &Estimate) -> String {
    // One row at least: a range that ends before it begins is not a formula.
    let last = estimate.lines.len().max(1) + 1;
    format!("Lines!${letter}$2:${letter}${last}")
}

/// All lines.
pub(super) fn of_all(column: Column, estimate: &Estimate) -> Total {
    let formula = format!("=ROUND(SUM({}),2)", range(column.letter(), estimate));
    Total { formula, gives: estimate.lines.iter().map(|line| column.of(line)).sum() }
}

/// Lines of one kind.
pub(super) fn of_kind(column: Column, kind: LineKind, estimate: &Estimate) -> Total {
    let formula = format!(
        "=ROUND(SUMIFS({},{},\"{}\"),2)",
        range(column.letter(), estimate),
        range('B', estimate),
        words::line_kind(kind)
    );
    let lines = estimate.lines.iter().filter(|line| line.kind == kind);
    Total { formula, gives: lines.map(|line| column.of(line)).sum() }
}

/// Lines of every kind but one.
pub(super) fn of_all_but(column: Column, kind: LineKind, estimate: &Estimate) -> Total {
    let sums = range(column.letter(), estimate);
    let formula =
        format!("=ROUND(SUM({sums})-SUMIFS({sums},{},\"{}\"),2)", range('B', estimate), words::line_kind(kind));
    let lines = estimate.lines.iter().filter(|line| line.kind != kind);
    Total { formula, gives: lines.map(|line| column.of(line)).sum() }
}

/// Tax on the net price in `net_cell`. In whole pennies first, so that half a penny is exact and rounds away from
/// nought as the estimate's own does.
pub(super) fn tax(net_cell: &str, estimate: &Estimate) -> Total {
    let percent: Decimal = estimate.totals.vat_percent.parse().unwrap_or_default();
    let formula = format!("=ROUND(ROUND({net_cell}*100,0)*{percent}/100,0)/100");
    let exact = estimate.totals.net.exact().checked_mul(percent).unwrap_or_default() / Decimal::ONE_HUNDRED;
    Total { formula, gives: Money::rounded(exact) }
}
