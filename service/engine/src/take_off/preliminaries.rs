//! Getting there, protecting, keeping the house alive, clearing up. Some of it comes once, some every day, and the
//! days come from the hours of all the rest.

use super::house::pennies;
use super::{Job, TakeOff};
use crate::estimate::LineKind;
use crate::survey::{Occupancy, Parking};

/// Points that make one van of waste when taken off. Common practice, no source: one to two vans for a full rewire.
const POINTS_PER_VAN_OF_WASTE: f64 = 60.0;
/// Days between two trips to the merchant's counter. Source: the labour table, one a week.
const DAYS_PER_COLLECTION: f64 = 5.0;
/// Rooms higher than this want a tower. Source: the labour table.
const TOWER_ABOVE_M: f64 = 3.0;
/// Kilometres of one travel unit of the labour table.
const TRAVEL_UNIT_KM: f64 = 10.0;

/// Person-hours that every day on site costs, before factors, and whether evenings are kept live.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Daily {
    /// Days of the crew.
    pub days: f64,
}

impl Daily {
    /// Days that `hours` of other work take, the daily hours being in them.
    pub(crate) fn for_hours(job: Job<'_>, hours: f64) -> Self {
        let terms = &job.workbook.sheet.terms;
        let people = f64::from(terms.people);
        let mean = |operation| {
            let stages = job.workbook.operation(operation).stages;
            stages[crate::rate_sheet::Stage::Preliminaries.index()].map_or(0.0, |hours| hours.mean())
        };
        let does = &job.workbook.does;
        let travel = 2.0 * job.site.distance_km / TRAVEL_UNIT_KM * mean(does.travel_10_km) * people;
        let parking = if job.site.parking == Parking::Drive { 0.0 } else { mean(does.park_and_carry) };
        let evenings = if lived_in(job) { mean(does.keep_live) } else { 0.0 };
        let overhead = mean(does.set_up_day) + travel + parking + evenings;
        let productive = (people * terms.hours_per_day - overhead).max(1.0);
        // At least half a day: nobody drives out for less.
        Self { days: (hours / productive * 2.0).ceil().max(1.0) / 2.0 }
    }
}

fn lived_in(job: Job<'_>) -> bool {
    job.site.rooms.iter().any(|room| room.occupancy == Occupancy::InUse)
}

/// Counts the preliminaries of a job of so many days.
pub(crate) fn preliminaries(job: Job<'_>, daily: Daily, take_off: &mut TakeOff) {
    once(job, take_off);
    by_day(job, daily, take_off);
    furniture(job, take_off);
}

fn once(job: Job<'_>, take_off: &mut TakeOff) {
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    let mark_out = take_off.start(LineKind::Preliminaries, "mark-out", "Mark every point with the client");
    mark_out.work(does.mark_out, 1.0).done();
    let tens = (job.site.floor_area.value() / 10.0).ceil();
    let lived = job.site.rooms.iter().any(|room| room.occupancy != Occupancy::Empty);
    if lived {
        take_off
            .start(LineKind::Preliminaries, "protection", "Protect floors and stairs")
            .quantity(tens, "10 m2")
            .work(does.protect_floors, tens)
            .takes(takes.protection, tens)
            .done();
    }
    if lived_in(job) {
        let temporary =
            take_off.start(LineKind::Preliminaries, "temporary-supply", "Temporary supply while the old is off");
        temporary.work(does.temporary_supply, 1.0).done();
    }
    let high = job.site.rooms.iter().filter(|room| room.is_inside() && room.height.value() > TOWER_ABOVE_M).count();
    #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
    let high = high as f64;
    let tower = take_off.start(LineKind::Preliminaries, "tower", "Put up and strike a tower in high rooms");
    tower.quantity(high, "each").work(does.tower, high).done();
    #[expect(clippy::cast_precision_loss, reason = "points to strip are limited to 10,000")]
    let vans = (job.site.points_to_strip as f64 / POINTS_PER_VAN_OF_WASTE).ceil();
    #[expect(clippy::cast_possible_truncation, reason = "at most 167 vans")]
    let fees = pennies(job.workbook.sheet.terms.waste_gate_fee).saturating_mul(vans as i64);
    take_off
        .start(LineKind::Preliminaries, "waste", "Take waste to a licensed site, gate fee in it")
        .quantity(vans, "van")
        .work(does.waste_to_tip, vans)
        .outlay(fees)
        .done();
}

fn by_day(job: Job<'_>, daily: Daily, take_off: &mut TakeOff) {
    let does = &job.workbook.does;
    let terms = &job.workbook.sheet.terms;
    let days = daily.days;
    let trips = days.ceil();
    let set_up =
        take_off.start(LineKind::Preliminaries, "set-up", "Set up, dust control, sweep, make safe for the night");
    set_up.quantity(days, "crew-day").work(does.set_up_day, days).done();
    let kilometres = 2.0 * job.site.distance_km * trips;
    let van = terms.vehicle_per_km.times(kilometres);
    take_off
        .start(LineKind::Preliminaries, "travel", "Travel both ways, the whole crew, and the van")
        .quantity(kilometres, "km")
        .work(does.travel_10_km, kilometres / TRAVEL_UNIT_KM * f64::from(terms.people))
        .outlay(pennies(van))
        .note(format_args!(
            "{trips} days × 2 × {} km, {} people; the van at {} a km",
            job.site.distance_km, terms.people, terms.vehicle_per_km
        ))
        .done();
    if job.site.parking != Parking::Drive {
        let park = take_off.start(LineKind::Preliminaries, "park-and-carry", "Park away from the house and carry");
        park.quantity(trips, "crew-day").work(does.park_and_carry, trips).done();
    }
    if lived_in(job) {
        let live = take_off.start(LineKind::Preliminaries, "keep-live", "Restore essential circuits each evening");
        live.quantity(trips, "day").work(does.keep_live, trips).done();
    }
    let collections = (days / DAYS_PER_COLLECTION).ceil();
    let collect = take_off.start(LineKind::Preliminaries, "collect-materials", "Collect materials");
    collect.quantity(collections, "trip").work(does.materials_collect, collections).done();
}

fn furniture(job: Job<'_>, take_off: &mut TakeOff) {
    let does = &job.workbook.does;
    for (index, room) in job.site.rooms.iter().enumerate().filter(|(_, room)| room.is_inside()) {
        let operation = match room.occupancy {
            Occupancy::Empty => continue,
            Occupancy::LightlyFurnished | Occupancy::Furnished | Occupancy::InUse => does.move_light,
            Occupancy::Full => does.move_heavy,
        };
        if room.points.is_empty() {
            continue;
        }
        let move_out = take_off.start(LineKind::Preliminaries, "move-furniture", "Move, cover and put back furniture");
        move_out.room(index).quantity(1.0, "room").work(operation, 1.0).done();
    }
}
