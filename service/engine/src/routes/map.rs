//! The map of a house: every void, wall face and outside wall as a [`Bay`], and every way from one to another as a
//! [`Link`] of a graph.
//!
//! A bay is what a cable can lie in without passing a wall: the void under a room's floor, the void over a ceiling that
//! no room stands on, the foot of a room's walls, the outside wall of a storey. In voids metres are counted along the
//! building's axes, along walls by the way round. Bays meet at [`Gate`]s (through a shared wall, at the cost of a
//! hole) and at [`Riser`]s (up a corner of a room, where a concealed cable is allowed without an accessory). What is
//! opened once and shared, such as a lifted floor or a drilled wall, is an entry of [`Map::openings`].
//!
//! The graph grows with the rooms: a bay joins all its nodes where they are few and only neighbours where they are many.

use std::collections::BTreeMap;

use petgraph::graph::{EdgeIndex, NodeIndex, UnGraph};

use super::Opening;
use crate::geometry::{Edge, Shape};
use crate::site::RoomIndex;
use crate::survey::{Medium, ObstructionType, Position};
use crate::unit_rates::{Rate, Void};
use crate::work::{WorkBudget, WorkPart};

/// A bay by its place in [`Map::bays`].
pub type BayIndex = usize;

/// What kind of bay it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BayKind {
    /// Under the floor of its room.
    Below,
    /// Over the ceiling of its room, where no room stands on it.
    Above,
    /// Along the foot of the walls of its room.
    Surface,
    /// Along the outside wall of a storey.
    External,
}

/// Where a cable can lie without passing a wall.
#[derive(Debug, Clone)]
pub struct Bay {
    /// The kind.
    pub kind: BayKind,
    /// The room that it belongs to: whose floor is lifted, whose ceiling is fished, whose walls are used.
    pub room: RoomIndex,
    /// The level of the storey that a plan shows it on.
    pub level: i8,
    /// Its height above the floor of that level, in metres.
    pub height: f64,
    /// The medium.
    pub medium: Medium,
    /// How it is to work in.
    pub void: Void,
    /// Its outline: moves along the axes inside of it, or round it for bays along walls.
    pub outline: Shape,
    /// What has to be opened to get at it.
    pub opening: Option<OpeningIndex>,
    /// Whether a cable in it is seen by people who did not ask for that.
    pub exposed: bool,
    /// Things in the way, as lines on plan.
    pub in_the_way: Vec<InTheWay>,
    nodes: Vec<NodeIndex>,
}

/// Something in the way of one bay.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InTheWay {
    /// What.
    pub what: ObstructionType,
    /// Its line on plan.
    pub line: Edge,
}

/// A thing that is opened once and then shared, by its place in [`Map::openings`].
pub type OpeningIndex = usize;

/// A thing that is opened once and then shared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpeningPlan {
    /// What it is.
    pub opening: Opening,
    /// What it costs.
    pub rate: Rate,
}

/// A way through a shared wall or from one void into the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gate {
    /// The bays on both sides.
    pub bays: [BayIndex; 2],
    /// The stretch of wall.
    pub stretch: Edge,
    /// The hole, where one has to be made.
    pub opening: Option<OpeningIndex>,
    /// What is in the way right in the wall.
    pub blocked: Option<ObstructionType>,
}

/// A way up or down a corner of a room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Riser {
    /// The room.
    pub room: RoomIndex,
    /// Lower and upper bay.
    pub bays: [BayIndex; 2],
    /// Where.
    pub at: Position,
    /// How far up.
    pub metres: f64,
    /// The chase or the drilled plates.
    pub opening: Option<OpeningIndex>,
}

/// A node of the graph: a place in a bay.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Node {
    /// The bay.
    pub bay: BayIndex,
    /// The place.
    pub at: Position,
}

/// An edge of the graph.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Link {
    /// From place to place in a bay.
    Along {
        /// The bay.
        bay: BayIndex,
        /// Plan metres, without bends.
        metres: f64,
        /// What is in the way.
        blocked: Option<ObstructionType>,
    },
    /// Through a gate, by its place in [`Map::gates`].
    Through(usize),
    /// Up or down a riser, by its place in [`Map::risers`].
    Up(usize),
}

