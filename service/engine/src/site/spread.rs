//! Places for points that nobody marked.
//!
//! On the walls: evenly round the room, half a pitch from the middle of the front wall (of the back wall in the back
//! half of the house), going towards the middle of the house first. Switches: the first on the wall towards the
//! nearest hall or landing, where the door most likely is, the others spread from there. On the ceiling: on a grid
//! over the room. In the floor: in the middle. Outside: evenly round the outside wall, by the same rule as in a room.
//! The rule looks at nothing but outlines, so a house and its mirror image have mirrored places. Common practice, no
//! source.

use std::collections::BTreeMap;

use super::rooms::RoomPlan;
use crate::catalogue::{Catalogue, PointGroup, PointPlace};
use crate::geometry::{Edge, Shape, straight};
use crate::survey::{Position, RoomUse};
use crate::work::{WorkBudget, WorkPart};

/// Gives every point of a drawn room its places, and those outside places on the outside wall.
pub(super) fn place_points(
    rooms: &mut [RoomPlan],
    outside: &BTreeMap<i8, Vec<Shape>>,
    catalogue: &Catalogue,
    work: &WorkBudget,
) {
    /// Once round the walls for the middle, the nearest wall and the like.
    const STEPS_OF_A_CORNER: u64 = 40;
    const STEPS_OF_A_POINT: u64 = 6;
    let Some(middle) = middle_of_the_house(outside) else { return };
    let halls: Vec<(i8, Position)> = rooms
        .iter()
        .filter(|room| matches!(room.room_use, RoomUse::Hall | RoomUse::Landing))
        .filter_map(|room| Some((room.level, room.outline.as_ref()?.middle())))
        .collect();
    for room in rooms.iter_mut().filter(|room| !room.points.is_empty()) {
        let outside_of_house = room.room_use == RoomUse::Outside;
        let walls = if outside_of_house {
            outside.get(&room.level).and_then(|parts| parts.first())
        } else {
            room.outline.as_ref()
        };
        let Some(walls) = walls.cloned() else { continue };
        let steps = walls.corners().len() as u64 * STEPS_OF_A_CORNER + room.point_count() * STEPS_OF_A_POINT;
        if !work.spend(WorkPart::Plans, steps) {
            return;
        }
        let own = walls.middle();
        let is_hall = matches!(room.room_use, RoomUse::Hall | RoomUse::Landing);
        let hall = halls.iter().filter(|(level, _)| *level == room.level && !is_hall).map(|(_, place)| *place);
        let door_towards = hall.min_by(|a, b| straight(*a, own).total_cmp(&straight(*b, own))).unwrap_or(middle);
        let mut spread = Spread::over(room, &walls, (middle, door_towards), catalogue, work);
        for point in &mut room.points {
            let row = &catalogue.points()[point.row];
            point.places = match point.at {
                Some(at) => vec![at; point.count as usize],
                None => spread.take(Stand::of(row.group, row.place), point.count),
            };
        }
    }
}

/// The middle of the rectangle round the house.
pub(crate) fn middle_of_the_house(outside: &BTreeMap<i8, Vec<Shape>>) -> Option<Position> {
    let corners: Vec<Position> = outside.values().flatten().flat_map(|part| part.corners()).copied().collect();
    (!corners.is_empty()).then(|| {
        let (least, greatest) = Shape::of(&corners).bounds();
        crate::geometry::between(least, greatest, 0.5)
    })
}

/// How a point stands in its room.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Stand {
    Wall,
    Door,
    Ceiling,
    Floor,
}

impl Stand {
    fn of(group: PointGroup, place: PointPlace) -> Self {
        match place {
            PointPlace::Ceiling => Self::Ceiling,
            PointPlace::Floor => Self::Floor,
            PointPlace::Wall if group == PointGroup::Switch => Self::Door,
            PointPlace::Wall | PointPlace::Outside => Self::Wall,
        }
    }
}

/// The places of one room that are not given out yet.
struct Spread {
    places: BTreeMap<Stand, std::vec::IntoIter<Position>>,
}

