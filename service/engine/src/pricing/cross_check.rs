//! The two methods side by side, and the difference by cause. The gap *is* the information: it is what point rates
//! do not see on this house.

use std::borrow::Cow;
use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::vat::apportion;
use super::{PerPoint, PricedItem, RateItem, selling, selling_factor};
use crate::estimate::{CrossCheck, DifferenceCause, MatchingRate};
use crate::money::{Money, decimal};
use crate::rate_sheet::RateTerms;
use crate::survey::{Method, PointType};
use crate::take_off::{Item, ItemKind, LineKind};

/// What the measured method comes to.
pub(crate) struct Measured<'a> {
    pub items: &'a [(&'a Item, PricedItem)],
    pub sundries: Money,
    pub contingency: Money,
    pub net: Money,
    /// What minimum charge and rounding add to the measured price, and to the one at point rates.
    pub settled: [Money; 2],
}

/// Direct cost of the measured lines by what the point rates put together.
#[derive(Default)]
struct Buckets {
    points_and_routes: f64,
    occupied: f64,
    board_and_supply: f64,
    earthing: f64,
    outbuilding: f64,
    strip_out: f64,
    making_good: f64,
    testing: f64,
    preliminaries: f64,
}

/// The other method's price and the causes of the difference, which add up to it.
pub(crate) fn cross_check(
    chosen: Method,
    measured: &Measured<'_>,
    per_point: &PerPoint,
    terms: &RateTerms,
) -> CrossCheck {
    let mut causes = causes(measured, per_point, terms);
    let point_net = per_point.net + measured.settled[1];
    causes.push(DifferenceCause {
        cause: Cow::Borrowed("minimum-charge-and-rounding"),
        amount: measured.settled[0] - measured.settled[1],
        because: "the firm's minimum charge and its round figures, on both".to_owned(),
    });
    let difference = measured.net - point_net;
    let matching_rates = matching_rates(measured, per_point, terms);
    let explained: Money = causes.iter().map(|cause| cause.amount).sum();
    causes.push(DifferenceCause {
        cause: Cow::Borrowed("rounding"),
        amount: difference - explained,
        because: "pennies of rounding each cause".to_owned(),
    });
    causes.retain(|cause| cause.amount != Money::ZERO);
    causes.sort_by(|a, b| b.amount.abs().cmp(&a.amount.abs()).then(a.cause.cmp(&b.cause)));
    match chosen {
        Method::Measured => CrossCheck { method: Method::PerPoint, net: point_net, difference, causes, matching_rates },
        Method::PerPoint => {
            for cause in &mut causes {
                cause.amount = -cause.amount;
            }
            CrossCheck { method: Method::Measured, net: measured.net, difference: -difference, causes, matching_rates }
        }
    }
}

/// What each part of the job adds or saves against the rates that stand for it.
fn causes(measured: &Measured<'_>, per_point: &PerPoint, terms: &RateTerms) -> Vec<DifferenceCause> {
    let buckets = buckets(measured, terms);
    let rates = |kind| per_point.of_kind(kind);
    let mut causes = Vec::new();
    let mut add = |cause: &'static str, direct: f64, against: Money, because: String| {
        causes.push(DifferenceCause { cause: Cow::Borrowed(cause), amount: selling(direct, terms) - against, because });
    };
    add(
        "occupancy",
        buckets.occupied,
        Money::ZERO,
        "working round furniture and people; point rates take empty rooms".to_owned(),
    );
    add(
        "points-and-routes",
        buckets.points_and_routes,
        rates(LineKind::Point),
        format!(
            "boxes, accessories, cable, floors and chases as measured, against {} at point rates",
            rates(LineKind::Point)
        ),
    );
    add(
        "board-and-supply",
        buckets.board_and_supply,
        rates(LineKind::Board),
        "board, devices, tails and switched fuse as they are here".to_owned(),
    );
    add("bonding", buckets.earthing, rates(LineKind::Earthing), "bonding by its real route".to_owned());
    add(
        "outbuilding",
        buckets.outbuilding,
        rates(LineKind::Outbuilding),
        "trench, feed and points of outbuildings".to_owned(),
    );
    add("strip-out", buckets.strip_out, Money::ZERO, "old work taken off; no point rate holds it".to_owned());
    add("making-good", buckets.making_good, Money::ZERO, "filling; no point rate holds it".to_owned());
    add("testing", buckets.testing, rates(LineKind::Testing), "tests circuit by circuit".to_owned());
    add(
        "preliminaries",
        buckets.preliminaries,
        rates(LineKind::Preliminaries),
        "travel, setting up, protecting and clearing by the day".to_owned(),
    );
    add(
        "contingency",
        measured.contingency.approximate() / (1.0 + terms.overhead_percent / 100.0),
        Money::ZERO,
        "what the range asks for; point rates hold none".to_owned(),
    );
    causes
}

