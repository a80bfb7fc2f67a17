//! A run on the map: its ends, the order in which it visits them, and its segments, metre by metre.

mod ends;
mod pen;

use std::collections::{BTreeMap, BTreeSet};

use self::pen::PathPen;
use super::SLACK_AT_BOARD_M;
use super::map::BayIndex;
use super::network::{End, Exit, Network, Path, View};
use super::run::{Chase, Leg, Passing, Run, RunStop, Waypoint};
use super::search::NEVER;
use super::sharing::Approaches;
use super::survey_map::riser_cable;
use super::tour::{self, Distances, SearchEffort};
use crate::catalogue::CableClass;
use crate::limits::TOUR_STOPS_MAX;
use crate::quantities::Metres;
use crate::site::{Location, RoomIndex};
use crate::survey::Position;
use crate::unit_rates::{Millionths, Void, is_chased};

/// How a run goes through its points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Topology {
    /// From the board through all and back.
    Ring,
    /// From the board through all.
    Chain,
    /// From the board, branching at points, switches on lights.
    Tree,
    /// From the board, branching at switches, lights on switches.
    TreeOfSwitches,
    /// From the board to each point by itself.
    Star,
}

/// What a run is asked for.
#[derive(Debug, Clone, Copy)]
pub struct Ask<'s> {
    /// Where it starts.
    pub from: Location,
    /// What it feeds.
    pub stops: &'s [RunStop],
    /// How it goes.
    pub topology: Topology,
    /// Its cable.
    pub cable: CableClass,
    /// Whether the next best way is wanted too.
    pub explained: bool,
}

/// One end of a run with its part in it.
#[derive(Debug, Clone, Copy)]
struct PlacedEnd {
    end: End,
    is_switch: bool,
    in_and_out: bool,
    /// Whether it hangs on another one by a cable of its own: a spur, a switch.
    hangs: bool,
}

/// The ends of a run in one view of the network, with the ways between them: searched once, however the run then goes
/// through them.
#[derive(Debug, Clone)]
pub(super) struct Laying<'n, 'a> {
    network: &'n Network<'a>,
    view: View<'n>,
    from: Location,
    ends: Vec<PlacedEnd>,
    /// From the board to the bay of an end.
    home: BTreeMap<BayIndex, Path>,
    paths: BTreeMap<(BayIndex, BayIndex), Path>,
    starts: BTreeMap<BayIndex, f64>,
    /// What it costs between the places that were put in order last.
    known: Option<(Vec<usize>, Distances)>,
}

/// A leg from one place of a run to another; place 0 is the board, place `n` the end `n - 1`.
type Pair = (usize, usize);

impl<'a> Network<'a> {
    /// The run that is asked for; absent where one of its ends has no place on the map.
    pub(super) fn run(&self, ask: Ask<'_>, approaches: &Approaches, view: View<'_>) -> Option<Run> {
        self.laying(ask, approaches, view)?.run(ask.topology, SearchEffort::Full)
    }

    /// The ends of a run and the ways between them. A ring, a chain and a star have the same; trees come to their switches
    /// from above.
    pub(super) fn laying<'n>(
        &'n self,
        ask: Ask<'_>,
        approaches: &Approaches,
        view: View<'n>,
    ) -> Option<Laying<'n, 'a>> {
        Laying::of(self, view, ask.from, self.ends(ask, approaches, &view)?)
    }

    /// What it costs to go between the board and each end of a run, and from end to end: what its order is chosen by.
    pub(super) fn distances(&self, ask: Ask<'_>, approaches: &Approaches) -> Option<Distances> {
        let laying = self.laying(ask, approaches, self.view(ask.cable))?;
        Some(Distances::of(laying.ends.len() + 1, |from, to| laying.cost(from, to)))
    }
}

impl PlacedEnd {
    const fn hangs_in(&self, topology: Topology) -> bool {
        match topology {
            Topology::Tree => self.is_switch,
            Topology::TreeOfSwitches => !self.is_switch,
            Topology::Ring => !self.in_and_out,
            Topology::Chain | Topology::Star => false,
        }
    }
}

impl<'n, 'a> Laying<'n, 'a> {
    fn of(network: &'n Network<'a>, view: View<'n>, from: Location, ends: Vec<PlacedEnd>) -> Option<Self> {
        let mut sums: BTreeMap<BayIndex, (f64, f64, f64)> = BTreeMap::new();
        for PlacedEnd { end, .. } in &ends {
            let sum = sums.entry(end.bay).or_default();
            *sum = (sum.0 + end.at.x_m, sum.1 + end.at.y_m, sum.2 + 1.0);
        }
        let hubs: BTreeMap<BayIndex, Position> =
            sums.into_iter().map(|(bay, (x, y, count))| (bay, Position { x_m: x / count, y_m: y / count })).collect();
        let starts: BTreeMap<BayIndex, f64> = network.starts(from).into_iter().collect();
        from.at?;
        let home = network.homes(&view, from, &hubs);
        (home.len() == hubs.len()).then(|| Self {
            paths: network.paths(&view, &hubs),
            home,
            network,
            view,
            from,
            ends,
            starts,
            known: None,
        })
    }

