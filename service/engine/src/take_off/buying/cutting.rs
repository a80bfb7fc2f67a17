//! Cables cut from drums at least cost: a cutting-stock problem with several stock lengths.
//!
//! Choices of drums are weighed from the cheapest upwards, and the first from which all pieces can be cut is taken. It is
//! proved the cheapest when every cheaper one is proved impossible; where the steps run out first, the plan says from
//! which cost on nothing is proved. In: lengths in hundredths of a metre. Work is bounded by the limits.

use std::collections::BTreeSet;

use super::cover::{Choice, Pack, cheapest, cost};
use crate::limits::{CUTTING_CHOICES_MAX, CUTTING_DRUMS_MAX};

/// What is cut from which drums.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CuttingPlan {
    /// Drums of each size, in the order of the sizes.
    pub counts: Vec<u64>,
    /// What they cost, in pennies.
    pub cost: u64,
    /// No plan costs less than this; the same as `cost` where the plan is proved the cheapest.
    pub at_least: u64,
    /// Each drum with its size and its cuts, the longest first.
    pub drums: Vec<Drum>,
    /// Pieces longer than any drum, which take a joint each time that a drum ends.
    pub joints: u64,
}

/// A drum and what is cut from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drum {
    /// Its place in the list of sizes.
    pub pack: usize,
    /// The cuts.
    pub cuts: Vec<u64>,
}

/// Whether pieces can be cut from given drums.
enum Verdict {
    Fits(Vec<Drum>),
    Impossible,
    /// The steps ran out before either was shown.
    Open,
}

/// Plans the cuts. `steps` is what may still be spent on proofs.
#[must_use]
pub fn plan(pieces: &[u64], packs: &[Pack], steps: &mut u64) -> CuttingPlan {
    let longest_drum = packs.iter().map(|pack| pack.size).max().unwrap_or(1).max(1);
    let (pieces, joints) = jointed(pieces, longest_drum);
    let total: u64 = pieces.iter().sum();
    let first = cheapest(packs, total, pieces.first().copied().unwrap_or(0));
    let by_rule = by_rule(&pieces, packs);
    let mut best = CuttingPlan { at_least: first.at_least.min(by_rule.cost), joints, ..by_rule };
    if best.cost > best.at_least && first.packs() <= CUTTING_DRUMS_MAX {
        let (choices, complete) = choices(packs, total, pieces.first().copied().unwrap_or(0), best.cost);
        best = search(best, choices, complete, &pieces, packs, steps);
    }
    best
}

/// Pieces, the longest first; those that no drum holds cut up into drums and a rest.
fn jointed(pieces: &[u64], longest_drum: u64) -> (Vec<u64>, u64) {
    let mut joints = 0;
    let mut whole = Vec::with_capacity(pieces.len());
    for piece in pieces.iter().copied().filter(|piece| *piece > 0) {
        let mut left = piece;
        while left > longest_drum {
            whole.push(longest_drum);
            left -= longest_drum;
            joints += 1;
        }
        whole.push(left);
    }
    whole.sort_unstable_by(|a, b| b.cmp(a));
    (whole, joints)
}

/// A plan without a search: the cheapest drums for the metres, and for what does not fit on them the same again.
fn by_rule(pieces: &[u64], packs: &[Pack]) -> CuttingPlan {
    let mut drums: Vec<Drum> = Vec::new();
    let mut left: Vec<u64> = pieces.to_vec();
    while let Some(longest) = left.first().copied() {
        let choice = cheapest(packs, left.iter().sum(), longest);
        let (mut filled, rest) = best_fit(&left, packs, &choice.counts);
        filled.retain(|drum| !drum.cuts.is_empty());
        drums.append(&mut filled);
        left = rest;
    }
    of_drums(drums, packs)
}

fn of_drums(mut drums: Vec<Drum>, packs: &[Pack]) -> CuttingPlan {
    drums.sort_by(|a, b| a.pack.cmp(&b.pack).then_with(|| b.cuts.cmp(&a.cuts)));
    let mut counts = vec![0; packs.len()];
    for drum in &drums {
        counts[drum.pack] += 1;
    }
    let cost = cost(&counts, packs);
    CuttingPlan { counts, cost, at_least: cost, drums, joints: 0 }
}

