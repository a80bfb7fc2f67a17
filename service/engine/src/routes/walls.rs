//! Walls on plan: where two rooms share one, where a room touches the outside, the corners that a cable may go up in.

use rstar::primitives::Rectangle;

use crate::geometry::{Edge, Shape, between, straight};
use crate::survey::Position;

/// Two outlines share a wall if they are no further apart than this: a thick wall. From memory.
pub(super) const WALL_M_MAX: f64 = 0.35;
/// A shared wall shorter than this is a corner and no way through. Common practice, no source.
pub(super) const SHARED_M_MIN: f64 = 0.3;
/// A cable in the angle between two walls, this far from it, is in a permitted zone of 150 mm. Source: BS 7671
/// regulation 522.6.202, as in the reference table of building rules.
pub const IN_THE_ANGLE_M: f64 = 0.1;

/// The rectangle round a side of a room.
pub(super) fn rectangle(edge: Edge) -> Rectangle<[f64; 2]> {
    Rectangle::from_corners([edge.from.x_m, edge.from.y_m], [edge.to.x_m, edge.to.y_m])
}

/// The direction of a side, of length 1.
pub(super) fn unit(edge: Edge) -> (f64, f64) {
    let length = edge.length().max(f64::MIN_POSITIVE);
    ((edge.to.x_m - edge.from.x_m) / length, (edge.to.y_m - edge.from.y_m) / length)
}

/// How far a place is from the line of a side.
pub(super) fn distance_to_line(edge: Edge, place: Position) -> f64 {
    let (dx, dy) = unit(edge);
    ((place.x_m - edge.from.x_m) * dy - (place.y_m - edge.from.y_m) * dx).abs()
}

/// The stretch along which two sides of rooms face each other across a wall.
pub(super) fn shared_stretch(one: Edge, other: Edge) -> Option<Edge> {
    /// Walls more askew to each other than this are not one wall.
    const ASKEW: f64 = 0.05;
    let ((ax, ay), (bx, by)) = (unit(one), unit(other));
    if (ax * by - ay * bx).abs() > ASKEW || ax * bx + ay * by > 0.0 {
        return None;
    }
    if distance_to_line(one, other.from) > WALL_M_MAX || distance_to_line(one, other.to) > WALL_M_MAX {
        return None;
    }
    let along = |place: Position| (place.x_m - one.from.x_m) * ax + (place.y_m - one.from.y_m) * ay;
    let (start, end) = (along(other.to).max(0.0), along(other.from).min(one.length()));
    (end - start >= SHARED_M_MIN).then(|| Edge { from: one.at(start), to: one.at(end) })
}

/// The corners of a room nearest to and farthest from the middle of the house, a little inside.
pub(super) fn two_corners(outline: &Shape, middle: Position) -> Vec<Position> {
    let own = outline.middle();
    let mut corners: Vec<Position> = outline
        .corners()
        .iter()
        .map(|corner| between(*corner, own, IN_THE_ANGLE_M / straight(*corner, own).max(IN_THE_ANGLE_M)))
        .map(crate::geometry::to_the_millimetre)
        .filter(|corner| outline.holds(*corner))
        .collect();
    corners.sort_by(|a, b| straight(*a, middle).total_cmp(&straight(*b, middle)));
    match corners.as_slice() {
        [first, .., last] => vec![*first, *last],
        _ => corners,
    }
}

/// The longest piece of a room's outline on the outside wall.
pub(super) fn outer_wall(room: &Shape, outside: &Shape) -> Option<Edge> {
    let on_it = |edge: Edge| {
        let middle = edge.at(edge.length() / 2.0);
        straight(outside.on_wall(outside.along(middle)), middle) < crate::geometry::TOUCHING_M
    };
    let outer = room.edges().filter(|edge| on_it(*edge));
    outer.max_by(|a, b| a.length().total_cmp(&b.length()))
}
