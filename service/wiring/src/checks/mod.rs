//! Circuits against the wiring rules: seven checks each, in figures and verdicts.
//!
//! In: a circuit as given, the supply, what it finds at its board, the tables. Out: every check with value, limit and
//! verdict. Nothing here writes a sentence: [`crate::working`] shows how a figure was come by. Nothing chooses or changes
//! a circuit. One phase only.
//!
//! How it is put together: `request` is what is asked; `rules` refuses what cannot be; `prepared` looks everything up;
//! then each check has its file and cannot fail, and gives beside its verdict what it was worked from; `judged` is what
//! comes out. `feeding` orders circuits that hang on each other.

mod additional_protection;
mod breaking_capacity;
mod disconnection;
mod enclosure;
mod fault_withstand;
mod feeding;
mod judged;
mod loop_limit;
mod names;
mod overload;
mod prepared;
mod rating;
mod request;
mod rules;
mod test_values;
mod voltage_drop;

pub use judged::{JudgedCheck, JudgedCircuit, JudgedEnclosure};
pub use names::{CheckName, CheckUnit, Verdict};
pub use rating::CableRating;
pub use request::{
    Arrangement, CircuitCable, CircuitCheckRequest, CircuitEnclosure, CircuitLoad, CircuitSupply, CircuitToCheck,
    ConductorTemperature, EnclosedCable, InstallationConditions, LoadSpread, ProtectiveDevice, Serves,
    UpstreamOfCircuit,
};
pub use test_values::{RingEnds, TestValues, test_values};

pub(crate) use additional_protection::overcurrent_a;
pub(crate) use breaking_capacity::DECLARED_KA;
pub(crate) use enclosure::Enclosed;
pub(crate) use fault_withstand::{AT_ONCE_S, Broken, FarFault, FaultWithstand, HALF_CYCLE_S, NearFault, RESIDUAL_S};
pub(crate) use feeding::{Feeding, feeding};
pub(crate) use judged::round_to_4;
pub(crate) use loop_limit::{LoopLimit, TOUCH_VOLTAGE_V};
pub(crate) use overload::{Overload, Protection, RING_CABLE_A, RingRule};
pub(crate) use prepared::{Prepared, breaking_capacity_ka, prepare};
pub(crate) use rules::{curve, energy_class, load, supply, upstream};
pub(crate) use voltage_drop::{COPPER_C, Correction, EffectiveLoad, RING_FAR_A, TABLE_AIR_C, VoltageDrop};

use crate::faults::Fault;
use crate::standards::Standards;

/// Judges one circuit: a fraction of a microsecond, and nothing put on the heap but for an enclosure. `upstream` is what
/// it finds at its board: [`UpstreamOfCircuit::at_origin`] or [`JudgedCircuit::feeds`].
///
/// # Errors
/// Every fault, with pointers that begin at the circuit, such as `/cable/line_mm2`.
///
/// ```
/// use wiring::checks::{
///     CheckName, CircuitCable, CircuitLoad, CircuitSupply, CircuitToCheck, ProtectiveDevice, UpstreamOfCircuit, Verdict,
///     judge_circuit,
/// };
/// use wiring::standards::{CableType, CircuitUse, DeviceType, ReferenceMethod, Standards, SupplyEarthing, TripCurve};
///
/// let standards = Standards::built_in();
/// let supply = CircuitSupply { ze_ohm: Some(0.35), fault_current_ka: Some(1.2), ..CircuitSupply::of(SupplyEarthing::TnCS) };
/// let shower = CircuitToCheck {
///     device: ProtectiveDevice { residual_ma: Some(30.0), ..ProtectiveDevice::breaker(DeviceType::Rcbo, TripCurve::B, 45.0) },
///     cable: CircuitCable::of(CableType::FlatTwinAndEarth70, 10.0),
///     ..CircuitToCheck::radial("shower", CircuitUse::Power, CircuitLoad::kilowatts(9.5), 18.0, ReferenceMethod::C)
/// };
/// let judged = judge_circuit(&standards, &supply, &shower, &UpstreamOfCircuit::at_origin(&supply)).expect("no faults");
/// assert_eq!(judged.verdict, Verdict::Pass);
/// assert_eq!(judged.check(CheckName::Disconnection).limit, 0.97);
/// ```
pub fn judge_circuit(
    standards: &Standards,
    supply: &CircuitSupply,
    circuit: &CircuitToCheck,
    upstream: &UpstreamOfCircuit,
) -> Result<JudgedCircuit, Vec<Fault>> {
    judge_serving(standards, supply, circuit, upstream, circuit.serves.unwrap_or(Serves::Loads))
}

/// Judges one circuit; `serves` is what stands at its end.
pub(crate) fn judge_serving(
    standards: &Standards,
    supply: &CircuitSupply,
    circuit: &CircuitToCheck,
    upstream: &UpstreamOfCircuit,
    serves: Serves,
) -> Result<JudgedCircuit, Vec<Fault>> {
    let prepared = prepare(standards, supply, circuit, upstream, serves)?;
    Ok(Checks::of(&prepared).judged(&prepared))
}

/// The seven checks of a circuit, each with what it was worked from.
pub(crate) struct Checks {
    pub design_current: JudgedCheck,
    pub overload: Overload,
    pub voltage_drop: VoltageDrop,
    pub disconnection: JudgedCheck,
    pub fault_withstand: FaultWithstand,
    pub additional_protection: JudgedCheck,
    pub breaking_capacity: JudgedCheck,
}

impl Checks {
    pub fn of(prepared: &Prepared<'_>) -> Self {
        Self {
            design_current: overload::design_current(prepared),
            overload: overload::overload(prepared),
            voltage_drop: voltage_drop::voltage_drop(prepared),
            disconnection: disconnection::disconnection(prepared),
            fault_withstand: fault_withstand::fault_withstand(prepared),
            additional_protection: additional_protection::additional_protection(prepared),
            breaking_capacity: breaking_capacity::breaking_capacity(prepared),
        }
    }

    pub fn judged(&self, prepared: &Prepared<'_>) -> JudgedCircuit {
        let checks = [
            self.design_current,
            self.overload.judged,
            self.voltage_drop.judged,
            self.disconnection,
            self.fault_withstand.judged,
            self.additional_protection,
            self.breaking_capacity,
        ];
        let enclosure = prepared.enclosed.as_ref().map(Enclosed::judged);
        let verdicts = checks.iter().map(|check| check.verdict).chain(enclosure.map(|check| check.verdict));
        JudgedCircuit {
            verdict: verdicts.max().unwrap_or(Verdict::Pass),
            checks,
            enclosure,
            ib_a: round_to_4(prepared.ib.value()),
            in_a: prepared.device.rating.value(),
            iz_a: round_to_4(prepared.capacity.rating.iz().value()),
            voltage_drop_v: round_to_4(self.voltage_drop.total.value()),
            zs_ohm: round_to_4(prepared.zs().value()),
            r1_r2_ohm: round_to_4(prepared.r1_r2().value()),
            fault_current_ka: prepared.upstream.fault_current_ka.map(round_to_4),
            end_fault_current_ka: prepared.end_fault_current_ka().map(round_to_4),
            residual_ma: prepared.residual_ma,
        }
    }
}