/// Each piece, the longest first, on the drum on which it leaves least; what fits on none is given back.
fn best_fit(pieces: &[u64], packs: &[Pack], counts: &[u64]) -> (Vec<Drum>, Vec<u64>) {
    let mut drums: Vec<Drum> = Vec::new();
    let mut room: BTreeSet<(u64, usize)> = BTreeSet::new();
    for (pack, count) in counts.iter().enumerate() {
        for _ in 0..*count {
            room.insert((packs[pack].size, drums.len()));
            drums.push(Drum { pack, cuts: Vec::new() });
        }
    }
    let mut rest = Vec::new();
    for piece in pieces {
        match room.range((*piece, 0)..).next().copied() {
            Some((left, drum)) => {
                room.remove(&(left, drum));
                room.insert((left - piece, drum));
                drums[drum].cuts.push(*piece);
            }
            None => rest.push(*piece),
        }
    }
    (drums, rest)
}

/// Every choice of drums that holds the metres and the longest piece and costs less than `below`, the cheapest first; and
/// whether these are all. At most [`CUTTING_CHOICES_MAX`], from a look at ten times as many.
fn choices(packs: &[Pack], total: u64, longest: u64, below: u64) -> (Vec<Choice>, bool) {
    let mut found = Vec::new();
    let mut counts = vec![0; packs.len()];
    let mut looks = 10 * CUTTING_CHOICES_MAX;
    let complete = count_up(packs, 0, below, &mut counts, &mut |counts, cost| {
        let choice = Choice { counts: counts.to_vec(), cost, at_least: cost };
        let holds_longest = counts.iter().zip(packs).any(|(count, pack)| *count > 0 && pack.size >= longest);
        if holds_longest && choice.holds(packs) >= total {
            found.push(choice);
        }
        looks = looks.saturating_sub(1);
        found.len() < CUTTING_CHOICES_MAX && looks > 0
    });
    // Of two that cost the same, the one with more on it: it is the easier to cut from.
    found.sort_by(|a, b| a.cost.cmp(&b.cost).then_with(|| b.holds(packs).cmp(&a.holds(packs))));
    (found, complete)
}

/// Calls `look` with every vector of counts that costs less than `below`, until it says no.
fn count_up(
    packs: &[Pack],
    at: usize,
    below: u64,
    counts: &mut Vec<u64>,
    look: &mut impl FnMut(&[u64], u64) -> bool,
) -> bool {
    let cost = cost(counts, packs);
    if at == packs.len() {
        return look(counts, cost);
    }
    let price = packs[at].price.max(1);
    let most = (below.saturating_sub(1).saturating_sub(cost) / price).min(CUTTING_DRUMS_MAX);
    for count in 0..=most {
        counts[at] = count;
        if !count_up(packs, at + 1, below, counts, look) {
            counts[at] = 0;
            return false;
        }
    }
    counts[at] = 0;
    true
}

fn search(
    by_rule: CuttingPlan,
    choices: Vec<Choice>,
    complete: bool,
    pieces: &[u64],
    packs: &[Pack],
    steps: &mut u64,
) -> CuttingPlan {
    let (joints, bound) = (by_rule.joints, by_rule.at_least);
    let mut open = None;
    for choice in choices {
        match fits(pieces, packs, &choice.counts, steps) {
            Verdict::Fits(drums) => {
                let plan = of_drums(drums, packs);
                let at_least = open.unwrap_or(if complete { plan.cost } else { bound }).min(plan.cost);
                return CuttingPlan { at_least, joints, ..plan };
            }
            Verdict::Impossible => {}
            Verdict::Open => open = open.or(Some(choice.cost)),
        }
    }
    let at_least = open.unwrap_or(if complete { by_rule.cost } else { bound });
    CuttingPlan { at_least, ..by_rule }
}

