//! Builder's work room by room: scanning, opening floors, chasing, sealing, making good.

use std::collections::BTreeMap;

use super::{Job, TakeOff};
use crate::catalogue::PointPlace;
use crate::estimate::LineKind;
use crate::routes::{Access, Opening, Run, is_chased};
use crate::site::{RoomIndex, RoomPlan};
use crate::survey::Medium;

/// Share of an opened line that runs across the joists and so needs them drilled. Common practice, no source.
const ACROSS_THE_JOISTS: f64 = 0.5;
/// Two cables side by side in one chase, where sockets are looped. Common practice, no source.
const CABLES_IN_A_DOUBLE_CHASE: f64 = 2.0;
/// Clearing of loft insulation per metre of a run in a loft that has it. Common practice, no source.
const INSULATION_M2_PER_M: f64 = 0.6;
/// Insulation deeper than this is rolled back for a run. From memory.
const INSULATION_MM: f64 = 100.0;
/// Capping covers both sides: a metre for each metre of chase, and a twentieth for joints. From memory.
const CAPPING_PER_M: f64 = 1.05;
/// Capping nails or fixings per metre. Source: domain practice, from memory.
const FIXINGS_PER_M: f64 = 4.0;

/// What a room's walls and voids have to bear, from the runs of all circuits.
#[derive(Debug, Clone, Copy, Default)]
struct Burden {
    chase_m: f64,
    double_chase_m: f64,
    loft_m: f64,
    trunking_m: f64,
    stud_drops: f64,
    ceiling_holes: f64,
    boxes: f64,
}

pub(super) fn rooms(job: Job<'_>, take_off: &mut TakeOff) {
    let mut burdens = vec![Burden::default(); job.site.rooms.len()];
    for circuit in &job.installation.circuits {
        let double = matches!(
            circuit.kind,
            crate::catalogue::CircuitType::RingSockets | crate::catalogue::CircuitType::RadialSockets
        );
        bear(&circuit.run, double, &mut burdens);
    }
    let mut openings: BTreeMap<Opening, ()> = BTreeMap::new();
    for (index, room) in job.site.rooms.iter().enumerate() {
        if room.points.is_empty() {
            continue;
        }
        points_of(job, index, room, &mut burdens[index]);
        for access in accesses(job, index, room) {
            openings.extend(access.opening.map(|opening| (opening, ())));
        }
    }
    for opening in openings.keys() {
        match opening {
            Opening::Floor(room) => open_floor(job, take_off, *room),
            Opening::Storey(level) => {
                let over = job.site.rooms.iter().enumerate();
                over.filter(|(_, room)| room.level == *level && room.is_inside())
                    // A floor that is opened for its own room's sake is not opened twice.
                    .filter(|(index, _)| !openings.contains_key(&Opening::Floor(*index)))
                    .for_each(|(index, _)| open_floor(job, take_off, index));
            }
        }
    }
    for (index, room) in job.site.rooms.iter().enumerate() {
        walls(job, take_off, index, room, burdens[index]);
    }
}

fn bear(run: &Run, double: bool, burdens: &mut [Burden]) {
    for segment in &run.segments {
        let Some(burden) = segment.room.and_then(|room| burdens.get_mut(room)) else { continue };
        let metres = segment.metres.value();
        match segment.medium {
            Medium::WallChase if double => burden.double_chase_m += metres / CABLES_IN_A_DOUBLE_CHASE,
            Medium::WallChase => burden.chase_m += metres,
            Medium::Loft => burden.loft_m += metres,
            Medium::MiniTrunking => burden.trunking_m += metres,
            _ => {}
        }
    }
}

