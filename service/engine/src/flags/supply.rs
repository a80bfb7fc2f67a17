//! Supply, earthing, board, circuits, outbuildings.

use super::{CircuitFlag, FlagCollector, FlagContext, FlagDetail, FlagId, Severity};
use crate::catalogue::{CableSize, CircuitType};
use crate::checks::{CheckName, JudgedCheck};
use crate::circuits::{
    CircuitIndex, CircuitPlan, DemandVerdict, HouseDemand, LargeKind, OperatorNotice, Proof, needs_bond, run_cost,
};
use crate::money::Money;
use crate::pricing::selling;
use crate::quantities::Metres;
use crate::site::RoomPlan;
use crate::survey::{ApplianceType, Earthing, FutureType, Ground, Medium, PointType};
use crate::take_off::ItemKind;
use crate::unknowns::{HousePlace, QuestionId};

/// Tails are kept to about this. Source: the operator's policy, usually 3 m, some 2 m; not BS 7671.
const TAILS_KEPT_M: f64 = 3.0;
/// Ways to spare on any board. Source: domain practice, from memory.
const SPARE_WAYS: u32 = 2;
/// A bond beside the board is about this long. Common practice, no source.
const BESIDE_THE_BOARD_M: f64 = 3.0;
/// A bond longer than this is a run of its own. Common practice, no source.
const FAR_BOND_M: f64 = 10.0;

pub(super) fn supply(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let supply = &context.site.supply;
    // What stays is taken as sound and looked at on the day; a new board rests on it, and is held back by nothing.
    let scope = context.site.scope;
    if !supply.earthing_known && scope.rewires() {
        flags.raise(FlagId::EarthingUnknown, HousePlace::House, None);
    } else if !supply.earthing_known && !scope.board_stays() {
        flags.raise_as(Severity::Medium, FlagId::EarthingUnknown, HousePlace::House, (FlagDetail::Plain, None));
    }
    demand(context, flags);
    if supply.looped == Some(true) {
        flags.raise(FlagId::LoopedSupplySuspected, HousePlace::Intake, context.visit());
    }
    if supply.isolator_after_meter == Some(false) {
        flags.raise(FlagId::SupplyCannotBeMadeDead, HousePlace::Intake, context.visit());
    }
    let board = &context.installation.board;
    if board.switched_fuse {
        // Beside a board at the intake: no switched fuse, and the tails as short as they are kept.
        let fuse = context.price_of(|item| item.what == ItemKind::SwitchedFuse);
        let beyond = (1.0 - TAILS_KEPT_M / board.tails.value().max(TAILS_KEPT_M)).max(0.0);
        let stake = fuse + context.price_of(|item| item.what == ItemKind::Tails).share(beyond);
        flags.raise(FlagId::TailsTooLong, HousePlace::Board, Some(stake));
    }
    // The house's own board is chosen with its spare ways; one in an outbuilding comes in one size.
    for sub_board in board.sub_boards.iter().filter(|one| one.ways.saturating_sub(one.used) < SPARE_WAYS) {
        let room = context.site.outbuildings[sub_board.outbuilding].room;
        let stake = context.priced(context.asked.material(context.workbook.materials.sub_board, 1.0));
        let detail = FlagDetail::SpareWays { used: sub_board.used, ways: sub_board.ways };
        flags.raise_with(FlagId::SpareWaysShort, HousePlace::Room(room), detail, stake);
    }
    bonds(context, flags);
    sources(context, flags);
}

/// Over a fuse that was read is one thing, over a rating that was taken is another: there the fuse is read first.
fn demand(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    // A job that adds no circuit draws no more than the house does today, and the fuse has borne that.
    let adds_load = context.installation.circuits.iter().any(|circuit| circuit.fixed.kept.is_none());
    if !context.site.scope.rewires() && !adds_load {
        return;
    }
    let HouseDemand { after_diversity, cut_out, verdict, operator, .. } = *context.demand;
    let detail = FlagDetail::Demand { after_diversity, cut_out };
    let stops = context.demand.is_over_by_design();
    if !context.site.supply.cut_out_read {
        match verdict {
            DemandVerdict::Unread => {
                let stake = context.dearest(QuestionId::CutOut);
                flags.raise_as(Severity::High, FlagId::CutOutUnreadable, HousePlace::Intake, (detail, stake));
            }
            DemandVerdict::Pass | DemandVerdict::Advise | DemandVerdict::Fail => {
                flags.raise(FlagId::CutOutUnreadable, HousePlace::Intake, None);
            }
        }
    } else if verdict == DemandVerdict::Fail {
        let severity = if stops { Severity::Stop } else { Severity::High };
        flags.raise_as(severity, FlagId::DemandOverSupply, HousePlace::Intake, (detail, context.visit()));
    }
    if operator == OperatorNotice::ApplyFirst {
        let mut kinds: Vec<LargeKind> = context.demand.large.iter().map(|one| one.kind).collect();
        kinds.sort_unstable();
        kinds.dedup();
        let detail = FlagDetail::Operator { after_diversity, kinds };
        flags.raise_with(FlagId::OperatorFirst, HousePlace::Intake, detail, None);
    }
}

