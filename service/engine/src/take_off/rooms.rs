//! Builder's work room by room: scanning, opening floors, chasing, sealing, making good.

use std::collections::BTreeMap;

use super::fire_seals::FireSeals;
use super::{AcrossJoists, CableSpread, ItemDetail, ItemKind, Job, LineKind, OpeningUser, TakeOff};
use crate::catalogue::{CircuitType, PointPlace};
use crate::circuits::wants_plates;
use crate::routes::{Access, Opening, Run};
use crate::site::{RoomIndex, RoomPlan};
use crate::survey::{FloorConstruction, Medium};
use crate::unit_rates::{CAPPING_PER_M, FIXINGS_PER_M, OpenedFloor, Void, is_chased};

/// Two cables side by side in one chase, where sockets are looped. Common practice, no source.
const CABLES_IN_A_DOUBLE_CHASE: f64 = 2.0;
/// Clearing of loft insulation per metre of a run in a loft that has it. Common practice, no source.
const INSULATION_M2_PER_M: f64 = 0.6;
/// Insulation deeper than this is rolled back for a run. From memory.
const INSULATION_MM: f64 = 100.0;

/// What a room's walls and voids have to bear, from the runs of all circuits.
#[derive(Debug, Clone, Copy, Default)]
struct RoomTotals {
    chase_m: f64,
    double_chase_m: f64,
    loft_m: f64,
    trunking_m: f64,
    stud_drops: f64,
    ceiling_holes: f64,
    boxes: f64,
}

pub(super) fn rooms(job: Job<'_>, take_off: &mut TakeOff) {
    let mut totals = vec![RoomTotals::default(); job.site.rooms.len()];
    let mut openings = opened(job, &mut totals);
    let mut seals = FireSeals::of(job.site);
    let planned = job.ways.network().is_some();
    for (index, room) in job.site.rooms.iter().enumerate() {
        if room.points.is_empty() {
            continue;
        }
        points_of(job, index, room, &mut totals[index]);
        // What is joined along a wall opens no floor.
        if !planned && (job.site.scope.rewires() || cabled(job, index)) {
            for access in accesses(job, index, room) {
                openings.extend(access.opening.map(|opening| (opening, Vec::new())));
            }
        }
    }
    for (opening, users) in &openings {
        seals.through(*opening, pieces(spread(job, *opening)));
        match opening {
            Opening::Floor(room) => open_floor(job, take_off, *room, users),
            Opening::Storey(level) => {
                let over = job.site.rooms.iter().enumerate();
                over.filter(|(_, room)| room.level == *level && room.is_inside())
                    // A floor that is opened for its own room's sake is not opened twice.
                    .filter(|(index, _)| !openings.contains_key(&Opening::Floor(*index)))
                    .for_each(|(index, _)| open_floor(job, take_off, index, users));
            }
            Opening::Wall { room, .. } | Opening::Outside(room) => hole(job, take_off, (*room, *opening), users),
            Opening::Slab { room, under } => slab(job, take_off, (*room, *under), users),
            Opening::Riser { room, metres_mm, .. } => {
                riser(job, take_off, (*room, f64::from(*metres_mm) / 1_000.0, Some(*opening)), users)
            }
        }
    }
    job.installation.circuits.iter().for_each(|circuit| seals.along(&circuit.run));
    job.installation.unassigned.laid().for_each(|run| seals.along(run));
    for (index, room) in job.site.rooms.iter().enumerate() {
        walls(job, take_off, index, room, totals[index]);
        fire_seals(job, take_off, index, seals.holes(index, totals[index].ceiling_holes));
        making_good(job, take_off, index, totals[index]);
        floor_chase(job, take_off, index, room);
    }
}

/// Whether a new circuit or signal wiring comes into the room.
fn cabled(job: Job<'_>, room: RoomIndex) -> bool {
    let new = job.installation.circuits.iter().filter(|circuit| circuit.fixed.kept.is_none());
    let mut members = new.flat_map(|circuit| &circuit.members).chain(&job.installation.signal);
    members.any(|member| member.room == room)
}

