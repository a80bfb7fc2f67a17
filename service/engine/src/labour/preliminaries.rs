//! Getting there, protecting, keeping the house alive, clearing up. Some of it comes once, some every day, and the
//! days come from the hours of all the rest.

use super::{ItemHours, access, waste};
use crate::rate_sheet::Stage;
use crate::site::RoomPlan;
use crate::survey::{Occupancy, Parking, RoomUse};
use crate::take_off::{Item, ItemDetail, ItemKind, Job, LineKind, TakeOff};

/// Days between two trips to the merchant's counter. Source: the labour table, one a week.
const DAYS_PER_COLLECTION: f64 = 5.0;
/// Kilometres of one travel unit of the labour table.
pub(crate) const TRAVEL_UNIT_KM: f64 = 10.0;

/// Days of the crew, and which of them are paid for elsewhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Daily {
    /// Days of the crew.
    pub days: f64,
    /// Days of the visit that another job pays for.
    paid: f64,
    /// Whole days on which nothing but tests is left, so that only those come who may test.
    tests_alone: f64,
    /// People who come.
    pub people: f64,
    /// Whether plaster dries between two visits; a little of it is filled and fitted over on the same one.
    pub dries: bool,
}

/// Days up to which one person does alone what is less than a rewire. Common practice, no source: the second person costs
/// more travel than the job takes.
pub(crate) const ONE_PERSON_DAYS_MAX: f64 = 2.0;
/// Metres of chase that are filled and fitted over on the same visit, with quick-setting filler; more wants a visit after
/// it has dried. Common practice, no source.
const CHASE_FILLED_THE_SAME_DAY_M: f64 = 8.0;
/// How much of its room is cleared for each point of a small job: the wall that it stands on. Common practice, no source.
const ROOM_CLEARED_FOR_A_POINT: f64 = 0.25;
/// Floor that is sheeted for each point of a small job, in m2. Common practice, no source.
const SHEETED_FOR_A_POINT_M2: f64 = 4.0;

impl Daily {
    /// Days that the other work takes, the daily hours being in them. The whole crew works together; only those who may test
    /// do so.
    #[must_use]
    pub fn for_hours(job: Job<'_>, hours: &[ItemHours], take_off: &TakeOff) -> Self {
        /// At least half a day, and in halves: nobody drives out for less.
        const IN_HALVES: f64 = 2.0;
        /// On somebody else's visit in tenths: the rest of the day is that job's.
        const IN_TENTHS: f64 = 10.0;
        let up_to = |days: f64, parts: f64| (days * parts).ceil().max(1.0) / parts;
        let written = written_in_the_office(job, hours, take_off);
        let all = hours.iter().map(ItemHours::total).sum::<f64>() - written;
        let day = job.workbook.sheet.terms.hours_per_day;
        let alone = !job.site.scope.rewires() && all <= ONE_PERSON_DAYS_MAX * day;
        let people = if alone { 1.0 } else { job.workbook.people() };
        let testers = job.workbook.testers().min(people);
        let testing: f64 = hours.iter().map(|hours| hours.stages[Stage::Testing.index()]).sum::<f64>() - written;
        // Where everybody tests, the tests are work like any other.
        let (together, testing) = if testers < people { (all - testing, testing) } else { (all, 0.0) };

        let productive = |people: f64| (people * day - daily_hours(job, people)).max(1.0);
        let tests_alone = testing / productive(testers);
        let needed = together / productive(people) + tests_alone;
        let much_to_dry = take_off.chased_m() > CHASE_FILLED_THE_SAME_DAY_M;
        let Some(visit) = job.visit else {
            let dries = !job.site.scope.rewires() && job.site.making_good && much_to_dry;
            /// Two visits with the drying between them.
            const BEFORE_AND_AFTER_DAYS: f64 = 1.5;
            let days = up_to(needed, IN_HALVES).max(if dries { BEFORE_AND_AFTER_DAYS } else { 0.0 });
            let dries = dries || job.site.scope.rewires();
            return Self { days, paid: 0.0, tests_alone: tests_alone.floor(), people, dries };
        };
        // What is done on the days that are paid for has no daily hours of its own.
        let paid = visit.days_paid();
        let free = together / (people * day) + testing / (testers * day);
        let days =
            if free <= paid { up_to(free, IN_TENTHS) } else { paid + up_to(needed * (free - paid) / free, IN_HALVES) };
        Self { days, paid, tests_alone: 0.0, people, dries: job.site.scope.rewires() || much_to_dry }
    }

