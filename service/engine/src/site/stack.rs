//! What is over and under each room, where no own room is: as recorded, else as it usually is in such a dwelling.

use std::collections::BTreeMap;

use super::assume::{Assumed, Assumptions};
use super::rooms::RoomPlan;
use crate::geometry::{OutlineTree, Shape};
use crate::survey::{Above, Below, Dwelling, Room, RoomUse, Survey};
use crate::work::{WorkBudget, WorkPart};

/// A part of a room smaller than this, with no own room over it, is not a thing of its own. Common practice, no source.
pub(crate) const UNCOVERED_SHARE_MIN: f64 = 0.1;

/// What is over and under a room where no own room is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RoomStack {
    /// Over it.
    pub above: Above,
    /// Whether somebody said so.
    pub above_recorded: bool,
    /// Under it.
    pub below: Below,
    /// Whether somebody said so.
    pub below_recorded: bool,
}

impl RoomStack {
    /// That of an outbuilding.
    pub(super) const OUTBUILDING: Self =
        Self { above: Above::RoofVoid, above_recorded: true, below: Below::Ground, below_recorded: true };

    /// As it was said of the room or of its storey.
    pub(super) fn recorded(survey: &Survey, room: &Room) -> Self {
        let mut listed = survey.site.iter().flat_map(|site| &site.storeys);
        let storey = listed.find(|storey| room.storey.as_deref() == Some(storey.id.as_str()));
        let above = room.above.or(storey.and_then(|storey| storey.above));
        let below = room.below.or(storey.and_then(|storey| storey.below));
        Self {
            above: above.unwrap_or(Above::Rooms),
            above_recorded: above.is_some(),
            below: below.unwrap_or(Below::Rooms),
            below_recorded: below.is_some(),
        }
    }
}

/// Fills what was not recorded of each room, and says what was taken where it is not what every house has.
pub(super) fn stack(
    dwelling: Option<Dwelling>,
    (rooms, top_level): (&mut [RoomPlan], i8),
    assumptions: &mut Assumptions,
    work: &WorkBudget,
) {
    let inside = |room: &&RoomPlan| room.is_inside() && room.room_use != RoomUse::Loft;
    let lowest = rooms.iter().filter(inside).map(|room| room.level).min().unwrap_or(0);
    let storeys = Storeys::of(rooms);
    let found: Vec<(Above, Below)> = rooms
        .iter()
        .map(|room| {
            let (over, under) = (storeys.covering(room, 1, work), storeys.covering(room, -1, work));
            (above(dwelling, room, over, room.level >= top_level), below(dwelling, room, under, room.level <= lowest))
        })
        .collect();
    for (room, (above, below)) in rooms.iter_mut().zip(found) {
        if !room.is_inside() || room.room_use == RoomUse::Loft {
            continue;
        }
        if !room.stack.above_recorded {
            room.stack.above = above;
            let said = matches!(above, Above::AnotherDwelling | Above::OpenAir)
                || above == Above::FlatRoof && room.outline.is_some();
            if said {
                assumptions.room(Assumed::Above(above), &room.id);
            }
        }
        if !room.stack.below_recorded {
            room.stack.below = below;
            if matches!(below, Below::AnotherDwelling | Below::OpenAir) {
                assumptions.room(Assumed::Below(below), &room.id);
            }
        }
    }
}

/// The rooms inside by their levels, for asking what lies over a place without looking at every room.
struct Storeys<'a> {
    rooms: &'a [RoomPlan],
    levels: BTreeMap<i8, OutlineTree>,
}

impl<'a> Storeys<'a> {
    fn of(rooms: &'a [RoomPlan]) -> Self {
        let mut levels: BTreeMap<i8, Vec<_>> = BTreeMap::new();
        let inside = rooms.iter().enumerate().filter(|(_, room)| room.is_inside() && room.room_use != RoomUse::Loft);
        for (index, room) in inside {
            let level = levels.entry(room.level).or_default();
            level.extend(room.outline.as_ref().map(|outline| (index, outline)));
        }
        let tree = |(level, outlines): (i8, Vec<_>)| (level, OutlineTree::of(outlines.into_iter()));
        Self { rooms, levels: levels.into_iter().map(tree).collect() }
    }

    /// How much of a room has own rooms over or under it; of what was not drawn, all if that storey has any.
    fn covering(&self, room: &RoomPlan, by: i8, work: &WorkBudget) -> f64 {
        const STEPS_OF_A_CORNER: u64 = 30;
        let Some(others) = self.levels.get(&room.level.saturating_add(by)) else { return 0.0 };
        let Some(outline) = &room.outline else { return 1.0 };
        let (least, greatest) = outline.bounds();
        let mut found: Vec<usize> = others.near(outline).collect();
        // Always added up in the same order.
        found.sort_unstable();
        let drawn = found.into_iter().filter_map(|index| self.rooms[index].outline.as_ref());
        let inside = |other: &&Shape| {
            let (from, to) = other.bounds();
            from.x_m < greatest.x_m && to.x_m > least.x_m && from.y_m < greatest.y_m && to.y_m > least.y_m
        };
        let shared = drawn.filter(inside).map(|other| {
            let corners = (outline.corners().len() + other.corners().len()) as u64;
            let goes_on = work.spend(WorkPart::Plans, corners * STEPS_OF_A_CORNER);
            if goes_on { outline.overlap(other).value() } else { 0.0 }
        });
        shared.sum::<f64>() / room.area.value().max(f64::MIN_POSITIVE)
    }
}

fn above(dwelling: Option<Dwelling>, room: &RoomPlan, over: f64, is_top: bool) -> Above {
    if 1.0 - over < UNCOVERED_SHARE_MIN {
        return Above::Rooms;
    }
    match (dwelling.is_some_and(Dwelling::shares_its_floors), is_top) {
        (true, _) => Above::AnotherDwelling,
        (false, true) => Above::RoofVoid,
        // The walls of the storey above stand on it, or it is an extension.
        (false, false) if room.room_use == RoomUse::Cellar => Above::Rooms,
        (false, false) => Above::FlatRoof,
    }
}

fn below(dwelling: Option<Dwelling>, room: &RoomPlan, under: f64, is_lowest: bool) -> Below {
    if under >= UNCOVERED_SHARE_MIN {
        return Below::Rooms;
    }
    match (dwelling.is_some_and(Dwelling::shares_its_floors), room.level) {
        // A flat has no ground of its own unless it is said, at the level of the ground too.
        (true, _) => Below::AnotherDwelling,
        (false, ..=0) => Below::Ground,
        (false, _) if is_lowest => Below::Ground,
        (false, _) => Below::OpenAir,
    }
}
