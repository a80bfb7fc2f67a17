//! Holes in fire lines, counted from the ways of the cables: each of them is sealed (BS 7671 527.2, seen).
//!
//! A fire line is the wall between a garage and the house, the garage's ceiling where a storey lies over it, and in a flat
//! the walls of its entrance hall (Approved Document B, from memory); besides them a ceiling that was recorded as one.

use std::collections::BTreeSet;

use crate::routes::{Opening, Run};
use crate::site::{RoomIndex, RoomPlan, Site};
use crate::survey::{Dwelling, RoomUse};

/// The holes to seal, room by room.
pub(super) struct FireSeals<'a> {
    site: &'a Site,
    /// Of each room whether its ceiling is a fire line.
    ceilings: Vec<bool>,
    /// Places of a ceiling where cables go through, in millimetres on plan.
    places: Vec<BTreeSet<(i64, i64)>>,
    /// Holes through walls, and those of a ceiling beyond one for each place.
    others: Vec<f64>,
}

impl<'a> FireSeals<'a> {
    pub fn of(site: &'a Site) -> Self {
        let rooms = site.rooms.len();
        let ceilings = site.rooms.iter().map(|room| has_fire_ceiling(site, room)).collect();
        Self { site, ceilings, places: vec![BTreeSet::new(); rooms], others: vec![0.0; rooms] }
    }

    /// Notes the holes of what was opened.
    pub fn through(&mut self, opening: Opening, holes: f64) {
        let (room, holes) = match opening {
            Opening::Wall { from, to, void, .. } => match self.wall_between(from, to) {
                // Over a ceiling that is a fire line the wall of a garage is the house's own.
                Some(room) if !(void && self.ceilings[room]) => (room, holes),
                Some(_) | None => return,
            },
            Opening::Slab { under, .. } if self.ceilings[under] => (under, holes),
            // One of them is noted where the cables go up.
            Opening::Riser { room, .. } if self.ceilings[room] => (room, (holes - 1.0).max(0.0)),
            Opening::Slab { .. }
            | Opening::Riser { .. }
            | Opening::Floor(_)
            | Opening::Storey(_)
            | Opening::Outside(_) => return,
        };
        self.others[room] += holes;
    }

    /// Notes where a run goes through a ceiling: cables at one place share a hole.
    pub fn along(&mut self, run: &Run) {
        for placed in &run.placed {
            let Some(index) = placed.segment.room.filter(|room| self.ceilings[*room]) else { continue };
            let room = &self.site.rooms[index];
            let above = |height: f64| height > room.height.value();
            for pair in placed.waypoints.windows(2) {
                let upright = pair[0].level == room.level && pair[1].level == room.level && pair[0].at == pair[1].at;
                if upright && above(pair[0].height) != above(pair[1].height) {
                    self.places[index].insert(in_millimetres(pair[0].at));
                }
            }
        }
    }

    /// The holes of a room; where nothing was drawn those of the points on its ceiling.
    pub fn holes(&self, room: RoomIndex, on_the_ceiling: f64) -> f64 {
        let places = f64::from(u32::try_from(self.places[room].len()).unwrap_or(u32::MAX));
        self.others[room] + if self.ceilings[room] { places.max(on_the_ceiling) } else { 0.0 }
    }

    /// The room whose fire line the wall between two rooms is.
    fn wall_between(&self, from: RoomIndex, to: RoomIndex) -> Option<RoomIndex> {
        let only = |holds: &dyn Fn(&RoomPlan) -> bool| match [from, to].map(|room| holds(&self.site.rooms[room])) {
            [true, false] => Some(from),
            [false, true] => Some(to),
            [true, true] | [false, false] => None,
        };
        let is_flat = self.site.dwelling.is_some_and(Dwelling::shares_its_floors);
        only(&is_garage).or_else(|| if is_flat { only(&|room| room.room_use == RoomUse::Hall) } else { None })
    }
}

/// A garage under one roof with the house.
fn is_garage(room: &RoomPlan) -> bool {
    room.room_use == RoomUse::Garage && room.outbuilding.is_none()
}

fn has_fire_ceiling(site: &Site, room: &RoomPlan) -> bool {
    room.fire_line.unwrap_or_else(|| is_garage(room) && site.rooms.iter().any(|over| lies_over(over, room)))
}

/// Whether a room of the next storey lies over another; one that was not drawn may.
fn lies_over(over: &RoomPlan, room: &RoomPlan) -> bool {
    if over.level != room.level + 1 || !over.is_inside() {
        return false;
    }
    let (Some(one), Some(other)) = (&over.outline, &room.outline) else { return true };
    let ((low, high), (from, to)) = (one.bounds(), other.bounds());
    low.x_m < to.x_m && from.x_m < high.x_m && low.y_m < to.y_m && from.y_m < high.y_m
}

#[expect(clippy::cast_possible_truncation, reason = "a house is a few hundred metres wide at most")]
fn in_millimetres(at: crate::survey::Position) -> (i64, i64) {
    ((at.x_m * 1_000.0).round() as i64, (at.y_m * 1_000.0).round() as i64)
}
