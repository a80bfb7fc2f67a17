//! Outbuildings: the feed with its trench and glands, the board behind it.

use super::earthing::electrode;
use super::{Conditions, ItemDetail, ItemKind, Job, LineKind, TakeOff};
use crate::catalogue::CableSize;
use crate::circuits::CircuitPlan;
use crate::labour::Factors;
use crate::rate_sheet::{CableWork, OperationIndex};
use crate::routes::Rate;
use crate::site::{OutbuildingPlan, RoomIndex};
use crate::survey::Ground;

/// The feed of an outbuilding with its trench, its glands and the board behind it.
pub(super) fn feed(
    job: Job<'_>,
    take_off: &mut TakeOff,
    index: usize,
    circuit: &CircuitPlan,
    building: &OutbuildingPlan,
) {
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    match circuit.fixed.kept {
        Some(_) => made_off_anew(job, take_off, index, circuit, building),
        None => laid(job, take_off, index, circuit, building),
    }
    let boards = job.installation.board.sub_boards.iter().enumerate();
    let Some((place, sub_board)) = boards.into_iter().find(|(_, board)| board.feed == index) else { return };
    take_off
        .start(LineKind::Outbuilding, ItemKind::SubBoard)
        .room(building.room)
        .quantity(1.0, "each")
        .work(does.sub_board_fit, 1.0)
        .work(does.board_way, f64::from(sub_board.used))
        .takes(takes.sub_board, f64::from(sub_board.ways.div_ceil(6)))
        .takes(takes.rcbo, f64::from(sub_board.used))
        .detail(ItemDetail::SubBoard(place))
        .done();
    if sub_board.earth.has_electrode() {
        electrode(job, take_off, Some(building.room));
    }
}

/// A feed in the ground.
fn laid(job: Job<'_>, take_off: &mut TakeOff, index: usize, circuit: &CircuitPlan, building: &OutbuildingPlan) {
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    let metres = circuit.run.metres.value();
    let buried: f64 = building.stretches.iter().map(|(_, length)| length.value()).sum();
    let clipped = (metres - buried).max(0.0);
    let armoured = armoured(job, circuit.cable);
    take_off
        .start(LineKind::Outbuilding, ItemKind::ArmouredFeed)
        .room(building.room)
        .circuit(index)
        .quantity((metres * 100.0).round() / 100.0, "m")
        .work(armoured.clipped(), clipped)
        .work(armoured.trench, buried)
        .work(armoured.gland, 2.0)
        .work(job.workbook.wall_work(FEED_WALL).hole, 2.0)
        .takes(armoured.material, metres)
        .takes(takes.gland_armoured, 2.0)
        .takes(takes.hole_sleeve, 2.0)
        .done();
    for (ground, length) in &building.stretches {
        take_off
            .start(LineKind::Outbuilding, ItemKind::Trench)
            .detail(ItemDetail::Trench(*ground))
            .room(building.room)
            .circuit(index)
            .quantity(length.value(), "m")
            .work(dig(job, *ground), length.value())
            .work(does.trench_backfill, length.value())
            .takes(takes.tape_sand, length.value())
            .done();
    }
}

/// An armoured feed that stays is made off at the new board of the house, and at that of the building where one is fitted.
fn made_off_anew(
    job: Job<'_>,
    take_off: &mut TakeOff,
    index: usize,
    circuit: &CircuitPlan,
    building: &OutbuildingPlan,
) {
    if !circuit.cable.is_armoured() {
        return;
    }
    let far_end = job.installation.board.sub_boards.iter().any(|board| board.feed == index);
    let glands = if far_end { 2.0 } else { 1.0 };
    take_off
        .start(LineKind::Outbuilding, ItemKind::FeedMadeOff)
        .room(building.room)
        .circuit(index)
        .quantity(glands, "gland")
        .work(armoured(job, circuit.cable).gland, glands)
        .takes(job.workbook.takes.gland_armoured, glands)
        .done();
}

/// Hours and money of a metre of a buried feed, by ground: the cable laid in it, the trench dug and filled again.
pub(crate) fn trench_metre(
    job: Job<'_>,
    factors: &Factors,
    cable: CableSize,
    (room, ground): (RoomIndex, Ground),
) -> Rate {
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    let armoured = armoured(job, cable);
    let conditions = Conditions { room: Some(room), ..Conditions::HOUSE };
    let works = [armoured.trench, Some(dig(job, ground)), Some(does.trench_backfill)];
    let works = works.into_iter().flatten();
    let hours: f64 = works.map(|work| factors.hours_of_one(work, &conditions, job.workbook)).sum();
    let materials = [armoured.material, Some(takes.tape_sand)].into_iter().flatten();
    let material: f64 = materials.map(|material| job.workbook.material(material).approximate_cost).sum();
    Rate { hours, money: hours * job.workbook.sheet.terms.labour_rate.approximate() + material }
}

/// Hours and money of one of the two holes of a feed: out of the house, into the outbuilding.
pub(crate) fn feed_hole(job: Job<'_>, factors: &Factors, building: RoomIndex) -> Rate {
    let conditions = Conditions { room: Some(building), ..Conditions::HOUSE };
    let hours = factors.hours_of_one(job.workbook.wall_work(FEED_WALL).hole, &conditions, job.workbook);
    let sleeve = job.workbook.material(job.workbook.takes.hole_sleeve).approximate_cost;
    Rate { hours, money: hours * job.workbook.sheet.terms.labour_rate.approximate() + sleeve }
}

/// What a feed is drilled through at both ends. Common practice, no source: most outside walls are brick.
const FEED_WALL: crate::survey::Wall = crate::survey::Wall::Brick;

/// The cable of a feed as it is laid in the ground: one that was given in another make is laid as the smallest feed.
pub(super) fn armoured(job: Job<'_>, cable: CableSize) -> &CableWork {
    let cable = if cable.is_armoured() { cable } else { job.catalogue.cables().feeds()[0] };
    job.workbook.cable(cable.row())
}

fn dig(job: Job<'_>, ground: Ground) -> OperationIndex {
    let does = &job.workbook.does;
    match ground {
        Ground::Lawn | Ground::Bed => does.trench_soft,
        Ground::Gravel => does.trench_gravel,
        Ground::Slabs => does.trench_slabs,
        Ground::Concrete | Ground::Tarmac | Ground::SharedDrive => does.trench_hard,
    }
}
