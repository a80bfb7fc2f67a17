//! The map with its prices: what a move, a gate and a riser cost a cable now, and the ways from bay to bay.

mod paths;

pub use paths::Arrival;

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::EdgeIndex;

use super::map::{BayIndex, Gate, Link, Map, MediumSet, OpeningIndex, only};
use super::obstacles::{Crossed, Measured, Obstacle};
use super::search::{NEVER, Neighbours, Search};
use super::survey_map::{self, riser_cable};
use super::{BENDS, OBSTRUCTED_M};
use crate::catalogue::{CableClass, Catalogue};
use crate::geometry::straight;
use crate::site::{Patches, RoomIndex, Site};
use crate::survey::{Medium, Obstruction, Position};
use crate::unit_rates::{Millionths, Prices, Rate, Void, is_drawn};
use crate::work::{WorkBudget, WorkPart};

/// What it is worth not to show a cable in a room that was not meant for it: any hidden way goes before. In millionths;
/// it steers the search and is never part of a price. Common practice, no source.
const SHOWN: Millionths = 1_000_000_000;
/// The same for a way past something that must not be drilled.
const PAST_STRUCTURE: Millionths = 200_000_000;

/// What an edge of the map takes to be drawn and weighed, in steps.
const STEPS_OF_AN_EDGE: usize = 4;

/// How a cable comes to a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Approach {
    /// Up from the void under the floor.
    Rise,
    /// Down from the void over the ceiling.
    Drop,
    /// Along the foot of the wall, for all to see; in an outbuilding at the height of its outlets.
    Foot,
}

impl Approach {
    /// All of them, the least visible first.
    pub const ALL: [Self; 3] = [Self::Rise, Self::Drop, Self::Foot];
}

/// The end of a cable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// The room whose wall it is on.
    pub room: RoomIndex,
    /// Where on plan, on the inner face of the wall.
    pub at: Position,
    /// Where its box stands: the same place, or that on the outer face.
    pub stands: Position,
    /// Its centre above the floor.
    pub height: f64,
    /// The bay that it is reached from.
    pub bay: BayIndex,
    /// Up or down the wall between the two.
    pub vertical: f64,
    /// Whether it is on the outside of the wall.
    pub outside: bool,
    /// Whether the wall must be left alone, so that the cable goes up or down on it in trunking.
    pub on_the_face: bool,
    /// What stands where it goes up or down, where no way beside it was found.
    pub through: Option<Obstacle>,
}

/// A way out of a bay.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// Through a gate.
    Gate(usize),
    /// Up or down a riser.
    Riser(usize),
}

/// The way from one bay to another.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// Where it starts.
    pub start: BayIndex,
    /// The bays that it leaves, in order, and how.
    pub exits: Vec<(BayIndex, Exit)>,
    /// Where it ends.
    pub end: BayIndex,
    /// What its gates and risers cost.
    pub fixed: Millionths,
}

/// What a run is laid with: its cable, the weights of the graph for it, and what is closed to it.
#[derive(Debug, Clone, Copy)]
pub struct View<'v> {
    /// The cable.
    pub cable: CableClass,
    /// The weight of each edge.
    pub weights: &'v [Millionths],
    /// The ways from the board with these weights, if they are known.
    pub home: Option<&'v Search>,
    /// A medium that is closed, for the next best way.
    pub closed: Option<Medium>,
    /// Whether it keeps low and on the surface: no void is open to it.
    pub low: bool,
}

/// What an armoured cable does not go through: voids over ceilings and under lifted floors.
const VOIDS: MediumSet = only(Medium::CeilingVoid) | only(Medium::FloorVoid) | only(Medium::Loft);

impl View<'_> {
    /// What is closed, as a set.
    fn closed_set(&self) -> MediumSet {
        self.closed.map_or(0, only) | if self.low { VOIDS } else { 0 }
    }

    /// Whether a bay is closed.
    #[must_use]
    pub fn is_closed(&self, network: &Network<'_>, bay: BayIndex) -> bool {
        self.closed_set() & only(network.map.bays[bay].medium) != 0
    }
}

