//! What is opened for all: the runs of a house planned together.
//!
//! Each room has up to two demands, its low points and its lights with their switches; each demand is reached by a rise,
//! a drop or along the wall. In rounds every demand takes its cheapest way while the price of each opening is shared
//! among those who used it in the round before; when nothing changes, what is used is open to all. Then each of the
//! least used openings is closed for a trial, and stays closed where the house is cheaper without it. Every demand is
//! taken against the same prices, so their order changes nothing.

use std::collections::BTreeMap;

use petgraph::graph::NodeIndex;

use super::map::BayIndex;
use super::network::{Approach, Arrival, Network};
use super::obstacles::Measured;
use super::run::Run;
use super::search::NEVER;
use super::{Ask, Opening};
use crate::catalogue::{CableClass, Catalogue, CircuitType, PointGroup, PointPlace};
use crate::limits::{CLOSING_TRIALS_MAX, SHARING_ROUNDS_MAX, SHARING_WORK_MAX};
use crate::site::{RoomIndex, RoomPlan};
use crate::survey::{Position, RoomUse};
use crate::unit_rates::{Millionths, up_the_wall};

/// The two kinds of demand of a room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Outlets and fixed points on the walls and in the floor.
    Low,
    /// Lights, alarms and their switches.
    High,
}

/// How each demand of a house is reached.
pub type Approaches = BTreeMap<(RoomIndex, Class), Approach>;

/// So many users at first guess, before anybody has used anything. Common practice, no source.
const USERS_AT_FIRST: u64 = 4;

struct CableDemand {
    room: RoomIndex,
    class: Class,
    options: Vec<Reaching>,
}

/// One way in which a demand may be reached.
struct Reaching {
    approach: Approach,
    bay: BayIndex,
    /// What the verticals and the way from point to point cost, without the way home.
    own: Millionths,
    arrival: Arrival,
}

/// The class of a point.
#[must_use]
pub fn class_of(place: PointPlace, circuit: CircuitType) -> Class {
    let lights = matches!(circuit, CircuitType::Lighting | CircuitType::Alarms);
    if place == PointPlace::Ceiling || lights { Class::High } else { Class::Low }
}

/// How many demands of the house's own points use each opening.
pub type OpenedByPoints = BTreeMap<Opening, u32>;

/// Plans the openings of a house: afterwards what is used is open in the network's state.
pub(super) fn share(network: &mut Network<'_>, catalogue: &Catalogue) -> (Approaches, OpenedByPoints) {
    let demands = demands(network, catalogue);
    let full: Vec<Millionths> = network.map.openings.iter().map(|opening| opening.rate.cost()).collect();
    network.state = full.iter().map(|price| price / USERS_AT_FIRST).collect();
    let mut users = vec![0_u64; full.len()];
    for _ in 0..SHARING_ROUNDS_MAX {
        if !network.goes_on() {
            break;
        }
        let plans = CABLES.map(|cable| SharingPlan::of(network, &demands, cable));
        let now: Vec<u64> = (0..full.len()).map(|one| plans.iter().map(|plan| plan.users[one]).sum()).collect();
        let settled = now == users;
        users = now;
        network.state = full.iter().zip(&users).map(|(price, users)| price / (*users).max(1)).collect();
        if settled {
            break;
        }
    }
    let mut open: Vec<bool> = users.iter().map(|users| *users > 0).collect();
    let plans = close_what_does_not_pay(network, &demands, &full, &users, &mut open);
    set_open(network, &full, &open);
    network.weigh();
    let mut by_points = OpenedByPoints::new();
    for plan in &plans {
        for (opening, users) in network.map.openings.iter().zip(&plan.users).filter(|(_, users)| **users > 0) {
            *by_points.entry(opening.opening).or_insert(0) += u32::try_from(*users).unwrap_or(u32::MAX);
        }
    }
    (plans.into_iter().flat_map(|plan| plan.approaches).collect(), by_points)
}

