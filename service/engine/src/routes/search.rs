//! Least-cost search on the map's graph.
//!
//! Dijkstra's algorithm over the graph library's own storage, with what its ready-made search does not give: several
//! starting places, an early end, the way back, and arrays that are used again. The tests hold it against the
//! library's search.

use crate::unit_rates::{MILLIONTHS_MAX, Millionths};
use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::ops::ControlFlow;

use petgraph::graph::{EdgeIndex, NodeIndex, UnGraph};
use petgraph::visit::EdgeRef;

/// Dearer than any way: what is closed.
pub const NEVER: Millionths = MILLIONTHS_MAX;

/// The edges of each node of a graph side by side, in the graph's own order: a finished map is searched many times, and
/// following the graph's lists takes a third of a search.
///
/// Direct edges are those that join each two nodes of a group at what it costs to go straight from one to the other: two of
/// them in a row are never cheaper than one, so a way that came by one goes on by the others alone.
#[derive(Debug, Clone, Default)]
pub struct Neighbours {
    /// Where each node's edges begin, and where its direct ones do.
    first: Vec<(usize, usize)>,
    edges: Vec<(EdgeIndex, NodeIndex)>,
}

impl Neighbours {
    /// Of a graph that no longer grows.
    #[must_use]
    pub fn of<N, E>(graph: &UnGraph<N, E>, is_direct: impl Fn(EdgeIndex) -> bool) -> Self {
        let mut neighbours = Self {
            first: Vec::with_capacity(graph.node_count() + 1),
            edges: Vec::with_capacity(graph.edge_count() * 2),
        };
        for node in graph.node_indices() {
            let edges = || graph.edges(node).map(|edge| (edge.id(), edge.target()));
            let begins = neighbours.edges.len();
            neighbours.edges.extend(edges().filter(|(edge, _)| !is_direct(*edge)));
            neighbours.first.push((begins, neighbours.edges.len()));
            neighbours.edges.extend(edges().filter(|(edge, _)| is_direct(*edge)));
        }
        neighbours.first.push((neighbours.edges.len(), neighbours.edges.len()));
        neighbours
    }

    fn nodes(&self) -> usize {
        self.first.len().saturating_sub(1)
    }

    /// The edges of a node, the direct ones last.
    fn of_node(&self, node: NodeIndex) -> &[(EdgeIndex, NodeIndex)] {
        &self.edges[self.first[node.index()].0..self.first[node.index() + 1].0]
    }

    /// How many of them are not direct.
    fn others(&self, node: NodeIndex) -> usize {
        let (begins, direct) = self.first[node.index()];
        direct - begins
    }
}

/// A node with its cost in one whole number, which compares faster than the two: the cost first.
type QueuedNode = u64;

/// How many of a [`QueuedNode`]'s bits a node takes, and so how many are left for its cost.
#[derive(Debug, Clone, Copy, Default)]
struct Packing {
    node_bits: u32,
}

impl Packing {
    /// Of a graph of so many nodes: up to 16,384 of them leave room for every cost under [`NEVER`].
    const fn of(nodes: usize) -> Self {
        Self { node_bits: usize::BITS - nodes.leading_zeros() }
    }

    /// What is as dear as this is too dear to go on from.
    const fn never(self) -> Millionths {
        if self.node_bits + NEVER.ilog2() <= QueuedNode::BITS {
            NEVER
        } else {
            1 << (QueuedNode::BITS - self.node_bits)
        }
    }

    fn waiting(self, cost: Millionths, node: NodeIndex) -> QueuedNode {
        cost << self.node_bits | node.index() as QueuedNode
    }

    /// The halves of what [`Packing::waiting`] put together.
    fn no_longer(self, waiting: QueuedNode) -> (Millionths, NodeIndex) {
        let nodes = (1 << self.node_bits) - 1;
        (waiting >> self.node_bits, NodeIndex::new((waiting & nodes) as usize))
    }
}

/// How a node was reached.
#[derive(Debug, Clone, Copy)]
struct Reached {
    cost: Millionths,
    by: Option<EdgeIndex>,
    /// Whether that is a place where the search began, or it came there by a direct edge.
    directly: bool,
}

impl Reached {
    const NOT: Self = Self { cost: NEVER, by: None, directly: false };
}

/// What a node that is settled takes, in edges looked at.
const STEPS_OF_A_NODE: u64 = 4;

/// The outcome of one search, and its working memory for the next.
#[derive(Debug, Clone, Default)]
pub struct Search {
    reached: Vec<Reached>,
    touched: Vec<NodeIndex>,
    heap: BinaryHeap<Reverse<QueuedNode>>,
    packing: Packing,
}

impl Search {
    /// Searches from places that each have a cost already, at the weight of each edge, until `settled` says that it has
    /// seen enough; until then it says what a place may cost at most to be of use. An edge without a weight is closed. Of two ways that cost the same, the one found first stays. Where a
    /// place has direct edges, all of its group are places to start from, each at its own cost. Gives the edges that were
    /// looked at, and a few for each node: the steps of work that it took.
    pub fn explore(
        &mut self,
        neighbours: &Neighbours,
        weight: impl Fn(EdgeIndex) -> Option<Millionths>,
        sources: impl Iterator<Item = (NodeIndex, Millionths)>,
        mut settled: impl FnMut(NodeIndex, Millionths) -> ControlFlow<(), Millionths>,
    ) -> u64 {
        let mut steps = 0;
        self.clear(neighbours.nodes());
        for (node, cost) in sources {
            self.reach(node, Reached { cost, by: None, directly: true });
        }
        while let Some(Reverse(next)) = self.heap.pop() {
            let (cost, node) = self.packing.no_longer(next);
            let reached = self.reached[node.index()];
            if cost > reached.cost {
                continue;
            }
            let ControlFlow::Continue(most) = settled(node, cost) else { break };
            let (edges, others) = (neighbours.of_node(node), neighbours.others(node));
            let goes_on = if reached.directly { &edges[..others] } else { edges };
            steps += STEPS_OF_A_NODE + goes_on.len() as u64;
            for (index, (edge, target)) in goes_on.iter().enumerate() {
                if let Some(weight) = weight(*edge) {
                    let cost = cost.saturating_add(weight);
                    if cost <= most {
                        self.reach(*target, Reached { cost, by: Some(*edge), directly: index >= others });
                    }
                }
            }
        }
        steps
    }

    fn clear(&mut self, nodes: usize) {
        for node in self.touched.drain(..) {
            self.reached[node.index()] = Reached::NOT;
        }
        self.reached.resize(nodes, Reached::NOT);
        self.packing = Packing::of(nodes);
        self.heap.clear();
    }

    fn reach(&mut self, node: NodeIndex, so: Reached) {
        let reached = &mut self.reached[node.index()];
        if so.cost < reached.cost && so.cost < self.packing.never() {
            if reached.cost == NEVER {
                self.touched.push(node);
            }
            *reached = so;
            self.heap.push(Reverse(self.packing.waiting(so.cost, node)));
        }
    }

    /// The least cost to a node; [`NEVER`] or more if there is no way.
    #[must_use]
    pub fn distance(&self, node: NodeIndex) -> Millionths {
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
