//! The spread of the price, and what drives it.
//!
//! The whole job is drawn 16,384 times: hours by their three points, one unit of labour for each operation wherever in
//! the house it is done; a factor for crew and house that is common to all labour, and one for the price level common to
//! all materials; lengths that were not measured; and each thing that nobody recorded as one of a few alternatives at
//! stated odds ([`crate::unknowns`], `data/alternatives.csv`). See [`Model`] for how they go together.
//!
//! Contingency is what takes the price from its base, the cost as priced, to the cost that is not exceeded with the
//! confidence asked for: range estimating by simulation. Source: AACE International Recommended Practices 41R-08 (range
//! estimating) and 40R-08 (contingency, general principles), numbers and principle from memory, the text not seen.

mod causes;
mod draw;
mod lattice;
mod model;
mod shapes;
mod shares;

pub(crate) use causes::Spreading;
pub use model::{Alternative, Cause, Effect, Model, Moments};
pub use shapes::Shapes;

use std::borrow::Cow;

use crate::estimate::{DistributionBin, Driver, Range};
use crate::money::{Money, decimal};
use crate::pricing::selling_factor;
use crate::rate_sheet::RateTerms;
use draw::Draws;
use model::DrawSetup;
use shares::Shares;

/// The standard normal quantile, by bisection on the complementary error function: sixty halvings of (-8, 8) leave
/// less than 1e-16.
#[must_use]
pub fn standard_normal_quantile(probability: f64) -> f64 {
    let below = |z: f64| 0.5 * libm::erfc(-z / std::f64::consts::SQRT_2);
    let (mut low, mut high) = (-8.0, 8.0);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if below(middle) < probability {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low + high) / 2.0
}

/// How sure a price is to be of covering the cost, and why so sure.
#[derive(Debug, Clone, PartialEq)]
pub struct Confidence {
    /// As a share of all cases.
    pub share: f64,
    /// Why.
    pub because: String,
}

/// The range of the net price. `base` is the direct cost as priced.
#[must_use]
pub fn range(shapes: &Shapes, model: Model, base: Money, confidence: Confidence, terms: &RateTerms) -> Range {
    let model = model.arranged();
    let price = selling_factor(terms);
    let draws = Draws::of(&DrawSetup { model: &model, shapes }, lattice::seed(&model));
    let net = |cost: f64| Money::rounded(decimal(cost * price));
    let over_base = (draws.quantile(confidence.share) - base.approximate()).max(0.0);
    Range {
        p10: net(draws.quantile(0.1)),
        p50: net(draws.quantile(0.5)),
        p80: net(draws.quantile(0.8)),
        p90: net(draws.quantile(0.9)),
        mean: net(draws.mean()),
        base: net(base.approximate()),
        contingency: Money::rounded(decimal(over_base * (1.0 + terms.overhead_percent / 100.0))),
        confidence: confidence.share,
        confidence_because: confidence.because,
        draws: u32::try_from(lattice::DRAWS).unwrap_or(u32::MAX),
        drivers: drivers(&model, shapes, price),
        distribution: distribution(&draws, price),
        basis: Cow::Borrowed(BASIS),
    }
}

const BASIS: &str = "the whole job drawn 16,384 times: three-point hours by operation, one factor for crew and house common \
                     to all hours, one for the price level common to all materials, and what was not recorded as \
                     alternatives at stated odds; contingency is what takes the base price to the confidence asked for \
                     (range estimating, AACE International 41R-08 and 40R-08, from memory). It leaves out what nobody has \
                     thought of, and is no surer than its odds and hours, which are from memory or common practice.";