    /// Times that the crew comes, each of them a day or half of one.
    #[must_use]
    pub fn visits(self) -> u32 {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "days of a crew")]
        let visits = self.days.ceil().max(0.0) as u32;
        visits
    }

    /// Days of the crew that this job pays for.
    fn own_days(self) -> f64 {
        (self.days - self.paid).max(0.0)
    }

    /// Times that the crew drives out for this job.
    fn own_trips(self) -> f64 {
        (self.days.ceil() - self.paid.ceil()).max(0.0)
    }
}

/// Hours of the papers of a small job, which are written in the office and take no day on site.
fn written_in_the_office(job: Job<'_>, hours: &[ItemHours], take_off: &TakeOff) -> f64 {
    if job.site.scope.rewires() {
        return 0.0;
    }
    let paper = |item: &Item| {
        matches!(
            item.what,
            ItemKind::Certificate | ItemKind::MinorWorks | ItemKind::Notification | ItemKind::OperatorForm
        )
    };
    let items = take_off.items.iter().zip(hours);
    items.filter(|(item, _)| paper(item)).map(|(_, hours)| hours.stages[Stage::Testing.index()]).sum()
}

/// Person-hours that every day on site costs so many people, before factors.
fn daily_hours(job: Job<'_>, people: f64) -> f64 {
    let mean = |operation| {
        let stages = job.workbook.operation(operation).stages;
        stages[Stage::Preliminaries.index()].map_or(0.0, |hours| hours.mean())
    };
    let operations = &job.workbook.operations;
    let travel = 2.0 * paid_km(job) / TRAVEL_UNIT_KM * mean(operations.travel_10_km) * people;
    let parking = if job.site.parking == Parking::Drive { 0.0 } else { mean(operations.park_and_carry) };
    let evenings = if goes_dark(job) { mean(operations.keep_live) } else { 0.0 };
    mean(operations.set_up_day) * of_the_crew(job, people) + travel + parking + evenings
}

/// Kilometres one way that the firm pays as working time.
fn paid_km(job: Job<'_>) -> f64 {
    let stages = job.workbook.operation(job.workbook.operations.travel_10_km).stages;
    let hours_of_ten_km = stages[Stage::Preliminaries.index()].map_or(0.0, |hours| hours.mean());
    job.workbook.sheet.terms.paid_km(job.site.distance_km, hours_of_ten_km)
}

/// How much of what the whole crew does every day falls to so many people.
fn of_the_crew(job: Job<'_>, people: f64) -> f64 {
    people / job.workbook.people().max(1.0)
}

fn lived_in(job: Job<'_>) -> bool {
    job.site.rooms.iter().any(|room| room.occupancy == Occupancy::InUse)
}

/// Whether the house has to be made live again in the evening: it is lived in, and its wiring is renewed.
fn goes_dark(job: Job<'_>) -> bool {
    job.site.scope.rewires() && lived_in(job)
}

/// Counts the preliminaries of a job of so many days and so many metres of chase.
pub fn preliminaries(job: Job<'_>, daily: Daily, chased_m: f64, take_off: &mut TakeOff) {
    once(job, chased_m, take_off);
    shared_visit(job, daily, take_off);
    by_day(job, daily, take_off);
    furniture(job, take_off);
}

fn once(job: Job<'_>, chased_m: f64, take_off: &mut TakeOff) {
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    if job.site.scope.rewires() {
        let mark_out = take_off.start(LineKind::Preliminaries, ItemKind::MarkOut);
        mark_out.work(operations.mark_out, 1.0).done();
    }
    let begun = |(index, room): &(usize, &RoomPlan)| {
        room.is_inside() && room.room_use != RoomUse::Loft && job.has_begun(*index)
    };
    let begun: f64 = job.site.rooms.iter().enumerate().filter(begun).map(|(_, room)| room.area.value()).sum();
    let tens = if job.site.scope.rewires() {
        ((job.site.floor_area.value() - begun) / 10.0).ceil().max(0.0)
    } else {
        sheeted_m2(job) / 10.0
    };
    let lived = job.site.rooms.iter().any(|room| room.occupancy != Occupancy::Empty);
    if lived {
        take_off
            .start(LineKind::Preliminaries, ItemKind::Protection)
            .quantity(tens, "10 m2")
            .work(operations.protect_floors, tens)
            .uses_material(materials.protection, tens)
            .done();
    }
    if goes_dark(job) && job.visit.is_none() {
        let temporary = take_off.start(LineKind::Preliminaries, ItemKind::TemporarySupply);
        temporary.work(operations.temporary_supply, 1.0).done();
    }
    access::access(job, take_off);
    waste::waste(job, chased_m, take_off);
}

