//! What was drawn must be possible: outlines that are outlines, rooms beside and above each other and not inside one
//! another, places inside their rooms.

use std::collections::BTreeMap;

use geo::Validation;

use super::usual_level;
use crate::faults::{Fault, FaultCode};
use crate::geometry::{OFF_ITS_WALL_M_MAX, OutlineTree, Shape, TOUCHING_M};
use crate::limits::{FAULTS_LISTED_MAX, OUTLINE_PAIRS_MAX};
use crate::survey::{Dwelling, Outline, Position, RoomUse, Survey, WallSide};

/// Rooms may overlap by this much before it counts: walls are drawn by eye. Common practice, no source.
const OVERLAP_M2_MAX: f64 = 0.1;

/// The shape of a room, with where it stands in the document.
pub(super) struct DrawnRoom<'a> {
    pub pointer: String,
    pub id: &'a str,
    pub level: Option<i8>,
    pub in_the_house: bool,
    pub room_use: Option<RoomUse>,
    pub shape: Shape,
}

/// Every breach of what was drawn.
pub(super) fn faults(survey: &Survey, storeys: &BTreeMap<&str, i8>, faults: &mut Vec<Fault>) {
    let drawn = drawn(survey, storeys, faults);
    overlaps(&drawn, faults);
    in_the_air(survey, &drawn, faults);
    super::stack::faults(survey, &drawn, faults);
    let shapes: BTreeMap<&str, &Shape> = drawn.iter().map(|room| (room.id, &room.shape)).collect();
    places(survey, &shapes, faults);
    super::openings::faults(survey, &shapes, faults);
    empty_storeys(survey, faults);
}

fn drawn<'a>(survey: &'a Survey, storeys: &BTreeMap<&str, i8>, faults: &mut Vec<Fault>) -> Vec<DrawnRoom<'a>> {
    let level = |storey: &str| storeys.get(storey).copied().or_else(|| usual_level(storey));
    let rooms = survey.rooms.iter().enumerate().map(|(index, room)| {
        let outside = room.room_use == Some(RoomUse::Outside);
        let level = room.storey.as_deref().and_then(level).filter(|_| !outside);
        let of = (level, !outside, room.room_use);
        (format!("/survey/rooms/{index}"), room.id.as_str(), of, room.outline, &room.corners)
    });
    let buildings = survey.outbuildings.iter().enumerate().map(|(index, building)| {
        let pointer = format!("/survey/outbuildings/{index}");
        (pointer, building.id.as_str(), (Some(0), false, None), building.outline, &building.corners)
    });
    let mut drawn = Vec::new();
    for (pointer, id, (level, in_the_house, room_use), outline, corners) in rooms.chain(buildings) {
        if let Some(shape) = shape(&pointer, outline, corners, faults) {
            drawn.push(DrawnRoom { pointer, id, level, in_the_house, room_use, shape });
        }
    }
    drawn
}

/// The outline of a room, if it is one.
fn shape(pointer: &str, outline: Option<Outline>, corners: &[Position], faults: &mut Vec<Fault>) -> Option<Shape> {
    let at_corners = || format!("{pointer}/corners");
    if corners.is_empty() {
        return outline.map(Shape::from);
    }
    if outline.is_some() {
        let detail = "give either `outline` for a rectangle or `corners` for any other shape, not both";
        faults.push(Fault::new(at_corners(), FaultCode::Contradiction, detail));
        return None;
    }
    if corners.len() < 3 {
        let detail = format!("{} corners enclose nothing; give at least 3", corners.len());
        faults.push(Fault::new(at_corners(), FaultCode::OutOfRange, detail));
        return None;
    }
    let shape = Shape::of(corners);
    if !shape.polygon().is_valid() || shape.area().value() < OVERLAP_M2_MAX {
        let detail = "the outline crosses or touches itself, or encloses nothing; give the corners in order round the \
                      room, each once";
        faults.push(Fault::new(at_corners(), FaultCode::Contradiction, detail));
        return None;
    }
    Some(shape)
}

