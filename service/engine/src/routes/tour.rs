//! The order in which a run visits its points: closed for a ring, open for a radial, a tree where it may branch.
//!
//! Up to [`EXACT_STOPS_MAX`] stops an order is exact. A longer tour is constructed (nearest next) and improved by turning
//! stretches round and by moving short stretches, until neither helps; then it is disturbed a fixed number of times and
//! improved again. A tree is exact (Prim); a radial branches at its points where that is cheaper ([`radial`]).

mod branching;
mod exact;

pub use branching::{Hung, branches, radial};

use crate::unit_rates::Millionths;
use crate::work::{WorkBudget, WorkPart};

/// What it costs to go from each place to each other one; place 0 is the board.
#[derive(Debug, Clone)]
pub struct Distances {
    places: usize,
    costs: Vec<Millionths>,
}

/// How good an order is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SearchEffort {
    /// The best that is found: to be laid.
    Full,
    /// A good one: only to be compared with, and some hundredths longer at worst.
    Quick,
}

impl SearchEffort {
    /// Disturbances of a tour before it is taken as it is.
    const fn disturbances(self) -> usize {
        match self {
            Self::Full => 24,
            Self::Quick => 4,
        }
    }
}

/// Stops up to which the order of a tour is exact; of one that is only compared with, up to fewer.
pub const EXACT_STOPS_MAX: usize = 12;
const EXACT_WHEN_COMPARED_MAX: usize = 7;

/// The exact order where there are few stops and the work for it is left.
fn exact_order(distances: &Distances, closed: bool, effort: SearchEffort, work: &WorkBudget) -> Option<Vec<usize>> {
    let stops = distances.places.saturating_sub(1);
    let few = match effort {
        SearchEffort::Full => EXACT_STOPS_MAX,
        SearchEffort::Quick => EXACT_WHEN_COMPARED_MAX,
    };
    let steps = (stops as u64) << stops.min(EXACT_STOPS_MAX);
    (stops <= few && work.spend(WorkPart::Routes, steps))
        .then(|| exact::order(distances, closed, known(distances, closed)))
}

/// What a fair order costs: the nearest next, improved.
fn known(distances: &Distances, closed: bool) -> Millionths {
    if !closed {
        let with_end = distances.with_end();
        let mut tour = nearest_next(&with_end);
        improve(&with_end, &mut tour, &WorkBudget::unlimited());
        return distances.along(&without_end(&with_end, tour), false);
    }
    let mut tour = nearest_next(distances);
    improve(distances, &mut tour, &WorkBudget::unlimited());
    length(distances, &tour)
}

/// Rounds of improvement of one tour, far more than any takes.
const ROUNDS_MAX: usize = 1_000;

impl Distances {
    /// From a function of two places; both ways cost the same.
    pub fn of(places: usize, mut cost: impl FnMut(usize, usize) -> Millionths) -> Self {
        let mut costs = vec![0; places * places];
        for from in 0..places {
            for to in from + 1..places {
                let cost = cost(from, to);
                costs[from * places + to] = cost;
                costs[to * places + from] = cost;
            }
        }
        Self { places, costs }
    }

    /// From place to place.
    #[must_use]
    pub fn between(&self, from: usize, to: usize) -> Millionths {
        self.costs[from * self.places + to]
    }

    /// An open tour as a closed one: its way home goes by a place that is next to the board and as far as can be from all
    /// others, so that only one of its two ways is dear, whatever the order.
    fn with_end(&self) -> Self {
        let last = self.places;
        let far = self.costs.iter().copied().max().unwrap_or(0).saturating_add(1) * 4;
        Self::of(self.places + 1, |from, to| match (from, to) {
            (0, to) if to == last => 0,
            (_, to) if to == last => far,
            _ => self.between(from, to),
        })
    }

    /// From one place to each other one.
    fn from(&self, place: usize) -> &[Millionths] {
        &self.costs[place * self.places..(place + 1) * self.places]
    }

    /// How many places there are, the board with them.
    #[must_use]
    pub const fn places(&self) -> usize {
        self.places
    }

    /// The cost of visiting places in this order from the board, and coming back if `closed`.
    #[must_use]
    pub fn along(&self, order: &[usize], closed: bool) -> Millionths {
        let mut here = 0;
        let mut cost = 0;
        for next in order {
            cost += self.between(here, *next);
            here = *next;
        }
        if closed { cost + self.between(here, 0) } else { cost }
    }
}

