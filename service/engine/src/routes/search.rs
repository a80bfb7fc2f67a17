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

/// The outcome of one search, and its working memory for the next.
#[derive(Debug, Clone, Default)]
pub struct Search {
    distance: Vec<Cost>,
    before: Vec<Option<EdgeIndex>>,
    touched: Vec<NodeIndex>,
    heap: BinaryHeap<Reverse<(Cost, NodeIndex)>>,
}

impl Search {
    /// Searches from places that each have a cost already, at the weight of each edge, until `settled` says that it has
    /// seen enough. An edge without a weight is closed. Of two ways that cost the same, the one found first stays.
    pub fn explore<N, E>(
        &mut self,
        graph: &UnGraph<N, E>,
        weight: impl Fn(EdgeIndex) -> Option<Cost>,
        sources: impl Iterator<Item = (NodeIndex, Cost)>,
        mut settled: impl FnMut(NodeIndex, Cost) -> ControlFlow<()>,
    ) {
        self.clear(graph.node_count());
        for (node, cost) in sources {
            self.reach(node, cost, None);
        }
        while let Some(Reverse((cost, node))) = self.heap.pop() {
            if cost > self.distance[node.index()] {
                continue;
            }
            if settled(node, cost).is_break() {
                break;
            }
            for edge in graph.edges(node) {
                if let Some(weight) = weight(edge.id()) {
                    self.reach(edge.target(), cost.saturating_add(weight), Some(edge.id()));
                }
            }
        }
    }

    fn clear(&mut self, nodes: usize) {
        for node in self.touched.drain(..) {
            self.distance[node.index()] = NEVER;
            self.before[node.index()] = None;
        }
        self.distance.resize(nodes, NEVER);
        self.before.resize(nodes, None);
        self.heap.clear();
    }

    fn reach(&mut self, node: NodeIndex, cost: Cost, by: Option<EdgeIndex>) {
        if cost < self.distance[node.index()] {
            self.distance[node.index()] = cost;
            self.before[node.index()] = by;
            self.touched.push(node);
            self.heap.push(Reverse((cost, node)));
        }
    }

    /// The least cost to a node; [`NEVER`] or more if there is no way.
    #[must_use]
    pub fn distance(&self, node: NodeIndex) -> Cost {
        self.distance[node.index()]
    }

    /// The way to a node: where it starts, and its edges from there.
    #[must_use]
    pub fn way<N, E>(&self, graph: &UnGraph<N, E>, to: NodeIndex) -> (NodeIndex, Vec<EdgeIndex>) {
        let mut way = Vec::new();
        let mut here = to;
        while let Some(edge) = self.before[here.index()] {
            way.push(edge);
            let Some((one, other)) = graph.edge_endpoints(edge) else { break };
            here = if one == here { other } else { one };
        }
        way.reverse();
        (here, way)
    }
}
