//! The map of a house: every void, wall face and outside wall as a [`Bay`], and every way from one to another as a
//! [`Link`] of a graph.
//!
//! A bay is what a cable can lie in without passing a wall: the void under a room's floor, the void over a ceiling that
//! no room stands on, the foot of a room's walls, their head where the ceiling has no void, the outside wall of a storey. In voids metres are counted along the
//! building's axes, along walls by the way round. Bays meet at [`Gate`]s (through a shared wall, at the cost of a
//! hole) and at [`Riser`]s (up a corner of a room, where a concealed cable is allowed without an accessory). What is
//! opened once and shared, such as a lifted floor or a drilled wall, is an entry of [`Map::openings`].
//!
//! The graph grows with the rooms: a bay joins all its nodes where they are few and only neighbours where they are many.

use std::collections::BTreeMap;

use petgraph::graph::{EdgeIndex, NodeIndex, UnGraph};

use super::Opening;
use super::obstacles::{BayPiece, Crossed, Field, Measured, Obstacle, RecordedObstacles, corners, cut};
use crate::geometry::{Edge, OFF_ITS_WALL_M_MAX, OnWall, Shape, straight};
use crate::site::RoomIndex;
use crate::survey::{Medium, Position};
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
    /// Along the head of these walls, under a ceiling without a void.
    Head,
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
    /// What stands in it, with the ways past that.
    pub field: Option<Box<Field>>,
    nodes: Vec<NodeIndex>,
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
    /// Where a cable leaves each of them: the same stretch of wall, but for what is gone over in it.
    pub stretches: [Edge; 2],
    /// The hole, where one has to be made.
    pub opening: Option<OpeningIndex>,
    /// What stands in the wall and is gone straight over.
    pub over: Option<Obstacle>,
}

impl Gate {
    /// A way through a stretch of wall with nothing in it.
    #[must_use]
    pub const fn free(bays: [BayIndex; 2], stretch: Edge, opening: Option<OpeningIndex>) -> Self {
        Self { bays, stretches: [stretch; 2], opening, over: None }
    }

    /// Where a cable that stands at `here` leaves one bay, and where it comes into the other.
    #[must_use]
    pub fn places(&self, leaving: BayIndex, here: Position) -> (Position, Position) {
        let [one, other] = self.stretches;
        let (near, far) = if leaving == self.bays[0] { (one, other) } else { (other, one) };
        let along = near.nearest(here);
        (near.at(along), far.at(along))
    }

