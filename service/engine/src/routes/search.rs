//! Least-cost search on the map's graph.
//!
//! Dijkstra's algorithm over the graph library's own storage, with what its ready-made search does not give: several
//! starting places, an early end, the way back, and arrays that are used again. The tests hold it against the
//! library's search.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::ops::ControlFlow;

use petgraph::graph::{EdgeIndex, NodeIndex};
use petgraph::visit::EdgeRef;

use super::map::{Map, MediumSet};
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
    /// Searches from places that each have a cost already, at the weight of each edge and round the media that are
    /// closed, until `settled` says that it has seen enough. Of two ways that cost the same, the one through the earlier edge stays.
    pub fn explore(
        &mut self,
        map: &Map,
        (weights, closed): (&[Cost], MediumSet),
        sources: impl Iterator<Item = (NodeIndex, Cost)>,
        mut settled: impl FnMut(NodeIndex, Cost) -> ControlFlow<()>,
    ) {
        self.clear(map.graph.node_count());
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
            for edge in map.graph.edges(node) {
                if map.media(edge.id()) & closed != 0 {
                    continue;
                }
                let next = cost.saturating_add(weights[edge.id().index()]);
                self.reach(edge.target(), next, Some(edge.id()));
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
    pub fn way(&self, map: &Map, to: NodeIndex) -> (NodeIndex, Vec<EdgeIndex>) {
        let mut way = Vec::new();
        let mut here = to;
        while let Some(edge) = self.before[here.index()] {
            way.push(edge);
            let Some((one, other)) = map.graph.edge_endpoints(edge) else { break };
            here = if one == here { other } else { one };
        }
        way.reverse();
        (here, way)
    }
}
