//! The end of a price: no less than the minimum charge, rounded down as the firm does; and what is to be paid when.

use rust_decimal::Decimal;

use super::apportion;
use super::totals::{LineSource, Price};
use crate::money::{Money, decimal};
use crate::rate_sheet::RateTerms;
use crate::survey::Visit;
use crate::take_off::LineKind;

/// The least that the firm comes out for. It is charged to the job that pays for the visit.
pub(crate) fn least_charge(terms: &RateTerms, visit: Option<&Visit>) -> Money {
    if visit.is_some() { Money::ZERO } else { terms.minimum_charge }
}

/// Brings the price up to the minimum charge and down to the firm's round figure, each as a line of its own. Gives what
/// both add to the net price.
pub(super) fn bring_to_terms(price: &mut Price, terms: &RateTerms, least: Money) -> Money {
    let before = price.totals.net;
    if before < least {
        let missing = least - before;
        price.add(LineKind::Preliminaries, LineSource::MinimumCharge { least, before }, missing);
        price.totals.preliminaries += missing;
        price.totals.net += missing;
    }
    let step = terms.round_down_to.exact();
    if step > Decimal::ZERO {
        let rounded = Money::rounded((price.totals.net.exact() / step).floor() * step);
        let taken = rounded - price.totals.net;
        if taken != Money::ZERO && rounded >= least && !rounded.is_negative() {
            price.add(LineKind::Profit, LineSource::RoundedDown, taken);
            price.totals.profit += taken;
            price.totals.net = rounded;
        }
    }
    price.totals.net - before
}

/// What is paid at each of the firm's payment stages; together the gross price.
pub(crate) fn payments(gross: Money, terms: &RateTerms) -> Vec<Money> {
    let percents: Vec<Decimal> = terms.payment_stages.iter().map(|stage| decimal(stage.percent)).collect();
    apportion(gross, &percents)
}
