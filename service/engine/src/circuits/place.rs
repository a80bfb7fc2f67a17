//! Where the board may and may not stand.

use super::board::TAILS_M_MAX;
use crate::checks::Verdict;
use crate::quantities::Metres;
use crate::site::{RoomPlan, Site};
use crate::survey::RoomUse;

/// Above this nobody reaches the switches from the floor. Common practice, no source.
const REACH_M: f64 = 2.0;
/// Switches of a board in a new dwelling. Source: Approved Document M volume 1, M4(1), from memory.
const NEW_DWELLING_M: std::ops::RangeInclusive<f64> = 1.35..=1.45;

/// What is to be said of the board's place.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaceFinding {
    /// `fail` where it may not stand so, `advise` where something has to be seen to.
    pub verdict: Verdict,
    /// The clause or document.
    pub clause: &'static str,
    /// What, and what to do.
    pub working: String,
}

/// Judges the place of the house's board. Empty where nothing is to be said.
pub(super) fn findings(site: &Site, height: Option<Metres>, tails: Metres) -> Vec<PlaceFinding> {
    let mut found: Vec<PlaceFinding> =
        site.board.room.and_then(|room| of_room(&site.rooms[room])).into_iter().collect();
    let finding = |verdict, clause, working| PlaceFinding { verdict, clause, working };
    match height.map(Metres::value) {
        Some(height) if height > REACH_M => found.push(finding(
            Verdict::Fail,
            "BS 7671 132.12, from memory",
            format!("{height} m above the floor is out of reach; {REACH_M} m at most"),
        )),
        Some(height) if !NEW_DWELLING_M.contains(&height) => found.push(finding(
            Verdict::Advise,
            "Approved Document M volume 1, M4(1), from memory",
            format!(
                "{height} m above the floor: a new dwelling has its switches {} to {} m up; an existing one need not",
                NEW_DWELLING_M.start(),
                NEW_DWELLING_M.end()
            ),
        )),
        Some(_) | None => {}
    }
    if tails > TAILS_M_MAX {
        found.push(finding(
            Verdict::Advise,
            "On-Site Guide 2.2 and the operator's rule",
            format!("{tails:.1} of tails is over {TAILS_M_MAX}: a switched fuse at the meter protects the feed"),
        ));
    }
    found
}

/// What the use of the room says of a board in it.
fn of_room(room: &RoomPlan) -> Option<PlaceFinding> {
    let (verdict, clause, working) = match room.room_use {
        RoomUse::Bathroom => (
            Verdict::Fail,
            "BS 7671 701.512.3, from memory",
            "a room with a bath or shower: no switchgear in its zones, and steam everywhere; move it",
        ),
        RoomUse::Outside => (
            Verdict::Fail,
            "BS 7671 512.2, 132.12, from memory",
            "out of doors: wet, and out of reach at night; move it inside",
        ),
        RoomUse::Loft => (
            Verdict::Fail,
            "BS 7671 132.12, 513.1, from memory",
            "in the loft: not readily reached when it has tripped; move it",
        ),
        RoomUse::Cloakroom | RoomUse::Cellar => (
            Verdict::Advise,
            "BS 7671 512.2, from memory",
            "may be damp: off the wall on a non-combustible back, away from water, and dry before it is fitted",
        ),
        RoomUse::Hall | RoomUse::Landing => (
            Verdict::Advise,
            "BS 7671 421.1.201, 422.2, from memory",
            "on the way out of the house: non-combustible enclosure, every entry sealed, nothing stored on or under it",
        ),
        RoomUse::Store => (
            Verdict::Advise,
            "BS 7671 132.12, 421.1.201, from memory",
            "in a cupboard: lit, nothing stored against it, lined against fire where it is under the only stair",
        ),
        RoomUse::Kitchen | RoomUse::KitchenDiner => {
            (Verdict::Advise, "BS 7671 512.2, from memory", "in a kitchen: never over hob or sink, nor behind a unit")
        }
        RoomUse::Living
        | RoomUse::Dining
        | RoomUse::Utility
        | RoomUse::Bedroom
        | RoomUse::Study
        | RoomUse::Conservatory
        | RoomUse::Garage
        | RoomUse::Other => return None,
    };
    Some(PlaceFinding { verdict, clause, working: working.to_owned() })
}
