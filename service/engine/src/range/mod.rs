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

mod cause;
mod causes;
mod draw;
mod lattice;
mod model;
mod questions;
mod shapes;
mod shares;

pub use cause::CauseKind;
pub(crate) use causes::Spreading;
pub use model::{Alternative, Cause, Effect, Model, Moments};
pub(crate) use questions::{AskedQuestion, Asking, PlainQuestion, QuestionAbout, questions};
pub use shapes::Shapes;

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

/// Why a price is to be so sure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ConfidenceReason {
    /// The request asks for it.
    Asked,
    /// So many flags are open that have to be answered before the price may be fixed.
    StopsOpen(usize),
}

/// How sure a price is to be of covering the cost, and why so sure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Confidence {
    /// As a share of all cases.
    pub share: f64,
    /// Why.
    pub reason: ConfidenceReason,
}

/// The confidence that a price is given at unless the request says otherwise. Source: domain practice, p80 on an
/// ordinary job.
const USUAL_CONFIDENCE: f64 = 0.8;
/// The same with this many `stop` flags open, or more. Source: domain practice.
pub(crate) const STOPS_THAT_RAISE: usize = 2;
const RAISED_CONFIDENCE: f64 = 0.9;

impl Confidence {
    /// As asked for, else by how much has to be answered before the price may be fixed.
    #[must_use]
    pub const fn of(asked: Option<f64>, stops_open: usize) -> Self {
        match asked {
            Some(share) => Self { share, reason: ConfidenceReason::Asked },
            None if stops_open >= STOPS_THAT_RAISE => {
                Self { share: RAISED_CONFIDENCE, reason: ConfidenceReason::StopsOpen(stops_open) }
            }
            None => Self { share: USUAL_CONFIDENCE, reason: ConfidenceReason::StopsOpen(stops_open) },
        }
    }
}

/// The spread of the net price.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceRange {
    /// One job in ten costs less.
    pub p10: Money,
    /// Half the jobs cost less.
    pub p50: Money,
    /// Four jobs in five cost less.
    pub p80: Money,
    /// Nine jobs in ten cost less.
    pub p90: Money,
    /// The mean of all cases.
    pub mean: Money,
    /// The price as it stands, without contingency.
    pub base: Money,
    /// What takes the price from its base to the confidence asked for.
    pub contingency: Money,
    /// The confidence asked for.
    pub confidence: Confidence,
    /// How many times the job was drawn.
    pub draws: u32,
    /// What the spread comes from, widest first.
    pub causes: Vec<CauseShare>,
    /// How often the net price falls where, from the cheapest to the dearest.
    pub bins: Vec<PriceBin>,
}

/// How often the net price falls between two amounts.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceBin {
    /// From this net price.
    pub from: Money,
    /// To this net price.
    pub to: Money,
    /// The share of all cases.
    pub share: f64,
}

/// Where part of the spread comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseShare {
    /// The cause.
    pub kind: CauseKind,
    /// Its share of the variance.
    pub percent: f64,
    /// What it moves the net price by, taken alone.
    pub swing: Money,
}

/// The range of the net price. `base` is the direct cost as priced.
#[must_use]
pub fn range(shapes: &Shapes, model: Model, base: Money, confidence: Confidence, terms: &RateTerms) -> PriceRange {
    let model = model.arranged();
    let price = selling_factor(terms);
    let draws = Draws::of(&DrawSetup { model: &model, shapes }, lattice::seed(&model));
    let net = |cost: f64| Money::rounded(decimal(cost * price));
    let over_base = (draws.quantile(confidence.share) - base.approximate()).max(0.0);
    PriceRange {
        p10: net(draws.quantile(0.1)),
        p50: net(draws.quantile(0.5)),
        p80: net(draws.quantile(0.8)),
        p90: net(draws.quantile(0.9)),
        mean: net(draws.mean()),
        base: net(base.approximate()),
        contingency: Money::rounded(decimal(over_base * (1.0 + terms.overhead_percent / 100.0))),
        confidence,
        draws: u32::try_from(lattice::DRAWS).unwrap_or(u32::MAX),
        causes: shares(&model, shapes, price),
        bins: distribution(&draws, price),
    }
}

/// Bins of one width that hold all but one draw in five hundred on either side, which the outermost bins take.
fn distribution(draws: &Draws, price: f64) -> Vec<PriceBin> {
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
    (0..BINS).map(|bin| PriceBin { from: net(bin), to: net(bin + 1), share: share(bin) }).collect()
}

/// The causes by their share of the variance, largest first; those under one part in a hundred together. Shares have
/// one decimal and add to 100: the largest takes the rounding.
fn shares(model: &Model, shapes: &Shapes, price: f64) -> Vec<CauseShare> {
    const WORTH_A_LINE: f64 = 0.01;
    let shares = Shares::of(model);
    let variance = shares.total();
    let mean = model.mean() - model.fixed;
    let materials = model.base.materials + model.causes.iter().map(|cause| cause.moments().mean.materials).sum::<f64>();
    let mut all: Vec<(CauseKind, f64, f64)> = vec![
        (CauseKind::Crew, shares.crew, factor_swing(shapes, model.crew_sigma) * (mean - materials)),
        (CauseKind::Prices, shares.prices, factor_swing(shapes, model.prices_sigma) * materials),
    ];
    let causes = model.causes.iter().zip(&shares.causes);
    all.extend(causes.map(|(cause, share)| (cause.kind.clone(), *share, swing(&cause.effect, shapes))));
    let small = |share: f64| share < variance * WORTH_A_LINE;
    let rest: Vec<&(CauseKind, f64, f64)> = all.iter().filter(|(_, share, _)| small(*share)).collect();
    if rest.len() > 1 {
        let share = rest.iter().map(|(_, share, _)| share).sum();
        // Independent causes: their swings go together like the sides of a right angle.
        let swing = rest.iter().map(|(_, _, swing)| swing * swing).sum::<f64>().sqrt();
        all.retain(|(_, share, _)| !small(*share));
        all.push((CauseKind::Small, share, swing));
    }
    all.retain(|(_, share, _)| *share > 0.0);
    all.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut named: Vec<CauseShare> = all
        .into_iter()
        .map(|(kind, share, swing)| CauseShare {
            kind,
            percent: (share / variance * 1_000.0).round() / 10.0,
            swing: Money::rounded(decimal(swing * price)),
        })
        .collect();
    let tenths: f64 = named.iter().map(|cause| (cause.percent * 10.0).round()).sum();
    if let Some(largest) = named.first_mut() {
        largest.percent = ((largest.percent * 10.0).round() + 1_000.0 - tenths) / 10.0;
    }
    named
}

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
