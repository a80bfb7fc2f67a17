//! What is asked: circuits as given, and the supply that they hang on. Flat on the wire, nothing filled in.

use crate::closed_list;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::standards::{
    Burial, CableGrouping, CableType, CircuitUse, DeviceType, EnclosureType, EnergyClass, ReferenceMethod, RulesetId,
    SupplyEarthing, TripCurve,
};

/// Circuits to be checked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "supply": { "voltage_v": 230, "earthing": "tn-c-s", "ze_ohm": 0.35, "fault_current_ka": 1.2 },
    "circuits": [{
        "id": "C1", "name": "Shower", "use": "power", "arrangement": "radial", "load": { "load_kw": 9.5 },
        "device": { "type": "rcbo", "curve": "b", "rating_a": 45, "residual_ma": 30, "breaking_capacity_ka": 6 },
        "cable": { "type": "flat-twin-and-earth-70c", "line_mm2": 10, "cpc_mm2": 4 }, "length_m": 18,
        "installation": { "method": "c", "ambient_c": 30, "grouped_circuits": 1, "insulation_mm": 0 },
        "disconnection_s": 0.4
    }]
}))]
pub struct CircuitCheckRequest {
    /// The rules to judge by; those in force if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ruleset: Option<RulesetId>,
    /// The supply at the origin of the installation.
    pub supply: CircuitSupply,
    /// The circuits, in any order.
    #[schema(min_items = 1, max_items = 20000)]
    pub circuits: Vec<CircuitToCheck>,
}

/// The single-phase supply at the origin of the installation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CircuitSupply {
    /// Nominal voltage to earth, in volts; 230 if left out.
    #[schema(minimum = 100, maximum = 400, example = 230)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub voltage_v: Option<f64>,
    /// How it is earthed.
    pub earthing: SupplyEarthing,
    /// Earth fault loop impedance outside the installation, in ohms; with an own electrode, the electrode included.
    /// The highest usual figure of the kind of earthing if left out.
    #[schema(minimum = 0, maximum = 2000, example = 0.35)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ze_ohm: Option<f64>,
    /// Prospective fault current at the origin, in kiloamps, the greater of line to neutral and line to earth.
    /// Left out: unknown, and what rests on it is advised, not failed.
    #[schema(exclusive_minimum = 0, maximum = 50, example = 1.2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fault_current_ka: Option<f64>,
    /// Residual operating current of a device at the origin that protects every circuit, in milliamps.
    #[schema(minimum = 5, maximum = 1000, example = 100)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub residual_ma: Option<f64>,
    /// Whether a surge protective device is fitted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surge_protection: Option<bool>,
}

/// One circuit as given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CircuitToCheck {
    /// Its identifier.
    #[schema(min_length = 1, max_length = 64, example = "C1")]
    pub id: String,
    /// Its name on paper.
    #[schema(max_length = 500, example = "Shower")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What it feeds; it sets the limit of voltage drop.
    #[serde(rename = "use")]
    pub circuit_use: CircuitUse,
    /// `radial` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arrangement: Option<Arrangement>,
    /// What it carries.
    pub load: CircuitLoad,
    /// What protects it.
    pub device: ProtectiveDevice,
    /// What it is wired in.
    pub cable: CircuitCable,
    /// Length of the cable, in metres; of a ring, the whole loop.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 18)]
    pub length_m: f64,
    /// How the cable lies.
    pub installation: InstallationConditions,
    /// The conduit or trunking that single-core cables lie in, to be told whether they fit. Methods `a` and `b`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub enclosure: Option<CircuitEnclosure>,
    /// Longest time to disconnect an earth fault, in seconds: 0.2, 0.4, 1 or 5. By the rules if left out: 0.4 (0.2 with
    /// an own electrode), and 5 (1) for a circuit that feeds a board.
    #[schema(minimum = 0.1, maximum = 5, example = 0.4)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub disconnection_s: Option<f64>,
    /// What stands at its end; `board` where another circuit is fed from it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serves: Option<Serves>,
    /// The conductor temperature at which voltage drop is worked; `rated` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub voltage_drop_at: Option<ConductorTemperature>,
    /// The circuit upstream, whose voltage drop and impedance are carried along; the origin if left out.
    #[schema(min_length = 1, max_length = 64)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fed_from: Option<String>,
}

