//! What a scope asks of the rest of the survey, and what it cannot stand beside.

use crate::faults::{Fault, FaultCode};
use crate::survey::{BoardCondition, Scope, Survey};

pub(super) fn faults(survey: &Survey, faults: &mut Vec<Fault>) {
    circuits(survey, faults);
    let Some(scope) = survey.scope else { return };
    let board = survey.consumer_unit.as_ref().and_then(|unit| unit.existing.as_ref());
    let none_there = board.and_then(|board| board.condition) == Some(BoardCondition::None);
    if none_there && !matches!(scope, Scope::Rewire | Scope::PartialRewire) {
        let detail = format!(
            "`{scope}` keeps or changes a board, but `consumer_unit.existing.condition` says that there is none. Give the board \
             that is there, or `scope` `rewire`"
        );
        faults.push(Fault::new("/survey/scope", FaultCode::Contradiction, detail));
    }
    if scope == Scope::Rewire {
        stays_in_a_rewire(survey, faults);
    }
}

/// In a rewire nothing stays.
fn stays_in_a_rewire(survey: &Survey, faults: &mut Vec<Fault>) {
    for (index, room) in survey.rooms.iter().enumerate() {
        for (entry, _) in room.points.iter().enumerate().filter(|(_, point)| point.stays == Some(true)) {
            let detail =
                "it stays, but nothing stays in a `rewire`. Leave `stays` out, or give `scope` `partial-rewire`";
            let pointer = format!("/survey/rooms/{index}/points/{entry}/stays");
            faults.push(Fault::new(pointer, FaultCode::Contradiction, detail));
        }
    }
}

/// Only a circuit that is there can have been measured.
fn circuits(survey: &Survey, faults: &mut Vec<Fault>) {
    for (index, circuit) in survey.circuits.iter().enumerate() {
        if circuit.zs_ohm.is_some() && circuit.existing != Some(true) {
            let detail =
                "only a circuit that is there now can have been measured. Give `existing` true, or leave it out";
            faults.push(Fault::new(format!("/survey/circuits/{index}/zs_ohm"), FaultCode::Contradiction, detail));
        }
    }
}
