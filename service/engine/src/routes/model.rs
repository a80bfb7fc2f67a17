//! Lengths where nothing was drawn: a model of floor area, storeys and point counts.
//!
//! It knows only areas. A storey of area `A` is taken as a square of side `√A`, a room likewise. Along the axes, two
//! places chosen at random in a square of side `s` are `2s/3` apart on average (elementary geometry: the mean
//! distance of two uniform numbers on `[0, s]` is `s/3`, on each axis). The model is no better than a quarter either
//! way on one circuit ([`SPREAD`]), and every estimate that rests on it says so.

use crate::quantities::{Metres, SquareMetres};

/// Standard deviation of a modelled length, as a share of it. Common practice, no source.
pub const SPREAD: f64 = 0.25;

/// Board to the first room on a storey of this area: two places at random in a square.
#[must_use]
pub fn home_leg(storey_area_m2: f64) -> Metres {
    Metres::new(2.0 / 3.0 * storey_area_m2.max(0.0).sqrt())
}

/// Middle to middle of two rooms that follow each other on a circuit: half of each side, half as much again because
/// the next room is not always next door. Common practice, no source.
#[must_use]
pub fn room_to_room(from: SquareMetres, to: SquareMetres) -> Metres {
    const NOT_NEXT_DOOR: f64 = 1.5;
    let half_sides = (from.value().max(0.0).sqrt() + to.value().max(0.0).sqrt()) / 2.0;
    Metres::new(half_sides * NOT_NEXT_DOOR)
}

/// Two places in one room. Common practice, no source.
#[must_use]
pub fn within_room() -> Metres {
    Metres::new(2.0)
}

/// From one end of a storey of this area to the other along both axes: the dear case.
#[must_use]
pub fn far_side(storey_area_m2: f64) -> Metres {
    Metres::new(2.0 * storey_area_m2.max(0.0).sqrt())
}
