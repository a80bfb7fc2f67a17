//! What stud walls have in them where nobody looked: by their make and their age.

use super::Site;
use super::assume::{Assumed, Assumptions, StudFilling};
use super::rooms::RoomPlan;
use crate::survey::{Insulation, Wall};

/// Partitions between rooms are filled against noise from about this year on. Source: Approved Document E, 2003, from memory.
const PARTITIONS_FILLED_FROM: u16 = 2003;
/// Outside walls of timber frame are filled against cold from about this year on. Source: the Building Regulations 1965,
/// from memory.
const FRAMES_FILLED_FROM: u16 = 1965;

/// Whether a cable in its walls lies between studs or battens.
const fn is_hollow(wall: Wall) -> bool {
    matches!(wall, Wall::TimberStud | Wall::MetalStud | Wall::TimberFrame | Wall::PlasterboardOnBatten)
}

/// What such a wall is taken to have in it. Where the age is not known it is taken as filled: a cable carries less there.
const fn filling(wall: Wall, built_year: Option<u16>) -> StudFilling {
    let from = match wall {
        Wall::TimberStud | Wall::MetalStud => PARTITIONS_FILLED_FROM,
        _ => FRAMES_FILLED_FROM,
    };
    match built_year {
        Some(year) if year < from => StudFilling::Empty,
        Some(_) => StudFilling::Filled,
        None => StudFilling::FilledForWantOfAge,
    }
}

/// Whether a room has stud walls with cables in them that nobody has looked into.
pub(crate) fn are_unseen(room: &RoomPlan) -> bool {
    let cabled = room.is_inside() && !room.surface && !room.points.is_empty();
    cabled && is_hollow(room.wall) && !room.wall_insulation_recorded
}

/// Fills the stud walls that nobody looked into, and says so.
pub(super) fn fill(built_year: Option<u16>, rooms: &mut [RoomPlan], assumptions: &mut Assumptions) {
    for room in rooms.iter_mut().filter(|room| are_unseen(room)) {
        let filling = filling(room.wall, built_year);
        assumptions.room(Assumed::StudInsulation(filling), &room.id);
        room.wall_insulation = (filling == StudFilling::Empty).then_some(Insulation::None);
    }
}

impl Site {
    /// Every stud wall that nobody looked into, as an answer has it; with nothing where it is filled and the cables touch
    /// its face.
    pub(crate) fn fill_stud_walls(&mut self, insulation: Option<Insulation>) {
        self.rooms.iter_mut().filter(|room| are_unseen(room)).for_each(|room| room.wall_insulation = insulation);
    }
}
