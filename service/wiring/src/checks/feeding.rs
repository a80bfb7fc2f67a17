//! Which circuit hangs on which: feeders are checked before what they feed, and a loop is refused.

use std::collections::HashMap;

use super::request::{Arrangement, CircuitToCheck};
use crate::faults::{Fault, FaultCode, nearest};

/// The circuits in an order in which each comes after the one that feeds it.
pub(crate) struct Feeding {
    /// Indices of circuits, feeders first.
    pub order: Vec<usize>,
    /// For each circuit the index of its feeder.
    pub feeder: Vec<Option<usize>>,
    /// For each circuit whether another is fed from it.
    pub feeds: Vec<bool>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum FeedVisit {
    NotYet,
    OnTheWay,
    Done,
}

/// Works out the order. Each circuit is visited once, without recursion: linear in circuits.
///
/// # Errors
/// Identifiers used twice, feeders that do not exist or are rings, loops; pointers begin at the request.
pub(crate) fn feeding(circuits: &[CircuitToCheck]) -> Result<Feeding, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut by_id: HashMap<&str, usize> = HashMap::with_capacity(circuits.len());
    for (index, circuit) in circuits.iter().enumerate() {
        if let Some(first) = by_id.insert(circuit.id.as_str(), index) {
            let detail = format!("the id `{}` is used by circuits {first} and {index}; give each its own", circuit.id);
            faults.push(Fault::new(format!("/circuits/{index}/id"), FaultCode::DuplicateId, detail));
        }
    }
    let mut feeder = Vec::with_capacity(circuits.len());
    let mut feeds = vec![false; circuits.len()];
    for (index, circuit) in circuits.iter().enumerate() {
        let found = circuit.fed_from.as_ref().and_then(|id| match by_id.get(id.as_str()) {
            Some(&found) => Some(found),
            None => {
                faults.push(unknown_feeder(index, id, &by_id));
                None
            }
        });
        if let Some(found) = found {
            if let Some(fed) = feeds.get_mut(found) {
                *fed = true;
            }
            if circuits.get(found).is_some_and(|above| above.arrangement == Some(Arrangement::Ring)) {
                let detail = "a ring is a final circuit and feeds no other; name a radial, or leave `fed_from` out";
                faults.push(Fault::new(format!("/circuits/{index}/fed_from"), FaultCode::Contradiction, detail));
            }
        }
        feeder.push(found);
    }
    let order = order(circuits, &feeder, &mut faults);
    if faults.is_empty() { Ok(Feeding { order, feeder, feeds }) } else { Err(faults) }
}

fn order(circuits: &[CircuitToCheck], feeder: &[Option<usize>], faults: &mut Vec<Fault>) -> Vec<usize> {
    let mut visits = vec![FeedVisit::NotYet; circuits.len()];
    let mut order = Vec::with_capacity(circuits.len());
    let mut way = Vec::new();
    for start in 0..circuits.len() {
        let mut at = Some(start);
        while let Some(index) = at {
            match visits[index] {
                FeedVisit::Done => break,
                FeedVisit::OnTheWay => {
                    faults.push(feeding_loop(circuits, feeder, index));
                    break;
                }
                FeedVisit::NotYet => {
                    visits[index] = FeedVisit::OnTheWay;
                    way.push(index);
                    at = feeder[index];
                }
            }
        }
        while let Some(index) = way.pop() {
            visits[index] = FeedVisit::Done;
            order.push(index);
        }
    }
    order
}

fn feeding_loop(circuits: &[CircuitToCheck], feeder: &[Option<usize>], from: usize) -> Fault {
    /// Identifiers shown of a loop; a longer one is cut.
    const SHOWN: usize = 8;
    let mut named = vec![circuits[from].id.as_str()];
    let mut at = feeder[from];
    while let Some(index) = at {
        named.push(&circuits[index].id);
        if index == from || named.len() > SHOWN {
            break;
        }
        at = feeder[index];
    }
    let detail =
        format!("`fed_from` goes round in a loop: {}; one of them has to be fed from the origin", named.join(" from "));
    Fault::new(format!("/circuits/{from}/fed_from"), FaultCode::Contradiction, detail)
}

/// Names are suggested in requests of up to so many circuits.
const SUGGESTED_AMONG: usize = 200;

fn unknown_feeder(index: usize, id: &str, by_id: &HashMap<&str, usize>) -> Fault {
    let mut detail = format!("there is no circuit `{id}`");
    // Likeness is slow to work out, and a request may hold thousands of wrong names.
    let mut known: Vec<&str> =
        if by_id.len() <= SUGGESTED_AMONG { by_id.keys().copied().collect() } else { Vec::new() };
    known.sort_unstable();
    match nearest(id, known) {
        Some(meant) => detail.push_str(&format!("; did you mean `{meant}`?")),
        None => detail.push_str("; name one of this request, or leave `fed_from` out for the origin"),
    }
    Fault::new(format!("/circuits/{index}/fed_from"), FaultCode::UnknownReference, detail)
}