    /// Metres from one side to the other.
    #[must_use]
    pub fn metres(&self) -> f64 {
        straight(self.stretches[0].from, self.stretches[1].from)
    }
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
        /// Plan metres, without bends, and what is gone over.
        measured: Measured,
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
    /// Along the foot of its walls.
    pub surface: Option<BayIndex>,
    /// Along the head of its walls, where its ceiling has no void over it.
    pub head: Option<BayIndex>,
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
    /// What was recorded to stand in the way.
    pub recorded: RecordedObstacles,
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
        matches!(self.kind, BayKind::Surface | BayKind::Head | BayKind::External)
            && !matches!(self.medium, Medium::Loft)
    }

    /// What a move takes to be worked out, in steps: every thing in the way or every corner is looked at.
    #[must_use]
    pub fn steps_of_a_move(&self) -> usize {
        let feet = if self.kind == BayKind::Head { 4 } else { 1 };
        let round = if self.goes_round() { 4 * feet * self.outline.corners().len() } else { 0 };
        1 + round + self.field.as_ref().map_or(0, |field| field.steps_of_a_move())
    }

    /// The way from place to place, piece by piece: what it goes over is a piece of its own.
    #[must_use]
    pub fn lie(&self, from: Position, to: Position) -> Vec<BayPiece> {
        match &self.field {
            Some(_) if self.goes_round() => self.round(from, to),
            Some(field) => field.lie(from, to, &self.outline),
            None => {
                let metres = self.measure(from, to).metres;
                vec![BayPiece { places: self.path(from, to), metres, over: None }]
            }
        }
    }

    /// Plan metres from place to place, and what is gone over.
    #[must_use]
    pub fn measure(&self, from: Position, to: Position) -> Measured {
        let crossed = Crossed::default();
        if !self.goes_round() {
            return match &self.field {
                Some(field) => field.measure(from, to, &self.outline),
                None => Measured { metres: (from.x_m - to.x_m).abs() + (from.y_m - to.y_m).abs(), crossed },
            };
        }
        if self.field.is_some() {
            let pieces = self.round(from, to);
            let over = pieces.iter().filter_map(|piece| piece.over).map(Crossed::one);
            let crossed = over.fold(crossed, |sum, one| Crossed {
                structure: sum.structure + one.structure,
                others: sum.others + one.others,
            });
            return Measured { metres: pieces.iter().map(|piece| piece.metres).sum(), crossed };
        }
        Measured { metres: self.feet(from, to).metres, crossed }
    }

    /// By which places on the walls one goes from place to place. At the foot of the walls by the nearest; under a ceiling by
    /// those straight across from either place that make the way shortest, and from lamp to lamp across the ceiling where that
    /// is shorter still.
    fn feet(&self, from: Position, to: Position) -> WayRound {
        let perimeter = self.outline.perimeter().value();
        let by = |one: OnWall, other: OnWall| {
            let apart = (one.along - other.along).abs();
            WayRound {
                metres: apart.min(perimeter - apart) + one.off + other.off,
                feet: Some([one.along, other.along]),
            }
        };
        let nearest = [from, to].map(|place| self.outline.nearest_on_wall(place));
        let best = by(nearest[0], nearest[1]);
        let on_the_walls = nearest.iter().all(|foot| foot.off <= OFF_ITS_WALL_M_MAX);
        if self.kind != BayKind::Head || on_the_walls {
            return best;
        }
        let [ones, others] = [from, to].map(|place| self.outline.straight_across(place));
        let pairs = ones.iter().flat_map(|one| others.iter().map(move |other| by(*one, *other)));
        let best = pairs.fold(best, |best, way| if way.metres < best.metres { way } else { best });
        let across = (from.x_m - to.x_m).abs() + (from.y_m - to.y_m).abs();
        let both_are_lamps = nearest.iter().all(|foot| foot.off > OFF_ITS_WALL_M_MAX);
        let is_clear = both_are_lamps && self.outline.holds(self.corner(from, to));
        if is_clear && across < best.metres { WayRound { metres: across, feet: None } } else { best }
    }

    /// The places of a way with nothing in it: by one corner, or the shorter way round the walls.
    fn path(&self, from: Position, to: Position) -> Vec<Position> {
        if !self.goes_round() {
            return vec![from, self.corner(from, to), to];
        }
        let Some([one, other]) = self.feet(from, to).feet else { return vec![from, self.corner(from, to), to] };
        self.by_the_corners((from, one), (to, other), self.outline.corners_between(one, other))
    }

    fn by_the_corners(&self, from: (Position, f64), to: (Position, f64), corners: Vec<Position>) -> Vec<Position> {
        let on_wall = [from.1, to.1].map(|along| self.outline.on_wall(along));
        [from.0, on_wall[0]].into_iter().chain(corners).chain([on_wall[1], to.0]).collect()
    }

    /// Round the walls: of the two ways the one that goes over less, then the shorter.
    fn round(&self, from: Position, to: Position) -> Vec<BayPiece> {
        let footprints = self.field.as_ref().map_or(&[][..], |field| field.footprints());
        let Some([one, other]) = self.feet(from, to).feet else {
            return cut(&[from, self.corner(from, to), to], footprints);
        };
        let [forwards, backwards] = [true, false].map(|forwards| {
            let corners = self.outline.corners_passed(one, other, forwards);
            let pieces = cut(&self.by_the_corners((from, one), (to, other), corners), footprints);
            let over = pieces.iter().filter(|piece| piece.over.is_some()).count();
            (over, pieces.iter().map(|piece| piece.metres).sum::<f64>(), pieces)
        });
        if (backwards.0, backwards.1) < (forwards.0, forwards.1) { backwards.2 } else { forwards.2 }
    }

    /// The corner of a way along the axes: the one that lies in the bay.
    fn corner(&self, from: Position, to: Position) -> Position {
        let [one, other] = corners(from, to);
        if !self.outline.holds(one) && self.outline.holds(other) { other } else { one }
    }

    /// Its nodes in the graph.
    #[must_use]
    pub fn nodes(&self) -> &[NodeIndex] {
        &self.nodes
    }
}

/// A way along walls.
struct WayRound {
    metres: f64,
    /// How far round the walls it comes to them and leaves them; none straight across a ceiling.
    feet: Option<[f64; 2]>,
}

impl Map {
    /// Adds a bay.
    pub(super) fn add_bay(&mut self, bay: NewBay) -> BayIndex {
        let NewBay { kind, room, level, height, medium, void, outline, opening, exposed } = bay;
        let (field, nodes) = (None, Vec::new());
        self.bays.push(Bay { kind, room, level, height, medium, void, outline, opening, exposed, field, nodes });
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
        let length = gate.stretches[0].length();
        let count = (length / STRETCH_M).ceil().clamp(1.0, NODES_MAX);
        let mut number = 0.0;
        while number < count {
            let along = length * (number + 0.5) / count;
            let ends = [0, 1].map(|side| self.add_node(gate.bays[side], gate.stretches[side].at(along)));
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
                let link = Link::Along { bay: index, measured: bay.measure(from_at, to_at) };
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
        !bay.goes_round() && bay.field.is_none() && bay.nodes.len() <= NODES_ALL_JOINED_MAX
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
