//! Money: every item of the take-off priced, then overhead, contingency and profit.
//!
//! A line is rounded once, half away from zero, where it is made; totals add rounded lines. Profit is a margin on the
//! price (`price = cost / (1 - margin)`), never a mark-up on the cost.

mod apportion;
mod complete;
mod cost;
pub mod cross_check;
mod finalise;
mod job;
mod per_point;
mod totals;
pub mod vat;

pub use apportion::apportion;
pub(crate) use complete::{CompletedPrice, Completing, complete, measured};
pub use cost::Cost;
use finalise::least_charge;
pub(crate) use finalise::payments;
pub use job::{Priced, price};
pub(crate) use job::{approximate_cost, approximate_cost_again};
pub use per_point::{PerPoint, RateItem, RateLine, RateReason};
pub(crate) use per_point::{direct_parts, per_point};
pub(crate) use totals::DirectCost;
use totals::at_point_rates;
pub use totals::{LineSource, Price, PriceLine, PriceTotals};

use rust_decimal::Decimal;

use crate::labour::ItemHours;
use crate::money::{Money, decimal};
use crate::rate_sheet::{RateTerms, Stage, Workbook};
use crate::survey::Finish;
use crate::take_off::LineKind;
use crate::take_off::{Item, TakeOff, Use};

/// An item with its hours and its money.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PricedItem {
    /// Its hours.
    pub hours: ItemHours,
    /// Its materials, fees and van with them.
    pub materials: Money,
    /// Its labour.
    pub labour: Money,
}

impl PricedItem {
    /// What it adds to the price.
    #[must_use]
    pub fn amount(&self) -> Money {
        self.materials + self.labour
    }
}

/// Prices one item that takes these hours.
#[must_use]
pub fn price_item(take_off: &TakeOff, item: &Item, hours: ItemHours, workbook: &Workbook) -> PricedItem {
    let hours = hours.in_hundredths();
    let materials: Decimal = take_off.uses(item).iter().map(|used| exact_cost(used, workbook)).sum();
    PricedItem {
        materials: Money::rounded(materials) + Money::from_pennies(item.outlay_pennies),
        labour: workbook.labour(&hours.stages),
        hours,
    }
}

/// What a use of a material costs, waste with it, unrounded.
#[must_use]
pub fn exact_cost(used: &Use, workbook: &Workbook) -> Decimal {
    let material = workbook.material(used.material);
    let plain = material.unit_price_with_waste * decimal(used.quantity);
    match used.finish {
        Some(finish) if material.finished && finish != Finish::White => {
            plain * decimal(workbook.finish_multiple(finish))
        }
        _ => plain,
    }
}

/// What counted items cost before overhead, small materials with it: for weighing one answer against another, and never
/// part of a price.
pub(crate) fn approximate_cost_of_items(
    take_off: &TakeOff,
    items: &[Item],
    hours: &[ItemHours],
    workbook: &Workbook,
) -> Cost {
    let terms = &workbook.sheet.terms;
    let sundries = 1.0 + terms.sundries_percent / 100.0;
    let (mut worked, mut materials) = ([0.0; Stage::COUNT], 0.0);
    for (item, hours) in items.iter().zip(hours) {
        worked.iter_mut().zip(hours.stages).for_each(|(sum, hours)| *sum += hours);
        let used: f64 = take_off.uses(item).iter().map(|used| approximate_use(used, workbook)).sum();
        #[expect(clippy::cast_precision_loss, reason = "pennies of one line")]
        let outlay = item.outlay_pennies as f64 / 100.0;
        materials += (used + outlay) * if item.kind == LineKind::Preliminaries { 1.0 } else { sundries };
    }
    let labour = Stage::ALL.iter().zip(worked).map(|(stage, hours)| workbook.rate(*stage).approximate() * hours).sum();
    Cost { labour, materials }
}

fn approximate_use(used: &Use, workbook: &Workbook) -> f64 {
    let material = workbook.material(used.material);
    let multiple = used.finish.filter(|_| material.finished).map_or(1.0, |finish| workbook.finish_multiple(finish));
    material.approximate_price * used.quantity * multiple
}

/// Materials that are charged beside those of the items.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Uncounted {
    /// The materials that were counted, the preliminaries apart: what the small ones are a share of.
    pub counted: Money,
    /// Small materials that nobody counts.
    pub small: Money,
    /// What is left over of opened drums and packs, where the firm charges it.
    pub left_over: Money,
}

impl Uncounted {
    /// All of it.
    #[must_use]
    pub fn total(&self) -> Money {
        self.small + self.left_over
    }
}

/// What is charged beside these items. `left_over` is only asked where the firm charges a part of it: working out what is
/// bought takes longer than all the rest.
pub(crate) fn uncounted(
    items: &[(&Item, PricedItem)],
    terms: &RateTerms,
    left_over: impl FnOnce(f64) -> Money,
) -> Uncounted {
    let counted = items.iter().filter(|(item, _)| item.kind != LineKind::Preliminaries);
    let counted: Money = counted.map(|(_, priced)| priced.materials).sum();
    let percent = terms.left_over_charged_percent;
    let left_over = if percent > 0.0 { left_over(percent) } else { Money::ZERO };
    Uncounted { counted, small: counted.share(terms.sundries_percent / 100.0), left_over }
}

/// Hours of these items by stage.
#[must_use]
pub fn hours_by_stage(items: &[(&Item, PricedItem)]) -> [f64; Stage::COUNT] {
    let mut stages = [0.0; Stage::COUNT];
    for (_, priced) in items {
        for (sum, part) in stages.iter_mut().zip(priced.hours.stages) {
            *sum += part;
        }
    }
    stages
}

/// Overhead on what the lines add up to.
#[must_use]
pub fn overhead(direct: Money, terms: &RateTerms) -> Money {
    direct.share(terms.overhead_percent / 100.0)
}

/// Profit on a cost, as a margin on the price.
#[must_use]
pub fn profit(cost: Money, terms: &RateTerms) -> Money {
    let margin = decimal(terms.profit_margin_percent / 100.0);
    // The contract holds the margin to 90 % at most.
    Money::rounded(cost.exact() * margin / (Decimal::ONE - margin))
}

/// What one unit of direct cost adds to the net price: overhead and profit on it.
#[must_use]
pub fn selling_factor(terms: &RateTerms) -> f64 {
    (1.0 + terms.overhead_percent / 100.0) / (1.0 - terms.profit_margin_percent / 100.0)
}

/// The net price of so much direct cost, for what is not a line: options, worth, causes.
#[must_use]
pub fn selling(direct: f64, terms: &RateTerms) -> Money {
    Money::rounded(decimal(direct * selling_factor(terms)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rate_sheet::RateSheet;

    #[test]
    fn a_margin_of_12_percent_on_a_cost_of_880_is_120_and_not_105_60() {
        // price = 880 / (1 - 0.12) = 1000; a mark-up of 12 % would have given 105.60.
        let terms = RateSheet::standard().terms;
        assert_eq!(profit("880.00".parse().expect("money"), &terms), "120.00".parse().expect("money"));
    }
}
