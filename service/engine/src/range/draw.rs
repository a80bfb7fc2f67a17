//! The draws: the whole job priced 16,384 times over, in blocks of flat arrays.
//!
//! Cost: one look-up and one product for each cause and draw; the demonstration house takes about half a million.

use super::lattice::{Coordinate, DIMENSIONS, DRAWS, coordinates};
use super::model::{Alternative, Cause, DrawSetup, Effect};
use super::shapes::{Edges, STEP_BITS, STEPS};
use crate::pricing::Cost;

/// Draws that are worked on at a time, so that they stay near the processor.
const BLOCK: usize = 1024;

/// Costs of the job, cheapest first.
#[derive(Debug, Clone)]
pub(super) struct Draws {
    sorted: Vec<f32>,
    mean: f64,
}

impl Draws {
    /// Draws the whole job. `seed` decides where the draws stand.
    pub(super) fn of(drawing: &DrawSetup<'_>, seed: [u8; 32]) -> Self {
        let model = drawing.model;
        let coordinates = coordinates(seed);
        let crew = Table::of(&drawing.shapes.log_normal(model.crew_sigma), 1.0);
        let prices = Table::of(&drawing.shapes.log_normal(model.prices_sigma), 1.0);
        let causes: Vec<Drawn> = model.causes.iter().map(|cause| Drawn::of(&cause.effect, drawing)).collect();
        let always = always(&model.causes);
        let mut costs = Vec::with_capacity(DRAWS);
        let mut labour = [0.0f32; BLOCK];
        let mut materials = [0.0f32; BLOCK];
        for first in (0..DRAWS).step_by(BLOCK) {
            labour.fill(0.0);
            materials.fill(0.0);
            // The two common factors take the first coordinates, the largest causes the next.
            for (cause, coordinate) in causes.iter().zip(&coordinates[2..]) {
                cause.add(*coordinate, first, &mut labour, &mut materials);
            }
            let base = model.base + always;
            crew.multiply(coordinates[0], first, base.labour, &mut labour);
            prices.multiply(coordinates[1], first, base.materials, &mut materials);
            let fixed = single(model.fixed);
            costs
                .extend(labour.iter().zip(&materials).map(|(labour, materials)| (labour + materials + fixed).max(0.0)));
        }
        let mean = costs.iter().map(|cost| f64::from(*cost)).sum::<f64>() / COUNT;
        Self { sorted: sorted(&costs), mean }
    }

    /// Their mean.
    pub(super) fn mean(&self) -> f64 {
        self.mean
    }

    /// The cost that this share of the draws does not exceed, on a straight line between the two nearest.
    pub(super) fn quantile(&self, probability: f64) -> f64 {
        let place = probability.clamp(0.0, 1.0) * (COUNT - 1.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held to the draws")]
        let below = (place as usize).min(DRAWS - 2);
        #[expect(clippy::cast_precision_loss, reason = "16,384")]
        let between = place - below as f64;
        let (low, high) = (f64::from(self.sorted[below]), f64::from(self.sorted[below + 1]));
        low + (high - low) * between
    }

    /// How many draws cost less.
    pub(super) fn below(&self, cost: f64) -> usize {
        self.sorted.partition_point(|drawn| f64::from(*drawn) < cost)
    }
}

#[expect(clippy::cast_precision_loss, reason = "16,384")]
const COUNT: f64 = DRAWS as f64;

/// Statistics need no more than seven digits, and take half the room so.
#[expect(clippy::cast_possible_truncation, reason = "seven digits are plenty for statistics")]
const fn single(figure: f64) -> f32 {
    figure as f32
}

/// Figures of zero and above have the order of their bits: they are dealt out by a third of their bits after the other, in
/// a fraction of the time of comparing them.
fn sorted(costs: &[f32]) -> Vec<f32> {
    const DIGIT_BITS: u32 = 11;
    const DIGITS: usize = 1 << DIGIT_BITS;
    let mut bits: Vec<u32> = costs.iter().map(|cost| cost.to_bits()).collect();
    let mut dealt = vec![0_u32; bits.len()];
    for shift in (0..u32::BITS).step_by(DIGIT_BITS as usize) {
        let digit = |one: u32| (one >> shift) as usize & (DIGITS - 1);
        let mut places = [0_usize; DIGITS];
        bits.iter().for_each(|one| places[digit(*one)] += 1);
        let mut before = 0;
        for place in &mut places {
            before += std::mem::replace(place, before);
        }
        for one in &bits {
            let place = &mut places[digit(*one)];
            dealt[*place] = *one;
            *place += 1;
        }
        std::mem::swap(&mut bits, &mut dealt);
    }
    bits.into_iter().map(f32::from_bits).collect()
}

/// A table of quantiles made ready for what multiplies the whole job: each step's lower edge, and how far it rises.
struct Table(Box<[[f32; 2]; STEPS]>);

/// A table made ready for what one cause adds: its value in the middle of each half step. What lies between is lost in the sum
/// of all, and a draw takes half the time.
struct Halves(Box<[f32; 2 * STEPS]>);

impl Halves {
    fn of(edges: &Edges, times: f64) -> Self {
        let half = |index: usize| {
            let (edge, rise) = (edges[index / 2], edges[index / 2 + 1] - edges[index / 2]);
            single((edge + rise * if index.is_multiple_of(2) { 0.25 } else { 0.75 }) * times)
        };
        Self(Box::new(std::array::from_fn(half)))
    }

