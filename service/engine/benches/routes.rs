//! How long the routes of a drawn house take: the map, what is opened for all, and every run of every circuit.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use engine::Engine;
use engine::circuits;
use engine::labour::Factors;
use engine::money::Money;
use engine::rate_sheet::RateSheet;
use engine::routes::{Prices, Ways};
use engine::site::Site;
use engine::survey::EstimateRequest;
use serde_json::json;

/// Rooms of 4 by 4 m in rows of six, two storeys, ten points in each room.
fn house(engine: &Engine, rooms: usize) -> EstimateRequest {
    let upper = rooms / 2;
    let rooms: Vec<serde_json::Value> = (0..rooms)
        .map(|index| {
            let (storey, number) = if index < upper { ("first", index) } else { ("ground", index - upper) };
            let (column, row) = (number % 6, number / 6);
            let uses = if index < upper { "bedroom" } else { "living" };
            json!({
                "id": format!("room-{index:03}"),
                "use": uses,
                "storey": storey,
                "outline": { "x_m": column as f64 * 4.0, "y_m": row as f64 * 4.0, "width_m": 4.0, "depth_m": 4.0 },
                "floor": { "construction": "suspended-timber", "covering": "carpet" },
                "points": [
                    { "type": "double-socket", "count": 6 },
                    { "type": "pendant", "count": 2 },
                    { "type": "one-way-switch", "count": 1 },
                    { "type": "data-outlet", "count": 1 }
                ]
            })
        })
        .collect();
    let survey = json!({ "survey": { "rooms": rooms, "consumer_unit": { "room": format!("room-{upper:03}") } } });
    engine.read_survey(survey.to_string().as_bytes()).expect("the generated house is read")
}

fn routes(criterion: &mut Criterion) {
    let engine = Engine::new();
    let workbook = engine.prepare(RateSheet::standard(), 1).expect("the built-in sheet is complete");
    let mut group = criterion.benchmark_group("routes");
    group.sample_size(20);
    for rooms in [12, 48, 300] {
        let request = house(&engine, rooms);
        let (site, _) = Site::from_survey(&request.survey, &engine.catalogue);
        let factors = Factors::of(&site, &workbook);
        group.bench_function(format!("{rooms} rooms, {} points", rooms * 10), |bencher| {
            bencher.iter(|| {
                let prices = Prices::of(&site, &engine.catalogue, &workbook, &factors);
                let ways = Ways::of(&site, &engine.catalogue, prices, |_| None);
                let basis = circuits::Basis {
                    catalogue: &engine.catalogue,
                    standards: &engine.standards,
                    survey: &request.survey,
                    // The routes alone are measured: a ring and a radial cost the same here.
                    cost: &|_, _| Money::ZERO,
                };
                black_box(circuits::design(&ways, basis))
            });
        });
        group.bench_function(format!("{rooms} rooms, the map and what is opened"), |bencher| {
            bencher.iter(|| {
                let prices = Prices::of(&site, &engine.catalogue, &workbook, &factors);
                black_box(Ways::of(&site, &engine.catalogue, prices, |_| None))
            });
        });
    }
    group.finish();
}

criterion_group!(benches, routes);
criterion_main!(benches);
