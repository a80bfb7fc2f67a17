//! Cable by circuit and room, with its supports.

use super::{ItemDetail, ItemKind, Job, LineKind, TakeOff};
use crate::catalogue::{CableIndex, CableMake, CircuitType};
use crate::circuits::Member;
use crate::routes::{Crossing, Run, Segment};
use crate::survey::{Medium, PointType};
use crate::unit_rates::{Void, operation_by_void};

/// Clips per metre on a surface. Source: domain practice, from memory.
const CLIPS_ON_SURFACE_PER_M: f64 = 4.0;
/// Clips per metre in a void. Source: domain practice, from memory.
const CLIPS_IN_VOID_PER_M: f64 = 2.0;
/// One clip in this many is metal, so that no cable falls early in a fire. Source: BS 7671 521.10.202,
/// seen.
const METAL_CLIP_ONE_IN: f64 = 3.0;

pub(super) fn cables(job: Job<'_>, take_off: &mut TakeOff) {
    let runs = &job.installation.unassigned;
    for (index, circuit) in job.installation.circuits.iter().enumerate() {
        if circuit.kind != CircuitType::Distribution {
            run(job, take_off, &circuit.run, circuit.cable.row(), Some(index));
            from_isolators(job, take_off, index);
        }
    }
    for (member, home) in &runs.signal {
        run(job, take_off, home, signal_cable(job, *member), None);
    }
    for strapper in &runs.strappers {
        run(job, take_off, &strapper.run, job.catalogue.cables().three_core().row(), None);
    }
}

/// From the isolator to the appliance, in metres. Common practice, no source.
const fn beyond_isolator_m(kind: PointType) -> Option<f64> {
    match kind {
        PointType::ShowerSwitch => Some(3.0),
        PointType::CookerControl => Some(1.5),
        PointType::HeatPumpIsolator | PointType::CoolingUnitIsolator | PointType::HotTubIsolator => Some(2.0),
        _ => None,
    }
}

/// What lies beyond the points of a circuit: the cable from each isolator to its appliance, and that of a charge point's load
/// sensor.
fn from_isolators(job: Job<'_>, take_off: &mut TakeOff, index: usize) {
    let circuit = &job.installation.circuits[index];
    let row = circuit.cable.row();
    let cable = job.workbook.cable(row);
    for member in &circuit.members {
        let room = &job.site.rooms[member.room];
        // A plate of its own behind the cooker is a point of the circuit, and its cable is in the circuit's run.
        let kind = room.points[member.point].kind;
        let plated = kind == PointType::CookerControl
            && room.points.iter().any(|point| matches!(point.kind, PointType::CookerPlate | PointType::HobPoint));
        let Some(each) = beyond_isolator_m(kind).filter(|_| !plated) else { continue };
        let metres = each * f64::from(member.count);
        let way =
            if job.workbook.wall_work(room.wall).chases.is_some() { Medium::WallChase } else { Medium::StudCavity };
        item(take_off, row, Some(index), Some(member.room), metres)
            .work(operation_by_void(cable.laying, way, Void::Open), metres)
            .uses_material(cable.material, metres)
            .detail(ItemDetail::FromIsolator)
            .done();
    }
    if circuit.kind == CircuitType::ChargePoint && circuit.fixed.kept.is_none() {
        let row = job.catalogue.cables().first(CableMake::Control);
        let cable = job.workbook.cable(row);
        let metres = circuit.run.metres.value();
        let room = circuit.members.first().map(|member| member.room);
        item(take_off, row, Some(index), room, metres)
            .work(operation_by_void(cable.laying, Medium::FloorVoid, Void::Open), metres)
            .uses_material(cable.material, metres)
            .detail(ItemDetail::LoadSensor)
            .done();
    }
}

