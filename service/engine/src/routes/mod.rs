//! How each cable gets where it is going: which void serves each room, and how long the runs are.
//!
//! Where rooms have outlines, distances are straight plan distances along the building's axes, plus rises and drops.
//! Where they have none, a model of floor area, storeys and point counts stands in (see [`model`]).
//!
//! In: the [`Site`]. Out: [`Ways`], which answers with a [`Run`] for the stops of a circuit. Circuits, take-off and
//! flags know only `Ways` and `Run`; a planner that searches a graph of voids can stand behind them.

mod access;
pub mod model;
mod run;

pub use access::{Access, Opening, RoomWays, Void};
pub use run::{Run, Segment, Stop, StopPoint, is_chased};

use crate::catalogue::Catalogue;
use crate::quantities::Metres;
use crate::site::{Patches, RoomIndex, RoomPlan, Site, Spot, axis_distance};
use crate::survey::{Medium, Obstruction, ObstructionType, Position};

/// Cable left at a box end. Source: domain practice, from memory.
pub const SLACK_AT_BOX_M: f64 = 0.3;
/// Cable left at a board. Source: domain practice, from memory.
pub const SLACK_AT_BOARD_M: f64 = 1.0;
/// Added to plan metres for bends. Source: domain practice, from memory.
pub const BENDS: f64 = 1.05;
/// A board's middle above the floor. From memory.
const BOARD_HEIGHT_M: f64 = 1.5;
/// Metres of a run that one thing in the way makes slow. Common practice, no source.
const OBSTRUCTED_M: f64 = 1.0;

/// The ways of a house.
#[derive(Debug, Clone)]
pub struct Ways<'a> {
    site: &'a Site,
    rooms: Vec<RoomWays>,
    obstructions: Vec<(Option<i8>, &'a Obstruction)>,
    rise: Metres,
    /// Inside area of each level, for the model of lengths.
    areas: std::collections::BTreeMap<i8, f64>,
}

impl<'a> Ways<'a> {
    /// Finds the void that serves each room. `storey_level` gives the level of a storey's identifier.
    #[must_use]
    pub fn of(site: &'a Site, catalogue: &Catalogue, storey_level: impl Fn(&str) -> Option<i8>) -> Self {
        let patches = Patches::of(&site.rooms);
        let mut areas = std::collections::BTreeMap::new();
        for room in site.rooms.iter().filter(|room| room.is_inside()) {
            *areas.entry(room.level).or_insert(0.0) += room.area.value();
        }
        Self {
            rooms: access::room_ways(site, catalogue, &patches),
            obstructions: site
                .obstructions
                .iter()
                .map(|obstruction| (obstruction.storey.as_deref().and_then(&storey_level), obstruction))
                .collect(),
            rise: site.storey_rise(),
            areas,
            site,
        }
    }

    /// The ways into one room.
    #[must_use]
    pub fn room(&self, room: RoomIndex) -> &RoomWays {
        &self.rooms[room]
    }

