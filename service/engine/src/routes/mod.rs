//! How each cable gets where it is going: which void serves each room, and how long the runs are.
//!
//! Where rooms have outlines, distances are straight plan distances along the building's axes, plus rises and drops.
//! Where they have none, a model of floor area, storeys and point counts stands in (see [`model`]).
//!
//! In: the [`Site`]. Out: [`Routing`], which answers with a [`Run`] for the stops of a circuit. Circuits, take-off and
//! flags know only `Ways` and `Run`; a planner that searches a graph of voids can stand behind them.

mod access;
pub mod limits;
pub mod map;
pub mod model;
mod modelled;
pub mod network;
pub mod obstacles;
mod planned;
mod run;
pub mod search;
mod sharing;
mod survey_map;
pub mod tour;
mod walls;

pub use access::{Access, Opening, RoomWays};
pub use obstacles::Obstacle;
pub use planned::{Ask, Topology};
pub use run::{
    Chase, Crossing, Leg, Passing, PlacedSegment, RouteAlternative, RouteReason, Run, RunStop, Segment, StopPoint,
    Waypoint, Why,
};
pub use walls::IN_THE_ANGLE_M;

use obstacles::RecordedObstacles;
use tour::SearchEffort;

use crate::catalogue::{CableClass, Catalogue};
use crate::geometry::axis_distance;
use crate::quantities::Metres;
use crate::site::{Location, Patches, RoomIndex, RoomPlan, Site};
use crate::survey::{Medium, Obstruction, Position};
use crate::unit_rates::{Factors, Prices, Rate};
use crate::work::WorkBudget;

/// Cable left at a box end. Source: domain practice, from memory.
pub const SLACK_AT_BOX_M: f64 = 0.3;
/// Cable left at a board. Source: domain practice, from memory.
pub const SLACK_AT_BOARD_M: f64 = 1.0;
/// Added to plan metres for bends. Source: domain practice, from memory.
pub const BENDS: f64 = 1.05;
/// Metres of a run that one thing in the way makes slow. Common practice, no source.
const OBSTRUCTED_M: f64 = 1.0;

/// The ways of a house.
#[derive(Debug, Clone)]
pub struct Routing<'a> {
    site: &'a Site,
    factors: Factors,
    rooms: Vec<RoomWays>,
    obstructions: Vec<(Option<i8>, &'a Obstruction)>,
    rise: Metres,
    /// Inside area of each level, for the model of lengths.
    areas: std::collections::BTreeMap<i8, f64>,
    /// The map, where the house was drawn.
    network: Option<network::Network<'a>>,
    approaches: sharing::Approaches,
    by_points: sharing::OpenedByPoints,
    work: &'a WorkBudget,
}

impl<'a> Routing<'a> {
    /// Finds the void that serves each room. `storey_level` gives the level of a storey's identifier.
    #[must_use]
    pub fn of(
        site: &'a Site,
        catalogue: &Catalogue,
        prices: Prices,
        work: &'a WorkBudget,
        storey_level: impl Fn(&str) -> Option<i8>,
    ) -> Self {
        let patches = Patches::of(site);
        let mut areas = std::collections::BTreeMap::new();
        for room in site.rooms.iter().filter(|room| room.is_inside()) {
            *areas.entry(room.level).or_insert(0.0) += room.area.value();
        }
        let obstructions: Vec<(Option<i8>, &Obstruction)> = site
            .obstructions
            .iter()
            .map(|obstruction| (obstruction.storey.as_deref().and_then(&storey_level), obstruction))
            .collect();
        let factors = prices.factors().clone();
        let mut network = network::Network::of(site, catalogue, prices, &obstructions, work);
        let (approaches, by_points) =
            network.as_mut().map(|network| sharing::share(network, catalogue)).unwrap_or_default();
        if let Some(network) = &mut network {
            network.prepare_without();
        }
        let mut rooms = access::room_ways(site, catalogue, &patches);
        if let Some(network) = &network {
            access::as_planned(network, &approaches, &mut rooms);
        }
        Self {
            rooms,
            obstructions,
            rise: site.storey_rise(),
            areas,
            site,
            factors,
            network,
            approaches,
            by_points,
            work,
        }
    }

    /// The ways into one room.
    #[must_use]
    pub fn room(&self, room: RoomIndex) -> &RoomWays {
        &self.rooms[room]
    }

    /// What multiplies hours, room by room.
    #[must_use]
    pub fn factors(&self) -> &Factors {
        &self.factors
    }