    /// The run through the ends.
    pub(super) fn run(&mut self, topology: Topology, effort: SearchEffort) -> Option<Run> {
        let all_hang = self.ends.iter().all(|placed| placed.hangs_in(topology));
        self.ends.iter_mut().for_each(|placed| placed.hangs = !all_hang && placed.hangs_in(topology));
        let (pairs, order, branches) = self.order(topology, effort);
        let mut run = self.lay(&pairs)?;
        run.branches = branches;
        run.order = order;
        run.order.dedup();
        run.far_end = if topology == Topology::Ring { run.metres } else { run.far_end };
        Some(run)
    }

    fn end(&self, place: usize) -> &End {
        &self.ends[place - 1].end
    }

    /// The way between two places, with where it starts and ends on plan.
    fn way(&self, (from, to): Pair) -> Option<(Path, Position, Position)> {
        let board = self.from.at?;
        Some(match (from, to) {
            (0, to) => {
                let end = self.end(to);
                (self.home.get(&end.bay)?.clone(), board, end.at)
            }
            (from, 0) => {
                let end = self.end(from);
                (self.home.get(&end.bay)?.reversed(), end.at, board)
            }
            (from, to) => {
                let (one, other) = (self.end(from), self.end(to));
                let path = match one.bay.cmp(&other.bay) {
                    std::cmp::Ordering::Equal => Path::within(one.bay),
                    std::cmp::Ordering::Less => self.paths.get(&(one.bay, other.bay))?.clone(),
                    std::cmp::Ordering::Greater => self.paths.get(&(other.bay, one.bay))?.reversed(),
                };
                (path, one.at, other.at)
            }
        })
    }

    fn cost(&self, from: usize, to: usize) -> Millionths {
        let cable = self.view.cable;
        let own = |place: usize| -> Millionths {
            let end = self.end(place);
            let room = &self.network.site.rooms[end.room];
            let prices = self.network.prices.room(end.room);
            let metre = if end.on_the_face {
                prices.metre(cable, Void::Trunking, false)
            } else {
                riser_cable(prices, room, cable)
            };
            metre.times(end.vertical).cost() + self.network.half_entry(end.bay, cable)
        };
        let by = |path: &Path, from: Position, to: Position| self.network.cost_by(path, cable, from, to);
        let Some(board) = self.from.at else { return NEVER };
        if from == 0 {
            let end = self.end(to);
            let Some(path) = self.home.get(&end.bay) else { return NEVER };
            let up = self.starts.get(&path.start).copied().unwrap_or(0.0);
            let up = self.network.bay_metre(path.start, cable).times(up).cost();
            return up + self.network.half_entry(path.start, cable) + by(path, board, end.at) + own(to);
        }
        let (one, other) = (self.end(from), self.end(to));
        let between = match one.bay.cmp(&other.bay) {
            std::cmp::Ordering::Equal => self.network.move_cost(one.bay, cable, one.at, other.at),
            std::cmp::Ordering::Less => {
                self.paths.get(&(one.bay, other.bay)).map_or(NEVER, |path| by(path, one.at, other.at))
            }
            std::cmp::Ordering::Greater => {
                self.paths.get(&(other.bay, one.bay)).map_or(NEVER, |path| by(path, other.at, one.at))
            }
        };
        own(from) + own(to) + between
    }

