//! One load: every size of a cable judged, and the smallest that passes.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::answer::{Check, CheckedCircuit};
use super::circuit::check_one;
use super::circuits::under;
use crate::checks::{
    self, Arrangement, CheckName, CircuitCable, CircuitLoad, CircuitSupply, CircuitToCheck, InstallationConditions,
    ProtectiveDevice, Serves, UpstreamOfCircuit, Verdict,
};
use crate::faults::{Fault, FaultCode};
use crate::limits::FAULTS_LISTED_MAX;
use crate::quantities::SquareMillimetres;
use crate::standards::{
    CableType, CircuitUse, DeviceType, EnergyClass, OvercurrentDevice, Ruleset, RulesetId, Standards, TripCurve,
    impedance_table,
};

/// A load for which a cable is wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "supply": { "voltage_v": 230, "earthing": "tn-c-s", "ze_ohm": 0.35, "fault_current_ka": 1.2 },
    "use": "power", "arrangement": "radial", "load": { "load_kw": 9.5 },
    "cable_type": "flat-twin-and-earth-70c", "length_m": 18, "installation": { "method": "100" },
    "device": { "type": "rcbo", "curve": "b" }
}))]
pub struct CableSizeRequest {
    /// The rules to judge by; those in force if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ruleset: Option<RulesetId>,
    /// The supply at the origin of the installation.
    pub supply: CircuitSupply,
    /// What it feeds; it sets the limit of voltage drop.
    #[serde(rename = "use")]
    pub circuit_use: CircuitUse,
    /// `radial` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arrangement: Option<Arrangement>,
    /// What it carries.
    pub load: CircuitLoad,
    /// The kind of cable.
    pub cable_type: CableType,
    /// Length of the cable, in metres; of a ring, the whole loop.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 18)]
    pub length_m: f64,
    /// How the cable lies.
    pub installation: InstallationConditions,
    /// What is to protect it; an RCBO of curve B and 30 mA if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub device: Option<DeviceWanted>,
    /// Longest time to disconnect an earth fault, in seconds; by the rules if left out.
    #[schema(minimum = 0.1, maximum = 5, example = 0.4)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub disconnection_s: Option<f64>,
    /// What stands at its end; `loads` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serves: Option<Serves>,
    /// What it finds at the board that it is fed from; the origin if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upstream: Option<UpstreamOfCircuit>,
}

/// A protective device of which the rating may still be open.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DeviceWanted {
    /// The kind.
    #[serde(rename = "type")]
    pub device_type: DeviceType,
    /// Trip curve of a breaker, B if left out; none for a fuse.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub curve: Option<TripCurve>,
    /// Rated current in amps; the smallest standard rating that bears the load if left out.
    #[schema(exclusive_minimum = 0, maximum = 400, example = 45)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<f64>,
    /// Residual operating current in milliamps; 30 for an RCBO if left out.
    #[schema(minimum = 5, maximum = 1000, example = 30)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub residual_ma: Option<f64>,
    /// Rated breaking capacity in kiloamps; what is usual for the kind if left out.
    #[schema(exclusive_minimum = 0, maximum = 150, example = 6)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub breaking_capacity_ka: Option<f64>,
    /// The class of energy that a breaker lets through, as marked on it; `class-3` if left out. Not for a fuse.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub energy_class: Option<EnergyClass>,
}

impl DeviceWanted {
    /// A device of which only the kind is wanted.
    #[must_use]
    pub const fn of(device_type: DeviceType) -> Self {
        Self {
            device_type,
            curve: None,
            rating_a: None,
            residual_ma: None,
            breaking_capacity_ka: None,
            energy_class: None,
        }
    }
}

/// Every size, judged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CableSizeAnswer {
    /// The rules that were judged by.
    pub ruleset: Ruleset,
    /// The smallest size of which no check fails; null where there is none.
    pub chosen: Option<ChosenSize>,
    /// Every size that is made, smallest first.
    pub sizes: Vec<JudgedSize>,
    /// Where no size passes: the one that came nearest, and by how much it misses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest_miss: Option<NearestMiss>,
}

/// The size that was chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ChosenSize {
    /// Cross-section of the line conductor, in mm2.
    #[schema(example = 10)]
    pub line_mm2: f64,
    /// Cross-section of the copper protective conductor, in mm2; null where the armour serves.
    #[schema(example = 4)]
    pub cpc_mm2: Option<f64>,
    /// The device that it was judged with.
    pub device: ProtectiveDevice,
}

