//! Every circuit held against the wiring rules, and a larger cable taken where the table's fails.

use super::{CircuitPlan, CircuitReason, FedFrom};
use crate::catalogue::{CableSize, Catalogue, CircuitType};
use crate::checks::{
    CheckName, CircuitCable, CircuitLoad, CircuitSupply, CircuitToCheck, JudgedCheck, JudgedCircuit, LoadSpread,
    ProtectiveDevice, Serves, UpstreamOfCircuit, Verdict, judge_circuit,
};
use crate::context::Context;
use crate::faults::Fault;
use crate::routes::{Routing, Run};
use crate::site::Site;
use crate::standards::{CircuitUse, DeviceType, ProtectiveConductor, ReferenceMethod, Standards, SupplyEarthing};
use crate::survey::{Earthing, Medium};

/// Insulation up to this depth over a ceiling is method 100, more is method 101. Source: BS 7671 Table 4D5 column
/// definitions, seen.
const METHOD_100_UP_TO_MM: f64 = 100.0;
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
        if is_kept_clear(circuit) && crosses_insulation(circuit, ways.site()) {
            circuit.reasons.push(CircuitReason::ClearOfInsulation);
        }
        let (supply, upstream) = origin(circuit, &checked, &supply, at_board, ways.site());
        let judge = |given: &CircuitToCheck| judge_circuit(standards, &supply, given, &upstream);
        let outcome = smallest_that_passes(circuit, judge, ways, catalogue, standards);
        checked.push(outcome.map(|(circuit, judged)| Proof { judged, circuit, supply, upstream }));
    }
    checked
}

fn crosses_insulation(circuit: &CircuitPlan, site: &Site) -> bool {
    circuit.run.segments.iter().any(|segment| {
        matches!(segment.medium, Medium::Loft | Medium::CeilingVoid)
            && segment.room.is_some_and(|room| site.rooms[room].insulation_mm > 0.0)
    })
}

fn smallest_that_passes(
    circuit: &mut CircuitPlan,
    judge: impl Fn(&CircuitToCheck) -> Result<JudgedCircuit, Vec<Fault>>,
    ways: &Routing<'_>,
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
        let given = given(circuit, cable, ways, catalogue);
        match judge(&given) {
            Ok(outcome) if outcome.verdict != Verdict::Fail => {
                if let Some((_, first_outcome)) = &last {
                    circuit.reasons.push(CircuitReason::LargerCable {
                        from_mm2: first.line_mm2(),
                        to_mm2: cable.line_mm2(),
                        fails: first_outcome.failing().map(|check| check.name).collect(),
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
        surge_protection: Some(true),
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

fn given(circuit: &CircuitPlan, cable: CableSize, ways: &Routing<'_>, catalogue: &Catalogue) -> CircuitToCheck {
    let site = ways.site();
    let circuit_use = catalogue.circuit(circuit.kind).circuit_use;
    let lighting = circuit_use == CircuitUse::Lighting;
    let load = CircuitLoad {
        spread: lighting.then_some(LoadSpread::Even),
        ..CircuitLoad::amps(circuit.design_current.value().max(LEAST_CURRENT_A))
    };
    let length = if circuit.ring { circuit.run.metres } else { circuit.run.far_end };
    let method = method(circuit, cable, site);
    let device_type = if circuit.device.combined { DeviceType::Rcbo } else { DeviceType::Breaker };
    let mut given =
        CircuitToCheck::radial(circuit.id.clone(), circuit_use, load, length.value().max(LEAST_CURRENT_A), method);
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

/// The most onerous way in which a circuit's cable lies on its run.
#[must_use]
pub fn reference_method(circuit: &CircuitPlan, site: &Site) -> ReferenceMethod {
    method(circuit, circuit.cable, site)
}

/// Heavy single loads are clipped clear of insulation over their whole length, never buried in it. Source: domain
/// practice for shower and charge-point cables, from memory.
fn is_kept_clear(circuit: &CircuitPlan) -> bool {
    const HEAVY_A: f64 = 32.0;
    !matches!(circuit.kind, CircuitType::RingSockets | CircuitType::RadialSockets)
        && circuit.device.rating.value() >= HEAVY_A
}

fn method(circuit: &CircuitPlan, cable: CableSize, site: &Site) -> ReferenceMethod {
    if let Some(given) = circuit.fixed.method {
        return given;
    }
    if cable.is_armoured() {
        let buried = circuit.run.segments.iter().any(|segment| segment.medium == Medium::Trench)
            || super::feeds::is_kept(circuit);
        return if buried { ReferenceMethod::D } else { ReferenceMethod::C };
    }
    let along = method_along(&circuit.run, site);
    // Kept clear of insulation, and yet not out of trunking.
    let enclosed = || circuit.run.segments.iter().any(|segment| is_enclosed(segment.medium));
    match along {
        ReferenceMethod::C | ReferenceMethod::B => along,
        _ if !is_kept_clear(circuit) => along,
        _ if enclosed() => ReferenceMethod::B,
        _ => ReferenceMethod::C,
    }
}

/// Whether a cable lies in trunking, conduit or a duct on or in a wall.
const fn is_enclosed(medium: Medium) -> bool {
    matches!(medium, Medium::MiniTrunking | Medium::SkirtingTrunking | Medium::SurfaceConduit | Medium::DuctOrRiser)
}

/// The most onerous way in which flat cable lies on a run.
pub(super) fn method_along(run: &Run, site: &Site) -> ReferenceMethod {
    let mut worst = ReferenceMethod::C;
    for segment in &run.segments {
        let insulation = segment.room.map_or(0.0, |room| site.rooms[room].insulation_mm);
        match segment.medium {
            Medium::Loft | Medium::CeilingVoid if insulation > METHOD_100_UP_TO_MM => return ReferenceMethod::M101,
            Medium::Loft | Medium::CeilingVoid if insulation > 0.0 => worst = ReferenceMethod::M100,
            // A stud wall takes at least as much from every size as trunking does.
            Medium::StudCavity if matches!(worst, ReferenceMethod::C | ReferenceMethod::B) => {
                worst = ReferenceMethod::M102;
            }
            medium if is_enclosed(medium) && worst == ReferenceMethod::C => worst = ReferenceMethod::B,
            _ => {}
        }
    }
    worst
}
