//! People, points, alarms, papers.

use super::{CircuitFlag, FlagCollector, FlagContext, FlagDetail, FlagId};
use crate::catalogue::{HEAVY_FITTING_KG, connection};
use crate::money::Money;
use crate::pricing::vat;
use crate::site::RoomPlan;
use crate::survey::{ApplianceType, FutureType, Occupancy, Parking, PointType, RoomUse, Tenure, VatCase};
use crate::take_off::{ItemKind, LineKind};
use crate::unknowns::{HousePlace, QuestionId, is_dark, is_unplanned_kitchen, load_matters};

/// Further than this from the firm, the journey is worth a word. Common practice, no source.
const FAR_KM: f64 = 30.0;
/// Below so many points a job is a single item. Common practice, no source.
const FEW_POINTS: u64 = 3;

pub(super) fn people(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let occupied = |room: usize| {
        context.price_of_hours(
            context
                .items
                .iter()
                .filter(|(item, _)| item.room == Some(room))
                .map(|(_, priced)| priced.hours.occupied)
                .sum(),
        )
    };
    // Furniture and people in the way are one matter: the client clears the rooms, or the work goes round them.
    let occupied_as = |wanted: fn(Occupancy) -> bool| context.indices(move |room| wanted(room.occupancy));
    let in_use = |occupancy| occupancy == Occupancy::InUse;
    let in_the_way = |occupancy| matches!(occupancy, Occupancy::Furnished | Occupancy::Full | Occupancy::InUse);
    let id = if occupied_as(in_use).next().is_some() { FlagId::LivedIn } else { FlagId::FurnishedRoom };
    let stake = occupied_as(in_the_way).map(occupied).sum();
    flags.raise_for_rooms(id, occupied_as(in_the_way), Some(stake));
    if context.site.vulnerable_person {
        flags.raise(FlagId::VulnerablePerson, HousePlace::House, None);
    }
    if matches!(context.site.parking, Parking::Permit | Parking::Distant) || context.site.distance_km > FAR_KM {
        let carried = |item: &crate::take_off::Item| matches!(item.what, ItemKind::Travel | ItemKind::ParkAndCarry);
        flags.raise(FlagId::AccessAndParking, HousePlace::House, Some(context.price_of(carried)));
    }
}

pub(super) fn points(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let rooms = || context.rooms().map(|(_, room)| room);
    let is_kitchen = |room: &RoomPlan| matches!(room.room_use, RoomUse::Kitchen | RoomUse::KitchenDiner);
    // Left out as the action says: the points that stand behind the units.
    let behind = context.price_of(|item| {
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
        low && item.room.is_some_and(|room| context.site.rooms[room].units_stay)
    });
    let staying = context.indices(|room| is_kitchen(room) && room.units_stay);
    flags.raise_for_rooms(FlagId::KitchenStays, staying, Some(behind));
    // A kitchen without a box in its walls has nothing that a plan could move.
    let asked = context.unknowns.iter().any(|unknown| unknown.id() == QuestionId::KitchenPlan);
    let unplanned = context.indices(|room| asked && is_unplanned_kitchen(room));
    flags.raise_for_rooms(FlagId::KitchenPlanMissing, unplanned, None);
    unmarked(context, flags);
    let client = context.indices(|room| room.points.iter().any(|point| point.client_supplied));
    let stake = context.price_of(|item| item.client_supplied);
    flags.raise_for_rooms(FlagId::ClientSuppliedFitting, client, Some(stake));
    let heavy =
        context.indices(|room| room.points.iter().any(|point| point.weight_kg.is_some_and(|kg| kg > HEAVY_FITTING_KG)));
    let noggins: f64 = rooms()
        .flat_map(|room| &room.points)
        .filter(|point| point.weight_kg.is_some_and(|kg| kg > HEAVY_FITTING_KG))
        .map(|point| f64::from(point.count))
        .sum();
    let stake = context.price_of_hours(context.asked.hours(context.workbook.operations.box_ceiling_pattress) * noggins);
    flags.raise_for_rooms(FlagId::HeavyFitting, heavy, Some(stake));
    let unread = |room: &RoomPlan| room.appliances.iter().any(|one| !one.load_recorded && load_matters(one.kind));
    let unread = context.site.rooms.iter().enumerate().filter(|(_, room)| unread(room)).map(|(index, _)| index);
    flags.raise_for_rooms(FlagId::ApplianceLoadUnknown, unread, None);
    switching(context, flags);
    unconnected(context, flags);
    let all = context.site.points();
    if all < FEW_POINTS && context.asked.job.visit.is_none() {
        let stake = context.price_of(|item| item.kind == LineKind::Preliminaries);
        flags.raise(FlagId::SingleItemVisit, HousePlace::House, Some(stake));
    }
}