    /// The house.
    #[must_use]
    pub fn site(&self) -> &'a Site {
        self.site
    }

    /// Metres on plan and up or down between a spot and the middle of a room.
    #[must_use]
    pub fn to_room(&self, from: Spot, room: RoomIndex) -> Metres {
        let plan = &self.site.rooms[room];
        let up = self.between_levels(from.level, plan.level);
        match (from.at, &plan.outline) {
            (Some(at), Some(outline)) => axis_distance(at, outline.middle()) + up,
            _ if from.room == Some(room) => Metres::ZERO,
            _ => model::home_leg(self.area_of(plan.level)) + up,
        }
    }

    /// Metres from room to room.
    #[must_use]
    pub fn between(&self, from: RoomIndex, to: RoomIndex) -> Metres {
        let (a, b) = (&self.site.rooms[from], &self.site.rooms[to]);
        let up = self.between_levels(a.level, b.level);
        match (&a.outline, &b.outline) {
            (Some(one), Some(other)) => axis_distance(one.middle(), other.middle()) + up,
            _ => model::room_to_room(a.area, b.area) + up,
        }
    }

    /// Metres between two spots.
    #[must_use]
    pub fn between_spots(&self, from: Spot, to: Spot) -> Metres {
        let up = self.between_levels(from.level, to.level);
        match (from.at, to.at) {
            (Some(one), Some(other)) => axis_distance(one, other) + up,
            _ if from.room.is_some() && from.room == to.room => model::within_room() + up,
            _ => model::home_leg(self.area_of(to.level)) + up,
        }
    }

    /// Metres to the far side of the house, for a service whose place is not known.
    #[must_use]
    pub fn to_far_side(&self, from: Spot) -> Metres {
        let drawn = self.site.rooms.iter().filter(|room| room.outbuilding.is_none());
        let corners = drawn.filter_map(|room| room.outline.as_ref()).flat_map(|outline| outline.corners());
        let measured = corners.filter_map(|corner| Some(axis_distance(from.at?, *corner)));
        let farthest = measured.fold(Metres::ZERO, Metres::max);
        if farthest > Metres::ZERO { farthest } else { model::far_side(self.area_of(0)) }
    }

    /// What stands across the way between two places in a medium, along the building's axes.
    #[must_use]
    pub fn in_the_way(&self, level: i8, from: Position, to: Position, medium: Medium) -> Option<ObstructionType> {
        let corner = Position { x_m: to.x_m, y_m: from.y_m };
        self.obstructions
            .iter()
            .filter(|(storey, obstruction)| {
                storey.is_none_or(|storey| storey == level) && obstruction.blocks.contains(&medium)
            })
            .find(|(_, obstruction)| {
                crosses(from, corner, obstruction.from, obstruction.to)
                    || crosses(corner, to, obstruction.from, obstruction.to)
            })
            .map(|(_, obstruction)| obstruction.obstruction_type)
    }

    /// What stands in the way on one level.
    pub fn obstructions_on(&self, level: i8) -> impl Iterator<Item = &'a Obstruction> + '_ {
        let on = self.obstructions.iter().filter(move |(storey, _)| storey.is_none_or(|storey| storey == level));
        on.map(|(_, obstruction)| *obstruction)
    }

    fn between_levels(&self, from: i8, to: i8) -> Metres {
        self.rise * f64::from((i16::from(from) - i16::from(to)).unsigned_abs())
    }

    fn area_of(&self, level: i8) -> f64 {
        let usual = || self.site.floor_area.value();
        self.areas.get(&level).copied().unwrap_or_else(usual)
    }

    /// Up or down inside the board's own room, from the board to the void.
    fn at_board(&self, rises: bool) -> Metres {
        let height = self.site.board.room.map_or(2.4, |room| self.site.rooms[room].height.value());
        Metres::new(if rises { BOARD_HEIGHT_M } else { (height - BOARD_HEIGHT_M).max(0.3) })
    }
}

/// Whether two straight stretches cross on plan.
fn crosses(a: Position, b: Position, c: Position, d: Position) -> bool {
    let side =
        |p: Position, q: Position, r: Position| (q.x_m - p.x_m) * (r.y_m - p.y_m) - (q.y_m - p.y_m) * (r.x_m - p.x_m);
    let (one, two) = (side(a, b, c), side(a, b, d));
    let (three, four) = (side(c, d, a), side(c, d, b));
    ((one > 0.0 && two < 0.0) || (one < 0.0 && two > 0.0))
        && ((three > 0.0 && four < 0.0) || (three < 0.0 && four > 0.0))
}

/// Up or down the wall from the void to a point.
#[must_use]
pub fn vertical(room: &RoomPlan, access: &Access, height: Metres) -> Metres {
    if access.rises { height } else { (room.height - height).max(Metres::ZERO) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x_m: f64, y_m: f64) -> Position {
        Position { x_m, y_m }
    }

    #[test]
    fn a_beam_across_the_way_is_met_and_one_beside_it_is_not() {
        assert!(crosses(at(0.0, 0.0), at(0.0, 4.0), at(-1.0, 2.0), at(1.0, 2.0)));
        assert!(!crosses(at(0.0, 0.0), at(0.0, 4.0), at(1.0, 2.0), at(3.0, 2.0)));
    }
}
