//! What circuits are called: by their way on their board, as a schedule of circuits has it. `C1` to `C3` would read as the
//! codes of an inspection report.

use std::collections::{BTreeMap, BTreeSet};

use super::{CircuitIndex, CircuitPlan, FedFrom};
use crate::site::Site;

/// Before the name of a way that was given to another circuit.
const OF_THE_HOUSE: &str = "house-";

/// The circuits of a board in the order of its ways: those behind one residual current device side by side, as its bar asks.
#[must_use]
pub fn in_order_of_ways(
    circuits: &[CircuitPlan],
    sections: &BTreeMap<CircuitIndex, u8>,
    fed_from: FedFrom,
) -> Vec<CircuitIndex> {
    let mut on_board: Vec<CircuitIndex> = circuits
        .iter()
        .enumerate()
        .filter(|(_, circuit)| circuit.fed_from == fed_from)
        .map(|(index, _)| index)
        .collect();
    on_board.sort_by_key(|index| sections.get(index));
    on_board
}

/// Names every circuit that has no name yet. Those of the house's board are numbers; those of another board have its place
/// before the number. A name that was given is never given twice.
pub(super) fn by_way(circuits: &mut [CircuitPlan], sections: &BTreeMap<CircuitIndex, u8>, site: &Site) {
    let mut taken: BTreeSet<String> =
        circuits.iter().filter(|circuit| !circuit.id.is_empty()).map(|circuit| circuit.id.clone()).collect();
    let boards: BTreeSet<FedFrom> = circuits.iter().map(|circuit| circuit.fed_from).collect();
    for fed_from in boards {
        let before = prefix(fed_from, circuits, site);
        for (index, way) in in_order_of_ways(circuits, sections, fed_from).into_iter().zip(1_u32..) {
            if circuits[index].id.is_empty() {
                let mut name = format!("{before}{way}");
                while !taken.insert(name.clone()) {
                    name.insert_str(0, OF_THE_HOUSE);
                }
                circuits[index].id = name;
            }
        }
    }
}

fn prefix(fed_from: FedFrom, circuits: &[CircuitPlan], site: &Site) -> String {
    match fed_from {
        FedFrom::Board => String::new(),
        FedFrom::Intake => "intake-".to_owned(),
        FedFrom::Circuit(feed) => {
            let building = circuits[feed].outbuilding.map(|building| site.outbuildings[building].room);
            building.map_or_else(|| "board-".to_owned(), |room| format!("{}-", site.rooms[room].id))
        }
    }
}
