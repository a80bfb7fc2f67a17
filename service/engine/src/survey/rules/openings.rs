//! Doors and windows lie in the wall that they are recorded on, and not in each other.

use std::collections::BTreeMap;

use crate::faults::{Fault, FaultCode};
use crate::geometry::Shape;
use crate::survey::{Room, RoomUse, Survey, WallOpening, WallOpeningChange};

/// An overshoot or an overlap of so much is rounding.
const ROUNDING_M: f64 = 0.02;
/// What sums of decimals may be off by.
const SUMS_M: f64 = 1e-6;

/// Every breach of what was recorded of doors and windows.
pub(super) fn faults(survey: &Survey, shapes: &BTreeMap<&str, &Shape>, faults: &mut Vec<Fault>) {
    for (index, room) in survey.rooms.iter().enumerate().filter(|(_, room)| !room.openings.is_empty()) {
        let pointer = format!("/survey/rooms/{index}/openings");
        let shape = shapes.get(room.id.as_str()).filter(|_| room.room_use != Some(RoomUse::Outside));
        for (entry, opening) in room.openings.iter().enumerate() {
            let pointer = format!("{pointer}/{entry}");
            heights(opening, &pointer, faults);
            match shape {
                Some(shape) => place(room, entry, shape, &pointer, faults),
                None => {
                    let detail = "there is no drawn room to measure along; draw its outline, or leave the opening out";
                    faults.push(Fault::new(format!("{pointer}/wall"), FaultCode::Contradiction, detail));
                }
            }
        }
    }
}

fn heights(opening: &WallOpening, pointer: &str, faults: &mut Vec<Fault>) {
    if let (Some(sill), Some(head)) = (opening.sill_m, opening.head_m)
        && sill >= head
    {
        let detail = format!("the sill is at {sill} and the head at {head}; the head is above the sill");
        faults.push(Fault::new(format!("{pointer}/head_m"), FaultCode::Contradiction, detail));
    }
}

fn place(room: &Room, entry: usize, shape: &Shape, pointer: &str, faults: &mut Vec<Fault>) {
    let opening = &room.openings[entry];
    let begins = match (opening.from_m, opening.along_m) {
        (Some(begins), None) | (None, Some(begins)) => begins,
        (None, None) => {
            let detail = "nothing says where along the wall it begins; give `from_m`";
            faults.push(Fault::new(format!("{pointer}/from_m"), FaultCode::MissingField, detail));
            return;
        }
        (Some(_), Some(_)) => {
            let detail = "`from_m` and `along_m` are two names of one place; give one of them";
            faults.push(Fault::new(format!("{pointer}/along_m"), FaultCode::Contradiction, detail));
            return;
        }
    };
    let long = shape.side_length(opening.wall);
    let ends = begins + opening.width_m;
    if ends > long + ROUNDING_M + SUMS_M {
        let name = if opening.from_m.is_some() { "from_m" } else { "along_m" };
        let field = if begins > long { name } else { "width_m" };
        let detail = format!(
            "it reaches from {begins:.2} to {ends:.2} along the {} of the room, which is {long:.2} m long",
            opening.wall
        );
        faults.push(Fault::new(format!("{pointer}/{field}"), FaultCode::OutOfRange, detail));
    }
    let whole = |one: &WallOpening| one.change != Some(WallOpeningChange::BlockedUp);
    let earlier = room.openings[..entry].iter().enumerate();
    for (other, before) in earlier.filter(|(_, before)| before.wall == opening.wall && whole(before) && whole(opening))
    {
        let Some(from) = before.begins_m() else { continue };
        let shared = ends.min(from + before.width_m) - begins.max(from);
        if shared > ROUNDING_M + SUMS_M {
            let detail =
                format!("it lies in opening {other} of this wall over {shared:.2} m; move one or make it smaller");
            faults.push(Fault::new(pointer.to_owned(), FaultCode::Contradiction, detail));
        }
    }
}
