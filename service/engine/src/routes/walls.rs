//! Walls on plan: where two rooms share one, where a room touches the outside, the corners that a cable may go up in.

use crate::geometry::{Shape, between, straight, to_the_millimetre};
use crate::survey::Position;

/// A shared wall shorter than this is a corner and no way through. Common practice, no source.
pub(super) const SHARED_M_MIN: f64 = 0.3;
/// A cable in the angle between two walls, this far from it, is in a permitted zone of 150 mm, and within 50 mm of a
/// face. Source: BS 7671
/// regulation 522.6.202, as in the reference table of building rules.
pub const IN_THE_ANGLE_M: f64 = 0.07;

/// The corners of a room a little inside, those nearest to the middle of the house first.
pub(super) fn corners_by_the_middle(outline: &Shape, middle: Position) -> Vec<Position> {
    let own = outline.middle();
    let mut corners: Vec<Position> = outline
        .corners()
        .iter()
        .map(|corner| between(*corner, own, IN_THE_ANGLE_M / straight(*corner, own).max(IN_THE_ANGLE_M)))
        .map(to_the_millimetre)
        .filter(|corner| outline.holds(*corner))
        .collect();
    corners.sort_by(|a, b| straight(*a, middle).total_cmp(&straight(*b, middle)));
    corners
}

/// The nearest and the farthest of them.
pub(super) fn two_corners(outline: &Shape, middle: Position) -> Vec<Position> {
    let corners = corners_by_the_middle(outline, middle);
    match corners.as_slice() {
        [first, .., last] => vec![*first, *last],
        _ => corners,
    }
}