/// The bays of one room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct RoomBays {
    /// Under its floor.
    pub below: Option<BayIndex>,
    /// Over its ceiling, where no room stands on it.
    pub above: Option<BayIndex>,
    /// Along its walls.
    pub surface: Option<BayIndex>,
}

/// The map of a house.
#[derive(Debug, Clone, Default)]
pub struct Map {
    /// The bays.
    pub bays: Vec<Bay>,
    /// The gates.
    pub gates: Vec<Gate>,
    /// The risers.
    pub risers: Vec<Riser>,
    /// What can be opened once and shared.
    pub openings: Vec<OpeningPlan>,
    /// The bays of each room.
    pub rooms: Vec<RoomBays>,
    /// The graph.
    pub graph: UnGraph<Node, Link>,
    known: BTreeMap<Opening, OpeningIndex>,
    media: Vec<MediumSet>,
}

/// A set of media, a bit for each.
pub type MediumSet = u32;

/// The set that holds one medium.
#[must_use]
pub const fn only(medium: Medium) -> MediumSet {
    1 << medium as u32
}

/// A bay joins all its nodes up to this many; beyond, only neighbours in both directions.
const NODES_ALL_JOINED_MAX: usize = 40;
/// Neighbours that a node of a bay with more nodes is joined with, in each direction.
const NEIGHBOURS: usize = 6;

impl Bay {
    /// Whether metres are counted round its outline instead of along the axes: on walls, but not over the joists of a loft.
    #[must_use]
    pub const fn goes_round(&self) -> bool {
        matches!(self.kind, BayKind::Surface | BayKind::External) && !matches!(self.medium, Medium::Loft)
    }

    /// What a move takes to be worked out, in steps: every thing in the way or every corner is looked at.
    #[must_use]
    pub fn steps_of_a_move(&self) -> usize {
        1 + if self.goes_round() { 4 * self.outline.corners().len() } else { self.in_the_way.len() }
    }

    /// The places that a move goes through, its ends with them.
    #[must_use]
    pub fn path(&self, from: Position, to: Position) -> Vec<Position> {
        if !self.goes_round() {
            return vec![from, self.corner(from, to).0, to];
        }
        let [one, other] = [from, to].map(|place| self.outline.nearest_on_wall(place).along);
        let round = self.outline.corners_between(one, other);
        let on_wall = [one, other].map(|along| self.outline.on_wall(along));
        [from, on_wall[0]].into_iter().chain(round).chain([on_wall[1], to]).collect()
    }

    /// Plan metres from place to place.
    #[must_use]
    pub fn metres(&self, from: Position, to: Position) -> f64 {
        if !self.goes_round() {
            return (from.x_m - to.x_m).abs() + (from.y_m - to.y_m).abs();
        }
        let round = self.outline.perimeter().value();
        let (from, to) = (self.outline.nearest_on_wall(from), self.outline.nearest_on_wall(to));
        let apart = (from.along - to.along).abs();
        apart.min(round - apart) + from.off + to.off
    }

    /// The corner of the better of the two ways along the axes: inside the bay, clear of what is in the way.
    #[must_use]
    pub fn corner(&self, from: Position, to: Position) -> (Position, Option<ObstructionType>) {
        let corners = corners(from, to);
        let judged = corners.map(|corner| {
            let blocked = self.met_by(from, corner, to);
            (corner, blocked, usize::from(blocked.is_some()) * 2 + usize::from(!self.outline.holds(corner)))
        });
        let best = if judged[1].2 < judged[0].2 { judged[1] } else { judged[0] };
        (best.0, best.1)
    }

    /// What a move by a corner meets.
    fn met_by(&self, from: Position, corner: Position, to: Position) -> Option<ObstructionType> {
        self.met(from, corner).or_else(|| self.met(corner, to))
    }

    /// What a straight move meets.
    fn met(&self, from: Position, to: Position) -> Option<ObstructionType> {
        let met = self.in_the_way.iter().find(|thing| crosses(from, to, thing.line.from, thing.line.to));
        met.map(|thing| thing.what)
    }

