//! What belongs to the whole house: board, supply, earthing, outbuildings, strip-out, tests and papers.

use super::{Conditions, ItemKind, Job, LineKind, TakeOff};
use crate::catalogue::{CableClass, CableSize, CircuitType};
use crate::circuits::{CircuitPlan, FedFrom, Kept};
use crate::labour::Factors;
use crate::quantities::Metres;
use crate::rate_sheet::{CableWork, MaterialIndex, OperationIndex};
use crate::routes::{Rate, Run, Void};
use crate::site::{OutbuildingPlan, RoomIndex, ServicePlan};
use crate::survey::{BoardCondition, BoardKind, CableEra, Earthing, Ground, ServiceType};

/// A bonding conductor that is there now and is at least this large is kept. Source: BS 7671 Table 54.8 for a supply
/// neutral up to 35 mm2, seen at the-regs.co.uk.
const MAIN_BOND_MM2: f64 = 10.0;
/// Circuits that one certificate's schedules hold before more hours are asked for. Source: the labour table.
const CIRCUITS_ON_A_CERTIFICATE: usize = 12;

pub(super) fn house(job: Job<'_>, take_off: &mut TakeOff) {
    board(job, take_off);
    supply(job, take_off);
    earthing(job, take_off);
    for (index, circuit) in job.installation.circuits.iter().enumerate() {
        if circuit.kind == CircuitType::Distribution
            && let Some(building) = circuit.outbuilding
        {
            feed(job, take_off, index, circuit, &job.site.outbuildings[building]);
        }
    }
    strip_out(job, take_off);
    testing(job, take_off);
}

fn board(job: Job<'_>, take_off: &mut TakeOff) {
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    let plan = &job.installation.board;
    let circuits = job.installation.circuits.iter().filter(|circuit| circuit.fed_from == FedFrom::Board);
    // A board larger than any that is sold as one is made of several of the largest.
    let largest = 36;
    let boards = plan.ways.div_ceil(largest).max(1);
    take_off
        .start(LineKind::Board, ItemKind::ConsumerUnit, format_args!("Metal consumer unit, {} ways", plan.ways))
        .quantity(f64::from(boards), "each")
        .work(does.board_fit, f64::from(boards))
        .takes(enclosure(job, plan.ways), f64::from(boards))
        .takes(takes.surge_device, 1.0)
        .takes(takes.blank, f64::from(plan.ways.saturating_sub(plan.used)))
        .takes(takes.board_sundries, f64::from(boards))
        .note("main switch, surge device, blanks, labels and seals in it")
        .done();
    // A feed, and what a designer wants so, has no residual current device of its own.
    let (combined, plain): (Vec<&CircuitPlan>, Vec<&CircuitPlan>) =
        circuits.partition(|circuit| circuit.device.combined);
    let (small, large) = devices(combined.into_iter());
    let plain = f64::from(u32::try_from(plain.len()).unwrap_or(u32::MAX));
    let used = f64::from(plan.used);
    let mut draft = take_off
        .start(LineKind::Board, ItemKind::ProtectiveDevices, "Protective devices, terminated and labelled")
        .quantity(used, "way")
        .work(does.board_way, used);
    draft = match job.site.board_kind {
        BoardKind::Rcbo => draft.takes(takes.rcbo, small).takes(takes.rcbo_50, large).takes(takes.breaker, plain),
        BoardKind::SplitLoad => {
            /// One residual current device on each half of the board.
            const RCDS: f64 = 2.0;
            draft
                .takes(takes.breaker, plain)
                .takes(takes.rcbo, small)
                .takes(takes.rcbo_50, large)
                .takes(takes.rcd, RCDS)
        }
    };
    draft.done();
}

fn enclosure(job: Job<'_>, ways: u32) -> MaterialIndex {
    let takes = &job.workbook.takes;
    match ways {
        0..=6 => takes.board_6,
        7..=10 => takes.board_10,
        11..=14 => takes.board_14,
        15..=18 => takes.board_18,
        19..=22 => takes.board_22,
        23..=28 => takes.board_28,
        _ => takes.board_36,
    }
}

/// Devices up to 40 A, and larger ones.
fn devices<'a>(circuits: impl Iterator<Item = &'a CircuitPlan>) -> (f64, f64) {
    /// Largest rating of the ordinary device of the sheet.
    const ORDINARY_A: f64 = 40.0;
    circuits.fold((0.0, 0.0), |(small, large), circuit| {
        if circuit.device.rating.value() <= ORDINARY_A { (small + 1.0, large) } else { (small, large + 1.0) }
    })
}

