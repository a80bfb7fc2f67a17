//! What circuits are told apart by on the plan.

use std::collections::BTreeMap;

use engine::estimate::Estimate;

use super::super::svg::Stroke;

/// What each circuit is drawn with: a colour, and strokes and gaps, so that it is told apart without colour too.
pub(super) struct Pens<'a>(BTreeMap<&'a str, Stroke>);

/// Dark enough on white paper, and apart for most who see colours unlike others.
const COLOURS: [&str; 8] = ["#0b5394", "#b45309", "#1b7a3d", "#a61c00", "#674ea7", "#00707a", "#8a1c5c", "#5b5b00"];
const DASHES: [&str; 5] = ["", "3 1", "1 0.8", "4 0.8 0.8 0.8", "3 0.7 0.6 0.7 0.6 0.7"];
/// What no circuit owns: bonds, tails, signal wiring.
pub(super) const OTHER: Stroke = Stroke { colour: "#555555", width: 0.3, dash: "0.5 0.9" };

impl<'a> Pens<'a> {
    pub(super) fn of(estimate: &'a Estimate) -> Self {
        let pen = |place: usize| Stroke {
            colour: COLOURS[place % COLOURS.len()],
            width: 0.45,
            dash: DASHES[place % DASHES.len()],
        };
        Self(estimate.circuits.iter().enumerate().map(|(place, one)| (one.id.as_str(), pen(place))).collect())
    }

    pub(super) fn of_circuit(&self, circuit: Option<&str>) -> Stroke {
        circuit.and_then(|id| self.0.get(id)).copied().unwrap_or(OTHER)
    }
}
