//! What the structure bears, who lives beyond the wall, what waits for others.

use super::{Found, Seen, listed};
use crate::catalogue::{CircuitType, PointGroup, PointPlace};
use crate::circuits::FedFrom;
use crate::labour::TOWER_ABOVE_M;
use crate::range::unknowns::under_other_roofs;
use crate::site::RoomPlan;
use crate::survey::{PointType, RoomUse, WallSide};
use crate::take_off::ItemKind;

/// Joists shallower than this have no middle third left to drill. Source: domain practice, from memory.
const SHALLOW_JOIST_MM: f64 = 150.0;
/// What a feed may lose of the voltage before the final circuits lose theirs. Source: domain practice, from memory.
const FEED_DROP: f64 = 0.02;
/// Two edges on one line. A drawn wall is thicker.
const SAME_LINE_M: f64 = 0.05;

pub(super) fn house(seen: Seen<'_>, found: &mut Found<'_>) {
    structure(seen, found);
    neighbours(seen, found);
    heights(seen, found);
    feeds(seen, found);
    others(seen, found);
}

fn structure(seen: Seen<'_>, found: &mut Found<'_>) {
    let opened: std::collections::BTreeSet<usize> = seen
        .items
        .iter()
        .filter(|(item, _)| item.what == ItemKind::OpenFloor)
        .filter_map(|(item, _)| item.room)
        .collect();
    let weak =
        |room: &RoomPlan| room.joists_notched || room.joist_depth_mm.is_some_and(|depth| depth < SHALLOW_JOIST_MM);
    let rooms = || seen.rooms().filter(|(index, room)| weak(room) && opened.contains(index));
    let drilling = seen.price_of(|item| {
        item.what == ItemKind::OpenFloor && item.room.is_some_and(|room| weak(&seen.site.rooms[room]))
    });
    let what = "joists under 150 mm, or cut already, under a floor that is to be opened";
    found.raise_for_rooms("joist-capacity", rooms().map(|(_, room)| room), what, Some(drilling));
}

/// Boxes on a wall that the house shares with a neighbour.
fn neighbours(seen: Seen<'_>, found: &mut Found<'_>) {
    let inside = || seen.rooms().map(|(_, room)| room);
    let edge = |side: WallSide, room: &RoomPlan| {
        let (least, greatest) = room.outline.as_ref()?.bounds();
        Some(match side {
            WallSide::Left => least.x_m,
            WallSide::Front => least.y_m,
            WallSide::Right => -greatest.x_m,
            WallSide::Back => -greatest.y_m,
        })
    };
    let boxed = |room: &RoomPlan| {
        !room.surface
            && room.points.iter().any(|point| {
                let kind = &seen.catalogue.points()[point.row];
                kind.place == PointPlace::Wall && kind.boxes > 0
            })
    };
    let mut shared: Vec<&str> = Vec::new();
    for side in &seen.site.party_walls {
        let outermost = inside().filter_map(|room| edge(*side, room)).fold(f64::INFINITY, f64::min);
        let on_it = |room: &&RoomPlan| edge(*side, room).is_some_and(|at| at - outermost < SAME_LINE_M);
        shared.extend(inside().filter(on_it).filter(|room| boxed(room)).map(|room| room.id.as_str()));
    }
    shared.sort_unstable();
    shared.dedup();
    if !shared.is_empty() {
        let what = "rooms with boxes lie against the neighbour's wall, and no place keeps them off it";
        found.raise("separating-wall-box", listed(&shared), what, None);
    }
}

fn heights(seen: Seen<'_>, found: &mut Found<'_>) {
    let overhead = |room: &RoomPlan| {
        room.points.iter().any(|point| {
            let kind = &seen.catalogue.points()[point.row];
            kind.place == PointPlace::Ceiling && matches!(kind.group, PointGroup::Light | PointGroup::Alarm)
        })
    };
    let over_a_stair = |room: &RoomPlan| room.room_use == RoomUse::Landing && room.level > 0;
    let rooms = || {
        let high = |room: &RoomPlan| room.height.value() > TOWER_ABOVE_M || over_a_stair(room);
        seen.rooms().map(|(_, room)| room).filter(move |room| high(room) && overhead(room))
    };
    let stake = seen.price_of(|item| item.what == ItemKind::Tower);
    found.raise_for_rooms("stairwell-height", rooms(), "a light or alarm over the stair or above 3 m", Some(stake));

    let under: Vec<&RoomPlan> = under_other_roofs(seen.site)
        .into_iter()
        .map(|room| &seen.site.rooms[room])
        .filter(|room| overhead(room))
        .collect();
    let stake = seen.dearest("roof-over-extension");
    let what = "lights under a roof that the loft does not reach, and nobody has found a way in";
    found.raise_for_rooms("no-way-into-loft", under.into_iter(), what, stake);
}

/// Feeds of outbuildings that lose much of the voltage; electrodes in ground that nobody knows.
fn feeds(seen: Seen<'_>, found: &mut Found<'_>) {
    for (index, (circuit, checked)) in seen.installation.circuits.iter().zip(&seen.installation.checked).enumerate() {
        if circuit.kind != CircuitType::Distribution {
            continue;
        }
        // What long tails lose is not the feed's.
        let tails_v = seen.installation.board.at_board.upstream.voltage_drop_v;
        let tails_v = if circuit.fed_from == FedFrom::Intake { 0.0 } else { tails_v };
        let drop = checked.as_ref().map_or(0.0, |proof| proof.judged.voltage_drop_v - tails_v);
        if drop > seen.site.supply.voltage.value() * FEED_DROP {
            let what = format!("{} loses {drop:.1} V before the final circuits lose theirs", circuit.name);
            // A second cable beside it, in the same trench.
            let this =
                |item: &crate::take_off::Item| item.what == ItemKind::ArmouredFeed && item.circuit == Some(index);
            found.raise("far-board-volt-drop", circuit.id.clone(), what, Some(seen.price_of(this)));
        }
    }
    if seen.items.iter().any(|(item, _)| item.what == ItemKind::EarthElectrode) {
        // Two rods more than the one that is priced.
        let stake = seen.priced(seen.asked.electrode() * 2.0);
        let what = "an electrode is priced with one rod, and nobody knows the ground";
        found.raise("electrode-ground-poor", "house", what, stake);
    }
}

fn others(seen: Seen<'_>, found: &mut Found<'_>) {
    let dims = |room: &RoomPlan| room.points.iter().any(|point| point.kind == PointType::Dimmer);
    let rooms = seen.rooms().map(|(_, room)| room).filter(|room| dims(room));
    let stake = seen.price_of(|item| item.what == ItemKind::Point(PointType::Dimmer));
    found.raise_for_rooms("dimmer-lamp-mismatch", rooms, "a dimmer, and the lamps are not on the list", Some(stake));
    if !seen.site.making_good {
        let what = "somebody else fills the chases, and his dates are not known";
        found.raise("other-trades-order", "house", what, seen.visit());
    }
}