fn supply(job: Job<'_>, take_off: &mut TakeOff) {
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    let plan = &job.installation.board;
    let tails = plan.tails.value();
    take_off
        .start(LineKind::Supply, ItemKind::Tails, "Meter tails and main earth to the board")
        .quantity((tails * 100.0).round() / 100.0, "m")
        .work(does.tails_run, tails)
        .work(does.tails_connect, 1.0)
        .takes(takes.tails_25, tails)
        .takes(takes.earth_16, tails + 1.0)
        .note("the supplier, the operator or someone they authorise draws the cut-out fuse; their charge is excluded")
        .done();
    if plan.switched_fuse {
        take_off
            .start(LineKind::Supply, ItemKind::SwitchedFuse, "Switched fuse at the meter, the board being away from it")
            .quantity(1.0, "each")
            .work(does.switched_fuse_fit, 1.0)
            .takes(takes.switched_fuse, 1.0)
            .done();
    }
}

fn earthing(job: Job<'_>, take_off: &mut TakeOff) {
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    take_off
        .start(LineKind::Earthing, ItemKind::MainEarthTerminal, "Main earthing terminal and earthing conductor")
        .work(does.earth_terminal, 1.0)
        .takes(takes.earth_terminal, 1.0)
        .done();
    for service in &job.site.services {
        bond(job, take_off, service);
    }
    if job.site.supply.earthing == Earthing::Tt {
        electrode(job, take_off, None);
    }
}

/// The way of the bond to a service, from the earth bar at the board; absent where nothing was drawn or the place of the
/// pipe is not known.
pub(crate) fn bond_run(job: Job<'_>, service: &ServicePlan) -> Option<Run> {
    job.ways.between_on_the_map(job.site.board, service.spot?, CLAMP, CableClass::Bond)
}

/// The same with its reasons, for the routes.
pub(crate) fn bond_run_explained(job: Job<'_>, service: &ServicePlan) -> Option<Run> {
    job.ways.between_explained(job.site.board, service.spot?, CLAMP, CableClass::Bond)
}

/// A clamp sits this high on the pipe. Common practice, no source.
const CLAMP: Metres = Metres::new(0.3);

/// Metres of the bond to a service, along the route from the board.
pub(crate) fn bond_metres(job: Job<'_>, service: &ServicePlan) -> f64 {
    /// Down to the pipe and up to the board. Common practice, no source.
    const ENDS_M: f64 = 2.0;
    if let Some(run) = bond_run(job, service) {
        return run.metres.value();
    }
    let plan = match service.spot {
        Some(spot) => job.ways.between_spots(job.site.board, spot),
        None => job.ways.to_far_side(job.site.board),
    };
    plan.value() * crate::routes::BENDS + ENDS_M
}

/// Metres of a bond by how they are run.
#[derive(Default)]
struct BondMetres {
    laid: f64,
    clipped: f64,
    fished: f64,
}

fn by_way(job: Job<'_>, service: &ServicePlan) -> BondMetres {
    if let Some(run) = bond_run(job, service) {
        let of = |wanted: fn(Void) -> bool| -> f64 {
            run.segments.iter().filter(|segment| wanted(segment.void)).map(|segment| segment.metres.value()).sum()
        };
        let fished = of(|void| void == Void::Closed);
        let clipped = of(|void| void == Void::Surface);
        return BondMetres { laid: (run.metres.value() - fished - clipped).max(0.0), clipped, fished };
    }
    let metres = bond_metres(job, service);
    // Where the pipe comes in on a solid floor the conductor is fished or clipped; under a floor that lifts it is laid.
    let closed =
        service.spot.and_then(|spot| spot.room).is_none_or(|room| job.ways.room(room).low.void != Void::Joists);
    if closed {
        BondMetres { fished: metres, ..BondMetres::default() }
    } else {
        BondMetres { laid: metres, ..BondMetres::default() }
    }
}

/// Whether a service gets a new bond.
pub(crate) fn needs_bond(service: &ServicePlan) -> bool {
    service.metal && service.bonded_mm2 < MAIN_BOND_MM2
}

