//! What the cost of a job depends on: a base, and the causes that move it.
//!
//! `cost = crew × (labour + Σ lᵢ) + prices × (materials + Σ mᵢ) + fixed`. The crew and the price level are factors of
//! mean 1 common to the whole job, so that lines move together; every other cause adds to labour, to materials or to
//! both, and causes are independent of each other.

use super::cause::CauseKind;
use super::shapes::Shapes;
use crate::pricing::Cost;

/// One of the things that an unknown may turn out to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alternative {
    /// How probable it is; the odds of one unknown add to 1.
    pub odds: f64,
    /// What it adds to the job as priced.
    pub adds: Cost,
}

/// How a cause moves the cost.
#[derive(Debug, Clone, PartialEq)]
pub enum Effect {
    /// Three-point hours of one operation, the same wherever in the house it is done.
    ThreePoint {
        /// Standard deviation, in money.
        deviation: f64,
        /// Where the likely value stands between the ends, from 0 to 1.
        mode: f64,
    },
    /// Many small causes together.
    Small {
        /// Standard deviation, in money.
        deviation: f64,
    },
    /// A log-normal factor of mean 1 on a part of the cost.
    Part {
        /// The part.
        of: Cost,
        /// Deviation of the factor's logarithm.
        sigma: f64,
    },
    /// One of a few alternatives.
    Alternatives(Vec<Alternative>),
}

/// One cause of spread.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// What it is.
    pub kind: CauseKind,
    /// How it moves the cost.
    pub effect: Effect,
}

/// Mean of what a cause adds, and how it varies.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Moments {
    /// Mean of what it adds.
    pub mean: Cost,
    /// Variance of what it adds to labour.
    pub labour: f64,
    /// Variance of what it adds to materials.
    pub materials: f64,
    /// Variance of the sum.
    pub total: f64,
}

impl Cause {
    /// In closed form.
    #[must_use]
    pub fn moments(&self) -> Moments {
        match &self.effect {
            Effect::ThreePoint { deviation, .. } | Effect::Small { deviation } => {
                let variance = deviation * deviation;
                Moments { labour: variance, total: variance, ..Moments::default() }
            }
            Effect::Part { of, sigma } => {
                let variance = libm::expm1(sigma * sigma);
                let (labour, materials) = (of.labour * of.labour * variance, of.materials * of.materials * variance);
                Moments { labour, materials, total: of.total() * of.total() * variance, ..Moments::default() }
            }
            Effect::Alternatives(alternatives) => of_alternatives(alternatives),
        }
    }
}

fn of_alternatives(alternatives: &[Alternative]) -> Moments {
    let mean: Cost = alternatives.iter().map(|one| one.adds * one.odds).sum();
    let variance = |figure: fn(Cost) -> f64| -> f64 {
        let middle = figure(mean);
        let square = |one: &Alternative| one.odds * (figure(one.adds) - middle) * (figure(one.adds) - middle);
        alternatives.iter().map(square).sum()
    };
    Moments {
        mean,
        labour: variance(|cost| cost.labour),
        materials: variance(|cost| cost.materials),
        total: variance(Cost::total),
    }
}

/// A job's cost with what moves it.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    /// The cost as priced.
    pub base: Cost,
    /// Fees: nothing moves them.
    pub fixed: f64,
    /// Deviation of the logarithm of the factor that is common to all labour.
    pub crew_sigma: f64,
    /// Deviation of the logarithm of the factor that is common to all materials.
    pub prices_sigma: f64,
    /// Every other cause.
    pub causes: Vec<Cause>,
}

/// Causes that are drawn one by one at most; those beyond are drawn together.
const DRAWN_ALONE_MAX: usize = super::lattice::DIMENSIONS - 3;
/// The hours of the smallest operations are drawn together up to this share of the variance of all: their own shapes hardly
/// show in it, and none of them is a driver.
const DRAWN_TOGETHER_MAX: f64 = 0.003;

impl Model {
    /// The largest causes first, in an order that rests on nothing else; the small ones put together.
    #[must_use]
    pub fn arranged(mut self) -> Self {
        let mut causes: Vec<(Moments, Cause)> =
            self.causes.drain(..).map(|cause| (cause.moments(), cause)).filter(|(of, _)| of.total > 0.0).collect();
        causes.sort_by(|(a, one), (b, other)| b.total.total_cmp(&a.total).then_with(|| one.kind.cmp(&other.kind)));
        let together_max = causes.iter().map(|(of, _)| of.total).sum::<f64>() * DRAWN_TOGETHER_MAX;
        let mut small = 0.0;
        // From the smallest on: hours of operations while they are small together, and whatever is one too many.
        let mut left = causes.len();
        for index in (0..causes.len()).rev() {
            let (moments, cause) = &causes[index];
            let hours = matches!(cause.effect, Effect::ThreePoint { .. });
            if left > DRAWN_ALONE_MAX || hours && small + moments.total <= together_max {
                small += moments.total;
                // What an unknown adds on average stays in; only its own shape is given up.
                self.base = self.base + moments.mean;
                causes.remove(index);
                left -= 1;
            }
        }
        self.causes = causes.into_iter().map(|(_, cause)| cause).collect();
        if small > 0.0 {
            let effect = Effect::Small { deviation: small.sqrt() };
            self.causes.push(Cause { kind: CauseKind::Small, effect });
        }
        self
    }

    /// Expected cost, in closed form.
    #[must_use]
    pub fn mean(&self) -> f64 {
        let added: Cost = self.causes.iter().map(|cause| cause.moments().mean).sum();
        (self.base + added).total() + self.fixed
    }
}

/// What a model is drawn with.
pub(super) struct DrawSetup<'a> {
    pub model: &'a Model,
    pub shapes: &'a Shapes,
}
