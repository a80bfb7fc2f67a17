//! The axes that a house is built along, and its coordinates in them.

use geo::{Area, Centroid};

use crate::geometry::{Edge, Position, Shape};

/// A shorter side of a room says nothing of the axes. Common practice, no source.
const VOTES_M_MIN: f64 = 0.05;
/// A frame that would move no corner by so much is that of the drawing: half of a millimetre, to which places are rounded.
const MOVES_M_MIN: f64 = 0.000_5;
/// Directions are told apart by this, in degrees, for a first guess.
const BIN_DEGREES: f64 = 0.05;
const BINS: usize = 1_800;
/// Sides so far from a direction speak for it, the less the further. In degrees.
const WIDE_DEGREES: f64 = 1.5;
/// The same once the direction is known.
const NARROW_DEGREES: f64 = 0.6;
const QUARTER_DEGREES: f64 = 90.0;

/// The axes of a house: how they are turned against those of the drawing, about which place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HouseFrame {
    /// In degrees, counter-clockwise, more than -45 and at most 45.
    degrees: f64,
    sine: f64,
    cosine: f64,
    centre: Position,
    /// How much of the length of the walls lies along the axes.
    share: f64,
    /// How much speaks for the next best direction, as a share of what speaks for the axes.
    rival: f64,
}

impl HouseFrame {
    /// That of a drawing along its own axes.
    pub const STRAIGHT: Self =
        Self { degrees: 0.0, sine: 0.0, cosine: 1.0, centre: Position { x_m: 0.0, y_m: 0.0 }, share: 1.0, rival: 0.0 };

    /// The axes of rooms of all storeys together.
    #[must_use]
    pub fn of(rooms: &[&Shape]) -> Self {
        let edges = || rooms.iter().flat_map(|room| room.edges()).filter(|edge| edge.length() >= VOTES_M_MIN);
        let votes: Vec<(f64, f64)> = edges().map(|edge| (direction(edge), edge.length())).collect();
        let length: f64 = votes.iter().map(|(_, length)| length).sum();
        if length <= 0.0 {
            return Self::STRAIGHT;
        }
        let scores = scores(&votes);
        let score = |bin: usize| scores[bin];
        let best = (0..BINS).fold(0, |best, bin| if score(bin) > score(best) { bin } else { best });
        let mut degrees = (index(best) + 0.5) * BIN_DEGREES;
        for reach in [WIDE_DEGREES, NARROW_DEGREES, NARROW_DEGREES] {
            degrees = mean_near(&votes, degrees, reach);
        }
        let near = |votes: &(f64, f64)| off(votes.0, degrees).abs() <= NARROW_DEGREES;
        let along: f64 = votes.iter().filter(|vote| near(vote)).map(|(_, length)| length).sum();
        let apart = |bin: usize| off((index(bin) + 0.5) * BIN_DEGREES, degrees).abs() > 2.0 * WIDE_DEGREES;
        let rival = (0..BINS).filter(|bin| apart(*bin)).map(score).fold(0.0, f64::max) / score(best);
        let degrees = off(degrees, 0.0);
        let degrees = if degrees <= -QUARTER_DEGREES / 2.0 { degrees + QUARTER_DEGREES } else { degrees };
        let radians = degrees.to_radians();
        let (sine, cosine) = (libm::sin(radians), libm::cos(radians));
        let frame = Self { degrees, sine, cosine, centre: centre(rooms), share: along / length, rival };
        if frame.moves(rooms) { frame } else { Self { share: frame.share, rival, ..Self::STRAIGHT } }
    }

    /// Whether it is that of the drawing.
    #[must_use]
    pub const fn is_straight(&self) -> bool {
        self.sine == 0.0
    }

    /// How far the house is turned in its drawing: degrees counter-clockwise, more than -45 and at most 45.
    #[must_use]
    pub const fn degrees(&self) -> f64 {
        self.degrees
    }

    /// How much of the length of the walls lies along the axes, 0 to 1.
    #[must_use]
    pub const fn share(&self) -> f64 {
        self.share
    }

