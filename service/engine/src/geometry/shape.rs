//! The outline of a room: a rectangle or any simple polygon, and the places on it.

use geo::{
    Area, BooleanOps, Centroid, Contains, InteriorPoint, Intersects, LineString, MultiPolygon, Polygon, unary_union,
};

use super::{Outline, Position, WallSide};
use crate::quantities::{Metres, SquareMetres};

/// Places this near to each other are one: half the thickness of a pencil on a plan. Common practice, no source.
pub const TOUCHING_M: f64 = 0.01;

/// A room's outline on plan, in the house's own coordinates: its corners counter-clockwise, the first one not repeated.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    corners: Vec<Position>,
    /// Of each side, in the order of [`Shape::edges`].
    lengths: Vec<f64>,
    /// How far round from the first corner each side ends.
    ends: Vec<f64>,
    polygon: Polygon<f64>,
}

/// A straight piece of an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// One end.
    pub from: Position,
    /// The other end.
    pub to: Position,
}

impl Edge {
    /// Its length.
    #[must_use]
    pub fn length(&self) -> f64 {
        libm::hypot(self.to.x_m - self.from.x_m, self.to.y_m - self.from.y_m)
    }

    /// Its direction, of length 1.
    #[must_use]
    pub fn direction(&self) -> (f64, f64) {
        let length = self.length().max(f64::MIN_POSITIVE);
        ((self.to.x_m - self.from.x_m) / length, (self.to.y_m - self.from.y_m) / length)
    }

    /// The place so far from its middle, to the right of it.
    #[must_use]
    pub fn beside_its_middle(&self, off: f64) -> Position {
        let (dx, dy) = self.direction();
        let middle = between(self.from, self.to, 0.5);
        Position { x_m: middle.x_m + dy * off, y_m: middle.y_m - dx * off }
    }

    /// The place so many metres from its first end.
    #[must_use]
    pub fn at(&self, along: f64) -> Position {
        self.at_of(along, self.length())
    }

    /// The same where its length is known.
    fn at_of(&self, along: f64, length: f64) -> Position {
        between(self.from, self.to, if length > 0.0 { along / length } else { 0.0 })
    }

    /// The place on it that is nearest to `place`, as metres from its first end.
    #[must_use]
    pub fn nearest(&self, place: Position) -> f64 {
        self.nearest_within(place, self.length())
    }

    fn nearest_within(&self, place: Position, length: f64) -> f64 {
        if length <= 0.0 {
            return 0.0;
        }
        let (dx, dy) = ((self.to.x_m - self.from.x_m) / length, (self.to.y_m - self.from.y_m) / length);
        ((place.x_m - self.from.x_m) * dx + (place.y_m - self.from.y_m) * dy).clamp(0.0, length)
    }
}

/// A place on the walls of a room, and how far from it that is which it was looked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnWall {
    /// Metres round the walls from the first corner.
    pub along: f64,
    /// Metres off the wall.
    pub off: f64,
}

fn edges(corners: &[Position]) -> impl ExactSizeIterator<Item = Edge> + Clone + '_ {
    let count = corners.len();
    (0..count).map(move |index| Edge { from: corners[index], to: corners[(index + 1) % count] })
}

/// The place a share of the way from one to another.
#[must_use]
pub fn between(from: Position, to: Position, share: f64) -> Position {
    Position { x_m: from.x_m + (to.x_m - from.x_m) * share, y_m: from.y_m + (to.y_m - from.y_m) * share }
}

/// The place on a grid of millimetres, so that walls drawn from different corners meet exactly.
#[must_use]
pub fn to_the_millimetre(place: Position) -> Position {
    let round = |metres: f64| (metres * 1_000.0).round() / 1_000.0;
    Position { x_m: round(place.x_m), y_m: round(place.y_m) }
}

/// Distance in a straight line.
#[must_use]
pub fn straight(from: Position, to: Position) -> f64 {
    libm::hypot(from.x_m - to.x_m, from.y_m - to.y_m)
}

impl From<Outline> for Shape {
    fn from(outline: Outline) -> Self {
        let (left, front) = (outline.x_m, outline.y_m);
        let (right, back) = (left + outline.width_m, front + outline.depth_m);
        Self::of(&[(left, front), (right, front), (right, back), (left, back)].map(|(x_m, y_m)| Position { x_m, y_m }))
    }
}

