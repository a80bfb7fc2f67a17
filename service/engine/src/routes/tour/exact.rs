//! Exact orders of few stops, by dynamic programming over the sets of stops visited so far.
//!
//! Source: Held and Karp, "A dynamic programming approach to sequencing problems" (1962), from memory. What cannot become
//! cheaper than an order that is known already is not followed: no order that is as cheap is lost by that.

use super::Distances;
use crate::unit_rates::Millionths;

/// The cheapest order in which to visit all places from the board, and back to it if `closed`; `known` is what some order
/// costs. Takes `n² 2ⁿ` steps for `n` stops at most.
#[must_use]
pub fn order(distances: &Distances, closed: bool, known: Millionths) -> Vec<usize> {
    let stops = distances.places().saturating_sub(1);
    if stops < 2 {
        return (1..=stops).collect();
    }
    let all = (1_usize << stops) - 1;
    let least = reached(distances, closed, known);
    let home = |last: usize| if closed { distances.between(last + 1, 0) } else { 0 };
    let whole = |last: &usize| least[all * stops + last].saturating_add(home(*last));
    let mut last = (0..stops).min_by_key(whole).unwrap_or(0);
    let mut set = all;
    let mut order = vec![last + 1];
    // Backwards: the stop before is the one from which the last was reached at that cost.
    while order.len() < stops {
        let before = set & !(1 << last);
        let by = |from: &usize| least[before * stops + from].saturating_add(distances.between(from + 1, last + 1));
        let Some(from) = members(before).min_by_key(by) else { break };
        order.push(from + 1);
        (set, last) = (before, from);
    }
    order.reverse();
    order
}

/// What it costs at least to have visited a set of stops and to stand at one of them: by set, then by stop. Left at the
/// most where all that comes of it costs more than `known`.
fn reached(distances: &Distances, closed: bool, known: Millionths) -> Vec<Millionths> {
    let stops = distances.places() - 1;
    let all = (1_usize << stops) - 1;
    let mut least = vec![Millionths::MAX; stops << stops];
    for stop in 0..stops {
        least[(1 << stop) * stops + stop] = distances.between(0, stop + 1);
    }
    let arrivals: Vec<Millionths> = (0..stops).map(|stop| least_arrival(distances, stop + 1)).collect();
    let home = if closed { (1..=stops).map(|place| distances.between(place, 0)).min().unwrap_or(0) } else { 0 };
    for set in 1..all {
        let to_come = members(all & !set).fold(home, |sum: Millionths, stop| sum.saturating_add(arrivals[stop]));
        let Some(most) = known.checked_sub(to_come) else { continue };
        for last in members(set) {
            let here = least[set * stops + last];
            if here > most {
                continue;
            }
            let onward = distances.from(last + 1);
            for next in members(all & !set) {
                let there = &mut least[(set | 1 << next) * stops + next];
                *there = (*there).min(here.saturating_add(onward[next + 1]));
            }
        }
    }
    least
}

/// The least that it costs to come to a place from any other stop.
fn least_arrival(distances: &Distances, place: usize) -> Millionths {
    let others = (1..distances.places()).filter(|other| *other != place);
    others.map(|other| distances.between(other, place)).min().unwrap_or(0)
}

/// The stops of a set, the first one first.
fn members(mut set: usize) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let first = (set != 0).then(|| set.trailing_zeros() as usize);
        set &= set.wrapping_sub(1);
        first
    })
}
