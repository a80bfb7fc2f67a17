//! Supply, earthing, board, circuits, outbuildings.

use super::{Found, Seen};
use crate::catalogue::{CableSize, CircuitType};
use crate::checks::{CheckName, JudgedCheck, Verdict};
use crate::circuits::run_cost;
use crate::circuits::{CircuitPlan, CircuitReason, Proof};
use crate::money::Money;
use crate::pricing::selling;
use crate::quantities::Metres;
use crate::site::RoomPlan;
use crate::survey::{ApplianceType, Earthing, FutureType, Ground, Medium, PointType};
use crate::take_off::{ItemKind, needs_bond};
use crate::working::check_one;

/// Tails are kept to about this. Source: electriciansblog.co.uk, "Max length of meter tails"; the operator decides.
const TAILS_KEPT_M: f64 = 3.0;
/// Ways to spare on any board. Source: domain practice, from memory.
const SPARE_WAYS: u32 = 2;
/// A bond beside the board is about this long. Common practice, no source.
const BESIDE_THE_BOARD_M: f64 = 3.0;
/// A bond longer than this is a run of its own. Common practice, no source.
const FAR_BOND_M: f64 = 10.0;

pub(super) fn supply(seen: Seen<'_>, found: &mut Found<'_>) {
    let supply = &seen.site.supply;
    if !supply.earthing_known {
        found.raise(
            "earthing-unknown",
            "house",
            "nobody has found out how the house is earthed",
            seen.dearest("earthing"),
        );
    }
    if !supply.cut_out_read {
        // Where the demand is too much for it, the money stands with that flag.
        found.raise("cut-out-unreadable", "intake", "the rating of the cut-out was not read", None);
    }
    if seen.demand.verdict == Verdict::Fail {
        let what = format!(
            "{:.0} after diversity against a cut-out of {:.0}{}",
            seen.demand.after_diversity,
            seen.demand.cut_out,
            if supply.cut_out_read { "" } else { ", which was taken and not read" }
        );
        found.raise("demand-over-supply", "intake", what, seen.visit());
    }
    if supply.looped == Some(true) {
        found.raise(
            "looped-supply-suspected",
            "intake",
            "the supply is looped from a neighbour's cut-out",
            seen.visit(),
        );
    }
    if supply.isolator_after_meter == Some(false) {
        found.raise("supply-cannot-be-made-dead", "intake", "there is no isolator after the meter", seen.visit());
    }
    let board = &seen.installation.board;
    if board.switched_fuse {
        // Beside a board at the intake: no switched fuse, and the tails as short as they are kept.
        let fuse = seen.price_of(|item| item.what == ItemKind::SwitchedFuse);
        let beyond = (1.0 - TAILS_KEPT_M / board.tails.value().max(TAILS_KEPT_M)).max(0.0);
        let stake = fuse + seen.price_of(|item| item.what == ItemKind::Tails).share(beyond);
        let what = format!("{:.1} of tails from intake to board", board.tails);
        found.raise("tails-too-long", "board", what, Some(stake));
    }
    // The house's own board is chosen with its spare ways; one in an outbuilding comes in one size.
    for sub_board in board.sub_boards.iter().filter(|one| one.ways.saturating_sub(one.used) < SPARE_WAYS) {
        let room = &seen.site.rooms[seen.site.outbuildings[sub_board.outbuilding].room];
        let stake = seen.priced(seen.asked.material(seen.workbook.takes.sub_board, 1.0));
        let what = format!("{} of {} ways are used", sub_board.used, sub_board.ways);
        found.raise("spare-ways-short", room.id.clone(), what, stake);
    }
    bonds(seen, found);
    sources(seen, found);
}

fn bonds(seen: Seen<'_>, found: &mut Found<'_>) {
    for service in seen.site.services.iter().filter(|service| needs_bond(service)) {
        let name = service.kind.word();
        let item = |wanted: &crate::take_off::Item| wanted.what == ItemKind::Bond(service.kind);
        if service.recorded {
            let what = if service.bonded_mm2 > 0.0 {
                format!("bonded in {} mm2 where 10 mm2 is asked for", service.bonded_mm2)
            } else {
                "metal pipe, not bonded".to_owned()
            };
            found.raise("bond-missing", name, what, Some(seen.price_of(item)));
        }
        let longest = seen.items.iter().filter(|(wanted, _)| item(wanted)).map(|(item, _)| item.quantity);
        let metres = longest.fold(0.0, f64::max);
        if service.spot.is_none() {
            let what = format!("no place recorded; {metres:.0} m to the far side of the house was taken");
            // What it would save to find the pipe beside the board.
            let stake = seen.price_of(item).share(1.0 - BESIDE_THE_BOARD_M / metres.max(BESIDE_THE_BOARD_M));
            found.raise("service-position-unknown", name, what, Some(stake));
        } else if metres > FAR_BOND_M {
            let what = format!("{metres:.0} m of 10 mm2 from the board");
            let stake = seen.price_of(item).share(1.0 - BESIDE_THE_BOARD_M / metres);
            found.raise("bond-far-side", name, what, Some(stake));
        }
    }
}

