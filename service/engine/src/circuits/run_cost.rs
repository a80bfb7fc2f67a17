//! What a run costs in a cable, for comparing ways of wiring.

use crate::catalogue::CableSize;
use crate::money::{Money, decimal};
use crate::rate_sheet::Workbook;
use crate::routes::Run;
use crate::unit_rates::Factors;

/// A run in a cable: the cable, its trunking, and the hours of running it in each room that it passes.
#[must_use]
pub(crate) fn run_cost(workbook: &Workbook, factors: &Factors, cable: CableSize, run: &Run) -> Money {
    let money = run.segments.iter().map(|segment| segment.rate(workbook, factors, cable).money);
    Money::rounded(decimal(money.sum::<f64>()))
}