    /// How much speaks for the next best direction against the axes: near 1, the house has two.
    #[must_use]
    pub const fn rival(&self) -> f64 {
        self.rival
    }

    /// A place of the drawing in the axes of the house.
    #[must_use]
    pub fn to_house(&self, at: Position) -> Position {
        self.turned(at, -self.sine)
    }

    /// A place in the axes of the house as it is in the drawing.
    #[must_use]
    pub fn to_drawing(&self, at: Position) -> Position {
        self.turned(at, self.sine)
    }

    fn turned(&self, at: Position, sine: f64) -> Position {
        if self.is_straight() {
            return at;
        }
        let (x, y) = (at.x_m - self.centre.x_m, at.y_m - self.centre.y_m);
        Position {
            x_m: self.centre.x_m + x * self.cosine - y * sine,
            y_m: self.centre.y_m + x * sine + y * self.cosine,
        }
    }

    fn moves(&self, rooms: &[&Shape]) -> bool {
        let corners = rooms.iter().flat_map(|room| room.corners());
        corners.into_iter().any(|corner| crate::geometry::straight(*corner, self.to_house(*corner)) >= MOVES_M_MIN)
    }
}

#[expect(clippy::cast_precision_loss, reason = "a bin is one of 1,800")]
const fn index(bin: usize) -> f64 {
    bin as f64
}

/// The direction of a side, in degrees from 0 to 90: both axes are one.
fn direction(edge: Edge) -> f64 {
    let degrees = libm::atan2(edge.to.y_m - edge.from.y_m, edge.to.x_m - edge.from.x_m).to_degrees();
    degrees.rem_euclid(QUARTER_DEGREES)
}

/// From one direction to another the shorter way, in degrees.
fn off(direction: f64, from: f64) -> f64 {
    let off = (direction - from).rem_euclid(QUARTER_DEGREES);
    if off > QUARTER_DEGREES / 2.0 { off - QUARTER_DEGREES } else { off }
}

/// What speaks for each direction: the length of the sides near it, the nearer the more.
fn scores(votes: &[(f64, f64)]) -> Vec<f64> {
    let mut lengths = vec![0.0; BINS];
    for (direction, length) in votes {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a direction is from 0 to 90")]
        let bin = (direction / BIN_DEGREES) as usize;
        lengths[bin.min(BINS - 1)] += length;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "30 bins")]
    let reach = (WIDE_DEGREES / BIN_DEGREES) as usize;
    let mut scores = vec![0.0; BINS];
    for (bin, length) in lengths.iter().enumerate().filter(|(_, length)| **length > 0.0) {
        for near in 0..=2 * reach {
            let weight = 1.0 - index(near.abs_diff(reach)) / index(reach + 1);
            scores[(bin + BINS + near - reach) % BINS] += length * weight;
        }
    }
    scores
}

/// The mean direction of the sides near to one. The error of a side that was rounded falls with its length, so that sides
/// count by the square of it.
fn mean_near(votes: &[(f64, f64)], degrees: f64, reach: f64) -> f64 {
    let near = votes.iter().map(|(direction, length)| (off(*direction, degrees), length * length));
    let near = near.filter(|(off, _)| off.abs() <= reach);
    let (sum, weight) = near.fold((0.0, 0.0), |(sum, weight), (off, own)| (sum + off * own, weight + own));
    degrees + if weight > 0.0 { sum / weight } else { 0.0 }
}

/// The centre of all floor area: it stays where it is when a corner is added.
fn centre(rooms: &[&Shape]) -> Position {
    let parts = rooms.iter().filter_map(|room| Some((room.polygon().centroid()?, room.polygon().unsigned_area())));
    let (x, y, area) = parts.fold((0.0, 0.0, 0.0), |(x, y, sum), (centre, area)| {
        (x + centre.x() * area, y + centre.y() * area, sum + area)
    });
    let area = if area > 0.0 { area } else { 1.0 };
    Position { x_m: x / area, y_m: y / area }
}