fn bond(job: Job<'_>, take_off: &mut TakeOff, service: &ServicePlan) {
    if !needs_bond(service) {
        return;
    }
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    let conductor = job.cable(CableClass::Bond);
    let metres = bond_metres(job, service);
    let by_way = by_way(job, service);
    take_off.cut(conductor.material, metres, 1);
    let mut draft = take_off.start(LineKind::Earthing, ItemKind::Bond(service.kind), bond_words(service.kind));
    if let Some(room) = service.spot.and_then(|spot| spot.room) {
        draft = draft.room(room);
    }
    draft
        .quantity((metres * 100.0).round() / 100.0, "m")
        .work(conductor.open(), by_way.laid)
        .work(conductor.clipped(), by_way.clipped)
        .work(conductor.fished(), by_way.fished)
        .work(does.bonding_terminate, 1.0)
        .takes(conductor.material, metres)
        .takes(takes.earth_clamp, 1.0)
        .note(match service.spot {
            Some(_) => "10 mm2 from the earth bar, by the route of a cable",
            None => {
                "10 mm2 from the earth bar; the place of the pipe is not known, so the far side of the house is taken"
            }
        })
        .done();
}

fn bond_words(kind: ServiceType) -> String {
    format!("Main bond to {}", kind.word().replace('-', " "))
}

fn electrode(job: Job<'_>, take_off: &mut TakeOff, room: Option<usize>) {
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    let kind = if room.is_some() { LineKind::Outbuilding } else { LineKind::Earthing };
    let mut draft = take_off.start(kind, ItemKind::EarthElectrode, "Earth electrode, driven and measured");
    if let Some(room) = room {
        draft = draft.room(room);
    }
    draft
        .quantity(1.0, "each")
        .work(does.earth_rod_drive, 1.0)
        .work(does.earth_rod_test, 1.0)
        .takes(takes.earth_rod, 1.0)
        .note("one rod; poor ground wants more")
        .done();
}

/// The feed of an outbuilding with its trench, its glands and the board behind it.
fn feed(job: Job<'_>, take_off: &mut TakeOff, index: usize, circuit: &CircuitPlan, building: &OutbuildingPlan) {
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    match circuit.fixed.kept {
        Some(_) => made_off_anew(job, take_off, index, circuit, building),
        None => laid(job, take_off, index, circuit, building),
    }
    let Some(sub_board) = job.installation.board.sub_boards.iter().find(|board| board.feed == index) else { return };
    take_off
        .start(LineKind::Outbuilding, ItemKind::SubBoard, format_args!("Sub-board, {} ways", sub_board.ways))
        .room(building.room)
        .quantity(1.0, "each")
        .work(does.sub_board_fit, 1.0)
        .work(does.board_way, f64::from(sub_board.used))
        .takes(takes.sub_board, f64::from(sub_board.ways.div_ceil(6)))
        .takes(takes.rcbo, f64::from(sub_board.used))
        .note(crate::answer::words::earthing::outbuilding(sub_board.earth))
        .done();
    if sub_board.earth.has_electrode() {
        electrode(job, take_off, Some(building.room));
    }
}

/// A feed in the ground.
fn laid(job: Job<'_>, take_off: &mut TakeOff, index: usize, circuit: &CircuitPlan, building: &OutbuildingPlan) {
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    let metres = circuit.run.metres.value();
    let buried: f64 = building.stretches.iter().map(|(_, length)| length.value()).sum();
    let clipped = (metres - buried).max(0.0);
    let armoured = armoured(job, circuit.cable);
    take_off.cut(armoured.material, metres, 1);
    take_off
        .start(
            LineKind::Outbuilding,
            ItemKind::ArmouredFeed,
            format_args!("{} mm2 armoured feed", circuit.cable.line_mm2()),
        )
        .room(building.room)
        .circuit(index)
        .quantity((metres * 100.0).round() / 100.0, "m")
        .work(armoured.clipped(), clipped)
        .work(armoured.trench, buried)
        .work(armoured.gland, 2.0)
        .work(job.workbook.wall_work(FEED_WALL).hole, 2.0)
        .takes(armoured.material, metres)
        .takes(takes.gland_armoured, 2.0)
        .takes(takes.hole_sleeve, 2.0)
        .done();
    for (ground, length) in &building.stretches {
        take_off
            .start(
                LineKind::Outbuilding,
                ItemKind::Trench,
                format_args!("Trench in {}", ground.word().replace('-', " ")),
            )
            .room(building.room)
            .circuit(index)
            .quantity(length.value(), "m")
            .work(dig(job, *ground), length.value())
            .work(does.trench_backfill, length.value())
            .takes(takes.tape_sand, length.value())
            .done();
    }
}

