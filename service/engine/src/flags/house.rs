//! What the structure bears, who lives beyond the wall, what waits for others.

use std::collections::BTreeSet;

use super::{CircuitFlag, FlagCollector, FlagContext, FlagDetail, FlagId};
use crate::catalogue::{CircuitType, PointGroup, PointPlace};
use crate::circuits::FedFrom;
use crate::labour::TOWER_ABOVE_M;
use crate::site::RoomPlan;
use crate::survey::{PointType, RoomUse};
use crate::take_off::ItemKind;
use crate::unknowns::{HousePlace, under_other_roofs};

/// Joists shallower than this have no middle third left to drill. Source: domain practice, from memory.
const SHALLOW_JOIST_MM: f64 = 150.0;
/// What a feed may lose of the voltage before the final circuits lose theirs. Source: domain practice, from memory.
const FEED_DROP: f64 = 0.02;

pub(super) fn house(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    structure(context, flags);
    neighbours(context, flags);
    heights(context, flags);
    feeds(context, flags);
    others(context, flags);
}

fn structure(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let opened: BTreeSet<usize> = context
        .items
        .iter()
        .filter(|(item, _)| item.what == ItemKind::OpenFloor)
        .filter_map(|(item, _)| item.room)
        .collect();
    let weak =
        |room: &RoomPlan| room.joists_notched || room.joist_depth_mm.is_some_and(|depth| depth < SHALLOW_JOIST_MM);
    let rooms = || context.rooms().filter(|(index, room)| weak(room) && opened.contains(index));
    let drilling = context.price_of(|item| {
        item.what == ItemKind::OpenFloor && item.room.is_some_and(|room| weak(&context.site.rooms[room]))
    });
    flags.raise_for_rooms(FlagId::JoistCapacity, rooms().map(|(index, _)| index), Some(drilling));
}

/// Boxes in rooms with a wall that the house shares with a neighbour.
fn neighbours(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let boxed = |room: &RoomPlan| {
        !room.surface
            && room.points.iter().any(|point| {
                let kind = &context.catalogue.points()[point.row];
                kind.place == PointPlace::Wall && kind.boxes > 0
            })
    };
    let shared = context.site.rooms_beside_a_neighbour();
    let rooms = context.indices(boxed).filter(|room| shared.contains(room));
    flags.raise_for_rooms(FlagId::SeparatingWallBox, rooms, None);
}

fn heights(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let overhead = |room: &RoomPlan| {
        room.points.iter().any(|point| {
            let kind = &context.catalogue.points()[point.row];
            kind.place == PointPlace::Ceiling && matches!(kind.group, PointGroup::Light | PointGroup::Alarm)
        })
    };
    let over_a_stair = |room: &RoomPlan| room.room_use == RoomUse::Landing && room.level > 0;
    let rooms = || {
        let high = |room: &RoomPlan| room.height.value() > TOWER_ABOVE_M || over_a_stair(room);
        context.rooms().filter(move |(_, room)| high(room) && overhead(room)).map(|(index, _)| index)
    };
    let stake = context.price_of(|item| item.what == ItemKind::Tower);
    flags.raise_for_rooms(FlagId::StairwellHeight, rooms(), Some(stake));

    let under = under_other_roofs(context.site).into_iter().filter(|room| overhead(&context.site.rooms[*room]));
    flags.raise_for_rooms(FlagId::NoWayIntoLoft, under, None);
}

/// Feeds of outbuildings that lose much of the voltage; electrodes in ground that nobody knows.
fn feeds(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    for (index, (circuit, checked)) in
        context.installation.circuits.iter().zip(&context.installation.checked).enumerate()
    {
        if circuit.kind != CircuitType::Distribution {
            continue;
        }
        // What long tails lose is not the feed's.
        let tails_v = context.installation.board.at_board.upstream.voltage_drop_v;
        let tails_v = if circuit.fed_from == FedFrom::Intake { 0.0 } else { tails_v };
        let drop = checked.as_ref().map_or(0.0, |proof| proof.judged.voltage_drop_v - tails_v);
        if drop > context.site.supply.voltage.value() * FEED_DROP {
            let detail = FlagDetail::Circuit(index, CircuitFlag::FeedDrop(drop));
            // A second cable beside it, in the same trench.
            let this =
                |item: &crate::take_off::Item| item.what == ItemKind::ArmouredFeed && item.circuit == Some(index);
            flags.raise_with(
                FlagId::FarBoardVoltDrop,
                HousePlace::Circuit(index),
                detail,
                Some(context.price_of(this)),
            );
        }
    }
    if context.items.iter().any(|(item, _)| item.what == ItemKind::EarthElectrode) {
        // Two rods more than the one that is priced.
        let stake = context.priced(context.asked.electrode() * 2.0);
        flags.raise(FlagId::ElectrodeGroundPoor, HousePlace::House, stake);
    }
}

fn others(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let dims = |room: &RoomPlan| room.points.iter().any(|point| point.kind == PointType::Dimmer);
    let rooms = context.rooms().filter(|(_, room)| dims(room)).map(|(index, _)| index);
    let stake = context.price_of(|item| item.what == ItemKind::Point(PointType::Dimmer));
    flags.raise_for_rooms(FlagId::DimmerLampMismatch, rooms, Some(stake));
    if !context.site.making_good {
        flags.raise(FlagId::OtherTradesOrder, HousePlace::House, context.visit());
    }
}
