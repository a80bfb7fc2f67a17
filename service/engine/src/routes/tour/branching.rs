//! A radial that may branch: one cable leaves the board, and at each point it may go on in two.

use super::{Distances, SearchEffort, chain};
use crate::unit_rates::Millionths;
use crate::work::WorkBudget;

/// Cables that go on from one point: with the one that comes in, three in its box. Common practice, no source.
const ONWARD_MAX: usize = 2;
/// So many of the points nearest to the board are tried as the first.
const FIRST_TRIED_MAX: usize = 4;

/// A leg of a radial: the place, and the one that it hangs on.
pub type Hung = (usize, usize);

/// The cheapest radial that is found: the least tree where no point has more than two cables going on from it, which is
/// then the least of all; else the cheaper of a tree held to that and an order without branches. As legs, each after that
/// to where it begins.
#[must_use]
pub fn radial(distances: &Distances, effort: SearchEffort, work: &WorkBudget) -> Vec<Hung> {
    if distances.places() < 3 {
        return (1..distances.places()).map(|place| (place, 0)).collect();
    }
    let mut nearest: Vec<usize> = (1..distances.places()).collect();
    nearest.sort_by_key(|place| (distances.between(0, *place), *place));
    let first = grown(distances, nearest[0]);
    let mut best = (cost(distances, &first.0), first.0);
    if first.1 {
        for start in nearest.iter().skip(1).take(FIRST_TRIED_MAX - 1) {
            let (tree, _) = grown(distances, *start);
            let cost = cost(distances, &tree);
            if cost < best.0 {
                best = (cost, tree);
            }
        }
        let order = chain(distances, effort, work);
        if distances.along(&order, false) < best.0 {
            let before = std::iter::once(0).chain(order.iter().copied());
            return order.iter().copied().zip(before).collect();
        }
    }
    walked(distances, &best.1)
}

fn cost(distances: &Distances, tree: &[Hung]) -> Millionths {
    tree.iter().map(|(place, on)| distances.between(*place, *on)).sum()
}

/// The least tree over the stops from one of them, which hangs on the board; and whether a point that had all its cables
/// was passed over.
fn grown(distances: &Distances, start: usize) -> (Vec<Hung>, bool) {
    let (legs, held_back) = least_tree(distances, start, ONWARD_MAX);
    (std::iter::once((start, 0)).chain(legs).collect(), held_back)
}

/// The least tree that joins every stop to one place, with at most so many cables going on from each: for each stop the
/// place that it hangs on, in the order in which they are joined; and whether a place that had all its cables was passed
/// over. Source: Prim, "Shortest connection networks" (1957), from memory.
pub(super) fn least_tree(distances: &Distances, root: usize, onward_max: usize) -> (Vec<Hung>, bool) {
    let mut tree: Vec<Hung> = Vec::with_capacity(distances.places().saturating_sub(1));
    let mut onward = vec![0_usize; distances.places()];
    let mut held_back = false;
    let mut nearest: Vec<Hung> =
        (1..distances.places()).filter(|place| *place != root).map(|place| (place, root)).collect();
    while let Some(at) = (0..nearest.len()).min_by_key(|at| {
        let (place, on) = nearest[*at];
        (distances.between(place, on), place)
    }) {
        let (place, on) = nearest.swap_remove(at);
        tree.push((place, on));
        onward[on] += 1;
        let full = onward[on] >= onward_max;
        for (other, hangs_on) in &mut nearest {
            if full && *hangs_on == on {
                // Its next best host among those that still take a cable.
                let joined = std::iter::once(root).chain(tree.iter().map(|(place, _)| *place));
                let hosts = joined.filter(|host| onward[*host] < onward_max);
                if let Some(host) = hosts.min_by_key(|host| (distances.between(*other, *host), *host)) {
                    held_back |= distances.between(*other, host) > distances.between(*other, on);
                    *hangs_on = host;
                }
            } else if distances.between(*other, place) < distances.between(*other, *hangs_on) {
                *hangs_on = place;
            }
        }
    }
    (tree, held_back)
}

/// The tree in the order in which a hand follows it: the shorter branch first, then on along the longer.
fn walked(distances: &Distances, tree: &[Hung]) -> Vec<Hung> {
    let mut beyond = vec![0; distances.places()];
    for (place, on) in tree.iter().rev() {
        let below: Millionths = beyond[*place];
        beyond[*on] += below + distances.between(*place, *on);
    }
    let mut legs = Vec::with_capacity(tree.len());
    let mut open = vec![tree[0]];
    while let Some((place, on)) = open.pop() {
        legs.push((place, on));
        let mut onward: Vec<Hung> = tree.iter().filter(|(_, host)| *host == place).copied().collect();
        // Taken from the end: the longest is put first.
        onward.sort_by_key(|(next, _)| std::cmp::Reverse((beyond[*next] + distances.between(*next, place), *next)));
        open.extend(onward);
    }
    legs
}

/// Places from which a cable goes on in more than one direction.
#[must_use]
pub fn branches(legs: &[Hung]) -> Vec<usize> {
    let mut places: Vec<usize> = legs.iter().map(|(_, on)| *on).filter(|on| *on > 0).collect();
    places.sort_unstable();
    let mut branching: Vec<usize> = places.windows(2).filter(|pair| pair[0] == pair[1]).map(|pair| pair[0]).collect();
    branching.dedup();
    branching
}
