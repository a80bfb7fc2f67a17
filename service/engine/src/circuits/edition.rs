//! What Amendment 4 of the wiring rules adds that may touch a dwelling, judged where the survey says that it applies.
//!
//! The text of the amendment is not held. What is said here is what was reported of it, and, for the place of a battery,
//! a specification that can be named; each entry says so.

use super::CircuitPlan;
use crate::checks::Verdict;
use crate::site::{RoomIndex, RoomPlan, Site};
use crate::survey::{ApplianceType, FutureType, PointType, RoomUse};

/// One thing that is new, and what in the survey makes it apply.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NewRule {
    /// Stationary batteries: where each one stands.
    Batteries {
        /// Rooms that hold one.
        rooms: Vec<(RoomIndex, BatteryPlace)>,
        /// Whether one may come.
        may_come: bool,
    },
    /// Devices on circuits that may be fed from both ends.
    TwoWayDevices {
        /// Rooms with storage or generation.
        rooms: Vec<RoomIndex>,
        /// Whether either may come.
        may_come: bool,
    },
    /// The earth of cabinets for data.
    DataEquipment {
        /// Outlets for data.
        outlets: u64,
    },
}

/// Where a battery stands. Places by PAS 63100:2024, from memory.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BatteryPlace {
    /// Where people sleep, in a loft, in a cupboard, on the way out of the house.
    Forbidden,
    /// Out of doors.
    OutOfDoors,
    /// In a room that wants a lining against fire and an alarm.
    Lined,
    /// In a habitable room, which is not preferred.
    Habitable,
}

impl NewRule {
    /// Its subject in one word.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Batteries { .. } => "stationary-batteries",
            Self::TwoWayDevices { .. } => "two-way-devices",
            Self::DataEquipment { .. } => "data-equipment-earthing",
        }
    }

    /// Whether anything in the survey makes it apply.
    #[must_use]
    pub const fn applies(&self) -> bool {
        match self {
            Self::Batteries { rooms, .. } => !rooms.is_empty(),
            Self::TwoWayDevices { rooms, .. } => !rooms.is_empty(),
            Self::DataEquipment { outlets } => *outlets > 0,
        }
    }

    /// `pass` where it does not apply or is met.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        match self {
            Self::Batteries { rooms, .. } => {
                rooms.iter().map(|(_, place)| place.verdict()).max().unwrap_or(Verdict::Pass)
            }
            Self::TwoWayDevices { .. } | Self::DataEquipment { .. } if self.applies() => Verdict::Advise,
            Self::TwoWayDevices { .. } | Self::DataEquipment { .. } => Verdict::Pass,
        }
    }
}

impl BatteryPlace {
    const fn of(room: &RoomPlan) -> Self {
        match room.room_use {
            RoomUse::Bedroom
            | RoomUse::Loft
            | RoomUse::Hall
            | RoomUse::Landing
            | RoomUse::Store
            | RoomUse::Bathroom => Self::Forbidden,
            RoomUse::Outside => Self::OutOfDoors,
            RoomUse::Garage | RoomUse::Other | RoomUse::Utility | RoomUse::Cellar => Self::Lined,
            RoomUse::Living
            | RoomUse::Dining
            | RoomUse::Kitchen
            | RoomUse::KitchenDiner
            | RoomUse::Cloakroom
            | RoomUse::Study
            | RoomUse::Conservatory => Self::Habitable,
        }
    }

    const fn verdict(self) -> Verdict {
        match self {
            Self::Forbidden => Verdict::Fail,
            Self::OutOfDoors | Self::Lined | Self::Habitable => Verdict::Advise,
        }
    }
}

/// Whether a circuit may be fed from both ends: storage or generation is on it.
#[must_use]
pub fn feeds_back(circuit: &CircuitPlan, site: &Site) -> bool {
    let point = |kind| matches!(kind, PointType::BatteryPoint | PointType::GenerationPoint);
    circuit.appliances.iter().any(|one| is_source(one.kind))
        || circuit.members.iter().any(|member| point(site.rooms[member.room].points[member.point].kind))
}

const fn is_source(kind: ApplianceType) -> bool {
    matches!(kind, ApplianceType::Battery | ApplianceType::SolarInverter)
}

pub(super) fn new_rules(site: &Site) -> [NewRule; 3] {
    [batteries(site), two_way_devices(site), data_equipment(site)]
}

fn batteries(site: &Site) -> NewRule {
    let holds = |room: &RoomPlan| {
        room.appliances.iter().any(|one| one.kind == ApplianceType::Battery)
            || room.points.iter().any(|point| point.kind == PointType::BatteryPoint)
    };
    let rooms = site.rooms.iter().enumerate().filter(|(_, room)| holds(room));
    NewRule::Batteries {
        rooms: rooms.map(|(index, room)| (index, BatteryPlace::of(room))).collect(),
        may_come: site.future.contains(&FutureType::Battery),
    }
}

fn two_way_devices(site: &Site) -> NewRule {
    let point = |kind| matches!(kind, PointType::BatteryPoint | PointType::GenerationPoint);
    let holds = |room: &RoomPlan| {
        room.appliances.iter().any(|one| is_source(one.kind)) || room.points.iter().any(|one| point(one.kind))
    };
    let rooms = site.rooms.iter().enumerate().filter(|(_, room)| holds(room));
    NewRule::TwoWayDevices {
        rooms: rooms.map(|(index, _)| index).collect(),
        may_come: site.future.iter().any(|future| matches!(future, FutureType::Battery | FutureType::Solar)),
    }
}

fn data_equipment(site: &Site) -> NewRule {
    let is_data = |kind| matches!(kind, PointType::DataOutlet | PointType::AccessPoint);
    let points = site.rooms.iter().flat_map(|room| &room.points);
    NewRule::DataEquipment {
        outlets: points.filter(|point| is_data(point.kind)).map(|point| u64::from(point.count)).sum(),
    }
}
