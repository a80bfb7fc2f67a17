//! Spots on plan, and what lies over what.

use std::collections::BTreeMap;

use super::rooms::RoomPlan;
use super::{RoomIndex, Site};
use crate::quantities::Metres;
use crate::survey::Position;

/// Somewhere in the house: a level, and where it is known, a place on plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Location {
    /// The room; absent outside rooms.
    pub room: Option<RoomIndex>,
    /// The level.
    pub level: i8,
    /// The place on plan; absent where nothing was drawn.
    pub at: Option<Position>,
    /// Its centre above the floor, if it was recorded.
    pub height: Option<Metres>,
}

/// A board's middle above the floor where nobody measured it. From memory.
const USUAL_BOARD_HEIGHT: Metres = Metres::new(1.5);

impl Location {
    /// The middle of what hangs there above the floor; that of a board where it was not recorded.
    #[must_use]
    pub fn centre(&self) -> Metres {
        self.height.unwrap_or(USUAL_BOARD_HEIGHT)
    }
}

/// A place so far to the right and the back.
fn aside(at: Position, by: f64) -> Position {
    Position { x_m: at.x_m + by, y_m: at.y_m + by }
}

/// Rooms by level and by patch of plan, for asking what lies over a place without looking at every room.
#[derive(Debug, Clone)]
pub struct Patches {
    patch_m: f64,
    rooms: BTreeMap<(i8, i32, i32), Vec<RoomIndex>>,
    /// How far from the rooms of a level a place may lie and still be in the walls round them.
    in_the_walls: BTreeMap<i8, f64>,
}

/// A room covers at most this many patches along one side, so that a huge outline stays cheap.
const PATCHES_ACROSS_MAX: f64 = 64.0;
/// Side of a patch in an ordinary house.
const PATCH_M: f64 = 3.0;

impl Patches {
    /// Sorts the drawn rooms into patches.
    #[must_use]
    pub fn of(site: &Site) -> Self {
        let drawn =
            || site.rooms.iter().enumerate().filter_map(|(index, room)| Some((index, room, room.outline.as_ref()?)));
        let largest = drawn().map(|(_, _, outline)| outline.longer_side().value()).fold(0.0, f64::max);
        let patch_m = PATCH_M.max(largest / PATCHES_ACROSS_MAX);
        let in_the_walls = site.plans.iter().map(|(level, plan)| (*level, plan.in_the_walls_m)).collect();
        let mut patches = Self { patch_m, rooms: BTreeMap::new(), in_the_walls };
        for (index, room, outline) in drawn() {
            let (least, greatest) = outline.bounds();
            let round = patches.round(room.level);
            let ((left, front), (right, back)) =
                (patches.patch(aside(least, -round)), patches.patch(aside(greatest, round)));
            for column in left..=right {
                for row in front..=back {
                    patches.rooms.entry((room.level, column, row)).or_default().push(index);
                }
            }
        }
        patches
    }

    /// The first room at `level` that holds `at`; of a place in the walls, the room that it is nearest to.
    #[must_use]
    pub fn room_at(&self, rooms: &[RoomPlan], level: i8, at: Position) -> Option<RoomIndex> {
        let (column, row) = self.patch(at);
        let candidates = self.rooms.get(&(level, column, row))?;
        let drawn = || candidates.iter().filter_map(|index| Some((*index, rooms[*index].outline.as_ref()?)));
        let holding = drawn().find(|(_, outline)| outline.holds(at)).map(|(index, _)| index);
        let nearest = || {
            let off = drawn().map(|(index, outline)| (outline.nearest_on_wall(at).off, index));
            let near = off.filter(|(off, index)| rooms[*index].is_inside() && *off <= self.round(level));
            near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, index)| index)
        };
        holding.or_else(nearest)
    }

    fn round(&self, level: i8) -> f64 {
        self.in_the_walls.get(&level).copied().unwrap_or(0.0)
    }

    /// The rooms at `level` whose patches touch a rectangle, in their order.
    #[must_use]
    pub fn rooms_near(&self, level: i8, least: Position, greatest: Position) -> Vec<RoomIndex> {
        let ((left, front), (right, back)) = (self.patch(least), self.patch(greatest));
        let columns = (left..=right).flat_map(|column| (front..=back).map(move |row| (level, column, row)));
        let mut rooms: Vec<RoomIndex> = columns.filter_map(|patch| self.rooms.get(&patch)).flatten().copied().collect();
        rooms.sort_unstable();
        rooms.dedup();
        rooms
    }

    #[expect(clippy::cast_possible_truncation, reason = "coordinates are held to ±2000 m, patches to 3 m or more")]
    fn patch(&self, at: Position) -> (i32, i32) {
        ((at.x_m / self.patch_m).floor() as i32, (at.y_m / self.patch_m).floor() as i32)
    }
}
