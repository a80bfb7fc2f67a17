//! Draw-in runs, counted along their routes.

use super::{ItemDetail, ItemKind, Job, LineKind, TakeOff};
use crate::catalogue::CableClass;
use crate::unit_rates::operation_by_void;

/// One line for each draw-in run.
pub(super) fn provisions(job: Job<'_>, take_off: &mut TakeOff) {
    for draw_in in &job.installation.unassigned.draw_ins {
        let metres = draw_in.metres.value();
        let mut draft =
            take_off.start(LineKind::BuildersWork, ItemKind::DrawInRun).quantity((metres * 100.0).round() / 100.0, "m");
        if let Some(room) = draw_in.ends.room {
            draft = draft.room(room);
        }
        let conduit = job.cable(CableClass::DrawIn);
        draft = match &draw_in.run {
            Some(run) => run.segments.iter().fold(draft, |draft, segment| {
                draft.work(operation_by_void(conduit.laying, segment.medium, segment.void), segment.metres.value())
            }),
            None => draft.work(conduit.open(), metres),
        };
        draft = draft.uses_material(conduit.material, metres);
        if draw_in.through_the_wall {
            let wall = draw_in.ends.room.map_or(crate::survey::Wall::Brick, |room| job.site.rooms[room].wall);
            draft = draft
                .work(job.workbook.wall_work(wall).hole, 1.0)
                .uses_material(job.workbook.materials.hole_sleeve, 1.0);
        }
        let detail = ItemDetail::DrawIn {
            end: draw_in.ends,
            futures: draw_in.futures.clone(),
            recorded: draw_in.recorded,
            conduit_priced: conduit.material.is_some(),
        };
        draft.detail(detail).done();
    }
}