/// An armoured feed that stays is made off at the new board of the house, and at that of the building where one is fitted.
fn made_off_anew(
    job: Job<'_>,
    take_off: &mut TakeOff,
    index: usize,
    circuit: &CircuitPlan,
    building: &OutbuildingPlan,
) {
    if !circuit.cable.is_armoured() {
        return;
    }
    let far_end = job.installation.board.sub_boards.iter().any(|board| board.feed == index);
    let glands = if far_end { 2.0 } else { 1.0 };
    take_off
        .start(LineKind::Outbuilding, ItemKind::FeedMadeOff, "Armoured feed that stays, made off anew")
        .room(building.room)
        .circuit(index)
        .quantity(glands, "gland")
        .work(armoured(job, circuit.cable).gland, glands)
        .takes(job.workbook.takes.gland_armoured, glands)
        .note("taken to reach the new boards: a joint or more cable is extra")
        .done();
}

/// Hours and money of a metre of a buried feed, by ground: the cable laid in it, the trench dug and filled again.
pub(crate) fn trench_metre(
    job: Job<'_>,
    factors: &Factors,
    cable: CableSize,
    (room, ground): (RoomIndex, Ground),
) -> Rate {
    let (does, takes) = (&job.workbook.does, &job.workbook.takes);
    let armoured = armoured(job, cable);
    let conditions = Conditions { room: Some(room), ..Conditions::HOUSE };
    let works = [armoured.trench, Some(dig(job, ground)), Some(does.trench_backfill)];
    let works = works.into_iter().flatten();
    let hours: f64 = works.map(|work| factors.hours_of_one(work, &conditions, job.workbook)).sum();
    let materials = [armoured.material, Some(takes.tape_sand)].into_iter().flatten();
    let material: f64 = materials.map(|material| job.workbook.material(material).approximate_cost).sum();
    Rate { hours, money: hours * job.workbook.sheet.terms.labour_rate.approximate() + material }
}

/// Hours and money of one of the two holes of a feed: out of the house, into the outbuilding.
pub(crate) fn feed_hole(job: Job<'_>, factors: &Factors, building: RoomIndex) -> Rate {
    let conditions = Conditions { room: Some(building), ..Conditions::HOUSE };
    let hours = factors.hours_of_one(job.workbook.wall_work(FEED_WALL).hole, &conditions, job.workbook);
    let sleeve = job.workbook.material(job.workbook.takes.hole_sleeve).approximate_cost;
    Rate { hours, money: hours * job.workbook.sheet.terms.labour_rate.approximate() + sleeve }
}

/// What a feed is drilled through at both ends. Common practice, no source: most outside walls are brick.
const FEED_WALL: crate::survey::Wall = crate::survey::Wall::Brick;

/// The cable of a feed as it is laid in the ground: one that was given in another make is laid as the smallest feed.
fn armoured(job: Job<'_>, cable: CableSize) -> &CableWork {
    let cable = if cable.is_armoured() { cable } else { job.catalogue.cables().feeds()[0] };
    job.workbook.cable(cable.row())
}

fn dig(job: Job<'_>, ground: Ground) -> OperationIndex {
    let does = &job.workbook.does;
    match ground {
        Ground::Lawn | Ground::Bed => does.trench_soft,
        Ground::Gravel => does.trench_gravel,
        Ground::Slabs => does.trench_slabs,
        Ground::Concrete | Ground::Tarmac | Ground::SharedDrive => does.trench_hard,
    }
}

