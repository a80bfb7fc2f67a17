//! Outbuildings: the feed with its trench and glands, the board behind it.

use super::earthing::electrode;
use super::{ItemDetail, ItemKind, Job, LineKind, TakeOff};
use crate::circuits::CircuitPlan;
use crate::site::OutbuildingPlan;
use crate::unit_rates::{FEED_WALL, armoured, dig};

/// The feed of an outbuilding with its trench, its glands and the board behind it.
pub(super) fn feed(
    job: Job<'_>,
    take_off: &mut TakeOff,
    index: usize,
    circuit: &CircuitPlan,
    building: &OutbuildingPlan,
) {
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
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
        .work(operations.sub_board_fit, 1.0)
        .work(operations.board_way, f64::from(sub_board.used))
        .uses_material(materials.sub_board, f64::from(sub_board.ways.div_ceil(6)))
        .uses_material(materials.rcbo, f64::from(sub_board.used))
        .uses_material(materials.surge_device, f64::from(u8::from(sub_board.surge_device)))
        .detail(ItemDetail::SubBoard(place))
        .done();
    if sub_board.earth.has_electrode() {
        electrode(job, take_off, Some(building.room));
    }
}

/// A feed in the ground.
fn laid(job: Job<'_>, take_off: &mut TakeOff, index: usize, circuit: &CircuitPlan, building: &OutbuildingPlan) {
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    let metres = circuit.run.metres.value();
    let buried: f64 = building.stretches.iter().map(|(_, length)| length.value()).sum();
    let clipped = (metres - buried).max(0.0);
    let armoured = armoured(job.workbook, job.catalogue, circuit.cable);
    take_off
        .start(LineKind::Outbuilding, ItemKind::ArmouredFeed)
        .room(building.room)
        .circuit(index)
        .quantity((metres * 100.0).round() / 100.0, "m")
        .work(armoured.clipped(), clipped)
        .work(armoured.trench, buried)
        .work(armoured.gland, 2.0)
        .work(job.workbook.wall_work(FEED_WALL).hole, 2.0)
        .uses_material(armoured.material, metres)
        .uses_material(materials.gland_armoured, 2.0)
        .uses_material(materials.hole_sleeve, 2.0)
        .done();
    for (ground, length) in &building.stretches {
        take_off
            .start(LineKind::Outbuilding, ItemKind::Trench)
            .detail(ItemDetail::Trench(*ground))
            .room(building.room)
            .circuit(index)
            .quantity(length.value(), "m")
            .work(dig(job.workbook, *ground), length.value())
            .work(operations.trench_backfill, length.value())
            .uses_material(materials.tape_sand, length.value())
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
        .work(armoured(job.workbook, job.catalogue, circuit.cable).gland, glands)
        .uses_material(job.workbook.materials.gland_armoured, glands)
        .done();
}
