//! What is over and under a flat or a maisonette, where nobody said: others live there, or nobody does.

use super::{AnswerSubject, AnswerValue, Change, OpenQuestion, UnknownsContext};
use crate::pricing::Cost;
use crate::site::{RoomPlan, Site};
use crate::survey::{Above, Below};

fn is_over(room: &RoomPlan) -> bool {
    !room.stack.above_recorded && room.stack.above == Above::AnotherDwelling
}

fn is_under(room: &RoomPlan) -> bool {
    !room.stack.below_recorded && room.stack.below == Below::AnotherDwelling
}

/// Whether an answer says that nobody else lives there.
fn is_ours(answer: &AnswerValue) -> bool {
    answer.figure().is_some_and(|figure| figure > 0.0)
}

/// A side of the dwelling on which others may live.
struct PossibleNeighbours {
    subject: AnswerSubject,
    is_meant: fn(&RoomPlan) -> bool,
    change: fn(&mut Site, &AnswerValue),
}

const NEIGHBOURS: [PossibleNeighbours; 2] = [
    PossibleNeighbours {
        subject: AnswerSubject::Above,
        is_meant: is_over,
        change: |site, answer| {
            if is_ours(answer) {
                site.rooms.iter_mut().filter(|room| is_over(room)).for_each(|room| room.stack.above = Above::RoofVoid);
            }
        },
    },
    PossibleNeighbours {
        subject: AnswerSubject::Below,
        is_meant: is_under,
        change: |site, answer| {
            if is_ours(answer) {
                site.rooms.iter_mut().filter(|room| is_under(room)).for_each(|room| room.stack.below = Below::Ground);
            }
        },
    },
];

pub(super) fn stack(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    for PossibleNeighbours { subject, is_meant, change } in NEIGHBOURS {
        let rooms = asked.rooms(|room| room.is_inside() && is_meant(room));
        if !rooms.is_empty() {
            found.push(OpenQuestion {
                subject,
                places: super::rooms(rooms.iter().copied()),
                // Only the whole job priced again tells what it is worth.
                answers: asked.answers(subject, |_| Cost::ZERO),
                part: None,
                change: Some(Change::Site(change)),
            });
        }
    }
}
