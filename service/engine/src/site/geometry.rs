//! Rectangles and spots on plan, and what lies over what.

use std::collections::BTreeMap;

use super::RoomIndex;
use super::rooms::RoomPlan;
use crate::quantities::{Metres, SquareMetres};
use crate::survey::{Outline, Position};

/// A room's rectangle on plan, in the house's own coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectangle {
    /// Left edge.
    pub x: Metres,
    /// Front edge.
    pub y: Metres,
    /// Along the front.
    pub width: Metres,
    /// To the back.
    pub depth: Metres,
}

/// Somewhere in the house: a level, and where it is known, a place on plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// The room; absent outside rooms.
    pub room: Option<RoomIndex>,
    /// The level.
    pub level: i8,
    /// The place on plan; absent where nothing was drawn.
    pub at: Option<Position>,
}

impl From<Outline> for Rectangle {
    fn from(outline: Outline) -> Self {
        Self {
            x: Metres::new(outline.x_m),
            y: Metres::new(outline.y_m),
            width: Metres::new(outline.width_m),
            depth: Metres::new(outline.depth_m),
        }
    }
}

impl Rectangle {
    /// A square of this area at the origin, for a room that was not drawn.
    #[must_use]
    pub fn square(area: SquareMetres) -> Self {
        let side = Metres::new(area.value().max(0.0).sqrt());
        Self { x: Metres::ZERO, y: Metres::ZERO, width: side, depth: side }
    }

    /// Its area.
    #[must_use]
    pub fn area(self) -> SquareMetres {
        self.width * self.depth
    }

    /// Once round.
    #[must_use]
    pub fn perimeter(self) -> Metres {
        (self.width + self.depth) * 2.0
    }

    /// Its longer side.
    #[must_use]
    pub fn longer_side(self) -> Metres {
        self.width.max(self.depth)
    }

    /// Its middle.
    #[must_use]
    pub fn middle(self) -> Position {
        Position { x_m: self.x.value() + self.width.value() / 2.0, y_m: self.y.value() + self.depth.value() / 2.0 }
    }

    /// Whether it holds the place, its edges included.
    #[must_use]
    pub fn holds(self, at: Position) -> bool {
        at.x_m >= self.x.value()
            && at.x_m <= self.x.value() + self.width.value()
            && at.y_m >= self.y.value()
            && at.y_m <= self.y.value() + self.depth.value()
    }
}

/// Distance along the building's axes.
#[must_use]
pub fn axis_distance(from: Position, to: Position) -> Metres {
    Metres::new((from.x_m - to.x_m).abs() + (from.y_m - to.y_m).abs())
}

/// Rooms by level and by patch of plan, for asking what lies over a place without looking at every room.
#[derive(Debug, Clone)]
pub struct Patches {
    patch_m: f64,
    rooms: BTreeMap<(i8, i32, i32), Vec<RoomIndex>>,
}

/// A room covers at most this many patches along one side, so that a huge outline stays cheap.
const PATCHES_ACROSS_MAX: f64 = 64.0;
/// Side of a patch in an ordinary house.
const PATCH_M: f64 = 3.0;

impl Patches {
    /// Sorts the drawn rooms into patches.
    #[must_use]
    pub fn of(rooms: &[RoomPlan]) -> Self {
        let drawn = || rooms.iter().enumerate().filter_map(|(index, room)| Some((index, room, room.outline?)));
        let largest = drawn().map(|(_, _, outline)| outline.longer_side().value()).fold(0.0, f64::max);
        let patch_m = PATCH_M.max(largest / PATCHES_ACROSS_MAX);
        let mut patches = Self { patch_m, rooms: BTreeMap::new() };
        for (index, room, outline) in drawn() {
            let (left, front) = patches.patch(Position { x_m: outline.x.value(), y_m: outline.y.value() });
            let far = Position {
                x_m: outline.x.value() + outline.width.value(),
                y_m: outline.y.value() + outline.depth.value(),
            };
            let (right, back) = patches.patch(far);
            for column in left..=right {
                for row in front..=back {
                    patches.rooms.entry((room.level, column, row)).or_default().push(index);
                }
            }
        }
        patches
    }

    /// The first room at `level` that holds `at`.
    #[must_use]
    pub fn room_at(&self, rooms: &[RoomPlan], level: i8, at: Position) -> Option<RoomIndex> {
        let (column, row) = self.patch(at);
        let candidates = self.rooms.get(&(level, column, row))?;
        candidates.iter().copied().find(|index| rooms[*index].outline.is_some_and(|outline| outline.holds(at)))
    }

    #[expect(clippy::cast_possible_truncation, reason = "coordinates are held to ±2000 m, patches to 3 m or more")]
    fn patch(&self, at: Position) -> (i32, i32) {
        ((at.x_m / self.patch_m).floor() as i32, (at.y_m / self.patch_m).floor() as i32)
    }
}