/// What the runs open, each with who uses it; what they ask of the rooms is added to `totals`.
fn opened(job: Job<'_>, totals: &mut [RoomTotals]) -> BTreeMap<Opening, Vec<OpeningUser>> {
    let runs = &job.installation.unassigned;
    let mut openings: BTreeMap<Opening, Vec<OpeningUser>> = BTreeMap::new();
    for (index, circuit) in job.installation.circuits.iter().enumerate() {
        open(&mut openings, &circuit.run, OpeningUser::Circuit(index));
        let looped = matches!(circuit.kind, CircuitType::RingSockets | CircuitType::RadialSockets);
        // A spur of a circuit that is there is one cable.
        let double = looped && !(circuit.fixed.kept.is_some() && job.site.scope.extends());
        bear(&circuit.run, double, totals);
    }
    for (_, run) in &runs.signal {
        open(&mut openings, run, OpeningUser::Signal);
    }
    for bond in &runs.bonds {
        bond.run.iter().for_each(|run| open(&mut openings, run, OpeningUser::Bond(bond.kind)));
    }
    for draw_in in &runs.draw_ins {
        let Some(run) = &draw_in.run else { continue };
        bear(run, false, totals);
        open(&mut openings, run, OpeningUser::DrawIn(draw_in.ends));
    }
    for strapper in runs.strappers.iter().filter(|strapper| strapper.on_the_map) {
        let run = &strapper.run;
        // A strapper lies in the chase of its switch, unless it comes from the other side.
        let beside = run.chases.iter().all(|chase| {
            let own = job.ways.room(chase.room).high.medium;
            run.segments.iter().any(|segment| segment.medium == own)
        });
        if !beside {
            bear(run, false, totals);
        }
        open(&mut openings, run, OpeningUser::Strappers);
    }
    openings
}

/// The cable of a floor outlet in a floor without a void: in conduit, in a chase of the screed from the nearest wall. Never
/// where pipes may be in the screed.
fn floor_chase(job: Job<'_>, take_off: &mut TakeOff, index: RoomIndex, room: &RoomPlan) {
    /// An outlet stands in the middle of its room. Common practice, no source.
    const OF_THE_SHORTER_SIDE: f64 = 0.5;
    if job.catalogue.floor(room.floor).void || room.floor == FloorConstruction::ScreedWithHeating {
        return;
    }
    let outlets = room.points.iter().filter(|point| job.catalogue.points()[point.row].place == PointPlace::Floor);
    let outlets: f64 = outlets.map(|point| f64::from(point.count)).sum();
    let shorter = room.area.value() / room.shape.longer_side().value().max(1.0);
    let metres = outlets * shorter * OF_THE_SHORTER_SIDE;
    take_off
        .start(LineKind::BuildersWork, ItemKind::FloorChase)
        .room(index)
        .quantity(round(metres), "m")
        .work(job.workbook.operations.chase_screed, metres)
        .work(job.workbook.operations.conduit_in_chase, metres)
        .uses_material(job.workbook.materials.conduit, metres)
        .done();
}

/// Notes who uses what a run opens. Signal wiring and strappers count once, however many runs they are.
fn open(openings: &mut BTreeMap<Opening, Vec<OpeningUser>>, run: &Run, user: OpeningUser) {
    let once = matches!(user, OpeningUser::Signal | OpeningUser::Strappers);
    for opening in &run.openings {
        let users = openings.entry(*opening).or_default();
        if !once || users.last() != Some(&user) {
            users.push(user);
        }
    }
}