impl Shape {
    /// The shape with these corners, in either direction.
    #[must_use]
    pub fn of(corners: &[Position]) -> Self {
        let corners: Vec<Position> = corners.iter().map(|corner| to_the_millimetre(*corner)).collect();
        let ring = |corners: &[Position]| {
            let line: LineString<f64> = corners.iter().map(|corner| (corner.x_m, corner.y_m)).collect();
            Polygon::new(line, Vec::new())
        };
        let polygon = ring(&corners);
        if polygon.signed_area() >= 0.0 {
            return Self::round(corners, polygon);
        }
        let reversed: Vec<Position> = corners.iter().rev().copied().collect();
        let polygon = ring(&reversed);
        Self::round(reversed, polygon)
    }

    fn round(corners: Vec<Position>, polygon: Polygon<f64>) -> Self {
        let lengths: Vec<f64> = edges(&corners).map(|edge| edge.length()).collect();
        let so_far = lengths.iter().scan(0.0, |round, length| {
            *round += length;
            Some(*round)
        });
        Self { ends: so_far.collect(), lengths, corners, polygon }
    }

    /// A square of this area at the origin, for a room that was not drawn.
    #[must_use]
    pub fn square(area: SquareMetres) -> Self {
        let side = area.value().max(0.0).sqrt();
        Self::from(Outline { x_m: 0.0, y_m: 0.0, width_m: side, depth_m: side })
    }

    /// The outlines round these shapes together, holes left out, largest first.
    #[must_use]
    pub fn joined(shapes: &[&Self]) -> Vec<Self> {
        Self::outlines(&unary_union(shapes.iter().map(|shape| &shape.polygon)))
    }

    /// The outlines round these parts, holes left out, largest first.
    #[must_use]
    pub fn outlines(parts: &MultiPolygon<f64>) -> Vec<Self> {
        let mut outlines: Vec<Self> = parts.iter().map(|part| Self::from_ring(part.exterior())).collect();
        outlines.retain(|outline| outline.corners.len() > 2);
        outlines.sort_by(|a, b| {
            let place = |shape: &Self| (shape.bounds().0.x_m, shape.bounds().0.y_m);
            b.area().value().total_cmp(&a.area().value()).then(place(a).0.total_cmp(&place(b).0))
        });
        outlines
    }

    fn from_ring(ring: &LineString<f64>) -> Self {
        let mut corners: Vec<Position> =
            ring.coords().map(|corner| Position { x_m: corner.x, y_m: corner.y }).collect();
        corners.pop();
        Self::of(&corners)
    }

    /// The area that it shares with another.
    #[must_use]
    pub fn overlap(&self, other: &Self) -> SquareMetres {
        SquareMetres::new(self.polygon.intersection(&other.polygon).unsigned_area())
    }

    /// Its corners, counter-clockwise, the first one not repeated.
    #[must_use]
    pub fn corners(&self) -> &[Position] {
        &self.corners
    }

    /// As the geometry library knows it.
    #[must_use]
    pub fn polygon(&self) -> &Polygon<f64> {
        &self.polygon
    }

