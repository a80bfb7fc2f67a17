//! What is opened for all: the runs of a house planned together.
//!
//! Each room has up to two demands, its low points and its lights with their switches; each demand is reached by a rise,
//! a drop or along the wall. In rounds every demand takes its cheapest way while the price of each opening is shared
//! among those who used it in the round before; when nothing changes, what is used is open to all. Then each of the
//! least used openings is closed for a trial, and stays closed where the house is cheaper without it. Every demand is
//! taken against the same prices, so their order changes nothing.

use std::collections::BTreeMap;

use super::Ask;
use super::network::{Approach, Network};
use super::prices::{Cost, Gauge, up_the_wall};
use super::run::Run;
use super::search::NEVER;
use crate::catalogue::{Catalogue, CircuitType, PointGroup, PointPlace};
use crate::limits::{CLOSING_TRIALS_MAX, SHARING_ROUNDS_MAX, SHARING_WORK_MAX};
use crate::site::{RoomIndex, RoomPlan};
use crate::survey::{Position, RoomUse};

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

struct Demand {
    room: RoomIndex,
    class: Class,
    middle: Position,
    /// For each approach: what the verticals and the way from point to point cost, without the way home.
    options: Vec<(Approach, usize, Cost)>,
}

/// The class of a point.
#[must_use]
pub fn class_of(place: PointPlace, circuit: CircuitType) -> Class {
    let lights = matches!(circuit, CircuitType::Lighting | CircuitType::Alarms);
    if place == PointPlace::Ceiling || lights { Class::High } else { Class::Low }
}

/// Plans the openings of a house: afterwards what is used is open in the network's state.
pub(super) fn share(network: &mut Network<'_>, catalogue: &Catalogue) -> Approaches {
    let demands = demands(network, catalogue);
    let full: Vec<Cost> = network.map.openings.iter().map(|opening| opening.rate.cost()).collect();
    network.state = full.iter().map(|price| price / USERS_AT_FIRST).collect();
    let mut users = vec![0_u64; full.len()];
    for _ in 0..SHARING_ROUNDS_MAX {
        network.weigh_home(Gauge::Sockets);
        network.weigh_home(Gauge::Lighting);
        let (chosen, _) = choose(network, &demands);
        let mut now = vec![0_u64; full.len()];
        for (_, used) in &chosen {
            for opening in used {
                now[*opening] += 1;
            }
        }
        let settled = now == users;
        users = now;
        network.state = full.iter().zip(&users).map(|(price, users)| price / (*users).max(1)).collect();
        if settled {
            break;
        }
    }
    let mut open: Vec<bool> = users.iter().map(|users| *users > 0).collect();
    close_what_does_not_pay(network, &demands, &full, &users, &mut open);
    set_open(network, &full, &open);
    network.weigh();
    let (chosen, _) = choose(network, &demands);
    demands.iter().zip(chosen).map(|(demand, (approach, _))| ((demand.room, demand.class), approach)).collect()
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
            open_for(network, &full, &runs, index);
            network.weigh_home(ask.gauge);
            let run = network.run(*ask, approaches, network.view(ask.gauge));
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
pub(super) fn open_for(network: &mut Network<'_>, full: &[Cost], runs: &[Option<Run>], index: usize) {
    network.state = full.to_vec();
    for (_, run) in runs.iter().enumerate().filter(|(other, _)| *other != index) {
        for opening in run.iter().flat_map(|run| &run.openings) {
            if let Some(opening) = network.map.opening(*opening) {
                network.state[opening] = 0;
            }
        }
    }
}

fn set_open(network: &mut Network<'_>, full: &[Cost], open: &[bool]) {
    network.state = full.iter().zip(open).map(|(price, open)| if *open { 0 } else { *price }).collect();
}

/// Closes the least used openings one by one where that makes the whole cheaper.
fn close_what_does_not_pay(
    network: &mut Network<'_>,
    demands: &[Demand],
    full: &[Cost],
    users: &[u64],
    open: &mut [bool],
) {
    let mut trials: Vec<usize> = (0..open.len()).filter(|opening| open[*opening] && full[*opening] > 0).collect();
    trials.sort_by_key(|opening| (users[*opening], std::cmp::Reverse(full[*opening]), *opening));
    trials.truncate(CLOSING_TRIALS_MAX);
    let whole = |network: &mut Network<'_>, open: &[bool]| {
        set_open(network, full, open);
        network.weigh_home(Gauge::Sockets);
        network.weigh_home(Gauge::Lighting);
        let (chosen, ways) = choose(network, demands);
        let mut used = vec![false; open.len()];
        chosen.iter().flat_map(|(_, openings)| openings).for_each(|opening| used[*opening] = true);
        // What is not open was paid in full by each who used it; what is open is paid once if anybody uses it.
        let shared: Cost = (0..open.len()).filter(|one| open[*one] && used[*one]).map(|one| full[one]).sum();
        ways + shared
    };
    let mut least = whole(network, open);
    for opening in trials {
        open[opening] = false;
        let without = whole(network, open);
        if without < least {
            least = without;
        } else {
            open[opening] = true;
        }
    }
}

type Chosen = (Approach, Vec<usize>);

/// The cheapest approach of each demand at the prices of now, with what it opens, and the cost of all.
fn choose(network: &Network<'_>, demands: &[Demand]) -> (Vec<Chosen>, Cost) {
    let mut all = 0;
    let chosen = demands
        .iter()
        .map(|demand| {
            let gauge = gauge_of(demand.class);
            let mut best: Option<(Cost, Approach, super::network::Passage)> = None;
            for (approach, bay, own) in &demand.options {
                let (passage, home) = network.from_board(gauge, *bay, demand.middle);
                let cost = home.saturating_add(*own).min(NEVER);
                if best.as_ref().is_none_or(|best| cost < best.0) {
                    best = Some((cost, *approach, passage));
                }
            }
            let Some((cost, approach, passage)) = best else { return (Approach::Foot, Vec::new()) };
            all += cost;
            (approach, network.opened_by(&passage).collect())
        })
        .collect();
    (chosen, all)
}

const fn gauge_of(class: Class) -> Gauge {
    match class {
        Class::Low => Gauge::Sockets,
        Class::High => Gauge::Lighting,
    }
}

fn demands(network: &Network<'_>, catalogue: &Catalogue) -> Vec<Demand> {
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
) -> Option<Demand> {
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
        .filter(|approach| !(any_ceiling && **approach == Approach::Rise))
        .filter_map(|approach| {
            let bay = network.bay(index, middle, *approach)?;
            Some((*approach, bay, own_cost(network, index, room, gauge_of(class), &needs, (*approach, bay))))
        })
        .collect();
    Some(Demand { room: index, class, middle, options })
}

/// The verticals and the way from point to point, in the order in which they stand.
fn own_cost(
    network: &Network<'_>,
    index: RoomIndex,
    room: &RoomPlan,
    gauge: Gauge,
    needs: &[Need],
    (approach, bay): (Approach, usize),
) -> Cost {
    let prices = network.prices.room(index);
    let verticals: Cost = needs
        .iter()
        .filter(|need| !(need.ceiling && approach == Approach::Drop))
        .map(|need| {
            let metres = network.vertical(index, approach, need.height);
            up_the_wall(prices, room, gauge, metres, need.cables).cost()
        })
        .sum();
    let plan = &network.map.bays[bay];
    let metres: f64 = needs.windows(2).map(|pair| plan.metres(pair[0].at, pair[1].at)).sum();
    verticals + network.along(bay, gauge, metres, None).cost()
}
