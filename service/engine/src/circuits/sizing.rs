//! Device and cable by rating table, and the run that they follow. The seam for sizing each cable by its own route.

use super::gather::CircuitDraft;
use super::given::DesignerChoices;
use super::lying::{self, Asked, Fabric, Lying, is_borne};
use super::{CircuitPlan, CircuitReason, FedFrom, LargerBecause, Member, extended, feeds, form, loads, proof};
use crate::catalogue::{CableClass, CableMake, CableSize, Catalogue, CircuitFamily, CircuitType, PointPlace};
use crate::checks::CheckName;
use crate::context::Context;
use crate::quantities::{Amps, Metres};
use crate::routes::{Ask, Routing, Run, RunStop, StopPoint, Topology};
use crate::site::{Location, Site};
use crate::standards::{ReferenceMethod, Standards, TripCurve};
use crate::survey::{BoardKind, Earthing, Medium, NeutralLoop, PointType};

/// A device in a board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Device {
    /// Rated current.
    pub rating: Amps,
    /// Trip curve.
    pub curve: TripCurve,
    /// Whether it has residual current protection of its own.
    pub combined: bool,
    /// Residual current in milliamps, its own or that of the device before it.
    pub residual_ma: Option<f64>,
}

/// A 32 A ring in 2.5 mm2 of more than this drops over 5 %. Source: On-Site Guide, 106 m, seen.
const RING_LENGTH_MAX: Metres = Metres::new(106.0);
/// Where the way to a ring and back takes more than this share of its limit, two rings would hardly be shorter than one:
/// a larger cable serves better. Common practice, no source.
const HOME_LEGS_SHARE_MAX: f64 = 0.5;
/// What comes of completing a draft.
pub(super) enum Completion {
    /// A circuit.
    Complete(Box<CircuitPlan>),
    /// A ring longer than its limit, as two drafts.
    TooLong(Box<CircuitDraft>, Box<CircuitDraft>),
    /// A circuit that was taken as there and does not bear what was joined to it: that on a circuit of its own, and after it
    /// what is there, where it is worked on all the same.
    NotBorne(Box<CircuitDraft>, Option<Box<CircuitDraft>>),
}

/// Completes a draft; the circuit still wants its identifier.
pub(super) fn complete(
    draft: CircuitDraft,
    fed_from: FedFrom,
    (ways, fabric): (&Routing<'_>, &Fabric<'_>),
    context: Context<'_>,
) -> Completion {
    let mut reasons = draft.reasons.clone();
    let form::ChosenForm { kind, mut run, sized } = form::form(&draft, fed_from, (ways, fabric), context, &mut reasons);
    if kind == CircuitType::RingSockets
        && run.metres > RING_LENGTH_MAX
        && draft.can_be_halved()
        && home_legs(&draft, fed_from, ways) <= RING_LENGTH_MAX * HOME_LEGS_SHARE_MAX
    {
        let (first, second) = draft.halves();
        return Completion::TooLong(Box::new(first), Box::new(second));
    }
    if draft.fixed.kept.is_some() {
        run = as_it_is(run, &draft, kind, (ways, context.standards), &mut reasons);
    } else if let Some(given) = draft.fixed.length {
        reasons.push(CircuitReason::LengthGiven { given, routed: run.metres });
        run = stretched(run, given);
    }
    let joined = draft.clone();
    let mut circuit = finish(draft, CircuitForm { kind, run, sized, reasons, fed_from }, ways, context.catalogue);
    if circuit.fixed.kept.is_some_and(|kept| kept.assumed) && !circuit.members.is_empty() {
        circuit.lies = lying::by_itself(&circuit, fabric);
        if !proof::is_borne(&circuit, ways, context) {
            let (own, there) = extended::apart(joined, ways.site());
            return Completion::NotBorne(Box::new(own), there.map(Box::new));
        }
    }
    Completion::Complete(Box::new(circuit))
}

/// The same way with another length: each stretch in proportion.
fn stretched(mut run: Run, length: Metres) -> Run {
    let share = if run.metres > Metres::ZERO { length.value() / run.metres.value() } else { 1.0 };
    for segment in &mut run.segments {
        segment.metres = segment.metres * share;
        segment.obstructed = segment.obstructed.min(segment.metres);
    }
    Run { metres: length, far_end: length, ..run }
}

