//! The quantiles against two million draws of a general-purpose library each.
//!
//! Source: numpy 2.4.6 and scipy 1.17.1, by `tests/fixtures/range.py`.

use serde::Deserialize;

use super::*;

#[derive(Deserialize)]
struct Job {
    name: String,
    labour: f64,
    materials: f64,
    fixed: f64,
    crew_sigma: f64,
    prices_sigma: f64,
    three_point: Vec<(f64, f64)>,
    parts: Vec<(f64, f64, f64)>,
    alternatives: Vec<Vec<(f64, f64, f64)>>,
    expect: Expected,
}

#[derive(Deserialize)]
struct Expected {
    mean: f64,
    deviation: f64,
    p10: f64,
    p50: f64,
    p80: f64,
    p90: f64,
}

impl Job {
    fn model(&self) -> Model {
        let tasks =
            self.three_point.iter().map(|(deviation, mode)| Effect::ThreePoint { deviation: *deviation, mode: *mode });
        let parts = self.parts.iter().map(|(labour, materials, spread)| Effect::Part {
            of: Cost { labour: *labour, materials: *materials },
            sigma: (spread * spread).ln_1p().sqrt(),
        });
        let unknowns = self.alternatives.iter().map(|rows| {
            Effect::Alternatives(
                rows.iter().map(|(odds, labour, materials)| alternative(*odds, *labour, *materials)).collect(),
            )
        });
        Model {
            base: Cost { labour: self.labour, materials: self.materials },
            fixed: self.fixed,
            crew_sigma: self.crew_sigma,
            prices_sigma: self.prices_sigma,
            causes: tasks.chain(parts).chain(unknowns).map(|effect| cause("one", effect)).collect(),
        }
    }
}

#[test]
fn the_percentiles_are_those_of_two_million_draws_by_a_library() {
    let jobs: Vec<Job> = serde_json::from_str(include_str!("../../../tests/fixtures/range.json")).expect("reads");
    for job in jobs {
        let (model, draws) = drawn(job.model());
        let expect = &job.expect;
        // Two million draws are themselves good to about a five-hundredth of the deviation.
        let near = |got: f64, wanted: f64, what: &str| {
            let off = (got - wanted) / expect.deviation;
            assert!(off.abs() < 0.02, "{}: {what} {got} against {wanted}, {off:.4} deviations off", job.name);
        };
        near(draws.mean(), expect.mean, "mean");
        near(model.mean(), expect.mean, "mean in closed form");
        near(Shares::of(&model).total().sqrt(), expect.deviation, "deviation in closed form");
        for (probability, wanted) in [(0.1, expect.p10), (0.5, expect.p50), (0.8, expect.p80), (0.9, expect.p90)] {
            near(draws.quantile(probability), wanted, "percentile");
        }
    }
}