/// Points without a place; a kitchen without a plan has a flag of its own.
fn unmarked(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let count = |marked: bool| -> u64 {
        let rooms = context.site.rooms.iter().filter(|room| !is_unplanned_kitchen(room));
        let points = rooms.flat_map(|room| &room.points);
        points.filter(|point| point.at.is_some() == marked).map(|point| u64::from(point.count)).sum()
    };
    let (marked, unmarked) = (count(true), count(false));
    // One or two points of a small job have one wall to go on; how far it is, is asked as a length.
    let few = context.site.scope.board_stays() && marked + unmarked < FEW_POINTS;
    if unmarked * 3 > marked + unmarked && !few {
        let detail = FlagDetail::Unmarked { unmarked, points: marked + unmarked };
        flags.raise_with(
            FlagId::PositionsNotMarked,
            HousePlace::House,
            detail,
            context.priced(context.asked.unmarked_span()),
        );
    }
}

fn switching(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let dark = || {
        let group = |point: &crate::site::PointPlan| context.catalogue.points()[point.row].group;
        context.rooms().filter(move |(_, room)| is_dark(room, group)).map(|(index, _)| index)
    };
    #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
    let switches = dark().count() as f64;
    let stake = context.workbook.point_rate(PointType::OneWaySwitch).first.times(switches);
    flags.raise_for_rooms(FlagId::NoSwitchForLight, dark(), Some(stake));
    if context.site.two_way_switches() == 1 {
        flags.raise(
            FlagId::TwoWayWithoutPartner,
            HousePlace::House,
            Some(context.workbook.point_rate(PointType::TwoWaySwitch).first),
        );
    }
}

/// Appliances on circuits of their own for which no point was recorded.
fn unconnected(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    // What a circuit that stays feeds is connected already.
    let circuits = context.installation.circuits.iter().enumerate();
    let circuits = circuits.filter(|(_, circuit)| circuit.fixed.kept.is_none());
    for (index, circuit) in circuits.filter(|(_, circuit)| circuit.members.is_empty() && !circuit.appliances.is_empty())
    {
        let stake = connection(circuit.appliances[0].kind).map(|point| context.workbook.point_rate(point).first);
        flags.raise_with(
            FlagId::ConnectionPointMissing,
            HousePlace::Circuit(index),
            FlagDetail::Circuit(index, CircuitFlag::Unconnected),
            stake,
        );
    }
}

/// Rooms where something burns fuel and no alarm watches for its gas.
pub(super) fn fumes(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let has = |room: &RoomPlan, kinds: &[PointType]| room.points.iter().any(|point| kinds.contains(&point.kind));
    let burning = context.site.rooms.iter().enumerate().filter(|(_, room)| {
        let burns = room.combustion_appliance || room.appliances.iter().any(|one| one.kind == ApplianceType::Boiler);
        room.is_inside() && burns && !has(room, &[PointType::CoAlarm])
    });
    let burning = burning.map(|(index, _)| index);
    #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
    let rooms = burning.clone().count() as f64;
    let stake = context.workbook.point_rate(PointType::CoAlarm).first.times(rooms);
    flags.raise_for_rooms(FlagId::CoAlarmMissing, burning, Some(stake));
}

pub(super) fn papers(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let site = context.site;
    if site.future.contains(&FutureType::LoftConversion) {
        flags.raise(FlagId::LoftConversionAhead, HousePlace::Loft, None);
    }
    let let_or_leased = matches!(site.tenure, Some(Tenure::Leasehold | Tenure::PrivateLet | Tenure::SocialLet));
    if site.listed || let_or_leased {
        flags.raise(FlagId::ListedOrConsent, HousePlace::House, None);
    }
    if matches!(context.vat, VatCase::Reduced | VatCase::Zero) {
        flags.raise_with(FlagId::VatEvidenceMissing, HousePlace::House, FlagDetail::TaxCase(context.vat), None);
    }
    if site.nation.is_none() {
        flags.raise(FlagId::NationUnknown, HousePlace::House, None);
    }
}

/// The firm owes what the standard rate would have brought.
pub(super) fn tax_owed(net: Money, case: VatCase) -> Money {
    let percent = |case| f64::from(vat::row(case).percent);
    net.share((percent(VatCase::Standard) - percent(case)) / 100.0)
}