/// A closed tour from the board and back, as the order of the other places.
#[must_use]
pub fn ring(distances: &Distances, effort: SearchEffort, work: &WorkBudget) -> Vec<usize> {
    let Some(mut order) = exact_order(distances, true, effort, work) else {
        return best_tour(distances, effort, work);
    };
    nearer_end_first(distances, &mut order);
    order
}

/// Of the two ways round, the one that starts with the nearer place; the same whatever the order they came in.
fn nearer_end_first(distances: &Distances, order: &mut [usize]) {
    if let (Some(first), Some(last)) = (order.first().copied(), order.last().copied())
        && (distances.between(0, last), last) < (distances.between(0, first), first)
    {
        order.reverse();
    }
}

/// An open tour from the board, as the order of the other places.
#[must_use]
pub fn chain(distances: &Distances, effort: SearchEffort, work: &WorkBudget) -> Vec<usize> {
    if distances.places < 3 {
        return (1..distances.places).collect();
    }
    if let Some(order) = exact_order(distances, false, effort, work) {
        return order;
    }
    let with_end = distances.with_end();
    let order = best_tour(&with_end, effort, work);
    without_end(&with_end, order)
}

/// An order of the stops alone, from the board on.
fn without_end(with_end: &Distances, mut order: Vec<usize>) -> Vec<usize> {
    let last = with_end.places - 1;
    if let Some(board) = order.iter().position(|place| *place == 0) {
        order.rotate_left(board);
        order.remove(0);
    }
    if order.first() == Some(&last) {
        order.reverse();
    }
    order.retain(|place| *place != last);
    order
}

/// The least tree that joins all places to the board: for each place but the board, the place that it hangs on, in
/// the order in which they are joined.
#[must_use]
pub fn tree(distances: &Distances) -> Vec<(usize, usize)> {
    branching::least_tree(distances, 0, usize::MAX).0
}

fn best_tour(distances: &Distances, effort: SearchEffort, work: &WorkBudget) -> Vec<usize> {
    let mut tour: Vec<usize> = nearest_next(distances);
    improve(distances, &mut tour, work);
    if tour.len() < 5 {
        return tour[1..].to_vec();
    }
    let mut best = (length(distances, &tour), tour.clone());
    let mut disturbed = Disturbed::default();
    for _ in 0..effort.disturbances() {
        let mut trial = disturbed.next(&best.1);
        improve(distances, &mut trial, work);
        let cost = length(distances, &trial);
        if cost < best.0 {
            best = (cost, trial);
        }
    }
    let start = best.1.iter().position(|place| *place == 0).unwrap_or(0);
    best.1.rotate_left(start);
    nearer_end_first(distances, &mut best.1[1..]);
    best.1[1..].to_vec()
}

fn length(distances: &Distances, tour: &[usize]) -> Millionths {
    steps_of(distances, tour).sum()
}

fn nearest_next(distances: &Distances) -> Vec<usize> {
    let mut left: Vec<usize> = (1..distances.places).collect();
    let mut tour = vec![0];
    let mut here = 0;
    while let Some((at, _)) =
        left.iter().enumerate().min_by_key(|(_, place)| (distances.between(here, **place), **place))
    {
        here = left.remove(at);
        tour.push(here);
    }
    tour
}

fn improve(distances: &Distances, tour: &mut Vec<usize>, work: &WorkBudget) {
    let mut steps = Vec::with_capacity(tour.len());
    // Each two places are held against each other, in the tenth of the time that a step is taken for.
    let steps_of_a_round = (tour.len() * tour.len() / 8) as u64;
    for _ in 0..ROUNDS_MAX {
        if !work.spend(WorkPart::Routes, steps_of_a_round) {
            return;
        }
        if !turn_a_stretch(distances, tour, &mut steps) && !move_a_stretch(distances, tour, &steps) {
            return;
        }
    }
}

/// What it costs from each place of a tour to the next.
fn steps_of(distances: &Distances, tour: &[usize]) -> impl Iterator<Item = Millionths> {
    let next = tour.iter().skip(1).chain(tour.first());
    tour.iter().zip(next).map(|(from, to)| distances.between(*from, *to))
}

/// The same, written over the steps of before.
fn count_steps(distances: &Distances, tour: &[usize], steps: &mut Vec<Millionths>) {
    steps.clear();
    steps.extend(steps_of(distances, tour));
}

