//! A circuit with everything looked up: after this no check can fail to be worked out.

use super::enclosure::{self, Enclosed};
use super::loop_limit::{DisconnectionTime, LoopLimit};
use super::rating::{CableRating, RatingParts};
use super::request::{
    Arrangement, CircuitSupply, CircuitToCheck, ConductorTemperature, LoadSpread, ProtectiveDevice, Serves,
    UpstreamOfCircuit,
};
use super::rules;
use crate::faults::{Fault, FaultCode};
use crate::quantities::{Amps, Kiloamps, Kilowatts, Metres, Ohms, SquareMillimetres, Volts};
use crate::standards::{
    CableType, DeviceType, EnergyClass, LetThrough, MilliohmsPerMetre, MillivoltsPerAmpMetre, NotInTable,
    OvercurrentDevice, ProtectiveConductor, ReferenceMethod, Standards, SupplyEarthing, Surroundings, impedance_table,
};

/// A circuit, its supply and what the tables say of them.
pub(crate) struct Prepared<'a> {
    pub circuit: &'a CircuitToCheck,
    pub upstream: &'a UpstreamOfCircuit,
    pub voltage: Volts,
    pub earthing: SupplyEarthing,
    /// Loop impedance outside the installation.
    pub ze: Ohms,
    pub ring: bool,
    pub serves: Serves,
    pub ib: Amps,
    pub device: &'a OvercurrentDevice,
    /// Smallest residual operating current in front of the circuit, in milliamps.
    pub residual_ma: Option<f64>,
    pub length: Metres,
    pub line: SquareMillimetres,
    pub capacity: CableCapacity,
    /// Capacity that terminals for 70 degC allow a 90 degC cable.
    pub terminal_limited: Option<Amps>,
    pub drop: MillivoltsPerAmpMetre,
    pub drop_limit_percent: f64,
    pub loop_parts: LoopParts,
    pub k: f64,
    pub time: DisconnectionTime,
    pub loop_limit: LoopLimit,
    /// Fault level at the device; where it was not given, what the device can break.
    pub fault_level: Kiloamps,
    /// The energy that a breaker of its class may let through at that level.
    pub let_through: Option<LetThrough>,
    /// The cables of its conduit or trunking, where one was given.
    pub enclosed: Option<Enclosed>,
}

/// What a cable carries as it lies, with the conditions that its factors stand for.
#[derive(Clone, Copy)]
pub(crate) struct CableCapacity {
    pub rating: CableRating,
    pub surroundings: Surroundings,
    pub ambient_c: f64,
    pub grouped: u32,
    pub insulation_mm: f64,
}

/// The conductors that an earth fault current takes, and their resistance.
#[derive(Clone, Copy)]
pub(crate) struct LoopParts {
    pub line: MilliohmsPerMetre,
    pub line_multiplier: f64,
    pub protective: MilliohmsPerMetre,
    pub protective_multiplier: f64,
    pub kind: ProtectiveConductor,
    pub area: SquareMillimetres,
}

impl LoopParts {
    /// R1+R2 per metre at operating temperature.
    pub fn hot(&self) -> MilliohmsPerMetre {
        self.line.times(self.line_multiplier).in_line_with(self.protective.times(self.protective_multiplier))
    }
}