/// The rates that would have come to the measured price: what each kind of point takes by itself, and of all the rest the same
/// part as of that. Lengths, furniture, bonding and days are then in the rates, as a firm that lives by them has to have it.
fn matching_rates(measured: &Measured<'_>, per_point: &PerPoint, terms: &RateTerms) -> Vec<MatchingRate> {
    let mut own: BTreeMap<PointType, f64> = BTreeMap::new();
    for (item, priced) in measured.items {
        if let ItemKind::Point(point) = item.what {
            *own.entry(point).or_default() += priced.amount().approximate();
        }
    }
    let mut rates: BTreeMap<&'static str, (PointType, f64, Money)> = BTreeMap::new();
    for line in &per_point.lines {
        let RateItem::Point(point) = line.item else { continue };
        let (_, count, selling) = rates.entry(point.word()).or_insert((point, 0.0, Money::ZERO));
        *count += line.quantity;
        *selling += line.selling;
    }
    // A kind without work of its own, such as a fitting that the client supplies, is weighed by its rate.
    let weight = |point: PointType, selling: Money| {
        own.get(&point).copied().filter(|cost| *cost > 0.0).unwrap_or(selling.approximate() / selling_factor(terms))
    };
    let weights: Vec<Decimal> = rates.values().map(|(point, _, selling)| decimal(weight(*point, *selling))).collect();
    let shares = apportion(measured.net, &weights);
    rates
        .into_iter()
        .zip(shares)
        .filter(|((_, (_, count, _)), _)| *count > 0.0)
        .map(|((item, (_, count, selling)), share)| MatchingRate {
            item: Cow::Borrowed(item),
            count,
            rate: Money::rounded(selling.exact() / decimal(count)),
            matching: Money::rounded(share.exact() / decimal(count)),
        })
        .collect()
}

fn buckets(measured: &Measured<'_>, terms: &RateTerms) -> Buckets {
    let rate = terms.labour_rate.approximate();
    let mut buckets = Buckets::default();
    for (item, priced) in measured.items {
        let occupied = priced.hours.occupied * rate;
        let rest = priced.amount().approximate() - occupied;
        buckets.occupied += occupied;
        *match item.kind {
            LineKind::Point | LineKind::Cable | LineKind::BuildersWork | LineKind::Sundries => {
                &mut buckets.points_and_routes
            }
            LineKind::Board | LineKind::Supply => &mut buckets.board_and_supply,
            LineKind::Earthing => &mut buckets.earthing,
            LineKind::Outbuilding => &mut buckets.outbuilding,
            LineKind::StripOut => &mut buckets.strip_out,
            LineKind::MakingGood => &mut buckets.making_good,
            LineKind::Testing => &mut buckets.testing,
            LineKind::Preliminaries | LineKind::Overhead | LineKind::Contingency | LineKind::Profit => {
                &mut buckets.preliminaries
            }
        } += rest;
    }
    buckets.points_and_routes += measured.sundries.approximate();
    buckets
}
