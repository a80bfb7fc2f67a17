//! What was recorded to stand in the way, as strips on plan: over which storey, under which, in which walls.
//!
//! A beam, a lintel or a wall is a thing with a width; a beam bears on its walls at both ends. A cable keeps clear of it,
//! or goes over or under it by a crossing that is named and priced.

mod field;

pub(super) use field::corners;
pub use field::{BayPiece, Crossed, Field, Measured, cut};

pub use crate::site::{CLEAR_M, Footprint, Obstacle};

use super::map::{MediumSet, only};
use crate::geometry::Shape;
use crate::site::FACE_OFF_M_MAX;
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
        Self { things: obstructions.iter().enumerate().map(thing).collect() }
    }

    /// Whether nothing was recorded.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.things.is_empty()
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
