//! What belongs to the whole house: board, supply, strip-out, tests and papers.

use super::{ItemKind, Job, LineKind, TakeOff, earthing, outbuildings, testing};
use crate::catalogue::CircuitType;
use crate::circuits::{CircuitPlan, FedFrom};
use crate::rate_sheet::MaterialIndex;
use crate::survey::{BoardCondition, BoardKind, CableEra};

pub(super) fn house(job: Job<'_>, take_off: &mut TakeOff) {
    if job.site.scope.board_stays() {
        ways_of_the_old_board(job, take_off);
        residual_protection(job, take_off);
    } else {
        board(job, take_off);
        supply(job, take_off);
    }
    earthing::earthing(job, take_off);
    for (index, circuit) in job.installation.circuits.iter().enumerate() {
        if circuit.kind == CircuitType::Distribution
            && let Some(building) = circuit.outbuilding
        {
            outbuildings::feed(job, take_off, index, circuit, &job.site.outbuildings[building]);
        }
    }
    strip_out(job, take_off);
    testing::testing(job, take_off);
}

fn board(job: Job<'_>, take_off: &mut TakeOff) {
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    let plan = &job.installation.board;
    let circuits = job.installation.circuits.iter().filter(|circuit| circuit.fed_from == FedFrom::Board);
    // A board larger than any that is sold as one is made of several of the largest.
    let largest = 36;
    let boards = plan.ways.div_ceil(largest).max(1);
    take_off
        .start(LineKind::Board, ItemKind::ConsumerUnit)
        .quantity(f64::from(boards), "each")
        .work(operations.board_fit, f64::from(boards))
        .uses_material(enclosure(job, plan.ways), f64::from(boards))
        .uses_material(materials.surge_device, f64::from(u8::from(!job.site.surge_declined)))
        .uses_material(materials.blank, f64::from(plan.ways.saturating_sub(plan.used)))
        .uses_material(materials.board_sundries, f64::from(boards))
        .done();
    // A feed, and what a designer wants so, has no residual current device of its own.
    let (combined, plain): (Vec<&CircuitPlan>, Vec<&CircuitPlan>) =
        circuits.partition(|circuit| circuit.device.combined);
    // Those that break the neutral too, where the sheet has such a device.
    let two_pole = job.workbook.extras.rcbo_two_pole;
    let ordinary = |circuit: &&CircuitPlan| circuit.device.rating.value() <= ORDINARY_A;
    let breaks_neutral = |circuit: &&CircuitPlan| two_pole.is_some() && circuit.breaks_neutral() && ordinary(circuit);
    let (neutral_too, combined): (Vec<&CircuitPlan>, Vec<&CircuitPlan>) =
        combined.into_iter().partition(breaks_neutral);
    let neutral_too = devices(neutral_too.into_iter()).0;
    let (small, large) = devices(combined.into_iter());
    let plain = f64::from(u32::try_from(plain.len()).unwrap_or(u32::MAX));
    let used = f64::from(plan.used);
    let mut draft = take_off
        .start(LineKind::Board, ItemKind::ProtectiveDevices)
        .quantity(used, "way")
        .work(operations.board_way, used);
    draft = match job.site.board_kind {
        BoardKind::Rcbo => draft
            .uses_material(materials.rcbo, small)
            .uses_material(materials.rcbo_50, large)
            .uses_material(materials.breaker, plain),
        BoardKind::SplitLoad => {
            /// One residual current device on each half of the board.
            const RCDS: f64 = 2.0;
            draft
                .uses_material(materials.breaker, plain)
                .uses_material(materials.rcbo, small)
                .uses_material(materials.rcbo_50, large)
                .uses_material(materials.rcd, RCDS)
        }
    };
    draft.uses_material(two_pole, neutral_too).done();
}

/// The 30 mA that every new socket and buried cable wants, where the old circuit has none: a combined device, or where the board
/// takes none, one of its own before the board's way. BS 7671 411.3.3 and 415.1.1, from memory.
fn residual_protection(job: Job<'_>, take_off: &mut TakeOff) {
    /// What protects a person. Source: BS 7671 415.1.1, from memory.
    const ADDITIONAL_MA: f64 = 30.0;
    let site = job.site;
    let condition = site.existing_board;
    let fuses = matches!(condition, Some(BoardCondition::RewireableFuses | BoardCondition::CartridgeFuses));
    let none =
        site.board_found.residual_ma.map_or(fuses || condition == Some(BoardCondition::BreakersNoRcd), |residual_ma| {
            residual_ma <= 0.0 || residual_ma > ADDITIONAL_MA
        });
    if !none {
        return;
    }
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    for (index, circuit) in job.installation.circuits.iter().enumerate() {
        if circuit.fixed.kept.is_some() && !circuit.members.is_empty() {
            take_off
                .start(LineKind::Board, ItemKind::ResidualProtection)
                .circuit(index)
                .quantity(1.0, "each")
                .work(operations.board_way, if fuses { 2.0 } else { 1.0 })
                .uses_material(if fuses { materials.rcd } else { materials.rcbo }, 1.0)
                .done();
        }
    }
}

