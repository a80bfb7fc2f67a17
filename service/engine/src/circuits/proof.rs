//! Every circuit held against the wiring rules, and a larger cable taken where the table's fails.

use super::lying::{self, Asked, Lying};
use super::{CircuitPlan, CircuitReason, FedFrom, LargerBecause, tails};
use crate::catalogue::{CableSize, Catalogue, CircuitType};
use crate::checks::{
    CheckName, CircuitCable, CircuitLoad, CircuitSupply, CircuitToCheck, JudgedCheck, JudgedCircuit, LoadSpread,
    ProtectiveDevice, Serves, UpstreamOfCircuit, Verdict, judge_circuit,
};
use crate::context::Context;
use crate::faults::Fault;
use crate::routes::Routing;
use crate::site::Site;
use crate::standards::{CircuitUse, DeviceType, ProtectiveConductor, Standards, SupplyEarthing};
use crate::survey::Earthing;

/// An electrode is taken to reach this before it is measured: more is not thought stable.
const ELECTRODE_OHM: f64 = super::earthing::ELECTRODE_OHM_MAX.value();
/// The smallest current that the checks take; a circuit of blanks draws nothing.
const LEAST_CURRENT_A: f64 = 0.1;

/// A circuit held against the wiring rules.
#[derive(Debug, Clone)]
pub struct Proof {
    /// What was found.
    pub judged: JudgedCircuit,
    /// The circuit that was judged, so that the working can be shown.
    pub circuit: CircuitToCheck,
    /// The supply that it was judged on.
    pub supply: CircuitSupply,
    /// What it finds at its board.
    pub upstream: UpstreamOfCircuit,
}

/// Checks every circuit, taking the next larger cable while one fails on it.
pub(super) fn prove(
    circuits: &mut [CircuitPlan],
    at_board: &UpstreamOfCircuit,
    ways: &Routing<'_>,
    context: Context<'_>,
) -> Vec<Option<Proof>> {
    let Context { catalogue, standards, .. } = context;
    let supply = supply(ways.site());
    let mut checked: Vec<Option<Proof>> = Vec::with_capacity(circuits.len());
    for circuit in circuits.iter_mut() {
        let (supply, upstream) = origin(circuit, &checked, &supply, at_board, ways.site());
        let judge = |given: &CircuitToCheck| judge_circuit(standards, &supply, given, &upstream);
        let outcome = smallest_that_passes(circuit, judge, catalogue, standards);
        circuit.governing = governing(circuit, circuit.cable, standards);
        checked.push(outcome.map(|(circuit, judged)| Proof { judged, circuit, supply, upstream }));
    }
    checked
}

/// Whether a circuit passes as it is, cable and device fixed.
pub(super) fn is_borne(circuit: &CircuitPlan, ways: &Routing<'_>, context: Context<'_>) -> bool {
    let Context { catalogue, standards, .. } = context;
    let supply = supply(ways.site());
    let at_board = tails::at_board(tails::run(ways).length, &supply, ways.site(), standards);
    let judge = |given: &CircuitToCheck| judge_circuit(standards, &supply, given, &at_board.upstream);
    // It gets its identifier once all circuits are known, and none is no circuit to the checks.
    let mut circuit = CircuitPlan { id: "joined".to_owned(), ..circuit.clone() };
    let judged = smallest_that_passes(&mut circuit, judge, catalogue, standards);
    judged.is_some_and(|(_, judged)| judged.verdict != Verdict::Fail)
}

fn smallest_that_passes(
    circuit: &mut CircuitPlan,
    judge: impl Fn(&CircuitToCheck) -> Result<JudgedCircuit, Vec<Fault>>,
    catalogue: &Catalogue,
    standards: &Standards,
) -> Option<(CircuitToCheck, JudgedCircuit)> {
    let first = circuit.cable;
    let mut last: Option<(CircuitToCheck, JudgedCircuit)> = None;
    let sizes: Vec<CableSize> = match circuit.fixed.cable {
        Some(cable) => vec![cable],
        None => catalogue.cables().from_size(first).collect(),
    };
    for cable in sizes {
        let given = given(circuit, cable, catalogue, standards);
        match judge(&given) {
            Ok(outcome) if outcome.verdict != Verdict::Fail => {
                if let Some((_, first_outcome)) = &last {
                    circuit.reasons.push(CircuitReason::Larger {
                        from_mm2: first.line_mm2(),
                        to_mm2: cable.line_mm2(),
                        why: LargerBecause::Fails(first_outcome.failing().map(|check| check.name).collect()),
                    });
                }
                circuit.cable = cable;
                return Some((given, outcome));
            }
            Ok(outcome) => {
                let again = |given: &CircuitToCheck| judge(given).ok();
                if let Some(held) = with_a_device_that_lets_through_less(circuit, &given, &outcome, standards, again) {
                    circuit.cable = cable;
                    return Some((given, held));
                }
                // The first outcome is the one to show where nothing passes: it says why the table's cable fails.
                last = last.or(Some((given, outcome)));
            }
            Err(faults) => {
                circuit.reasons.push(CircuitReason::NotChecked(faults));
                return last;
            }
        }
    }
    circuit.reasons.push(match circuit.fixed.cable {
        Some(_) => CircuitReason::GivenCableFails,
        None => CircuitReason::NoCablePasses,
    });
    last
}