    /// The house.
    #[must_use]
    pub fn site(&self) -> &'a Site {
        self.site
    }

    /// What the job may still cost to work out.
    #[must_use]
    pub fn work(&self) -> &'a WorkBudget {
        self.work
    }

    /// The map, where the house was drawn.
    #[must_use]
    pub fn network(&self) -> Option<&network::Network<'a>> {
        self.network.as_ref()
    }

    /// How many demands of the house's own points use an opening: the lower points of a room are one, its lights another.
    #[must_use]
    pub fn opened_by_points(&self, opening: Opening) -> u32 {
        self.by_points.get(&opening).copied().unwrap_or(0)
    }

    /// The run that is asked for: on the map where all its ends are on it, by the model of lengths otherwise.
    #[must_use]
    pub fn run(&self, ask: Ask<'_>) -> Run {
        self.variants(ask).run(ask.topology, ask.explained)
    }

    /// The variants that a run through the same ends may take: the ways between them are searched once for all.
    #[must_use]
    pub fn variants<'w>(&'w self, ask: Ask<'w>) -> RouteVariants<'w, 'a> {
        RouteVariants { ways: self, ask, searched: Vec::new() }
    }

    /// The way of one cable from a spot to a place on the wall at another; absent where either is off the map.
    #[must_use]
    pub fn between_on_the_map(&self, from: Location, to: Location, height: Metres, cable: CableClass) -> Option<Run> {
        // Up from a cellar to the board by the same way that goes down from it.
        let board = self.site.board;
        let up_to_the_board = (to.room, to.at) == (board.room, board.at) && from.level < to.level;
        let (from, to, height) = if up_to_the_board { (to, from, from.centre()) } else { (from, to, height) };
        self.one_cable(from, to, height, |network| network.view(cable))
    }

    /// The way of an armoured cable in the house: clipped and low, through no ceiling and under no lifted floor; as any other
    /// goes where there is no such way.
    #[must_use]
    pub fn armoured_on_the_map(&self, from: Location, to: Location, height: Metres) -> Option<Run> {
        let network = self.network.as_ref()?;
        let Some(cable) = network.prices.armoured() else {
            return self.between_on_the_map(from, to, height, CableClass::Heaviest);
        };
        let low = self.one_cable(from, to, height, |network| network.low_view(cable));
        low.or_else(|| self.between_on_the_map(from, to, height, cable))
    }

    fn one_cable<'w>(
        &'w self,
        from: Location,
        to: Location,
        height: Metres,
        view: impl FnOnce(&'w network::Network<'a>) -> network::View<'w>,
    ) -> Option<Run> {
        let (network, stops) = (self.network.as_ref()?, [one_end(to, height)?]);
        let view = view(network);
        let ask = Ask { from, stops: &stops, topology: Topology::Star, cable: view.cable, explained: false };
        // By what is cheapest for this one cable, whatever the points of the room do.
        network.run(ask, &sharing::Approaches::new(), view)
    }

    /// The same with its reasons: what it uses, and the next best way with its main medium closed.
    #[must_use]
    pub fn between_explained(&self, from: Location, to: Location, height: Metres, cable: CableClass) -> Option<Run> {
        let network = self.network.as_ref()?;
        let run = self.between_on_the_map(from, to, height, cable)?;
        let closed = main_medium(network, &run);
        let without = |closed| self.one_cable(from, to, height, |network| network.view_without(cable, closed));
        let other = closed.and_then(without).filter(|other| cost(network, other).money >= cost(network, &run).money);
        let next = other.and_then(|other| next_best(network, &run, &other));
        Some(explain(run, next))
    }

    /// Where a cable to a place outside leaves the house: on the wall nearest to it.
    #[must_use]
    pub fn leaves_towards(&self, outside: Position) -> Option<Location> {
        let (room, at) = self.network.as_ref()?.inside_of(0, outside)?;
        Some(Location { room: Some(room), level: 0, at: Some(at), height: None })
    }

    /// What it costs to go between the board and each end of a run, and from end to end, where they are on the map.
    #[must_use]
    pub fn distances(&self, ask: Ask<'_>) -> Option<tour::Distances> {
        self.network.as_ref()?.distances(ask, &self.approaches)
    }

    /// Runs planned together: what one opens is free for the others. Absent where an end has no place on the map.
    #[must_use]
    pub fn runs_together(&mut self, asks: &[Ask<'_>]) -> Vec<Option<Run>> {
        let Some(mut network) = self.network.take() else { return vec![None; asks.len()] };
        let full = network.state.clone();
        let runs = sharing::together(&mut network, asks, &self.approaches);
        let mut explained = Vec::with_capacity(runs.len());
        for (index, run) in runs.iter().enumerate() {
            if !network.goes_on() {
                break;
            }
            sharing::open_for(&mut network, &full, &runs, index);
            network.weigh_home(asks[index].cable);
            let ask = asks[index];
            let without = |closed, _| network.run(ask, &self.approaches, network.view_without(ask.cable, closed));
            explained.push(run.clone().map(|run| Self::explained(&network, run, without)));
        }
        network.state = full;
        network.weigh();
        self.network = Some(network);
        explained
    }

    /// The run with its reasons: what it uses, and the next best way with its main medium closed, which `without` lays.
    /// What is best for a whole room is not always best for one of its runs: where the other way is cheaper and does no
    /// damage, it is taken and the first one is the next best.
    fn explained(
        network: &network::Network<'a>,
        run: Run,
        mut without: impl FnMut(Medium, SearchEffort) -> Option<Run>,
    ) -> Run {
        let compared =
            main_medium(network, &run).and_then(|closed| Some((closed, without(closed, SearchEffort::Quick)?)));
        let Some((closed, other)) = compared else { return explain(run, None) };
        let swap = cost(network, &other).money < cost(network, &run).money && !other.damages(network);
        let (chosen, other) =
            if swap { (without(closed, SearchEffort::Full).unwrap_or(other), run) } else { (run, other) };
        let next = next_best(network, &chosen, &other);
        explain(chosen, next)
    }

    /// The run that is asked for with a medium closed to it; absent where an end is then off the map, or it would show.
    #[must_use]
    pub fn without(&self, ask: Ask<'_>, closed: Medium) -> Option<Run> {
        let network = self.network.as_ref()?;
        let run = self.variants(ask).laid(network, ask.topology, Some(closed), SearchEffort::Full)?;
        (!run.damages(network)).then_some(run)
    }

    /// What a run opens that nobody else does.
    #[must_use]
    pub fn to_open(&self, run: &Run) -> Rate {
        self.network.as_ref().map_or(Rate::default(), |network| network.to_open(&run.openings))
    }

    /// Metres on plan and up or down between a spot and the middle of a room.
    #[must_use]
    pub fn to_room(&self, from: Location, room: RoomIndex) -> Metres {
        let plan = &self.site.rooms[room];
        let up = self.between_levels(from.level, plan.level);
        match (from.at, &plan.outline) {
            (Some(at), Some(outline)) => axis_distance(at, outline.middle()) + up,
            _ if from.room == Some(room) => Metres::ZERO,
            _ => model::home_leg(self.area_of(plan.level)) + up,
        }
    }

    /// Metres from room to room.
    #[must_use]
    pub fn between(&self, from: RoomIndex, to: RoomIndex) -> Metres {
        let (a, b) = (&self.site.rooms[from], &self.site.rooms[to]);
        let up = self.between_levels(a.level, b.level);
        match (&a.outline, &b.outline) {
            (Some(one), Some(other)) => axis_distance(one.middle(), other.middle()) + up,
            _ => model::room_to_room(a.area, b.area) + up,
        }
    }

    /// Metres between two spots.
    #[must_use]
    pub fn between_spots(&self, from: Location, to: Location) -> Metres {
        let up = self.between_levels(from.level, to.level);
        match (from.at, to.at) {
            (Some(one), Some(other)) => axis_distance(one, other) + up,
            _ if from.room.is_some() && from.room == to.room => model::within_room() + up,
            _ => model::home_leg(self.area_of(to.level)) + up,
        }
    }

    /// Metres to the far side of the house, for a service whose place is not known.
    #[must_use]
    pub fn to_far_side(&self, from: Location) -> Metres {
        let drawn = self.site.rooms.iter().filter(|room| room.outbuilding.is_none());
        let corners = drawn.filter_map(|room| room.outline.as_ref()).flat_map(|outline| outline.corners());
        let measured = corners.filter_map(|corner| Some(axis_distance(from.at?, *corner)));
        let farthest = measured.fold(Metres::ZERO, Metres::max);
        if farthest > Metres::ZERO { farthest } else { model::far_side(self.area_of(0)) }
    }

    /// What stands across the way between two places in a medium, along the building's axes.
    #[must_use]
    pub fn in_the_way(&self, level: i8, from: Position, to: Position, medium: Medium) -> Option<Obstacle> {
        let corner = Position { x_m: to.x_m, y_m: from.y_m };
        let recorded = RecordedObstacles::of(&self.obstructions);
        let mut closing = recorded.closing(map::only(medium), level);
        let met = |one: &&obstacles::Footprint| {
            one.strip.inside(from, corner).is_some() || one.strip.inside(corner, to).is_some()
        };
        closing.find(met).map(|one| one.obstacle)
    }

    /// What stands in the way on one level.
    pub fn obstructions_on(&self, level: i8) -> impl Iterator<Item = &'a Obstruction> + '_ {
        let on = self.obstructions.iter().filter(move |(storey, _)| storey.is_none_or(|storey| storey == level));
        on.map(|(_, obstruction)| *obstruction)
    }

    fn between_levels(&self, from: i8, to: i8) -> Metres {
        self.rise * f64::from((i16::from(from) - i16::from(to)).unsigned_abs())
    }

    fn area_of(&self, level: i8) -> f64 {
        let usual = || self.site.floor_area.value();
        self.areas.get(&level).copied().unwrap_or_else(usual)
    }

    /// Up or down inside the board's own room, from the board to the void.
    fn at_board(&self, rises: bool) -> Metres {
        let height = self.site.board.room.map_or(2.4, |room| self.site.rooms[room].height.value());
        let board = self.site.board.centre().value();
        Metres::new(if rises { board } else { (height - board).max(0.3) })
    }
}

