//! The board: ways, spare ways and what they are kept for, main switch, sections, surge and arc protection, tails.

use std::collections::BTreeMap;

use super::earthing::{self, EarthingPlan, OutbuildingEarth};
use super::edition::{self, NewRule};
use super::place::{self, PlaceFinding};
use super::{CircuitIndex, CircuitPlan, FedFrom};
use crate::catalogue::{Catalogue, CircuitType};
use crate::checks::{CheckedCircuit, Upstream, Verdict};
use crate::quantities::{Amps, Metres};
use crate::routes::Ways;
use crate::site::{Site, Spot};
use crate::standards::Standards;
use crate::survey::{BoardKind, FutureType, Survey};
use crate::told::Told;

/// The house's board and those of the outbuildings.
#[derive(Debug, Clone)]
pub struct BoardPlan {
    /// Its middle above the floor, where it was recorded.
    pub height: Option<Metres>,
    /// Ways that the circuits take.
    pub used: u32,
    /// Ways of the board chosen.
    pub ways: u32,
    /// What spare ways are kept for, a way each; the rest is free.
    pub kept_for: Vec<FutureType>,
    /// Rating of the main switch.
    pub main_switch: Amps,
    /// The residual current device that each circuit of the board hangs behind, from 1; none where each has its own.
    pub sections: BTreeMap<CircuitIndex, u8>,
    /// Metres of tails from the intake along the route.
    pub tails: Metres,
    /// Whether the tails are too long to do without a switched fuse.
    pub switched_fuse: bool,
    /// What the circuits of the board find there: what long tails drop, and the impedance and fault current at the board.
    pub at_board: Upstream,
    /// Boards in outbuildings.
    pub sub_boards: Vec<SubBoardPlan>,
    /// Earthing conductor, bonds, electrode.
    pub earthing: EarthingPlan,
    /// What is to be said of the place where it stands.
    pub place: Vec<PlaceFinding>,
    /// Whether sockets must have arc fault detection, or it is only recommended; and why.
    pub arc_detection: (Verdict, String),
    /// What the newest amendment adds that may touch the house.
    pub new_rules: Vec<NewRule>,
    /// Why it is as it is.
    pub because: Vec<String>,
}

/// A board in an outbuilding.
#[derive(Debug, Clone)]
pub struct SubBoardPlan {
    /// The outbuilding, by its place in the site.
    pub outbuilding: usize,
    /// The circuit that feeds it, by its place in the installation.
    pub feed: CircuitIndex,
    /// Ways of the board.
    pub ways: u32,
    /// Ways that its circuits take.
    pub used: u32,
    /// Rating of its main switch.
    pub main_switch: Amps,
    /// Where its earth comes from, and why.
    pub earth: OutbuildingEarth,
}

/// What a board is planned from.
pub(super) struct Made<'a> {
    pub tails: Metres,
    /// What the circuits of the board find there, and how that comes about where the tails are long.
    pub at_board: (Upstream, Option<String>),
    pub circuits: &'a [CircuitPlan],
    pub checked: &'a [Option<CheckedCircuit>],
    pub catalogue: &'a Catalogue,
    pub standards: &'a Standards,
    pub survey: &'a Survey,
    /// Whether reasons are wanted.
    pub told: Told,
}

/// Sizes of boards, in ways. Common practice, no source.
pub(crate) const BOARD_WAYS: [u32; 7] = [6, 10, 14, 18, 22, 28, 36];
/// Tails longer than this along their route want a switched fuse at the meter. Source: electriciansblog.co.uk, "Max
/// length of meter tails"; the operator's rule decides.
pub const TAILS_M_MAX: Metres = Metres::new(3.0);
/// Ratings of main switches. Common practice, no source.
const MAIN_SWITCHES_A: [f64; 3] = [63.0, 100.0, 125.0];
/// The main switch of a house, whatever its cut-out is today: a cut-out may be made larger. Common practice, no source.
const HOUSE_SWITCH_A: f64 = 100.0;
/// Storeys above the ground that make a residential building one of higher risk: 18 m or seven storeys. Source: BS 7671
/// 421.1.7, from memory.
const HIGHER_RISK_LEVEL: i8 = 6;

