//! The demand of the answer.

use super::{Demand, DemandOfPhase, LargeLoad, words};
use crate::circuits::HouseDemand;
use crate::site::Site;

/// The demand of the house, against its cut-out.
pub(crate) fn demand(house: &HouseDemand, site: &Site) -> Demand {
    let (working, ask_operator, by_kind, notes) = match &house.worked {
        Ok(answer) => (
            answer.working.clone(),
            answer.ask_operator.clone(),
            answer.by_kind.clone(),
            words::demand::notes(house, answer, site),
        ),
        Err(faults) => {
            let ask = vec![words::demand::ASK_A_DESIGNER.to_owned()];
            (words::demand::not_worked(faults), ask, Vec::new(), Vec::new())
        }
    };
    Demand {
        connected_a: house.connected,
        after_diversity_a: house.after_diversity,
        cut_out_a: house.cut_out,
        verdict: house.verdict,
        designed_a: Some(house.designed.current.rounded(2)),
        designed_because: words::demand::designed(house),
        measured_peak_a: house.designed.measured.map(|peak| peak.current),
        operator: Some(house.operator),
        operator_because: words::demand::operator(house),
        large_loads: house
            .large
            .iter()
            .map(|one| LargeLoad {
                kind: one.kind,
                room: one.room.map(|room| site.rooms[room].id.clone()),
                current_a: one.current.rounded(2),
            })
            .collect(),
        phases: house
            .phases
            .iter()
            .map(|one| DemandOfPhase {
                phase: one.phase,
                after_diversity_a: one.after_diversity.rounded(2),
                designed_a: one.designed.rounded(2),
                verdict: one.verdict,
            })
            .collect(),
        working,
        ask_operator,
        by_kind,
        notes,
    }
}
