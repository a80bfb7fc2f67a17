//! What is said of the board: its size, its place, its devices, and what the rules' newest amendment adds.

use crate::circuits::edition::{BatteryPlace, NewRule};
use crate::circuits::place::{NEW_DWELLING_M, PlaceFinding, REACH_M};
use crate::circuits::tails::{TAILS_M_MAX, TailsDrop};
use crate::circuits::{ArcDetection, BoardPlan};
use crate::quantities::Metres;
use crate::site::Site;
use crate::survey::RoomUse;

/// Why the board is as it is.
pub(crate) fn because(board: &BoardPlan, site: &Site) -> Vec<String> {
    let BoardPlan { used, spare, ways, tails, main_switch, .. } = board;
    let mut words = vec![format!(
        "{used} ways used, {spare} to spare asked for (two or a fifth, and {} for what may come): {ways} ways",
        board.kept_for.len()
    )];
    if board.switched_fuse {
        words.push(format!(
            "{tails:.1} of tails is over {TAILS_M_MAX}: a switched fuse at the meter and a protected feed to the board"
        ));
    }
    words.extend(board.at_board.tails.as_ref().map(|drop| tails_drop(drop, *tails, board.at_board.upstream.zs_ohm)));
    let cut_out = site.supply.cut_out;
    words.push(format!("main switch of {main_switch:.0}, two poles, not under the cut-out of {cut_out:.0}"));
    if !board.sections.is_empty() {
        words.push(
            "lights and sockets of one storey hang behind different residual current devices, and no two lighting circuits \
             in a row behind the same (BS 7671 314.1, from memory)"
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
        "the tails are in every check: Zs at the board {} + ({} x {multiplier}{earth}) mohm/m x {length:.1} / 1000 = {zs_ohm:.4} \
         ohm; {} mV/A/m x {fuse:.0}, all that the fuse lets flow, x {length:.1} / 1000 = {:.2}",
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
            format!("{} m above the floor is out of reach; {REACH_M} m at most", height.value())
        }
        PlaceFinding::UnlikeNewDwelling(height) => format!(
            "{} m above the floor: a new dwelling has its switches {} to {} m up; an existing one need not",
            height.value(),
            NEW_DWELLING_M.start(),
            NEW_DWELLING_M.end()
        ),
        PlaceFinding::LongTails(tails) => {
            format!("{tails:.1} of tails is over {TAILS_M_MAX}: a switched fuse at the meter protects the feed")
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
            "a room with a bath or shower: no switchgear in its zones, and steam everywhere; move it",
        ),
        RoomUse::Outside => {
            ("BS 7671 512.2, 132.12, from memory", "out of doors: wet, and out of reach at night; move it inside")
        }
        RoomUse::Loft => {
            ("BS 7671 132.12, 513.1, from memory", "in the loft: not readily reached when it has tripped; move it")
        }
        RoomUse::Cloakroom | RoomUse::Cellar => (
            "BS 7671 512.2, from memory",
            "may be damp: off the wall on a non-combustible back, away from water, and dry before it is fitted",
        ),
        RoomUse::Hall | RoomUse::Landing => (
            "BS 7671 421.1.201, 422.2, from memory",
            "on the way out of the house: non-combustible enclosure, every entry sealed, nothing stored on or under it",
        ),
        RoomUse::Store => (
            "BS 7671 132.12, 421.1.201, from memory",
            "in a cupboard: lit, nothing stored against it, lined against fire where it is under the only stair",
        ),
        RoomUse::Kitchen | RoomUse::KitchenDiner => {
            ("BS 7671 512.2, from memory", "in a kitchen: never over hob or sink, nor behind a unit")
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
            "required on socket circuits up to 32 A: a residential building of 18 m or seven storeys (BS 7671 \
             421.1.7, from memory)"
        }
        ArcDetection::LetAsRooms => {
            "required on socket circuits up to 32 A once it is let room by room: fit it now, or leave ways for \
             devices of two modules (BS 7671 421.1.7, from memory)"
        }
        ArcDetection::Recommended => {
            "recommended on socket circuits up to 32 A, bedrooms first; not priced (BS 7671 421.1.7, from memory)"
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
            rooms.iter().map(of_room).collect::<Vec<_>>().join("; ")
        }
        NewRule::Batteries { may_come: true, .. } => {
            "one may come: keep a wall for it outside escape routes, sleeping rooms and the loft".to_owned()
        }
        NewRule::Batteries { .. } => "no stationary battery is recorded".to_owned(),
        NewRule::TwoWayDevices { rooms, .. } if !rooms.is_empty() => {
            let rooms: Vec<&str> = rooms.iter().map(|room| site.rooms[*room].id.as_str()).collect();
            format!(
                "storage or generation in {}: devices of those circuits, and the main switch, marked fit for both \
                 directions; the maker confirms it",
                rooms.join(", ")
            )
        }
        NewRule::TwoWayDevices { may_come: true, .. } => {
            "nothing feeds back today; the ways kept for it take devices fit for both directions".to_owned()
        }
        NewRule::TwoWayDevices { .. } => "nothing feeds back".to_owned(),
        NewRule::DataEquipment { outlets: 0 } => "no data outlets are recorded".to_owned(),
        NewRule::DataEquipment { outlets } => format!(
            "{outlets} data outlets: where they meet in a metal cabinet, its earth goes to the main earthing terminal; \
             screened cable is earthed at that end only, if its maker asks for it"
        ),
    }
}

const fn battery(place: BatteryPlace) -> &'static str {
    match place {
        BatteryPlace::Forbidden => "not in a sleeping room, a loft, a cupboard or on the way out of the house; move it",
        BatteryPlace::OutOfDoors => "out of doors: away from doors and windows that one escapes through",
        BatteryPlace::Lined => "fire-resisting lining behind and above it, and a heat or smoke alarm in the room",
        BatteryPlace::Habitable => "a habitable room: out of doors or the garage is preferred",
    }
}