/// Where the protective conductor alone fails, and only against the limit of the device's class, a device is asked for
/// whose maker states less: no larger cable is bought for what most devices never let through. The check is advised
/// until the maker's figure is held against it.
fn with_a_device_that_lets_through_less(
    circuit: &mut CircuitPlan,
    given: &CircuitToCheck,
    outcome: &JudgedCircuit,
    standards: &Standards,
    judge: impl Fn(&CircuitToCheck) -> Option<JudgedCircuit>,
) -> Option<JudgedCircuit> {
    let mut failed = outcome.failing();
    let (Some(&JudgedCheck { name, limit, .. }), None) = (failed.next(), failed.next()) else { return None };
    if name != CheckName::FaultWithstand || given.cable.cable_type.is_armoured() {
        return None;
    }
    let k = standards.adiabatic_k(ProtectiveConductor::CopperCore, given.cable.cable_type).ok()?;
    let most_a2s = (k * limit).powi(2).floor();
    let stated = ProtectiveDevice { let_through_a2s: Some(most_a2s), ..given.device.clone() };
    if judge(&CircuitToCheck { device: stated, ..given.clone() })?.verdict == Verdict::Fail {
        return None;
    }
    circuit.let_through_a2s_max = Some(most_a2s);
    circuit.reasons.push(CircuitReason::LowerLetThrough(most_a2s));
    Some(outcome.with_advice_on(CheckName::FaultWithstand))
}

pub(super) fn supply(site: &Site) -> CircuitSupply {
    CircuitSupply {
        voltage_v: Some(site.supply.voltage.value()),
        ze_ohm: Some(site.supply.ze.value()),
        fault_current_ka: site.supply.fault_current.map(|current| current.value()),
        surge_protection: Some(!site.surge_declined),
        ..CircuitSupply::of(match site.supply.earthing {
            Earthing::TnS => SupplyEarthing::TnS,
            Earthing::Tt => SupplyEarthing::Tt,
            Earthing::TnCS | Earthing::Unknown => SupplyEarthing::TnCS,
        })
    }
}

/// What a circuit finds at its board.
fn origin(
    circuit: &CircuitPlan,
    checked: &[Option<Proof>],
    supply: &CircuitSupply,
    at_board: &UpstreamOfCircuit,
    site: &Site,
) -> (CircuitSupply, UpstreamOfCircuit) {
    let at_origin = UpstreamOfCircuit::at_origin(supply);
    let feed = match circuit.fed_from {
        FedFrom::Board => return (supply.clone(), *at_board),
        FedFrom::Intake => return (supply.clone(), at_origin),
        FedFrom::Circuit(feed) => feed,
    };
    let upstream = checked.get(feed).and_then(Option::as_ref).map_or(at_origin, |proof| proof.judged.feeds());
    // The board that it leaves: that of its building, and of a feed that of the building which feeds it.
    let building = match circuit.kind {
        CircuitType::Distribution => circuit.outbuilding.and_then(|building| site.outbuildings[building].via),
        _ => circuit.outbuilding,
    };
    let Some(board) = building else { return (supply.clone(), upstream) };
    let Some(electrode) = super::earthing::earthed_at(board, site) else { return (supply.clone(), upstream) };
    let island = CircuitSupply { ze_ohm: Some(ELECTRODE_OHM), earthing: SupplyEarthing::Tt, ..supply.clone() };
    // Further on the impedance of the feed is added to that of the electrode.
    let zs_ohm = if electrode == board { ELECTRODE_OHM } else { upstream.zs_ohm };
    (island, UpstreamOfCircuit { zs_ohm, ..upstream })
}

/// The way of lying that governs a cable of the circuit.
fn governing(circuit: &CircuitPlan, cable: CableSize, standards: &Standards) -> Lying {
    let governs = lying::governing(&circuit.lies, &Asked::of(circuit), cable, standards);
    governs.or(circuit.lies.first()).copied().unwrap_or(circuit.governing)
}

fn given(circuit: &CircuitPlan, cable: CableSize, catalogue: &Catalogue, standards: &Standards) -> CircuitToCheck {
    let circuit_use = catalogue.circuit(circuit.kind).circuit_use;
    let lighting = circuit_use == CircuitUse::Lighting;
    let load = CircuitLoad {
        spread: lighting.then_some(LoadSpread::Even),
        ..CircuitLoad::amps(circuit.design_current.value().max(LEAST_CURRENT_A))
    };
    let length = if circuit.ring { circuit.run.metres } else { circuit.run.far_end };
    let lying = governing(circuit, cable, standards);
    let device_type = if circuit.device.combined { DeviceType::Rcbo } else { DeviceType::Breaker };
    let mut given = CircuitToCheck::radial(
        circuit.id.clone(),
        circuit_use,
        load,
        length.value().max(LEAST_CURRENT_A),
        lying.method,
    );
    given.installation = lying.conditions();
    given.arrangement =
        Some(if circuit.ring { crate::checks::Arrangement::Ring } else { crate::checks::Arrangement::Radial });
    given.device = ProtectiveDevice {
        residual_ma: circuit.device.residual_ma,
        ..ProtectiveDevice::breaker(device_type, circuit.device.curve, circuit.device.rating.value())
    };
    let cpc = if cable.is_armoured() { None } else { Some(cable.cpc_mm2()) };
    // Where the cores were not counted: two, which have the least armour.
    let cores = cable.is_armoured().then_some(circuit.cores().unwrap_or(2));
    given.cable = CircuitCable { cpc_mm2: cpc, cores, ..CircuitCable::of(cable.cable_type(), cable.line_mm2()) };
    given.serves = (circuit.kind == CircuitType::Distribution).then_some(Serves::Board);
    given
}
