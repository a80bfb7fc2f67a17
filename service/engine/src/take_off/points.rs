//! Points: box, accessory, connecting, and what goes with each kind.

use std::collections::BTreeMap;

use super::{ItemDetail, ItemKind, Job, LineKind, TakeOff};
use crate::catalogue::{CircuitType, PointGroup, PointKind, PointPlace};
use crate::circuits::CircuitIndex;
use crate::rate_sheet::box_index;
use crate::site::{PointPlan, RoomIndex, RoomPlan};
use crate::survey::{NeutralLoop, PointType, Wall};

/// A fitting heavier than this on a ceiling gets a noggin. Source: domain practice, from memory.
const HEAVY_ON_A_CEILING_KG: f64 = 2.0;

/// Working height that the labour table takes for granted. Source: the table's base condition.
pub(crate) const WITHIN_REACH_M: f64 = 2.5;

/// A box no deeper than this sits in the plaster. Source: the labour table.
const PLASTER_DEPTH_MM: u8 = 16;

pub(super) fn points(job: Job<'_>, take_off: &mut TakeOff) {
    let circuits = circuits(job);
    for (index, room) in job.site.rooms.iter().enumerate() {
        for (place, point) in room.points.iter().enumerate() {
            point_item(job, take_off, (index, room, point), circuits.get(&(index, place)).copied());
        }
        neutrals(job, take_off, index, room);
    }
}

/// The circuit of each entry of points that hangs on one circuit as a whole.
fn circuits(job: Job<'_>) -> BTreeMap<(RoomIndex, usize), CircuitIndex> {
    let members = job
        .installation
        .circuits
        .iter()
        .enumerate()
        .flat_map(|(index, circuit)| circuit.members.iter().map(move |member| (index, *member)));
    let whole = members.filter(|(_, member)| job.site.rooms[member.room].points[member.point].count == member.count);
    whole.map(|(circuit, member)| ((member.room, member.point), circuit)).collect()
}

fn point_item(
    job: Job<'_>,
    take_off: &mut TakeOff,
    (index, room, point): (RoomIndex, &RoomPlan, &PointPlan),
    circuit: Option<CircuitIndex>,
) {
    let kind = &job.catalogue.points()[point.row];
    let work = job.workbook.point_work(point.row);
    let count = f64::from(point.count);
    // A light strip goes by the metre, all else by number.
    let each = if point.kind == PointType::StripLight { point.length.value() } else { 1.0 };
    let line_kind = if room.outbuilding.is_some() { LineKind::Outbuilding } else { LineKind::Point };
    let own_fitting = point.client_supplied && matches!(kind.group, PointGroup::Light | PointGroup::Outside);
    let mut draft = take_off
        .start(line_kind, ItemKind::Point(point.kind))
        .room(index)
        .quantity(count, "each")
        .finish(point.finish)
        .client_supplied(point.client_supplied)
        .detail(ItemDetail::Point { row: point.row, own_fitting })
        .overhead(kind.place == PointPlace::Ceiling || point.height.value() > WITHIN_REACH_M);
    if let Some(circuit) = circuit {
        draft = draft.circuit(circuit);
    }
    if own_fitting {
        draft = draft.work(job.workbook.operations.client_fitting, count);
    } else {
        for operation in &work.fit {
            draft = draft.work(*operation, count * each);
        }
    }
    for operation in &work.first_fix {
        draft = draft.work(*operation, count);
    }
    let heavy = point.weight_kg.is_some_and(|weight| weight > HEAVY_ON_A_CEILING_KG);
    if heavy && kind.place == PointPlace::Ceiling {
        draft = draft.work(job.workbook.operations.box_ceiling_pattress, count);
    }
    if !point.client_supplied {
        draft = draft.uses_finished(work.accessory, count * each, Some(point.finish));
    }
    let wall = if room.surface { Wall::Glazed } else { room.wall };
    let metal_boxes = job.workbook.wall_work(wall).metal_boxes;
    for (material, quantity) in &work.extras {
        // A box of plastic has soft entries: nothing to bush.
        if *material == job.workbook.materials.grommet && !metal_boxes {
            continue;
        }
        draft = draft.uses_finished(*material, quantity * count, Some(point.finish));
    }
    draft = boxes(job, draft, room, point, kind);
    draft = through_the_wall(job, draft, room, point, kind);
    draft.done();
}

/// What a loop through the switches takes beside one through the lights: a neutral and further cables in each switch box.
fn neutrals(job: Job<'_>, take_off: &mut TakeOff, index: RoomIndex, room: &RoomPlan) {
    if job.site.neutral_looped_at != NeutralLoop::Switch {
        return;
    }
    let switches: u32 = room
        .points
        .iter()
        .filter(|point| {
            let row = &job.catalogue.points()[point.row];
            row.group == PointGroup::Switch && row.circuit == CircuitType::Lighting
        })
        .map(|point| point.count)
        .sum();
    if switches == 0 {
        return;
    }
    let (count, extras) = (f64::from(switches), &job.workbook.extras);
    let kind = if room.outbuilding.is_some() { LineKind::Outbuilding } else { LineKind::Point };
    let mut draft = take_off.start(kind, ItemKind::NeutralAtSwitch).room(index).quantity(count, "each");
    if let Some(operation) = extras.neutral_at_switch {
        draft = draft.work(operation, count);
    }
    if let Some(connector) = extras.connector {
        draft = draft.uses_material(connector, count);
    }
    draft.detail(ItemDetail::NeutralLooped { hours_priced: extras.neutral_at_switch.is_some() }).done();
}

fn boxes<'a>(
    job: Job<'_>,
    draft: super::Draft<'a>,
    room: &RoomPlan,
    point: &PointPlan,
    kind: &PointKind,
) -> super::Draft<'a> {
    let boxes = f64::from(kind.boxes) * f64::from(point.count);
    if boxes == 0.0 {
        return draft;
    }
    if point.existing_reuse {
        return draft.work(job.workbook.operations.box_existing_reuse, boxes);
    }
    let wall = if room.surface { Wall::Glazed } else { room.wall };
    let work = job.workbook.wall_work(wall);
    if kind.depth_mm <= PLASTER_DEPTH_MM && kind.gangs == 1 {
        return draft.work(work.shallow, boxes).uses_material(work.shallow_material, boxes);
    }
    let size = box_index(kind.gangs, kind.depth_mm);
    draft.work(work.boxes[size], boxes).uses_material(work.box_materials[size], boxes)
}

/// Outside points and fans go through the wall.
fn through_the_wall<'a>(
    job: Job<'_>,
    draft: super::Draft<'a>,
    room: &RoomPlan,
    point: &PointPlan,
    kind: &PointKind,
) -> super::Draft<'a> {
    let count = f64::from(point.count);
    let wall = job.workbook.wall_work(room.wall);
    match (point.kind, kind.place) {
        (PointType::ExtractorFan, _) => draft.work(wall.fan_core, count),
        (_, PointPlace::Outside) => {
            draft.work(wall.hole, count).uses_material(job.workbook.materials.hole_sleeve, count)
        }
        _ => draft,
    }
}