    /// The legs of the run in the order in which they are laid, the rooms in the order in which they are visited, and those
    /// in which it branches.
    fn order(&mut self, topology: Topology, effort: SearchEffort) -> (Vec<Pair>, Vec<RoomIndex>, Vec<RoomIndex>) {
        let main: Vec<usize> = (1..=self.ends.len()).filter(|place| !self.ends[place - 1].hangs).collect();
        let mut pairs = if topology == Topology::Star {
            main.iter().map(|place| (0, *place)).collect()
        } else if main.len() > TOUR_STOPS_MAX {
            self.as_they_stand(&main, topology)
        } else {
            let places: Vec<usize> = std::iter::once(0).chain(main.iter().copied()).collect();
            let (places, distances) = self.distances_between(places);
            let in_order = |order: Vec<usize>| -> Vec<Pair> {
                let visited = || order.iter().map(|place| places[*place]);
                std::iter::once(0).chain(visited()).zip(visited()).collect()
            };
            let pairs = match topology {
                Topology::Ring => {
                    let mut pairs = in_order(tour::ring(&distances, effort, self.network.work));
                    pairs.extend(pairs.last().map(|last| (last.1, 0)));
                    pairs
                }
                Topology::Chain | Topology::Star => {
                    let legs = tour::radial(&distances, effort, self.network.work);
                    legs.into_iter().map(|(place, on)| (places[on], places[place])).collect()
                }
                Topology::Tree | Topology::TreeOfSwitches => {
                    tour::tree(&distances).into_iter().map(|(place, on)| (places[on], places[place])).collect()
                }
            };
            self.known = Some((places, distances));
            pairs
        };
        let order = pairs.iter().filter(|(_, to)| *to > 0).map(|(_, to)| self.end(*to).room).collect();
        let legs: Vec<tour::Hung> = pairs.iter().map(|(from, to)| (*to, *from)).collect();
        let mut branches: Vec<RoomIndex> =
            tour::branches(&legs).into_iter().map(|place| self.end(place).room).collect();
        branches.sort_unstable();
        branches.dedup();
        if topology == Topology::TreeOfSwitches {
            pairs.extend(self.lights_on_switches(&main));
        } else {
            pairs.extend(self.hanging(&main));
        }
        (pairs, order, branches)
    }

    /// What it costs between these places: a ring and a chain mostly go through the same.
    fn distances_between(&mut self, places: Vec<usize>) -> (Vec<usize>, Distances) {
        self.known.take().filter(|(known, _)| *known == places).unwrap_or_else(|| {
            // Of work that was stopped the order does not matter any more.
            let cost = |from: usize, to: usize| match self.network.goes_on() {
                true => self.cost(places[from], places[to]),
                false => NEVER,
            };
            let distances = Distances::of(places.len(), cost);
            (places, distances)
        })
    }

    /// Too many points to search: as they stand, those nearest to the board first.
    fn as_they_stand(&self, main: &[usize], topology: Topology) -> Vec<Pair> {
        let mut nearest: BTreeMap<RoomIndex, Millionths> = BTreeMap::new();
        for place in main {
            let cost = self.cost(0, *place);
            let room = nearest.entry(self.end(*place).room).or_insert(cost);
            *room = cost.min(*room);
        }
        let mut order = main.to_vec();
        order.sort_by_key(|place| (nearest.get(&self.end(*place).room).copied(), self.end(*place).room, *place));
        let mut pairs: Vec<Pair> = std::iter::once(0).chain(order.iter().copied()).zip(order.iter().copied()).collect();
        if topology == Topology::Ring {
            pairs.extend(pairs.last().map(|last| (last.1, 0)));
        }
        pairs
    }

    /// Spurs and switch drops: each from the cheapest point of its own room, of any room where it has none.
    fn hanging(&self, main: &[usize]) -> Vec<Pair> {
        let mut by_room: BTreeMap<RoomIndex, Vec<usize>> = BTreeMap::new();
        for place in main {
            by_room.entry(self.end(*place).room).or_default().push(*place);
        }
        let hanging = (1..=self.ends.len()).filter(|place| self.ends[place - 1].hangs);
        hanging
            .take_while(|_| self.network.goes_on())
            .filter_map(|place| {
                let hosts = by_room.get(&self.end(place).room).map_or(main, Vec::as_slice);
                let hosts = &hosts[..hosts.len().min(TOUR_STOPS_MAX)];
                let host = hosts.iter().min_by_key(|host| (self.cost(**host, place), **host))?;
                Some((*host, place))
            })
            .collect()
    }

    /// Lights on the switches of their room, and on from light to light; on any switch where the room has none.
    fn lights_on_switches(&self, switches: &[usize]) -> Vec<Pair> {
        let mut by_room: BTreeMap<RoomIndex, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
        for place in 1..=self.ends.len() {
            let room = by_room.entry(self.end(place).room).or_default();
            if self.ends[place - 1].hangs { room.1.push(place) } else { room.0.push(place) }
        }
        let mut pairs = Vec::new();
        for (own, lights) in by_room.into_values().filter(|(_, lights)| !lights.is_empty()) {
            if !self.network.goes_on() {
                break;
            }
            let hosts = if own.is_empty() { switches } else { &own };
            let hosts = &hosts[..hosts.len().min(TOUR_STOPS_MAX)];
            let cheapest = |light: usize| hosts.iter().map(|host| (self.cost(*host, light), *host)).min();
            if lights.len() > TOUR_STOPS_MAX {
                pairs.extend(lights.iter().filter_map(|light| Some((cheapest(*light)?.1, *light))));
                continue;
            }
            // The switches stand for the root: the way to it costs what the nearest of them does.
            let places: Vec<usize> = std::iter::once(0).chain(lights.iter().copied()).collect();
            let distances = Distances::of(places.len(), |from, to| match from {
                0 => cheapest(places[to]).map_or(NEVER, |(cost, _)| cost),
                _ => self.cost(places[from], places[to]),
            });
            pairs.extend(tour::tree(&distances).into_iter().filter_map(|(place, on)| {
                let light = places[place];
                Some((if on == 0 { cheapest(light)?.1 } else { places[on] }, light))
            }));
        }
        pairs
    }

