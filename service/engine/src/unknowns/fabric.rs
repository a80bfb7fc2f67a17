//! Walls, floors, coverings and ceilings that nobody recorded.

use std::collections::BTreeSet;

use super::{AnswerSubject, AnswerValue, Change, OpenQuestion, UnknownsContext};
use crate::catalogue::{CableClass, PointGroup, PointPlace};
use crate::pricing::Cost;
use crate::rate_sheet::box_index;
use crate::routes::vertical;
use crate::site::{AssumedSubject, PointPlan, RoomIndex, RoomPlan};
use crate::survey::{CeilingConstruction, FloorConstruction, FloorCovering, Wall};
use crate::unit_rates::is_chased;

/// What every drop is taken to be of, whatever hangs on it. Common practice, no source.
const DROPS: CableClass = CableClass::Sockets;

pub(super) fn fabric(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let silent: BTreeSet<&str> = asked.assumptions.rooms(AssumedSubject::FloorCovering).collect();
    let unlifted: BTreeSet<&str> = asked.assumptions.rooms(AssumedSubject::Ceiling).collect();
    let plan = |room: RoomIndex| &asked.job.site.rooms[room];

    let rooms = asked.rooms(|room| !room.wall_recorded && !room.surface);
    found.push(asked.in_rooms(AnswerSubject::Wall, rooms, |room, value| {
        let AnswerValue::Wall(wall) = *value else { return Cost::ZERO };
        asked.walls_of(room, wall) - asked.walls_of(room, plan(room).wall)
    }));
    for (subject, upper) in [(AnswerSubject::GroundFloor, false), (AnswerSubject::UpperFloor, true)] {
        let rooms = asked.rooms(|room| !room.floor_recorded && !room.surface && (room.level > 0) == upper);
        found.push(asked.in_rooms(subject, rooms, |room, value| {
            let AnswerValue::Floor(floor) = *value else { return Cost::ZERO };
            let covering = plan(room).covering;
            asked.floor_of(room, floor, covering) - asked.floor_of(room, plan(room).floor, covering)
        }));
    }
    // A floor without a void, or a room wired on the surface, does not care what lies on it.
    let rooms = asked
        .rooms(|room| !room.surface && asked.job.catalogue.floor(room.floor).void && silent.contains(room.id.as_str()));
    found.push(asked.in_rooms(AnswerSubject::FloorCovering, rooms, |room, value| {
        let AnswerValue::Covering(covering) = *value else { return Cost::ZERO };
        let floor = plan(room).floor;
        asked.floor_of(room, floor, covering) - asked.floor_of(room, floor, plan(room).covering)
    }));
    let under_a_floor = |room: &RoomPlan| room.level < asked.job.site.top_level;
    let rooms = asked.rooms(|room| !room.surface && under_a_floor(room) && unlifted.contains(room.id.as_str()));
    found.push(asked.in_rooms(AnswerSubject::Ceiling, rooms, |room, value| {
        let AnswerValue::Ceiling(ceiling) = *value else { return Cost::ZERO };
        asked.ceiling_of(room, ceiling) - asked.ceiling_of(room, plan(room).ceiling)
    }));
}

/// Cables that go up or down to one point: in and out of a socket, one to anything else. Common practice, no source.
fn cables(group: PointGroup) -> f64 {
    if group == PointGroup::Socket { 2.0 } else { 1.0 }
}