impl Spread {
    fn over(
        room: &RoomPlan,
        walls: &Shape,
        (middle, door_towards): (Position, Position),
        catalogue: &Catalogue,
        work: &WorkBudget,
    ) -> Self {
        let mut counts: BTreeMap<Stand, u32> = BTreeMap::new();
        for point in room.points.iter().filter(|point| point.at.is_none()) {
            let row = &catalogue.points()[point.row];
            *counts.entry(Stand::of(row.group, row.place)).or_insert(0) += point.count;
        }
        let places = counts.into_iter().map(|(stand, count)| {
            let places = match stand {
                Stand::Wall => round_the_walls(walls, middle, count),
                Stand::Door => from_the_door(walls, door_towards, count),
                Stand::Ceiling => {
                    // Each is held against each side.
                    work.count(WorkPart::Plans, u64::from(count) * walls.corners().len() as u64);
                    over_the_ceiling(walls, count)
                }
                Stand::Floor => vec![walls.middle(); count as usize],
            };
            (stand, places.into_iter())
        });
        Self { places: places.collect() }
    }

    fn take(&mut self, stand: Stand, count: u32) -> Vec<Position> {
        self.places.get_mut(&stand).map(|places| places.take(count as usize).collect()).unwrap_or_default()
    }
}

/// Switches: the first one on the wall towards the hall or the landing, the others as far round as they are many.
fn from_the_door(room: &Shape, towards: Position, count: u32) -> Vec<Position> {
    let start = room.along(towards);
    let pitch = room.perimeter().value() / f64::from(count.max(1));
    (0..count).map(|index| room.on_wall(start + pitch * f64::from(index))).collect()
}

/// So many places spread round the walls of `room`, in a house whose middle is `middle`.
#[must_use]
pub fn round_the_walls(room: &Shape, middle: Position, count: u32) -> Vec<Position> {
    let perimeter = room.perimeter().value();
    let pitch = perimeter / f64::from(count.max(1));
    let own = room.middle();
    let front = own.y_m <= middle.y_m;
    let start = room.along(middle_of_the_wall(room, front));
    // Corners go counter-clockwise: along the front wall that is to the right, along the back wall to the left.
    let wants_right = own.x_m <= middle.x_m;
    let sign = if front == wants_right { 1.0 } else { -1.0 };
    (0..count).map(|index| room.on_wall(start + sign * pitch * (f64::from(index) + 0.5))).collect()
}

/// The middle of the frontmost (or backmost) wall; of the longest of them where there are several.
fn middle_of_the_wall(room: &Shape, front: bool) -> Position {
    let depth = |edge: &Edge| {
        let middle = (edge.from.y_m + edge.to.y_m) / 2.0;
        if front { middle } else { -middle }
    };
    room.edges()
        .min_by(|a, b| depth(a).total_cmp(&depth(b)).then(b.length().total_cmp(&a.length())))
        .map_or_else(|| room.middle(), |edge| edge.at(edge.length() / 2.0))
}

/// So many places on a grid over `room`: rows of equal length, the middle row short where they do not come out even.
#[must_use]
pub fn over_the_ceiling(room: &Shape, count: u32) -> Vec<Position> {
    let (least, greatest) = room.bounds();
    let (width, depth) = (greatest.x_m - least.x_m, greatest.y_m - least.y_m);
    if count == 0 {
        return Vec::new();
    }
    let number = f64::from(count);
    let rows = (number * depth / width.max(f64::MIN_POSITIVE)).sqrt().round().clamp(1.0, number);
    let mut places = Vec::with_capacity(count as usize);
    let middle = std::cell::LazyCell::new(|| room.middle());
    let mut row = 0.0;
    while row < rows {
        // As many as bring the rows so far to their share of all.
        let here = (number * (row + 1.0) / rows).round() - (number * row / rows).round();
        let mut column = 0.0;
        while column < here {
            let place = Position {
                x_m: least.x_m + width * (column + 0.5) / here,
                y_m: least.y_m + depth * (row + 0.5) / rows,
            };
            places.push(if room.holds(place) { place } else { *middle });
            column += 1.0;
        }
        row += 1.0;
    }
    places
}