    fn add(&self, coordinate: Coordinate, first: usize, sums: &mut [f32; BLOCK]) {
        let mut at = coordinate.at(first);
        for sum in sums {
            *sum += self.0[(at >> (32 - STEP_BITS - 1)) as usize];
            at = coordinate.after(at);
        }
    }
}

impl Table {
    fn of(edges: &Edges, times: f64) -> Self {
        let step = |step: usize| [single(edges[step] * times), single((edges[step + 1] - edges[step]) * times)];
        Self(Box::new(std::array::from_fn(step)))
    }

    fn value(&self, at: u32) -> f32 {
        /// What of a probability lies within a step.
        const WITHIN: u32 = (1 << (32 - STEP_BITS)) - 1;
        #[expect(clippy::cast_precision_loss, reason = "23 bits")]
        const UNIT: f32 = 1.0 / (WITHIN as f32 + 1.0);
        let [edge, rise] = self.0[(at >> (32 - STEP_BITS)) as usize];
        #[expect(clippy::cast_precision_loss, reason = "23 bits")]
        let within = (at & WITHIN) as f32;
        edge + rise * (within * UNIT)
    }

    /// The base joins what was added, and all of it is multiplied.
    fn multiply(&self, coordinate: Coordinate, first: usize, base: f64, sums: &mut [f32; BLOCK]) {
        let base = single(base);
        let mut at = coordinate.at(first);
        for sum in sums {
            *sum = (*sum + base) * self.value(at);
            at = coordinate.after(at);
        }
    }
}

/// A cause made ready to be drawn.
enum Drawn {
    /// It moves labour alone.
    Labour(Halves),
    /// It moves both in step.
    Both { labour: Halves, materials: Halves },
    /// It is one of a few: what each but the first adds to the one before it.
    Steps(Vec<Step>),
}

impl Drawn {
    fn of(effect: &Effect, drawing: &DrawSetup<'_>) -> Self {
        match effect {
            Effect::ThreePoint { deviation, mode } => {
                Self::Labour(Halves::of(drawing.shapes.three_point(*mode), *deviation))
            }
            Effect::Small { deviation } => Self::Labour(Halves::of(drawing.shapes.normal(), *deviation)),
            Effect::Part { of, sigma } => {
                let factor = drawing.shapes.log_normal(*sigma).map(|edge| edge - 1.0);
                Self::Both { labour: Halves::of(&factor, of.labour), materials: Halves::of(&factor, of.materials) }
            }
            Effect::Alternatives(alternatives) => Self::Steps(steps(alternatives).skip(1).collect()),
        }
    }

    fn add(&self, coordinate: Coordinate, first: usize, labour: &mut [f32; BLOCK], materials: &mut [f32; BLOCK]) {
        match self {
            Self::Labour(table) => table.add(coordinate, first, labour),
            Self::Both { labour: of_labour, materials: of_materials } => {
                of_labour.add(coordinate, first, labour);
                of_materials.add(coordinate, first, materials);
            }
            Self::Steps(steps) => {
                for step in steps {
                    step.add(step.labour, coordinate, first, labour);
                    step.add(step.materials, coordinate, first, materials);
                }
            }
        }
    }
}

/// What an alternative adds to the one before it.
struct Step {
    /// The probability at which it begins.
    begins: u32,
    labour: f32,
    materials: f32,
}

impl Step {
    fn add(&self, more: f32, coordinate: Coordinate, first: usize, sums: &mut [f32; BLOCK]) {
        if more == 0.0 {
            return;
        }
        let mut at = coordinate.at(first);
        for sum in sums {
            *sum += if at >= self.begins { more } else { 0.0 };
            at = coordinate.after(at);
        }
    }
}

/// Each alternative as what it adds to the one before it; the first one is there from the start.
fn steps(alternatives: &[Alternative]) -> impl Iterator<Item = Step> {
    let mut begins = 0.0;
    let mut before = Cost::ZERO;
    alternatives.iter().map(move |one| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a float's cast is held to u32")]
        let at = (begins * 4_294_967_296.0) as u32;
        let more = one.adds - before;
        before = one.adds;
        begins += one.odds;
        Step { begins: at, labour: single(more.labour), materials: single(more.materials) }
    })
}

/// What the first alternative of each cause adds: it is there in every draw.
fn always(causes: &[Cause]) -> Cost {
    let first = |cause: &Cause| match &cause.effect {
        Effect::Alternatives(alternatives) => alternatives.first().map(|one| one.adds),
        _ => None,
    };
    causes.iter().filter_map(first).sum()
}

const _: () = assert!(DRAWS.is_multiple_of(BLOCK) && DIMENSIONS >= 8);

#[cfg(test)]
mod tests {
    use super::*;

    proptest::proptest! {
        #[test]
        fn costs_come_out_cheapest_first(costs in proptest::collection::vec(0.0_f32..1e7, 0..500)) {
            let mut compared = costs.clone();
            compared.sort_by(f32::total_cmp);
            proptest::prop_assert_eq!(sorted(&costs), compared);
        }
    }
}
