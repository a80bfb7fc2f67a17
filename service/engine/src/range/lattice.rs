//! Where the draws stand: a rank-1 lattice of 16,384 points, shifted at random.
//!
//! Point `k` has the coordinates `frac(k zⱼ / N + shiftⱼ)`. Each coordinate visits every one of `N` equal steps of
//! probability exactly once, and pairs and triples of coordinates are spread far more evenly than independent numbers
//! would be, so the percentiles move by a fraction of what they would under independent draws: a price must not jump
//! because a socket was added. The shifts come from a digest of what is drawn, so the same job has the same draws.
//! Source: R. Cranley, T. N. L. Patterson, 'Randomization of number theoretic methods for multiple integration', SIAM
//! Journal on Numerical Analysis 13, 1976 (from memory).

use sha2::{Digest, Sha256};

use super::model::{Effect, Model};

/// Draws of one job, as a power of two.
const DRAW_BITS: u32 = 14;
/// Draws of one job.
pub(super) const DRAWS: usize = 1 << DRAW_BITS;
/// Coordinates of one draw.
pub(super) const DIMENSIONS: usize = 32;

/// The generating vector, made by `tests/fixtures/lattice.py`; the earlier components are the better spread.
const GENERATOR: [u32; DIMENSIONS] = [
    1, 6915, 3959, 2957, 5797, 6537, 5535, 7241, 2101, 5119, 8023, 907, 2327, 7337, 6249, 7707, 2167, 713, 4715, 2271,
    5357, 4351, 7571, 4575, 3585, 7523, 7215, 2491, 5473, 2113, 6051, 3183,
];

/// One coordinate of the draws: whole numbers that stand for probabilities in steps of `2⁻³²`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Coordinate {
    shift: u32,
    step: u32,
}

impl Coordinate {
    /// The coordinate at one draw. The next one is [`Coordinate::after`] it.
    #[expect(clippy::cast_possible_truncation, reason = "one of 16,384 draws")]
    pub(super) const fn at(self, draw: usize) -> u32 {
        self.shift.wrapping_add(self.step.wrapping_mul(draw as u32))
    }

    /// The coordinate at the draw after the one where it is `at`.
    pub(super) const fn after(self, at: u32) -> u32 {
        at.wrapping_add(self.step)
    }
}

/// The coordinates of the draws of a job.
pub(super) fn coordinates(seed: [u8; 32]) -> [Coordinate; DIMENSIONS] {
    std::array::from_fn(|dimension| {
        let step = GENERATOR[dimension] << (32 - DRAW_BITS);
        Coordinate { shift: shift(seed, dimension), step }
    })
}

/// A number that is as good as random and the same wherever it is worked out.
fn shift(seed: [u8; 32], dimension: usize) -> u32 {
    let mut digest = Sha256::new();
    digest.update(seed);
    digest.update([u8::try_from(dimension).unwrap_or(u8::MAX)]);
    let [a, b, c, d, ..] = <[u8; 32]>::from(digest.finalize());
    u32::from_be_bytes([a, b, c, d])
}

/// A digest of everything that is drawn: of the request, what changes a figure, and in a fixed order. Neither names and
/// remarks nor the order of rooms are in it.
pub(super) fn seed(model: &Model) -> [u8; 32] {
    let mut digest = Sha256::new();
    let mut figure = |figure: f64| digest.update(figure.to_bits().to_be_bytes());
    for one in [model.base.labour, model.base.materials, model.fixed, model.crew_sigma, model.prices_sigma] {
        figure(one);
    }
    for cause in &model.causes {
        // The kind of the effect, then its figures.
        match &cause.effect {
            Effect::ThreePoint { deviation, mode } => [1.0, *deviation, *mode].into_iter().for_each(&mut figure),
            Effect::Small { deviation } => [2.0, *deviation].into_iter().for_each(&mut figure),
            Effect::Part { of, sigma } => [3.0, of.labour, of.materials, *sigma].into_iter().for_each(&mut figure),
            Effect::Alternatives(alternatives) => {
                figure(4.0);
                for one in alternatives {
                    [one.odds, one.adds.labour, one.adds.materials].into_iter().for_each(&mut figure);
                }
            }
        }
    }
    digest.finalize().into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_coordinate_visits_each_step_of_probability_once() {
        for coordinate in coordinates([7; 32]) {
            let mut steps: Vec<u32> = (0..DRAWS)
                .map(|draw| (coordinate.at(draw).wrapping_sub(coordinate.shift)) >> (32 - DRAW_BITS))
                .collect();
            steps.sort_unstable();
            assert!(steps.windows(2).all(|pair| pair[0] + 1 == pair[1]), "{coordinate:?}");
        }
    }

    #[test]
    fn no_two_coordinates_hang_together() {
        let all = coordinates([1; 32]);
        let draws: Vec<Vec<f64>> = all
            .iter()
            .map(|one| (0..DRAWS).map(|draw| f64::from(one.at(draw)) / 4_294_967_296.0 - 0.5).collect())
            .collect();
        #[expect(clippy::cast_precision_loss, reason = "16,384")]
        let count = DRAWS as f64;
        for (index, one) in draws.iter().enumerate() {
            for other in &draws[..index] {
                let together: f64 = one.iter().zip(other).map(|(a, b)| a * b).sum::<f64>() / count * 12.0;
                assert!(together.abs() < 0.04, "{index}: {together}");
            }
        }
    }

    #[test]
    fn another_seed_gives_other_draws_and_the_same_seed_the_same() {
        let at = |seed: u8| coordinates([seed; 32]).map(|one| one.at(5));
        assert_eq!(at(1), at(1));
        assert_ne!(at(1), at(2));
    }
}
