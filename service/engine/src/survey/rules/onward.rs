//! An outbuilding that is fed onward from another one: there must be another one, with a board, and no circle.

use crate::faults::{Fault, FaultCode};
use crate::survey::{Outbuilding, Survey};

/// Every breach of what was said of feeds from outbuilding to outbuilding.
pub(super) fn faults(survey: &Survey, faults: &mut Vec<Fault>) {
    for (index, building) in survey.outbuildings.iter().enumerate() {
        let pointer = format!("/survey/outbuildings/{index}");
        if let Some(from) = &building.onward_from {
            other(survey, building, from, &format!("{pointer}/onward_from"), faults);
        }
        if building.fed_onward == Some(true) {
            fed_onward(survey, building, &pointer, faults);
        }
    }
}

fn other(survey: &Survey, building: &Outbuilding, from: &str, pointer: &str, faults: &mut Vec<Fault>) {
    if from == building.id {
        let detail = "an outbuilding is not fed from itself; name another one, or leave it out";
        faults.push(Fault::new(pointer, FaultCode::Contradiction, detail));
    } else if !survey.outbuildings.iter().any(|other| other.id == from) {
        let ids = survey.outbuildings.iter().map(|other| other.id.as_str());
        faults.push(super::unknown_reference(pointer.to_owned(), "outbuilding", from, ids));
    }
}

/// What is to be fed onward needs a board to be fed from, a way, and no circle.
fn fed_onward(survey: &Survey, building: &Outbuilding, pointer: &str, faults: &mut Vec<Fault>) {
    let Some(parent) = parent(survey, building) else {
        if building.onward_from.is_none() {
            let detail = "it is to be fed onward, and nothing says from where; name the outbuilding";
            faults.push(Fault::new(format!("{pointer}/onward_from"), FaultCode::MissingField, detail));
        }
        return;
    };
    if parent.points.is_empty() && parent.appliances.is_empty() {
        let detail =
            format!("nothing is wanted in `{}`, so it has no board to feed from; record its points", parent.id);
        faults.push(Fault::new(format!("{pointer}/fed_onward"), FaultCode::Contradiction, detail));
    }
    let drawn = |building: &Outbuilding| building.outline.is_some() || !building.corners.is_empty();
    if building.onward_m.is_none() && !(drawn(building) && drawn(parent)) {
        let detail = format!("the way from `{}` is not drawn; give its length in metres", parent.id);
        faults.push(Fault::new(format!("{pointer}/onward_m"), FaultCode::MissingField, detail));
    }
    // Each step goes to another building, so that more steps than buildings are a circle.
    let mut here = parent;
    for _ in &survey.outbuildings {
        let next = (here.fed_onward == Some(true)).then(|| self::parent(survey, here)).flatten();
        match next {
            Some(next) if next.id == building.id => {
                let detail =
                    format!("`{}` and `{}` are fed from each other; feed one from the house", building.id, here.id);
                faults.push(Fault::new(format!("{pointer}/fed_onward"), FaultCode::Contradiction, detail));
                return;
            }
            Some(next) => here = next,
            None => return,
        }
    }
}

/// The outbuilding that is named to feed from, or the only other one.
fn parent<'a>(survey: &'a Survey, building: &Outbuilding) -> Option<&'a Outbuilding> {
    let mut others = survey.outbuildings.iter().filter(|other| other.id != building.id);
    match &building.onward_from {
        Some(from) => others.find(|other| other.id == *from),
        None => others.next().filter(|_| others.next().is_none()),
    }
}
