//! Writes the graphs of drawn houses and what it costs to go between the ends of one run in each, for checks against
//! other libraries: one survey a line in, one graph a line out. `tests/fixtures/routes.py` is its caller.

use std::io::{BufRead, Write};

use engine::Engine;
use engine::catalogue::{CableClass, PointPlace};
use engine::quantities::Metres;
use engine::rate_sheet::RateSheet;
use engine::routes::{Ask, Routing, RunStop, StopPoint, Topology};
use engine::site::Site;
use engine::unit_rates::Prices;
use engine::work::WorkBudget;
use petgraph::visit::EdgeRef;
use serde_json::json;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let engine = Engine::new();
    let workbook = engine.prepare(RateSheet::standard(), 1)?;
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let request = engine.read_survey(line?.as_bytes()).map_err(|fault| format!("{fault:?}"))?;
        let (site, _) = Site::from_survey(&request.survey, &engine.catalogue, &WorkBudget::unlimited());
        let prices = Prices::of(&site, &engine.catalogue, &workbook);
        let work = WorkBudget::unlimited();
        let ways = Routing::of(&site, &engine.catalogue, prices, &work, |_| None);
        let network = ways.network().ok_or("the house is not drawn")?;
        let weights = network.weights(CableClass::Sockets);
        let graph = &network.map.graph;
        let edges: Vec<_> = graph
            .edge_references()
            .map(|edge| (edge.source().index(), edge.target().index(), weights[edge.id().index()]))
            .collect();
        let stops = sockets(&site);
        let ask = Ask {
            from: site.board,
            stops: &stops,
            topology: Topology::Ring,
            cable: CableClass::Sockets,
            explained: false,
        };
        let distances = ways.distances(ask).ok_or("an end is off the map")?;
        let row = |from: usize| (0..from).map(|to| distances.between(from, to)).collect::<Vec<_>>();
        let rows: Vec<_> = (0..distances.places()).map(row).collect();
        writeln!(out, "{}", json!({ "nodes": graph.node_count(), "edges": edges, "distances": rows }))?;
    }
    Ok(())
}

/// Every socket of the house as a stop.
fn sockets(site: &Site) -> Vec<RunStop> {
    let mut stops = Vec::new();
    for (room, plan) in site.rooms.iter().enumerate() {
        let points: Vec<StopPoint> = plan
            .points
            .iter()
            .enumerate()
            .map(|(entry, point)| StopPoint {
                place: PointPlace::Wall,
                is_switch: false,
                in_and_out: true,
                height: Metres::new(0.45),
                count: point.count,
                at: point.at,
                entry: Some(entry),
                first: 0,
            })
            .collect();
        if !points.is_empty() {
            stops.push(RunStop { room, points, share_of_walls: 1.0 });
        }
    }
    stops
}