fn bear(run: &Run, double: bool, totals: &mut [RoomTotals]) {
    for chase in &run.chases {
        if let Some(of_room) = totals.get_mut(chase.room) {
            *(if chase.double { &mut of_room.double_chase_m } else { &mut of_room.chase_m }) += chase.metres;
        }
    }
    for segment in &run.segments {
        let Some(of_room) = segment.room.and_then(|room| totals.get_mut(room)) else { continue };
        let metres = segment.metres.value();
        match segment.medium {
            // On the map every chase was counted once, whatever lies in it.
            Medium::WallChase if !run.placed.is_empty() => {}
            Medium::WallChase if double => of_room.double_chase_m += metres / CABLES_IN_A_DOUBLE_CHASE,
            Medium::WallChase => of_room.chase_m += metres,
            // What is clipped above the insulation moves none of it.
            Medium::Loft if segment.void == Void::Open => of_room.loft_m += metres,
            Medium::MiniTrunking => of_room.trunking_m += metres,
            Medium::Loft
            | Medium::CeilingVoid
            | Medium::FloorVoid
            | Medium::CrawlSpace
            | Medium::CellarSoffit
            | Medium::StudCavity
            | Medium::DryLiningGap
            | Medium::DuctOrRiser
            | Medium::SurfaceClipped
            | Medium::SkirtingTrunking
            | Medium::SurfaceConduit
            | Medium::Screed
            | Medium::ExternalWall
            | Medium::Trench
            | Medium::DuctInGround
            | Medium::OverheadSpan => {}
        }
    }
}

fn points_of(job: Job<'_>, index: RoomIndex, room: &RoomPlan, of_room: &mut RoomTotals) {
    for point in &room.points {
        let kind = &job.catalogue.points()[point.row];
        let count = f64::from(point.count);
        let flush = f64::from(kind.boxes) * count;
        if !room.surface && !point.existing_reuse {
            of_room.boxes += flush;
        }
        if kind.place == PointPlace::Ceiling {
            of_room.ceiling_holes += count;
        }
        if !room.surface && kind.place == PointPlace::Wall && !is_chased(room.wall) {
            of_room.stud_drops += count;
        }
        if kind.circuit == CircuitType::None && !room.surface && is_chased(room.wall) {
            // Signal wiring shares the drop of its neighbours; it takes a chase of its own on half of them.
            let access = if kind.place == PointPlace::Wall { job.ways.room(index).low } else { continue };
            of_room.chase_m += crate::routes::vertical(room, &access, point.height).value() * count * 0.5;
        }
    }
}

/// The ways that the points of a room use.
fn accesses(job: Job<'_>, index: RoomIndex, room: &RoomPlan) -> impl Iterator<Item = Access> {
    let ways = job.ways.room(index);
    let kinds = || room.points.iter().map(|point| &job.catalogue.points()[point.row]);
    let overhead =
        kinds().any(|kind| kind.place == PointPlace::Ceiling || kind.group == crate::catalogue::PointGroup::Switch);
    let low =
        kinds().any(|kind| kind.place != PointPlace::Ceiling && kind.group != crate::catalogue::PointGroup::Switch);
    [overhead.then_some(ways.high), low.then_some(ways.low)].into_iter().flatten()
}

/// Lifts one line of floor along the room's longer side: the first cable pays for the road.
fn open_floor(job: Job<'_>, take_off: &mut TakeOff, index: RoomIndex, users: &[OpeningUser]) {
    let room = &job.site.rooms[index];
    let opened = OpenedFloor::of(room, job.catalogue);
    let line = opened.line_m;
    let spread = spread(job, Opening::Floor(index));
    // Counted joist by joist where cables were laid on the map; else one hole in each joist of the line.
    let drilled = spread.map_or(opened.joists, |spread| spread.holes);
    let plates = if spread.is_some_and(|spread| spread.plates) { drilled } else { 0.0 };
    let mut draft = take_off
        .start(LineKind::BuildersWork, ItemKind::OpenFloor)
        .room(index)
        .quantity(round(line), "m")
        .work(job.workbook.operations.drill_joist, drilled)
        .work(job.workbook.operations.joist_plate, plates);
    if let Some(operation) = job.workbook.board_operation(room.floor, room.boards) {
        draft = draft.work(operation, opened.boards_m2);
    }
    if let Some(operation) = job.workbook.covering_operation(room.covering) {
        draft = draft.work(operation, opened.covering_m2);
    }
    let joists = match room.joists {
        None => AcrossJoists::Half,
        Some(_) if opened.joists > 0.0 => AcrossJoists::Across(opened.joists),
        Some(_) => AcrossJoists::Along,
    };
    draft.detail(ItemDetail::OpenedFloor { line_m: line, joists, users: users.to_vec(), spread }).done();
}

