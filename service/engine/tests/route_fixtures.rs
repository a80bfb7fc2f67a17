//! Shortest paths and tours against general-purpose libraries. Source: networkx (Dijkstra) and OR-tools (CP-SAT, proven
//! optimal), by `fixtures/routes.py` on 36 houses made at random.

use std::ops::ControlFlow;
use std::sync::LazyLock;

use engine::routes::search::{Neighbours, Search};
use engine::routes::tour::{self, Distances, SearchEffort};
use engine::unit_rates::Millionths;
use engine::work::WorkBudget;
use petgraph::graph::{NodeIndex, UnGraph};
use serde::Deserialize;

#[derive(Deserialize)]
struct Fixture {
    nodes: usize,
    edges: Vec<(usize, usize, Millionths)>,
    source: usize,
    reached: Vec<Option<Millionths>>,
    distances: Vec<Vec<Millionths>>,
    ring: Millionths,
    chain: Millionths,
}

static FIXTURES: LazyLock<Vec<Fixture>> =
    LazyLock::new(|| serde_json::from_str(include_str!("fixtures/routes.json")).expect("the fixtures are JSON"));

impl Fixture {
    fn graph(&self) -> UnGraph<(), Millionths> {
        let mut graph = UnGraph::with_capacity(self.nodes, self.edges.len());
        (0..self.nodes).for_each(|_| {
            graph.add_node(());
        });
        for (from, to, weight) in &self.edges {
            graph.add_edge(NodeIndex::new(*from), NodeIndex::new(*to), *weight);
        }
        graph
    }

    fn distances(&self) -> Distances {
        Distances::of(self.distances.len(), |from, to| self.distances[from.max(to)][from.min(to)])
    }

    fn stops(&self) -> usize {
        self.distances.len() - 1
    }
}

#[test]
fn there_are_at_least_thirty_houses_with_five_to_forty_stops() {
    assert!(FIXTURES.len() >= 30);
    let stops = FIXTURES.iter().map(Fixture::stops);
    assert_eq!((stops.clone().min(), stops.max()), (Some(5), Some(40)));
}

#[test]
fn the_cheapest_ways_are_those_that_networkx_finds() {
    for fixture in &*FIXTURES {
        let graph = fixture.graph();
        let mut search = Search::default();
        let source = NodeIndex::new(fixture.source);
        search.explore(
            &Neighbours::of(&graph, |_| false),
            |edge| Some(graph[edge]),
            std::iter::once((source, 0)),
            |_, _| ControlFlow::Continue(engine::routes::search::NEVER),
        );

        for (node, reached) in fixture.reached.iter().enumerate() {
            let node = NodeIndex::new(node);
            assert_eq!(search.distance(node), reached.unwrap_or(engine::routes::search::NEVER));
            if reached.is_some() {
                let (start, way) = search.way(&graph, node);
                assert_eq!(start, source);
                assert_eq!(way.iter().map(|edge| graph[*edge]).sum::<Millionths>(), search.distance(node));
            }
        }
    }
}

/// How much dearer than the optimum a tour is.
fn over(cost: Millionths, optimum: Millionths) -> f64 {
    cost as f64 / optimum as f64 - 1.0
}

#[test]
fn rings_are_within_two_percent_of_the_proven_optimum() {
    for fixture in &*FIXTURES {
        let distances = fixture.distances();
        let order = tour::ring(&distances, SearchEffort::Full, &WorkBudget::unlimited());
        let over = over(distances.along(&order, true), fixture.ring);
        assert!((0.0..=0.02).contains(&over), "{} stops: {:.2} % over", fixture.stops(), over * 100.0);
    }
}

#[test]
fn radials_are_within_two_percent_of_the_proven_optimum() {
    for fixture in &*FIXTURES {
        let distances = fixture.distances();
        let order = tour::chain(&distances, SearchEffort::Full, &WorkBudget::unlimited());
        let over = over(distances.along(&order, false), fixture.chain);
        assert!((0.0..=0.02).contains(&over), "{} stops: {:.2} % over", fixture.stops(), over * 100.0);
    }
}

/// Source: the graph library's own minimum spanning tree (Kruskal) on the same distances.
#[test]
fn trees_are_the_least_there_are() {
    use petgraph::algo::min_spanning_tree;
    use petgraph::data::FromElements;
    for fixture in &*FIXTURES {
        let distances = fixture.distances();
        let mut whole: UnGraph<(), Millionths> = UnGraph::default();
        let nodes: Vec<NodeIndex> = (0..distances.places()).map(|_| whole.add_node(())).collect();
        for from in 0..nodes.len() {
            for to in from + 1..nodes.len() {
                whole.add_edge(nodes[from], nodes[to], distances.between(from, to));
            }
        }
        let least: UnGraph<(), Millionths> = UnGraph::from_elements(min_spanning_tree(&whole));
        let cost: Millionths = tour::tree(&distances).iter().map(|(place, on)| distances.between(*place, *on)).sum();
        assert_eq!(cost, least.edge_weights().sum::<Millionths>());
    }
}