fn bonds(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    for service in context.site.services.iter().filter(|service| needs_bond(service)) {
        let place = HousePlace::Service(service.kind);
        let item = |wanted: &crate::take_off::Item| wanted.what == ItemKind::Bond(service.kind);
        let longest = context.items.iter().filter(|(wanted, _)| item(wanted)).map(|(item, _)| item.quantity);
        let metres = longest.fold(0.0, f64::max);
        let detail = FlagDetail::Bond { present_mm2: service.bonded_mm2, metres };
        if service.spot.is_none() {
            // What it would save to find the pipe beside the board.
            let stake = context.price_of(item).share(1.0 - BESIDE_THE_BOARD_M / metres.max(BESIDE_THE_BOARD_M));
            flags.raise_with(FlagId::ServicePositionUnknown, place, detail, Some(stake));
        } else {
            let id = if metres > FAR_BOND_M { FlagId::BondFarSide } else { FlagId::BondMissing };
            flags.raise_with(id, place, detail, Some(context.price_of(item)));
        }
    }
}

/// Storage and generation feed back; a charge point brings the street's neutral to the car.
fn sources(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let points = || context.site.rooms.iter().flat_map(|room| &room.points);
    let appliances = || context.site.rooms.iter().flat_map(|room| &room.appliances);
    let second = points().any(|point| matches!(point.kind, PointType::BatteryPoint | PointType::GenerationPoint))
        || appliances().any(|one| matches!(one.kind, ApplianceType::Battery | ApplianceType::SolarInverter))
        || context.site.future.iter().any(|future| matches!(future, FutureType::Battery | FutureType::Solar));
    if second {
        flags.raise(FlagId::SecondSource, HousePlace::House, None);
    }
    let charges = |room: &RoomPlan| {
        room.points.iter().any(|point| point.kind == PointType::ChargePoint)
            || room.appliances.iter().any(|one| one.kind == ApplianceType::ChargePoint)
    };
    if context.site.supply.earthing == Earthing::TnCS {
        let rooms = context.site.rooms.iter().enumerate().filter(|(_, room)| charges(room)).map(|(index, _)| index);
        flags.raise_for_rooms(FlagId::ChargePointEarthing, rooms, context.priced(context.asked.electrode()));
    }
}

pub(super) fn checks(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    for (index, checked) in context.installation.checked.iter().enumerate() {
        let circuit = &context.installation.circuits[index];
        let overloaded = checked.as_ref().is_some_and(|proof| shower_is_too_large(context, index, proof, flags));
        let failed: Vec<CheckName> = checked
            .iter()
            .flat_map(|proof| proof.judged.failing())
            .filter(|check| !(overloaded && is_of_load(check)))
            .map(|check| check.name)
            .collect();
        if !failed.is_empty() || circuit.beyond_table || checked.is_none() {
            let wrong = if checked.is_none() {
                CircuitFlag::NotChecked
            } else if failed.is_empty() {
                CircuitFlag::BeyondDevices
            } else {
                CircuitFlag::Fails(failed)
            };
            flags.raise_with(
                FlagId::CircuitCheckFailed,
                HousePlace::Circuit(index),
                FlagDetail::Circuit(index, wrong),
                None,
            );
        }
    }
    let circuits = context.installation.circuits.iter().enumerate();
    let through = circuits.filter(|(_, one)| one.run.segments.iter().any(|segment| segment.obstruction.is_some()));
    let in_the_way: Vec<HousePlace> = through.map(|(index, _)| HousePlace::Circuit(index)).collect();
    if !in_the_way.is_empty() {
        let asked = context.worth(QuestionId::WayPastSteel).is_some();
        let stake = (!asked).then(|| context.price_of(|item| item.conditions.obstructed));
        flags.raise(FlagId::SteelAcrossRoute, in_the_way, stake);
    } else if let Some(detour) = context.span(QuestionId::WayPastSteel).filter(|money| *money > Money::ZERO) {
        // No cable passes it: what the way round costs is what a gap beside it would save.
        let places = context.unknowns.iter().filter(|unknown| unknown.id() == QuestionId::WayPastSteel);
        let places: Vec<HousePlace> = places.flat_map(|unknown| &unknown.places).copied().collect();
        flags.raise_with(FlagId::SteelAcrossRoute, places, FlagDetail::Detour { saves: detour }, None);
    }
}

