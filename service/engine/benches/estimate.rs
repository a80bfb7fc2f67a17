//! Pricing whole surveys: twelve rooms, and how the time grows to a hundred times as many.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use engine::circuits::installation;
use engine::context::Context;
use engine::labour::{Daily, hours_of_items, preliminaries};
use engine::money::Money;
use engine::pricing::price_item;
use engine::rate_sheet::RateSheet;
use engine::routes::Routing;
use engine::site::Site;
use engine::survey::rules::usual_level;
use engine::take_off::{Job, count};
use engine::unit_rates::{Factors, Prices};
use engine::work::WorkBudget;
use engine::{Engine, Stamp};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn survey(rooms: usize) -> Vec<u8> {
    let uses = ["kitchen", "living", "hall", "bedroom", "bathroom", "bedroom"];
    let rooms: Vec<_> = (0..rooms)
        .map(|index| {
            serde_json::json!({
                "id": format!("room-{index:04}"), "use": uses[index % uses.len()],
                "points": [
                    { "type": "double-socket", "count": 5 }, { "type": "pendant" }, { "type": "one-way-switch" },
                    { "type": "smoke-alarm" }, { "type": "data-outlet" }
                ]
            })
        })
        .collect();
    serde_json::to_vec(&serde_json::json!({ "survey": { "rooms": rooms } })).expect("writes")
}

#[expect(clippy::too_many_lines, reason = "one benchmark after the other")]
fn estimates(criterion: &mut Criterion) {
    let engine = Engine::new();
    let workbook = engine.prepare(RateSheet::standard(), 1).expect("the built-in sheet is complete");
    let mut group = criterion.benchmark_group("estimate");
    group.sample_size(20);
    for rooms in [12, 120, 1_200] {
        let request = engine.read_survey(&survey(rooms)).expect("reads");
        group.bench_with_input(BenchmarkId::from_parameter(rooms), &request, |bencher, request| {
            bencher
                .iter(|| engine.estimate(request, &workbook, Stamp { id: String::new(), created_at: String::new() }));
        });
    }
    // At most 1.3 times as much a circuit with 990 of them as with 10.
    for circuits in [10, 100, 990] {
        let heaters = serde_json::json!({ "type": "storage-heater-point", "count": circuits });
        let house = serde_json::json!({ "survey": { "rooms": [{ "id": "hall", "points": [heaters] }] } });
        let request = engine.read_survey(house.to_string().as_bytes()).expect("reads");
        group.throughput(Throughput::Elements(circuits));
        group.bench_with_input(BenchmarkId::new("circuits", circuits), &request, |bencher, request| {
            bencher
                .iter(|| engine.estimate(request, &workbook, Stamp { id: String::new(), created_at: String::new() }));
        });
    }
    group.throughput(Throughput::Elements(1));
    let example = include_bytes!("../../../openapi/examples/kestrel-bank.json");
    let request = engine.read_survey(example).expect("the example reads");
    group.bench_function("the demonstration house", |bencher| {
        bencher.iter(|| engine.estimate(&request, &workbook, Stamp { id: String::new(), created_at: String::new() }));
    });
    let (site, _) = Site::from_survey(&request.survey, &engine.catalogue, &WorkBudget::unlimited());
    let factors = Factors::of(&site, &workbook);
    let prices = Prices::of(&site, &engine.catalogue, &workbook);
    let work = WorkBudget::unlimited();
    let ways = Routing::of(&site, &engine.catalogue, prices, &work, usual_level);
    let (catalogue, standards) = (&engine.catalogue, &engine.standards);
    let context = Context { catalogue, standards, workbook: &workbook, request: &request, work: &work };
    // Aim: under 2 ms. Circuits gathered, sized and proved by seven checks each, the board, alarms and bathrooms; the search
    // of each circuit's way on the map is in it, and takes nine tenths.
    group.bench_function("the circuits of the demonstration house", |bencher| {
        bencher.iter(|| installation(context, &ways))
    });
    // The same where its rooms were not drawn: the design alone, its ways by the model.
    let mut undrawn = request.clone();
    for room in &mut undrawn.survey.rooms {
        (room.outline, room.corners) = (None, Vec::new());
        room.points.iter_mut().for_each(|point| (point.at, point.wall, point.along_m) = (None, None, None));
    }
    let (undrawn_site, _) = Site::from_survey(&undrawn.survey, &engine.catalogue, &WorkBudget::unlimited());
    let prices = Prices::of(&undrawn_site, &engine.catalogue, &workbook);
    let undrawn_ways = Routing::of(&undrawn_site, &engine.catalogue, prices, &work, usual_level);
    assert!(undrawn_ways.network().is_none(), "no map of a house that was not drawn");
    let undrawn_context = Context { request: &undrawn, ..context };
    group.bench_function("the circuits of the demonstration house, not drawn", |bencher| {
        bencher.iter(|| installation(undrawn_context, &undrawn_ways));
    });
    // Aim: under 1 ms. What an unknown that moves no cable is priced again by.
    let installation = installation(context, &ways);
    let job = Job {
        site: &site,
        ways: &ways,
        installation: &installation,
        catalogue: &engine.catalogue,
        standards: &engine.standards,
        workbook: &workbook,
        visit: None,
    };
    group.bench_function("the demonstration house taken off, its hours and its money", |bencher| {
        bencher.iter(|| {
            let mut take_off = count(job);
            let mut hours = hours_of_items(&factors, &take_off, 0, &workbook);
            let daily = Daily::for_hours(job, &hours, &take_off);
            preliminaries(job, daily, take_off.chased_m(), &mut take_off);
            hours.extend(hours_of_items(&factors, &take_off, hours.len(), &workbook));
            let items = take_off.items.iter().zip(&hours);
            items.map(|(item, hours)| price_item(&take_off, item, *hours, &workbook).amount()).sum::<Money>()
        });
    });
    group
        .bench_function("the demonstration house read", |bencher| bencher.iter(|| engine.read_survey(example).is_ok()));
    group.finish();
}

criterion_group!(benches, estimates);
criterion_main!(benches);
