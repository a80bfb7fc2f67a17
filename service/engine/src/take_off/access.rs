//! What somebody has to stand on: a tower under a high ceiling or in a stair void, a ladder or a tower outside.

use super::house::pennies;
use super::points::WITHIN_REACH_M;
use super::{ItemKind, Job, LineKind, TakeOff};
use crate::catalogue::{PointGroup, PointPlace};
use crate::rate_sheet::HireKind;
use crate::site::{RoomIndex, RoomPlan};
use crate::survey::RoomUse;
use crate::told::Told;

/// Rooms higher than this want a tower. Source: the labour table.
const TOWER_ABOVE_M: f64 = 3.0;
/// Points outside up to this height are worked on from a ladder, higher ones from a tower. Common practice, no source.
const LADDER_UP_TO_M: f64 = 5.0;
/// Weeks for which a tower is hired: one for each fix, which lie apart while the plaster dries. Common practice, no source.
const TOWER_WEEKS: f64 = 2.0;
/// Weeks for which a ladder is hired: hole, fixing and connecting outside are one visit. Common practice, no source.
const LADDER_WEEKS: f64 = 1.0;

/// Where a tower is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum TowerPlace {
    /// A room with a high ceiling.
    HighRoom(RoomIndex),
    /// A landing over a stair.
    OverStair(RoomIndex),
    /// So many points outside.
    Outside { points: u32 },
}

impl TowerPlace {
    /// How often one is put up: outside once for each point.
    const fn towers(self) -> u32 {
        match self {
            Self::HighRoom(_) | Self::OverStair(_) => 1,
            Self::Outside { points } => points,
        }
    }

    fn words(self, job: Job<'_>) -> String {
        match self {
            Self::HighRoom(room) => {
                let room = &job.site.rooms[room];
                format!("{}, {:.2} m high", room.id, room.height.value())
            }
            Self::OverStair(room) => format!("{}, over the stair", job.site.rooms[room].id),
            Self::Outside { points } => format!("{points} points outside above {LADDER_UP_TO_M} m"),
        }
    }
}

pub(super) fn access(job: Job<'_>, take_off: &mut TakeOff) {
    let told = take_off.told();
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
    let why: Vec<String> =
        if told == Told::InWords { places.iter().map(|place| place.words(job)).collect() } else { Vec::new() };
    let words = "Put up and strike a tower where nothing lower reaches";
    set_up(job, take_off, (ItemKind::Tower, words), towers, &why.join("; "), (HireKind::Tower, TOWER_WEEKS));

    let why = told.put(format_args!("points outside above {WITHIN_REACH_M} m"));
    set_up(
        job,
        take_off,
        (ItemKind::Ladder, "Set up and tie a ladder outside"),
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
    (item, words): (ItemKind, &str),
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
