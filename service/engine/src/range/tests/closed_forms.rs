//! Means, variances and shares that can be worked out by hand.

use super::*;

fn of_tasks(count: u32, crew_sigma: f64) -> Model {
    let task = |index: u32| {
        let mode = f64::from(index % 9) / 8.0;
        cause("task", Effect::ThreePoint { deviation: 40.0 + 7.0 * f64::from(index), mode })
    };
    Model {
        base: Cost { labour: 8_000.0, materials: 3_000.0 },
        fixed: 50.0,
        crew_sigma,
        prices_sigma: 0.0,
        causes: (0..count).map(task).collect(),
    }
}

fn deviation(draws: &Draws) -> f64 {
    // From the distribution itself, at a thousand places.
    let places: Vec<f64> = (0..1000).map(|place| draws.quantile((f64::from(place) + 0.5) / 1000.0)).collect();
    let mean = places.iter().sum::<f64>() / 1000.0;
    (places.iter().map(|cost| (cost - mean) * (cost - mean)).sum::<f64>() / 1000.0).sqrt()
}

#[test]
fn independent_three_point_items_add_up_to_the_closed_form() {
    // Source: the variance of a sum of independent items is the sum of theirs; the three-point estimate of PERT, "Three-point
    // estimating", for mean and deviation of each.
    let (model, draws) = drawn(of_tasks(20, 0.0));
    let variance: f64 = (0..20).map(|index| (40.0 + 7.0 * f64::from(index)) * (40.0 + 7.0 * f64::from(index))).sum();

    assert!((draws.mean() - model.mean()).abs() < 0.2, "{} against {}", draws.mean(), model.mean());
    assert!((model.mean() - 11_050.0).abs() < 1e-9);
    let ratio = deviation(&draws) / variance.sqrt();
    assert!((0.99..1.01).contains(&ratio), "{ratio}");
}

#[test]
fn more_causes_than_are_drawn_alone_keep_their_mean_and_variance() {
    let mut many = of_tasks(60, 0.1);
    many.causes
        .push(cause("rare", Effect::Alternatives(vec![alternative(0.9, 0.0, 0.0), alternative(0.1, 30.0, 0.0)])));
    let (mean, variance) = (many.mean(), Shares::of(&many).total());

    let (model, draws) = drawn(many);

    assert!(model.causes.len() <= lattice::DIMENSIONS - 2);
    assert!((model.mean() - mean).abs() < 1e-6 && (draws.mean() - mean).abs() < 1.0);
    let ratio = deviation(&draws) / variance.sqrt();
    assert!((0.985..1.015).contains(&ratio), "{ratio}");
}

#[test]
fn the_shares_of_causes_that_only_add_are_those_of_their_variances() {
    // 3² : 4² of 5², by hand.
    let causes = vec![
        cause("three", Effect::ThreePoint { deviation: 3.0, mode: 0.5 }),
        cause("four", Effect::Alternatives(vec![alternative(0.5, -4.0, 0.0), alternative(0.5, 4.0, 0.0)])),
    ];
    let base = Cost { labour: 100.0, materials: 0.0 };
    let shares = Shares::of(&Model { base, fixed: 0.0, crew_sigma: 0.0, prices_sigma: 0.0, causes });
    assert!((shares.causes[0] / shares.total() - 0.36).abs() < 1e-12);
    assert!((shares.causes[1] / shares.total() - 0.64).abs() < 1e-12);
}

#[test]
fn what_two_factors_do_only_together_is_shared_evenly_between_them() {
    // Y = F (100 + X), E F = 1, Var F = f, E X = 0, Var X = 25: Var Y = 10,000 f + 25 + 25 f. Shapley effects of the two,
    // by hand: F gets 10,000 f + 12.5 f, X gets 25 + 12.5 f.
    let causes = vec![cause("x", Effect::ThreePoint { deviation: 5.0, mode: 0.5 })];
    let base = Cost { labour: 100.0, materials: 0.0 };
    let model = Model { base, fixed: 7.0, crew_sigma: 0.2, prices_sigma: 0.0, causes };
    let f = 0.04f64.exp() - 1.0;

    let shares = Shares::of(&model);

    assert!((shares.crew - 10_012.5 * f).abs() < 1e-9, "{shares:?}");
    assert!((shares.causes[0] - (25.0 + 12.5 * f)).abs() < 1e-9, "{shares:?}");
    assert!((shares.total() - (10_000.0 * f + 25.0 + 25.0 * f)).abs() < 1e-9);
}

#[test]
fn the_same_job_has_the_same_draws_whatever_its_causes_are_called() {
    let mut renamed = of_tasks(12, 0.1);
    for cause in &mut renamed.causes {
        cause.kind = CauseKind::Crew;
    }
    let (_, one) = drawn(of_tasks(12, 0.1));
    let (_, other) = drawn(renamed);
    assert_eq!(one.quantile(0.8).to_bits(), other.quantile(0.8).to_bits());
}

#[test]
fn another_seed_moves_the_eightieth_percentile_by_less_than_a_fiftieth_of_the_spread() {
    let shapes = Shapes::built_in();
    let model = of_tasks(20, 0.15).arranged();
    let spread = Shares::of(&model).total().sqrt();
    let at = |seed: u8| Draws::of(&DrawSetup { model: &model, shapes: &shapes }, [seed; 32]).quantile(0.8);
    let places: Vec<f64> = (0..12).map(at).collect();
    let (low, high) = places.iter().fold((f64::MAX, f64::MIN), |(low, high), at| (low.min(*at), high.max(*at)));
    // Twelve sets of independent draws would lie about twice as far apart: 3.3 deviations of 1.43 / sqrt(16,384) each, from
    // p (1 - p) / n under the normal density at the percentile.
    assert!(high - low < 0.02 * spread, "{low} to {high}, spread {spread}");
}