closed_list! {
    /// How a circuit is laid out.
    Arrangement {
        Radial = "radial": "From the board outwards.",
        Ring = "ring": "From the board and back to it.",
    }
}

closed_list! {
    /// What stands at the end of a circuit.
    Serves {
        Loads = "loads": "Outlets and equipment: a final circuit.",
        Board = "board": "Another board: a distribution circuit.",
    }
}

closed_list! {
    /// The conductor temperature at which voltage drop is worked.
    ConductorTemperature {
        Rated = "rated": "The temperature of the table: on the safe side.",
        Operating = "operating": "What the load makes of it, by the correction Ct of Appendix 4. Up to 16 mm2, not with rewirable fuses.",
    }
}

closed_list! {
    /// Where along its run a circuit is loaded.
    LoadSpread {
        AtEnd = "at-end": "All at the far end; of a ring, half way round.",
        Even = "even": "Evenly along the run.",
    }
}

/// What a circuit carries: `load_kw` or `current_a`.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CircuitLoad {
    /// Load in kilowatts at unity power factor.
    #[schema(exclusive_minimum = 0, maximum = 100, example = 9.5)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load_kw: Option<f64>,
    /// Design current in amps.
    #[schema(exclusive_minimum = 0, maximum = 1000)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub current_a: Option<f64>,
    /// Where along the run. Left out: a radial is loaded at its end; a ring with up to 20 A half way round and what is
    /// over 20 A evenly.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spread: Option<LoadSpread>,
}

/// What protects a circuit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ProtectiveDevice {
    /// The kind.
    #[serde(rename = "type")]
    pub device_type: DeviceType,
    /// Trip curve of a breaker; none for a fuse.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub curve: Option<TripCurve>,
    /// Rated current, in amps.
    #[schema(exclusive_minimum = 0, maximum = 400, example = 45)]
    pub rating_a: f64,
    /// Residual operating current in milliamps: of the device itself, or of a residual current device in front of it.
    #[schema(minimum = 5, maximum = 1000, example = 30)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub residual_ma: Option<f64>,
    /// Rated breaking capacity in kiloamps; what is usual for the kind if left out.
    #[schema(exclusive_minimum = 0, maximum = 150, example = 6)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub breaking_capacity_ka: Option<f64>,
    /// The maker's figure for energy let through, in ampere-squared seconds, instead of the limit of its standard.
    #[schema(exclusive_minimum = 0, maximum = 100000000, example = 29000)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub let_through_a2s: Option<f64>,
    /// The class of energy that a breaker lets through, as marked on it; `class-3` if left out. Not for a fuse.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub energy_class: Option<EnergyClass>,
    /// Whether it detects arcs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arc_detection: Option<bool>,
}

/// What a circuit is wired in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CircuitCable {
    /// The kind.
    #[serde(rename = "type")]
    pub cable_type: CableType,
    /// Cross-section of the line conductor, in mm2.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 10)]
    pub line_mm2: f64,
    /// Cross-section of the copper protective conductor, in mm2. Left out: the one made into a flat cable, or the
    /// armour of an armoured cable. Single-core cables need it.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 4)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cpc_mm2: Option<f64>,
    /// Cores of an armoured cable whose armour is the protective conductor; 2 if left out.
    #[schema(minimum = 2, maximum = 4, example = 3)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cores: Option<u8>,
}