    fn lay(&self, pairs: &[Pair]) -> Option<Run> {
        let mut run = Run::default();
        let mut cables = vec![CablesAtEnd::default(); self.ends.len() + 1];
        let mut reach: BTreeMap<usize, Metres> = BTreeMap::from([(0, Metres::ZERO)]);
        let mut openings: BTreeSet<usize> = BTreeSet::new();
        for pair in pairs {
            if !self.network.goes_on() {
                return None;
            }
            let first = run.placed.len();
            run.legs.push(Leg { from: pair.0, to: pair.1, first });
            self.lay_one(*pair, &mut run, &mut cables, &mut openings)?;
            let laid: Metres = run.placed[first..].iter().map(|placed| placed.segment.metres).sum();
            let so_far = reach.get(&pair.0).copied().unwrap_or(Metres::ZERO) + laid;
            reach.entry(pair.1).or_insert(so_far);
            run.far_end = run.far_end.max(so_far);
        }
        self.chases(&cables, &mut run);
        run.openings = openings.into_iter().map(|opening| self.network.map.openings[opening].opening).collect();
        run.merge_legs();
        Some(run)
    }

    fn lay_one(
        &self,
        (from, to): Pair,
        run: &mut Run,
        cables: &mut [CablesAtEnd],
        openings: &mut BTreeSet<usize>,
    ) -> Option<()> {
        let (path, start, stop) = self.way((from, to))?;
        let board = |at: Position| Waypoint { level: self.from.level, at, height: self.from.centre().value() };
        let mut pen = PathPen { laying: self, run, here: start, extra: 0.0, lead: None };
        if from == 0 {
            pen.lead = Some(board(start));
            pen.extra = self.starts.get(&path.start).copied().unwrap_or(0.0) + SLACK_AT_BOARD_M;
        } else {
            pen.wall(self.end(from), &mut cables[from], path.start, true);
        }
        for (bay, exit) in path.exits.iter().copied() {
            let (leaves, enters) = self.network.exit_places((bay, exit), pen.here);
            pen.along(bay, leaves);
            if let Some(opening) = self.network.opened_at(exit) {
                let first = pen.run.placed.len();
                pen.run.passes.push(Passing { opening: self.network.map.openings[opening].opening, first });
            }
            match exit {
                Exit::Gate(gate) => pen.through_the_wall(bay, gate, enters),
                Exit::Riser(riser) => pen.riser(riser),
            }
        }
        if to == 0 {
            pen.extra += self.starts.get(&path.end).copied().unwrap_or(0.0) + SLACK_AT_BOARD_M;
        }
        pen.along(path.end, stop);
        if to > 0 {
            pen.wall(self.end(to), &mut cables[to], path.end, false);
        } else if let Some(last) = pen.run.placed.last_mut() {
            last.waypoints.push(board(stop));
        }
        openings.extend(self.network.opened_by(&path));
        openings.extend(self.network.map.bays[path.start].opening);
        Some(())
    }

    /// The chases that the run needs: one for each end that is reached through one, paid by the first cable in it.
    fn chases(&self, cables: &[CablesAtEnd], run: &mut Run) {
        for (place, cables) in cables.iter().enumerate().skip(1) {
            let end = self.end(place);
            let room = &self.network.site.rooms[end.room];
            let Some(first) =
                cables.first.filter(|_| !room.surface && !end.outside && !end.on_the_face && end.vertical > 0.0)
            else {
                continue;
            };
            let prices = self.network.prices.room(end.room);
            let double = cables.count > 1;
            let rate = if is_chased(room.wall) {
                run.chases.push(Chase { room: end.room, metres: end.vertical, double });
                prices.chase[usize::from(double)].times(end.vertical)
            } else {
                prices.drill
            };
            run.placed[first].rate = run.placed[first].rate.plus(rate);
        }
    }
}

/// The cables that go up or down to one end.
#[derive(Debug, Clone, Copy, Default)]
struct CablesAtEnd {
    count: u32,
    /// The placed segment of the first of them.
    first: Option<usize>,
}
