//! People, points, alarms, papers.

use super::{Found, Seen};
use crate::catalogue::connection;
use crate::money::Money;
use crate::pricing::vat;
use crate::range::unknowns::{is_dark, is_unplanned_kitchen, load_matters};
use crate::survey::{ApplianceType, FutureType, Occupancy, Parking, PointType, RoomUse, Tenure, VatCase};
use crate::take_off::{ItemKind, LineKind};

/// A fitting heavier than this wants a noggin on plasterboard or laths. Source: domain practice, from memory.
const HEAVY_KG: f64 = 2.0;
/// Further than this from the firm, the journey is worth a word. Common practice, no source.
const FAR_KM: f64 = 30.0;

pub(super) fn people(seen: Seen<'_>, found: &mut Found<'_>) {
    let rooms = || seen.rooms().map(|(_, room)| room);
    let occupied = |room: usize| {
        seen.price_of_hours(
            seen.items
                .iter()
                .filter(|(item, _)| item.room == Some(room))
                .map(|(_, priced)| priced.hours.occupied)
                .sum(),
        )
    };
    let stake = |wanted: &dyn Fn(Occupancy) -> bool| {
        seen.rooms().filter(|(_, room)| wanted(room.occupancy)).map(|(index, _)| occupied(index)).sum()
    };
    let furnished = |occupancy| matches!(occupancy, Occupancy::Furnished | Occupancy::Full);
    found.raise_for_rooms(
        "furnished-room",
        rooms().filter(|room| furnished(room.occupancy)),
        "furniture in the way of first fix",
        Some(stake(&furnished)),
    );
    let in_use = |occupancy| occupancy == Occupancy::InUse;
    found.raise_for_rooms(
        "lived-in",
        rooms().filter(|room| in_use(room.occupancy)),
        "slept or worked in while we are there",
        Some(stake(&in_use)),
    );
    if seen.site.vulnerable_person {
        found.raise("vulnerable-person", "house", "somebody depends on power or clean air", None);
    }
    if matches!(seen.site.parking, Parking::Permit | Parking::Distant) || seen.site.distance_km > FAR_KM {
        let carried = |item: &crate::take_off::Item| matches!(item.what, ItemKind::Travel | ItemKind::ParkAndCarry);
        let what = format!("{} km away, parking: {}", seen.site.distance_km, seen.site.parking);
        found.raise("access-and-parking", "house", what, Some(seen.price_of(carried)));
    }
}

pub(super) fn points(seen: Seen<'_>, found: &mut Found<'_>) {
    let rooms = || seen.rooms().map(|(_, room)| room);
    let kitchens = || rooms().filter(|room| matches!(room.room_use, RoomUse::Kitchen | RoomUse::KitchenDiner));
    // Left out as the action says: the points that stand behind the units.
    let behind = seen.price_of(|item| {
        let low = matches!(
            item.what,
            ItemKind::Point(
                PointType::FusedUnit
                    | PointType::ApplianceSocket
                    | PointType::CookerPlate
                    | PointType::OvenPoint
                    | PointType::HobPoint
                    | PointType::SingleSocket
            )
        );
        low && item.room.is_some_and(|room| seen.site.rooms[room].units_stay)
    });
    let staying = kitchens().filter(|room| room.units_stay);
    found.raise_for_rooms("kitchen-stays", staying, "the fitted units stay", Some(behind));
    // A kitchen without a box in its walls has nothing that a plan could move.
    let asked = seen.unknowns.iter().any(|unknown| unknown.id == "kitchen-plan");
    let unplanned = rooms().filter(|room| asked && is_unplanned_kitchen(room));
    let what = "no point of the kitchen has a place";
    found.raise_for_rooms("kitchen-plan-missing", unplanned, what, seen.dearest("kitchen-plan"));
    unmarked(seen, found);
    let client = rooms().filter(|room| room.points.iter().any(|point| point.client_supplied));
    let stake = seen.price_of(|item| item.client_supplied);
    found.raise_for_rooms("client-supplied-fitting", client, "fittings that the client buys", Some(stake));
    let heavy = rooms().filter(|room| room.points.iter().any(|point| point.weight_kg.is_some_and(|kg| kg > HEAVY_KG)));
    let noggins: f64 = rooms()
        .flat_map(|room| &room.points)
        .filter(|point| point.weight_kg.is_some_and(|kg| kg > HEAVY_KG))
        .map(|point| f64::from(point.count))
        .sum();
    let stake = seen.price_of_hours(seen.asked.hours(seen.workbook.does.box_ceiling_pattress) * noggins);
    found.raise_for_rooms("heavy-fitting", heavy, "a fitting over 2 kg on the ceiling or wall", Some(stake));
    let unread = seen
        .site
        .rooms
        .iter()
        .filter(|room| room.appliances.iter().any(|one| !one.load_recorded && load_matters(one.kind)));
    let stake = seen.span("appliance-load");
    found.raise_for_rooms("appliance-load-unknown", unread, "an appliance without a load", stake);
    switching(seen, found);
    unconnected(seen, found);
    let all = seen.site.points();
    if all < 3 && seen.asked.job.visit.is_none() {
        let stake = seen.price_of(|item| item.kind == LineKind::Preliminaries);
        found.raise("single-item-visit", "house", format!("{all} points on one visit"), Some(stake));
    }
}