/// The run of a circuit that stays: what is joined to it is laid, and its own length is what the checks go by.
fn as_it_is(
    run: Run,
    draft: &CircuitDraft,
    kind: CircuitType,
    (ways, standards): (&Routing<'_>, &Standards),
    reasons: &mut Vec<CircuitReason>,
) -> Run {
    let site = ways.site();
    if site.scope.extends() && kind != CircuitType::Distribution {
        let there = extended::length_there(draft, kind, site, standards);
        // A ring is broken into: out and back.
        let joined = if kind == CircuitType::RingSockets { run.metres * 2.0 } else { run.metres };
        let length = there + joined;
        reasons.push(CircuitReason::Extended { there, joined });
        return Run { metres: length, far_end: length, ..run };
    }
    let length = draft.fixed.length.unwrap_or_else(|| {
        let there = match draft.room {
            // A feed has its whole way already, as a new one would take it.
            _ if kind == CircuitType::Distribution => Metres::ZERO,
            Some(room) => ways.to_room(site.board, room),
            None => ways.to_far_side(site.board),
        };
        // A ring comes back.
        let whole = run.metres + if kind == CircuitType::RingSockets { there * 2.0 } else { there };
        reasons.push(CircuitReason::LengthTaken(whole));
        whole
    });
    Run { metres: length, far_end: length, ..run }
}

/// The way to the nearest room of a ring and back.
fn home_legs(draft: &CircuitDraft, fed_from: FedFrom, ways: &Routing<'_>) -> Metres {
    let from = origin(draft, fed_from, ways.site());
    let nearest = draft.members.iter().map(|member| ways.to_room(from, member.room)).reduce(Metres::min);
    nearest.unwrap_or(Metres::ZERO) * 2.0
}

/// What a circuit is to be, before it has a device and a cable.
struct CircuitForm {
    kind: CircuitType,
    run: Run,
    /// Device and cable, where they are not those that its kind usually has.
    sized: Option<(Amps, CableSize)>,
    reasons: Vec<CircuitReason>,
    fed_from: FedFrom,
}

fn finish(draft: CircuitDraft, form: CircuitForm, ways: &Routing<'_>, catalogue: &Catalogue) -> CircuitPlan {
    let CircuitForm { kind, run, sized, mut reasons, fed_from } = form;
    let site = ways.site();
    let mut size = size(&draft, kind, sized, site, catalogue, &mut reasons);
    if kind == CircuitType::Lighting && site.neutral_looped_at == NeutralLoop::Switch {
        reasons.push(CircuitReason::NeutralAtSwitches);
    }
    let mut device = device(&draft, kind, size.rating, site);
    let fixed = draft.fixed;
    if let Some(given) = fixed.device {
        // The usual cable of that device, until the checks ask for a larger one.
        size.cable = size.cable.max(usual_cable(given.rating, size.cable, kind, catalogue));
        device = given;
    }
    if kind.is_sockets() && fixed.device.is_some() {
        size.design_current = device.rating;
    }
    let feed = kind == CircuitType::Distribution;
    match fixed.kept {
        Some(kept) => {
            reasons.push(CircuitReason::Kept(kept));
            if feed {
                reasons.push(CircuitReason::KeptFeed);
            }
        }
        None if fixed != DesignerChoices::default() => reasons.push(CircuitReason::Given),
        None => {}
    }
    if fixed.kept.is_some() && !feed && draft.members.is_empty() && draft.appliances.is_empty() {
        reasons.push(CircuitReason::LoadNotRecorded);
        size.design_current = device.rating;
    }
    CircuitPlan {
        id: String::new(),
        name: draft.name,
        kind,
        ring: catalogue.circuit(kind).ring,
        device,
        cable: fixed.cable.unwrap_or(size.cable),
        members: draft.members,
        appliances: draft.appliances,
        design_current: size.design_current,
        beyond_table: size.beyond_table && fixed.device.is_none(),
        fed_from,
        phase: None,
        run,
        lies: Vec::new(),
        governing: Lying::alone(Medium::SurfaceClipped, None, ReferenceMethod::C),
        outbuilding: draft.outbuilding,
        let_through_a2s_max: None,
        fixed,
        reasons,
    }
}

/// Device and cable before a designer's wishes and the checks.
struct Size {
    rating: Amps,
    cable: CableSize,
    design_current: Amps,
    /// Whether the load is beyond the largest device of the table.
    beyond_table: bool,
}

fn size(
    draft: &CircuitDraft,
    kind: CircuitType,
    of_form: Option<(Amps, CableSize)>,
    site: &Site,
    catalogue: &Catalogue,
    reasons: &mut Vec<CircuitReason>,
) -> Size {
    let (row, cables) = (catalogue.circuit(kind), catalogue.cables());
    if kind == CircuitType::Distribution {
        // A feed is sized once all that hangs on it is known.
        let least = Amps::new(feeds::LEAST_A);
        return Size { rating: least, cable: cables.feeds()[0], design_current: least, beyond_table: false };
    }
    if let Some((rating, cable)) = of_form {
        reasons.push(CircuitReason::UsualOfForm { rating, line_mm2: cable.line_mm2() });
        return Size { rating, cable, design_current: rating, beyond_table: false };
    }
    if row.device_a <= 0.0 || has_large_load(draft, kind) {
        return by_load(draft, site, catalogue, reasons);
    }
    let rating = Amps::new(row.device_a);
    let cable = match kind {
        CircuitType::Alarms => cables.three_core(),
        _ => cables.flat(row.line_mm2),
    };
    let design_current = match kind {
        CircuitType::RingSockets | CircuitType::RadialSockets => rating,
        _ => {
            let current = loads::design_current(draft, site, catalogue);
            reasons.push(CircuitReason::DesignCurrent(current));
            current
        }
    };
    reasons.push(CircuitReason::UsualOfKind);
    Size { rating, cable, design_current, beyond_table: false }
}

/// The cable that is usual behind a device, of the make that was going to be taken.
fn usual_cable(rating: Amps, cable: CableSize, kind: CircuitType, catalogue: &Catalogue) -> CableSize {
    if kind == CircuitType::RingSockets || cable.make() != CableMake::Flat {
        return cable;
    }
    let steps = catalogue.ratings();
    let step = steps.iter().find(|step| rating.value() <= step.device_a).unwrap_or(&steps[steps.len() - 1]);
    catalogue.cables().flat(step.line_mm2)
}

/// Whether an appliance on a circuit with a usual device asks for a larger one.
fn has_large_load(draft: &CircuitDraft, kind: CircuitType) -> bool {
    !matches!(kind, CircuitType::RingSockets | CircuitType::RadialSockets) && !draft.appliances.is_empty()
}

fn by_load(draft: &CircuitDraft, site: &Site, catalogue: &Catalogue, reasons: &mut Vec<CircuitReason>) -> Size {
    let current = loads::design_current(draft, site, catalogue);
    reasons.push(CircuitReason::DesignCurrent(current));
    let steps = catalogue.ratings();
    let fitting = steps.iter().position(|step| current.value() <= step.design_current_a_max);
    let row = fitting.unwrap_or(steps.len() - 1);
    let step = &steps[row];
    // Alone and clear of insulation over its whole length: the smaller cable first, and the next where the checks ask for it.
    // Source: domain practice, from memory: 6 mm2 up to the limit of voltage drop, 10 mm2 beyond.
    let line_mm2 = if draft.kind == CircuitType::ChargePoint {
        step.line_mm2.min(catalogue.circuit(draft.kind).line_mm2)
    } else {
        step.line_mm2
    };
    reasons.push(CircuitReason::ByRatingTable { current, step: row, line_mm2 });
    if fitting.is_none() {
        reasons.push(CircuitReason::BeyondRatingTable(current));
    }
    let cable = catalogue.cables().flat(line_mm2);
    Size { rating: Amps::new(step.device_a), cable, design_current: current, beyond_table: fitting.is_none() }
}

fn device(draft: &CircuitDraft, kind: CircuitType, rating: Amps, site: &Site) -> Device {
    /// What disconnects a feed that hangs on an electrode. Source: domain practice, 100 mA time-delayed before 30 mA.
    const BEFORE_OTHERS_MA: f64 = 100.0;
    // A feed to a sub-board has its residual protection at the far end; but where the earth is an electrode, no fuse or
    // breaker would see a fault of the feed itself.
    let feed = kind == CircuitType::Distribution;
    let via = draft.outbuilding.filter(|_| feed).and_then(|building| site.outbuildings[building].via);
    let on_an_electrode = feed && via.is_none() && site.supply.earthing == Earthing::Tt;
    if on_an_electrode || via.is_some_and(|via| super::earthing::earthed_at(via, site).is_some()) {
        return Device { rating, curve: TripCurve::B, combined: true, residual_ma: Some(BEFORE_OTHERS_MA) };
    }
    // Whatever the house's board, that of an outbuilding holds combined devices, and a charge point has a residual current
    // device that protects nothing else. Source: BS 7671 722.531.3.1, from memory; sub-board as it is priced.
    let alone = draft.outbuilding.is_some() || kind == CircuitType::ChargePoint;
    let combined = (site.board_kind == BoardKind::Rcbo || alone) && !feed;
    Device { rating, curve: TripCurve::B, combined, residual_ma: (!feed).then_some(30.0) }
}

/// Takes the first cable that bears the circuit where it lies by itself; where none does, the checks say so.
pub(super) fn bear_where_it_lies(circuit: &mut CircuitPlan, context: Context<'_>) {
    let free = circuit.fixed.cable.is_none() && circuit.kind != CircuitType::Distribution;
    let asked = Asked::of(circuit);
    let bears = |cable: &CableSize| is_borne(&circuit.lies, &asked, *cable, context.standards);
    if !free || bears(&circuit.cable) {
        return;
    }
    let Some(larger) = context.catalogue.cables().from_size(circuit.cable).find(bears) else { return };
    let (from_mm2, to_mm2) = (circuit.cable.line_mm2(), larger.line_mm2());
    let why = LargerBecause::Fails(vec![CheckName::Overload]);
    circuit.reasons.push(CircuitReason::Larger { from_mm2, to_mm2, why });
    circuit.cable = larger;
}

/// The run of a draft as a circuit of that kind.
pub(super) fn run(
    draft: &CircuitDraft,
    kind: CircuitType,
    fed_from: FedFrom,
    ways: &Routing<'_>,
    context: Context<'_>,
) -> Run {
    let catalogue = context.catalogue;
    let ring = catalogue.circuit(kind).ring;
    let site = ways.site();
    let from = origin(draft, fed_from, site);
    if kind == CircuitType::Distribution {
        return feeds::run(draft, from, ways);
    }
    if draft.fixed.kept.is_some() && draft.members.is_empty() {
        // Nothing is joined to it, so nothing is laid.
        return Run { order: draft.room.into_iter().collect(), ..Run::default() };
    }
    if draft.fixed.kept.is_some() && site.scope.extends() {
        return extended::run(&draft.members, ways, catalogue);
    }
    let stops = stops(&draft.members, kind, site, catalogue);
    if stops.is_empty()
        && let Some(room) = draft.room
    {
        // An appliance without a point still wants its cable: to the wall at worktop height.
        let at = draft.appliances.iter().find_map(|appliance| appliance.at);
        return ways.home_run(from, (room, at), Metres::new(1.1));
    }
    let topology = topology_of(kind, ring, site.neutral_looped_at);
    ways.run(Ask { from, stops: &stops, topology, explained: true, cable: class(kind, catalogue) })
}

/// The points of a circuit by room, as a circuit of that kind goes through them.
pub(super) fn stops(members: &[Member], kind: CircuitType, site: &Site, catalogue: &Catalogue) -> Vec<RunStop> {
    let topology = topology_of(kind, catalogue.circuit(kind).ring, site.neutral_looped_at);
    let sockets = kind.is_sockets();
    let mut stops: Vec<RunStop> = Vec::new();
    for member in members {
        let point = &site.rooms[member.room].points[member.point];
        let row = catalogue.point(point.kind, point.gangs);
        let stop_point = StopPoint {
            place: if row.place == PointPlace::Outside { PointPlace::Wall } else { row.place },
            is_switch: row.group == crate::catalogue::PointGroup::Switch,
            in_and_out: (sockets && is_looped(point.kind))
                || (topology == Topology::TreeOfSwitches && row.group == crate::catalogue::PointGroup::Switch),
            height: point.height,
            count: member.count,
            at: point.at,
            entry: Some(member.point),
            first: member.first,
        };
        match stops.iter_mut().rev().take(2).find(|stop| stop.room == member.room) {
            Some(stop) => stop.points.push(stop_point),
            None => stops.push(RunStop { room: member.room, points: vec![stop_point], share_of_walls: 1.0 }),
        }
    }
    if sockets {
        for stop in &mut stops {
            stop.share_of_walls = share_of_walls(stop, site, catalogue);
        }
    }
    stops
}

/// What sockets are asked for as a ring; a radial goes through the same points with the same cable.
pub(super) fn asked_as_ring<'s>(
    draft: &CircuitDraft,
    fed_from: FedFrom,
    stops: &'s [RunStop],
    site: &Site,
    catalogue: &Catalogue,
) -> Ask<'s> {
    let cable = class(CircuitType::RingSockets, catalogue);
    Ask { from: origin(draft, fed_from, site), stops, topology: Topology::Ring, explained: true, cable }
}

