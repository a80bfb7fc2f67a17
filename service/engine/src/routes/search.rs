//! Least-cost search on the map's graph.
//!
//! Dijkstra's algorithm over the graph library's own storage, with what its ready-made search does not give: several
//! starting places, an early end, the way back, and arrays that are used again. The tests hold it against the
//! library's search.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::ops::ControlFlow;

use petgraph::graph::{EdgeIndex, NodeIndex, UnGraph};
use petgraph::visit::EdgeRef;

use super::prices::Cost;

/// Dearer than any way: what is closed.
pub const NEVER: Cost = 1 << 50;

/// The edges of each node of a graph side by side, in the graph's own order: a finished map is searched many times, and
/// following the graph's lists takes a third of a search.
#[derive(Debug, Clone, Default)]
pub struct Neighbours {
    first: Vec<usize>,
    edges: Vec<(EdgeIndex, NodeIndex)>,
}

impl Neighbours {
    /// Of a graph that no longer grows.
    #[must_use]
    pub fn of<N, E>(graph: &UnGraph<N, E>) -> Self {
        let mut neighbours = Self { first: vec![0], edges: Vec::with_capacity(graph.edge_count() * 2) };
        for node in graph.node_indices() {
            neighbours.edges.extend(graph.edges(node).map(|edge| (edge.id(), edge.target())));
            neighbours.first.push(neighbours.edges.len());
        }
        neighbours
    }

    fn nodes(&self) -> usize {
        self.first.len().saturating_sub(1)
    }

    fn of_node(&self, node: NodeIndex) -> &[(EdgeIndex, NodeIndex)] {
        &self.edges[self.first[node.index()]..self.first[node.index() + 1]]
    }
}

/// A node with its cost in one whole number, which compares faster than the two: the cost first.
type Waiting = u128;

fn waiting(cost: Cost, node: NodeIndex) -> Waiting {
    (Waiting::from(cost) << Cost::BITS) | node.index() as Waiting
}

/// The halves of what [`waiting`] put together.
fn no_longer(waiting: Waiting) -> (Cost, NodeIndex) {
    ((waiting >> Cost::BITS) as Cost, NodeIndex::new(waiting as usize))
}

/// How a node was reached.
#[derive(Debug, Clone, Copy)]
struct Reached {
    cost: Cost,
    by: Option<EdgeIndex>,
}

impl Reached {
    const NOT: Self = Self { cost: NEVER, by: None };
}

/// The outcome of one search, and its working memory for the next.
#[derive(Debug, Clone, Default)]
pub struct Search {
    reached: Vec<Reached>,
    touched: Vec<NodeIndex>,
    heap: BinaryHeap<Reverse<Waiting>>,
}

impl Search {
    /// Searches from places that each have a cost already, at the weight of each edge, until `settled` says that it has
    /// seen enough. An edge without a weight is closed. Of two ways that cost the same, the one found first stays.
    pub fn explore(
        &mut self,
        neighbours: &Neighbours,
        weight: impl Fn(EdgeIndex) -> Option<Cost>,
        sources: impl Iterator<Item = (NodeIndex, Cost)>,
        mut settled: impl FnMut(NodeIndex, Cost) -> ControlFlow<()>,
    ) {
        self.clear(neighbours.nodes());
        for (node, cost) in sources {
            self.reach(node, cost, None);
        }
        while let Some(Reverse(next)) = self.heap.pop() {
            let (cost, node) = no_longer(next);
            if cost > self.reached[node.index()].cost {
                continue;
            }
            if settled(node, cost).is_break() {
                break;
            }
            for (edge, target) in neighbours.of_node(node) {
                if let Some(weight) = weight(*edge) {
                    self.reach(*target, cost.saturating_add(weight), Some(*edge));
                }
            }
        }
    }

    fn clear(&mut self, nodes: usize) {
        for node in self.touched.drain(..) {
            self.reached[node.index()] = Reached::NOT;
        }
        self.reached.resize(nodes, Reached::NOT);
        self.heap.clear();
    }

    fn reach(&mut self, node: NodeIndex, cost: Cost, by: Option<EdgeIndex>) {
        let reached = &mut self.reached[node.index()];
        if cost < reached.cost {
            if reached.cost == NEVER {
                self.touched.push(node);
            }
            *reached = Reached { cost, by };
            self.heap.push(Reverse(waiting(cost, node)));
        }
    }

    /// The least cost to a node; [`NEVER`] or more if there is no way.
    #[must_use]
    pub fn distance(&self, node: NodeIndex) -> Cost {
        self.reached[node.index()].cost
    }

    /// The way to a node: where it starts, and its edges from there.
    #[must_use]
    pub fn way<N, E>(&self, graph: &UnGraph<N, E>, to: NodeIndex) -> (NodeIndex, Vec<EdgeIndex>) {
        let mut way = Vec::new();
        let mut here = to;
        while let Some(edge) = self.reached[here.index()].by {
            way.push(edge);
            let Some((one, other)) = graph.edge_endpoints(edge) else { break };
            here = if one == here { other } else { one };
        }
        way.reverse();
        (here, way)
    }
}
