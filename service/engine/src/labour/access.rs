//! What somebody has to stand on: a tower under a high ceiling or in a stair void, a ladder or a tower outside.

use crate::catalogue::{PointGroup, PointPlace};
use crate::money::Money;
use crate::rate_sheet::HireKind;
use crate::site::RoomPlan;
use crate::survey::RoomUse;
use crate::take_off::{AccessReason, ItemDetail, ItemKind, Job, LineKind, TakeOff, TowerPlace, WITHIN_REACH_M};

/// Rooms higher than this want a tower. Source: the labour table.
pub(crate) const TOWER_ABOVE_M: f64 = 3.0;
/// Points outside up to this height are worked on from a ladder, higher ones from a tower. Common practice, no source.
pub(crate) const LADDER_UP_TO_M: f64 = 5.0;
/// Weeks for which a tower is hired: one for each fix, which lie apart while the plaster dries. Common practice, no source.
const TOWER_WEEKS: f64 = 2.0;
/// Weeks for which a ladder is hired: hole, fixing and connecting outside are one visit. Common practice, no source.
const LADDER_WEEKS: f64 = 1.0;

pub(super) fn access(job: Job<'_>, take_off: &mut TakeOff) {
    let mut places: Vec<TowerPlace> = Vec::new();
    for (index, room) in job.site.rooms.iter().enumerate() {
        if !room.is_inside() || room.points.is_empty() {
            continue;
        }
        if room.height.value() > TOWER_ABOVE_M {
            places.push(TowerPlace::HighRoom(index));
        } else if is_over_a_stair(job, room) {
            places.push(TowerPlace::OverStair(index));
        }
    }
    let (low, high) = outside(job);
    if high > 0 {
        places.push(TowerPlace::Outside { points: high });
    }
    let towers = places.iter().map(|place| f64::from(place.towers())).sum();
    set_up(job, take_off, ItemKind::Tower, towers, AccessReason::Towers(places));
    set_up(job, take_off, ItemKind::Ladder, f64::from(low), AccessReason::LadderOutside);
}

/// A landing above the ground floor, with something on its ceiling.
fn is_over_a_stair(job: Job<'_>, room: &RoomPlan) -> bool {
    let overhead = room.points.iter().any(|point| {
        let kind = &job.catalogue.points()[point.row];
        kind.place == PointPlace::Ceiling && matches!(kind.group, PointGroup::Light | PointGroup::Alarm)
    });
    room.room_use == RoomUse::Landing && room.level > 0 && overhead
}

/// Points outside that want a ladder, and those that want a tower.
fn outside(job: Job<'_>) -> (u32, u32) {
    let outside = job.site.rooms.iter().filter(|room| room.room_use == RoomUse::Outside);
    let points = outside.flat_map(|room| &room.points).filter(|point| point.height.value() > WITHIN_REACH_M);
    points.fold((0, 0), |(low, high), point| {
        if point.height.value() > LADDER_UP_TO_M { (low, high + point.count) } else { (low + point.count, high) }
    })
}

/// So many of them set up one after the other, one hired for all.
fn set_up(job: Job<'_>, take_off: &mut TakeOff, what: ItemKind, count: f64, reason: AccessReason) {
    if count == 0.0 {
        return;
    }
    let (kind, weeks) = match reason {
        AccessReason::Towers(_) => (HireKind::Tower, TOWER_WEEKS),
        AccessReason::LadderOutside => (HireKind::Ladder, LADDER_WEEKS),
    };
    let hired = job.workbook.hire(kind).next();
    let fee = hired.map_or(Money::ZERO, |rate| rate.price.times(weeks));
    take_off
        .start(LineKind::Preliminaries, what)
        .quantity(count, "each")
        .work(job.workbook.operations.tower, count)
        .outlay(fee)
        .detail(ItemDetail::Access { reason, weeks, hired: hired.cloned() })
        .done();
}