/// The map of a measured house with its prices.
#[derive(Debug, Clone)]
pub struct Network<'a> {
    /// The house.
    pub site: &'a Site,
    /// The map.
    pub map: Map,
    /// The prices.
    pub prices: Prices,
    /// What each opening costs a cable: nothing where others have opened it.
    pub state: Vec<Millionths>,
    /// The bays that the board is reached from.
    board: Vec<(BayIndex, f64)>,
    neighbours: Neighbours,
    patches: Patches,
    /// The weight of each edge for each class of cable.
    weights: Vec<Vec<Millionths>>,
    /// The edges that lead from bay to bay: only their weights go by what is open.
    exits: Vec<EdgeIndex>,
    /// From the board to everywhere, for each class of cable.
    home: Vec<Search>,
    /// The same with one medium closed.
    without: BTreeMap<(CableClass, Medium), OnceCell<Search>>,
    /// What the searches still may take.
    pub(super) work: &'a WorkBudget,
}

impl<'a> Network<'a> {
    /// Draws the map. Absent where the house was not measured or the board has no place in it.
    pub(super) fn of(
        site: &'a Site,
        catalogue: &Catalogue,
        prices: Prices,
        obstructions: &[(Option<i8>, &Obstruction)],
        work: &'a WorkBudget,
    ) -> Option<Self> {
        if !is_drawn(site) {
            return None;
        }
        let map = survey_map::draw(site, catalogue, &prices, obstructions, work);
        let state = map.openings.iter().map(|opening| opening.rate.cost()).collect();
        let patches = Patches::of(site);
        let places = CableClass::places(prices.classes());
        let (weights, home) = (vec![Vec::new(); places], vec![Search::default(); places]);
        let neighbours = Neighbours::of(&map.graph, |edge| map.is_direct(edge));
        let without = BTreeMap::new();
        let is_exit = |edge: &EdgeIndex| !matches!(map.graph[*edge], Link::Along { .. });
        let exits = map.graph.edge_indices().filter(is_exit).collect();
        let board = Vec::new();
        work.count(WorkPart::Routes, (map.graph.edge_count() * STEPS_OF_AN_EDGE) as u64);
        let mut network =
            Self { site, map, prices, state, board, neighbours, patches, weights, exits, home, without, work };
        network.board = network.starts(site.board);
        if network.board.is_empty() {
            return None;
        }
        network.weigh();
        Some(network)
    }

    /// Works out the weight of every edge, and the ways from the board, for the openings as they are.
    pub(super) fn weigh(&mut self) {
        for cable in self.prices.classes().to_vec() {
            self.weigh_home(cable);
        }
    }

    /// The same for one class of cable only.
    pub(super) fn weigh_home(&mut self, cable: CableClass) {
        self.without.clear();
        let mut weights = std::mem::take(&mut self.weights[cable.index()]);
        if weights.is_empty() {
            weights = self.map.graph.edge_weights().map(|link| self.weight(*link, cable)).collect();
        } else {
            for edge in &self.exits {
                weights[edge.index()] = self.weight(self.map.graph[*edge], cable);
            }
        }
        self.spend(self.exits.len() * STEPS_OF_AN_EDGE);
        self.weights[cable.index()] = weights;
        let mut search = std::mem::take(&mut self.home[cable.index()]);
        let view = View { cable, weights: self.weights(cable), home: None, closed: None, low: false };
        self.explore_from(&mut search, &view, (&self.board, self.site.board.at), None);
        self.home[cable.index()] = search;
    }

    /// The weights of the edges for a class of cable, in the order of the graph's edges.
    #[must_use]
    pub fn weights(&self, cable: CableClass) -> &[Millionths] {
        &self.weights[cable.index()]
    }

