//! What somebody has to stand on: a tower under a high ceiling or in a stair void, a ladder or a tower outside.

use super::house::pennies;
use super::points::WITHIN_REACH_M;
use super::{Job, TakeOff};
use crate::catalogue::{PointGroup, PointPlace};
use crate::estimate::LineKind;
use crate::rate_sheet::HireKind;
use crate::site::RoomPlan;
use crate::survey::RoomUse;

/// Rooms higher than this want a tower. Source: the labour table.
const TOWER_ABOVE_M: f64 = 3.0;
/// Points outside up to this height are worked on from a ladder, higher ones from a tower. Common practice, no source.
const LADDER_UP_TO_M: f64 = 5.0;
/// Weeks for which a tower is hired: one for each fix, which lie apart while the plaster dries. Common practice, no source.
const TOWER_WEEKS: f64 = 2.0;
/// Weeks for which a ladder is hired: hole, fixing and connecting outside are one visit. Common practice, no source.
const LADDER_WEEKS: f64 = 1.0;

pub(super) fn access(job: Job<'_>, take_off: &mut TakeOff) {
    let told = take_off.told();
    let mut places: Vec<String> = Vec::new();
    for room in job.site.rooms.iter().filter(|room| room.is_inside() && !room.points.is_empty()) {
        if room.height.value() > TOWER_ABOVE_M {
            places.push(told.put(format_args!("{}, {:.2} m high", room.id, room.height.value())));
        } else if is_over_a_stair(job, room) {
            places.push(told.put(format_args!("{}, over the stair", room.id)));
        }
    }
    let (low, high) = outside(job);
    if high > 0 {
        places.push(told.put(format_args!("{high} points outside above {LADDER_UP_TO_M} m")));
    }
    #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
    let towers = (places.len() + (high as usize).saturating_sub(1)) as f64;
    let words = "Put up and strike a tower where nothing lower reaches";
    set_up(job, take_off, ("tower", words), towers, &places.join("; "), (HireKind::Tower, TOWER_WEEKS));

    let why = told.put(format_args!("points outside above {WITHIN_REACH_M} m"));
    set_up(
        job,
        take_off,
        ("ladder", "Set up and tie a ladder outside"),
        f64::from(low),
        &why,
        (HireKind::Ladder, LADDER_WEEKS),
    );
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
fn set_up(
    job: Job<'_>,
    take_off: &mut TakeOff,
    (item, words): (&'static str, &str),
    count: f64,
    why: &str,
    (kind, weeks): (HireKind, f64),
) {
    if count == 0.0 {
        return;
    }
    let hired = job.workbook.hire(kind).next();
    let (fee, hire) = match hired {
        Some(rate) => {
            let words = format_args!("{weeks} × {} at {} a {}", rate.item, rate.price, rate.unit);
            (rate.price.times(weeks), take_off.told().put(words))
        }
        None => {
            let words = format_args!("the rate sheet hires no {kind}: the firm's own");
            (crate::money::Money::ZERO, take_off.told().put(words))
        }
    };
    take_off
        .start(LineKind::Preliminaries, item, words)
        .quantity(count, "each")
        .work(job.workbook.does.tower, count)
        .outlay(pennies(fee))
        .note(format_args!("{why}; {hire}"))
        .done();
}
