//! The survey in the axes of the house: every place turned to them, the walls of its rooms made straight.

use std::borrow::Cow;

use super::{CONDITION_M_MAX, HouseFrame, conditioned};
use crate::geometry::{Outline, Position, Shape, straight};
use crate::survey::{Appliance, Point, RoomUse, Survey};
use crate::work::{WorkBudget, WorkPart};

/// A place so near to a wall as it was drawn stands on it, and stays on it where it is made straight: twice what a wall may
/// move.
const ON_THE_WALL_M: f64 = 2.0 * CONDITION_M_MAX;
/// Corners that move by less have not moved.
const SAME_M: f64 = 0.000_1;

/// Steps of what is done to each corner of a drawing: it is copied, turned, sorted, and weighed for the axes.
const STEPS_OF_A_CORNER: u64 = 60;

/// The axes of the house, and its survey in them: as it came, where it was drawn along them with straight walls.
pub(in crate::site) fn housed<'s>(survey: &'s Survey, work: &WorkBudget) -> (HouseFrame, Cow<'s, Survey>) {
    let rings: Vec<Vec<Position>> = survey.rooms.iter().map(|room| ring(room.outline, &room.corners)).collect();
    let corners: usize = rings.iter().map(Vec::len).sum();
    work.count(WorkPart::Plans, corners as u64 * STEPS_OF_A_CORNER);
    let inside: Vec<usize> = (0..rings.len()).filter(|room| is_of_the_house(survey, *room, &rings[*room])).collect();
    let shapes: Vec<Shape> = inside.iter().map(|room| Shape::of(&rings[*room])).collect();
    let frame = HouseFrame::of(&shapes.iter().collect::<Vec<_>>());
    let turned = |ring: &[Position]| ring.iter().map(|corner| frame.to_house(*corner)).collect::<Vec<_>>();
    let in_the_frame: Vec<Vec<Position>> = inside.iter().map(|room| turned(&rings[*room])).collect();
    let straight_walls = conditioned(&in_the_frame, work);
    let is_same = |one: &[Position], other: &[Position]| {
        one.len() == other.len() && one.iter().zip(other).all(|(one, other)| straight(*one, *other) < SAME_M)
    };
    let unchanged = frame.is_straight()
        && inside.iter().zip(&straight_walls).all(|(room, straightened)| is_same(&rings[*room], straightened));
    if unchanged {
        return (frame, Cow::Borrowed(survey));
    }
    let mut housed = survey.clone();
    turn(&mut housed, &frame);
    for ((room, drawn), made_straight) in inside.iter().zip(&in_the_frame).zip(straight_walls) {
        let (before, after) = (Shape::of(drawn), Shape::of(&made_straight));
        let room = &mut housed.rooms[*room];
        // Each point is held against each side.
        let marked = room.points.iter().filter(|point| point.at.is_some()).count();
        work.count(WorkPart::Plans, (marked * drawn.len()) as u64);
        let places = room.points.iter_mut().filter_map(|point| point.at.as_mut());
        for at in places.filter(|at| before.nearest_on_wall(**at).off <= ON_THE_WALL_M) {
            *at = after.on_wall(after.along(*at));
        }
        if !is_same(drawn, &made_straight) || !frame.is_straight() {
            (room.outline, room.corners) = (None, made_straight);
        }
    }
    (frame, Cow::Owned(housed))
}

fn is_of_the_house(survey: &Survey, room: usize, ring: &[Position]) -> bool {
    ring.len() > 2 && survey.rooms[room].room_use != Some(RoomUse::Outside)
}

/// The corners of what was drawn as a rectangle or by them; none where it was not.
fn ring(outline: Option<Outline>, corners: &[Position]) -> Vec<Position> {
    match outline {
        Some(outline) => Shape::from(outline).corners().to_vec(),
        None => corners.to_vec(),
    }
}

/// Every place turned; what was drawn as a rectangle is drawn by its corners.
fn turn(survey: &mut Survey, frame: &HouseFrame) {
    if frame.is_straight() {
        return;
    }
    let turn = |at: &mut Position| *at = frame.to_house(*at);
    let of_points = |points: &mut [Point]| points.iter_mut().filter_map(|point| point.at.as_mut()).for_each(turn);
    let of_appliances =
        |appliances: &mut [Appliance]| appliances.iter_mut().filter_map(|one| one.at.as_mut()).for_each(turn);
    let by_corners = |outline: &mut Option<Outline>, corners: &mut Vec<Position>| {
        *corners = ring(*outline, corners);
        *outline = None;
        corners.iter_mut().for_each(turn);
    };
    for room in &mut survey.rooms {
        by_corners(&mut room.outline, &mut room.corners);
        of_points(&mut room.points);
        of_appliances(&mut room.appliances);
    }
    for building in &mut survey.outbuildings {
        by_corners(&mut building.outline, &mut building.corners);
        of_points(&mut building.points);
        of_appliances(&mut building.appliances);
    }
    for obstruction in &mut survey.obstructions {
        turn(&mut obstruction.from);
        turn(&mut obstruction.to);
    }
    let unit = survey.consumer_unit.as_mut();
    let existing = unit.and_then(|unit| {
        unit.at.iter_mut().for_each(turn);
        unit.existing.as_mut()
    });
    existing.into_iter().filter_map(|board| board.at.as_mut()).for_each(turn);
    survey.intake.iter_mut().filter_map(|intake| intake.at.as_mut()).for_each(turn);
    survey.signal_hub.iter_mut().filter_map(|hub| hub.at.as_mut()).for_each(turn);
    survey.services.iter_mut().flatten().filter_map(|service| service.at.as_mut()).for_each(turn);
    survey.future.iter_mut().filter_map(|future| future.at.as_mut()).for_each(turn);
}
