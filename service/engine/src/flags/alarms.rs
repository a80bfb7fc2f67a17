//! Alarms: where the category asks for them, one on each storey, near enough to what they watch, and one for the gas
//! of whatever burns.

use std::collections::BTreeMap;

use super::{Found, Seen};
use crate::money::Money;
use crate::site::RoomPlan;
use crate::survey::{AlarmCategory, ApplianceType, PointType, RoomUse};

/// No point of the ceiling is further than this from a smoke alarm. Source: Approved Document B; BS 5839-6, from memory.
const SMOKE_REACH_M: f64 = 7.5;
/// Or from a heat alarm. Source: BS 5839-6 as printed in a maker's manual (manualshive.com).
const HEAT_REACH_M: f64 = 5.3;

pub(super) fn alarms(seen: Seen<'_>, found: &mut Found<'_>) {
    by_category(seen, found);
    by_storey(seen, found);
    by_reach(seen, found);
    carbon_monoxide(seen, found);
}

fn count(room: &RoomPlan, kinds: &[PointType]) -> u32 {
    room.points.iter().filter(|point| kinds.contains(&point.kind)).map(|point| point.count).sum()
}

const ALARMS: [PointType; 2] = [PointType::SmokeAlarm, PointType::HeatAlarm];

/// Source: BS 5839-6 categories as printed in a fire safety guide (content.yudu.com, page 7) and a maker's manual: LD3
/// escape routes; LD2 with the kitchen and the main living room; LD1 all rooms but bathrooms and lavatories.
fn wanted(category: AlarmCategory, room: &RoomPlan) -> bool {
    match (category, room.room_use) {
        (_, RoomUse::Hall | RoomUse::Landing) => true,
        (AlarmCategory::Ld3, _) => false,
        (_, RoomUse::Kitchen | RoomUse::KitchenDiner | RoomUse::Living) => true,
        (AlarmCategory::Ld2, _) => false,
        (AlarmCategory::Ld1, RoomUse::Bathroom | RoomUse::Cloakroom | RoomUse::Outside | RoomUse::Store) => false,
        (AlarmCategory::Ld1, _) => true,
    }
}

fn at_its_rate(seen: Seen<'_>, alarms: usize) -> Option<Money> {
    #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
    let alarms = alarms as f64;
    Some(seen.workbook.point_rate(PointType::SmokeAlarm).first.times(alarms))
}

fn by_category(seen: Seen<'_>, found: &mut Found<'_>) {
    let bare = || {
        let inside = seen.site.rooms.iter().filter(|room| room.is_inside());
        inside.filter(|room| wanted(seen.site.alarms, room) && count(room, &ALARMS) == 0)
    };
    let what = format!("category {} asks for an alarm here and none was recorded", seen.site.alarms);
    found.raise_for_rooms("alarms-short", bare(), &what, at_its_rate(seen, bare().count()));
}

/// Storeys that no room of the category speaks for. Source: Approved Document B, one smoke alarm on each storey at
/// least.
fn by_storey(seen: Seen<'_>, found: &mut Found<'_>) {
    let mut storeys: BTreeMap<i8, (bool, Vec<&RoomPlan>)> = BTreeMap::new();
    for (_, room) in seen.rooms().filter(|(_, room)| room.room_use != RoomUse::Loft) {
        let (spoken_for, rooms) = storeys.entry(room.level).or_default();
        *spoken_for |= count(room, &ALARMS) > 0 || wanted(seen.site.alarms, room);
        rooms.push(room);
    }
    for (_, rooms) in storeys.into_values().filter(|(spoken_for, _)| !spoken_for) {
        found.raise_for_rooms("alarms-short", rooms.into_iter(), "no alarm on this storey", at_its_rate(seen, 1));
    }
}

fn by_reach(seen: Seen<'_>, found: &mut Found<'_>) {
    let far = |room: &RoomPlan| {
        let half = room.shape.longer_side().value() / 2.0;
        let (smoke, heat) = (count(room, &[PointType::SmokeAlarm]), count(room, &[PointType::HeatAlarm]));
        let reach = f64::from(smoke) * SMOKE_REACH_M + f64::from(heat) * HEAT_REACH_M;
        room.outline.is_some() && reach > 0.0 && half > reach
    };
    let rooms = || seen.rooms().map(|(_, room)| room).filter(|room| far(room));
    let what = "part of the ceiling is further from the alarm than it reaches: 7.5 m for smoke, 5.3 m for heat";
    found.raise_for_rooms("alarms-short", rooms(), what, at_its_rate(seen, rooms().count()));
}

fn carbon_monoxide(seen: Seen<'_>, found: &mut Found<'_>) {
    let burning = || {
        seen.site.rooms.iter().filter(|room| {
            let boiler = room.appliances.iter().any(|one| one.kind == ApplianceType::Boiler);
            room.is_inside() && (room.combustion_appliance || boiler) && count(room, &[PointType::CoAlarm]) == 0
        })
    };
    #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
    let rooms = burning().count() as f64;
    let stake = seen.workbook.point_rate(PointType::CoAlarm).first.times(rooms);
    found.raise_for_rooms(
        "co-alarm-missing",
        burning(),
        "something burns fuel and there is no alarm for its gas",
        Some(stake),
    );
}