/// Floor that a small job sheets: round its points, and no more than their rooms have.
fn sheeted_m2(job: Job<'_>) -> f64 {
    let worked_in =
        job.site.rooms.iter().enumerate().filter(|(index, room)| room.is_inside() && !job.has_begun(*index));
    let round_them = |room: &RoomPlan| points_of(room) * SHEETED_FOR_A_POINT_M2;
    worked_in.map(|(_, room)| round_them(room).min(room.area.value())).sum()
}

fn points_of(room: &RoomPlan) -> f64 {
    room.points.iter().map(|point| f64::from(point.count)).sum()
}

fn by_day(job: Job<'_>, daily: Daily, take_off: &mut TakeOff) {
    let operations = &job.workbook.operations;
    let terms = &job.workbook.sheet.terms;
    let days = daily.own_days();
    let trips = daily.own_trips();
    // A small job is set up and cleared once a visit, however long that is.
    let set_ups = if job.site.scope.rewires() { days } else { trips * of_the_crew(job, daily.people) };
    let set_up = take_off.start(LineKind::Preliminaries, ItemKind::SetUp);
    set_up.quantity(set_ups, "crew-day").work(operations.set_up_day, set_ups).done();
    let kilometres = 2.0 * job.site.distance_km * trips;
    let van = terms.vehicle_per_km.times(kilometres);
    let (people, testers) = (daily.people, job.workbook.testers().min(daily.people));
    let alone = daily.tests_alone.min(trips);
    let seats = people * (trips - alone) + testers * alone;
    take_off
        .start(LineKind::Preliminaries, ItemKind::Travel)
        .quantity(kilometres, "km")
        .work(operations.travel_10_km, 2.0 * paid_km(job) / TRAVEL_UNIT_KM * seats)
        .outlay(van)
        .detail(ItemDetail::Travel { trips, people, tests_alone: alone })
        .done();
    if job.site.parking != Parking::Drive {
        let park = take_off.start(LineKind::Preliminaries, ItemKind::ParkAndCarry);
        park.quantity(trips, "crew-day").work(operations.park_and_carry, trips).done();
    }
    if goes_dark(job) {
        let live = take_off.start(LineKind::Preliminaries, ItemKind::KeepLive);
        live.quantity(trips, "day").work(operations.keep_live, trips).done();
    }
    // A small job is fetched for together with others of the week.
    let collections = days / DAYS_PER_COLLECTION;
    let collections = if job.site.scope.rewires() { collections.ceil() } else { collections };
    let collect = take_off.start(LineKind::Preliminaries, ItemKind::CollectMaterials);
    collect.quantity(collections, "trip").work(operations.materials_collect, collections).done();
}

/// What the visit of another job leaves out here, on a line that costs nothing.
fn shared_visit(job: Job<'_>, daily: Daily, take_off: &mut TakeOff) {
    if job.visit.is_none() {
        return;
    }
    let within = daily.days.min(daily.paid);
    let trips = daily.days.ceil().min(daily.paid.ceil());
    take_off
        .start(LineKind::Preliminaries, ItemKind::VisitShared)
        .quantity(within, "crew-day")
        .detail(ItemDetail::VisitShared { days: daily.days, paid: daily.paid, within, trips })
        .stated();
}

fn furniture(job: Job<'_>, take_off: &mut TakeOff) {
    let operations = &job.workbook.operations;
    for (index, room) in job.site.rooms.iter().enumerate().filter(|(_, room)| room.is_inside()) {
        let operation = match room.occupancy {
            Occupancy::Empty => continue,
            Occupancy::LightlyFurnished | Occupancy::Furnished | Occupancy::InUse => operations.move_light,
            Occupancy::Full => operations.move_heavy,
        };
        if room.points.is_empty() || job.has_begun(index) {
            continue;
        }
        let cleared =
            if job.site.scope.rewires() { 1.0 } else { (points_of(room) * ROOM_CLEARED_FOR_A_POINT).min(1.0) };
        let move_out = take_off.start(LineKind::Preliminaries, ItemKind::MoveFurniture);
        move_out.room(index).quantity(cleared, "room").work(operation, cleared).done();
    }
}
