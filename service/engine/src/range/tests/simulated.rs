//! Jobs as they come out: an independent sampler, slow and obvious, that shares nothing with the tables and the lattice.

use super::*;

/// Numbers that are as good as random, the same every time. Source: the splitmix64 generator (G. Steele and others,
/// 2014, from memory).
pub(super) struct Dice(pub(super) u64);

impl Dice {
    pub(super) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^= z >> 31;
        #[expect(clippy::cast_precision_loss, reason = "53 bits")]
        let unit = (z >> 11) as f64 / (1u64 << 53) as f64;
        unit
    }

    /// Box and Muller's.
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        radius * (2.0 * std::f64::consts::PI * self.unit()).cos()
    }

    fn log_normal(&mut self, sigma: f64) -> f64 {
        (sigma * self.normal() - sigma * sigma / 2.0).exp()
    }

    /// The beta distribution of the three-point method, by rejection, standardised by its textbook moments.
    fn three_point(&mut self, mode: f64) -> f64 {
        let (rise, fall) = (4.0 * mode, 4.0 * (1.0 - mode));
        let density = |x: f64| x.powf(rise) * (1.0 - x).powf(fall);
        let highest = density(mode);
        let x = loop {
            let x = self.unit();
            if self.unit() * highest <= density(x) {
                break x;
            }
        };
        let (a, b) = (1.0 + rise, 1.0 + fall);
        (x - a / (a + b)) / (a * b / ((a + b) * (a + b) * (a + b + 1.0))).sqrt()
    }

    /// Which of these odds comes up.
    pub(super) fn pick(&mut self, odds: impl Iterator<Item = f64>) -> usize {
        let mut left = self.unit();
        let mut last = 0;
        for (index, odds) in odds.enumerate() {
            last = index;
            left -= odds;
            if left < 0.0 {
                break;
            }
        }
        last
    }

    /// What a job of this model really costs, once.
    pub(super) fn real_cost(&mut self, model: &Model) -> f64 {
        let mut cost = model.base;
        for cause in &model.causes {
            let adds = match &cause.effect {
                Effect::ThreePoint { deviation, mode } => Cost::labour(self.three_point(*mode) * deviation),
                Effect::Small { deviation } => Cost::labour(self.normal() * deviation),
                Effect::Part { of, sigma } => *of * (self.log_normal(*sigma) - 1.0),
                Effect::Alternatives(all) => all[self.pick(all.iter().map(|one| one.odds))].adds,
            };
            cost = cost + adds;
        }
        cost.labour * self.log_normal(model.crew_sigma)
            + cost.materials * self.log_normal(model.prices_sigma)
            + model.fixed
    }
}

#[test]
fn of_twenty_thousand_simulated_jobs_the_stated_share_falls_below_each_percentile() {
    let tasks = (0..8).map(|index| Effect::ThreePoint { deviation: 50.0 + 20.0 * f64::from(index), mode: 0.25 });
    let unknown = Effect::Alternatives(vec![alternative(0.6, 0.0, 0.0), alternative(0.4, 700.0, 90.0)]);
    let part = Effect::Part { of: Cost { labour: 1_500.0, materials: 400.0 }, sigma: 0.2 };
    let causes = tasks.chain([unknown, part]).map(|effect| cause("one", effect)).collect();
    let base = Cost { labour: 9_000.0, materials: 5_000.0 };
    let (model, draws) = drawn(Model { base, fixed: 80.0, crew_sigma: 0.15, prices_sigma: 0.05, causes });
    let mut dice = Dice(7);

    let real: Vec<f64> = (0..20_000).map(|_| dice.real_cost(&model)).collect();

    for probability in [0.1, 0.5, 0.8, 0.9] {
        let limit = draws.quantile(probability);
        let below = real.iter().filter(|cost| **cost < limit).count();
        #[expect(clippy::cast_precision_loss, reason = "20,000")]
        let share = below as f64 / 20_000.0;
        assert!((share - probability).abs() < 0.01, "{share} below p{}", probability * 100.0);
    }
}
