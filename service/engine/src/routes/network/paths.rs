//! The cheapest ways over the map: from the board, and between the places of a circuit.

use std::collections::BTreeMap;
use std::ops::ControlFlow;

use petgraph::graph::NodeIndex;

use super::{Approach, Exit, Network, Path, View};
use crate::catalogue::CableClass;
use crate::routes::map::{Bay, BayIndex, Link};
use crate::routes::search::{NEVER, Search};
use crate::site::Location;
use crate::survey::{Medium, Position, RoomUse};
use crate::unit_rates::Millionths;
use crate::work::WorkPart;

/// The last stretch of a way from the board.
#[derive(Debug, Clone)]
pub struct Arrival {
    bay: BayIndex,
    straight: Option<Millionths>,
    nodes: Vec<Millionths>,
}

impl Path {
    /// No way at all: both ends are in one bay.
    #[must_use]
    pub const fn within(bay: BayIndex) -> Self {
        Self { start: bay, exits: Vec::new(), end: bay, fixed: 0 }
    }

    /// The same way from its end to its start.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let bays: Vec<BayIndex> = self.exits.iter().map(|(bay, _)| *bay).skip(1).chain([self.end]).collect();
        let exits = self.exits.iter().zip(bays).rev().map(|((_, exit), bay)| (bay, *exit)).collect();
        Self { start: self.end, exits, end: self.start, fixed: self.fixed }
    }
}

