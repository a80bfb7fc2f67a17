//! The spread of the price, and what drives it.
//!
//! The cost is taken as log-normal with the mean and variance that its causes add up to; the causes are taken as
//! independent of each other, the hours of all lines as sharing one factor for crew and house. Single tasks add
//! their three-point variances, `((p - o) / 6)²`. What was not recorded adds the spread of its alternatives at equal
//! odds. It leaves out what nobody has thought of.
//!
//! Contingency is what takes the price from its base, the expected cost, to the quantile asked for: the approach that
//! range estimating calls contingency at a confidence level.

pub mod unknowns;

use std::borrow::Cow;

use crate::estimate::{DistributionBin, Driver, Range};
use crate::money::{Money, decimal};
use crate::rate_sheet::RateTerms;

/// One cause of spread: its standard deviation in direct cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// The cause.
    pub cause: Cow<'static, str>,
    /// Standard deviation of the direct cost.
    pub deviation: f64,
}

/// The cost as a log-normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogNormal {
    location: f64,
    scale: f64,
}

impl LogNormal {
    /// From its mean and standard deviation. Source: textbook moments of the log-normal distribution,
    /// `σ² = ln(1 + v / m²)`, `µ = ln m - σ² / 2`.
    #[must_use]
    pub fn of(mean: f64, deviation: f64) -> Self {
        let mean = mean.max(0.01);
        let ratio = deviation / mean;
        let variance = libm::log1p(ratio * ratio);
        Self { location: libm::log(mean) - variance / 2.0, scale: variance.sqrt() }
    }

    /// How probable it is that the cost stays below this.
    #[must_use]
    pub fn probability_below(self, cost: f64) -> f64 {
        if self.scale <= 0.0 {
            return if libm::log(cost) < self.location { 0.0 } else { 1.0 };
        }
        0.5 * libm::erfc((self.location - libm::log(cost)) / (self.scale * std::f64::consts::SQRT_2))
    }

    /// The cost that is not exceeded with this probability.
    #[must_use]
    pub fn quantile(self, probability: f64) -> f64 {
        libm::exp(self.location + self.scale * standard_normal_quantile(probability))
    }
}

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

/// The range of the net price from the expected direct cost and the causes of spread.
#[must_use]
pub fn range(direct: Money, mut spreads: Vec<Spread>, confidence: f64, terms: &RateTerms) -> Range {
    let overhead = 1.0 + terms.overhead_percent / 100.0;
    let price = overhead / (1.0 - terms.profit_margin_percent / 100.0);
    let mean = direct.approximate();
    let variance: f64 = spreads.iter().map(|spread| spread.deviation * spread.deviation).sum();
    let cost = LogNormal::of(mean, variance.sqrt());
    let net = |probability: f64| Money::rounded(decimal(cost.quantile(probability) * price));
    let over_mean = (cost.quantile(confidence) - mean).max(0.0) * overhead;
    let distribution = distribution(cost, price);
    spreads.sort_by(|a, b| b.deviation.total_cmp(&a.deviation).then(a.cause.cmp(&b.cause)));
    Range {
        p10: net(0.1),
        p50: net(0.5),
        p80: net(0.8),
        p90: net(0.9),
        contingency: Money::rounded(decimal(over_mean)),
        confidence,
        drivers: drivers(&spreads, variance, price),
        distribution,
        basis: Cow::Borrowed(
            "log-normal with the mean and variance of the causes below, taken as independent of each other; three-point \
             hours share one factor for crew and house; what was not recorded counts at equal odds. It leaves out what \
             nobody has thought of, and its figures are no surer than the hours behind them, which are from memory.",
        ),
    }
}

/// Bins of one width that hold all but one case in five hundred on either side, which the outermost bins take.
fn distribution(cost: LogNormal, price: f64) -> Vec<DistributionBin> {
    const BINS: u32 = 40;
    const LEFT_OUT: f64 = 0.002;
    let (low, high) = (cost.quantile(LEFT_OUT), cost.quantile(1.0 - LEFT_OUT));
    let edge = |bin: u32| low + (high - low) * f64::from(bin) / f64::from(BINS);
    let below = |bin: u32| match bin {
        0 => 0.0,
        BINS => 1.0,
        _ => cost.probability_below(edge(bin)),
    };
    let net = |bin: u32| Money::rounded(decimal(edge(bin) * price));
    let share = |bin: u32| ((below(bin + 1) * 1e6).round() - (below(bin) * 1e6).round()) / 1e6;
    (0..BINS).map(|bin| DistributionBin { from: net(bin), to: net(bin + 1), share: share(bin) }).collect()
}

/// Shares to one decimal that add to 100: the largest takes the rounding.
fn drivers(spreads: &[Spread], variance: f64, price: f64) -> Vec<Driver> {
    /// From the tenth to the ninetieth percentile of a normal distribution, in standard deviations.
    const P10_TO_P90: f64 = 2.563;
    let mut drivers: Vec<Driver> = spreads
        .iter()
        .filter(|spread| spread.deviation > 0.0)
        .map(|spread| Driver {
            cause: spread.cause.clone().into_owned(),
            share_percent: (spread.deviation * spread.deviation / variance * 1_000.0).round() / 10.0,
            swing: Money::rounded(decimal(spread.deviation * P10_TO_P90 * price)),
        })
        .collect();
    let tenths: f64 = drivers.iter().map(|driver| (driver.share_percent * 10.0).round()).sum();
    if let Some(largest) = drivers.first_mut() {
        largest.share_percent = ((largest.share_percent * 10.0).round() + 1_000.0 - tenths) / 10.0;
    }
    drivers
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_normal_quantiles_are_those_of_the_printed_tables() {
        // Source: any table of the standard normal distribution (0.80: 0.8416; 0.90: 1.2816; 0.975: 1.9600).
        for (probability, quantile) in [(0.5, 0.0), (0.8, 0.8416), (0.9, 1.2816), (0.975, 1.9600)] {
            assert!((standard_normal_quantile(probability) - quantile).abs() < 5e-5, "{probability}");
        }
    }

    #[test]
    fn a_log_normal_keeps_the_mean_and_deviation_that_it_was_made_from() {
        // Source: closed-form moments: median = m / sqrt(1 + v/m²).
        let cost = LogNormal::of(1000.0, 150.0);
        let median = 1000.0 / (1.0f64 + 0.0225).sqrt();
        assert!((cost.quantile(0.5) - median).abs() < 1e-6);
    }
}
