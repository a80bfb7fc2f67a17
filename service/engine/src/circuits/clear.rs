//! What is done where a stretch of cable lies under insulation: it is clipped above it, the circuit goes another way, or its
//! cable is larger; whichever costs least.

use super::lying::{Asked, Fabric, Lying, governing, is_borne};
use super::{CircuitPlan, CircuitReason, FedFrom, InsulationChoice, WayPriced, run_cost, sizing};
use crate::catalogue::{CableSize, CircuitType};
use crate::context::Context;
use crate::money::Money;
use crate::quantities::{Amps, Metres};
use crate::routes::{Ask, Routing, Run, Segment};
use crate::site::Site;
use crate::survey::Medium;
use crate::unit_rates::{Factors, Rate, Void, laying};

/// Heavy single loads are clipped clear of insulation wherever they can be, never buried in it. Source: domain practice for
/// shower and charge-point cables, from memory.
fn is_kept_clear(circuit: &CircuitPlan) -> bool {
    const HEAVY_A: f64 = 32.0;
    !circuit.kind.is_sockets() && circuit.device.rating.value() >= HEAVY_A
}

/// Whether a stretch lies under insulation in a roof void that somebody can work in, so that it may be clipped above it.
fn may_be_clipped_clear(segment: &Segment, site: &Site) -> bool {
    segment.medium == Medium::Loft
        && segment.void == Void::Open
        && segment.room.is_some_and(|room| site.rooms[room].insulation_mm > 0.0)
}

/// The same run with all that may be clipped above the insulation clipped there; absent where nothing may.
pub(super) fn clipped_clear(
    run: &Run,
    cable: CableSize,
    site: &Site,
    context: Context<'_>,
    factors: &Factors,
) -> Option<Run> {
    let more = |segment: &Segment| {
        let metre = |void| laying(context.workbook, factors, cable, (segment.medium, void, segment.room));
        let (clipped, laid) = (metre(Void::Surface), metre(Void::Open));
        let metres = segment.metres.value();
        Rate { hours: (clipped.hours - laid.hours) * metres, money: (clipped.money - laid.money) * metres }
    };
    run.clipped(|segment| may_be_clipped_clear(segment, site), more)
}

/// Metres that lie under insulation and may be clipped above it.
fn under_insulation(run: &Run, site: &Site) -> Metres {
    run.segments.iter().filter(|segment| may_be_clipped_clear(segment, site)).map(|segment| segment.metres).sum()
}

/// A way of wiring the circuit: how it goes, and the smallest cable that bears it so.
struct WiredWay {
    run: Run,
    cable: CableSize,
    cost: Money,
}

/// Chooses how each circuit that is free to go otherwise is kept from a larger cable by a stretch in insulation.
pub(super) fn choose(circuits: &mut [CircuitPlan], fabric: &Fabric<'_>, ways: &Routing<'_>, context: Context<'_>) {
    for circuit in circuits.iter_mut() {
        let fixed = &circuit.fixed;
        let free = fixed.method.is_none() && fixed.cable.is_none() && fixed.kept.is_none() && fixed.length.is_none();
        if free && !circuit.cable.is_armoured() {
            choose_for(circuit, fabric, ways, context);
        }
    }
}