/// Plans runs together that nobody else shares with: each is searched again with what the others have opened for free,
/// in their order, until nothing changes.
pub(super) fn together(network: &mut Network<'_>, asks: &[Ask<'_>], approaches: &Approaches) -> Vec<Option<Run>> {
    let full = network.state.clone();
    let mut runs: Vec<Option<Run>> = vec![None; asks.len()];
    let ends: usize = asks.iter().map(|ask| ask.stops.len()).sum();
    let rounds = SHARING_WORK_MAX / (network.map.graph.edge_count().max(1) * ends.max(1));
    for _ in 0..rounds.clamp(1, SHARING_ROUNDS_MAX) {
        let mut changed = false;
        for (index, ask) in asks.iter().enumerate() {
            if !network.goes_on() {
                return runs;
            }
            open_for(network, &full, &runs, index);
            network.weigh_home(ask.cable);
            let run = network.run(*ask, approaches, network.view(ask.cable));
            changed |= run != runs[index];
            runs[index] = run;
        }
        if !changed {
            break;
        }
    }
    runs
}

/// Opens what the runs other than one have opened.
pub(super) fn open_for(network: &mut Network<'_>, full: &[Millionths], runs: &[Option<Run>], index: usize) {
    network.state = full.to_vec();
    for (_, run) in runs.iter().enumerate().filter(|(other, _)| *other != index) {
        for opening in run.iter().flat_map(|run| &run.openings) {
            if let Some(opening) = network.map.opening(*opening) {
                network.state[opening] = 0;
            }
        }
    }
}

fn set_open(network: &mut Network<'_>, full: &[Millionths], open: &[bool]) {
    network.state = full.iter().zip(open).map(|(price, open)| if *open { 0 } else { *price }).collect();
}

/// Closes the least used openings one by one where that makes the whole cheaper; how all go by those that are left.
fn close_what_does_not_pay(
    network: &mut Network<'_>,
    demands: &[CableDemand],
    full: &[Millionths],
    users: &[u64],
    open: &mut [bool],
) -> [SharingPlan; 2] {
    let mut trials: Vec<usize> = (0..open.len()).filter(|opening| open[*opening] && full[*opening] > 0).collect();
    trials.sort_by_key(|opening| (users[*opening], std::cmp::Reverse(full[*opening]), *opening));
    trials.truncate(CLOSING_TRIALS_MAX);
    set_open(network, full, open);
    let mut plans = CABLES.map(|cable| SharingPlan::of(network, demands, cable));
    let mut least = whole(&plans, full, open);
    for opening in trials {
        if !network.goes_on() {
            break;
        }
        open[opening] = false;
        set_open(network, full, open);
        // Demands that do not go by it stay as they are: no other way of theirs becomes cheaper.
        let without = std::array::from_fn(|index| {
            let plan: &SharingPlan = &plans[index];
            if plan.users[opening] == 0 { plan.clone() } else { SharingPlan::of(network, demands, CABLES[index]) }
        });
        let cost = whole(&without, full, open);
        if cost < least {
            (least, plans) = (cost, without);
        } else {
            open[opening] = true;
        }
    }
    plans
}

/// What all ways cost: what is not open was paid in full by each who used it; what is open is paid once if anybody uses it.
fn whole(plans: &[SharingPlan; 2], full: &[Millionths], open: &[bool]) -> Millionths {
    let is_used = |one: &usize| open[*one] && plans.iter().any(|plan| plan.users[*one] > 0);
    let shared: Millionths = (0..open.len()).filter(is_used).map(|one| full[one]).sum();
    plans.iter().map(|plan| plan.ways).sum::<Millionths>() + shared
}

/// The cables that demands are planned with.
const CABLES: [CableClass; 2] = [CableClass::Sockets, CableClass::Lighting];

/// How the demands of one cable go at the prices of now.
#[derive(Debug, Clone)]
struct SharingPlan {
    /// What their ways cost.
    ways: Millionths,
    /// How many of them use each opening.
    users: Vec<u64>,
    /// How each of them is reached.
    approaches: Vec<((RoomIndex, Class), Approach)>,
}