impl UnknownsContext<'_> {
    /// One house is of one make: the answer is taken to be the same in every room that was not recorded.
    fn in_rooms(
        &self,
        subject: AnswerSubject,
        rooms: Vec<RoomIndex>,
        change: impl Fn(RoomIndex, &AnswerValue) -> Cost,
    ) -> OpenQuestion {
        OpenQuestion {
            subject,
            places: super::rooms(rooms.iter().copied()),
            answers: self
                .answers(subject, |value| self.first_sum(|| rooms.iter().map(|room| change(*room, value)).sum())),
            part: None,
            change: Some(Change::Rooms(rooms)),
        }
    }

    /// A sum that stands until the job is priced again; nothing where that is going to be done.
    pub(super) fn first_sum(&self, sum: impl FnOnce() -> Cost) -> Cost {
        if self.priced_again { Cost::ZERO } else { sum() }
    }

    /// Points on the walls of a room that have boxes, with how many boxes.
    fn boxed<'r>(&'r self, room: &'r RoomPlan) -> impl Iterator<Item = (&'r PointPlan, f64)> + 'r {
        room.points.iter().filter_map(|point| {
            let kind = &self.job.catalogue.points()[point.row];
            let on_the_wall = kind.place == PointPlace::Wall && kind.boxes > 0 && !point.existing_reuse;
            on_the_wall.then(|| (point, f64::from(kind.boxes) * f64::from(point.count)))
        })
    }

    /// Boxes, drops and filling of a room if its walls were of this kind.
    pub(super) fn walls_of(&self, room: RoomIndex, wall: Wall) -> Cost {
        let ways = self.job.ways.room(room);
        let room = &self.job.site.rooms[room];
        let work = self.job.workbook.wall_work(wall);
        let mut cost = Cost::ZERO;
        for (point, boxes) in self.boxed(room) {
            let kind = &self.job.catalogue.points()[point.row];
            let size = box_index(kind.gangs, kind.depth_mm);
            let access = if kind.group == PointGroup::Switch { ways.high } else { ways.low };
            let drop = vertical(room, &access, point.height).value();
            cost = cost
                + self.work(work.boxes[size], boxes) * self.crowding(room)
                + self.material(work.box_materials[size], boxes)
                + self.drops(room, wall, boxes * drop, cables(kind.group), boxes);
        }
        cost
    }

    /// So many metres of drop in a wall of this kind, with what goes in and over them.
    fn drops(&self, room: &RoomPlan, wall: Wall, metres: f64, cables: f64, boxes: f64) -> Cost {
        let (operations, materials) = (&self.job.workbook.operations, &self.job.workbook.materials);
        let cable = self.job.cable(DROPS);
        match self.job.workbook.wall_work(wall).chases {
            Some([single, double]) if is_chased(wall) => {
                let chase = if cables > 1.0 { double } else { single };
                let filling = if self.job.site.making_good {
                    self.work(operations.fill_chase, metres)
                        + self.work(operations.fill_box, boxes)
                        + self.material(materials.filler, metres + boxes * 0.1)
                } else {
                    Cost::ZERO
                };
                (self.work(chase, metres) + self.work(cable.chase(), metres * cables)) * self.crowding(room)
                    + self.material(materials.capping, metres)
                    + filling
            }
            _ => {
                (self.work(cable.fished(), metres * cables) + self.work(operations.drill_stud, boxes))
                    * self.crowding(room)
            }
        }
    }

    /// Getting to the low points of a room, and along under it, if its floor were so.
    pub(crate) fn floor_of(&self, index: RoomIndex, floor: FloorConstruction, covering: FloorCovering) -> Cost {
        let room = &self.job.site.rooms[index];
        let kind = self.job.catalogue.floor(floor);
        let lying = self.job.catalogue.covering(covering);
        let (workbook, operations) = (self.job.workbook, &self.job.workbook.operations);
        let cable = self.job.cable(DROPS);
        let opens = kind.void && lying.lifts;
        let mut cost = Cost::ZERO;
        for (point, boxes) in self.boxed(room) {
            let group = self.job.catalogue.points()[point.row].group;
            if group == PointGroup::Switch {
                continue;
            }
            let height = point.height.value();
            let drop = if opens { height } else { (room.height.value() - height).max(0.0) };
            cost = cost
                + self.drops(room, room.wall, boxes * drop, cables(group), 0.0)
                + self.material(cable.material, boxes * drop * cables(group));
        }
        let line = room.shape.longer_side().value();
        if !opens {
            // Along the room the cables of the low points are fished instead of laid.
            let fished = self.work(cable.fished(), line) - self.work(cable.joists(), line);
            return cost + fished * self.crowding(room);
        }
        let drilled = crate::unit_rates::joists_drilled(room, line, kind.joists_per_m);
        let mut opening = self.work(operations.drill_joist, drilled);
        if let Some(operation) = workbook.board_operation(floor, room.boards) {
            opening = opening + self.work(operation, line * kind.board_m2_per_m);
        }
        if let Some(operation) = workbook.covering_operation(covering) {
            opening = opening + self.work(operation, (line * lying.m2_per_m).min(room.area.value()));
        }
        cost + opening * self.crowding(room)
    }

    /// Getting to the lights and switches of a room if its ceiling were so, beside one that lets cables through.
    pub(crate) fn ceiling_of(&self, index: RoomIndex, ceiling: CeilingConstruction) -> Cost {
        if ceiling != CeilingConstruction::Concrete {
            return Cost::ZERO;
        }
        let room = &self.job.site.rooms[index];
        let (operations, materials) = (&self.job.workbook.operations, &self.job.workbook.materials);
        let overhead = room.points.iter().filter(|point| {
            let kind = &self.job.catalogue.points()[point.row];
            kind.place == PointPlace::Ceiling || kind.group == PointGroup::Switch
        });
        let count: f64 = overhead.map(|point| f64::from(point.count)).sum();
        let metres = count * room.shape.longer_side().value() * 0.5;
        self.work(operations.mini_trunking, metres) * self.crowding(room)
            + self.material(materials.mini_trunking, metres)
    }
}
