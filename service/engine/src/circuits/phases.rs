//! Three phases: each circuit on one of them, so that none carries much more than the others.

use wiring::closed_list;

use super::{CircuitIndex, CircuitPlan, FedFrom};
use crate::site::Site;

closed_list! {
    /// A phase of the supply, or all three.
    Phase {
        L1 = "l1": "The first phase.",
        L2 = "l2": "The second phase.",
        L3 = "l3": "The third phase.",
        All = "l1-l2-l3": "All three: a load that takes three phases.",
    }
}

/// The phases themselves.
pub const PHASES: [Phase; 3] = [Phase::L1, Phase::L2, Phase::L3];

impl Phase {
    /// Whether a circuit on `self` loads `phase`.
    #[must_use]
    pub fn loads(self, phase: Self) -> bool {
        self == phase || self == Self::All
    }
}

/// Puts each circuit of the house's board and intake on a phase: the largest first, each on the phase that carries least.
/// Circuits behind a feed are on the feed's. By design current; common practice, no source.
pub(super) fn share(circuits: &mut [CircuitPlan], site: &Site) {
    if site.supply.phases < 3 {
        return;
    }
    let mut carried = [0.0_f64; 3];
    let mut order: Vec<CircuitIndex> = (0..circuits.len())
        .filter(|index| matches!(circuits[*index].fed_from, FedFrom::Board | FedFrom::Intake))
        .collect();
    order.sort_by(|a, b| {
        let current = |index: &CircuitIndex| circuits[*index].design_current.value();
        let three = |index: &CircuitIndex| takes_three_phases(&circuits[*index]);
        three(b).cmp(&three(a)).then(current(b).total_cmp(&current(a))).then(a.cmp(b))
    });
    for index in order {
        let current = circuits[index].design_current.value();
        let phase = if takes_three_phases(&circuits[index]) {
            carried.iter_mut().for_each(|sum| *sum += current);
            Phase::All
        } else {
            let lightest = (0..3).min_by(|a, b| carried[*a].total_cmp(&carried[*b])).unwrap_or(0);
            carried[lightest] += current;
            PHASES[lightest]
        };
        circuits[index].phase = Some(phase);
    }
    // A feed comes before what hangs on it.
    for index in 0..circuits.len() {
        if let FedFrom::Circuit(feed) = circuits[index].fed_from {
            circuits[index].phase = circuits[feed].phase;
        }
    }
}

/// Whether all that a circuit feeds takes three phases.
#[must_use]
pub fn takes_three_phases(circuit: &CircuitPlan) -> bool {
    !circuit.appliances.is_empty() && circuit.appliances.iter().all(|one| one.phases == 3)
}
