//! Containment where many cables gather: between the board and the voids that they come from, and for the tails.

use super::{ItemDetail, ItemKind, Job, LineKind, TakeOff};
use crate::circuits::FedFrom;
use crate::routes::Run;
use crate::site::ends_at_the_hub;
use crate::survey::Medium;

/// Flat cables in one 50 x 50 mm trunking: 45 % of it, at about 75 mm2 a cable. From memory.
const CABLES_IN_A_TRUNKING: u32 = 15;
/// Fewer cables than these go in mini trunking. Common practice, no source.
const MANY_CABLES: u32 = 4;
/// Cables lie together in trunking over this length at most, which nobody counts as a group; beyond it they go apart, two by
/// two in chases. Common practice, no source.
const TOGETHER_M: f64 = 1.0;

/// From which side a cable comes to the board.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum BoardSide {
    Above,
    Below,
}

fn side(run: &Run) -> Option<BoardSide> {
    let first = run.placed.first().map(|placed| placed.segment.medium);
    match first.or_else(|| run.segments.first().map(|segment| segment.medium))? {
        Medium::Loft | Medium::CeilingVoid => Some(BoardSide::Above),
        Medium::FloorVoid | Medium::CellarSoffit => Some(BoardSide::Below),
        // In sight along the wall, or in trunking already.
        _ => None,
    }
}

/// Cables of new circuits, signal wiring and bonds at the house's board: from above, from below.
fn gathered(job: Job<'_>) -> (u32, u32) {
    let runs = &job.installation.unassigned;
    let circuits = job.installation.circuits.iter();
    let new = circuits.filter(|one| one.fed_from == FedFrom::Board && one.fixed.kept.is_none());
    let circuits = new.map(|circuit| (side(&circuit.run), if circuit.ring { 2 } else { 1 }));
    let signal = runs.signal.iter().filter(|(member, _)| {
        let kind = job.site.rooms[member.room].points[member.point].kind;
        !ends_at_the_hub(kind) || job.site.signal_hub == job.site.board
    });
    let signal = signal.map(|(member, run)| (side(run), member.count));
    let bonds = runs.bonds.iter().filter_map(|bond| Some((side(bond.run.as_ref()?), 1)));
    circuits.chain(signal).chain(bonds).fold((0, 0), |(above, below), (side, cables)| match side {
        Some(BoardSide::Above) => (above + cables, below),
        Some(BoardSide::Below) => (above, below + cables),
        None => (above, below),
    })
}

pub(super) fn containment(job: Job<'_>, take_off: &mut TakeOff) {
    tails(job, take_off);
    let Some(room) = job.site.board.room else { return };
    let plan = &job.site.rooms[room];
    // Clipped in sight, each by itself.
    if plan.surface {
        return;
    }
    let (above, below) = gathered(job);
    let centre = job.site.board.centre().value();
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    let (mut mini, mut large, mut chased) = (0.0, 0.0, 0.0);
    for (cables, metres) in [(above, (plan.height.value() - centre).max(0.0)), (below, centre)] {
        let together = metres.min(TOGETHER_M);
        match cables {
            0 => {}
            few if few < MANY_CABLES => mini += metres,
            many => {
                large += together * f64::from(many.div_ceil(CABLES_IN_A_TRUNKING));
                chased += (metres - together) * f64::from(many.div_ceil(2));
            }
        }
    }
    let chase = job.workbook.wall_work(plan.wall).chases.map(|[_, double]| double);
    take_off
        .start(LineKind::Board, ItemKind::BoardContainment)
        .quantity(hundredths(mini + large), "m")
        .work(operations.mini_trunking, mini)
        .uses_material(materials.mini_trunking, mini)
        .work(operations.large_trunking, large)
        .uses_material(materials.large_trunking, large)
        .work(chase, chased)
        .uses_material(materials.capping, if chase.is_some() { chased } else { 0.0 })
        .detail(ItemDetail::BoardContainment { above, below })
        .done();
}

/// No residual current device stands before the tails: less than 50 mm deep in a wall they would want steel, so they go in
/// trunking on its face. Source: BS 7671 522.6.204, seen.
fn tails(job: Job<'_>, take_off: &mut TakeOff) {
    if job.site.scope.board_stays() {
        return;
    }
    let metres = job.installation.board.tails_in_walls.value();
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    take_off
        .start(LineKind::Supply, ItemKind::TailsContainment)
        .quantity(hundredths(metres), "m")
        .work(operations.large_trunking, metres)
        .uses_material(materials.large_trunking, metres)
        .done();
}

fn hundredths(metres: f64) -> f64 {
    (metres * 100.0).round() / 100.0
}
