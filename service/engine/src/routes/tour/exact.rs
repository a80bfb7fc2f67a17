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
    // Of each set the stops at which a way that is followed stands.
    let mut followed = vec![0_usize; 1 << stops];
    for stop in 0..stops {
        least[(1 << stop) * stops + stop] = distances.between(0, stop + 1);
        followed[1 << stop] = 1 << stop;
    }
    let bounds = Bounds::of(distances, closed, known);
    for set in 1..all {
        if followed[set] == 0 {
            continue;
        }
        let rest = all & !set;
        let most = signed(known) * 2 - bounds.to_come(rest);
        for last in members(followed[set]) {
            let here = least[set * stops + last];
            if signed(here) * 2 + bounds.onward[last] > most {
                continue;
            }
            let onward = distances.from(last + 1);
            for next in members(rest) {
                let with_next = set | 1 << next;
                followed[with_next] |= 1 << next;
                let there = &mut least[with_next * stops + next];
                *there = (*there).min(here.saturating_add(onward[next + 1]));
            }
        }
    }
    least
}

/// What the rest of a tour costs at least, twice: at each stop its two cheapest ways, for every way is one of two places.
///
/// So that few places share their cheapest ways, each place has a price that all its ways are cheaper by; what a tour goes
/// through costs both prices of each stop more. Source: Held and Karp, "The traveling-salesman problem and minimum spanning
/// trees" (1970), from memory; here with the two cheapest ways in place of a tree.
struct Bounds {
    /// To go on from each stop.
    onward: Vec<i64>,
    /// To come to each stop and to go on from it.
    passing: Vec<i64>,
    /// The dearer of these two ways: an open tour does not go on from its end.
    dearer: Vec<i64>,
    /// To come to the board, where the tour is closed.
    home: Option<i64>,
}

/// Rounds in which the prices of places are found, where there are so many stops that it pays.
const PRICING_ROUNDS: u32 = 25;
const PRICED_STOPS_MIN: usize = 11;

impl Bounds {
    fn of(distances: &Distances, closed: bool, known: Millionths) -> Self {
        // An open tour leaves the board once and does not come back.
        let first = usize::from(!closed);
        let prices = prices(distances, first, known);
        let stops = 1..distances.places();
        let passing = |stop: usize| two_cheapest(distances, &prices, stop, first).map(|way| way.cost);
        let passings: Vec<[i64; 2]> = stops.clone().map(passing).collect();
        let own = |place: usize| 2 * prices[place];
        let from_a_stop = |place: usize| two_cheapest(distances, &prices, place, 1)[0].cost + own(place);
        Self {
            onward: stops.clone().map(from_a_stop).collect(),
            passing: stops.clone().zip(&passings).map(|(stop, [one, other])| one + other + 2 * own(stop)).collect(),
            dearer: stops.zip(&passings).map(|(stop, [_, dearer])| dearer + own(stop)).collect(),
            home: closed.then(|| from_a_stop(0)),
        }
    }

    /// To visit the rest of the stops, and to come home.
    fn to_come(&self, rest: usize) -> i64 {
        let passing: i64 = members(rest).map(|stop| self.passing[stop]).sum();
        let not_gone_on = || members(rest).map(|stop| self.dearer[stop]).max().unwrap_or(0);
        self.home.map_or_else(|| passing - not_gone_on(), |home| passing + home)
    }
}

/// A way between two places, less the prices of both.
#[derive(Clone, Copy)]
struct PricedWay {
    cost: i64,
    to: usize,
}

/// The two cheapest ways at a place, to places from `first` on.
fn two_cheapest(distances: &Distances, prices: &[i64], place: usize, first: usize) -> [PricedWay; 2] {
    let none = PricedWay { cost: signed(Millionths::MAX), to: place };
    let mut cheapest = [none; 2];
    for (to, way) in distances.from(place).iter().enumerate().skip(first).filter(|(to, _)| *to != place) {
        let way = PricedWay { cost: signed(*way) - prices[to] - prices[place], to };
        if way.cost < cheapest[0].cost {
            cheapest = [way, cheapest[0]];
        } else if way.cost < cheapest[1].cost {
            cheapest[1] = way;
        }
    }
    cheapest
}

/// Prices with which the least is as much as a few rounds find: dearer is a place that more than two others want to go to.
fn prices(distances: &Distances, first: usize, known: Millionths) -> Vec<i64> {
    let places = distances.places();
    let mut prices = vec![0; places];
    if places <= PRICED_STOPS_MIN {
        return prices;
    }
    let mut best = (i64::MIN, prices.clone());
    let mut step = signed(known) / (4 * signed(places as Millionths));
    for _ in 0..PRICING_ROUNDS {
        let mut least = 0;
        let mut wanted = vec![0; places];
        for place in first..places {
            for way in two_cheapest(distances, &prices, place, first) {
                least += way.cost + 2 * prices[place];
                wanted[way.to] += 1;
            }
        }
        if least > best.0 {
            best = (least, prices.clone());
        }
        for place in first..places {
            prices[place] += step * (2 - wanted[place]);
        }
        step = step * 9 / 10;
    }
    best.1
}

/// With a sign, so that it may be taken away from; what costs more than any tour is never dearer than it can be summed.
fn signed(cost: Millionths) -> i64 {
    const MOST: i64 = i64::MAX >> 8;
    i64::try_from(cost).map_or(MOST, |cost| cost.min(MOST))
}

/// The stops of a set, the first one first.
fn members(mut set: usize) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let first = (set != 0).then(|| set.trailing_zeros() as usize);
        set &= set.wrapping_sub(1);
        first
    })
}
