//! Which cause is how much of the spread: a decomposition of the variance that adds up exactly.
//!
//! Where two factors multiply, part of the variance belongs to neither alone. Each such part is shared out evenly
//! between the two, which is what the Shapley effects come to (A. B. Owen, 'Sobol' indices and Shapley value', SIAM/ASA
//! Journal on Uncertainty Quantification 2, 2014: the definition from memory). The model is made of independent causes
//! that add, under two independent factors, so everything is in closed form.

use super::model::{Model, Moments};
use crate::pricing::Cost;

/// A share of the variance, in money squared.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Shares {
    /// Of the factor common to all labour.
    pub crew: f64,
    /// Of the price level.
    pub prices: f64,
    /// Of each cause, in the order of the model.
    pub causes: Vec<f64>,
}

impl Shares {
    pub(super) fn of(model: &Model) -> Self {
        let crew = libm::expm1(model.crew_sigma * model.crew_sigma);
        let prices = libm::expm1(model.prices_sigma * model.prices_sigma);
        let moments: Vec<Moments> = model.causes.iter().map(|cause| cause.moments()).collect();
        let mean: Cost = model.base + moments.iter().map(|of| of.mean).sum();
        let crew_with = moments.iter().map(|of| of.labour).sum::<f64>() * crew;
        let prices_with = moments.iter().map(|of| of.materials).sum::<f64>() * prices;
        Self {
            crew: crew * mean.labour * mean.labour + crew_with / 2.0,
            prices: prices * mean.materials * mean.materials + prices_with / 2.0,
            causes: moments.iter().map(|of| of.total + (crew * of.labour + prices * of.materials) / 2.0).collect(),
        }
    }

    /// The whole variance.
    pub(super) fn total(&self) -> f64 {
        self.crew + self.prices + self.causes.iter().sum::<f64>()
    }
}
