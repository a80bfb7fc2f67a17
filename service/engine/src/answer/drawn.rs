//! The plan of the answer, from the site.

use std::collections::BTreeMap;

use super::{Placed, Plan, PlanObstruction, PlanPlace, PlanPoint, PlanRoom, PlanService, PlanStorey};
use crate::site::{Location, RoomPlan, Site};
use crate::survey::{Position, RoomUse};
use crate::take_off::Job;

/// The house as it was drawn; absent where nothing was.
pub(crate) fn plan(job: Job<'_>) -> Option<Plan> {
    let site = job.site;
    let circuits = CircuitOf::of(job);
    let storeys: Vec<PlanStorey> = site
        .storeys
        .iter()
        .map(|storey| {
            let level = storey.level;
            let place = |at: Position| place(site, at);
            let here = |spot: Location| (spot.level == level).then_some(spot.at).flatten().map(place);
            PlanStorey {
                id: storey.id.clone(),
                name: name(&storey.id),
                level,
                rooms: site
                    .rooms
                    .iter()
                    .filter(|room| room.level == level)
                    .filter_map(|room| plan_room(site, room))
                    .collect(),
                points: if job.ways.work().goes_on() { points(site, level, &circuits) } else { Vec::new() },
                obstructions: job
                    .ways
                    .obstructions_on(level)
                    .map(|obstruction| PlanObstruction {
                        obstruction_type: obstruction.obstruction_type,
                        from: place(obstruction.from),
                        to: place(obstruction.to),
                        blocks: obstruction.blocks.clone(),
                    })
                    .collect(),
                board: here(site.board),
                sub_boards: sub_boards(job, level),
                intake: here(site.intake),
                services: site
                    .services
                    .iter()
                    .filter_map(|service| Some(PlanService { service_type: service.kind, at: here(service.spot?)? }))
                    .collect(),
            }
        })
        .filter(|storey| !storey.rooms.is_empty())
        .collect();
    (!storeys.is_empty()).then_some(Plan { storeys })
}

/// The boards of the outbuildings that have one; they stand on the ground.
fn sub_boards(job: Job<'_>, level: i8) -> Vec<PlanPlace> {
    let boards = job.installation.board.sub_boards.iter().map(|board| &job.site.outbuildings[board.outbuilding]);
    let here = boards.filter(|building| job.site.rooms[building.room].level == level);
    here.filter_map(|building| building.board).map(|at| place(job.site, at)).collect()
}

/// As it is in the drawing.
fn place(site: &Site, at: Position) -> PlanPlace {
    let at = site.on_the_drawing(at);
    PlanPlace { x_m: at.x_m, y_m: at.y_m }
}

/// An identifier as a heading.
fn name(id: &str) -> String {
    let words = id.replace(['-', '_'], " ");
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn plan_room(site: &Site, room: &RoomPlan) -> Option<PlanRoom> {
    let outline = room.outline.as_ref()?;
    Some(PlanRoom {
        id: room.id.clone(),
        name: room.name.clone(),
        room_use: room.room_use,
        corners: outline.corners().iter().map(|corner| place(site, *corner)).collect(),
        outside: room.room_use == RoomUse::Outside || room.outbuilding.is_some(),
    })
}

fn points(site: &Site, level: i8, circuits: &CircuitOf) -> Vec<PlanPoint> {
    let mut points = Vec::new();
    for (index, room) in site.rooms.iter().enumerate().filter(|(_, room)| room.level == level) {
        for (entry, point) in room.points.iter().enumerate() {
            points.extend(point.places.iter().zip(0..).map(|(at, number)| PlanPoint {
                room: room.id.clone(),
                point_type: point.kind,
                at: place(site, *at),
                height_m: point.height.value(),
                circuit: circuits.circuits.get(&(index, entry, number)).cloned(),
                placed: if point.at.is_some() { Placed::AsMarked } else { Placed::SpreadByRule },
            }));
        }
    }
    points
}

/// Which circuit feeds each single point.
struct CircuitOf {
    circuits: BTreeMap<(usize, usize, u32), String>,
}

impl CircuitOf {
    fn of(job: Job<'_>) -> Self {
        let mut circuits = BTreeMap::new();
        for circuit in &job.installation.circuits {
            for member in &circuit.members {
                for number in member.first..member.first + member.count {
                    circuits.insert((member.room, member.point, number), circuit.id.clone());
                }
            }
        }
        Self { circuits }
    }
}