/// How the cables of circuits are spread over what was opened; nothing where nothing was drawn or none passes.
fn spread(job: Job<'_>, opening: Opening) -> Option<CableSpread> {
    let way = job.installation.shared.get(&opening)?;
    let of_a_floor = match opening {
        Opening::Floor(room) => Some(room),
        _ => None,
    };
    Some(CableSpread {
        cables: way.cables(),
        in_one: way.in_one,
        loaded_in_one: way.loaded_in_one,
        alone: way.alone,
        holes: way.holes,
        for_room: way.holes_for_room,
        larger_cable: way.larger_cable_instead,
        plates: of_a_floor.is_some_and(|room| wants_plates(&job.site.rooms[room], job.catalogue)),
    })
}

/// Holes, or chases, that what was opened is made of.
fn pieces(spread: Option<CableSpread>) -> f64 {
    spread.map_or(1.0, |spread| spread.holes.max(1.0))
}

/// Holes through the wall of a room, for all the cables that go through it.
fn hole(job: Job<'_>, take_off: &mut TakeOff, (room, opening): (RoomIndex, Opening), users: &[OpeningUser]) {
    let spread = spread(job, opening);
    let holes = pieces(spread);
    take_off
        .start(LineKind::BuildersWork, ItemKind::WallHole)
        .room(room)
        .quantity(holes, "each")
        .work(job.workbook.wall_work(job.site.rooms[room].wall).hole, holes)
        .uses_material(job.workbook.materials.hole_sleeve, holes)
        .detail(ItemDetail::Hole { opening, users: users.to_vec(), spread })
        .done();
}

/// A hole through the slab of a floor without a void, and the way up to it.
fn slab(job: Job<'_>, take_off: &mut TakeOff, (index, under): (RoomIndex, RoomIndex), users: &[OpeningUser]) {
    let opening = Opening::Slab { room: index, under };
    let spread = spread(job, opening);
    let holes = pieces(spread);
    take_off
        .start(LineKind::BuildersWork, ItemKind::SlabHole)
        .room(index)
        .quantity(holes, "each")
        .work(job.workbook.wall_work(crate::survey::Wall::Concrete).hole, holes)
        .uses_material(job.workbook.materials.hole_sleeve, holes)
        .detail(ItemDetail::Hole { opening, users: users.to_vec(), spread })
        .done();
    riser(job, take_off, (under, job.site.rooms[under].height.value(), None), users);
}

/// A chase or drilled plates up a corner, where a cable may be hidden without an accessory.
fn riser(
    job: Job<'_>,
    take_off: &mut TakeOff,
    (index, metres, opening): (RoomIndex, f64, Option<Opening>),
    users: &[OpeningUser],
) {
    let room = &job.site.rooms[index];
    let spread = opening.and_then(|opening| spread(job, opening));
    let ways = pieces(spread);
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    let draft = take_off
        .start(LineKind::BuildersWork, ItemKind::Riser)
        .room(index)
        .quantity(round(metres), "m")
        .detail(ItemDetail::Riser { metres, users: users.to_vec(), spread });
    let cut = metres * ways;
    let draft = match job.workbook.wall_work(room.wall).chases {
        Some([_, double]) if !room.surface => {
            let draft = draft
                .work(double, cut)
                .uses_material(materials.capping, cut * CAPPING_PER_M)
                .uses_material(materials.fixing, cut * FIXINGS_PER_M);
            if job.site.making_good {
                draft.work(operations.fill_chase, cut).uses_material(materials.filler, cut)
            } else {
                draft
            }
        }
        // From the void below into the void above: two plates.
        _ => draft.work(operations.drill_stud, 2.0 * ways),
    };
    draft.done();
}