/// One size, judged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JudgedSize {
    /// Cross-section of the line conductor, in mm2.
    pub line_mm2: f64,
    /// Cross-section of the copper protective conductor, in mm2; null where the armour serves.
    pub cpc_mm2: Option<f64>,
    /// The worst of its checks.
    pub verdict: Verdict,
    /// Seven checks.
    pub checks: Vec<Check>,
    /// Design current, in amps.
    pub ib_a: f64,
    /// Rating of the device, in amps.
    pub in_a: f64,
    /// Capacity of the cable as it lies, in amps.
    pub iz_a: f64,
    /// Voltage dropped from the origin to the end, in volts.
    pub voltage_drop_v: f64,
    /// Earth fault loop impedance at the end, in ohms.
    pub zs_ohm: f64,
    /// Resistance of line and protective conductor, in ohms.
    pub r1_r2_ohm: f64,
}

/// The size that came nearest to passing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct NearestMiss {
    /// Cross-section of the line conductor, in mm2.
    pub line_mm2: f64,
    /// The checks that it fails.
    pub fails: Vec<Check>,
    /// What could be done.
    #[schema(example = "voltage-drop is 1.31 times its limit: shorten the run, lessen the load, or feed it otherwise")]
    pub explanation: String,
}

/// Judges every size of a kind of cable for one load.
///
/// # Errors
/// Every fault at once, with pointers that begin at the request.
pub fn size_cable(standards: &Standards, request: &CableSizeRequest) -> Result<CableSizeAnswer, Vec<Fault>> {
    let mut found = Vec::new();
    checks::supply(&request.supply, &mut found);
    let mut faults = under("/supply", found);
    if let Some(upstream) = &request.upstream {
        let mut found = Vec::new();
        checks::upstream(upstream, &mut found);
        faults.extend(under("/upstream", found));
    }
    let device = device(standards, request).map_err(|found| faults.extend(found)).ok();
    let upstream = request.upstream.unwrap_or_else(|| UpstreamOfCircuit::at_origin(&request.supply));
    let mut checked = Vec::new();
    for line in standards.sizes(request.cable_type) {
        let circuit = circuit(standards, request, device.clone(), line);
        match check_one(standards, &request.supply, &circuit, &upstream) {
            Ok(judged) => checked.push((circuit, judged)),
            Err(found) => faults.extend(found),
        }
    }
    if !faults.is_empty() {
        // Each size meets the same faults: say each once.
        faults.sort();
        faults.dedup();
        faults.truncate(FAULTS_LISTED_MAX);
        return Err(faults);
    }
    Ok(answer(standards, request, checked))
}

fn answer(
    standards: &Standards,
    request: &CableSizeRequest,
    checked: Vec<(CircuitToCheck, CheckedCircuit)>,
) -> CableSizeAnswer {
    let passes = checked.iter().find(|(_, judged)| judged.verdict != Verdict::Fail);
    let chosen = passes.map(|(circuit, _)| ChosenSize {
        line_mm2: circuit.cable.line_mm2,
        cpc_mm2: circuit.cable.cpc_mm2,
        device: circuit.device.clone(),
    });
    let nearest_miss = if chosen.is_none() { nearest_miss(&checked) } else { None };
    let sizes = checked
        .into_iter()
        .map(|(circuit, judged)| JudgedSize {
            line_mm2: circuit.cable.line_mm2,
            cpc_mm2: circuit.cable.cpc_mm2,
            verdict: judged.verdict,
            checks: judged.checks,
            ib_a: judged.ib_a,
            in_a: judged.in_a,
            iz_a: judged.iz_a,
            voltage_drop_v: judged.voltage_drop_v,
            zs_ohm: judged.zs_ohm,
            r1_r2_ohm: judged.r1_r2_ohm,
        })
        .collect();
    CableSizeAnswer {
        ruleset: standards.ruleset(request.ruleset.unwrap_or(RulesetId::IN_FORCE)).clone(),
        chosen,
        sizes,
        nearest_miss,
    }
}

/// How far over its limit a check is: 1 at the limit.
fn excess(check: &Check) -> f64 {
    check.value / check.limit.max(f64::MIN_POSITIVE)
}

fn failing(judged: &CheckedCircuit) -> impl Iterator<Item = &Check> {
    judged.checks.iter().filter(|check| check.verdict == Verdict::Fail)
}

/// The size whose worst failure is the smallest; of equals the smaller size.
fn nearest_miss(checked: &[(CircuitToCheck, CheckedCircuit)]) -> Option<NearestMiss> {
    let worst = |judged: &CheckedCircuit| failing(judged).map(excess).fold(0.0, f64::max);
    let (circuit, judged) = checked.iter().min_by(|(_, a), (_, b)| worst(a).total_cmp(&worst(b)))?;
    let fails: Vec<Check> = failing(judged).cloned().collect();
    let explanation = fails.iter().map(explanation).collect::<Vec<String>>().join("; ");
    Some(NearestMiss { line_mm2: circuit.cable.line_mm2, fails, explanation })
}