/// Looks everything up. `serves` is what stands at its end.
///
/// # Errors
/// Every fault, with pointers that begin at the circuit.
pub(crate) fn prepare<'a>(
    standards: &'a Standards,
    supply: &CircuitSupply,
    circuit: &'a CircuitToCheck,
    upstream: &'a UpstreamOfCircuit,
    serves: Serves,
) -> Result<Prepared<'a>, Vec<Fault>> {
    let tables = looked_up(standards, supply, circuit, serves)?;
    let enclosed = enclosure::looked_up(standards, circuit)?;
    let voltage = Volts::new(supply.voltage());
    let residual_ma = smallest(circuit.device.residual_ma, upstream.residual_ma);
    let (device, time) = (tables.device, tables.time);
    let loop_limit = LoopLimit::residual(supply.earthing, residual_ma)
        .or_else(|| LoopLimit::overcurrent(device, time, voltage))
        .ok_or_else(|| vec![no_loop_limit(&circuit.device, time)])?;
    let fault_level = upstream.fault_current_ka.unwrap_or_else(|| breaking_capacity_ka(&circuit.device));
    let fault_level = Kiloamps::new(fault_level);
    Ok(Prepared {
        circuit,
        upstream,
        voltage,
        earthing: supply.earthing,
        ze: Ohms::new(supply.ze()),
        ring: circuit.arrangement == Some(Arrangement::Ring),
        serves,
        ib: design_current(circuit, voltage),
        device,
        residual_ma,
        length: Metres::new(circuit.length_m),
        line: SquareMillimetres::new(circuit.cable.line_mm2),
        capacity: tables.capacity,
        terminal_limited: terminal_limited(standards, circuit),
        drop: tables.drop,
        drop_limit_percent: standards.drop_limit(circuit.circuit_use).value(),
        loop_parts: tables.loop_parts,
        k: tables.k,
        time,
        loop_limit,
        fault_level,
        let_through: circuit.device.curve.and_then(|curve| {
            let class = circuit.device.energy_class.unwrap_or(EnergyClass::Class3);
            standards.let_through(class, curve, device.rating, fault_level)
        }),
        enclosed,
    })
}

/// What the tables say of a circuit by itself.
struct Tables<'a> {
    device: &'a OvercurrentDevice,
    drop: MillivoltsPerAmpMetre,
    capacity: CableCapacity,
    loop_parts: LoopParts,
    time: DisconnectionTime,
    k: f64,
}

/// Goes on after a fault, so that all of them are found at once.
fn looked_up<'a>(
    standards: &'a Standards,
    supply: &CircuitSupply,
    circuit: &CircuitToCheck,
    serves: Serves,
) -> Result<Tables<'a>, Vec<Fault>> {
    let mut found = FaultsKept { faults: Vec::new() };
    rules::circuit(circuit, &mut found.faults);
    let sound = found.faults.is_empty();
    let cable = circuit.cable.cable_type;
    let line = SquareMillimetres::new(circuit.cable.line_mm2);
    let device = device(standards, circuit, &mut found);
    let drop = found.at("/cable/line_mm2", standards.voltage_drop(cable, line));
    let capacity = capacity(standards, circuit, drop.map(|_| line), &mut found);
    let loop_parts = drop.and_then(|_| loop_parts(standards, circuit, line, &mut found));
    let time = time(supply.earthing, circuit, serves, &mut found);
    let k = loop_parts.and_then(|parts| found.at("/cable/type", standards.adiabatic_k(parts.kind, cable)));
    match (device, drop, capacity, loop_parts, time, k) {
        (Some(device), Some(drop), Some(capacity), Some(loop_parts), Some(time), Some(k)) if sound => {
            Ok(Tables { device, drop, capacity, loop_parts, time, k })
        }
        _ => Err(found.faults),
    }
}

/// What the tables of impedance do not hold: a big fuse has no 0.4 s figure.
fn no_loop_limit(device: &ProtectiveDevice, time: DisconnectionTime) -> Fault {
    let detail = format!(
        "not in {}: no figure for {} of {} A at {} s. Give an RCD, another time or another device",
        impedance_table(device.device_type),
        device.device_type,
        device.rating_a,
        time.seconds()
    );
    Fault::new("/device/rating_a", FaultCode::NotInTable, detail)
}

/// Rated breaking capacity: as given, or what is usual for the kind (maker's catalogues, from memory).
pub(crate) fn breaking_capacity_ka(device: &ProtectiveDevice) -> f64 {
    device.breaking_capacity_ka.unwrap_or(match device.device_type {
        DeviceType::Breaker | DeviceType::Rcbo | DeviceType::FuseBs1362 => 6.0,
        DeviceType::FuseBs882 => 80.0,
        DeviceType::FuseBs883 | DeviceType::FuseBs1361 => 16.0,
        DeviceType::FuseBs3036 => 1.0,
    })
}