/// Points without a place; a kitchen without a plan has a flag of its own.
fn unmarked(seen: Seen<'_>, found: &mut Found<'_>) {
    let count = |marked: bool| -> u64 {
        let rooms = seen.site.rooms.iter().filter(|room| !is_unplanned_kitchen(room));
        let points = rooms.flat_map(|room| &room.points);
        points.filter(|point| point.at.is_some() == marked).map(|point| u64::from(point.count)).sum()
    };
    let (marked, unmarked) = (count(true), count(false));
    if unmarked * 3 > marked + unmarked {
        let what = format!("{unmarked} of {} points have no place", marked + unmarked);
        found.raise("positions-not-marked", "house", what, seen.priced(seen.asked.unmarked_span()));
    }
}

fn switching(seen: Seen<'_>, found: &mut Found<'_>) {
    let dark = || {
        let group = |point: &crate::site::PointPlan| seen.catalogue.points()[point.row].group;
        seen.rooms().map(|(_, room)| room).filter(move |room| is_dark(room, group))
    };
    #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
    let switches = dark().count() as f64;
    let stake = seen.workbook.point_rate(PointType::OneWaySwitch).first.times(switches);
    found.raise_for_rooms("no-switch-for-light", dark(), "lights and no switch", Some(stake));
    let two_way: u32 = seen
        .site
        .rooms
        .iter()
        .flat_map(|room| &room.points)
        .filter(|point| point.kind == PointType::TwoWaySwitch)
        .map(|point| point.count)
        .sum();
    if two_way == 1 {
        found.raise(
            "two-way-without-partner",
            "house",
            "a single two-way switch in the house",
            Some(seen.workbook.point_rate(PointType::TwoWaySwitch).first),
        );
    }
}

/// Appliances on circuits of their own for which no point was recorded.
fn unconnected(seen: Seen<'_>, found: &mut Found<'_>) {
    // What a circuit that stays feeds is connected already.
    let circuits = seen.installation.circuits.iter().filter(|circuit| circuit.fixed.kept.is_none());
    for circuit in circuits.filter(|circuit| circuit.members.is_empty() && !circuit.appliances.is_empty()) {
        let stake = connection(circuit.appliances[0].kind).map(|point| seen.workbook.point_rate(point).first);
        found.raise(
            "connection-point-missing",
            circuit.id.clone(),
            format!("{} and no point for it", circuit.name),
            stake,
        );
    }
}

/// Rooms where something burns fuel and no alarm watches for its gas.
pub(super) fn fumes(seen: Seen<'_>, found: &mut Found<'_>) {
    let has =
        |room: &crate::site::RoomPlan, kinds: &[PointType]| room.points.iter().any(|point| kinds.contains(&point.kind));
    let burning = seen.site.rooms.iter().filter(|room| {
        let burns = room.combustion_appliance || room.appliances.iter().any(|one| one.kind == ApplianceType::Boiler);
        room.is_inside() && burns && !has(room, &[PointType::CoAlarm])
    });
    #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
    let rooms = burning.clone().count() as f64;
    let stake = seen.workbook.point_rate(PointType::CoAlarm).first.times(rooms);
    let what = "something burns fuel and there is no alarm for its gas";
    found.raise_for_rooms("co-alarm-missing", burning, what, Some(stake));
}

pub(super) fn papers(seen: Seen<'_>, found: &mut Found<'_>) {
    let site = seen.site;
    if site.future.contains(&FutureType::LoftConversion) {
        found.raise("loft-conversion-ahead", "loft", "a loft conversion is to come", None);
    }
    let let_or_leased = matches!(site.tenure, Some(Tenure::Leasehold | Tenure::PrivateLet | Tenure::SocialLet));
    if site.listed || let_or_leased {
        let what = if site.listed { "the building is listed" } else { "the client does not hold it alone" };
        found.raise("listed-or-consent", "house", what, None);
    }
    if matches!(seen.vat, VatCase::Reduced | VatCase::Zero) {
        let what = format!("the tax case `{}` was asked for; the firm owes the difference without evidence", seen.vat);
        found.raise(TAX_EVIDENCE, "house", what, None);
    }
    if site.nation.is_none() {
        found.raise("nation-unknown", "house", "the nation was not recorded; England was taken", None);
    }
}

/// The one flag whose stake hangs on the price.
pub(super) const TAX_EVIDENCE: &str = "vat-evidence-missing";

/// The firm owes what the standard rate would have brought.
pub(super) fn tax_owed(net: Money, case: VatCase) -> Money {
    let percent = |case| f64::from(vat::row(case).percent);
    net.share((percent(VatCase::Standard) - percent(case)) / 100.0)
}
