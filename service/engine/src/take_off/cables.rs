//! Cable by circuit and room, with its supports.

use rust_decimal::Decimal;

use super::unassigned::UnassignedRuns;
use super::{Conditions, ItemDetail, ItemKind, Job, LineKind, TakeOff};
use crate::catalogue::{CableIndex, CableMake, CableSize, CircuitType};
use crate::circuits::Member;
use crate::labour::Factors;
use crate::money::{Money, decimal};
use crate::rate_sheet::{OperationIndex, Workbook};
use crate::routes::{Rate, Run, Segment, Void};
use crate::survey::{Medium, PointType};

/// Clips per metre on a surface. Source: domain practice, from memory.
const CLIPS_ON_SURFACE_PER_M: f64 = 4.0;
/// Clips per metre in a void. Source: domain practice, from memory.
const CLIPS_IN_VOID_PER_M: f64 = 2.0;
/// One clip in this many is metal, so that no cable falls early in a fire. Source: the-regs.co.uk, on regulation
/// 521.10.202.
const METAL_CLIP_ONE_IN: f64 = 3.0;

pub(super) fn cables(job: Job<'_>, runs: &UnassignedRuns, take_off: &mut TakeOff) {
    for (index, circuit) in job.installation.circuits.iter().enumerate() {
        if circuit.kind != CircuitType::Distribution {
            run(job, take_off, &circuit.run, circuit.cable.row(), Some(index));
        }
    }
    for (member, home) in &runs.signal {
        run(job, take_off, home, signal_cable(job, *member), None);
    }
    for strapper in &runs.strappers {
        run(job, take_off, &strapper.run, job.catalogue.cables().three_core().row(), None);
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

/// Of the operations in the open, through joists, clipped, fished and in a chase, that of a stretch.
pub(super) const fn by_void(operations: [OperationIndex; 5], segment: &Segment) -> OperationIndex {
    let [open, joists, clipped, fished, chase] = operations;
    match (segment.medium, segment.void) {
        (Medium::WallChase, _) => chase,
        (_, Void::Closed) => fished,
        (_, Void::Joists) => joists,
        (_, Void::Surface) => clipped,
        (_, Void::Open | Void::Trunking) => open,
    }
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
            draft = draft.work(by_void(cable.laying, segment), metres);
        }
        draft = draft.takes(cable.material, metres);
        let (plain, metal) = clips(in_room);
        draft.takes(job.workbook.takes.clip, plain).takes(job.workbook.takes.clip_metal, metal).done();
        obstructed(job, take_off, in_room, row, circuit);
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
fn obstructed(job: Job<'_>, take_off: &mut TakeOff, segments: &[&Segment], row: CableIndex, circuit: Option<usize>) {
    let cable = job.workbook.cable(row);
    for segment in segments {
        let Some(obstruction) = segment.obstruction else { continue };
        let metres = segment.obstructed.value();
        item(take_off, row, circuit, segment.room, metres)
            .obstructed()
            .work(by_void(cable.laying, segment), metres)
            .detail(ItemDetail::Obstructed(obstruction))
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
                Void::Open | Void::Joists if segment.medium != Medium::WallChase => CLIPS_IN_VOID_PER_M,
                Void::Open | Void::Joists | Void::Closed | Void::Trunking => 0.0,
            };
        metal += (clips / METAL_CLIP_ONE_IN).ceil();
        plain += (clips - clips / METAL_CLIP_ONE_IN).ceil();
    }
    (plain, metal)
}

/// Hours of running a circuit's cable, by segment, without factors: for the route.
pub(crate) fn segment_hours(workbook: &Workbook, cable: CableSize, segment: &Segment) -> f64 {
    let operation = workbook.operation(by_void(workbook.cable(cable.row()).laying, segment));
    let first_fix = operation.stages[crate::rate_sheet::Stage::FirstFix.index()];
    first_fix.map_or(0.0, |hours| hours.mean()) * segment.metres.value()
}

/// Hours and money of running a circuit's cable along a stretch, its trunking with it, as the map weighs it: for the routes
/// that lie on no map.
pub(crate) fn laying(workbook: &Workbook, factors: &Factors, cable: CableSize, segment: &Segment) -> Rate {
    let conditions = Conditions {
        room: segment.room,
        overhead: matches!(segment.medium, Medium::Loft | Medium::CeilingVoid),
        ..Conditions::HOUSE
    };
    let work = |operation| {
        let hours = factors.hours_of_one(operation, &conditions, workbook);
        Rate { hours, money: hours * workbook.sheet.terms.labour_rate.approximate() }
    };
    let material = |material| Rate { hours: 0.0, money: workbook.material(material).approximate_cost };
    let cable = workbook.cable(cable.row());
    let mut metre = work(by_void(cable.laying, segment));
    if segment.void == Void::Trunking {
        metre = metre.plus(work(workbook.does.mini_trunking)).plus(material(workbook.takes.mini_trunking));
    }
    let slowed = metre.hours * (factors.obstruction() - 1.0) * segment.obstructed.value();
    let slowed = Rate { hours: slowed, money: slowed * workbook.sheet.terms.labour_rate.approximate() };
    metre.plus(cable.material.map_or(Rate::default(), material)).times(segment.metres.value()).plus(slowed)
}

/// A run in a cable: the cable and the hours of running it, without factors: for comparing ways of wiring.
pub(crate) fn run_cost(workbook: &Workbook, cable: CableSize, run: &Run) -> Money {
    let hours: f64 = run.segments.iter().map(|segment| segment_hours(workbook, cable, segment)).sum();
    let metre = workbook.cable(cable.row()).material;
    let metre = metre.map_or(Decimal::ZERO, |material| workbook.material(material).unit_cost_with_waste);
    Money::rounded(metre * decimal(run.metres.value())) + workbook.sheet.terms.labour_rate.times(hours)
}
