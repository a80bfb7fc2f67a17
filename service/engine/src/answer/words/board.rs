//! What is said of the board: its size, its place, its devices, and what the rules' newest amendment adds.

use crate::circuits::edition::{BatteryPlace, NewRule};
use crate::circuits::place::{NEW_DWELLING_M, PlaceFinding, REACH_M};
use crate::circuits::tails::{TAILS_M_MAX, TailsDrop};
use crate::circuits::{ArcDetection, BoardPlan};
use crate::quantities::Metres;
use crate::site::Site;
use crate::survey::{BoardCondition, RoomUse};

/// What a new board is made of.
pub(crate) const ENCLOSURE: &str = "Metal, which does not burn (BS 7671 regulation 421.1.201, from memory)";
/// Surge protection of a new board.
pub(crate) const SURGE: &str = "Type 2, beside the main switch. Types 1 and 2 together where the house has a lightning \
                                conductor (BS 7671 443.4.1 and 534.4, from memory)";
/// Surge protection of a board that stays.
pub(crate) const SURGE_STAYS: &str = "As it is. The board stays, and no surge device is priced";
/// A way of a board that stays.
pub(crate) const IN_USE: &str = "In use, not recorded";

/// What is known of a board that stays.
pub(crate) const fn enclosure_that_stays(site: &Site) -> &'static str {
    match site.existing_board {
        Some(BoardCondition::Modern) => "There now and stays: a modern board",
        Some(BoardCondition::BreakersWithRcd) => "There now and stays: breakers behind an RCD",
        Some(BoardCondition::BreakersNoRcd) => "There now and stays: breakers without an RCD",
        Some(BoardCondition::RewireableFuses) => "There now and stays: rewireable fuses",
        Some(BoardCondition::CartridgeFuses) => "There now and stays: cartridge fuses",
        Some(BoardCondition::None) | None => "There now and stays: not recorded, taken as a modern board",
    }
}

/// What is said of the ways of a board that stays.
fn that_stays(board: &BoardPlan, site: &Site) -> Vec<String> {
    let BoardPlan { used, ways, .. } = board;
    let known = match (site.board_found.ways, site.board_found.ways_spare) {
        (Some(_), Some(_)) => "as counted",
        (None, None) => "taken as a usual board, as nobody counted them",
        _ => "counted in part, the rest as usual",
    };
    let mut words = vec![format!("It stays: {ways} ways, {used} in use when the job is done, {known}")];
    if board.small_board {
        words.push("No way is free for the new circuits. A small board beside it takes them".to_owned());
    }
    words
}

/// Why the board is as it is.
pub(crate) fn because(board: &BoardPlan, site: &Site) -> Vec<String> {
    if board.stays {
        return that_stays(board, site);
    }
    let BoardPlan { used, spare, ways, tails, main_switch, .. } = board;
    let mut words = vec![format!(
        "{used} ways are used. {spare} stay free: two or a fifth, and {} for what may come. That makes a board of {ways} ways",
        board.kept_for.len()
    )];
    if board.switched_fuse {
        words.push(format!(
            "{tails:.1} of tails is over {TAILS_M_MAX}. So a switched fuse at the meter protects the feed to the board"
        ));
    }
    words.extend(board.at_board.tails.as_ref().map(|drop| tails_drop(drop, *tails, board.at_board.upstream.zs_ohm)));
    let cut_out = site.supply.cut_out;
    words.push(format!("Main switch of {main_switch:.0}, two poles, not smaller than the main fuse of {cut_out:.0}"));
    if !board.sections.is_empty() {
        words.push(
            "Lights and sockets of one storey are on different RCDs. No two lighting circuits in a row are on the same one (BS 7671 \
             314.1, from memory)"
                .to_owned(),
        );
    }
    words
}

/// What long tails add, and what they drop.
fn tails_drop(drop: &TailsDrop, length: Metres, zs_ohm: f64) -> String {
    let TailsDrop { multiplier, fuse, .. } = drop;
    let earth = drop.earth.map_or_else(String::new, |earth| format!(" + {} x {multiplier}", earth.value()));
    format!(
        "The tails are in every check. Zs at the board = {} + ({} x {multiplier}{earth}) mohm/m x {length:.1} / 1000 = {zs_ohm:.4} \
         ohm. At all that the fuse lets flow they drop {} mV/A/m x {fuse:.0} x {length:.1} / 1000 = {:.2}",
        drop.origin_zs_ohm,
        drop.line.value(),
        drop.per_amp.value(),
        drop.drop,
    )
}

/// What is to be said of the board's place, and what to do.
pub(crate) fn place(finding: PlaceFinding) -> String {
    match finding {
        PlaceFinding::Room(room_use) => in_room(room_use).1.to_owned(),
        PlaceFinding::OutOfReach(height) => {
            format!("{} m above the floor is out of reach. {REACH_M} m is the most", height.value())
        }
        PlaceFinding::UnlikeNewDwelling(height) => format!(
            "It is {} m above the floor. A new home has its switches {} to {} m up. An existing one need not",
            height.value(),
            NEW_DWELLING_M.start(),
            NEW_DWELLING_M.end()
        ),
        PlaceFinding::LongTails(tails) => {
            format!("{tails:.1} of tails is over {TAILS_M_MAX}. A switched fuse at the meter protects the feed")
        }
    }
}