fn choose_for(circuit: &mut CircuitPlan, fabric: &Fabric<'_>, ways: &Routing<'_>, context: Context<'_>) {
    let site = ways.site();
    let asked = Asked::of(circuit);
    let way = |run: Run| way(run, circuit, &asked, fabric, (ways, context));
    let clear_run = || clipped_clear(&circuit.run, circuit.cable, site, context, ways.factors());
    if is_kept_clear(circuit) {
        if let Some(run) = clear_run() {
            circuit.reasons.push(CircuitReason::ClearOfInsulation(under_insulation(&circuit.run, site)));
            circuit.run = run;
        }
        return;
    }
    let as_laid = fabric.lies(&circuit.run, false);
    let in_the_open = Lying::alone(Medium::SurfaceClipped, None, crate::standards::ReferenceMethod::C);
    let borne = |lies: &[Lying]| is_borne(lies, &asked, circuit.cable, context.standards);
    let (true, Some(governs)) = (
        borne(&[in_the_open]) && !borne(&as_laid),
        governing(&as_laid, &asked, circuit.cable, context.standards).copied(),
    ) else {
        return;
    };
    let larger = way(circuit.run.clone());
    let clear = clear_run().and_then(way);
    let moved = moved(circuit, governs.medium, ways, context).and_then(way);
    let priced = |way: &Option<WiredWay>| {
        way.as_ref().map(|way| WayPriced { line_mm2: way.cable.line_mm2(), metres: way.run.metres, cost: way.cost })
    };
    use super::InsulationWay::{Clear, Larger, Moved};
    let choice = InsulationChoice {
        medium: governs.medium,
        room: governs.room,
        method: governs.method,
        under: under_insulation(&circuit.run, site),
        larger: priced(&larger),
        clear: priced(&clear),
        moved: priced(&moved),
        chosen: Larger,
    };
    let all = [(Clear, clear), (Moved, moved), (Larger, larger)];
    let cheapest = all.into_iter().filter_map(|(named, way)| Some((named, way?))).min_by_key(|(_, way)| way.cost);
    let Some((named, chosen)) = cheapest else { return };
    let why = InsulationChoice { chosen: named, ..choice };
    circuit.reasons.push(CircuitReason::Insulation(Box::new(why)));
    circuit.run = chosen.run;
    circuit.cable = chosen.cable;
}

/// A run with the smallest cable that bears the circuit along it; absent where none does.
fn way(
    run: Run,
    circuit: &CircuitPlan,
    asked: &Asked,
    fabric: &Fabric<'_>,
    (ways, context): (&Routing<'_>, Context<'_>),
) -> Option<WiredWay> {
    let lies = fabric.lies(&run, false);
    let mut sizes = context.catalogue.cables().from_size(circuit.cable);
    let cable = sizes.find(|cable| is_borne(&lies, asked, *cable, context.standards))?;
    let opened = ways.to_open(&run);
    let cost =
        run_cost(context.workbook, ways.factors(), cable, &run) + Money::rounded(crate::money::decimal(opened.money));
    Some(WiredWay { run, cable, cost })
}

/// The same circuit by another way than through the medium that derates it; absent where it would show or there is none.
fn moved(circuit: &CircuitPlan, medium: Medium, ways: &Routing<'_>, context: Context<'_>) -> Option<Run> {
    let site = ways.site();
    let from_the_board = circuit.fed_from == FedFrom::Board && circuit.outbuilding.is_none();
    if !from_the_board || circuit.members.is_empty() || circuit.kind == CircuitType::Distribution {
        return None;
    }
    let stops = sizing::stops(&circuit.members, circuit.kind, site, context.catalogue);
    let topology = sizing::topology_of(circuit.kind, circuit.ring, site.neutral_looped_at);
    let cable = sizing::class(circuit.kind, context.catalogue);
    ways.without(Ask { from: site.board, stops: &stops, topology, explained: false, cable }, medium)
}

/// The smallest of the cables that bears a current along a run, clipped clear of insulation where that is cheaper than a
/// larger one, with what it costs; the largest where none does, for the checks to judge.
pub(super) fn cheapest_bearing(
    amps: Amps,
    sizes: &[CableSize],
    run: &Run,
    fabric: &Fabric<'_>,
    (ways, context): (&Routing<'_>, Context<'_>),
) -> (CableSize, Money) {
    let largest = sizes[sizes.len() - 1];
    let asked = Asked { ring: false, device: amps, ib: amps };
    let cost = |cable, run: &Run| run_cost(context.workbook, ways.factors(), cable, run);
    let smallest = |run: &Run| {
        let lies = fabric.lies(run, false);
        sizes.iter().copied().find(|size| is_borne(&lies, &asked, *size, context.standards))
    };
    let as_laid = smallest(run);
    if as_laid == sizes.first().copied() {
        return (sizes[0], cost(sizes[0], run));
    }
    let clear = clipped_clear(run, largest, ways.site(), context, ways.factors());
    let clear = clear.and_then(|clear| smallest(&clear).map(|cable| (cable, cost(cable, &clear))));
    let as_laid = as_laid.map(|cable| (cable, cost(cable, run)));
    let cheapest = as_laid.into_iter().chain(clear).min_by_key(|(_, cost)| *cost);
    cheapest.unwrap_or_else(|| (largest, cost(largest, run)))
}