/// How a cable lies.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct InstallationConditions {
    /// Reference method.
    pub method: ReferenceMethod,
    /// Temperature of what surrounds it, in degrees Celsius: the air, or for method `d` the ground. 30 (20) if left out.
    #[schema(minimum = -20, maximum = 100, example = 30)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ambient_c: Option<f64>,
    /// Circuits or cables that lie together, itself included; 1 if left out.
    #[schema(minimum = 1, maximum = 100, example = 1)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grouped_circuits: Option<u32>,
    /// How they lie together; `bunched` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grouping: Option<CableGrouping>,
    /// Whether several of the group may be overloaded at the same time; true if left out. Where that is not to be expected,
    /// the formulae of BS 7671 Appendix 4 take the place of `In / Cg`; never for a ring wired by the 20 A rule.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub simultaneous_overload: Option<bool>,
    /// Length wholly surrounded by thermal insulation, in millimetres; 0 if left out. Methods `a` and `100` to `103`
    /// allow for insulation already.
    #[schema(minimum = 0, maximum = 1000000, example = 0)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insulation_mm: Option<f64>,
    /// How a buried cable lies; `direct` if left out. Method `d` only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub burial: Option<Burial>,
    /// Thermal resistivity of the soil, in K.m/W; 2.5 if left out. Method `d` only.
    #[schema(exclusive_minimum = 0, maximum = 10, example = 2.5)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub soil_k_m_per_w: Option<f64>,
    /// Depth of burial, in metres; 0.7 if left out. Method `d` only.
    #[schema(exclusive_minimum = 0, maximum = 10, example = 0.7)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_m: Option<f64>,
}

/// A conduit or trunking with what else lies in it. A conduit goes by `diameter_mm`, `run_m` and `bends`, a trunking by
/// `width_mm` and `height_mm`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "type": "conduit", "diameter_mm": 20, "run_m": 4, "bends": 2 }))]
pub struct CircuitEnclosure {
    /// The kind.
    #[serde(rename = "type")]
    pub enclosure_type: EnclosureType,
    /// Nominal diameter of a conduit, in millimetres: a size of the table.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 20)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diameter_mm: Option<f64>,
    /// Width of a trunking, in millimetres: a size of the table, the longer side.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 50)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width_mm: Option<f64>,
    /// Height of a trunking, in millimetres.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 50)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_mm: Option<f64>,
    /// Longest run of a conduit between two places to draw in, in metres.
    #[schema(exclusive_minimum = 0, maximum = 100, example = 4)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run_m: Option<f64>,
    /// Bends of 90 degrees in that run, a double set counting as one; none if left out.
    #[schema(minimum = 0, maximum = 10, example = 2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bends: Option<u8>,
    /// Single-core cables of other circuits in the same enclosure. This circuit's own are counted from its cable.
    #[schema(max_items = 50)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub others: Vec<EnclosedCable>,
}

/// Single-core cables of one size.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EnclosedCable {
    /// Cross-section, in mm2: a size of the table.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 2.5)]
    pub line_mm2: f64,
    /// How many.
    #[schema(minimum = 1, maximum = 100, example = 3)]
    pub count: u32,
}

impl InstallationConditions {
    /// A cable that lies by a method, with everything else as the table has it.
    #[must_use]
    pub const fn by(method: ReferenceMethod) -> Self {
        Self {
            method,
            ambient_c: None,
            grouped_circuits: None,
            grouping: None,
            simultaneous_overload: None,
            insulation_mm: None,
            burial: None,
            soil_k_m_per_w: None,
            depth_m: None,
        }
    }
}

impl CircuitLoad {
    /// A load in kilowatts.
    #[must_use]
    pub const fn kilowatts(load_kw: f64) -> Self {
        Self { load_kw: Some(load_kw), current_a: None, spread: None }
    }

    /// A design current.
    #[must_use]
    pub const fn amps(current_a: f64) -> Self {
        Self { load_kw: None, current_a: Some(current_a), spread: None }
    }
}

/// What a circuit finds at the board that it is fed from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct UpstreamOfCircuit {
    /// Voltage dropped from the origin to there, in volts.
    #[schema(minimum = 0, maximum = 400, example = 2.3)]
    pub voltage_drop_v: f64,
    /// Earth fault loop impedance there, in ohms.
    #[schema(minimum = 0, maximum = 2000, example = 0.48)]
    pub zs_ohm: f64,
    /// Prospective fault current there, in kiloamps.
    #[schema(exclusive_minimum = 0, maximum = 50, example = 0.9)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fault_current_ka: Option<f64>,
    /// Residual operating current of a device upstream that protects the circuit, in milliamps.
    #[schema(minimum = 5, maximum = 1000, example = 100)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub residual_ma: Option<f64>,
}