/// The clause or document behind it.
pub(crate) const fn place_clause(finding: PlaceFinding) -> &'static str {
    match finding {
        PlaceFinding::Room(room_use) => in_room(room_use).0,
        PlaceFinding::OutOfReach(_) => "BS 7671 132.12, from memory",
        PlaceFinding::UnlikeNewDwelling(_) => "Approved Document M volume 1, M4(1), from memory",
        PlaceFinding::LongTails(_) => "On-Site Guide 2.2 and the operator's rule",
    }
}

/// Clause and words for a board in a room of such use.
const fn in_room(room_use: RoomUse) -> (&'static str, &'static str) {
    match room_use {
        RoomUse::Bathroom => (
            "BS 7671 701.512.3, from memory",
            "In a room with a bath or shower. No switchgear in its zones, and steam gets everywhere. Move it",
        ),
        RoomUse::Outside => (
            "BS 7671 512.2, 132.12, from memory",
            "Out of doors it gets wet and is hard to reach at night. Move it inside",
        ),
        RoomUse::Loft => {
            ("BS 7671 132.12, 513.1, from memory", "In the loft it is hard to reach after a trip. Move it")
        }
        RoomUse::Cloakroom | RoomUse::Cellar => (
            "BS 7671 512.2, from memory",
            "This room may be damp. Fix the board off the wall, on a back that does not burn, away from water. Dry the room first",
        ),
        RoomUse::Hall | RoomUse::Landing => (
            "BS 7671 421.1.201, 422.2, from memory",
            "On the way out of the house. Use a metal board, seal every entry, and store nothing on or under it",
        ),
        RoomUse::Store => (
            "BS 7671 132.12, 421.1.201, from memory",
            "In a cupboard. It needs a light, and nothing stored against it. Line it against fire if it is under the only stair",
        ),
        RoomUse::Kitchen | RoomUse::KitchenDiner => {
            ("BS 7671 512.2, from memory", "In a kitchen. Never put it over the hob or sink, or behind a unit")
        }
        RoomUse::Living
        | RoomUse::Dining
        | RoomUse::Utility
        | RoomUse::Bedroom
        | RoomUse::Study
        | RoomUse::Conservatory
        | RoomUse::Garage
        | RoomUse::Other => ("", ""),
    }
}

/// Whether sockets must have arc fault detection, and why.
pub(crate) const fn arc_detection(arc: ArcDetection) -> &'static str {
    match arc {
        ArcDetection::HigherRisk => {
            "AFDDs are required on socket circuits up to 32 A, as the building has 18 m or seven storeys (BS 7671 421.1.7, from memory)"
        }
        ArcDetection::LetAsRooms => {
            "AFDDs are required on socket circuits up to 32 A once the house is let room by room. Fit it now, or leave room for devices \
             two modules wide (BS 7671 421.1.7, from memory)"
        }
        ArcDetection::Recommended => {
            "AFDDs are recommended on socket circuits up to 32 A, bedrooms first. They are not in the price (BS 7671 421.1.7, from memory)"
        }
    }
}

/// The document behind a new rule, and how far it was read.
pub(crate) const fn new_rule_clause(rule: &NewRule) -> &'static str {
    match rule {
        NewRule::Batteries { .. } => {
            "BS 7671 Amendment 4 as reported, text not held; places by PAS 63100:2024, from memory"
        }
        NewRule::TwoWayDevices { .. } | NewRule::DataEquipment { .. } => {
            "BS 7671 Amendment 4 as reported, text not held"
        }
    }
}

/// What was found by a new rule, and what to do.
pub(crate) fn new_rule(rule: &NewRule, site: &Site) -> String {
    match rule {
        NewRule::Batteries { rooms, .. } if !rooms.is_empty() => {
            let of_room =
                |(room, place): &(usize, BatteryPlace)| format!("{}: {}", site.rooms[*room].id, battery(*place));
            rooms.iter().map(of_room).collect::<Vec<_>>().join(". ")
        }
        NewRule::Batteries { may_come: true, .. } => {
            "One may come. Keep a wall for it away from escape routes, bedrooms and the loft".to_owned()
        }
        NewRule::Batteries { .. } => "No fixed battery is recorded".to_owned(),
        NewRule::TwoWayDevices { rooms, .. } if !rooms.is_empty() => {
            let rooms: Vec<&str> = rooms.iter().map(|room| site.rooms[*room].id.as_str()).collect();
            format!(
                "A battery or generator is in {}. The main switch and the devices of those circuits must be marked for both \
                 directions. Ask the maker to confirm it",
                rooms.join(", ")
            )
        }
        NewRule::TwoWayDevices { may_come: true, .. } => {
            "Nothing feeds back today. The ways kept for it take devices made for both directions".to_owned()
        }
        NewRule::TwoWayDevices { .. } => "Nothing feeds back".to_owned(),
        NewRule::DataEquipment { outlets: 0 } => "No data outlets are recorded".to_owned(),
        NewRule::DataEquipment { outlets } => format!(
            "{outlets} data outlets. If they meet in a metal cabinet, earth it to the main earthing terminal. Earth screened \
             cable at that end only, if its maker asks for it"
        ),
    }
}

const fn battery(place: BatteryPlace) -> &'static str {
    match place {
        BatteryPlace::Forbidden => "Not in a bedroom, a loft, a cupboard or on the way out of the house. Move it",
        BatteryPlace::OutOfDoors => "Out of doors. Keep it away from doors and windows used as a way out",
        BatteryPlace::Lined => "Line the wall behind and above it against fire. Fit a heat or smoke alarm in the room",
        BatteryPlace::Habitable => "People live in this room. Out of doors or the garage is better",
    }
}