    /// What is in the way from place to place.
    #[must_use]
    pub fn blocked(&self, from: Position, to: Position) -> Option<ObstructionType> {
        if self.in_the_way.is_empty() || self.goes_round() {
            return None;
        }
        // A way that is clear is the better one wherever its corner is.
        let both = corners(from, to).map(|corner| self.met_by(from, corner, to));
        if both.contains(&None) { None } else { self.corner(from, to).1 }
    }

    /// Its nodes in the graph.
    #[must_use]
    pub fn nodes(&self) -> &[NodeIndex] {
        &self.nodes
    }
}

/// The two corners of a way along the axes.
const fn corners(from: Position, to: Position) -> [Position; 2] {
    [Position { x_m: to.x_m, y_m: from.y_m }, Position { x_m: from.x_m, y_m: to.y_m }]
}

/// Whether two straight stretches cross on plan, at more than a touch.
#[must_use]
pub fn crosses(a: Position, b: Position, c: Position, d: Position) -> bool {
    let side =
        |p: Position, q: Position, r: Position| (q.x_m - p.x_m) * (r.y_m - p.y_m) - (q.y_m - p.y_m) * (r.x_m - p.x_m);
    let (one, two) = (side(a, b, c), side(a, b, d));
    let (three, four) = (side(c, d, a), side(c, d, b));
    ((one > 0.0 && two < 0.0) || (one < 0.0 && two > 0.0))
        && ((three > 0.0 && four < 0.0) || (three < 0.0 && four > 0.0))
}

impl Map {
    /// Adds a bay.
    pub(super) fn add_bay(&mut self, bay: NewBay) -> BayIndex {
        let NewBay { kind, room, level, height, medium, void, outline, opening, exposed } = bay;
        let (in_the_way, nodes) = (Vec::new(), Vec::new());
        self.bays.push(Bay { kind, room, level, height, medium, void, outline, opening, exposed, in_the_way, nodes });
        self.bays.len() - 1
    }

    /// Adds something that is opened once; the same thing again is the one that is there.
    pub(super) fn add_opening(&mut self, opening: Opening, rate: Rate) -> OpeningIndex {
        let openings = &mut self.openings;
        *self.known.entry(opening).or_insert_with(|| {
            openings.push(OpeningPlan { opening, rate });
            openings.len() - 1
        })
    }

    /// The entry of something that is opened once.
    #[must_use]
    pub fn opening(&self, opening: Opening) -> Option<OpeningIndex> {
        self.known.get(&opening).copied()
    }

    fn add_node(&mut self, bay: BayIndex, at: Position) -> NodeIndex {
        let known = self.bays[bay].nodes.iter().copied().find(|node| self.graph[*node].at == at);
        known.unwrap_or_else(|| {
            let node = self.graph.add_node(Node { bay, at });
            self.bays[bay].nodes.push(node);
            node
        })
    }

    /// Adds a gate, with a way through it every few metres.
    pub(super) fn add_gate(&mut self, gate: Gate) {
        /// A shared wall has a node for each stretch of this length, in the middle of it.
        const STRETCH_M: f64 = 3.0;
        /// At most so many.
        const NODES_MAX: f64 = 3.0;
        let index = self.gates.len();
        let length = gate.stretch.length();
        let count = (length / STRETCH_M).ceil().clamp(1.0, NODES_MAX);
        let mut number = 0.0;
        while number < count {
            let at = gate.stretch.at(length * (number + 0.5) / count);
            let ends = gate.bays.map(|bay| self.add_node(bay, at));
            self.graph.add_edge(ends[0], ends[1], Link::Through(index));
            number += 1.0;
        }
        self.gates.push(gate);
    }

    /// Adds a riser.
    pub(super) fn add_riser(&mut self, riser: Riser) {
        let ends = riser.bays.map(|bay| self.add_node(bay, riser.at));
        self.graph.add_edge(ends[0], ends[1], Link::Up(self.risers.len()));
        self.risers.push(riser);
    }