    /// The weight of each edge in a view; none where it is closed.
    fn weight_in<'v>(&'v self, view: &'v View<'_>) -> impl Fn(EdgeIndex) -> Option<Millionths> + 'v {
        let (closed, media, weights) = (view.closed_set(), self.map.media(), view.weights);
        move |edge| (media[edge.index()] & closed == 0).then(|| weights[edge.index()])
    }

    /// All ways open.
    #[must_use]
    pub fn view(&self, cable: CableClass) -> View<'_> {
        View { cable, weights: self.weights(cable), home: Some(&self.home[cable.index()]), closed: None, low: false }
    }

    /// The ways that are low and on the surface.
    #[must_use]
    pub fn low_view(&self, cable: CableClass) -> View<'_> {
        View { home: None, low: true, ..self.view(cable) }
    }

    /// All ways open but one medium.
    #[must_use]
    pub fn view_without(&self, cable: CableClass, closed: Medium) -> View<'_> {
        let view = View { cable, weights: self.weights(cable), home: None, closed: Some(closed), low: false };
        let home = self.without.get(&(cable, closed)).map(|home| {
            home.get_or_init(|| {
                let mut search = Search::default();
                self.explore_from(&mut search, &view, (&self.board, self.site.board.at), None);
                search
            })
        });
        View { home, ..view }
    }

    /// Makes room for the ways from the board with each medium closed: they are searched when the first run asks for
    /// them, for all runs.
    pub(super) fn prepare_without(&mut self) {
        let media: BTreeSet<Medium> = self.map.bays.iter().map(|bay| bay.medium).collect();
        for cable in [CableClass::Lighting, CableClass::Sockets, CableClass::Heavy] {
            self.without.extend(media.iter().map(|closed| ((cable, *closed), OnceCell::new())));
        }
    }

    /// A metre of cable in a bay.
    #[must_use]
    pub fn bay_metre(&self, bay: BayIndex, cable: CableClass) -> Rate {
        let bay = &self.map.bays[bay];
        if self.prices.armoured() == Some(cable) {
            return self.prices.room(bay.room).metre(cable, Void::Surface, false);
        }
        let overhead = matches!(bay.medium, Medium::Loft | Medium::CeilingVoid);
        self.prices.room(bay.room).metre(cable, bay.void, overhead)
    }

    /// So many plan metres in a bay, with what they go over.
    #[must_use]
    pub fn along(&self, bay: BayIndex, cable: CableClass, measured: Measured) -> Rate {
        let metres = measured.metres * BENDS;
        let rate = self.bay_metre(bay, cable);
        let plain = rate.times(metres);
        if measured.crossed.count() == 0 {
            return plain;
        }
        plain.plus(self.over(bay, rate, measured.crossed, OBSTRUCTED_M.min(metres)))
    }

    /// What going over something adds to the metres of the way: so many metres of each go slowly, and the gap over what
    /// must not be cut has to be found.
    fn over(&self, bay: BayIndex, rate: Rate, crossed: Crossed, metres: f64) -> Rate {
        let slowed = self.slowed(rate, metres).times(f64::from(crossed.count()));
        slowed.plus(self.pass_over(bay).times(f64::from(crossed.structure)))
    }

    /// Finding the gap over or under a beam and getting a cable through.
    #[must_use]
    pub fn pass_over(&self, bay: BayIndex) -> Rate {
        self.prices.room(self.map.bays[bay].room).pass_over
    }

    /// What metres past something in the way add to the clear ones.
    #[must_use]
    pub fn slowed(&self, rate: Rate, metres: f64) -> Rate {
        let more = rate.hours * metres * (self.prices.obstruction - 1.0);
        Rate { hours: more, money: more * self.prices.hour }
    }

    /// Counts steps of the searches.
    pub(super) fn spend(&self, steps: usize) {
        self.work.count(WorkPart::Routes, steps as u64);
    }

    /// Whether the searches go on.
    #[must_use]
    pub(super) fn goes_on(&self) -> bool {
        self.work.goes_on()
    }

    /// What a move in a bay costs.
    #[must_use]
    pub fn move_cost(&self, bay: BayIndex, cable: CableClass, from: Position, to: Position) -> Millionths {
        let plan = &self.map.bays[bay];
        self.spend(plan.steps_of_a_move());
        let measured = plan.measure(from, to);
        self.along(bay, cable, measured).cost() + past(measured.crossed)
    }

    fn weight(&self, link: Link, cable: CableClass) -> Millionths {
        match link {
            Link::Along { bay, measured } => self.along(bay, cable, measured).cost() + past(measured.crossed),
            Link::Through(gate) => self.exit_cost(Exit::Gate(gate), cable),
            Link::Up(riser) => self.exit_cost(Exit::Riser(riser), cable),
        }
    }

    /// What going over what stands in a gate costs.
    fn gate_over(&self, gate: &Gate, cable: CableClass) -> Millionths {
        let Some(obstacle) = gate.over else { return 0 };
        let crossed = Crossed::one(obstacle);
        let rate = self.bay_metre(gate.bays[0], cable);
        let over = self.over(gate.bays[0], rate, crossed, OBSTRUCTED_M);
        rate.times(gate.metres() * BENDS).plus(over).cost() + past(crossed)
    }

    /// What a gate or a riser costs, with half of what the bays on both sides cost to open.
    fn exit_cost(&self, exit: Exit, cable: CableClass) -> Millionths {
        let (bays, own) = match exit {
            Exit::Gate(gate) => {
                let gate = &self.map.gates[gate];
                let hole = gate.opening.map_or(0, |opening| self.state[opening]);
                (gate.bays, hole + self.gate_over(gate, cable))
            }
            Exit::Riser(riser) => {
                let riser = &self.map.risers[riser];
                let way = riser.opening.map_or(0, |opening| self.state[opening]);
                let room = &self.site.rooms[riser.room];
                let cable = riser_cable(self.prices.room(riser.room), room, cable).times(riser.metres);
                (riser.bays, way + cable.cost())
            }
        };
        own + self.half_entry(bays[0], cable) + self.half_entry(bays[1], cable)
    }

    /// Half of what it costs to get at a bay: every cable in it comes in and goes out, or ends.
    #[must_use]
    pub fn half_entry(&self, bay: BayIndex, cable: CableClass) -> Millionths {
        let bay = &self.map.bays[bay];
        // An armoured cable is clipped where it is seen.
        let shown = if bay.exposed && self.prices.armoured() != Some(cable) { SHOWN } else { 0 };
        (bay.opening.map_or(0, |opening| self.state[opening]) + shown) / 2
    }

    /// The bay from which a place in a room is reached by an approach.
    #[must_use]
    pub fn bay(&self, room: RoomIndex, at: Position, approach: Approach) -> Option<BayIndex> {
        let bays = self.map.rooms.get(room)?;
        match approach {
            Approach::Rise => bays.below,
            Approach::Drop => survey_map::over(self.site, &self.map, &self.patches, room, at),
            Approach::Foot => bays.surface,
        }
    }

    /// Whether a cable from a board can come to a bay at all: an outbuilding has its own.
    #[must_use]
    pub fn reaches(&self, bay: BayIndex) -> bool {
        let home = &self.home[CableClass::Sockets.index()];
        let nodes = self.map.bays[bay].nodes();
        self.site.rooms[self.map.bays[bay].room].outbuilding.is_some()
            || nodes.iter().any(|node| home.distance(*node) < NEVER)
            || self.board.iter().any(|(start, _)| *start == bay)
    }

    /// What stands where a cable goes up or down to a place by an approach: on a wall up to a height, or on a ceiling.
    #[must_use]
    pub fn through(
        &self,
        room: RoomIndex,
        at: Position,
        (approach, bay): (Approach, BayIndex),
        on_the_wall: Option<f64>,
    ) -> Option<Obstacle> {
        let recorded = &self.map.recorded;
        if recorded.is_empty() {
            return None;
        }
        let level = self.site.rooms[room].level;
        let in_the_bay = self.map.bays[bay].field.as_ref().and_then(|field| field.holding(at)).map(|one| one.obstacle);
        in_the_bay
            .or_else(|| match approach {
                Approach::Drop => recorded.overhead(level, at),
                Approach::Rise => {
                    recorded.underfoot(level, at).or_else(|| recorded.overhead(level.saturating_sub(1), at))
                }
                Approach::Foot => None,
            })
            .or_else(|| {
                let (height, outline) = (on_the_wall?, self.site.rooms[room].outline.as_ref()?);
                let mut openings = recorded.openings_at(level, (outline, at));
                let stopped = openings.any(|opening| match approach {
                    Approach::Drop => opening.stops_a_drop(height),
                    Approach::Rise | Approach::Foot => opening.stops_a_rise(height),
                });
                stopped.then_some(Obstacle::OPENING)
            })
    }

    /// Up or down the wall from an approach to a height.
    #[must_use]
    pub fn vertical(&self, room: RoomIndex, approach: Approach, height: f64) -> f64 {
        match approach {
            Approach::Rise => height.max(0.0),
            Approach::Drop => (self.site.rooms[room].height.value() - height).max(0.0),
            Approach::Foot => {
                let along = self.map.rooms[room].surface.map_or(height, |bay| self.map.bays[bay].height);
                (height - along).abs()
            }
        }
    }

    /// What is drilled or chased at a way out of a bay.
    #[must_use]
    pub fn opened_at(&self, exit: Exit) -> Option<OpeningIndex> {
        match exit {
            Exit::Gate(gate) => self.map.gates[gate].opening,
            Exit::Riser(riser) => self.map.risers[riser].opening,
        }
    }

    /// The place at which a cable that stands at `here` leaves a bay, the nearest of the gate's stretch of wall, and the
    /// place at which it comes out on the other side.
    #[must_use]
    pub fn exit_places(&self, (bay, exit): (BayIndex, Exit), here: Position) -> (Position, Position) {
        match exit {
            Exit::Gate(gate) => self.map.gates[gate].places(bay, here),
            Exit::Riser(riser) => (self.map.risers[riser].at, self.map.risers[riser].at),
        }
    }

    /// What a cable costs from one place to another by a path, without what stands up or down the walls at its ends.
    #[must_use]
    pub fn cost_by(&self, path: &Path, cable: CableClass, from: Position, to: Position) -> Millionths {
        let mut here = from;
        let mut cost = path.fixed;
        for (bay, exit) in &path.exits {
            let (leaves, enters) = self.exit_places((*bay, *exit), here);
            cost += self.move_cost(*bay, cable, here, leaves);
            here = enters;
        }
        cost + self.move_cost(path.end, cable, here, to)
    }

    /// What is opened by a cable that goes by a path.
    pub fn opened_by<'s>(&'s self, path: &'s Path) -> impl Iterator<Item = OpeningIndex> + 's {
        let exits = path.exits.iter().filter_map(|(_, exit)| match exit {
            Exit::Gate(gate) => self.map.gates[*gate].opening,
            Exit::Riser(riser) => self.map.risers[*riser].opening,
        });
        let bays = path.exits.iter().map(|(bay, _)| *bay).chain([path.end]);
        exits.chain(bays.filter_map(|bay| self.map.bays[bay].opening))
    }

    /// Hours and money of opening what is not open.
    #[must_use]
    pub fn to_open(&self, openings: &std::collections::BTreeSet<super::Opening>) -> Rate {
        let closed = openings.iter().filter_map(|opening| self.map.opening(*opening));
        let closed = closed.filter(|index| self.state[*index] > 0);
        closed.fold(Rate::default(), |sum, index| sum.plus(self.map.openings[index].rate))
    }

    /// The room inside whose wall a place outside is fed through, and the place on that wall.
    #[must_use]
    pub fn inside_of(&self, level: i8, at: Position) -> Option<(RoomIndex, Position)> {
        let outer = self.site.plans.get(&level)?.outer_pieces();
        let near = outer.map(|piece| (piece.face.outline, piece.line.at(piece.line.nearest(at))));
        near.min_by(|a, b| straight(a.1, at).total_cmp(&straight(b.1, at)))
    }
}

/// What it is worth to go round what must not be cut.
fn past(crossed: Crossed) -> Millionths {
    Millionths::from(crossed.structure) * PAST_STRUCTURE
}