pub(super) fn plan(ways: &Ways<'_>, made: &Made<'_>) -> BoardPlan {
    let site = ways.site();
    let used = count(made.circuits.iter().filter(|circuit| circuit.fed_from == FedFrom::Board));
    let kept_for: Vec<FutureType> =
        site.future.iter().flat_map(|future| (0..made.catalogue.provision(*future).ways).map(|_| *future)).collect();
    let future = count(kept_for.iter());
    // Spare ways: two, or a fifth of those used, whichever is more, and one for each thing to come.
    let spare = used.div_ceil(5).max(2) + future;
    let wanted = used + spare;
    let size = BOARD_WAYS.into_iter().find(|size| *size >= wanted).unwrap_or_else(|| wanted.next_multiple_of(2));
    let tails = made.tails;
    let mut because = Vec::new();
    let told = made.told;
    told.push(
        format_args!(
            "{used} ways used, {spare} to spare asked for (two or a fifth, and {future} for what may come): {size} ways"
        ),
        &mut because,
    );
    let switched_fuse = tails > TAILS_M_MAX;
    if switched_fuse {
        told.push(
            format_args!(
                "{tails:.1} of tails is over {TAILS_M_MAX}: a switched fuse at the meter and a protected feed to the board"
            ),
            &mut because,
        );
    }
    because.extend(made.at_board.1.clone());
    let main_switch = main_switch(HOUSE_SWITCH_A.max(site.supply.cut_out.value()));
    let cut_out = site.supply.cut_out;
    told.push(
        format_args!("main switch of {main_switch:.0}, two poles, not under the cut-out of {cut_out:.0}"),
        &mut because,
    );
    let sections = sections(site, made.circuits);
    if !sections.is_empty() {
        because.push(
            "lights and sockets of one storey hang behind different residual current devices, and no two lighting circuits \
             in a row behind the same (BS 7671 314.1, from memory)"
                .to_owned(),
        );
    }
    let height = made.survey.consumer_unit.as_ref().and_then(|unit| unit.height_m).map(Metres::new);
    BoardPlan {
        height,
        used,
        ways: size,
        kept_for,
        main_switch,
        sections,
        tails,
        switched_fuse,
        at_board: made.at_board.0,
        sub_boards: sub_boards(site, made.circuits),
        earthing: earthing::plan(site, made.circuits, made.checked, made.standards),
        place: place::findings(site, height, tails),
        arc_detection: arc_detection(site),
        new_rules: edition::new_rules(site),
        because,
    }
}

fn main_switch(least_a: f64) -> Amps {
    let largest = MAIN_SWITCHES_A[MAIN_SWITCHES_A.len() - 1];
    Amps::new(MAIN_SWITCHES_A.into_iter().find(|rating| *rating >= least_a).unwrap_or(largest))
}

/// Intake to board along the route, up or down the wall at both ends.
pub(super) fn tails(ways: &Ways<'_>) -> Metres {
    /// Where board and meter share a wall. Common practice, no source.
    const SIDE_BY_SIDE_M: f64 = 1.5;
    /// Up from the meter and down to the board. Common practice, no source.
    const ENDS_M: f64 = 2.0;
    let site = ways.site();
    let place = |spot: Spot| (spot.room, spot.level, spot.at);
    if place(site.board) == place(site.intake) {
        return Metres::new(SIDE_BY_SIDE_M);
    }
    // In one room they go along the wall and into no void.
    let apart = site.intake.room != site.board.room;
    let by_the_map = apart
        .then(|| ways.between_on_the_map(site.intake, site.board, site.board.centre(), crate::routes::Gauge::Heaviest));
    match by_the_map.flatten() {
        Some(run) => run.metres,
        None => ways.between_spots(site.intake, site.board) + Metres::new(ENDS_M),
    }
}