fn points_of(job: Job<'_>, index: RoomIndex, room: &RoomPlan, burden: &mut Burden) {
    for point in &room.points {
        let kind = &job.catalogue.points()[point.row];
        let count = f64::from(point.count);
        let flush = f64::from(kind.boxes) * count;
        if !room.surface && !point.existing_reuse {
            burden.boxes += flush;
        }
        if kind.place == PointPlace::Ceiling {
            burden.ceiling_holes += count;
        }
        if !room.surface && kind.place == PointPlace::Wall && !is_chased(room.wall) {
            burden.stud_drops += count;
        }
        if kind.circuit == crate::catalogue::CircuitType::None && !room.surface && is_chased(room.wall) {
            // Signal wiring shares the drop of its neighbours; it takes a chase of its own on half of them.
            let access = if kind.place == PointPlace::Wall { job.ways.room(index).low } else { continue };
            burden.chase_m += crate::routes::vertical(room, &access, point.height).value() * count * 0.5;
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
fn open_floor(job: Job<'_>, take_off: &mut TakeOff, index: RoomIndex) {
    let room = &job.site.rooms[index];
    let floor = job.catalogue.floor(room.floor);
    let covering = job.catalogue.covering(room.covering);
    let line = room.shape.longer_side().value();
    let joists = (line * floor.joists_per_m * ACROSS_THE_JOISTS).ceil();
    let mut draft = take_off
        .start(LineKind::BuildersWork, "open-floor", format!("Open {line:.1} m of floor and close it again"))
        .room(index)
        .quantity(round(line), "m")
        .work(job.workbook.does.drill_joist, joists);
    if let Some(operation) = job.workbook.board_operation(room.floor) {
        draft = draft.work(operation, line * floor.board_m2_per_m);
    }
    if let Some(operation) = job.workbook.covering_operation(room.covering) {
        draft = draft.work(operation, (line * covering.m2_per_m).min(room.area.value()));
    }
    draft.note("shared by every cable under this floor; half of the line taken across the joists").done();
}

fn walls(job: Job<'_>, take_off: &mut TakeOff, index: RoomIndex, room: &RoomPlan, burden: Burden) {
    let does = &job.workbook.does;
    let takes = &job.workbook.takes;
    let outbuilding = room.outbuilding.is_some();
    if burden.boxes > 0.0 && !outbuilding {
        let scan = take_off.start(LineKind::BuildersWork, "scan-before-cutting", "Scan walls and floor before cutting");
        scan.room(index).quantity(1.0, "room").work(does.scan_before_cutting, 1.0).done();
    }
    let chased = burden.chase_m + burden.double_chase_m;
    if let Some([single, double]) = job.workbook.wall_work(room.wall).chases
        && chased > 0.0
    {
        take_off
            .start(
                LineKind::BuildersWork,
                "chase",
                format!("Chase {} and fix capping", room.wall.word().replace('-', " ")),
            )
            .room(index)
            .quantity(round(chased), "m")
            .work(single, burden.chase_m)
            .work(double, burden.double_chase_m)
            .takes(takes.capping, chased * CAPPING_PER_M)
            .takes(takes.fixing, chased * FIXINGS_PER_M)
            .done();
    }
    if burden.stud_drops > 0.0 {
        let drill = take_off.start(LineKind::BuildersWork, "drill-studs", "Drill plates and noggins for drops");
        drill.room(index).quantity(burden.stud_drops, "each").work(does.drill_stud, burden.stud_drops).done();
    }
    if burden.trunking_m > 0.0 {
        take_off
            .start(LineKind::BuildersWork, "mini-trunking", "Mini trunking on the surface")
            .room(index)
            .quantity(round(burden.trunking_m), "m")
            .work(does.mini_trunking, burden.trunking_m)
            .takes(takes.mini_trunking, burden.trunking_m)
            .done();
    }
    if burden.loft_m > 0.0 && room.insulation_mm > INSULATION_MM {
        let moved = burden.loft_m * INSULATION_M2_PER_M;
        let roll = take_off.start(LineKind::BuildersWork, "move-insulation", "Roll back and relay loft insulation");
        roll.room(index).quantity(round(moved), "m2").work(does.loft_insulation_move, moved).done();
    }
    if room.fire_line && burden.ceiling_holes > 0.0 {
        take_off
            .start(LineKind::BuildersWork, "fire-seals", "Seal holes in a fire line")
            .room(index)
            .quantity(burden.ceiling_holes, "each")
            .work(does.fire_stop, burden.ceiling_holes)
            .takes(takes.fire_seal, burden.ceiling_holes)
            .done();
    }
    making_good(job, take_off, index, chased, if is_chased(room.wall) { burden.boxes } else { 0.0 });
}

fn making_good(job: Job<'_>, take_off: &mut TakeOff, index: RoomIndex, chased: f64, boxes: f64) {
    if !job.site.making_good || chased + boxes <= 0.0 {
        return;
    }
    take_off
        .start(LineKind::MakingGood, "making-good", "Fill chases and round boxes, ready for others to skim")
        .room(index)
        .quantity(round(chased), "m")
        .work(job.workbook.does.fill_chase, chased)
        .work(job.workbook.does.fill_box, boxes)
        .takes(job.workbook.takes.filler, chased + boxes * 0.1)
        .done();
}

fn round(metres: f64) -> f64 {
    (metres * 100.0).round() / 100.0
}