impl UpstreamOfCircuit {
    /// At the origin: nothing dropped, the impedance and fault current of the supply.
    #[must_use]
    pub fn at_origin(supply: &CircuitSupply) -> Self {
        Self {
            voltage_drop_v: 0.0,
            zs_ohm: supply.ze(),
            fault_current_ka: supply.fault_current_ka,
            residual_ma: supply.residual_ma,
        }
    }
}

/// Nominal voltage of a public supply in the UK (ESQCR 2002, from memory).
const NOMINAL_VOLTAGE_V: f64 = 230.0;

impl CircuitSupply {
    /// A supply of which only the kind of earthing is known.
    #[must_use]
    pub const fn of(earthing: SupplyEarthing) -> Self {
        Self {
            voltage_v: None,
            earthing,
            ze_ohm: None,
            fault_current_ka: None,
            residual_ma: None,
            surge_protection: None,
        }
    }

    /// Nominal voltage to earth; 230 V where it was not given.
    #[must_use]
    pub fn voltage(&self) -> f64 {
        self.voltage_v.unwrap_or(NOMINAL_VOLTAGE_V)
    }

    /// Loop impedance outside the installation; where it was not given, the highest that operators usually state (0.35
    /// and 0.8 ohm, On-Site Guide), and with an own electrode 200 ohm, above which one is not thought stable.
    #[must_use]
    pub fn ze(&self) -> f64 {
        self.ze_ohm.unwrap_or(match self.earthing {
            SupplyEarthing::TnCS => 0.35,
            SupplyEarthing::TnS => 0.8,
            SupplyEarthing::Tt => 200.0,
        })
    }
}

impl CircuitToCheck {
    /// A radial final circuit, to be completed with [`CircuitToCheck::device`] and [`CircuitToCheck::cable`]: 2.5 mm2 flat twin and
    /// earth behind a 16 A RCBO until then.
    #[must_use]
    pub fn radial(
        id: impl Into<String>,
        circuit_use: CircuitUse,
        load: CircuitLoad,
        length_m: f64,
        method: ReferenceMethod,
    ) -> Self {
        Self {
            id: id.into(),
            name: None,
            circuit_use,
            arrangement: None,
            load,
            device: ProtectiveDevice {
                residual_ma: Some(30.0),
                ..ProtectiveDevice::breaker(DeviceType::Rcbo, TripCurve::B, 16.0)
            },
            cable: CircuitCable::of(CableType::FlatTwinAndEarth70, 2.5),
            length_m,
            installation: InstallationConditions::by(method),
            enclosure: None,
            disconnection_s: None,
            serves: None,
            voltage_drop_at: None,
            fed_from: None,
        }
    }
}

impl ProtectiveDevice {
    /// A breaker of which only curve and rating are known.
    #[must_use]
    pub const fn breaker(device_type: DeviceType, curve: TripCurve, rating_a: f64) -> Self {
        Self {
            device_type,
            curve: Some(curve),
            rating_a,
            residual_ma: None,
            breaking_capacity_ka: None,
            let_through_a2s: None,
            energy_class: None,
            arc_detection: None,
        }
    }

    /// A fuse of which only the kind and rating are known.
    #[must_use]
    pub const fn fuse(device_type: DeviceType, rating_a: f64) -> Self {
        Self {
            device_type,
            curve: None,
            rating_a,
            residual_ma: None,
            breaking_capacity_ka: None,
            let_through_a2s: None,
            energy_class: None,
            arc_detection: None,
        }
    }
}

impl CircuitCable {
    /// A cable with the protective conductor that is made into it.
    #[must_use]
    pub const fn of(cable_type: CableType, line_mm2: f64) -> Self {
        Self { cable_type, line_mm2, cpc_mm2: None, cores: None }
    }
}