/// Where a circuit begins: at the intake, in its outbuilding, or at the house's board. What is joined to one that stays
/// begins in the room of the first point, where it is taken to pass: where else nobody knows before the floor is up.
fn origin(draft: &CircuitDraft, fed_from: FedFrom, site: &Site) -> Location {
    if draft.fixed.kept.is_some()
        && let Some(first) = draft.members.first()
    {
        let room = &site.rooms[first.room];
        let at = room.points[first.point].places.first().copied();
        return Location { room: Some(first.room), level: room.level, at, height: None };
    }
    match (fed_from, draft.outbuilding) {
        (FedFrom::Intake, _) => site.intake,
        (FedFrom::Circuit(_), Some(building)) => {
            let onward = (draft.kind == CircuitType::Distribution).then(|| site.outbuildings[building].via).flatten();
            let building = onward.unwrap_or(building);
            let building = &site.outbuildings[building];
            Location { room: Some(building.room), level: 0, at: building.board, height: None }
        }
        _ => site.board,
    }
}

/// Rings close, lights branch at the lights or at the switches, all else goes from point to point.
pub(super) const fn topology_of(kind: CircuitType, ring: bool, neutral: NeutralLoop) -> Topology {
    if ring {
        return Topology::Ring;
    }
    match kind.family() {
        CircuitFamily::Lighting if matches!((kind, neutral), (CircuitType::Lighting, NeutralLoop::Switch)) => {
            Topology::TreeOfSwitches
        }
        CircuitFamily::Lighting => Topology::Tree,
        CircuitFamily::Sockets | CircuitFamily::Outside | CircuitFamily::Load | CircuitFamily::Other => Topology::Chain,
    }
}