/// Keeps the faults of look-ups while going on with those that follow.
struct FaultsKept {
    faults: Vec<Fault>,
}

impl FaultsKept {
    fn at<T>(&mut self, pointer: &str, looked_up: Result<T, NotInTable>) -> Option<T> {
        // A value that is already refused for itself is not refused again for being in no table.
        looked_up
            .map_err(|missing| {
                if !self.faults.iter().any(|fault| fault.pointer == pointer) {
                    self.faults.push(missing.at(pointer));
                }
            })
            .ok()
    }
}

/// The device; none where kind and curve do not go together, which has been refused already.
fn device<'a>(
    standards: &'a Standards,
    circuit: &CircuitToCheck,
    found: &mut FaultsKept,
) -> Option<&'a OvercurrentDevice> {
    let device = &circuit.device;
    if device.device_type.is_breaker() != device.curve.is_some() {
        return None;
    }
    let rating = Amps::new(device.rating_a);
    found.at("/device/rating_a", standards.device(device.device_type, device.curve, rating))
}

fn smallest(one: Option<f64>, other: Option<f64>) -> Option<f64> {
    match (one, other) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (known, None) | (None, known) => known,
    }
}

fn design_current(circuit: &CircuitToCheck, voltage: Volts) -> Amps {
    match (circuit.load.current_a, circuit.load.load_kw) {
        (Some(current_a), _) => Amps::new(current_a),
        (None, load_kw) => Kilowatts::new(load_kw.unwrap_or_default()).current_at(voltage),
    }
}

/// The reference temperature of the tables: air 30, ground 20 degC (BS 7671 Appendix 4).
const AIR_C: f64 = 30.0;
const GROUND_C: f64 = 20.0;

fn capacity(
    standards: &Standards,
    circuit: &CircuitToCheck,
    // None where the size is refused already.
    line: Option<SquareMillimetres>,
    found: &mut FaultsKept,
) -> Option<CableCapacity> {
    let installation = &circuit.installation;
    let buried = installation.method == ReferenceMethod::D;
    let (surroundings, usual_c) = if buried { (Surroundings::Ground, GROUND_C) } else { (Surroundings::Air, AIR_C) };
    let asked = SquareMillimetres::new(circuit.cable.line_mm2);
    let parts = RatingParts::look_up(standards, circuit.cable.cable_type, asked, installation);
    let tabulated = line.and_then(|_| found.at("/installation/method", parts.tabulated));
    let ca = found.at("/installation/ambient_c", parts.ca);
    let cg = found.at("/installation/grouped_circuits", parts.cg);
    let cs = found.at("/installation/soil_k_m_per_w", parts.cs);
    let cd = found.at("/installation/depth_m", parts.cd);
    let (tabulated, ca, cg, ci) = (tabulated?, ca?, cg?, parts.ci);
    let buried = if parts.buried { Some((cs?, cd?)) } else { None };
    Some(CableCapacity {
        rating: CableRating { tabulated, ca, cg, ci, buried },
        surroundings,
        ambient_c: installation.ambient_c.unwrap_or(usual_c),
        grouped: installation.grouped_circuits.unwrap_or(1),
        insulation_mm: installation.insulation_mm.unwrap_or_default(),
    })
}

/// A 90 degC cable on terminals for 70 degC carries what the 70 degC cable of its size does (BS 7671 512.1.5).
fn terminal_limited(standards: &Standards, circuit: &CircuitToCheck) -> Option<Amps> {
    if circuit.cable.cable_type != CableType::Armoured90 {
        return None;
    }
    let line = SquareMillimetres::new(circuit.cable.line_mm2);
    standards.capacity(CableType::Armoured70, circuit.installation.method, line).ok()
}

