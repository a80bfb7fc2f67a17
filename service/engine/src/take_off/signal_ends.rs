//! What stands where data and television cables end: panel or plate, splitter, and a socket for the equipment.

use super::{ItemDetail, ItemKind, Job, LineKind, TakeOff};
use crate::catalogue::{CableClass, PointGroup};
use crate::rate_sheet::box_index;
use crate::survey::{Medium, PointType, Wall};
use crate::unit_rates::{Void, operation_by_void};

/// Data cables up to this number end on a plate, more on a panel. Common practice, no source.
const ON_A_PLATE_MAX: u32 = 4;
/// Ports of the panel of the sheet.
const PORTS: u32 = 12;
/// Outlets of one splitter; a single television outlet goes straight to the aerial.
const SPLITTER_WAYS: u32 = 4;
/// From the nearest socket of the room, or of the next one, to that of the equipment. Common practice, no source.
const SPUR_M: f64 = 3.0;

pub(super) fn signal_ends(job: Job<'_>, take_off: &mut TakeOff) {
    let count = |wanted: fn(PointType) -> bool| -> u32 {
        let members = job.installation.signal.iter();
        let kind = |member: &&crate::circuits::Member| job.site.rooms[member.room].points[member.point].kind;
        members.filter(|member| wanted(kind(member))).map(|member| member.count).sum()
    };
    let data = count(|kind| matches!(kind, PointType::DataOutlet | PointType::AccessPoint));
    let television = count(|kind| kind == PointType::TvOutlet);
    if data + television == 0 {
        return;
    }
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    let (panels, plates) = match data {
        0 => (0, 0),
        1..=ON_A_PLATE_MAX => (0, 1),
        more => (more.div_ceil(PORTS), 0),
    };
    let splitters = if television > 1 { television.div_ceil(SPLITTER_WAYS) } else { 0 };
    let socket = job.site.scope.rewires() && data > 0 && has_no_socket(job);
    let ends = f64::from(panels + plates + splitters);
    let mut draft = take_off.start(LineKind::Cable, ItemKind::SignalEnds);
    if let Some(room) = job.site.signal_hub.room {
        draft = draft.room(room);
    }
    draft = draft
        .quantity(ends + f64::from(u8::from(socket)), "each")
        .work(operations.patch_panel_fit, f64::from(panels + plates))
        .work(operations.tv_splitter_fit, f64::from(splitters))
        .uses_material(materials.patch_panel, f64::from(panels))
        .uses_material(materials.data_plate, f64::from(plates))
        .uses_material(materials.tv_splitter, f64::from(splitters))
        .detail(ItemDetail::SignalEnds { data, television, socket });
    if plates > 0 {
        draft = draft.uses_material(materials.surface_1g, f64::from(plates));
    }
    if socket {
        draft = socket_for_the_equipment(job, draft);
    }
    draft.done();
}

/// Whether the room where the cables end has no socket, on the list or staying. Where the room is not known the list decides.
fn has_no_socket(job: Job<'_>) -> bool {
    let Some(room) = job.site.signal_hub.room else { return false };
    let plan = &job.site.rooms[room];
    let is_socket = |kind: PointType| job.catalogue.point(kind, 1).group == PointGroup::Socket;
    !plan.points.iter().any(|point| is_socket(point.kind)) && !plan.staying.iter().any(|point| is_socket(point.kind))
}

/// A double socket, spurred off the nearest one of its circuit.
fn socket_for_the_equipment<'a>(job: Job<'_>, mut draft: super::Draft<'a>) -> super::Draft<'a> {
    let Some(room) = job.site.signal_hub.room else { return draft };
    let room = &job.site.rooms[room];
    let row = job.catalogue.point_row(PointType::DoubleSocket, 1);
    let (kind, work) = (&job.catalogue.points()[row], job.workbook.point_work(row));
    let wall = job.workbook.wall_work(if room.surface { Wall::Glazed } else { room.wall });
    let cable = job.cable(CableClass::Sockets);
    let way = match wall.chases {
        _ if room.surface => (Medium::SurfaceClipped, Void::Surface),
        Some(_) => (Medium::WallChase, Void::Open),
        None => (Medium::StudCavity, Void::Closed),
    };
    for operation in work.fit.iter().chain(&work.first_fix) {
        draft = draft.work(*operation, 1.0);
    }
    let size = box_index(kind.gangs, kind.depth_mm);
    draft
        .work(wall.boxes[size], 1.0)
        .uses_material(wall.box_materials[size], 1.0)
        .uses_material(work.accessory, 1.0)
        .work(operation_by_void(cable.laying, way.0, way.1), SPUR_M)
        .uses_material(cable.material, SPUR_M)
}