/// Each data, television or telephone outlet has its own run from the board's room.
pub(super) fn signal_cable(job: Job<'_>, member: Member) -> CableIndex {
    let make = match job.site.rooms[member.room].points[member.point].kind {
        PointType::DataOutlet | PointType::AccessPoint => CableMake::Data,
        PointType::TvOutlet => CableMake::Coax,
        _ => CableMake::Control,
    };
    job.catalogue.cables().first(make)
}

/// One line for each room that the run passes.
fn run(job: Job<'_>, take_off: &mut TakeOff, run: &Run, row: CableIndex, circuit: Option<usize>) {
    let cable = job.workbook.cable(row);
    let mut segments: Vec<&Segment> = run.segments.iter().collect();
    segments.sort_by_key(|segment| segment.room);
    for in_room in segments.chunk_by(|a, b| a.room == b.room) {
        let metres: f64 = in_room.iter().map(|segment| segment.metres.value()).sum();
        let clear: Vec<(&Segment, f64)> =
            in_room.iter().map(|segment| (*segment, (segment.metres - segment.obstructed).value())).collect();
        let overhead = in_room.iter().any(|segment| matches!(segment.medium, Medium::Loft | Medium::CeilingVoid));
        let mut draft = item(take_off, row, circuit, in_room[0].room, metres).overhead(overhead);
        for (segment, metres) in clear {
            draft = draft.work(operation_by_void(cable.laying, segment.medium, segment.void), metres);
        }
        draft = draft.uses_material(cable.material, metres);
        let (plain, metal) = clips(in_room);
        draft
            .uses_material(job.workbook.materials.clip, plain)
            .uses_material(job.workbook.materials.clip_metal, metal)
            .done();
        obstructed(job, take_off, (run, in_room), row, circuit);
    }
}

fn item(
    take_off: &mut TakeOff,
    cable: CableIndex,
    circuit: Option<usize>,
    room: Option<usize>,
    metres: f64,
) -> super::Draft<'_> {
    let mut draft =
        take_off.start(LineKind::Cable, ItemKind::Cable(cable)).quantity((metres * 100.0).round() / 100.0, "m");
    if let Some(circuit) = circuit {
        draft = draft.circuit(circuit);
    }
    if let Some(room) = room {
        draft = draft.room(room);
    }
    draft
}

/// Metres slowed by something in the way are a line of their own, so that the factor touches nothing else.
fn obstructed(
    job: Job<'_>,
    take_off: &mut TakeOff,
    (run, segments): (&Run, &[&Segment]),
    row: CableIndex,
    circuit: Option<usize>,
) {
    let cable = job.workbook.cable(row);
    for segment in segments {
        let Some(obstruction) = segment.obstruction else { continue };
        let metres = segment.obstructed.value();
        // What must not be cut is looked at from a lifted board for each cable that goes over it.
        let here = |one: &&Crossing| (Some(one.room), one.medium) == (segment.room, segment.medium);
        let over: f64 = run.crossings.iter().filter(here).map(|_| 1.0).sum();
        item(take_off, row, circuit, segment.room, metres)
            .obstructed()
            .work(operation_by_void(cable.laying, segment.medium, segment.void), metres)
            .work(job.workbook.operations.pass_over_beam, over)
            .detail(ItemDetail::Obstructed(obstruction.what))
            .done();
    }
}

fn clips(segments: &[&Segment]) -> (f64, f64) {
    let mut plain = 0.0;
    let mut metal = 0.0;
    for segment in segments {
        let clips = segment.metres.value()
            * match segment.void {
                Void::Surface => CLIPS_ON_SURFACE_PER_M,
                Void::Open if segment.medium != Medium::WallChase => CLIPS_IN_VOID_PER_M,
                // Held by the holes that it goes through, drawn in blind, or in its trunking: clipped to nothing.
                Void::Open | Void::Joists | Void::Closed | Void::Trunking => 0.0,
            };
        metal += (clips / METAL_CLIP_ONE_IN).ceil();
        plain += (clips - clips / METAL_CLIP_ONE_IN).ceil();
    }
    (plain, metal)
}