/// Bins of one width that hold all but one draw in five hundred on either side, which the outermost bins take.
fn distribution(draws: &Draws, price: f64) -> Vec<DistributionBin> {
    const BINS: u32 = 40;
    const LEFT_OUT: f64 = 0.002;
    let (low, high) = (draws.quantile(LEFT_OUT), draws.quantile(1.0 - LEFT_OUT));
    let edge = |bin: u32| low + (high - low) * f64::from(bin) / f64::from(BINS);
    let below = |bin: u32| match bin {
        0 => 0,
        BINS => lattice::DRAWS,
        _ => draws.below(edge(bin)),
    };
    let net = |bin: u32| Money::rounded(decimal(edge(bin) * price));
    // A count over a power of two: the shares are exact, and so is their sum.
    #[expect(clippy::cast_precision_loss, reason = "16,384 draws")]
    let share = |bin: u32| (below(bin + 1) - below(bin)) as f64 / lattice::DRAWS as f64;
    (0..BINS).map(|bin| DistributionBin { from: net(bin), to: net(bin + 1), share: share(bin) }).collect()
}

/// The causes by their share of the variance, largest first; those under one part in a hundred together. Shares have
/// one decimal and add to 100: the largest takes the rounding.
fn drivers(model: &Model, shapes: &Shapes, price: f64) -> Vec<Driver> {
    const WORTH_A_LINE: f64 = 0.01;
    let shares = Shares::of(model);
    let variance = shares.total();
    let mean = model.mean() - model.fixed;
    let materials = model.base.materials + model.causes.iter().map(|cause| cause.moments().mean.materials).sum::<f64>();
    let mut all: Vec<(Cow<'static, str>, f64, f64)> = vec![
        (CREW.into(), shares.crew, factor_swing(shapes, model.crew_sigma) * (mean - materials)),
        (PRICES.into(), shares.prices, factor_swing(shapes, model.prices_sigma) * materials),
    ];
    let causes = model.causes.iter().zip(&shares.causes);
    all.extend(causes.map(|(cause, share)| (cause.name.clone(), *share, swing(&cause.effect, shapes))));
    let small = |share: f64| share < variance * WORTH_A_LINE;
    let rest: Vec<&(Cow<'static, str>, f64, f64)> = all.iter().filter(|(_, share, _)| small(*share)).collect();
    if rest.len() > 1 {
        let share = rest.iter().map(|(_, share, _)| share).sum();
        // Independent causes: their swings go together like the sides of a right angle.
        let swing = rest.iter().map(|(_, _, swing)| swing * swing).sum::<f64>().sqrt();
        all.retain(|(_, share, _)| !small(*share));
        all.push((model::SMALL.into(), share, swing));
    }
    all.retain(|(_, share, _)| *share > 0.0);
    all.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut drivers: Vec<Driver> = all
        .into_iter()
        .map(|(cause, share, swing)| Driver {
            cause: cause.into_owned(),
            share_percent: (share / variance * 1_000.0).round() / 10.0,
            swing: Money::rounded(decimal(swing * price)),
        })
        .collect();
    let tenths: f64 = drivers.iter().map(|driver| (driver.share_percent * 10.0).round()).sum();
    if let Some(largest) = drivers.first_mut() {
        largest.share_percent = ((largest.share_percent * 10.0).round() + 1_000.0 - tenths) / 10.0;
    }
    drivers
}

const CREW: &str = "crew and house, common to all hours";
const PRICES: &str = "prices of materials until they are bought";

/// From the tenth to the ninetieth percentile; between the cheapest and the dearest of a few alternatives.
fn swing(effect: &Effect, shapes: &Shapes) -> f64 {
    match effect {
        Effect::ThreePoint { deviation, mode } => inner(shapes.three_point(*mode)) * deviation,
        Effect::Small { deviation } => inner(shapes.normal()) * deviation,
        Effect::Part { of, sigma } => factor_swing(shapes, *sigma) * of.total(),
        Effect::Alternatives(alternatives) => {
            let totals = || alternatives.iter().map(|one| one.adds.total());
            totals().fold(f64::MIN, f64::max) - totals().fold(f64::MAX, f64::min)
        }
    }
}

fn factor_swing(shapes: &Shapes, sigma: f64) -> f64 {
    inner(&shapes.log_normal(sigma))
}

fn inner(edges: &shapes::Edges) -> f64 {
    let at = |tenths: usize| edges[shapes::STEPS * tenths / 10];
    at(9) - at(1)
}

#[cfg(test)]
mod tests;
