//! Inverse distribution functions as tables: equal steps of probability, straight lines between them.
//!
//! A straight line between two quantiles has closed-form moments, so each table is moved and stretched until its mean
//! and variance are exactly the ones that it stands for. Built once; drawing from one is a look-up and one product.

use std::f64::consts::PI;

/// Steps of probability in a table, as a power of two.
pub(super) const STEP_BITS: u32 = 9;
/// Steps of probability in a table.
pub(super) const STEPS: usize = 1 << STEP_BITS;
/// Kinds of three-point shape, by where the likely value stands between the ends; a sixteenth is closer than anybody
/// judges hours.
const MODES: usize = 17;
/// Steps in which a density is added up before it is turned round.
const FINE: usize = 1024;

/// Quantiles at every step of probability, from 0 to 1.
pub(super) type Edges = [f64; STEPS + 1];

/// The shapes that spread is drawn from.
#[derive(Debug, Clone)]
pub struct Shapes {
    normal: Box<Edges>,
    three_point: Vec<Edges>,
}

impl Shapes {
    /// Works the tables out.
    #[must_use]
    pub fn built_in() -> Self {
        let half: Vec<Edges> = (0..=MODES / 2).map(|mode| three_point(fraction(mode, MODES - 1))).collect();
        // The other half are the same, seen in a mirror.
        let mirrored = half[..MODES / 2].iter().rev().map(|edges| std::array::from_fn(|step| -edges[STEPS - step]));
        let three_point = half.iter().copied().chain(mirrored).collect();
        Self { normal: Box::new(normal()), three_point }
    }

    /// The standard normal distribution.
    pub(super) fn normal(&self) -> &Edges {
        &self.normal
    }

    /// Three points with the likely one at this fraction of the way from the optimistic to the pessimistic; mean 0,
    /// deviation 1. A beta distribution whose mean is `(o + 4m + p) / 6` before it is standardised.
    pub(super) fn three_point(&self, mode: f64) -> &Edges {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held to 0 to 16")]
        let nearest = (mode.clamp(0.0, 1.0) * fraction(MODES - 1, 1)).round() as usize;
        &self.three_point[nearest.min(MODES - 1)]
    }

    /// A log-normal factor of mean 1 whose logarithm has this deviation: its variance is `exp(σ²) - 1`.
    pub(super) fn log_normal(&self, sigma: f64) -> Edges {
        if sigma <= 0.0 {
            return [1.0; STEPS + 1];
        }
        let edges: Edges = std::array::from_fn(|step| libm::exp(sigma * self.normal[step]));
        moved_to(&edges, 1.0, libm::expm1(sigma * sigma))
    }
}

#[expect(clippy::cast_precision_loss, reason = "tables are short")]
fn fraction(part: usize, whole: usize) -> f64 {
    part as f64 / whole as f64
}

/// Mean and variance of a table, its quantiles joined by straight lines.
pub(super) fn moments(edges: &Edges) -> (f64, f64) {
    let cells = || edges.windows(2).map(|pair| (pair[0], pair[1]));
    let count = fraction(STEPS, 1);
    let mean = cells().map(|(a, b)| (a + b) / 2.0).sum::<f64>() / count;
    let square =
        |(a, b): (f64, f64)| ((a - mean) * (a - mean) + (a - mean) * (b - mean) + (b - mean) * (b - mean)) / 3.0;
    (mean, cells().map(square).sum::<f64>() / count)
}

/// The table moved and stretched to this mean and variance.
fn moved_to(edges: &Edges, mean: f64, variance: f64) -> Edges {
    let (was, spread) = moments(edges);
    let stretch = if spread > 0.0 { (variance / spread).sqrt() } else { 0.0 };
    std::array::from_fn(|step| mean + (edges[step] - was) * stretch)
}

/// Quantiles of the standard normal distribution. The outermost steps end where their mean is that of the tail,
/// `φ(z) / p` (textbook mean of a truncated normal).
fn normal() -> Edges {
    let mut edges: Edges = std::array::from_fn(|step| match step {
        0 | STEPS => 0.0,
        _ => super::standard_normal_quantile(fraction(step, STEPS)),
    });
    let first = edges[1];
    let density = libm::exp(-first * first / 2.0) / (2.0 * PI).sqrt();
    edges[0] = -2.0 * density * fraction(STEPS, 1) - first;
    edges[STEPS] = -edges[0];
    moved_to(&edges, 0.0, 1.0)
}

/// Quantiles of the beta distribution with density `x^(4r) (1 - x)^(4 (1 - r))`, standardised.
fn three_point(mode: f64) -> Edges {
    let (rise, fall) = (4.0 * mode, 4.0 * (1.0 - mode));
    let density = |cell: usize| {
        let x = (fraction(cell, 1) + 0.5) / fraction(FINE, 1);
        libm::pow(x, rise) * libm::pow(1.0 - x, fall)
    };
    let mut below = vec![0.0; FINE + 1];
    for cell in 0..FINE {
        below[cell + 1] = below[cell] + density(cell);
    }
    let whole = below[FINE];
    let mut cell = 0;
    let edges: Edges = std::array::from_fn(|step| {
        let wanted = whole * fraction(step, STEPS);
        while cell + 1 < FINE && below[cell + 1] < wanted {
            cell += 1;
        }
        let inside = (wanted - below[cell]) / (below[cell + 1] - below[cell]);
        (fraction(cell, 1) + inside.clamp(0.0, 1.0)) / fraction(FINE, 1)
    });
    moved_to(&edges, 0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_has_the_mean_and_variance_that_it_stands_for() {
        let shapes = Shapes::built_in();
        for mode in 0..MODES {
            let (mean, variance) = moments(shapes.three_point(fraction(mode, MODES - 1)));
            assert!(mean.abs() < 1e-12 && (variance - 1.0).abs() < 1e-12, "mode {mode}: {mean}, {variance}");
        }
        let (mean, variance) = moments(&shapes.log_normal(0.15));
        // Source: textbook variance of the log-normal distribution of mean 1, exp(σ²) - 1.
        assert!((mean - 1.0).abs() < 1e-12 && (variance - (0.0225f64.exp() - 1.0)).abs() < 1e-12);
    }

    #[test]
    fn a_lognormal_factor_has_the_quantiles_of_the_closed_form() {
        // Source: textbook quantile of the log-normal distribution, exp(µ + σz) with µ = -σ²/2.
        let edges = Shapes::built_in().log_normal(0.15);
        for step in [5, 51, 256, 410, 461, 507] {
            let z = crate::range::standard_normal_quantile(fraction(step, STEPS));
            let exact = (-0.0225f64 / 2.0 + 0.15 * z).exp();
            assert!((edges[step] - exact).abs() < 5e-4, "{step}: {} against {exact}", edges[step]);
        }
    }

    #[test]
    fn the_likely_value_in_the_middle_gives_a_symmetric_table_and_one_to_the_left_a_long_right_tail() {
        let shapes = Shapes::built_in();
        let even = shapes.three_point(0.5);
        assert!((even[STEPS / 4] + even[STEPS * 3 / 4]).abs() < 1e-9);
        let skewed = shapes.three_point(0.2);
        assert!(skewed[STEPS] > -skewed[0], "{} against {}", skewed[STEPS], skewed[0]);
    }
}
