//! Cable by circuit and room, with its supports.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::{Conditions, ItemKind, Job, LineKind, TakeOff};
use crate::catalogue::{CableClass, CableIndex, CableKind, CableMake, CableSize};
use crate::circuits::CircuitPlan;
use crate::labour::Factors;
use crate::money::{Money, decimal};
use crate::quantities::Metres;
use crate::rate_sheet::{OperationIndex, Workbook};
use crate::routes::{Ask, Rate, Run, Segment, Stop, StopPoint, Topology, Void};
use crate::site::{RoomIndex, Spot};
use crate::survey::{Medium, PointType, Position};
use crate::told::Told;

/// Clips per metre on a surface. Source: domain practice, from memory.
const CLIPS_ON_SURFACE_PER_M: f64 = 4.0;
/// Clips per metre in a void. Source: domain practice, from memory.
const CLIPS_IN_VOID_PER_M: f64 = 2.0;
/// One clip in this many is metal, so that no cable falls early in a fire. Source: the-regs.co.uk, on regulation
/// 521.10.202.
const METAL_CLIP_ONE_IN: f64 = 3.0;

/// Runs that belong to no circuit, worked out once for the builder's work and the cable.
pub(super) struct Loose {
    /// The runs of the signal wiring, all outlets of one entry together.
    pub signal: Vec<(crate::circuits::Member, Run)>,
    /// Strappers between switches whose places are known, by room.
    pub strappers: BTreeMap<RoomIndex, Vec<Run>>,
    /// Draw-in runs for what may come.
    pub draw_ins: Vec<super::provisions::DrawIn>,
}

impl Loose {
    pub(super) fn of(job: Job<'_>) -> Self {
        let members = job.installation.signal.iter();
        Self {
            signal: members.map(|member| (*member, signal_run(job, *member))).collect(),
            strappers: strappers_on_the_map(job),
            draw_ins: super::draw_ins(job),
        }
    }
}

pub(super) fn cables(job: Job<'_>, loose: &Loose, take_off: &mut TakeOff) {
    for (index, circuit) in job.installation.circuits.iter().enumerate() {
        if circuit.kind != crate::catalogue::CircuitType::Distribution {
            run(job, take_off, &circuit.run, circuit.cable.row(), Some(index));
            if take_off.told == Told::InWords {
                pieces(job, take_off, circuit);
            }
        }
    }
    signal(job, loose, take_off);
    strappers(job, loose, take_off);
}

/// The pieces of a circuit: from the board to the first point, from point to point, and on a ring back again. The metres in a
/// room are shared out evenly among the points there; those that only pass through belong to the way from the board.
fn pieces(job: Job<'_>, take_off: &mut TakeOff, circuit: &CircuitPlan) {
    let material = job.workbook.cable(circuit.cable.row()).material;
    let mut points: BTreeMap<RoomIndex, u32> = BTreeMap::new();
    for member in &circuit.members {
        *points.entry(member.room).or_default() += member.count;
    }
    let mut metres: BTreeMap<RoomIndex, f64> = BTreeMap::new();
    let mut passing = 0.0;
    for segment in &circuit.run.segments {
        match segment.room.filter(|room| points.get(room).is_some_and(|count| *count > 0)) {
            Some(room) => *metres.entry(room).or_default() += segment.metres.value(),
            None => passing += segment.metres.value(),
        }
    }
    // A ring leaves the board twice.
    let homes = if circuit.ring { 2 } else { 1 };
    let mut from_board = homes;
    for (room, metres) in &metres {
        let count = points.get(room).copied().unwrap_or(1);
        let each = metres / f64::from(count);
        let long = from_board.min(count);
        take_off.cut(material, each + passing / f64::from(homes), long);
        take_off.cut(material, each, count - long);
        from_board -= long;
    }
    take_off.cut(material, passing / f64::from(homes), from_board);
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
    let (kind, cable) = (job.catalogue.cables().row(row), job.workbook.cable(row));
    let mut segments: Vec<&Segment> = run.segments.iter().collect();
    segments.sort_by_key(|segment| segment.room);
    for in_room in segments.chunk_by(|a, b| a.room == b.room) {
        let metres: f64 = in_room.iter().map(|segment| segment.metres.value()).sum();
        let clear: Vec<(&Segment, f64)> =
            in_room.iter().map(|segment| (*segment, (segment.metres - segment.obstructed).value())).collect();
        let overhead = in_room.iter().any(|segment| matches!(segment.medium, Medium::Loft | Medium::CeilingVoid));
        let mut draft = item(take_off, kind, circuit, in_room[0].room, metres).overhead(overhead);
        for (segment, metres) in clear {
            draft = draft.work(by_void(cable.laying, segment), metres);
        }
        draft = draft.takes(cable.material, metres);
        let (plain, metal) = clips(in_room);
        draft.takes(job.workbook.takes.clip, plain).takes(job.workbook.takes.clip_metal, metal).done();
        obstructed(job, take_off, in_room, row, circuit);
    }
}

