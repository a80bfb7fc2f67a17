//! The cheapest choice of packs that together hold enough: an unbounded knapsack, turned round.

use crate::limits::COVER_STEPS_MAX;

/// A size in which something is sold. Lengths are in hundredths of the unit, prices in pennies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pack {
    /// How much is in it.
    pub size: u64,
    /// What it costs.
    pub price: u64,
}

/// Packs by their place in the list of sizes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// How many of each size.
    pub counts: Vec<u64>,
    /// What they cost.
    pub cost: u64,
    /// No choice costs less than this; the same as `cost` where the choice is proved the cheapest.
    pub at_least: u64,
}

impl Choice {
    /// How many packs.
    #[must_use]
    pub fn packs(&self) -> u64 {
        self.counts.iter().sum()
    }

    /// How much is in them.
    #[must_use]
    pub fn holds(&self, packs: &[Pack]) -> u64 {
        holds(&self.counts, packs)
    }
}

/// How much is in so many packs of each size.
pub(super) fn holds(counts: &[u64], packs: &[Pack]) -> u64 {
    sum(counts.iter().zip(packs).map(|(count, pack)| count.saturating_mul(pack.size)))
}

/// What so many packs of each size cost.
pub(super) fn cost(counts: &[u64], packs: &[Pack]) -> u64 {
    sum(counts.iter().zip(packs).map(|(count, pack)| count.saturating_mul(pack.price)))
}

/// A sum that ends at the largest number: prices of sheets from before the rules may be of any size.
fn sum(terms: impl Iterator<Item = u64>) -> u64 {
    terms.fold(0, u64::saturating_add)
}

/// The cheapest packs that hold `wanted`, one of them at least `longest` in size. Work is bounded by [`COVER_STEPS_MAX`]
/// times the sizes.
///
/// # Panics
/// Never, as long as there is a size and none is empty, which [`super::buying`] sees to.
#[must_use]
pub fn cheapest(packs: &[Pack], wanted: u64, longest: u64) -> Choice {
    let step = packs.iter().map(|pack| pack.size).fold(0, gcd).max(1);
    let usual = usual(packs);
    // Of the other sizes there are never as many as the usual one has steps: so many would be dearer than usual ones.
    let others = sum(packs.iter().map(|pack| (packs[usual].size / step).saturating_mul(pack.size / step)));
    let longest_step = packs.iter().map(|pack| pack.size / step).max().unwrap_or(1);
    let all = wanted.div_ceil(step);
    let range = others.saturating_add(longest_step).min(COVER_STEPS_MAX);
    let in_bulk = all.saturating_sub(range).div_ceil((packs[usual].size / step).max(1));
    let rest = all.saturating_sub(in_bulk * (packs[usual].size / step));
    let proved = in_bulk == 0 || others.saturating_add(longest_step) <= COVER_STEPS_MAX;

    let table = table(packs, step, rest);
    let with = |first: usize| {
        let left = rest.saturating_sub(packs[first].size / step);
        table.get(usize::try_from(left).unwrap_or(usize::MAX)).map(|(cost, _)| cost.saturating_add(packs[first].price))
    };
    // One pack of the right size is there in any case, and which it is decides the rest.
    let must =
        (0..packs.len()).filter(|index| packs[*index].size >= longest).min_by_key(|index| (with(*index), *index));
    let first = must.unwrap_or(usual);
    let mut counts = vec![0; packs.len()];
    counts[first] = 1;
    counts[usual] += in_bulk;
    let mut left = rest.saturating_sub(packs[first].size / step);
    while left > 0 {
        let taken = usize::try_from(left).ok().and_then(|left| table.get(left)).map_or(usual, |(_, taken)| *taken);
        counts[taken] += 1;
        left = left.saturating_sub(packs[taken].size / step);
    }
    let cost = cost(&counts, packs);
    // By the unit price of the usual pack, which is the lowest.
    let by_unit_price = u128::from(wanted) * u128::from(packs[usual].price) / u128::from(packs[usual].size.max(1));
    let at_least = u64::try_from(by_unit_price).unwrap_or(u64::MAX);
    Choice { counts, cost, at_least: if proved { cost } else { at_least.min(cost) } }
}

