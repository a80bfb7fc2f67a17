//! Where the board may and may not stand.

use super::tails::TAILS_M_MAX;
use crate::checks::Verdict;
use crate::quantities::Metres;
use crate::site::Site;
use crate::survey::RoomUse;

/// Above this nobody reaches the switches from the floor. Common practice, no source.
pub const REACH_M: f64 = 2.0;
/// Switches of a board in a new dwelling. Source: Approved Document M volume 1, M4(1), from memory.
pub const NEW_DWELLING_M: std::ops::RangeInclusive<f64> = 1.35..=1.45;

/// What is to be said of the board's place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PlaceFinding {
    /// The use of the room that it stands in.
    Room(RoomUse),
    /// So high above the floor that nobody reaches it.
    OutOfReach(Metres),
    /// So high above the floor, which a new dwelling would not have.
    UnlikeNewDwelling(Metres),
    /// Tails so long that they want a switched fuse.
    LongTails(Metres),
}

impl PlaceFinding {
    /// `fail` where it may not stand so, `advise` where something has to be seen to.
    #[must_use]
    pub const fn verdict(self) -> Verdict {
        match self {
            Self::Room(room_use) => match of_room(room_use) {
                Some(verdict) => verdict,
                None => Verdict::Pass,
            },
            Self::OutOfReach(_) => Verdict::Fail,
            Self::UnlikeNewDwelling(_) | Self::LongTails(_) => Verdict::Advise,
        }
    }
}

/// Judges the place of the house's board. Empty where nothing is to be said.
pub(super) fn findings(site: &Site, height: Option<Metres>, tails: Metres) -> Vec<PlaceFinding> {
    let room_use = site.board.room.map(|room| site.rooms[room].room_use);
    let room = room_use.filter(|room_use| of_room(*room_use).is_some()).map(PlaceFinding::Room);
    let height = height.and_then(|height| match height.value() {
        metres if metres > REACH_M => Some(PlaceFinding::OutOfReach(height)),
        metres if !NEW_DWELLING_M.contains(&metres) => Some(PlaceFinding::UnlikeNewDwelling(height)),
        _ => None,
    });
    let tails = (tails > TAILS_M_MAX).then_some(PlaceFinding::LongTails(tails));
    room.into_iter().chain(height).chain(tails).collect()
}

/// What the use of the room says of a board in it; nothing where it stands well.
const fn of_room(room_use: RoomUse) -> Option<Verdict> {
    match room_use {
        RoomUse::Bathroom | RoomUse::Outside | RoomUse::Loft => Some(Verdict::Fail),
        RoomUse::Cloakroom
        | RoomUse::Cellar
        | RoomUse::Hall
        | RoomUse::Landing
        | RoomUse::Store
        | RoomUse::Kitchen
        | RoomUse::KitchenDiner => Some(Verdict::Advise),
        RoomUse::Living
        | RoomUse::Dining
        | RoomUse::Utility
        | RoomUse::Bedroom
        | RoomUse::Study
        | RoomUse::Conservatory
        | RoomUse::Garage
        | RoomUse::Other => None,
    }
}