fn item<'t>(
    take_off: &'t mut TakeOff,
    cable: &CableKind,
    circuit: Option<usize>,
    room: Option<usize>,
    metres: f64,
) -> super::Draft<'t> {
    let mut draft = take_off
        .start(LineKind::Cable, ItemKind::Cable(cable.item), &cable.words)
        .quantity((metres * 100.0).round() / 100.0, "m");
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
    let (kind, cable) = (job.catalogue.cables().row(row), job.workbook.cable(row));
    for segment in segments.iter().filter(|segment| segment.obstruction.is_some()) {
        let metres = segment.obstructed.value();
        let what = segment.obstruction.map_or("", |obstruction| obstruction.word());
        let draft = item(take_off, kind, circuit, segment.room, metres).obstructed();
        draft
            .work(by_void(cable.laying, segment), metres)
            .note(format_args!(
                "{} in the way: the factor for obstruction is on these metres only",
                what.replace('-', " ")
            ))
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

/// Each data, television or telephone outlet has its own run from the board's room.
fn signal(job: Job<'_>, loose: &Loose, take_off: &mut TakeOff) {
    for (member, home) in &loose.signal {
        let cable = match job.site.rooms[member.room].points[member.point].kind {
            PointType::DataOutlet | PointType::AccessPoint => CableMake::Data,
            PointType::TvOutlet => CableMake::Coax,
            _ => CableMake::Control,
        };
        let cable = job.catalogue.cables().first(cable);
        let metres: f64 = home.segments.iter().map(|segment| segment.metres.value()).sum();
        take_off.cut(job.workbook.cable(cable).material, metres / f64::from(member.count.max(1)), member.count);
        run(job, take_off, home, cable, None);
    }
}

fn signal_run(job: Job<'_>, member: crate::circuits::Member) -> Run {
    let plan = &job.site.rooms[member.room].points[member.point];
    let place = job.catalogue.points()[plan.row].place;
    let point = StopPoint {
        place,
        is_switch: false,
        in_and_out: false,
        height: plan.height,
        count: member.count,
        at: plan.at,
        entry: Some(member.point),
        first: member.first,
    };
    let stops = [Stop { room: member.room, points: vec![point], share_of_walls: 1.0 }];
    let ask = Ask {
        from: job.site.board,
        stops: &stops,
        topology: Topology::Star,
        cable: CableClass::Lighting,
        explained: false,
    };
    if job.ways.network().is_some() {
        return job.ways.run(ask);
    }
    let mut home = job.ways.home_run(job.site.board, member.room, plan.height);
    for segment in &mut home.segments {
        segment.metres = segment.metres * f64::from(member.count);
        segment.obstructed = segment.obstructed * f64::from(member.count);
    }
    home
}

/// Whether a switch shares its light with another one.
const fn paired(kind: PointType) -> bool {
    matches!(kind, PointType::TwoWaySwitch | PointType::IntermediateSwitch)
}

/// The third core between the switches of one light.
fn strappers(job: Job<'_>, loose: &Loose, take_off: &mut TakeOff) {
    let cable = job.catalogue.cables().three_core().row();
    let material = job.workbook.cable(cable).material;
    let on_the_map = &loose.strappers;
    for strapper in on_the_map.values().flatten() {
        take_off.cut(material, strapper.metres.value(), 1);
        run(job, take_off, strapper, cable, None);
    }
    for (index, room) in job.site.rooms.iter().enumerate() {
        let switches: u32 = room.points.iter().filter(|point| paired(point.kind)).map(|point| point.count).sum();
        if switches == 0 || room.outbuilding.is_some() || on_the_map.contains_key(&index) {
            continue;
        }
        // Switches in one room pair with each other; a single one has its partner on the next storey.
        let (runs, to_next_storey) = if switches == 1 { (1, true) } else { (switches - 1, false) };
        let height = room.points.iter().find(|point| paired(point.kind)).map(|point| point.height);
        let Some(height) = height else { continue };
        let mut strapper = job.ways.strapper(index, height, to_next_storey);
        for segment in &mut strapper.segments {
            segment.metres = segment.metres * f64::from(runs);
        }
        take_off.cut(material, strapper.metres.value(), runs);
        run(job, take_off, &strapper, cable, None);
    }
}

/// Strappers between switches whose places are known: from switch to switch in one room, and from a single one to the
/// nearest single one elsewhere. By room; a room without a run has its partner in another one.
fn strappers_on_the_map(job: Job<'_>) -> BTreeMap<RoomIndex, Vec<Run>> {
    let mut strappers: BTreeMap<RoomIndex, Vec<Run>> = BTreeMap::new();
    let mut alone: Vec<(RoomIndex, Position, Metres)> = Vec::new();
    let rooms = job.site.rooms.iter().enumerate().filter(|(_, room)| room.outbuilding.is_none());
    for (index, room) in rooms {
        let switches = room.points.iter().filter(|point| paired(point.kind));
        let places: Vec<(Position, Metres)> =
            switches.flat_map(|point| point.places.iter().map(|at| (*at, point.height))).collect();
        match places.as_slice() {
            [] => {}
            [(at, height)] => alone.push((index, *at, *height)),
            many => {
                let runs =
                    many.windows(2).filter_map(|pair| strapper(job, (index, pair[0].0), (index, pair[1].0), pair[1].1));
                strappers.insert(index, runs.collect());
            }
        }
    }
    while let Some((room, at, _)) = alone.pop() {
        let away = |other: &(RoomIndex, Position, Metres)| {
            let storeys = job.site.rooms[other.0].level.abs_diff(job.site.rooms[room].level);
            crate::geometry::straight(other.1, at) + f64::from(storeys) * job.site.storey_rise().value()
        };
        let nearest = alone.iter().enumerate().min_by(|(_, a), (_, b)| away(a).total_cmp(&away(b)).then(a.0.cmp(&b.0)));
        let Some(place) = nearest.map(|(place, _)| place) else { continue };
        let partner = alone.remove(place);
        let run = strapper(job, (room, at), (partner.0, partner.1), partner.2);
        if run.is_some() {
            strappers.entry(partner.0).or_default();
        }
        strappers.entry(room).or_default().extend(run);
    }
    strappers
}

fn strapper(
    job: Job<'_>,
    (from, at): (RoomIndex, Position),
    (to, there): (RoomIndex, Position),
    height: Metres,
) -> Option<Run> {
    let spot =
        |room: RoomIndex, at| Spot { room: Some(room), level: job.site.rooms[room].level, at: Some(at), height: None };
    job.ways.between_on_the_map(spot(from, at), spot(to, there), height, CableClass::Lighting)
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