impl SharingPlan {
    fn of(network: &mut Network<'_>, demands: &[CableDemand], cable: CableClass) -> Self {
        network.weigh_home(cable);
        let mut plan = Self { ways: 0, users: vec![0; network.state.len()], approaches: Vec::new() };
        for demand in demands.iter().filter(|demand| cable_of(demand.class) == cable) {
            let cheapest = demand.cheapest(network);
            let approach = cheapest.map_or(Approach::Foot, |(_, by, _)| by.approach);
            plan.approaches.push(((demand.room, demand.class), approach));
            let Some((cost, by, node)) = cheapest else { continue };
            plan.ways += cost;
            let path = network.from_board(cable, by.bay, node);
            network.opened_by(&path).for_each(|opening| plan.users[opening] += 1);
        }
        plan
    }
}

impl CableDemand {
    /// The cheapest way to it at the prices of now, and the node of its bay by which that comes.
    fn cheapest(&self, network: &Network<'_>) -> Option<(Millionths, &Reaching, Option<NodeIndex>)> {
        let ways = self.options.iter().map(|by| {
            let (home, node) = network.arrive(cable_of(self.class), &by.arrival);
            (home.saturating_add(by.own).min(NEVER), by, node)
        });
        ways.min_by_key(|(cost, _, _)| *cost)
    }
}

const fn cable_of(class: Class) -> CableClass {
    match class {
        Class::Low => CableClass::Sockets,
        Class::High => CableClass::Lighting,
    }
}

fn demands(network: &Network<'_>, catalogue: &Catalogue) -> Vec<CableDemand> {
    let mut demands = Vec::new();
    for (index, room) in network.site.rooms.iter().enumerate() {
        if room.outline.is_none() || room.room_use == RoomUse::Outside || room.outbuilding.is_some() {
            continue;
        }
        for class in [Class::Low, Class::High] {
            demands.extend(demand(network, catalogue, index, room, class));
        }
    }
    demands
}

/// A point of a demand: where, how high, how many cables go up or down to it.
struct Need {
    at: Position,
    height: f64,
    ceiling: bool,
    cables: f64,
}

fn demand(
    network: &Network<'_>,
    catalogue: &Catalogue,
    index: RoomIndex,
    room: &RoomPlan,
    class: Class,
) -> Option<CableDemand> {
    let needs: Vec<Need> = room
        .points
        .iter()
        .flat_map(|point| {
            let row = &catalogue.points()[point.row];
            let mine = class_of(row.place, row.circuit) == class;
            let cables = if class == Class::Low && row.group != PointGroup::Signal { 2.0 } else { 1.0 };
            point.places.iter().filter(move |_| mine).map(move |at| Need {
                at: *at,
                height: point.height.value(),
                ceiling: row.place == PointPlace::Ceiling,
                cables,
            })
        })
        .collect();
    if needs.is_empty() {
        return None;
    }
    let middle = room.shape.middle();
    let any_ceiling = needs.iter().any(|need| need.ceiling);
    let options = Approach::ALL
        .iter()
        .filter(|approach| match approach {
            Approach::Rise => !any_ceiling,
            Approach::Drop => true,
            Approach::Foot => !any_ceiling || network.bay(index, middle, Approach::Drop).is_none(),
        })
        .filter_map(|approach| {
            let bay = network.bay(index, middle, *approach)?;
            let cable = cable_of(class);
            let own = own_cost(network, index, room, cable, &needs, (*approach, bay));
            Some(Reaching { approach: *approach, bay, own, arrival: network.arrival(cable, bay, middle) })
        })
        .collect();
    Some(CableDemand { room: index, class, options })
}

/// The verticals and the way from point to point, in the order in which they stand.
fn own_cost(
    network: &Network<'_>,
    index: RoomIndex,
    room: &RoomPlan,
    cable: CableClass,
    needs: &[Need],
    (approach, bay): (Approach, usize),
) -> Millionths {
    let prices = network.prices.room(index);
    let verticals: Millionths = needs
        .iter()
        .filter(|need| !(need.ceiling && approach == Approach::Drop))
        .map(|need| {
            let metres = network.vertical(index, approach, need.height);
            up_the_wall(prices, room, cable, metres, need.cables).cost()
        })
        .sum();
    let plan = &network.map.bays[bay];
    let metres: f64 = needs.windows(2).map(|pair| plan.measure(pair[0].at, pair[1].at).metres).sum();
    verticals + network.along(bay, cable, Measured { metres, ..Measured::default() }).cost()
}
