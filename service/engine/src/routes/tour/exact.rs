//! Exact orders of few stops, by dynamic programming over the sets of stops visited so far.
//!
//! Source: Held and Karp, "A dynamic programming approach to sequencing problems" (1962), from memory.

use super::Distances;
use crate::unit_rates::Millionths;

/// The cheapest order in which to visit all places from the board, and back to it if `closed`. Takes `n² 2ⁿ` steps for `n`
/// stops.
#[must_use]
pub fn order(distances: &Distances, closed: bool) -> Vec<usize> {
    let stops = distances.places().saturating_sub(1);
    if stops < 2 {
        return (1..=stops).collect();
    }
    let all = (1_usize << stops) - 1;
    let least = reached(distances, stops);
    let home = |last: usize| if closed { distances.between(last + 1, 0) } else { 0 };
    let whole = |last: &usize| least[all * stops + last].saturating_add(home(*last));
    let mut last = (0..stops).min_by_key(whole).unwrap_or(0);
    let mut set = all;
    let mut order = vec![last + 1];
    // Backwards: the stop before is the one from which the last was reached at that cost.
    while order.len() < stops {
        let before = set & !(1 << last);
        let by = |from: &usize| least[before * stops + from].saturating_add(distances.between(from + 1, last + 1));
        let Some(from) = (0..stops).filter(|from| before >> from & 1 == 1).min_by_key(by) else { break };
        order.push(from + 1);
        (set, last) = (before, from);
    }
    order.reverse();
    order
}

/// What it costs at least to have visited a set of stops and to stand at one of them: by set, then by stop.
fn reached(distances: &Distances, stops: usize) -> Vec<Millionths> {
    let mut least = vec![Millionths::MAX; stops << stops];
    for stop in 0..stops {
        least[(1 << stop) * stops + stop] = distances.between(0, stop + 1);
    }
    for set in 1..1_usize << stops {
        for last in (0..stops).filter(|last| set >> last & 1 == 1) {
            let here = least[set * stops + last];
            if here == Millionths::MAX {
                continue;
            }
            let onward = distances.from(last + 1);
            for next in (0..stops).filter(|next| set >> next & 1 == 0) {
                let there = &mut least[(set | 1 << next) * stops + next];
                *there = (*there).min(here.saturating_add(onward[next + 1]));
            }
        }
    }
    least
}