fn explanation(check: &Check) -> String {
    let remedy = match check.name {
        CheckName::DesignCurrent => "choose a device with a higher rating, or lessen the load",
        CheckName::Overload => "lay the cable where it is cooler, out of insulation or alone, or lessen the load",
        CheckName::VoltageDrop => "shorten the run, lessen the load, or feed it otherwise",
        CheckName::Disconnection => "shorten the run, or take a device that trips at less",
        CheckName::FaultWithstand => "take a larger protective conductor, or a device that lets through less",
        CheckName::AdditionalProtection => "add an RCD of 30 mA",
        CheckName::BreakingCapacity => "take a device with a higher breaking capacity",
    };
    format!("{} is {:.2} times its limit: {remedy}", check.name, excess(check))
}

/// Residual operating current of an RCBO where none was asked for, in milliamps (BS 7671 415.1.1).
const RESIDUAL_MA: f64 = 30.0;
/// The ratings for which the rule of rings is made, in amps (BS 7671 433.1.204, from memory).
const RING_RATINGS_A: [f64; 2] = [30.0, 32.0];

/// The device as asked for, its rating chosen from the standard ones where it is open.
fn device(standards: &Standards, request: &CableSizeRequest) -> Result<ProtectiveDevice, Vec<Fault>> {
    let wanted = request.device.unwrap_or(DeviceWanted::of(DeviceType::Rcbo));
    let mut faults = Vec::new();
    checks::load(&request.load, &mut faults);
    let curve = wanted.curve.or(wanted.device_type.is_breaker().then_some(TripCurve::B));
    checks::curve(wanted.device_type, curve.is_some(), &mut faults);
    checks::energy_class(wanted.device_type, wanted.energy_class.is_some(), &mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }
    let rating_a = match wanted.rating_a {
        Some(rating_a) => rating_a,
        None => chosen_rating(standards, request, wanted.device_type, curve).map_err(|fault| vec![fault])?,
    };
    let residual_ma = wanted.residual_ma.or((wanted.device_type == DeviceType::Rcbo).then_some(RESIDUAL_MA));
    Ok(ProtectiveDevice {
        device_type: wanted.device_type,
        curve,
        rating_a,
        residual_ma,
        breaking_capacity_ka: wanted.breaking_capacity_ka,
        let_through_a2s: None,
        energy_class: wanted.energy_class,
        arc_detection: None,
    })
}

fn chosen_rating(
    standards: &Standards,
    request: &CableSizeRequest,
    device: DeviceType,
    curve: Option<TripCurve>,
) -> Result<f64, Fault> {
    let load = &request.load;
    let ib = load.current_a.unwrap_or(load.load_kw.unwrap_or_default() * 1_000.0 / request.supply.voltage());
    let ring = request.arrangement == Some(Arrangement::Ring);
    let bears = |row: &&OvercurrentDevice| row.rating.value() >= ib;
    let ratings = standards.ratings(device, curve);
    let made_for_rings = ratings
        .iter()
        .filter(bears)
        .find(|row| ring && RING_RATINGS_A.iter().any(|rating| (row.rating.value() - rating).abs() < 1e-6));
    made_for_rings.or_else(|| ratings.iter().find(bears)).map(|row| row.rating.value()).ok_or_else(|| {
        let largest = ratings.last().map_or(0.0, |row| row.rating.value());
        let table = impedance_table(device);
        let detail = format!("not in {table}: the load draws {ib:.1} A and the largest {device} is {largest} A");
        Fault::new("/load", FaultCode::NotInTable, detail)
    })
}

/// The protective conductor of BS 7671 Table 54.7 where it is laid beside the line: as large up to 16 mm2, then 16.
fn separate_cpc(line: SquareMillimetres) -> f64 {
    const SAME_UP_TO_MM2: f64 = 16.0;
    line.value().min(SAME_UP_TO_MM2)
}

fn circuit(
    standards: &Standards,
    request: &CableSizeRequest,
    device: Option<ProtectiveDevice>,
    line: SquareMillimetres,
) -> CircuitToCheck {
    let cpc_mm2 = match request.cable_type {
        CableType::FlatTwinAndEarth70 => standards.flat_cable_cpc(line).ok().map(SquareMillimetres::value),
        CableType::SingleCore70 => Some(separate_cpc(line)),
        CableType::Armoured70 | CableType::Armoured90 => None,
    };
    // Where the device is at fault, a usual one stands in so that the other faults are found too.
    let usual = ProtectiveDevice {
        residual_ma: Some(RESIDUAL_MA),
        ..ProtectiveDevice::breaker(DeviceType::Rcbo, TripCurve::B, 32.0)
    };
    CircuitToCheck {
        id: "size".to_owned(),
        name: None,
        circuit_use: request.circuit_use,
        arrangement: request.arrangement,
        load: request.load,
        device: device.unwrap_or(usual),
        cable: CircuitCable { cable_type: request.cable_type, line_mm2: line.value(), cpc_mm2, cores: None },
        length_m: request.length_m,
        installation: request.installation,
        enclosure: None,
        disconnection_s: request.disconnection_s,
        serves: request.serves,
        voltage_drop_at: None,
        fed_from: None,
    }
}
