//! Room for symbols and words: what is taken, and the first place of many that is free.

use std::collections::HashMap;

use super::super::svg::{Area, At, at};

/// Areas that are taken, in squares, so that asking costs the same on a large plan as on a small one.
#[derive(Debug, Default)]
pub(super) struct Taken {
    squares: HashMap<(i32, i32), Vec<Area>>,
}

/// Side of a square.
const SQUARE: f64 = 8.0;

impl Taken {
    pub(super) fn is_free(&self, area: &Area) -> bool {
        squares(area)
            .all(|square| self.squares.get(&square).is_none_or(|areas| !areas.iter().any(|one| one.overlaps(area))))
    }

    pub(super) fn take(&mut self, area: Area) {
        for square in squares(&area) {
            self.squares.entry(square).or_default().push(area);
        }
    }
}

fn squares(area: &Area) -> impl Iterator<Item = (i32, i32)> + use<> {
    // A sheet is some metres: far within the integer.
    let square = |figure: f64| (figure / SQUARE).floor() as i32;
    let (left, right, top, bottom) = (square(area.left), square(area.right()), square(area.top), square(area.bottom()));
    (left..=right).flat_map(move |x| (top..=bottom).map(move |y| (x, y)))
}

/// Steps away from a place, nearest first, on a grid of `step` out to `rings` steps.
pub(super) fn steps_away(step: f64, rings: i32) -> Vec<At> {
    let mut steps: Vec<(i32, i32)> = (-rings..=rings).flat_map(|x| (-rings..=rings).map(move |y| (x, y))).collect();
    // Ties go to the right, then down: the order is the same every time.
    steps.sort_by_key(|(x, y)| (x * x + y * y, -x, -y));
    steps.into_iter().map(|(x, y)| at(f64::from(x) * step, f64::from(y) * step)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_overlaps_is_not_free_and_what_only_touches_is() {
        let mut taken = Taken::default();
        taken.take(Area { left: 10.0, top: 10.0, width: 30.0, height: 4.0 });

        assert!(!taken.is_free(&Area { left: 39.0, top: 13.0, width: 5.0, height: 5.0 }));
        assert!(taken.is_free(&Area { left: 40.0, top: 10.0, width: 5.0, height: 4.0 }));
        assert!(taken.is_free(&Area { left: -20.0, top: -20.0, width: 5.0, height: 5.0 }));
    }

    #[test]
    fn the_first_step_is_none_and_the_next_ones_are_the_nearest() {
        let steps = steps_away(2.0, 2);
        assert_eq!(steps.len(), 25);
        assert_eq!(steps[..3], [at(0.0, 0.0), at(2.0, 0.0), at(0.0, 2.0)]);
    }
}
