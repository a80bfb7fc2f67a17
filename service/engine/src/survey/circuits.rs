//! Circuits that a designer has fixed already, and those that are there now and stay.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use wiring::closed_list;

use super::{ApplianceType, PointType};
use crate::checks::Arrangement;
use crate::standards::{ReferenceMethod, TripCurve};

/// A circuit that a designer has fixed, or one that is there now and stays (`existing`). What is given is kept and checked,
/// never replaced; what is left out is designed. Points that no circuit names are gathered as usual.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "id": "S1", "name": "Sockets, kitchen", "type": "ring-sockets", "points": [{ "room": "kitchen", "type": "double-socket" }],
    "device": { "type": "rcbo", "curve": "b", "rating_a": 32 },
    "cable": { "type": "flat-twin-and-earth", "line_mm2": 4 }, "length_m": 62
}))]
pub struct GivenCircuit {
    /// Its identifier, which the answer keeps.
    #[schema(min_length = 1, max_length = 64, example = "S1")]
    pub id: String,
    /// Its name on the chart; made from what it serves if left out.
    #[schema(max_length = 500, example = "Sockets, kitchen")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The kind; what its points usually go on if left out.
    #[serde(default, rename = "type", skip_serializing_if = "Option::is_none")]
    pub circuit_type: Option<GivenCircuitType>,
    /// Ring or radial, for sockets; chosen if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arrangement: Option<Arrangement>,
    /// Rooms of which it serves every point that its kind fits; for a feed, the outbuilding.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rooms: Vec<String>,
    /// Points that it serves.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<GivenPoints>,
    /// Appliances that it serves.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub appliances: Vec<GivenAppliance>,
    /// Its device.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub device: Option<GivenDevice>,
    /// Its cable.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cable: Option<GivenCable>,
    /// Length of its cable, in metres: of a ring the whole loop, of a radial to its far end. By its route if left out.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 62)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<f64>,
    /// The reference method that its capacity is read for; the most onerous on its route if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub method: Option<ReferenceMethod>,
    /// Whether it is there now and stays: its cable is not laid again, and the points that it names are joined to it
    /// where it passes. It needs `type` and `cable`, and may name nothing that it serves. A feed to an outbuilding stays too:
    /// it names the building in `rooms`, no trench is dug for it, and the board behind it is new where anything is wired there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub existing: Option<bool>,
    /// Of one that stays: its earth fault loop impedance as measured at its far end, in ohms.
    #[schema(exclusive_minimum = 0, maximum = 2000, example = 0.82)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zs_ohm: Option<f64>,
    /// Of one that stays: whether it was tested from end to end and found sound; not tested if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tested: Option<bool>,
}

impl GivenCircuit {
    /// Whether it is the feed of an outbuilding, there now and kept.
    #[must_use]
    pub fn is_kept_feed(&self) -> bool {
        self.existing == Some(true) && self.circuit_type == Some(GivenCircuitType::Distribution)
    }
}

/// Points of one kind in one room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GivenPoints {
    /// The room or outbuilding.
    #[schema(min_length = 1, max_length = 64, example = "kitchen")]
    pub room: String,
    /// The kind.
    #[serde(rename = "type")]
    pub point_type: PointType,
    /// How many; all that no earlier circuit names if left out.
    #[schema(minimum = 1, maximum = 10000, example = 6)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
}

/// An appliance in a room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GivenAppliance {
    /// The room or outbuilding.
    #[schema(min_length = 1, max_length = 64, example = "kitchen")]
    pub room: String,
    /// The kind; all of that kind in the room.
    #[serde(rename = "type")]
    pub appliance_type: ApplianceType,
}

/// A device that a designer has fixed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GivenDevice {
    /// The kind; `rcbo` if left out.
    #[serde(default, rename = "type", skip_serializing_if = "Option::is_none")]
    pub device_type: Option<GivenDeviceType>,
    /// Its trip curve; B if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub curve: Option<TripCurve>,
    /// Its rated current, in amps.
    #[schema(exclusive_minimum = 0, maximum = 400, example = 32)]
    pub rating_a: f64,
    /// Residual operating current in milliamps, its own or of the device before it; 30 for an RCBO if left out.
    #[schema(minimum = 5, maximum = 1000, example = 30)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub residual_ma: Option<f64>,
}

/// A cable that a designer has fixed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GivenCable {
    /// The make; what its kind of circuit is usually wired in if left out.
    #[serde(default, rename = "type", skip_serializing_if = "Option::is_none")]
    pub cable_type: Option<GivenCableType>,
    /// Cross-section of the line conductor, in mm2: a size that the price list holds.
    #[schema(exclusive_minimum = 0, maximum = 1000, example = 4)]
    pub line_mm2: f64,
}

closed_list! {
    /// The make of a cable that a designer has fixed.
    GivenCableType {
        Flat = "flat-twin-and-earth": "Flat twin and earth, 70 degrees.",
        FlatThreeCore = "flat-three-core-and-earth": "Flat three-core and earth, 70 degrees.",
        Armoured = "armoured": "Steel wire armoured, 70 degrees.",
    }
}

closed_list! {
    /// The kind of a circuit that a designer has fixed.
    GivenCircuitType {
        RingSockets = "ring-sockets": "Sockets on a ring.",
        RadialSockets = "radial-sockets": "Sockets on a radial.",
        Lighting = "lighting": "Lights.",
        Cooker = "cooker": "Cooker, or oven and hob together.",
        Oven = "oven": "Oven.",
        Hob = "hob": "Hob.",
        Shower = "shower": "Electric shower.",
        Immersion = "immersion": "Immersion heater.",
        Heating = "heating": "Electric space heating.",
        FloorHeating = "floor-heating": "Electric floor heating.",
        Boiler = "boiler": "Boiler and controls.",
        Alarms = "alarms": "Smoke and heat alarms.",
        Freezer = "freezer": "Freezer.",
        ChargePoint = "charge-point": "Vehicle charge point.",
        HeatPump = "heat-pump": "Heat pump.",
        Outside = "outside": "Outside sockets and lights.",
        Distribution = "distribution": "Feed to an outbuilding's board.",
        Appliance = "appliance": "One dedicated load.",
    }
}

closed_list! {
    /// The kind of a device that a designer has fixed.
    GivenDeviceType {
        Rcbo = "rcbo": "Breaker and RCD in one.",
        Breaker = "breaker": "Breaker.",
    }
}