/// Which of two residual current devices each circuit hangs behind, in the order of the chart: lights turn about, the
/// sockets of a storey go opposite to its lights, and the rest evens the numbers out.
fn sections(site: &Site, circuits: &[CircuitPlan]) -> BTreeMap<CircuitIndex, u8> {
    let mut sections = BTreeMap::new();
    if site.board_kind != BoardKind::SplitLoad {
        return sections;
    }
    let on_board = || circuits.iter().enumerate().filter(|(_, circuit)| circuit.fed_from == FedFrom::Board);
    let level = |circuit: &CircuitPlan| circuit.members.first().map(|member| site.rooms[member.room].level.max(0));
    let mut lights_of = BTreeMap::new();
    for (turn, (index, circuit)) in on_board().filter(|(_, circuit)| circuit.kind == CircuitType::Lighting).enumerate()
    {
        let section = if turn % 2 == 0 { 1 } else { 2 };
        sections.insert(index, section);
        lights_of.entry(level(circuit)).or_insert(section);
    }
    for (index, circuit) in on_board() {
        if sections.contains_key(&index) || !has_residual_device_before_it(circuit) {
            continue;
        }
        let opposite =
            circuit.kind.is_sockets().then(|| lights_of.get(&level(circuit)).map(|section| 3 - section)).flatten();
        let first = sections.values().filter(|section| **section == 1).count();
        let emptier = if first * 2 <= sections.len() { 1 } else { 2 };
        sections.insert(index, opposite.unwrap_or(emptier));
    }
    sections
}

/// A feed to a sub-board has its residual protection at the far end, a combined device its own.
fn has_residual_device_before_it(circuit: &CircuitPlan) -> bool {
    circuit.device.residual_ma.is_some() && !circuit.device.combined
}

fn arc_detection(site: &Site) -> (Verdict, String) {
    if site.top_level >= HIGHER_RISK_LEVEL {
        let because = "required on socket circuits up to 32 A: a residential building of 18 m or seven storeys (BS 7671 \
                       421.1.7, from memory)";
        return (Verdict::Fail, because.to_owned());
    }
    if site.future.contains(&FutureType::LetAsRooms) {
        let because = "required on socket circuits up to 32 A once it is let room by room: fit it now, or leave ways for \
                       devices of two modules (BS 7671 421.1.7, from memory)";
        return (Verdict::Advise, because.to_owned());
    }
    let because =
        "recommended on socket circuits up to 32 A, bedrooms first; not priced (BS 7671 421.1.7, from memory)";
    (Verdict::Advise, because.to_owned())
}

fn sub_boards(site: &Site, circuits: &[CircuitPlan]) -> Vec<SubBoardPlan> {
    let mut finals: BTreeMap<CircuitIndex, u32> = BTreeMap::new();
    for circuit in circuits {
        if let FedFrom::Circuit(feed) = circuit.fed_from {
            *finals.entry(feed).or_insert(0) += 1;
        }
    }
    circuits
        .iter()
        .enumerate()
        .filter(|(_, circuit)| circuit.kind == CircuitType::Distribution)
        .filter_map(|(feed, circuit)| {
            let outbuilding = circuit.outbuilding?;
            let used = finals.get(&feed).copied().unwrap_or(0);
            if used == 0 && circuit.fixed.kept.is_some() {
                // Nothing is done in the building: its board stays with its feed.
                return None;
            }
            Some(SubBoardPlan {
                outbuilding,
                feed,
                ways: used.max(1).next_multiple_of(6),
                used,
                main_switch: main_switch(circuit.device.rating.value()),
                earth: earthing::board_earth(outbuilding, site),
            })
        })
        .collect()
}

fn count<T>(things: impl Iterator<Item = T>) -> u32 {
    u32::try_from(things.count()).unwrap_or(u32::MAX)
}
