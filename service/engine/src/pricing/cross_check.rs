//! The two methods side by side, and the difference by cause. The gap *is* the information: it is what point rates
//! do not see on this house.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::{PerPoint, Price, PricedItem, RateItem, apportion, selling, selling_factor};
use crate::money::{Money, decimal};
use crate::rate_sheet::RateTerms;
use crate::survey::{Method, PointType};
use crate::take_off::{Item, ItemKind, LineKind};

/// Both methods' prices.
pub(crate) struct BothMethods<'a> {
    pub items: &'a [(&'a Item, PricedItem)],
    pub sundries: Money,
    pub measured: &'a Price,
    pub per_point: &'a PerPoint,
    pub at_rates: &'a Price,
}

/// The price by the other method, and what makes the difference.
#[derive(Debug, Clone, PartialEq)]
pub struct MethodComparison {
    /// The other method.
    pub method: Method,
    /// Its net price.
    pub net: Money,
    /// The chosen method's net price less the other.
    pub difference: Money,
    /// The causes, which add to the difference.
    pub causes: Vec<(GapCause, Money)>,
    /// The point rates that would have come to the measured price.
    pub matching_rates: Vec<RateMatch>,
}

/// The rate of one kind of point that would have come to the measured price.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateMatch {
    /// The kind of point.
    pub point: PointType,
    /// How many there are.
    pub count: f64,
    /// What the sheet's rates come to for one, on average.
    pub rate: Money,
    /// What one would have to be.
    pub matching: Money,
}

/// A cause of the difference between the two methods.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GapCause {
    /// Furniture and people in the way.
    Occupancy,
    /// Points with their cables, floors and chases.
    PointsAndRoutes {
        /// What the rates of the points come to.
        at_rates: Money,
    },
    /// Board, devices, tails, switched fuse.
    BoardAndSupply,
    /// Bonds.
    Bonding,
    /// Outbuildings and their feeds.
    Outbuilding,
    /// Old work taken off.
    StripOut,
    /// Filling.
    MakingGood,
    /// Tests.
    Testing,
    /// What comes by the day.
    Preliminaries,
    /// What the range asks for.
    Contingency,
    /// The firm's terms, on both prices.
    MinimumChargeAndRounding,
    /// Pennies of rounding each cause.
    Rounding,
}

impl GapCause {
    /// Its word in the answer; causes of one amount stand in the order of their words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Occupancy => "occupancy",
            Self::PointsAndRoutes { .. } => "points-and-routes",
            Self::BoardAndSupply => "board-and-supply",
            Self::Bonding => "bonding",
            Self::Outbuilding => "outbuilding",
            Self::StripOut => "strip-out",
            Self::MakingGood => "making-good",
            Self::Testing => "testing",
            Self::Preliminaries => "preliminaries",
            Self::Contingency => "contingency",
            Self::MinimumChargeAndRounding => "minimum-charge-and-rounding",
            Self::Rounding => "rounding",
        }
    }
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
pub(crate) fn cross_check(chosen: Method, both: &BothMethods<'_>, terms: &RateTerms) -> MethodComparison {
    let (measured, at_rates) = (both.measured.totals.net, both.at_rates.totals.net);
    let difference = measured - at_rates;
    let mut causes = causes(both, terms);
    causes.push((GapCause::MinimumChargeAndRounding, both.measured.adjustment - both.at_rates.adjustment));
    let explained: Money = causes.iter().map(|(_, amount)| *amount).sum();
    causes.push((GapCause::Rounding, difference - explained));
    causes.retain(|(_, amount)| *amount != Money::ZERO);
    causes.sort_by(|(one, a), (other, b)| b.abs().cmp(&a.abs()).then(one.word().cmp(other.word())));
    let matching_rates = matching_rates(both, terms);
    match chosen {
        Method::Measured => {
            MethodComparison { method: Method::PerPoint, net: at_rates, difference, causes, matching_rates }
        }
        Method::PerPoint => {
            for (_, amount) in &mut causes {
                *amount = -*amount;
            }
            MethodComparison {
                method: Method::Measured,
                net: measured,
                difference: -difference,
                causes,
                matching_rates,
            }
        }
    }
}

/// What each part of the job adds or saves against the rates that stand for it; strip-out, making good and the people in
/// the house no rate holds.
fn causes(both: &BothMethods<'_>, terms: &RateTerms) -> Vec<(GapCause, Money)> {
    let buckets = buckets(both, terms);
    let rates = |kind| both.per_point.of_kind(kind);
    let gap = |cause: GapCause, direct: f64, against: Money| (cause, selling(direct, terms) - against);
    let contingency = both.measured.totals.contingency.approximate() / (1.0 + terms.overhead_percent / 100.0);
    let points = GapCause::PointsAndRoutes { at_rates: rates(LineKind::Point) };
    vec![
        gap(GapCause::Occupancy, buckets.occupied, Money::ZERO),
        gap(points, buckets.points_and_routes, rates(LineKind::Point)),
        gap(GapCause::BoardAndSupply, buckets.board_and_supply, rates(LineKind::Board)),
        gap(GapCause::Bonding, buckets.earthing, rates(LineKind::Earthing)),
        gap(GapCause::Outbuilding, buckets.outbuilding, rates(LineKind::Outbuilding)),
        gap(GapCause::StripOut, buckets.strip_out, Money::ZERO),
        gap(GapCause::MakingGood, buckets.making_good, Money::ZERO),
        gap(GapCause::Testing, buckets.testing, rates(LineKind::Testing)),
        gap(GapCause::Preliminaries, buckets.preliminaries, rates(LineKind::Preliminaries)),
        gap(GapCause::Contingency, contingency, Money::ZERO),
    ]
}

/// The rates that would have come to the measured price: what each kind of point takes by itself, and of all the rest the same
/// part as of that. Lengths, furniture, bonding and days are then in the rates, as a firm that lives by them has to have it.
fn matching_rates(both: &BothMethods<'_>, terms: &RateTerms) -> Vec<RateMatch> {
    let mut own: BTreeMap<PointType, f64> = BTreeMap::new();
    for (item, priced) in both.items {
        if let ItemKind::Point(point) = item.what {
            *own.entry(point).or_default() += priced.amount().approximate();
        }
    }
    let mut rates: BTreeMap<&'static str, (PointType, f64, Money)> = BTreeMap::new();
    for line in &both.per_point.lines {
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
    let shares = apportion(both.measured.totals.net, &weights);
    rates
        .into_values()
        .zip(shares)
        .filter(|((_, count, _), _)| *count > 0.0)
        .map(|((point, count, selling), share)| RateMatch {
            point,
            count,
            rate: Money::rounded(selling.exact() / decimal(count)),
            matching: Money::rounded(share.exact() / decimal(count)),
        })
        .collect()
}

fn buckets(both: &BothMethods<'_>, terms: &RateTerms) -> Buckets {
    let rate = terms.labour_rate.approximate();
    let mut buckets = Buckets::default();
    for (item, priced) in both.items {
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
    buckets.points_and_routes += both.sundries.approximate();
    buckets
}
