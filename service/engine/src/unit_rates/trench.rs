//! The feed of an outbuilding: its cable in the ground, the trench, the holes at both ends.

use super::{Conditions, Factors, Rate};
use crate::catalogue::{CableSize, Catalogue};
use crate::rate_sheet::{CableWork, OperationIndex, Workbook};
use crate::site::RoomIndex;
use crate::survey::{Ground, Wall};

/// What a feed is drilled through at both ends. Common practice, no source: most outside walls are brick.
pub(crate) const FEED_WALL: Wall = Wall::Brick;

/// Hours and money of a metre of a buried feed, by ground: the cable laid in it, the trench dug and filled again.
pub(crate) fn trench_metre(
    (workbook, catalogue): (&Workbook, &Catalogue),
    factors: &Factors,
    cable: CableSize,
    (room, ground): (RoomIndex, Ground),
) -> Rate {
    let (operations, materials) = (&workbook.operations, &workbook.materials);
    let armoured = armoured(workbook, catalogue, cable);
    let conditions = Conditions { room: Some(room), ..Conditions::HOUSE };
    let works = [armoured.trench, Some(dig(workbook, ground)), Some(operations.trench_backfill)];
    let works = works.into_iter().flatten();
    let hours: f64 = works.map(|work| factors.hours_of_one(work, &conditions, workbook)).sum();
    let materials = [armoured.material, Some(materials.tape_sand)].into_iter().flatten();
    let material: f64 = materials.map(|material| workbook.material(material).approximate_cost).sum();
    Rate { hours, money: hours * workbook.sheet.terms.labour_rate.approximate() + material }
}

/// Hours and money of one of the two holes of a feed: out of the house, into the outbuilding.
pub(crate) fn feed_hole(workbook: &Workbook, factors: &Factors, building: RoomIndex) -> Rate {
    let conditions = Conditions { room: Some(building), ..Conditions::HOUSE };
    let hours = factors.hours_of_one(workbook.wall_work(FEED_WALL).hole, &conditions, workbook);
    let sleeve = workbook.material(workbook.materials.hole_sleeve).approximate_cost;
    Rate { hours, money: hours * workbook.sheet.terms.labour_rate.approximate() + sleeve }
}

/// What the sheet says of the cable of a feed as it is laid in the ground: one that was given in another make is laid as the smallest feed.
pub(crate) fn armoured<'a>(workbook: &'a Workbook, catalogue: &Catalogue, cable: CableSize) -> &'a CableWork {
    let cable = if cable.is_armoured() { cable } else { catalogue.cables().feeds()[0] };
    workbook.cable(cable.row())
}

/// Digging a metre of trench.
pub(crate) fn dig(workbook: &Workbook, ground: Ground) -> OperationIndex {
    let operations = &workbook.operations;
    match ground {
        Ground::Lawn | Ground::Bed => operations.trench_soft,
        Ground::Gravel => operations.trench_gravel,
        Ground::Slabs => operations.trench_slabs,
        Ground::Concrete | Ground::Tarmac | Ground::SharedDrive => operations.trench_hard,
    }
}