fn strip_out(job: Job<'_>, take_off: &mut TakeOff) {
    let does = &job.workbook.does;
    if job.site.existing_board != Some(BoardCondition::None) && job.site.cable_era != Some(CableEra::None) {
        let old =
            take_off.start(LineKind::StripOut, ItemKind::OldBoard, "Prove dead, disconnect and remove the old board");
        old.quantity(1.0, "each").work(does.board_strip, 1.0).done();
    }
    #[expect(clippy::cast_precision_loss, reason = "at most 50,000 points")]
    let points = job.site.points_to_strip as f64;
    take_off
        .start(LineKind::StripOut, ItemKind::OldPoints, "Disconnect and remove old points, cables made safe or pulled")
        .quantity(points, "point")
        .work(does.strip_point, points)
        .done();
    let surface = job.site.surface_wiring.value();
    take_off
        .start(
            LineKind::StripOut,
            ItemKind::OldSurfaceWiring,
            "Take off old cable, conduit and trunking on the surface",
        )
        .quantity(surface, "m")
        .work(does.strip_surface, surface)
        .done();
    let heaters = f64::from(job.site.storage_heaters);
    take_off
        .start(LineKind::StripOut, ItemKind::OldStorageHeaters, "Disconnect and dismantle old storage heaters")
        .quantity(heaters, "each")
        .work(does.strip_heater, heaters)
        .note("heaters from before 1974 may hold asbestos: look before one is opened (from memory)")
        .done();
}

fn testing(job: Job<'_>, take_off: &mut TakeOff) {
    let does = &job.workbook.does;
    let supply = take_off.start(LineKind::Testing, ItemKind::SupplyTests, "Tests at the origin and of the earthing");
    supply.work(does.supply_tests, 1.0).done();
    for (index, circuit) in job.installation.circuits.iter().enumerate() {
        let dead = match circuit.kind {
            CircuitType::RingSockets => does.dead_test_ring,
            CircuitType::Lighting | CircuitType::Alarms => does.dead_test_lighting,
            _ => does.dead_test_radial,
        };
        take_off
            .start(LineKind::Testing, ItemKind::CircuitTests, "Dead and live tests")
            .circuit(index)
            .quantity(1.0, "circuit")
            .work(dead, 1.0)
            .work(does.live_test, 1.0)
            .done();
        if let Some(kept) = circuit.fixed.kept {
            kept_circuit(job, take_off, index, circuit, kept);
        }
    }
    papers(job, take_off);
}

/// A circuit that stays is looked for and tested before it is joined to, unless somebody has.
fn kept_circuit(job: Job<'_>, take_off: &mut TakeOff, index: usize, circuit: &CircuitPlan, kept: Kept) {
    let does = &job.workbook.does;
    if !kept.tested {
        take_off
            .start(LineKind::Testing, ItemKind::ExistingCircuitSurvey, "Find and sample-test a circuit that stays")
            .circuit(index)
            .quantity(1.0, "circuit")
            .work(does.existing_circuit_survey, 1.0)
            .note("faults found on it are excluded")
            .done();
    }
    if !circuit.members.is_empty() {
        take_off
            .start(LineKind::Testing, ItemKind::JoinExisting, "Find where a circuit that stays may be joined")
            .circuit(index)
            .quantity(1.0, "each")
            .work(does.find_and_extend, 1.0)
            .done();
    }
}

#[expect(clippy::cast_precision_loss, reason = "circuits are bounded by the points of a survey")]
fn papers(job: Job<'_>, take_off: &mut TakeOff) {
    let does = &job.workbook.does;
    let circuits = job.installation.circuits.len();
    take_off
        .start(LineKind::Testing, ItemKind::Certificate, "Installation certificate, schedules and chart")
        .work(does.certificate, 1.0)
        .work(does.certificate_extra, circuits.saturating_sub(CIRCUITS_ON_A_CERTIFICATE) as f64)
        .done();
    take_off
        .start(LineKind::Testing, ItemKind::Notification, "Notification to building control and papers to the client")
        .work(does.notify, 1.0)
        .outlay(pennies(job.workbook.sheet.terms.notification_fee))
        .done();
    let handover =
        take_off.start(LineKind::Testing, ItemKind::Handover, "Show the client the board, alarms and controls");
    handover.work(does.handover, 1.0).done();
    let asks_operator = |kind| matches!(kind, CircuitType::ChargePoint | CircuitType::HeatPump);
    let loads = job.installation.circuits.iter().filter(|circuit| asks_operator(circuit.kind)).count();
    take_off
        .start(LineKind::Testing, ItemKind::OperatorForm, "Load survey and form to the network operator")
        .quantity(loads as f64, "item")
        .work(does.operator_form, loads as f64)
        .done();
}

/// Whole pennies of a fee of the sheet.
pub(super) fn pennies(fee: crate::money::Money) -> i64 {
    use rust_decimal::prelude::ToPrimitive;
    (fee.exact() * rust_decimal::Decimal::ONE_HUNDRED).to_i64().unwrap_or(0)
}
