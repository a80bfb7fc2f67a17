//! What the rules recommend, or leave to a person to look at.

use std::borrow::Cow;

use super::answer::{Advice, AdviceName};
use crate::checks::{CircuitSupply, Prepared, Serves, Verdict};
use crate::standards::{CircuitUse, SupplyEarthing};

/// Arc fault detection is recommended for socket circuits up to this rating (BS 7671 421.1.7, from memory).
const ARC_RATING_A_MAX: f64 = 32.0;
/// Above this an electrode may not be stable (BS 7671 Table 41.5 note, from memory).
const STABLE_ELECTRODE_OHM: f64 = 200.0;

fn advice(name: AdviceName, clause: &'static str, working: impl Into<Cow<'static, str>>) -> Advice {
    Advice { name, verdict: Verdict::Advise, clause: Cow::Borrowed(clause), working: working.into() }
}

/// For one circuit.
pub(super) fn of_circuit(prepared: &Prepared<'_>) -> Vec<Advice> {
    let mut found = Vec::new();
    let circuit = prepared.circuit;
    let sockets_likely = circuit.circuit_use == CircuitUse::Power
        && prepared.serves == Serves::Loads
        && prepared.device.rating.value() <= ARC_RATING_A_MAX;
    if sockets_likely && circuit.device.arc_detection != Some(true) {
        found.push(advice(
            AdviceName::ArcFaultDetection,
            "BS 7671 421.1.7",
            "An AFDD is recommended where the circuit feeds sockets up to 32 A. It is required in shared, care and student houses and in tall \
             blocks",
        ));
    }
    if circuit.installation.insulation_mm.is_some_and(|length| length > 0.0)
        && circuit.installation.method.allows_for_insulation()
    {
        found.push(advice(
            AdviceName::InsulationInMethod,
            "BS 7671 523.9",
            "The capacity of this method allows for insulation, so no factor was applied. A cable wholly surrounded for half a \
             metre or more is method 103",
        ));
    }
    if prepared.terminal_limited.is_some() {
        found.push(advice(
            AdviceName::TerminalTemperature,
            "BS 7671 512.1.5",
            "Judged as if the terminals were for 70 degC, as those of breakers are. The full capacity may be used only where both \
             ends bear 90 degC",
        ));
    }
    found
}

/// For the installation as a whole.
pub(super) fn of_installation(supply: &CircuitSupply) -> Vec<Advice> {
    let mut found = Vec::new();
    if supply.surge_protection != Some(true) {
        found.push(advice(
            AdviceName::SurgeProtection,
            "BS 7671 443.4.1",
            "Fit a surge protective device (SPD). Leave it out only where the rules allow and the owner has said so",
        ));
    }
    if supply.earthing == SupplyEarthing::Tt && supply.ze() > STABLE_ELECTRODE_OHM {
        found.push(advice(
            AdviceName::ElectrodeStability,
            "BS 7671 Table 41.5",
            format!("The earth rod has {} ohm. Above {STABLE_ELECTRODE_OHM} ohm it may not be stable", supply.ze()),
        ));
    }
    found
}