/// The variants that a run may take.
pub struct RouteVariants<'w, 'a> {
    ways: &'w Routing<'a>,
    ask: Ask<'w>,
    /// By the medium that is closed; nothing where an end is then off the map.
    searched: Vec<(Option<Medium>, Option<planned::Laying<'w, 'a>>)>,
}

impl<'w, 'a> RouteVariants<'w, 'a> {
    /// The run as one that goes through its points so; between a ring, a chain and a star alone its ends stay the same.
    pub fn run(&mut self, topology: Topology, explained: bool) -> Run {
        let on_the_map = self.ways.network.as_ref().and_then(|network| {
            let run = self.laid(network, topology, None, SearchEffort::Full)?;
            let without = |closed, effort| self.laid(network, topology, Some(closed), effort);
            Some(if explained { Routing::explained(network, run, without) } else { run })
        });
        self.or_modelled(topology, on_the_map)
    }

    /// The same, only to be compared with: in a good order, if not in the best.
    pub fn compared(&mut self, topology: Topology) -> Run {
        let on_the_map =
            self.ways.network.as_ref().and_then(|network| self.laid(network, topology, None, SearchEffort::Quick));
        self.or_modelled(topology, on_the_map)
    }

    fn or_modelled(&self, topology: Topology, on_the_map: Option<Run>) -> Run {
        on_the_map.unwrap_or_else(|| self.ways.modelled(self.ask.from, self.ask.stops, topology == Topology::Ring))
    }

