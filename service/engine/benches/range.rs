//! The draws of a range on their own, and whole reviews with all their questions.

use criterion::{Criterion, criterion_group, criterion_main};
use engine::Engine;
use engine::estimate::SurveyReviewRequest;
use engine::money::Money;
use engine::pricing::Cost;
use engine::range::{Alternative, Cause, CauseKind, Confidence, Effect, Model, Shapes, range};
use engine::rate_sheet::{RateSheet, Stage};
use engine::survey::EstimateRequest;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// As many causes as a large unrecorded house has: twenty operations, a length, eight unknowns.
fn model() -> Model {
    let tasks = (0..20u32)
        .map(|index| Effect::ThreePoint { deviation: 20.0 + f64::from(index), mode: f64::from(index % 9) / 8.0 });
    let unknown = |index: u32| {
        let alternative = |odds, labour, materials| Alternative { odds, adds: Cost { labour, materials } };
        let more = 10.0 * f64::from(index);
        Effect::Alternatives(vec![
            alternative(0.5, 0.0, 0.0),
            alternative(0.3, 150.0 + more, 20.0),
            alternative(0.2, -90.0, -15.0),
        ])
    };
    let length = Effect::Part { of: Cost { labour: 1_200.0, materials: 500.0 }, sigma: 0.25 };
    let causes = tasks.chain([length]).chain((0..8).map(unknown));
    Model {
        base: Cost { labour: 10_000.0, materials: 6_000.0 },
        fixed: 100.0,
        crew_sigma: 0.15,
        prices_sigma: 0.05,
        causes: causes.map(|effect| Cause { kind: one(), effect }).collect(),
    }
}

fn one() -> CauseKind {
    CauseKind::Hours { operation: "one".to_owned(), stage: Stage::FirstFix }
}

fn sure() -> Confidence {
    Confidence::of(Some(0.8), 0)
}

fn draws(criterion: &mut Criterion) {
    let shapes = Shapes::built_in();
    let terms = RateSheet::standard().terms;
    let base = Money::from_pennies(1_610_000);
    criterion.bench_function("range/16384 draws of 29 causes", |bencher| {
        bencher.iter(|| range(&shapes, model(), base, sure(), &terms));
    });
}

fn request(engine: &Engine, name: &str) -> EstimateRequest {
    let path = format!("{}/../../openapi/examples/{name}.json", env!("CARGO_MANIFEST_DIR"));
    engine.read_survey(&std::fs::read(path).expect("the example is there")).expect("reads")
}

fn reviews(criterion: &mut Criterion) {
    let engine = Engine::new();
    let workbook = engine.prepare(RateSheet::standard(), 1).expect("the built-in sheet is complete");
    let mut group = criterion.benchmark_group("review");
    for name in ["kestrel-bank", "counts-only", "three-bed"] {
        let request = SurveyReviewRequest { survey: request(&engine, name).survey };
        group.bench_function(name, |bencher| bencher.iter(|| engine.review(&request, &workbook)));
    }
    group.finish();
}

criterion_group!(benches, draws, reviews);
criterion_main!(benches);
