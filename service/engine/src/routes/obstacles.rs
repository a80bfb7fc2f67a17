//! What was recorded to stand in the way, as strips on plan: over which storey, under which, in which walls.
//!
//! A beam, a lintel or a wall is a thing with a width; a beam bears on its walls at both ends. A cable keeps clear of it,
//! or goes over or under it by a crossing that is named and priced.

mod field;

pub(super) use field::corners;
pub use field::{BayPiece, Crossed, Field, Measured, cut};

pub use crate::site::{CLEAR_M, Footprint, Obstacle};

use super::map::{MediumSet, only};
use crate::geometry::{Edge, Shape, Strip};
use crate::site::{FACE_OFF_M_MAX, RoomPlan, WallOpeningPlan};
use crate::survey::{Medium, Obstruction, Position};

/// An obstruction with its storey and the ways that it closes.
#[derive(Debug, Clone, PartialEq)]
struct RecordedThing {
    footprint: Footprint,
    level: Option<i8>,
    blocks: MediumSet,
}

/// All that was recorded to stand in the way.
#[derive(Debug, Clone, Default)]
pub struct RecordedObstacles {
    things: Vec<RecordedThing>,
    /// Doors and windows, each with its level.
    openings: Vec<(i8, WallOpeningPlan)>,
}

/// Ways over a ceiling: what closes them stands in the void there.
const OVERHEAD: MediumSet = only(Medium::CeilingVoid) | only(Medium::Loft);
/// Ways under a floor.
const UNDERFOOT: MediumSet = only(Medium::FloorVoid) | only(Medium::CrawlSpace);

impl RecordedObstacles {
    /// Of a site, each obstruction with its level.
    #[must_use]
    pub fn of(obstructions: &[(Option<i8>, &Obstruction)]) -> Self {
        let thing = |(entry, (level, recorded)): (usize, &(Option<i8>, &Obstruction))| RecordedThing {
            footprint: Footprint::of(entry, recorded),
            level: *level,
            blocks: recorded.blocks.iter().fold(0, |set, medium| set | only(*medium)),
        };
        Self { things: obstructions.iter().enumerate().map(thing).collect(), openings: Vec::new() }
    }

    /// The same with the doors and windows of the rooms.
    #[must_use]
    pub fn with_openings(mut self, rooms: &[RoomPlan]) -> Self {
        let of_room = |room: &RoomPlan| room.openings.iter().map(|one| (room.level, *one)).collect::<Vec<_>>();
        self.openings = rooms.iter().flat_map(of_room).collect();
        self
    }

    /// Whether nothing was recorded.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.things.is_empty() && self.openings.is_empty()
    }

    /// The doors and windows that a place on a wall of a room is in.
    pub fn openings_at(&self, level: i8, (room, at): (&Shape, Position)) -> impl Iterator<Item = &WallOpeningPlan> {
        let wall = if self.openings.is_empty() { None } else { room.wall_at(at) };
        let here = move |(stands_on, one): &&(i8, WallOpeningPlan)| *stands_on == level && one.is_at(wall, at);
        self.openings.iter().filter(here).map(|(_, one)| one)
    }

    /// The doors and windows in the walls of a room, as what is in the way of a cable along its walls that runs so high.
    pub fn doorways(&self, level: i8, room: &Shape, height: f64) -> impl Iterator<Item = Footprint> {
        /// A cable along a wall lies so near to its face.
        const FACE_M: f64 = 0.05;
        /// The head of a door where nobody measured it. From memory.
        const USUAL_HEAD_M: f64 = 2.1;
        let crosses = move |one: &WallOpeningPlan| {
            one.sill.is_some_and(|sill| sill <= height) && one.head.unwrap_or(USUAL_HEAD_M) > height
        };
        let here = self.openings.iter().filter(move |(stands_on, one)| *stands_on == level && crosses(one));
        here.filter_map(move |(_, one)| {
            let ends = [one.line.from, one.line.to].map(|end| room.nearest_on_wall(end));
            if ends.iter().any(|end| end.off > FACE_OFF_M_MAX) {
                return None;
            }
            let [from, to] = ends.map(|end| room.on_wall(end.along));
            let strip = Strip::round(Edge { from, to }, FACE_M, 0.0);
            (strip.length() > FACE_M).then_some(Footprint { obstacle: Obstacle::OPENING, strip })
        })
    }

    /// What closes one of these media on a level.
    pub fn closing(&self, media: MediumSet, level: i8) -> impl Iterator<Item = &Footprint> {
        let closes = move |thing: &&RecordedThing| {
            thing.blocks & media != 0 && thing.level.is_none_or(|stands_on| stands_on == level)
        };
        self.things.iter().filter(closes).map(|thing| &thing.footprint)
    }

    /// What stands over the ceiling of a level at a place: no cable comes down there.
    #[must_use]
    pub fn overhead(&self, level: i8, at: Position) -> Option<Obstacle> {
        self.closing(OVERHEAD, level).find(|one| one.strip.holds(at)).map(|one| one.obstacle)
    }

    /// What stands under the floor of a level at a place: no cable comes up there.
    #[must_use]
    pub fn underfoot(&self, level: i8, at: Position) -> Option<Obstacle> {
        self.closing(UNDERFOOT, level).find(|one| one.strip.holds(at)).map(|one| one.obstacle)
    }

    /// What keeps a way out of the wall of a room at a place on it.
    #[must_use]
    pub fn in_the_wall(&self, medium: Medium, level: i8, (room, at): (&Shape, Position)) -> Option<Obstacle> {
        let mut closing = self.closing(only(medium), level).peekable();
        closing.peek()?;
        let wall = room.wall_at(at);
        closing.find(|one| one.is_in_the_wall(wall, at, FACE_OFF_M_MAX)).map(|one| one.obstacle)
    }
}
