//! What follows from the days and the place: access, waste, travel, a visit that is shared.

use crate::labour::{LADDER_UP_TO_M, VAN_M3};
use crate::rate_sheet::{HireKind, HireRate, PaidTravel};
use crate::take_off::{AccessReason, ItemDetail, Job, SkipsWeighed, TowerPlace, WITHIN_REACH_M, WasteOf, WasteReason};

/// What is said of a line of the preliminaries; absent for any other.
pub(super) fn note(job: Job<'_>, detail: &ItemDetail) -> Option<String> {
    match detail {
        ItemDetail::Access { reason, weeks, hired } => Some(access(job, reason, *weeks, hired.as_ref())),
        ItemDetail::Waste(reason) => Some(waste(reason)),
        ItemDetail::Travel { trips, people, tests_alone } => Some(travel(job, *trips, *people, *tests_alone)),
        ItemDetail::VisitShared { days, paid, within, trips } => shared_visit(job, (*days, *paid), (*within, *trips)),
        _ => None,
    }
}

fn access(job: Job<'_>, reason: &AccessReason, weeks: f64, hired: Option<&HireRate>) -> String {
    let (why, kind) = match reason {
        AccessReason::Towers(places) => {
            let places: Vec<String> = places.iter().map(|place| tower_place(job, *place)).collect();
            (places.join(", and "), HireKind::Tower)
        }
        AccessReason::LadderOutside => (format!("Points outside above {WITHIN_REACH_M} m"), HireKind::Ladder),
    };
    match hired {
        Some(rate) => format!("{why}. Hired: {weeks} × {} at {} a {}", rate.item, rate.price, rate.unit),
        None => format!("{why}. The rate sheet hires no {kind}, so it is the firm's own"),
    }
}

fn tower_place(job: Job<'_>, place: TowerPlace) -> String {
    match place {
        TowerPlace::HighRoom(room) => {
            let room = &job.site.rooms[room];
            format!("{} is {:.2} m high", room.id, room.height.value())
        }
        TowerPlace::OverStair(room) => format!("{} is over the stair", job.site.rooms[room].id),
        TowerPlace::Outside { points } => format!("points outside above {LADDER_UP_TO_M} m: {points}"),
    }
}

fn waste(reason: &WasteReason) -> String {
    let WasteReason { volume_m3, parts, vans, by_van, skips } = reason;
    let working: Vec<String> = parts
        .iter()
        .map(|part| format!("{:.0} {} at {:.4} m3", part.quantity, waste_of(part.of), part.each_m3))
        .collect();
    let against = match skips {
        Some(SkipsWeighed { skip, count, price, .. }) => {
            format!("Either {vans} vans at {by_van:.2}, or {count} × {} at {price}", skip.item)
        }
        None => format!("{vans} vans of {VAN_M3} m3. The rate sheet hires no skip"),
    };
    let permit = match reason.by_skip().and_then(|skips| Some((skips.count, skips.permit.as_ref()?))) {
        Some((count, permit)) => {
            format!(". It stands on the road: {count} × {} at {}", permit.item, permit.price)
        }
        None => String::new(),
    };
    format!("{volume_m3:.2} m3 loose: {}. {against}{permit}", working.join(" + "))
}

const fn waste_of(of: WasteOf) -> &'static str {
    match of {
        WasteOf::OldPoints => "old points",
        WasteOf::OldSurface => "m on the surface",
        WasteOf::StorageHeaters => "storage heaters",
        WasteOf::Chase => "m of chase",
        WasteOf::HardStanding => "m of hard standing",
    }
}

fn travel(job: Job<'_>, trips: f64, people: f64, tests_alone: f64) -> String {
    let testers = job.workbook.testers();
    let (kilometres, van) = (job.site.distance_km, job.workbook.sheet.terms.vehicle_per_km);
    let alone = if tests_alone > 0.0 {
        format!(". On {tests_alone} of the days only the {testers} who test")
    } else {
        String::new()
    };
    let who = if people > 1.0 { "people" } else { "person" };
    let days = if trips > 1.0 { "days" } else { "day" };
    let unpaid = match job.workbook.sheet.terms.paid_travel {
        PaidTravel::All => "",
        PaidTravel::Beyond => ". Hours are paid only beyond the crew's own way to work",
        PaidTravel::None => ". The crew's hours on the way are not paid",
    };
    format!("{trips} {days} × 2 × {kilometres} km, {people} {who}. The van costs {van} a km{unpaid}{alone}")
}

fn shared_visit(job: Job<'_>, (days, paid): (f64, f64), (within, trips): (f64, f64)) -> Option<String> {
    let visit = job.visit?;
    let by = &visit.paid_by;
    let mut left_out = format!(
        "{by} pays for {paid} days of the crew. This job takes {days}. Left out here: {within} days of setting up, {trips} days of \
         travel, parking, evenings and temporary supply, and the firm's minimum charge"
    );
    if !visit.rooms.is_empty() {
        left_out.push_str(". Rooms cleared, protected and scanned there: ");
        left_out.push_str(&visit.rooms.join(", "));
    }
    Some(left_out)
}