fn walls(job: Job<'_>, take_off: &mut TakeOff, index: RoomIndex, room: &RoomPlan, of_room: RoomTotals) {
    let operations = &job.workbook.operations;
    let materials = &job.workbook.materials;
    let outbuilding = room.outbuilding.is_some();
    if of_room.boxes > 0.0 && !outbuilding && !job.has_begun(index) {
        let scan = take_off.start(LineKind::BuildersWork, ItemKind::ScanBeforeCutting);
        scan.room(index).quantity(1.0, "room").work(operations.scan_before_cutting, 1.0).done();
    }
    let chased = of_room.chase_m + of_room.double_chase_m;
    if let Some([single, double]) = job.workbook.wall_work(room.wall).chases
        && chased > 0.0
    {
        take_off
            .start(LineKind::BuildersWork, ItemKind::Chase)
            .room(index)
            .quantity(round(chased), "m")
            .work(single, of_room.chase_m)
            .work(double, of_room.double_chase_m)
            .uses_material(materials.capping, chased * CAPPING_PER_M)
            .uses_material(materials.fixing, chased * FIXINGS_PER_M)
            .done();
    }
    if of_room.stud_drops > 0.0 {
        let drill = take_off.start(LineKind::BuildersWork, ItemKind::DrillStuds);
        drill.room(index).quantity(of_room.stud_drops, "each").work(operations.drill_stud, of_room.stud_drops).done();
    }
    if of_room.trunking_m > 0.0 {
        take_off
            .start(LineKind::BuildersWork, ItemKind::MiniTrunking)
            .room(index)
            .quantity(round(of_room.trunking_m), "m")
            .work(operations.mini_trunking, of_room.trunking_m)
            .uses_material(materials.mini_trunking, of_room.trunking_m)
            .done();
    }
    if of_room.loft_m > 0.0 && room.insulation_mm > INSULATION_MM {
        let moved = of_room.loft_m * INSULATION_M2_PER_M;
        let roll = take_off.start(LineKind::BuildersWork, ItemKind::MoveInsulation);
        roll.room(index).quantity(round(moved), "m2").work(operations.loft_insulation_move, moved).done();
    }
}

/// Outside the trunking; inside it too where it is over 710 mm2, which no trunking here is. Source: BS 7671 527.2, seen.
fn fire_seals(job: Job<'_>, take_off: &mut TakeOff, index: RoomIndex, holes: f64) {
    if holes > 0.0 {
        take_off
            .start(LineKind::BuildersWork, ItemKind::FireSeals)
            .room(index)
            .quantity(holes, "each")
            .work(job.workbook.operations.fire_stop, holes)
            .uses_material(job.workbook.materials.fire_seal, holes)
            .done();
    }
}

fn making_good(job: Job<'_>, take_off: &mut TakeOff, index: RoomIndex, of_room: RoomTotals) {
    let chased = of_room.chase_m + of_room.double_chase_m;
    let boxes = if is_chased(job.site.rooms[index].wall) { of_room.boxes } else { 0.0 };
    if !job.site.making_good || chased + boxes <= 0.0 {
        return;
    }
    take_off
        .start(LineKind::MakingGood, ItemKind::MakingGood)
        .room(index)
        .quantity(round(chased), "m")
        .work(job.workbook.operations.fill_chase, chased)
        .work(job.workbook.operations.fill_box, boxes)
        .uses_material(job.workbook.materials.filler, chased + boxes * 0.1)
        .done();
}

fn round(metres: f64) -> f64 {
    (metres * 100.0).round() / 100.0
}