/// Whether all pieces can be cut from these drums: by rule first, then by trying everything.
fn fits(pieces: &[u64], packs: &[Pack], counts: &[u64], steps: &mut u64) -> Verdict {
    let (mut drums, rest) = best_fit(pieces, packs, counts);
    if rest.is_empty() {
        drums.retain(|drum| !drum.cuts.is_empty());
        return Verdict::Fits(drums);
    }
    for drum in &mut drums {
        drum.cuts.clear();
    }
    // Large drums first: they leave the least choice.
    drums.sort_by(|a, b| packs[b.pack].size.cmp(&packs[a.pack].size));
    let holds: u64 = drums.iter().map(|drum| packs[drum.pack].size).sum();
    let Some(slack) = holds.checked_sub(pieces.iter().sum()) else { return Verdict::Impossible };
    let mut lengths: Vec<(u64, u64)> = Vec::new();
    for piece in pieces {
        match lengths.last_mut() {
            Some((length, count)) if length == piece => *count += 1,
            _ => lengths.push((*piece, 1)),
        }
    }
    if lengths.len() * drums.len() > DEPTH_MAX || pieces.len() > DEPTH_MAX {
        return Verdict::Open;
    }
    let (found, mut drums) = if slack * TIGHT_ONE_IN < holds {
        let mut filling = Filling { packs, lengths, drums, steps };
        (filling.drum(0, slack), filling.drums)
    } else {
        let room = drums.iter().map(|drum| packs[drum.pack].size).collect();
        let mut placing = Placing { pieces, room, drums, left: pieces.iter().sum(), steps };
        (placing.piece(0, None), placing.drums)
    };
    match found {
        Some(true) => {
            drums.retain(|drum| !drum.cuts.is_empty());
            Verdict::Fits(drums)
        }
        Some(false) => Verdict::Impossible,
        None => Verdict::Open,
    }
}

/// Where less than one part in so many is left over in all, drums are filled; where more, pieces are placed. Found by trying
/// on generated lengths.
const TIGHT_ONE_IN: u64 = 20;

/// Deepest trail that is tried: a call for each length on each drum.
const DEPTH_MAX: usize = 2_000;

/// Drums filled one after the other. What all of them leave together is known beforehand, so a drum that leaves more than
/// that is given up at once.
struct Filling<'a> {
    packs: &'a [Pack],
    /// Lengths, the longest first, and how many pieces of each are left.
    lengths: Vec<(u64, u64)>,
    drums: Vec<Drum>,
    steps: &'a mut u64,
}

impl Filling<'_> {
    /// Fills this drum and all after it, leaving no more than `slack` in all. None where the steps run out.
    fn drum(&mut self, drum: usize, slack: u64) -> Option<bool> {
        let Some(pack) = self.drums.get(drum).map(|drum| drum.pack) else {
            return Some(self.lengths.iter().all(|(_, count)| *count == 0));
        };
        // From here on the drums are alike, so the longest piece left may as well go on this one.
        let alike = self.drums[drum..].iter().all(|other| other.pack == pack);
        self.fill(drum, 0, self.packs[pack].size, slack, alike)
    }

    /// Goes on with the lengths from `at` on. `longest_first` where the first length that is left has to be cut here.
    fn fill(&mut self, drum: usize, at: usize, room: u64, slack: u64, longest_first: bool) -> Option<bool> {
        if *self.steps == 0 {
            return None;
        }
        *self.steps -= 1;
        let Some((length, left)) = self.lengths.get(at).copied() else {
            return if room <= slack { self.drum(drum + 1, slack - room) } else { Some(false) };
        };
        // All that could still come on this drum would leave too much of it.
        let to_come: u64 = self.lengths[at..].iter().map(|(length, count)| length * count).sum();
        if to_come + slack < room {
            return Some(false);
        }
        let most = (room / length).min(left);
        let least = u64::from(longest_first && left > 0);
        for count in (least..=most).rev() {
            self.lengths[at].1 -= count;
            let cuts = self.drums[drum].cuts.len();
            self.drums[drum].cuts.extend(std::iter::repeat_n(length, usize::try_from(count).unwrap_or(0)));
            let filled = self.fill(drum, at + 1, room - count * length, slack, longest_first && left == 0);
            if filled != Some(false) {
                return filled;
            }
            self.drums[drum].cuts.truncate(cuts);
            self.lengths[at].1 += count;
        }
        Some(false)
    }
}