/// Storage and generation feed back; a charge point brings the street's neutral to the car.
fn sources(seen: Seen<'_>, found: &mut Found<'_>) {
    let points = || seen.site.rooms.iter().flat_map(|room| &room.points);
    let appliances = || seen.site.rooms.iter().flat_map(|room| &room.appliances);
    let second = points().any(|point| matches!(point.kind, PointType::BatteryPoint | PointType::GenerationPoint))
        || appliances().any(|one| matches!(one.kind, ApplianceType::Battery | ApplianceType::SolarInverter))
        || seen.site.future.iter().any(|future| matches!(future, FutureType::Battery | FutureType::Solar));
    if second {
        found.raise("second-source", "house", "storage or generation is there, wanted or to come", None);
    }
    let charges = |room: &&RoomPlan| {
        room.points.iter().any(|point| point.kind == PointType::ChargePoint)
            || room.appliances.iter().any(|one| one.kind == ApplianceType::ChargePoint)
    };
    if seen.site.supply.earthing == Earthing::TnCS {
        let rooms = seen.site.rooms.iter().filter(charges);
        let what = "a charge point on an earth shared with the street's neutral";
        found.raise_for_rooms("charge-point-earthing", rooms, what, seen.priced(seen.asked.electrode()));
    }
}

pub(super) fn checks(seen: Seen<'_>, found: &mut Found<'_>) {
    for (circuit, checked) in seen.installation.circuits.iter().zip(&seen.installation.checked) {
        let overloaded = checked.as_ref().is_some_and(|proof| shower_is_too_large(seen, circuit, proof, found));
        let failed: Vec<&str> = checked
            .iter()
            .flat_map(|proof| proof.judged.failing())
            .filter(|check| !(overloaded && is_of_load(check)))
            .map(|check| check.name.word())
            .collect();
        if !failed.is_empty() || circuit.beyond_table || checked.is_none() {
            let what = if checked.is_none() {
                format!("{} could not be checked: {}", circuit.name, not_checked(circuit))
            } else if failed.is_empty() {
                format!("{}: the load is beyond the largest device of the table", circuit.name)
            } else {
                format!("{} fails: {}", circuit.name, failed.join(", "))
            };
            found.raise("circuit-check-failed", circuit.id.clone(), what, None);
        }
    }
    let in_the_way: Vec<&str> = seen
        .installation
        .circuits
        .iter()
        .filter(|circuit| circuit.run.segments.iter().any(|segment| segment.obstruction.is_some()))
        .map(|circuit| circuit.id.as_str())
        .collect();
    if !in_the_way.is_empty() {
        let stake = seen.dearest("way-past-steel").filter(|money| *money != Money::ZERO);
        let stake = stake.unwrap_or_else(|| seen.price_of(|item| item.conditions.obstructed));
        let what = "something on the plan lies across the only free way of these circuits";
        found.raise("steel-across-route", super::listed(&in_the_way), what, Some(stake));
    } else if let Some(detour) = seen.span("way-past-steel").filter(|money| *money > Money::ZERO) {
        // No cable passes it: what the way round costs is what a gap beside it would save.
        let places = seen.unknowns.iter().filter(|unknown| unknown.id == "way-past-steel");
        let places: Vec<&str> = places.flat_map(|unknown| &unknown.places).map(String::as_str).collect();
        let what = format!(
            "the cables go round what lies across the void; free, the price would be {detour} less: see that the way round \
             is as free as it was drawn"
        );
        found.raise("steel-across-route", super::listed(&places), what, Some(detour));
    }
}

/// What was missing to check a circuit.
fn not_checked(circuit: &CircuitPlan) -> String {
    let faults = circuit.reasons.iter().rev().find_map(|reason| match reason {
        CircuitReason::NotChecked(faults) => Some(faults),
        _ => None,
    });
    let faults: Vec<&str> = faults.into_iter().flatten().map(|fault| fault.detail.as_str()).collect();
    format!("not checked: {}", faults.join("; "))
}

/// Whether a check asks that the load, the device and the cable go together.
const fn is_of_load(check: &JudgedCheck) -> bool {
    matches!(check.name, CheckName::DesignCurrent | CheckName::Overload)
}

/// Lines of the cable that a shower is wired in. Common practice, no source.
const SHOWER_MM2: f64 = 10.0;