fn loop_parts(
    standards: &Standards,
    circuit: &CircuitToCheck,
    line: SquareMillimetres,
    found: &mut FaultsKept,
) -> Option<LoopParts> {
    let cable = circuit.cable.cable_type;
    let copper = ProtectiveConductor::CopperCore;
    let line_resistance = found.at("/cable/line_mm2", standards.conductor_resistance(line))?;
    let line_multiplier = found.at("/cable/type", standards.temperature_multiplier(copper, cable))?;
    let core = match circuit.cable.cpc_mm2 {
        Some(cpc_mm2) => Some(SquareMillimetres::new(cpc_mm2)),
        None if cable == CableType::FlatTwinAndEarth70 => {
            Some(found.at("/cable/line_mm2", standards.flat_cable_cpc(line))?)
        }
        None => None,
    };
    let (protective, protective_multiplier, kind, area) = if let Some(core) = core {
        let resistance = found.at("/cable/cpc_mm2", standards.conductor_resistance(core))?;
        (resistance, line_multiplier, copper, core)
    } else if !cable.is_armoured() {
        // Refused already: single-core cables need theirs named.
        return None;
    } else {
        let steel = ProtectiveConductor::SteelArmour;
        let armour = found.at("/cable/line_mm2", standards.armour(line, circuit.cable.cores.unwrap_or(2)))?;
        let multiplier = found.at("/cable/type", standards.temperature_multiplier(steel, cable))?;
        (armour.resistance, multiplier, steel, armour.area)
    };
    Some(LoopParts { line: line_resistance, line_multiplier, protective, protective_multiplier, kind, area })
}

fn time(
    earthing: SupplyEarthing,
    circuit: &CircuitToCheck,
    serves: Serves,
    found: &mut FaultsKept,
) -> Option<DisconnectionTime> {
    let Some(asked) = circuit.disconnection_s else {
        return Some(DisconnectionTime::by_rule(earthing, serves));
    };
    let known = DisconnectionTime::ALL.into_iter().find(|time| (time.seconds() - asked).abs() < 1e-6);
    if known.is_none() {
        let detail =
            format!("not in BS 7671 Tables 41.1 to 41.4: they have 0.2, 0.4, 1 and 5 s, and {asked} s was asked");
        found.faults.push(Fault::new("/disconnection_s", FaultCode::NotInTable, detail));
    }
    known
}

impl Prepared<'_> {
    /// How far the load is spread; the rule of rings where nothing was said.
    pub fn spread(&self) -> Option<LoadSpread> {
        match (self.circuit.load.spread, self.ring) {
            (None, false) => Some(LoadSpread::AtEnd),
            (said, _) => said,
        }
    }

    /// Whether voltage drop is worked at the temperature that the load makes.
    pub fn drop_at_operating_temperature(&self) -> bool {
        self.circuit.voltage_drop_at == Some(ConductorTemperature::Operating)
    }

    /// R1+R2 of this circuit at operating temperature: of a ring a quarter of its loop.
    pub fn r1_r2(&self) -> Ohms {
        let end_to_end = self.loop_parts.hot().over(self.length);
        if self.ring { end_to_end * RING_SHARE } else { end_to_end }
    }

    /// Earth fault loop impedance at the far end.
    pub fn zs(&self) -> Ohms {
        Ohms::new(self.upstream.zs_ohm) + self.r1_r2()
    }

    /// Prospective fault current at the end, line to neutral, conductors cold. The supply is taken as wholly reactive
    /// and the cable as resistive, so that the figure is never too small.
    pub fn end_fault_current_ka(&self) -> Option<f64> {
        let start_ka = self.upstream.fault_current_ka?;
        let supply = self.voltage.value() / (start_ka * 1_000.0);
        let share = if self.ring { RING_SHARE } else { 1.0 };
        let cable = self.loop_parts.line.times(2.0).over(self.length).value() * share;
        Some(self.voltage.value() / supply.hypot(cable) / 1_000.0)
    }
}

/// Two halves of a ring side by side, each half as long: a quarter of what is measured end to end.
pub(crate) const RING_SHARE: f64 = 0.25;