impl Network<'_> {
    /// The bays that a board or a service is reached from, with the metres up or down to each.
    #[must_use]
    pub fn starts(&self, spot: Location) -> Vec<(BayIndex, f64)> {
        let (Some(room), Some(at)) = (spot.room, spot.at) else { return Vec::new() };
        let ways = Approach::ALL.iter().filter_map(|approach| {
            let vertical = self.vertical(room, *approach, spot.centre().value());
            // At a board there is containment, so nothing shows that was not there before.
            let bay = self.bay(room, at, *approach)?;
            Some((bay, vertical, self.through(room, at, (*approach, bay), Some(spot.centre().value())).is_none()))
        });
        let mut starts: Vec<(BayIndex, f64, bool)> = ways.collect();
        starts.dedup_by_key(|(bay, _, _)| *bay);
        if let Some((bay, down)) = self.down_with_the_tails(spot)
            && starts.iter().all(|(start, _, _)| *start != bay)
        {
            starts.push((bay, down, true));
        }
        let any_free = starts.iter().any(|(_, _, free)| *free);
        starts.into_iter().filter(|(_, _, free)| *free || !any_free).map(|(bay, up, _)| (bay, up)).collect()
    }

    /// From a board over the cellar that the supply comes into: through the floor by the hole of the tails, to the nearest
    /// part of the cellar's ceiling, or to the foot of its walls where that shows no cable.
    fn down_with_the_tails(&self, spot: Location) -> Option<(BayIndex, f64)> {
        let (board, cellar) = (self.site.board, self.site.intake.room?);
        let at = spot.at.filter(|_| (spot.room, spot.at) == (board.room, board.at))?;
        let plan = &self.site.rooms[cellar];
        if plan.level >= spot.level || plan.room_use != RoomUse::Cellar {
            return None;
        }
        let up = spot.centre().value();
        let soffits = self.map.bays.iter().enumerate();
        let soffits = soffits.filter(|(_, bay)| bay.medium == Medium::CellarSoffit && bay.level == plan.level);
        let off = |bay: &Bay| if bay.outline.holds(at) { 0.0 } else { bay.outline.nearest_on_wall(at).off };
        let nearest = soffits.min_by(|a, b| off(a.1).total_cmp(&off(b.1)).then(a.0.cmp(&b.0)));
        let floor = self.site.storey_rise().value() - self.site.rooms[board.room?].height.value();
        match nearest {
            Some((bay, _)) => Some((bay, up + floor.max(0.0))),
            None => {
                let foot = self.map.rooms[cellar].surface?;
                let down = plan.height.value() - self.map.bays[foot].height;
                Some((foot, up + floor.max(0.0) + down.max(0.0)))
            }
        }
    }

    /// Searches from a spot: to everywhere, or until no place in the bays of these hubs can be reached at less.
    pub(super) fn explore_from(
        &self,
        search: &mut Search,
        view: &View<'_>,
        (starts, at): (&[(BayIndex, f64)], Option<Position>),
        hubs: Option<&BTreeMap<BayIndex, Position>>,
    ) {
        let Some(at) = at else { return };
        let cable = view.cable;
        // Work that has been stopped finds no way to anywhere.
        let goes_on = self.goes_on();
        let open = starts.iter().filter(|(bay, _)| goes_on && !view.is_closed(self, *bay));
        let sources = open.flat_map(|(bay, vertical)| {
            let own = self.bay_metre(*bay, cable).times(*vertical).cost() + self.half_entry(*bay, cable);
            self.map.bays[*bay]
                .nodes()
                .iter()
                .map(move |node| (*node, own + self.move_cost(*bay, cable, at, self.map.graph[*node].at)))
        });
        let mut reached: BTreeMap<BayIndex, Millionths> =
            hubs.into_iter().flatten().map(|(bay, _)| (*bay, NEVER)).collect();
        let mut farthest = NEVER;
        let steps = search.explore(&self.neighbours, self.weight_in(view), sources, |node, cost| {
            let Some(hubs) = hubs else { return ControlFlow::Continue(NEVER) };
            let here = self.map.graph[node];
            if let (Some(hub), Some(best)) = (hubs.get(&here.bay), reached.get_mut(&here.bay)) {
                let there = cost.saturating_add(self.move_cost(here.bay, cable, here.at, *hub));
                if there < *best {
                    *best = there;
                    farthest = reached.values().copied().max().unwrap_or(0);
                }
            }
            if farthest < cost { ControlFlow::Break(()) } else { ControlFlow::Continue(farthest) }
        });
        self.work.count(WorkPart::Routes, steps);
    }

    /// The last stretch from the board to a place in a bay: what it costs from each node of the bay, and straight from the
    /// board where that is in the same bay.
    #[must_use]
    pub fn arrival(&self, cable: CableClass, bay: BayIndex, at: Position) -> Arrival {
        let from_node = |node: &NodeIndex| self.move_cost(bay, cable, self.map.graph[*node].at, at);
        let nodes = self.map.bays[bay].nodes();
        Arrival {
            bay,
            straight: self.straight(cable, &self.board, self.site.board.at, (bay, at)),
            nodes: nodes.iter().map(from_node).collect(),
        }
    }

    /// What it costs to arrive from the board, and by which node of the bay; by none where the board is in it.
    #[must_use]
    pub fn arrive(&self, cable: CableClass, arrival: &Arrival) -> (Millionths, Option<NodeIndex>) {
        let home = &self.home[cable.index()];
        let half = self.half_entry(arrival.bay, cable);
        let straight = arrival.straight.map_or(NEVER, |straight| straight + half);
        let best = self.nearest(home, arrival.bay, |index, _| arrival.nodes[index]);
        let (cost, node) = if best.0 < straight { best } else { (straight, None) };
        (cost.saturating_add(half), node)
    }

    /// The way from the board to a bay by the node that [`Network::arrive`] gave.
    #[must_use]
    pub fn from_board(&self, cable: CableClass, bay: BayIndex, by: Option<NodeIndex>) -> Path {
        by.map_or_else(|| Path::within(bay), |node| self.path(&self.home[cable.index()], node, cable))
    }

    /// What it costs from a spot in one of its own bays to a place in the same, without getting at the bay.
    fn straight(
        &self,
        cable: CableClass,
        starts: &[(BayIndex, f64)],
        from: Option<Position>,
        (bay, at): (BayIndex, Position),
    ) -> Option<Millionths> {
        let (_, vertical) = starts.iter().find(|(start, _)| *start == bay)?;
        Some(self.bay_metre(bay, cable).times(*vertical).cost() + self.move_cost(bay, cable, from?, at))
    }

    /// The ways from a spot to several bays, each ending near its hub. Bays that cannot be reached are left out.
    #[must_use]
    pub fn homes(
        &self,
        view: &View<'_>,
        spot: Location,
        hubs: &BTreeMap<BayIndex, Position>,
    ) -> BTreeMap<BayIndex, Path> {
        let mut own = Search::default();
        let mut starts = self.starts(spot);
        starts.retain(|(bay, _)| !view.is_closed(self, *bay));
        let known = view.home.filter(|_| spot == self.site.board);
        if known.is_none() {
            self.explore_from(&mut own, view, (&starts, spot.at), Some(hubs));
        }
        let search = known.unwrap_or(&own);
        let ways = hubs.iter().filter_map(|(bay, hub)| {
            let (path, cost) = self.path_to(search, view.cable, &starts, spot.at, (*bay, *hub));
            (cost < NEVER).then_some((*bay, path))
        });
        ways.collect()
    }

    fn path_to(
        &self,
        search: &Search,
        cable: CableClass,
        starts: &[(BayIndex, f64)],
        at: Option<Position>,
        (bay, hub): (BayIndex, Position),
    ) -> (Path, Millionths) {
        let half = self.half_entry(bay, cable);
        let straight = self.straight(cable, starts, at, (bay, hub)).map_or(NEVER, |straight| straight + half);
        match self.nearest_node(search, cable, bay, hub) {
            (best, Some(node)) if best < straight => (self.path(search, node, cable), best + half),
            _ => (Path::within(bay), straight.saturating_add(half)),
        }
    }

    fn nearest_node(
        &self,
        search: &Search,
        cable: CableClass,
        bay: BayIndex,
        hub: Position,
    ) -> (Millionths, Option<NodeIndex>) {
        self.nearest(search, bay, |_, node| self.move_cost(bay, cable, self.map.graph[node].at, hub))
    }

    /// The node of a bay by which a place in it is reached at least cost; `last` is what the stretch from each node costs.
    fn nearest(
        &self,
        search: &Search,
        bay: BayIndex,
        last: impl Fn(usize, NodeIndex) -> Millionths,
    ) -> (Millionths, Option<NodeIndex>) {
        let mut best = (NEVER, None);
        for (index, node) in self.map.bays[bay].nodes().iter().enumerate() {
            let so_far = search.distance(*node);
            if so_far < best.0 {
                let cost = so_far + last(index, *node);
                if cost < best.0 {
                    best = (cost, Some(*node));
                }
            }
        }
        best
    }

    fn path(&self, search: &Search, to: NodeIndex, cable: CableClass) -> Path {
        let (mut here, way) = search.way(&self.map.graph, to);
        let start = self.map.graph[here].bay;
        let mut exits = Vec::new();
        let mut fixed = 0;
        for edge in way {
            let bay = self.map.graph[here].bay;
            let exit = match self.map.graph[edge] {
                Link::Along { .. } => None,
                Link::Through(gate) => Some(Exit::Gate(gate)),
                Link::Up(riser) => Some(Exit::Riser(riser)),
            };
            if let Some(exit) = exit {
                exits.push((bay, exit));
                fixed += self.exit_cost(exit, cable);
            }
            if let Some((one, other)) = self.map.graph.edge_endpoints(edge) {
                here = if one == here { other } else { one };
            }
        }
        Path { start, exits, end: self.map.graph[here].bay, fixed }
    }

    /// The ways between each two of the bays that have an end in `hubs`, from the bay of the lower number.
    #[must_use]
    pub fn paths(&self, view: &View<'_>, hubs: &BTreeMap<BayIndex, Position>) -> BTreeMap<(BayIndex, BayIndex), Path> {
        let cable = view.cable;
        let mut paths = BTreeMap::new();
        let mut search = Search::default();
        let mut targets: Vec<(BayIndex, Position, Millionths)> =
            hubs.iter().map(|(bay, at)| (*bay, *at, NEVER)).collect();
        let mut place_of_bay = vec![usize::MAX; self.map.bays.len()];
        targets.iter().enumerate().for_each(|(place, target)| place_of_bay[target.0] = place);
        for first in 1..targets.len() {
            if !self.goes_on() {
                break;
            }
            let (bay, hub, _) = targets[first - 1];
            let half = self.half_entry(bay, cable);
            let sources = self.map.bays[bay]
                .nodes()
                .iter()
                .map(|node| (*node, half + self.move_cost(bay, cable, hub, self.map.graph[*node].at)));
            targets[first..].iter_mut().for_each(|target| target.2 = NEVER);
            let mut farthest = NEVER;
            let steps = search.explore(&self.neighbours, self.weight_in(view), sources, |node, cost| {
                let here = self.map.graph[node];
                let place = place_of_bay[here.bay];
                if let Some(target) = targets.get_mut(place).filter(|_| place >= first) {
                    let there = cost + self.move_cost(here.bay, cable, here.at, target.1);
                    if there < target.2 {
                        target.2 = there;
                        farthest = targets[first..].iter().map(|target| target.2).max().unwrap_or(0);
                    }
                }
                if farthest <= cost { ControlFlow::Break(()) } else { ControlFlow::Continue(farthest) }
            });
            self.work.count(WorkPart::Routes, steps);
            for (target, at, _) in &targets[first..] {
                if let (_, Some(node)) = self.nearest_node(&search, cable, *target, *at) {
                    paths.insert((bay, *target), self.path(&search, node, cable));
                }
            }
        }
        paths
    }
}