/// The rooms of each storey by where they lie, with their places among those drawn.
pub(super) fn trees(drawn: &[DrawnRoom<'_>]) -> BTreeMap<i8, OutlineTree> {
    by_level(drawn).into_iter().map(|(level, rooms)| (level, tree(&rooms))).collect()
}

fn tree(rooms: &[(usize, &DrawnRoom<'_>)]) -> OutlineTree {
    OutlineTree::of(rooms.iter().map(|(index, room)| (*index, &room.shape)))
}

fn by_level<'d, 'a>(drawn: &'d [DrawnRoom<'a>]) -> BTreeMap<i8, Vec<(usize, &'d DrawnRoom<'a>)>> {
    let mut levels: BTreeMap<i8, Vec<(usize, &DrawnRoom<'_>)>> = BTreeMap::new();
    for (index, room) in drawn.iter().enumerate() {
        if let Some(level) = room.level {
            levels.entry(level).or_default().push((index, room));
        }
    }
    levels
}

/// What it takes to hold two outlines against each other: of two simple rooms, one look.
pub(super) fn looks(one: &DrawnRoom<'_>, other: &DrawnRoom<'_>) -> usize {
    const CORNERS_OF_A_LOOK: usize = 16;
    ((one.shape.corners().len() + other.shape.corners().len()) / CORNERS_OF_A_LOOK).max(1)
}

/// Rooms on one storey that lie in each other.
fn overlaps(drawn: &[DrawnRoom<'_>], faults: &mut Vec<Fault>) {
    let mut looked_at = 0;
    for rooms in by_level(drawn).values() {
        let tree = tree(rooms);
        for (index, room) in rooms {
            let mut others: Vec<usize> = tree.near(&room.shape).filter(|other| other < index).collect();
            others.sort_unstable();
            for other in others {
                looked_at += looks(room, &drawn[other]);
                if faults.len() >= FAULTS_LISTED_MAX {
                    return;
                }
                if looked_at > OUTLINE_PAIRS_MAX {
                    let detail =
                        "too many rooms of one storey lie round each other to be told apart; draw them simpler";
                    faults.push(Fault::new("/survey/rooms", FaultCode::OutOfRange, detail));
                    return;
                }
                let other = &drawn[other];
                let shared = room.shape.overlap(&other.shape).value();
                if shared > OVERLAP_M2_MAX {
                    let detail = format!(
                        "`{}` and `{}` are on the same storey and lie in each other over {shared:.2} m2; move one or \
                         make it smaller",
                        room.id, other.id
                    );
                    faults.push(Fault::new(outline_pointer(room), FaultCode::Contradiction, detail));
                }
            }
        }
    }
}

fn outline_pointer(room: &DrawnRoom<'_>) -> String {
    format!("{}/outline", room.pointer)
}

/// Storeys of a house that were drawn beside the one below: none of their rooms has any of it under it, and nobody said
/// what else is.
fn in_the_air(survey: &Survey, drawn: &[DrawnRoom<'_>], faults: &mut Vec<Fault>) {
    let dwelling = survey.site.as_ref().and_then(|site| site.dwelling);
    if dwelling.is_some_and(Dwelling::shares_its_floors) {
        return;
    }
    let levels = by_level(drawn);
    for (level, rooms) in levels.iter().filter(|(level, _)| **level > 0) {
        let Some(below) = levels.get(&(level - 1)) else { continue };
        let tree = tree(below);
        let of_the_house: Vec<&DrawnRoom<'_>> =
            rooms.iter().map(|(_, room)| *room).filter(|room| room.in_the_house).collect();
        let mut looked_at = 0;
        let stands = of_the_house.iter().any(|room| {
            tree.near(&room.shape).map(|under| &drawn[under]).any(|under| {
                looked_at += looks(room, under);
                // What is drawn like lace is taken to stand on what is under it.
                looked_at > OUTLINE_PAIRS_MAX
                    || under.in_the_house && room.shape.overlap(&under.shape).value() > OVERLAP_M2_MAX
            })
        });
        let said = survey.rooms.iter().any(|room| {
            let listed = survey.site.iter().flat_map(|site| &site.storeys);
            let storey = listed.into_iter().find(|storey| room.storey.as_deref() == Some(storey.id.as_str()));
            let is_here = room.storey.as_deref().and_then(|storey| survey.storey_level(storey)) == Some(*level);
            is_here && room.below.or(storey.and_then(|storey| storey.below)).is_some()
        });
        for room in of_the_house.iter().filter(|_| !stands && !said) {
            let detail = format!(
                "`{}` stands in the air, and so does its whole storey: no drawn room of the storey below is under it; all \
                 storeys have one origin, at the left front corner of the house. If others live there, or nothing is \
                 there, say so with `below`",
                room.id
            );
            faults.push(Fault::new(outline_pointer(room), FaultCode::Contradiction, detail));
        }
    }
}

/// A place as it was recorded, with where it stands in the document.
struct RecordedPlace<'a> {
    pointer: String,
    room: Option<&'a str>,
    at: Option<Position>,
    wall: Option<WallSide>,
    along_m: Option<f64>,
    /// How far outside of its room it may have been marked.
    off_m: f64,
}

fn places(survey: &Survey, shapes: &BTreeMap<&str, &Shape>, faults: &mut Vec<Fault>) {
    points(survey, shapes, faults);
    let mut look = |pointer: String, room: Option<&str>, (at, wall, along_m): MeasuredPlace| {
        place(&RecordedPlace { pointer, room, at, wall, along_m, off_m: TOUCHING_M }, shapes, faults);
    };
    if let Some(intake) = &survey.intake {
        let measured = (intake.at, intake.wall, intake.along_m);
        look("/survey/intake".to_owned(), Some(intake.room.as_str()), measured);
    }
    if let Some(unit) = &survey.consumer_unit {
        let measured = (unit.at, unit.wall, unit.along_m);
        look("/survey/consumer_unit".to_owned(), Some(unit.room.as_str()), measured);
    }
    if let Some(hub) = &survey.signal_hub {
        look("/survey/signal_hub".to_owned(), Some(hub.room.as_str()), (hub.at, hub.wall, hub.along_m));
    }
    for (index, future) in survey.future.iter().enumerate() {
        look(format!("/survey/future/{index}"), future.room.as_deref(), (future.at, None, None));
    }
    for (index, service) in survey.services.iter().flatten().enumerate() {
        let measured = (service.at, service.wall, service.along_m);
        look(format!("/survey/services/{index}"), service.room.as_deref(), measured);
    }
}

/// A place as it was measured: by itself, or along a wall.
type MeasuredPlace = (Option<Position>, Option<WallSide>, Option<f64>);

/// The points of rooms and outbuildings; what is outside stands in none.
fn points(survey: &Survey, shapes: &BTreeMap<&str, &Shape>, faults: &mut Vec<Fault>) {
    let rooms = survey.rooms.iter().enumerate().map(|(index, room)| {
        let outside = room.room_use == Some(RoomUse::Outside);
        (format!("/survey/rooms/{index}"), (!outside).then_some(room.id.as_str()), &room.points)
    });
    let buildings = survey.outbuildings.iter().enumerate().map(|(index, building)| {
        (format!("/survey/outbuildings/{index}"), Some(building.id.as_str()), &building.points)
    });
    for (of, room, points) in rooms.chain(buildings) {
        for (entry, point) in points.iter().enumerate() {
            let pointer = format!("{of}/points/{entry}");
            let (at, wall, along_m) = (point.at, point.wall, point.along_m);
            place(&RecordedPlace { pointer, room, at, wall, along_m, off_m: OFF_ITS_WALL_M_MAX }, shapes, faults);
        }
    }
}

fn place(place: &RecordedPlace<'_>, shapes: &BTreeMap<&str, &Shape>, faults: &mut Vec<Fault>) {
    let pointer = &place.pointer;
    let shape = place.room.and_then(|room| shapes.get(room));
    match (place.wall, place.along_m) {
        (None, None) => {}
        (Some(_), None) => {
            let detail = "`wall` says on which wall, not where; give `along_m` with it";
            faults.push(Fault::new(format!("{pointer}/along_m"), FaultCode::MissingField, detail));
        }
        (None, Some(_)) => {
            let detail = "`along_m` is measured along a wall; give `wall` with it";
            faults.push(Fault::new(format!("{pointer}/wall"), FaultCode::MissingField, detail));
        }
        (Some(_), Some(_)) if place.at.is_some() => {
            let detail = "give either `at` or `wall` with `along_m`, not both";
            faults.push(Fault::new(format!("{pointer}/wall"), FaultCode::Contradiction, detail));
        }
        (Some(side), Some(along)) => match shape {
            None => {
                let detail = "there is no drawn room to measure along; draw its outline, or leave the place out";
                faults.push(Fault::new(format!("{pointer}/wall"), FaultCode::Contradiction, detail));
            }
            Some(shape) if shape.on_side(side, along).is_none() => {
                let long = shape.side_length(side);
                let detail = format!("`along_m` is {along}; the {side} of the room is {long:.2} m long");
                faults.push(Fault::new(format!("{pointer}/along_m"), FaultCode::OutOfRange, detail));
            }
            Some(_) => {}
        },
    }
    if let (Some(at), Some(shape), Some(room)) = (place.at, shape, place.room)
        && !shape.holds(at)
        && shape.nearest_on_wall(at).off > place.off_m
    {
        let (least, greatest) = shape.bounds();
        let detail = format!(
            "({}, {}) is outside the room `{room}`, which lies from ({}, {}) to ({}, {}); positions are the house's own \
             coordinates",
            at.x_m, at.y_m, least.x_m, least.y_m, greatest.x_m, greatest.y_m
        );
        faults.push(Fault::new(format!("{pointer}/at"), FaultCode::Contradiction, detail));
    }
}

/// Storeys that are listed and that no room is on.
fn empty_storeys(survey: &Survey, faults: &mut Vec<Fault>) {
    let any_named = survey.rooms.iter().any(|room| room.storey.is_some());
    for (index, storey) in survey.site.iter().flat_map(|site| &site.storeys).enumerate().filter(|_| any_named) {
        if !survey.rooms.iter().any(|room| room.storey.as_deref() == Some(storey.id.as_str())) {
            let detail =
                format!("no room is on the storey `{}`; put its rooms on it with `storey`, or leave it out", storey.id);
            faults.push(Fault::new(format!("/survey/site/storeys/{index}/id"), FaultCode::Contradiction, detail));
        }
    }
}
