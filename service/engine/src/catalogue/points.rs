//! What each point type needs: its circuit, its place, its boxes, its accessory, its work.

use serde::Deserialize;
use wiring::closed_list;

use crate::survey::{ApplianceType, PointType};

/// A fitting heavier than this wants a noggin on plasterboard or laths. Source: domain practice, from memory.
pub const HEAVY_FITTING_KG: f64 = 2.0;

closed_list! {
    /// The kind of circuit.
    CircuitType {
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
        Distribution = "distribution": "Feed to a sub-board.",
        Appliance = "appliance": "One dedicated load.",
        Spare = "spare": "Spare way.",
        Sockets = "sockets": "Sockets, ring or radial to be chosen.",
        None = "none": "No circuit: signal wiring.",
    }
}

closed_list! {
    /// The family that a point belongs to.
    PointGroup {
        Socket = "socket": "Outlets.",
        Switch = "switch": "Light switches.",
        Light = "light": "Lights.",
        Fan = "fan": "Fans.",
        Alarm = "alarm": "Alarms.",
        Signal = "signal": "Data, television and other signal wiring.",
        Fixed = "fixed": "Fixed connections.",
        Outside = "outside": "Outside the house.",
    }
}

closed_list! {
    /// Where on the room a point stands.
    PointPlace {
        Wall = "wall": "On a wall.",
        Ceiling = "ceiling": "On the ceiling.",
        Floor = "floor": "In the floor.",
        Outside = "outside": "On an outside wall.",
    }
}

/// What kinds of circuit have in common. Who asks by it has thought of every kind: a new one finds its family here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CircuitFamily {
    /// Sockets inside, on a ring or a radial.
    Sockets,
    /// Outside sockets and lights.
    Outside,
    /// Lights and alarms.
    Lighting,
    /// A load of its own.
    Load,
    /// A feed, a spare way, or no circuit.
    Other,
}

impl CircuitType {
    /// Its family.
    #[must_use]
    pub const fn family(self) -> CircuitFamily {
        match self {
            Self::Sockets | Self::RingSockets | Self::RadialSockets => CircuitFamily::Sockets,
            Self::Outside => CircuitFamily::Outside,
            Self::Lighting | Self::Alarms => CircuitFamily::Lighting,
            Self::Cooker
            | Self::Oven
            | Self::Hob
            | Self::Shower
            | Self::Immersion
            | Self::Heating
            | Self::FloorHeating
            | Self::Boiler
            | Self::Freezer
            | Self::ChargePoint
            | Self::HeatPump
            | Self::Appliance => CircuitFamily::Load,
            Self::Distribution | Self::Spare | Self::None => CircuitFamily::Other,
        }
    }

    /// Whether it feeds sockets inside, on a ring or a radial.
    #[must_use]
    pub const fn is_sockets(self) -> bool {
        matches!(self.family(), CircuitFamily::Sockets)
    }
}

/// One row of the point table.
#[derive(Debug, Clone, Deserialize)]
pub struct PointKind {
    /// The point.
    #[serde(rename = "type")]
    pub point: PointType,
    /// Gangs that the row is for; 0 for any.
    pub gangs_asked: u8,
    /// In words.
    pub label: String,
    /// Its family.
    pub group: PointGroup,
    /// Its circuit.
    pub circuit: CircuitType,
    /// Its place.
    pub place: PointPlace,
    /// Usual height of its centre above the floor.
    pub height_m: f64,
    /// Flush boxes.
    pub boxes: u32,
    /// Gangs of each box.
    pub gangs: u8,
    /// Depth of each box.
    pub depth_mm: u8,
    /// Operations that connect and fit it, `;` between them.
    pub fit: String,
    /// Operations of first fix besides box and chase, `;` between them.
    pub first_fix: String,
    /// Its accessory.
    pub accessory: String,
    /// What else it takes, `item=quantity`, `;` between them.
    pub extras: String,
    /// Lamp load.
    pub load_w: f64,
}

impl PointKind {
    /// Operations that connect and fit it.
    pub fn fit_operations(&self) -> impl Iterator<Item = &str> {
        self.fit.split(';').filter(|name| !name.is_empty())
    }

    /// Operations of first fix besides box and chase.
    pub fn first_fix_operations(&self) -> impl Iterator<Item = &str> {
        self.first_fix.split(';').filter(|name| !name.is_empty())
    }

    /// What else it takes.
    ///
    /// # Panics
    /// If the built-in table has an entry without a quantity.
    pub fn extra_materials(&self) -> impl Iterator<Item = (&str, f64)> {
        self.extras.split(';').filter(|entry| !entry.is_empty()).map(|entry| {
            let (item, quantity) = entry.split_once('=').unwrap_or_else(|| panic!("point_types.csv: `{entry}`"));
            (item, quantity.parse().unwrap_or_else(|_| panic!("point_types.csv: `{entry}`")))
        })
    }
}

/// The point that usually connects an appliance. Common practice, no source.
pub(crate) const fn connection(kind: ApplianceType) -> Option<PointType> {
    match kind {
        ApplianceType::Oven => Some(PointType::OvenPoint),
        ApplianceType::Hob => Some(PointType::HobPoint),
        ApplianceType::Cooker => Some(PointType::CookerControl),
        ApplianceType::Shower | ApplianceType::WaterHeater => Some(PointType::ShowerSwitch),
        ApplianceType::ImmersionHeater => Some(PointType::ImmersionPoint),
        ApplianceType::StorageHeater => Some(PointType::StorageHeaterPoint),
        ApplianceType::PanelHeater => Some(PointType::PanelHeaterPoint),
        ApplianceType::FloorHeating => Some(PointType::FloorHeatingPoint),
        ApplianceType::Boiler => Some(PointType::BoilerPoint),
        ApplianceType::ChargePoint => Some(PointType::ChargePoint),
        ApplianceType::HeatPump => Some(PointType::HeatPumpIsolator),
        ApplianceType::CoolingUnit => Some(PointType::CoolingUnitIsolator),
        ApplianceType::HotTub => Some(PointType::HotTubIsolator),
        ApplianceType::Battery => Some(PointType::BatteryPoint),
        ApplianceType::SolarInverter => Some(PointType::GenerationPoint),
        ApplianceType::TowelRail => Some(PointType::TowelRailPoint),
        ApplianceType::TumbleDryer
        | ApplianceType::WashingMachine
        | ApplianceType::Dishwasher
        | ApplianceType::Freezer
        | ApplianceType::Machine
        | ApplianceType::Sauna
        | ApplianceType::Other => Some(PointType::FusedUnit),
    }
}