/// The cables that a circuit's way is weighed for, before its size is known.
pub(super) fn class(kind: CircuitType, catalogue: &Catalogue) -> CableClass {
    /// Taken where the table leaves the cable to the load. Common practice, no source.
    const BY_LOAD_MM2: f64 = 6.0;
    let row = catalogue.circuit(kind);
    catalogue.cables().class(if row.line_mm2 > 0.0 { row.line_mm2 } else { BY_LOAD_MM2 })
}

/// How many of a room's points on sockets circuits are on this one.
fn share_of_walls(stop: &RunStop, site: &Site, catalogue: &Catalogue) -> f64 {
    let here: u32 = stop.points.iter().map(|point| point.count).sum();
    let on_sockets =
        |point: &&crate::site::PointPlan| catalogue.point(point.kind, point.gangs).circuit == CircuitType::Sockets;
    let all: u32 = site.rooms[stop.room].points.iter().filter(on_sockets).map(|point| point.count).sum();
    if all > 0 { f64::from(here) / f64::from(all) } else { 1.0 }
}

/// Sockets are looped in and out; a fused unit hangs on a spur.
const fn is_looped(point: PointType) -> bool {
    matches!(
        point,
        PointType::DoubleSocket | PointType::SingleSocket | PointType::DoubleSocketUsb | PointType::FloorSocket
    )
}
