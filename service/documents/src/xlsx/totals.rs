//! The formulas of the totals, each with what it gives when the sheet is worked out again.

use engine::estimate::{Estimate, Line, LineKind};
use engine::money::Money;
use rust_decimal::Decimal;

/// A formula and what it gives.
pub(super) struct Total {
    pub(super) formula: String,
    pub(super) gives: Money,
}

/// Columns of the sheet `Lines` that totals add up.
#[derive(Clone, Copy)]
pub(super) enum SheetColumn {
    Materials,
    Labour,
    Amount,
}

impl SheetColumn {
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
pub(super) fn of_all(column: SheetColumn, estimate: &Estimate) -> Total {
    let formula = format!("=ROUND(SUM({}),2)", range(column.letter(), estimate));
    Total { formula, gives: estimate.lines.iter().map(|line| column.of(line)).sum() }
}

/// Lines of one kind.
pub(super) fn of_kind(column: SheetColumn, kind: LineKind, estimate: &Estimate) -> Total {
    let formula =
        format!("=ROUND(SUMIFS({},{},\"{}\"),2)", range(column.letter(), estimate), range('B', estimate), kind.word());
    let lines = estimate.lines.iter().filter(|line| line.kind == kind);
    Total { formula, gives: lines.map(|line| column.of(line)).sum() }
}

/// Lines of every kind but one.
pub(super) fn of_all_but(column: SheetColumn, kind: LineKind, estimate: &Estimate) -> Total {
    let sums = range(column.letter(), estimate);
    let formula = format!("=ROUND(SUM({sums})-SUMIFS({sums},{},\"{}\"),2)", range('B', estimate), kind.word());
    let lines = estimate.lines.iter().filter(|line| line.kind != kind);
    Total { formula, gives: lines.map(|line| column.of(line)).sum() }
}

/// Tax on the net price in `net_cell`. In whole pennies first, so that half a penny is exact and rounds away from
/// nought as the estimate's own does.
pub(super) fn tax(net_cell: &str, estimate: &Estimate) -> Total {
    let by_case = &estimate.totals.vat_by_case;
    if by_case.len() > 1 {
        // A mixed job: the net of each case stands in the formula, as no cell has it.
        let terms = by_case.iter().map(|share| rounded_tax(&share.net.to_string(), percent(&share.percent)));
        let formula = format!("={}", terms.collect::<Vec<_>>().join("+"));
        return Total {
            formula,
            gives: by_case.iter().map(|share| exact_tax(share.net, percent(&share.percent))).sum(),
        };
    }
    let percent = percent(&estimate.totals.vat_percent);
    let formula = format!("={}", rounded_tax(net_cell, percent));
    Total { formula, gives: exact_tax(estimate.totals.net, percent) }
}

fn percent(text: &str) -> Decimal {
    text.parse().unwrap_or_default()
}

fn rounded_tax(net: &str, percent: Decimal) -> String {
    format!("ROUND(ROUND({net}*100,0)*{percent}/100,0)/100")
}

fn exact_tax(net: Money, percent: Decimal) -> Money {
    Money::rounded(net.exact().checked_mul(percent).unwrap_or_default() / Decimal::ONE_HUNDRED)
}