    /// Its sides in order.
    pub fn edges(&self) -> impl ExactSizeIterator<Item = Edge> + Clone + '_ {
        edges(&self.corners)
    }

    /// One of its sides, in the order of [`Shape::edges`].
    #[must_use]
    pub fn edge(&self, index: usize) -> Edge {
        Edge { from: self.corners[index], to: self.corners[(index + 1) % self.corners.len()] }
    }

    /// Its area.
    #[must_use]
    pub fn area(&self) -> SquareMetres {
        SquareMetres::new(self.polygon.unsigned_area())
    }

    /// Once round.
    #[must_use]
    pub fn perimeter(&self) -> Metres {
        Metres::new(self.ends.last().copied().unwrap_or(0.0))
    }

    /// Least and greatest corner of the rectangle round it.
    #[must_use]
    pub fn bounds(&self) -> (Position, Position) {
        let start = (
            Position { x_m: f64::INFINITY, y_m: f64::INFINITY },
            Position { x_m: f64::NEG_INFINITY, y_m: f64::NEG_INFINITY },
        );
        self.corners.iter().fold(start, |(least, greatest), corner| {
            (
                Position { x_m: least.x_m.min(corner.x_m), y_m: least.y_m.min(corner.y_m) },
                Position { x_m: greatest.x_m.max(corner.x_m), y_m: greatest.y_m.max(corner.y_m) },
            )
        })
    }

    /// The longer side of the rectangle round it.
    #[must_use]
    pub fn longer_side(&self) -> Metres {
        let (least, greatest) = self.bounds();
        Metres::new((greatest.x_m - least.x_m).max(greatest.y_m - least.y_m))
    }

    /// Its centre of area; where that lies outside of it (a deep L), some place inside.
    #[must_use]
    pub fn middle(&self) -> Position {
        let position = |point: geo::Point<f64>| Position { x_m: point.x(), y_m: point.y() };
        let centre = self.polygon.centroid().map(position);
        match centre.filter(|centre| self.holds(*centre)) {
            Some(centre) => centre,
            None => self.polygon.interior_point().map_or(self.corners[0], position),
        }
    }

    /// Whether it holds the place, its edges included.
    #[must_use]
    pub fn holds(&self, at: Position) -> bool {
        self.polygon.intersects(&geo::Coord { x: at.x_m, y: at.y_m })
    }

    /// Whether it holds the place, or the place is on its edge or within [`TOUCHING_M`] of it.
    #[must_use]
    pub fn holds_nearly(&self, at: Position) -> bool {
        self.holds(at) || self.nearest_on_wall(at).off <= TOUCHING_M
    }

    /// Whether the place is inside of it and not on its edge.
    #[must_use]
    pub fn holds_inside(&self, at: Position) -> bool {
        self.polygon.contains(&geo::Coord { x: at.x_m, y: at.y_m })
    }

    /// The place so many metres round the walls from the first corner.
    #[must_use]
    pub fn on_wall(&self, along: f64) -> Position {
        /// Sides that are gone along one by one: a room has no more, the outside of a large building has thousands.
        const SIDES_ONE_BY_ONE_MAX: usize = 64;
        let along = along.rem_euclid(self.perimeter().value().max(f64::MIN_POSITIVE));
        if self.lengths.len() <= SIDES_ONE_BY_ONE_MAX {
            let mut left = along;
            for (edge, length) in self.edges().zip(&self.lengths) {
                if left <= *length {
                    return edge.at_of(left, *length);
                }
                left -= length;
            }
            return self.corners[0];
        }
        let side = self.ends.partition_point(|end| *end < along);
        let Some(length) = self.lengths.get(side) else { return self.corners[0] };
        let begins = if side == 0 { 0.0 } else { self.ends[side - 1] };
        self.edge(side).at_of(along - begins, *length)
    }

    /// How far round the walls from the first corner the place on a wall nearest to `at` is.
    #[must_use]
    pub fn along(&self, at: Position) -> f64 {
        self.nearest_on_wall(at).along
    }

    /// The corners that are passed on the shorter way round the walls between two places on them, each given by how far
    /// round it is; in the order in which they are passed.
    #[must_use]
    pub fn corners_between(&self, from: f64, to: f64) -> Vec<Position> {
        let round = self.perimeter().value().max(f64::MIN_POSITIVE);
        let ahead = (to - from).rem_euclid(round);
        self.corners_passed(from, to, ahead <= round - ahead)
    }

    /// The same on the way round counter-clockwise if forwards, else clockwise.
    #[must_use]
    pub fn corners_passed(&self, from: f64, to: f64, forwards: bool) -> Vec<Position> {
        let round = self.perimeter().value().max(f64::MIN_POSITIVE);
        let ahead = (to - from).rem_euclid(round);
        let reach = if forwards { ahead } else { round - ahead };
        let mut along = 0.0;
        let mut passed: Vec<(f64, Position)> = Vec::new();
        for (corner, length) in self.corners.iter().zip(&self.lengths) {
            let gone = if forwards { along - from } else { from - along }.rem_euclid(round);
            if gone > 0.0 && gone < reach {
                passed.push((gone, *corner));
            }
            along += length;
        }
        passed.sort_by(|a, b| a.0.total_cmp(&b.0));
        passed.into_iter().map(|(_, corner)| corner).collect()
    }

    /// The side that a place is nearest to.
    #[must_use]
    pub fn wall_at(&self, at: Position) -> Option<Edge> {
        let off = self.edges().zip(&self.lengths).map(|(edge, length)| {
            let place = edge.at_of(edge.nearest_within(at, *length), *length);
            (straight(place, at), edge)
        });
        off.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, edge)| edge)
    }

    /// The place on a wall nearest to `at`.
    #[must_use]
    pub fn nearest_on_wall(&self, at: Position) -> OnWall {
        /// More than rounding takes off a square.
        const A_LITTLE_MORE: f64 = 1.0 + 1e-9;
        let mut before = 0.0;
        let mut best = OnWall { along: 0.0, off: f64::INFINITY };
        for (edge, length) in self.edges().zip(&self.lengths) {
            let along = edge.nearest_within(at, *length);
            let place = edge.at_of(along, *length);
            let (dx, dy) = (place.x_m - at.x_m, place.y_m - at.y_m);
            // The exact root only of what may be the nearest: it takes longer than all the rest.
            if dx * dx + dy * dy <= best.off * best.off * A_LITTLE_MORE {
                let off = straight(place, at);
                if off < best.off {
                    best = OnWall { along: before + along, off };
                }
            }
            before += length;
        }
        best
    }

    /// The places on the walls straight across from a place inside: on each side that it sees square.
    #[must_use]
    pub fn straight_across(&self, at: Position) -> Vec<OnWall> {
        /// Looked at on the way.
        const SHARES: [f64; 3] = [0.25, 0.5, 0.75];
        let mut before = 0.0;
        let mut feet = Vec::new();
        for (edge, length) in self.edges().zip(&self.lengths) {
            let along = edge.nearest_within(at, *length);
            let foot = edge.at_of(along, *length);
            let is_square = along > 0.0 && along < *length;
            if is_square && SHARES.iter().all(|share| self.holds(between(at, foot, *share))) {
                feet.push(OnWall { along: before + along, off: straight(foot, at) });
            }
            before += length;
        }
        if feet.is_empty() { vec![self.nearest_on_wall(at)] } else { feet }
    }

    /// How long a side is, as places along it are measured.
    #[must_use]
    pub fn side_length(&self, side: WallSide) -> f64 {
        let (least, greatest) = self.bounds();
        match side {
            WallSide::Front | WallSide::Back => greatest.x_m - least.x_m,
            WallSide::Left | WallSide::Right => greatest.y_m - least.y_m,
        }
    }

    /// The place on the outermost wall of one side, so many metres from the left (front and back) or from the front
    /// (left and right). Absent where the side is not that long.
    #[must_use]
    pub fn on_side(&self, side: WallSide, along: f64) -> Option<Position> {
        let (least, greatest) = self.bounds();
        let along_the_front = matches!(side, WallSide::Front | WallSide::Back);
        let line = if along_the_front { least.x_m + along } else { least.y_m + along };
        if line > if along_the_front { greatest.x_m } else { greatest.y_m } + TOUCHING_M {
            return None;
        }
        let crossings = self.edges().filter_map(|edge| {
            let (from, to, other_from, other_to) = if along_the_front {
                (edge.from.x_m, edge.to.x_m, edge.from.y_m, edge.to.y_m)
            } else {
                (edge.from.y_m, edge.to.y_m, edge.from.x_m, edge.to.x_m)
            };
            let within = (from - line) * (to - line) <= 0.0 && from != to;
            within.then(|| other_from + (other_to - other_from) * (line - from) / (to - from))
        });
        let outermost = match side {
            WallSide::Front | WallSide::Left => crossings.fold(f64::INFINITY, f64::min),
            WallSide::Back | WallSide::Right => crossings.fold(f64::NEG_INFINITY, f64::max),
        };
        if !outermost.is_finite() {
            return None;
        }
        Some(if along_the_front {
            Position { x_m: line, y_m: outermost }
        } else {
            Position { x_m: outermost, y_m: line }
        })
    }
}