/// Ways of a small board. Source: the sheet's sub-board.
pub(crate) const SMALL_BOARD_WAYS: u32 = 6;

/// The devices of new circuits in a board that stays; where it has no way for them, a small board beside it.
fn ways_of_the_old_board(job: Job<'_>, take_off: &mut TakeOff) {
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    let new = job.installation.circuits.iter();
    let new: Vec<&CircuitPlan> = new.filter(|one| one.fed_from == FedFrom::Board && one.fixed.kept.is_none()).collect();
    if new.is_empty() {
        return;
    }
    let ways = f64::from(u32::try_from(new.len()).unwrap_or(u32::MAX));
    if job.installation.board.small_board {
        /// Between the boards. Common practice, no source.
        const TAILS_M: f64 = 2.0;
        take_off
            .start(LineKind::Board, ItemKind::SmallBoard)
            .quantity(1.0, "each")
            .work(operations.sub_board_fit, 1.0)
            .work(operations.tails_connect, 1.0)
            .uses_material(materials.sub_board, (ways / f64::from(SMALL_BOARD_WAYS)).ceil())
            .uses_material(materials.tails_25, TAILS_M)
            .uses_material(materials.earth_16, TAILS_M)
            .done();
    }
    let two_pole = job.workbook.extras.rcbo_two_pole;
    let (neutral_too, plain): (Vec<&CircuitPlan>, Vec<&CircuitPlan>) =
        new.into_iter().partition(|one| two_pole.is_some() && one.breaks_neutral());
    let neutral_too = f64::from(u32::try_from(neutral_too.len()).unwrap_or(u32::MAX));
    let (small, large) = devices(plain.into_iter());
    take_off
        .start(LineKind::Board, ItemKind::ProtectiveDevices)
        .quantity(ways, "way")
        .work(operations.board_way, ways)
        .uses_material(materials.rcbo, small)
        .uses_material(materials.rcbo_50, large)
        .uses_material(two_pole, neutral_too)
        .done();
}

fn enclosure(job: Job<'_>, ways: u32) -> MaterialIndex {
    let materials = &job.workbook.materials;
    match ways {
        0..=6 => materials.board_6,
        7..=10 => materials.board_10,
        11..=14 => materials.board_14,
        15..=18 => materials.board_18,
        19..=22 => materials.board_22,
        23..=28 => materials.board_28,
        _ => materials.board_36,
    }
}

/// Largest rating of the ordinary device of the sheet.
const ORDINARY_A: f64 = 40.0;

/// Devices up to 40 A, and larger ones.
fn devices<'a>(circuits: impl Iterator<Item = &'a CircuitPlan>) -> (f64, f64) {
    circuits.fold((0.0, 0.0), |(small, large), circuit| {
        if circuit.device.rating.value() <= ORDINARY_A { (small + 1.0, large) } else { (small, large + 1.0) }
    })
}

fn supply(job: Job<'_>, take_off: &mut TakeOff) {
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    let plan = &job.installation.board;
    let tails = plan.tails.value();
    take_off
        .start(LineKind::Supply, ItemKind::Tails)
        .quantity((tails * 100.0).round() / 100.0, "m")
        .work(operations.tails_run, tails)
        .work(operations.tails_connect, 1.0)
        .uses_material(materials.tails_25, tails)
        .uses_material(materials.earth_16, tails + EARTH_BEYOND_TAILS_M)
        .done();
    if plan.switched_fuse {
        take_off
            .start(LineKind::Supply, ItemKind::SwitchedFuse)
            .quantity(1.0, "each")
            .work(operations.switched_fuse_fit, 1.0)
            .uses_material(materials.switched_fuse, 1.0)
            .done();
    }
}

/// From the tails to the earthing terminal. Common practice, no source.
pub(super) const EARTH_BEYOND_TAILS_M: f64 = 1.0;

fn strip_out(job: Job<'_>, take_off: &mut TakeOff) {
    let operations = &job.workbook.operations;
    if !job.site.scope.board_stays()
        && job.site.existing_board != Some(BoardCondition::None)
        && job.site.cable_era != Some(CableEra::None)
    {
        let old = take_off.start(LineKind::StripOut, ItemKind::OldBoard);
        old.quantity(1.0, "each").work(operations.board_strip, 1.0).done();
    }
    #[expect(clippy::cast_precision_loss, reason = "at most 50,000 points")]
    let points = job.site.points_to_strip as f64;
    take_off
        .start(LineKind::StripOut, ItemKind::OldPoints)
        .quantity(points, "point")
        .work(operations.strip_point, points)
        .done();
    let surface = job.site.surface_wiring.value();
    take_off
        .start(LineKind::StripOut, ItemKind::OldSurfaceWiring)
        .quantity(surface, "m")
        .work(operations.strip_surface, surface)
        .done();
    let heaters = f64::from(job.site.storage_heaters);
    take_off
        .start(LineKind::StripOut, ItemKind::OldStorageHeaters)
        .quantity(heaters, "each")
        .work(operations.strip_heater, heaters)
        .done();
}