/// A shower on a cable that stays and does not bear it.
fn shower_is_too_large(seen: Seen<'_>, circuit: &CircuitPlan, proof: &Proof, found: &mut Found<'_>) -> bool {
    if circuit.kind != CircuitType::Shower || circuit.fixed.kept.is_none() {
        return false;
    }
    let Some(worst) = proof.judged.failing().find(|check| is_of_load(check)) else { return false };
    let shown = check_one(seen.asked.job.standards, &proof.supply, &proof.circuit, &proof.upstream).ok();
    let working = shown.as_ref().and_then(|shown| shown.check(worst.name)).map_or("", |check| &check.working);
    let what = format!(
        "{:.1} of shower on the {} mm2 that stays, behind {:.0}: {working}",
        circuit.design_current,
        circuit.cable.line_mm2(),
        circuit.device.rating,
    );
    // In new cable from the board instead.
    let cable = seen.catalogue.cables().flat(SHOWER_MM2);
    let stake = room_of(circuit).map(|room| anew(seen, room, cable, 1.0));
    found.raise("shower-bigger-than-cable", circuit.id.clone(), what, stake);
    true
}

/// The room in which a circuit first does something.
fn room_of(circuit: &CircuitPlan) -> Option<usize> {
    circuit.members.first().map(|member| member.room).or(circuit.run.order.first().copied())
}

/// Cable laid anew from the board to a room, so many times, as a net price.
fn anew(seen: Seen<'_>, room: usize, cable: CableSize, times: f64) -> Money {
    /// The height of a switch above the floor. Common practice, no source.
    const SWITCH_M: f64 = 1.2;
    let run = seen.ways.home_run(seen.site.board, room, Metres::new(SWITCH_M));
    let cost = run_cost(seen.workbook, seen.ways.factors(), cable, &run).approximate() * times;
    selling(cost, &seen.workbook.sheet.terms)
}

/// Circuits that stay without a test, and rings among them that are made longer.
pub(super) fn kept(seen: Seen<'_>, found: &mut Found<'_>) {
    let circuits = &seen.installation.circuits;
    let untested = || circuits.iter().filter(|circuit| circuit.fixed.kept.is_some_and(|kept| !kept.tested));
    let (longer, rest): (Vec<&CircuitPlan>, Vec<&CircuitPlan>) =
        untested().partition(|circuit| circuit.ring && !circuit.members.is_empty());
    if !rest.is_empty() {
        let names: Vec<&str> = rest.iter().map(|circuit| circuit.id.as_str()).collect();
        #[expect(clippy::cast_precision_loss, reason = "circuits are limited to 200")]
        let faults = names.len() as f64;
        // A fault in each, found and cleared.
        let stake = seen.price_of_hours(seen.asked.hours(seen.workbook.does.fault_find) * faults);
        let what = "kept, and nobody has tested it: what is wrong with it becomes ours";
        found.raise("partial-keeps-old", super::listed(&names), what, Some(stake));
    }
    for circuit in longer {
        // Both legs laid anew from the board instead.
        let stake = room_of(circuit).map(|room| anew(seen, room, circuit.cable, 2.0));
        let what =
            format!("a ring that nobody has tested, {}, with {} more on it", circuit.name, circuit.point_count());
        found.raise("old-ring-extended", circuit.id.clone(), what, stake);
    }
}

pub(super) fn outside(seen: Seen<'_>, found: &mut Found<'_>) {
    for building in &seen.site.outbuildings {
        let room = &seen.site.rooms[building.room];
        if building.metal && seen.site.supply.earthing == Earthing::TnCS {
            found.raise(
                "outdoor-metal-on-tncs",
                room.id.clone(),
                "metal that can be touched or reaches the ground, on the street's earth",
                seen.priced(seen.asked.electrode()),
            );
        }
        let fed = seen.installation.circuits.iter().any(|circuit| {
            circuit.is_dug()
                && circuit.outbuilding == room.outbuilding
                && circuit.run.segments.iter().any(|segment| segment.medium == Medium::Trench)
        });
        if fed && !building.buried_services_known {
            found.raise(
                "buried-services-unknown",
                room.id.clone(),
                "a trench, and no drawing of what else is buried",
                seen.dearest("buried-services"),
            );
        }
        let hard = building
            .stretches
            .iter()
            .any(|(ground, _)| matches!(ground, Ground::Concrete | Ground::Tarmac | Ground::SharedDrive));
        if fed && hard {
            // Beside the same metres through a lawn.
            let hard = building.stretches.iter().map(|(ground, length)| {
                seen.asked.trench(*ground, length.value()) - seen.asked.trench(Ground::Lawn, length.value())
            });
            let stake = seen.priced(hard.sum());
            found.raise("trench-surface-or-owner", room.id.clone(), "hard or shared ground on the way", stake);
        }
    }
}
