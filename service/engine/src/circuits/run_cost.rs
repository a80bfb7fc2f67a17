//! What a run costs in a cable, for comparing ways of wiring.

use rust_decimal::Decimal;

use crate::catalogue::CableSize;
use crate::money::{Money, decimal};
use crate::rate_sheet::Workbook;
use crate::routes::Run;
use crate::unit_rates::hours_without_factors;

/// A run in a cable: the cable and the hours of running it, without factors.
#[must_use]
pub(crate) fn run_cost(workbook: &Workbook, cable: CableSize, run: &Run) -> Money {
    let segments = run.segments.iter();
    let hours: f64 = segments
        .map(|segment| hours_without_factors(workbook, cable, segment.medium, segment.void) * segment.metres.value())
        .sum();
    let metre = workbook.cable(cable.row()).material;
    let metre = metre.map_or(Decimal::ZERO, |material| workbook.material(material).unit_cost_with_waste);
    Money::rounded(metre * decimal(run.metres.value())) + workbook.sheet.terms.labour_rate.times(hours)
}