/// Whether a check asks that the load, the device and the cable go together.
const fn is_of_load(check: &JudgedCheck) -> bool {
    matches!(check.name, CheckName::DesignCurrent | CheckName::Overload)
}

/// Lines of the cable that a shower is wired in. Common practice, no source.
const SHOWER_MM2: f64 = 10.0;

/// A shower on a cable that stays and does not bear it.
fn shower_is_too_large(
    context: FlagContext<'_>,
    index: CircuitIndex,
    proof: &Proof,
    flags: &mut FlagCollector<'_>,
) -> bool {
    let circuit = &context.installation.circuits[index];
    if circuit.kind != CircuitType::Shower || circuit.fixed.kept.is_none() {
        return false;
    }
    let Some(worst) = proof.judged.failing().find(|check| is_of_load(check)) else { return false };
    // In new cable from the board instead.
    let cable = context.catalogue.cables().flat(SHOWER_MM2);
    let stake = room_of(circuit).map(|room| anew(context, room, cable, 1.0));
    flags.raise_with(
        FlagId::ShowerBiggerThanCable,
        HousePlace::Circuit(index),
        FlagDetail::Circuit(index, CircuitFlag::Shower(worst.name)),
        stake,
    );
    true
}

/// The room in which a circuit first does something.
fn room_of(circuit: &CircuitPlan) -> Option<usize> {
    circuit.members.first().map(|member| member.room).or(circuit.run.order.first().copied())
}

/// Cable laid anew from the board to a room, so many times, as a net price.
fn anew(context: FlagContext<'_>, room: usize, cable: CableSize, times: f64) -> Money {
    /// The height of a switch above the floor. Common practice, no source.
    const SWITCH_M: f64 = 1.2;
    let run = context.ways.home_run(context.site.board, (room, None), Metres::new(SWITCH_M));
    let cost = run_cost(context.workbook, context.ways.factors(), cable, &run).approximate() * times;
    selling(cost, &context.workbook.sheet.terms)
}

/// Circuits that stay without a test, and rings among them that are made longer.
pub(super) fn kept(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let circuits = &context.installation.circuits;
    let untested = circuits.iter().enumerate().filter(|(_, one)| one.fixed.kept.is_some_and(|kept| !kept.tested));
    let (longer, rest): (Vec<_>, Vec<_>) =
        untested.partition(|(_, circuit)| circuit.ring && !circuit.members.is_empty());
    if !rest.is_empty() {
        let places: Vec<HousePlace> = rest.iter().map(|(index, _)| HousePlace::Circuit(*index)).collect();
        #[expect(clippy::cast_precision_loss, reason = "circuits are limited to 200")]
        let faults = places.len() as f64;
        // A fault in each, found and cleared.
        let stake = context.price_of_hours(context.asked.hours(context.workbook.operations.fault_find) * faults);
        flags.raise(FlagId::PartialKeepsOld, places, Some(stake));
        // Where less than the house is wired anew, circuits stay as a matter of course; their tests are in the price.
        if !context.site.scope.rewires()
            && let Some(raised) = flags.flags.last_mut()
        {
            raised.severity = Severity::Medium;
        }
    }
    for (index, circuit) in longer {
        // Both legs laid anew from the board instead.
        let stake = room_of(circuit).map(|room| anew(context, room, circuit.cable, 2.0));
        flags.raise_with(
            FlagId::OldRingExtended,
            HousePlace::Circuit(index),
            FlagDetail::Circuit(index, CircuitFlag::OldRing),
            stake,
        );
    }
}

pub(super) fn outside(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    for building in &context.site.outbuildings {
        let room = &context.site.rooms[building.room];
        if building.metal && context.site.supply.earthing == Earthing::TnCS {
            flags.raise(
                FlagId::OutdoorMetalOnTnCS,
                HousePlace::Room(building.room),
                context.priced(context.asked.electrode()),
            );
        }
        let fed = context.installation.circuits.iter().any(|circuit| {
            circuit.is_dug()
                && circuit.outbuilding == room.outbuilding
                && circuit.run.segments.iter().any(|segment| segment.medium == Medium::Trench)
        });
        if fed && !building.buried_services_known {
            flags.raise(FlagId::BuriedServicesUnknown, HousePlace::Room(building.room), None);
        }
        let hard = building
            .stretches
            .iter()
            .any(|(ground, _)| matches!(ground, Ground::Concrete | Ground::Tarmac | Ground::SharedDrive));
        if fed && hard {
            // Beside the same metres through a lawn.
            let hard = building.stretches.iter().map(|(ground, length)| {
                context.asked.trench(*ground, length.value()) - context.asked.trench(Ground::Lawn, length.value())
            });
            let stake = context.priced(hard.sum());
            flags.raise(FlagId::TrenchSurfaceOrOwner, HousePlace::Room(building.room), stake);
        }
    }
}