/// Pieces placed one after the other, the longest first, each on every drum that still has room for it.
struct Placing<'a> {
    pieces: &'a [u64],
    /// What is left on each drum.
    room: Vec<u64>,
    drums: Vec<Drum>,
    /// What is still to be placed.
    left: u64,
    steps: &'a mut u64,
}

impl Placing<'_> {
    /// Places this piece and all after it; `before` is the drum of the piece before. None where the steps run out.
    fn piece(&mut self, at: usize, before: Option<usize>) -> Option<bool> {
        let Some(piece) = self.pieces.get(at).copied() else { return Some(true) };
        if *self.steps == 0 {
            return None;
        }
        *self.steps -= 1;
        let shortest = self.pieces.last().copied().unwrap_or(0);
        let usable: u64 = self.room.iter().filter(|room| **room >= shortest).sum();
        if usable < self.left {
            return Some(false);
        }
        // Equal pieces are alike: the later one never goes before the earlier.
        let twin = before.filter(|_| at > 0 && self.pieces[at - 1] == piece).unwrap_or(0);
        for drum in twin..self.room.len() {
            let room = self.room[drum];
            // Drums with the same left on them are alike: the first of them stands for all.
            if room < piece || self.room[twin..drum].contains(&room) {
                continue;
            }
            self.room[drum] -= piece;
            self.left -= piece;
            self.drums[drum].cuts.push(piece);
            let placed = self.piece(at + 1, Some(drum));
            if placed != Some(false) {
                return placed;
            }
            self.drums[drum].cuts.pop();
            self.left += piece;
            self.room[drum] += piece;
        }
        Some(false)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DRUMS: [Pack; 2] = [Pack { size: 10_000, price: 8_800 }, Pack { size: 5_000, price: 4_700 }];

    fn planned(pieces: &[u64]) -> CuttingPlan {
        plan(pieces, &DRUMS, &mut 100_000)
    }

    #[test]
    fn three_runs_of_forty_metres_do_not_come_from_a_hundred_and_twenty_metres() {
        // 120 m would be 100 + 50 by the metre (135.00), and 100 m gives two of them and 50 m the third.
        let plan = planned(&[4_000, 4_000, 4_000]);
        assert_eq!((plan.counts.as_slice(), plan.cost, plan.at_least), ([1, 1].as_slice(), 13_500, 13_500));
    }

    #[test]
    fn three_runs_of_sixty_metres_want_three_drums_though_the_metres_would_fit_on_two() {
        let plan = planned(&[6_000, 6_000, 6_000]);
        assert_eq!((plan.counts.as_slice(), plan.cost, plan.at_least), ([3, 0].as_slice(), 26_400, 26_400));
    }

    #[test]
    fn a_run_longer_than_any_drum_takes_a_joint_and_says_so() {
        let plan = planned(&[25_000]);
        assert_eq!((plan.joints, plan.counts.as_slice()), (2, [2, 1].as_slice()));
    }

    #[test]
    fn every_piece_is_cut_once_and_no_drum_gives_more_than_it_holds() {
        let pieces: Vec<u64> = (0..120).map(|n| 300 + (n * 7_919) % 2_700).collect();
        let plan = planned(&pieces);
        let mut cut: Vec<u64> = plan.drums.iter().flat_map(|drum| drum.cuts.clone()).collect();
        let mut wanted = pieces;
        cut.sort_unstable();
        wanted.sort_unstable();
        assert_eq!(cut, wanted);
        for drum in &plan.drums {
            assert!(drum.cuts.iter().sum::<u64>() <= DRUMS[drum.pack].size);
        }
        assert_eq!(plan.drums.len() as u64, plan.counts.iter().sum::<u64>());
    }

    #[test]
    fn where_the_steps_run_out_the_plan_stands_with_its_gap() {
        let pieces: Vec<u64> = [3_334; 9].to_vec();
        let none = plan(&pieces, &DRUMS, &mut 0);
        assert!(none.at_least < none.cost);
        let some = planned(&pieces);
        assert!(some.cost <= none.cost && some.at_least == some.cost, "{some:?}");
    }
}
