//! How long the routes of a drawn house take: the map, what is opened for all, and every run of every circuit.

use std::hint::black_box;
use std::ops::ControlFlow;

use criterion::{Criterion, criterion_group, criterion_main};
use engine::Engine;
use engine::circuits;
use engine::context::Context;
use engine::rate_sheet::RateSheet;
use engine::routes::search::{NEVER, Neighbours, Search};
use engine::routes::{Opening, Routing};
use engine::site::Site;
use engine::survey::EstimateRequest;
use engine::unit_rates::Prices;
use engine::work::WorkBudget;
use petgraph::graph::{NodeIndex, UnGraph};
use serde_json::json;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

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
        let (site, _) = Site::from_survey(&request.survey, &engine.catalogue, &WorkBudget::unlimited());
        group.bench_function(format!("{rooms} rooms, {} points", rooms * 10), |bencher| {
            bencher.iter(|| {
                let prices = Prices::of(&site, &engine.catalogue, &workbook);
                let work = WorkBudget::unlimited();
                let ways = Routing::of(&site, &engine.catalogue, prices, &work, |_| None);
                let (catalogue, standards) = (&engine.catalogue, &engine.standards);
                let context = Context { catalogue, standards, workbook: &workbook, request: &request, work: &work };
                black_box(circuits::installation(context, &ways))
            });
        });
        group.bench_function(format!("{rooms} rooms, the map and what is opened"), |bencher| {
            bencher.iter(|| {
                let prices = Prices::of(&site, &engine.catalogue, &workbook);
                Routing::of(&site, &engine.catalogue, prices, &WorkBudget::unlimited(), |_| None)
                    .opened_by_points(Opening::Storey(0))
            });
        });
    }
    group.finish();
}

/// Shortest paths from every place of the largest graph of the fixtures; `tests/fixtures/routes.py` prints what networkx
/// takes for the same, a source.
fn searches(criterion: &mut Criterion) {
    let fixtures: Vec<serde_json::Value> =
        serde_json::from_str(include_str!("../tests/fixtures/routes.json")).expect("the fixtures are JSON");
    let largest = fixtures.iter().max_by_key(|fixture| fixture["nodes"].as_u64()).expect("there are fixtures");
    let number = |value: &serde_json::Value| value.as_u64().expect("a whole number");
    let index = |value: &serde_json::Value| NodeIndex::new(usize::try_from(number(value)).expect("an index"));
    let mut graph: UnGraph<(), u64> = UnGraph::default();
    (0..number(&largest["nodes"])).for_each(|_| {
        graph.add_node(());
    });
    for edge in largest["edges"].as_array().expect("edges") {
        graph.add_edge(index(&edge[0]), index(&edge[1]), number(&edge[2]));
    }
    let mut search = Search::default();
    let neighbours = Neighbours::of(&graph, |_| false);
    let nodes = graph.node_count();
    criterion.bench_function(&format!("routes/shortest paths from each of {nodes} places"), |bencher| {
        bencher.iter(|| {
            for node in graph.node_indices() {
                let source = std::iter::once((node, 0));
                search.explore(&neighbours, |edge| Some(graph[edge]), source, |_, _| ControlFlow::Continue(NEVER));
                black_box(search.distance(NodeIndex::new(0)));
            }
        });
    });
}

criterion_group!(benches, routes, searches);
criterion_main!(benches);