/// Turns stretches round wherever that shortens the tour; `steps` are those of the tour afterwards.
fn turn_a_stretch(distances: &Distances, tour: &mut [usize], steps: &mut Vec<Millionths>) -> bool {
    let places = tour.len();
    let mut better = false;
    count_steps(distances, tour, steps);
    for from in 0..places.saturating_sub(2) {
        let first = tour[from];
        let by_first = distances.from(first);
        let mut by_second = distances.from(tour[from + 1]);
        for to in from + 2..places {
            let after = if to + 1 < places { tour[to + 1] } else { tour[0] };
            let turned = by_first[tour[to]] + by_second[after];
            if turned < steps[from] + steps[to] && after != first {
                tour[from + 1..=to].reverse();
                better = true;
                count_steps(distances, tour, steps);
                by_second = distances.from(tour[from + 1]);
            }
        }
    }
    better
}

/// Moves a stretch of up to three places to where it costs less, either way round.
fn move_a_stretch(distances: &Distances, tour: &mut Vec<usize>, steps: &[Millionths]) -> bool {
    const STRETCH_MAX: usize = 3;
    let places = tour.len();
    for long in 1..=STRETCH_MAX.min(places.saturating_sub(3)) {
        for from in 1..=places - long {
            let (first, last) = (tour[from], tour[from + long - 1]);
            let gap = distances.between(tour[from - 1], tour[(from + long) % places]);
            let saved = (steps[from - 1] + steps[from + long - 1]).saturating_sub(gap);
            if saved == 0 {
                continue;
            }
            let (by_first, by_last) = (distances.from(first), distances.from(last));
            // Not between places of the stretch, nor where it stands.
            for at in (0..from - 1).chain(from + long..places) {
                let (one, other) = (tour[at], tour[if at + 1 < places { at + 1 } else { 0 }]);
                let straight = by_first[one] + by_last[other];
                let turned = by_last[one] + by_first[other];
                if straight.min(turned) < saved + steps[at] {
                    let mut stretch: Vec<usize> = tour.drain(from..from + long).collect();
                    if turned < straight {
                        stretch.reverse();
                    }
                    let place = tour.iter().position(|place| *place == one).map_or(0, |place| place + 1);
                    tour.splice(place..place, stretch);
                    return true;
                }
            }
        }
    }
    false
}

/// Cuts a tour into four and puts the middle two the other way about, at places that a small fixed generator gives.
#[derive(Default)]
struct Disturbed {
    state: u64,
}

impl Disturbed {
    fn next(&mut self, tour: &[usize]) -> Vec<usize> {
        let mut cuts = [self.below(tour.len()), self.below(tour.len()), self.below(tour.len())];
        cuts.sort_unstable();
        let [one, two, three] = cuts;
        [&tour[..one], &tour[two..three], &tour[one..two], &tour[three..]].concat()
    }

    /// A step of the splitmix generator. Source: Steele, Lea and Flood, "Fast splittable pseudorandom number
    /// generators" (2014), from memory.
    fn below(&mut self, limit: usize) -> usize {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        let mixed = mixed ^ (mixed >> 31);
        usize::try_from(mixed % (limit.max(1) as u64)).unwrap_or(0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on_a_line(places: &[i64]) -> Distances {
        Distances::of(places.len(), |from, to| places[from].abs_diff(places[to]))
    }

    #[test]
    fn a_radial_along_a_corridor_goes_from_the_near_end_to_the_far_one() {
        let order = chain(&on_a_line(&[0, 30, 10, 20, 40]), SearchEffort::Full, &WorkBudget::unlimited());
        assert_eq!(order, [2, 3, 1, 4]);
    }

    #[test]
    fn a_ring_along_a_corridor_is_there_and_back() {
        let distances = on_a_line(&[0, 30, 10, 20, 40]);
        assert_eq!(distances.along(&ring(&distances, SearchEffort::Full, &WorkBudget::unlimited()), true), 80);
    }

    #[test]
    fn a_tree_of_a_star_hangs_every_light_on_the_board() {
        let distances = Distances::of(4, |from, _| if from == 0 { 1 } else { 2 });
        assert_eq!(tree(&distances), [(1, 0), (2, 0), (3, 0)]);
    }

    #[test]
    fn nothing_to_visit_is_no_way_at_all() {
        let none = on_a_line(&[0]);
        assert!(
            ring(&none, SearchEffort::Full, &WorkBudget::unlimited()).is_empty()
                && chain(&none, SearchEffort::Full, &WorkBudget::unlimited()).is_empty()
                && tree(&none).is_empty()
        );
    }
}