/// The size with the lowest price for its length.
fn usual(packs: &[Pack]) -> usize {
    let product = |price: u64, size: u64| u128::from(price) * u128::from(size);
    let dearer = |a: &Pack, b: &Pack| product(a.price, b.size).cmp(&product(b.price, a.size)).then(b.size.cmp(&a.size));
    (0..packs.len()).min_by(|a, b| dearer(&packs[*a], &packs[*b])).unwrap_or(0)
}

/// For every length up to `most`, in steps: the least cost that covers it and the pack that is taken first.
fn table(packs: &[Pack], step: u64, most: u64) -> Vec<(u64, usize)> {
    let most = usize::try_from(most).unwrap_or(0);
    let mut table: Vec<(u64, usize)> = Vec::with_capacity(most + 1);
    table.push((0, 0));
    for length in 1..=most {
        let best = packs
            .iter()
            .enumerate()
            .map(|(index, pack)| {
                let size = usize::try_from(pack.size / step).unwrap_or(usize::MAX);
                (table[length.saturating_sub(size)].0.saturating_add(pack.price), index)
            })
            .min();
        table.push(best.unwrap_or((0, 0)));
    }
    table
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DRUMS: [Pack; 3] =
        [Pack { size: 10_000, price: 8_800 }, Pack { size: 5_000, price: 4_700 }, Pack { size: 2_500, price: 2_600 }];

    #[test]
    fn thirty_metres_come_on_a_drum_of_fifty_and_not_on_two_of_twenty_five() {
        let choice = cheapest(&DRUMS, 3_000, 0);
        assert_eq!((choice.counts, choice.cost), (vec![0, 1, 0], 4_700));
    }

    #[test]
    fn a_hundred_and_twenty_metres_come_as_a_hundred_and_twenty_five() {
        let choice = cheapest(&DRUMS, 12_000, 0);
        assert_eq!((choice.counts, choice.cost, choice.at_least), (vec![1, 0, 1], 11_400, 11_400));
    }

    #[test]
    fn a_piece_of_sixty_metres_wants_a_drum_that_holds_it() {
        let choice = cheapest(&DRUMS, 6_000, 6_000);
        assert_eq!(choice.counts, [1, 0, 0]);
    }

    #[test]
    fn a_block_of_flats_takes_the_usual_drum_in_bulk_and_is_still_the_cheapest() {
        let choice = cheapest(&DRUMS, 100_012_000, 0);
        assert_eq!(choice.counts, [10_001, 0, 1]);
        assert_eq!(choice.cost, choice.at_least);
        assert_eq!(choice.packs(), 10_002);
    }

    #[test]
    fn prices_beyond_all_reason_are_compared_and_added_without_overflow() {
        let packs = [Pack { size: 10_000_000, price: u64::MAX / 2 }, Pack { size: 1, price: u64::MAX / 3 }];
        let choice = cheapest(&packs, 3_000_000_000, 0);
        assert!(choice.holds(&packs) >= 3_000_000_000);
        assert_eq!(choice.cost, u64::MAX);
    }

    #[test]
    fn every_choice_holds_what_is_wanted_and_none_found_by_trying_all_is_cheaper() {
        let packs = [Pack { size: 30_500, price: 13_800 }, Pack { size: 10_000, price: 5_200 }];
        for wanted in (100..90_000).step_by(731) {
            let choice = cheapest(&packs, wanted, 0);
            assert!(choice.holds(&packs) >= wanted);
            let by_trying = (0..4_u64)
                .flat_map(|boxes| (0..10_u64).map(move |small| (boxes, small)))
                .filter(|(boxes, small)| boxes * 30_500 + small * 10_000 >= wanted)
                .map(|(boxes, small)| boxes * 13_800 + small * 5_200)
                .min();
            assert_eq!(Some(choice.cost), by_trying, "{wanted}");
        }
    }
}
