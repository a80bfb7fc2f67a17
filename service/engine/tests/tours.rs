//! Orders of tours against exact sums that the test makes itself, over the costs of generated houses.

#[path = "obstructed/house.rs"]
mod house;
mod support;

use engine::catalogue::{CableClass, PointPlace};
use engine::quantities::Metres;
use engine::routes::tour::{self, Distances, SearchEffort};
use engine::routes::{Ask, Routing, RunStop, StopPoint, Topology};
use engine::site::Site;
use engine::survey::rules::usual_level;
use engine::unit_rates::{Millionths, Prices};
use engine::work::WorkBudget;
use house::Dice;
use serde_json::json;
use support::{ENGINE, WORKBOOK, read};

/// What it costs between so many sockets of a generated house, and from the board to each.
fn costs(number: u64, stops: usize) -> Distances {
    let mut survey = house::house(number);
    survey["obstructions"] = json!([]);
    let request = read(&json!({ "survey": survey }));
    let (site, _) = Site::from_survey(&request.survey, &ENGINE.catalogue, &WorkBudget::unlimited());
    let prices = Prices::of(&site, &ENGINE.catalogue, &WORKBOOK);
    let unlimited = WorkBudget::unlimited();
    let ways = Routing::of(&site, &ENGINE.catalogue, prices, &unlimited, usual_level);
    let mut dice = Dice(number ^ 0x70C5);
    let socket = |room: usize, share: f64| {
        let shape = &site.rooms[room].shape;
        let point = StopPoint {
            place: PointPlace::Wall,
            is_switch: false,
            in_and_out: true,
            height: Metres::new(0.45),
            count: 1,
            at: Some(shape.on_wall(shape.perimeter().value() * share)),
            entry: None,
            first: 0,
        };
        RunStop { room, points: vec![point], share_of_walls: 1.0 }
    };
    let asked: Vec<RunStop> = (0..stops).map(|_| socket(dice.below(site.rooms.len()), dice.metres(0.0, 1.0))).collect();
    let ask =
        Ask { from: site.board, stops: &asked, topology: Topology::Ring, cable: CableClass::Sockets, explained: false };
    ways.distances(ask).unwrap_or_else(|| panic!("house {number} has no costs"))
}

/// The least cost of visiting all places, by the sets that are left: written here by itself, from the far end.
fn optimum(distances: &Distances, closed: bool) -> Millionths {
    let stops = distances.places() - 1;
    let mut least = vec![vec![Millionths::MAX; stops]; 1 << stops];
    for left in 0..1_usize << stops {
        for here in (0..stops).filter(|here| left >> here & 1 == 0) {
            least[left][here] = if left == 0 {
                if closed { distances.between(here + 1, 0) } else { 0 }
            } else {
                let onward = (0..stops).filter(|next| left >> next & 1 == 1);
                let costs = onward.map(|next| distances.between(here + 1, next + 1) + least[left & !(1 << next)][next]);
                costs.min().unwrap_or(0)
            };
        }
    }
    let all = (1_usize << stops) - 1;
    let begun = (0..stops).map(|first| distances.between(0, first + 1) + least[all & !(1 << first)][first]);
    begun.min().unwrap_or(0)
}

/// The least tree by looking at every one: one cable leaves the board, at most two go on from a point.
fn least_tree(distances: &Distances) -> Millionths {
    let stops = distances.places() - 1;
    let mut least = Millionths::MAX;
    let mut hosts = vec![0; stops];
    loop {
        let onward = |host: usize| hosts.iter().filter(|on| **on == host).count();
        let to_the_board = |stop: usize| {
            let mut here = stop;
            let mut steps = 0;
            while here > 0 && steps <= stops {
                here = hosts[here - 1];
                steps += 1;
            }
            here == 0
        };
        if onward(0) == 1 && (1..=stops).all(|host| onward(host) <= 2) && (1..=stops).all(to_the_board) {
            let legs = hosts.iter().enumerate().map(|(stop, host)| distances.between(stop + 1, *host));
            least = least.min(legs.sum());
        }
        let Some(turn) = (0..stops).find(|stop| hosts[*stop] < stops) else { return least };
        hosts[turn] += 1;
        hosts[..turn].fill(0);
    }
}

fn radial(distances: &Distances) -> Millionths {
    let legs = tour::radial(distances, SearchEffort::Full, &WorkBudget::unlimited());
    assert_eq!(legs.len(), distances.places() - 1, "every stop hangs on something");
    let mut reached = vec![0];
    for (place, on) in &legs {
        assert!(reached.contains(on), "{legs:?}: a leg begins where the cable already is");
        reached.push(*place);
    }
    legs.iter().map(|(place, on)| distances.between(*place, *on)).sum()
}

#[test]
fn up_to_twelve_stops_rings_and_radials_of_two_hundred_houses_are_exact() {
    for number in 0..200 {
        let stops = 2 + usize::try_from(number % 11).expect("a count");
        let distances = costs(number, stops);
        let unlimited = WorkBudget::unlimited();
        let ring = tour::ring(&distances, SearchEffort::Full, &unlimited);
        let chain = tour::chain(&distances, SearchEffort::Full, &unlimited);
        assert_eq!(distances.along(&ring, true), optimum(&distances, true), "ring of house {number}, {stops} stops");
        let without_branches = optimum(&distances, false);
        assert_eq!(distances.along(&chain, false), without_branches, "radial of house {number}, {stops} stops");
        assert!(radial(&distances) <= without_branches, "house {number}: a branch never costs more than none");
    }
}

#[test]
fn a_radial_that_branches_is_the_least_tree_that_there_is_or_within_three_percent_where_boxes_are_full() {
    let mut exact = 0;
    for number in 0..60 {
        let distances = costs(number, 5);
        let (cost, least) = (radial(&distances), least_tree(&distances));
        assert!(cost as f64 <= least as f64 * 1.03, "house {number}: {cost} against {least}");
        exact += usize::from(cost == least);
    }
    assert!(exact >= 57, "{exact} of 60 are exact");
}

#[test]
fn larger_rings_are_within_two_percent_of_the_optimum() {
    for number in 0..12 {
        let distances = costs(number, 14);
        let ring = tour::ring(&distances, SearchEffort::Full, &WorkBudget::unlimited());
        let (cost, least) = (distances.along(&ring, true) as f64, optimum(&distances, true) as f64);
        assert!(cost <= least * 1.02, "house {number}: {:.2} % over", (cost / least - 1.0) * 100.0);
    }
}