    fn laid(
        &mut self,
        network: &'w network::Network<'a>,
        topology: Topology,
        closed: Option<Medium>,
        effort: SearchEffort,
    ) -> Option<Run> {
        let known = self.searched.iter().position(|(without, _)| *without == closed);
        let index = known.unwrap_or_else(|| {
            let cable = self.ask.cable;
            let view = closed.map_or_else(|| network.view(cable), |closed| network.view_without(cable, closed));
            self.searched.push((closed, network.laying(self.ask, &self.ways.approaches, view)));
            self.searched.len() - 1
        });
        self.searched[index].1.as_mut()?.run(topology, effort)
    }
}

/// One place on a wall as the only end of a run; absent where it is not known.
fn one_end(to: Location, height: Metres) -> Option<RunStop> {
    let point = StopPoint {
        place: crate::catalogue::PointPlace::Wall,
        is_switch: false,
        in_and_out: false,
        height,
        count: 1,
        at: Some(to.at?),
        entry: None,
        first: 0,
    };
    Some(RunStop { room: to.room?, points: vec![point], share_of_walls: 1.0 })
}

/// Another way of a run against the one that was chosen; absent where it lies in no void.
fn next_best(network: &network::Network<'_>, chosen: &Run, other: &Run) -> Option<RouteAlternative> {
    let (least, more) = (cost(network, chosen), cost(network, other));
    main_medium(network, other).map(|medium| RouteAlternative {
        medium,
        metres: (other.metres - chosen.metres).value(),
        hours: more.hours - least.hours,
        money: more.money - least.money,
        damages: other.damages(network),
    })
}

fn explain(mut run: Run, runner_up: Option<RouteAlternative>) -> Run {
    run.why = Some(Why { reason: RouteReason::of(&run), runner_up });
    run
}

/// What a run costs with what it opens that nobody else does.
fn cost(network: &network::Network<'_>, run: &Run) -> Rate {
    run.rate().plus(network.to_open(&run.openings))
}

/// The medium that most of a run lies in, apart from the last metres in walls.
fn main_medium(network: &network::Network<'_>, run: &Run) -> Option<Medium> {
    let media: std::collections::BTreeSet<Medium> = network.map.bays.iter().map(|bay| bay.medium).collect();
    let mut metres: std::collections::BTreeMap<Medium, f64> = std::collections::BTreeMap::new();
    for segment in run.segments.iter().filter(|segment| media.contains(&segment.medium)) {
        *metres.entry(segment.medium).or_insert(0.0) += segment.metres.value();
    }
    metres.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(medium, _)| medium)
}

/// Up or down the wall from the void to a point.
#[must_use]
pub fn vertical(room: &RoomPlan, access: &Access, height: Metres) -> Metres {
    if access.rises { height } else { (room.height - height).max(Metres::ZERO) }
}