    /// Joins the nodes of every bay, once all gates and risers are there.
    pub(super) fn join_bays(&mut self, work: &WorkBudget) {
        for index in 0..self.bays.len() {
            let steps = self.bays[index].steps_of_a_move();
            if !work.spend(WorkPart::Routes, (steps * self.bays[index].nodes.len()) as u64) {
                break;
            }
            for (from, to) in self.pairs(index) {
                if !work.spend(WorkPart::Routes, steps as u64) {
                    break;
                }
                let (from_at, to_at) = (self.graph[from].at, self.graph[to].at);
                let bay = &self.bays[index];
                let link = Link::Along {
                    bay: index,
                    metres: bay.metres(from_at, to_at),
                    blocked: bay.blocked(from_at, to_at),
                };
                self.graph.add_edge(from, to, link);
            }
        }
        let of = |bay: BayIndex| only(self.bays[bay].medium);
        let media = self.graph.edge_weights().map(|link| match link {
            Link::Along { bay, .. } => of(*bay),
            Link::Through(gate) => self.gates[*gate].bays.iter().fold(0, |set, bay| set | of(*bay)),
            Link::Up(riser) => self.risers[*riser].bays.iter().fold(0, |set, bay| set | of(*bay)),
        });
        self.media = media.collect();
    }

    /// The media that each edge of the graph lies in or touches.
    #[must_use]
    pub fn media(&self) -> &[MediumSet] {
        &self.media
    }

    /// Whether an edge goes straight from place to place in a bay that joins all its nodes so.
    #[must_use]
    pub fn is_direct(&self, edge: EdgeIndex) -> bool {
        let Link::Along { bay, .. } = self.graph[edge] else { return false };
        let bay = &self.bays[bay];
        !bay.goes_round() && bay.in_the_way.is_empty() && bay.nodes.len() <= NODES_ALL_JOINED_MAX
    }

    fn pairs(&self, bay: BayIndex) -> Vec<(NodeIndex, NodeIndex)> {
        let bay = &self.bays[bay];
        let mut nodes = bay.nodes.clone();
        let place = |node: &NodeIndex| self.graph[*node].at;
        if bay.goes_round() {
            // Along a wall only the next one counts: the way past it is the way to it and on.
            let mut in_order: Vec<(f64, NodeIndex)> =
                nodes.iter().map(|node| (bay.outline.along(place(node)), *node)).collect();
            in_order.sort_by(|a, b| a.0.total_cmp(&b.0));
            nodes = in_order.into_iter().map(|(_, node)| node).collect();
            let mut pairs: Vec<_> = nodes.windows(2).map(|pair| (pair[0], pair[1])).collect();
            if let (true, Some(first), Some(last)) = (nodes.len() > 2, nodes.first(), nodes.last()) {
                pairs.push((*last, *first));
            }
            return pairs;
        }
        if nodes.len() <= NODES_ALL_JOINED_MAX {
            let rest = |index: usize| nodes[index + 1..].iter().copied();
            return (0..nodes.len())
                .flat_map(|index| rest(index).map(move |to| (index, to)))
                .map(|(index, to)| (nodes[index], to))
                .collect();
        }
        let mut pairs = Vec::new();
        for by_x in [true, false] {
            let key = |node: &NodeIndex| {
                if by_x { (place(node).x_m, place(node).y_m) } else { (place(node).y_m, place(node).x_m) }
            };
            nodes.sort_by(|a, b| key(a).0.total_cmp(&key(b).0).then(key(a).1.total_cmp(&key(b).1)));
            for (index, from) in nodes.iter().enumerate() {
                pairs.extend(nodes[index + 1..].iter().take(NEIGHBOURS).map(|to| (*from, *to)));
            }
        }
        pairs.sort_unstable();
        pairs.dedup();
        pairs
    }
}

/// A bay to be added.
pub(super) struct NewBay {
    pub kind: BayKind,
    pub room: RoomIndex,
    pub level: i8,
    pub height: f64,
    pub medium: Medium,
    pub void: Void,
    pub outline: Shape,
    pub opening: Option<OpeningIndex>,
    pub exposed: bool,
}
