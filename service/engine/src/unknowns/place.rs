//! Where in the house a question or a flag is.

use crate::circuits::CircuitIndex;
use crate::site::RoomIndex;
use crate::survey::{ApplianceType, ServiceType};

/// A place in the house, or a thing in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum HousePlace {
    /// The whole house.
    House,
    /// The house's board.
    Board,
    /// Where the supply comes in.
    Intake,
    /// The stair.
    Stair,
    /// The loft.
    Loft,
    /// A room.
    Room(RoomIndex),
    /// A circuit.
    Circuit(CircuitIndex),
    /// A service.
    Service(ServiceType),
    /// Something recorded to stand in the way, by its place in the survey.
    Obstruction(usize),
    /// Appliances of a kind in a room.
    Appliances(ApplianceType, RoomIndex),
    /// What a new rule is about, by its word.
    Rule(&'static str),
}

impl From<HousePlace> for Vec<HousePlace> {
    fn from(one: HousePlace) -> Self {
        vec![one]
    }
}

/// Rooms as places.
pub fn rooms(rooms: impl IntoIterator<Item = RoomIndex>) -> Vec<HousePlace> {
    rooms.into_iter().map(HousePlace::Room).collect()
}
