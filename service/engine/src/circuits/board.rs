//! The board: ways, spare ways and what they are kept for, main switch, sections, surge and arc protection, tails.

use std::collections::BTreeMap;

use super::earthing::{self, EarthingPlan, OutbuildingEarth};
use super::tails::{AtBoard, TAILS_M_MAX, TailsRun};
use super::{CircuitIndex, CircuitPlan, FedFrom, count};
use crate::catalogue::CircuitType;
use crate::checks::Verdict;
use crate::context::Context;
use crate::quantities::{Amps, Metres};
use crate::routes::Routing;
use crate::site::Site;
use crate::survey::{BoardCondition, BoardKind, FutureType};

/// The house's board and those of the outbuildings.
#[derive(Debug, Clone)]
pub struct BoardPlan {
    /// Its middle above the floor, where it was recorded.
    pub height: Option<Metres>,
    /// Whether the one that is there stays.
    pub stays: bool,
    /// Circuits on it that are new.
    pub new_circuits: u32,
    /// Whether a small board for the new circuits hangs beside it, as it has no free way for them.
    pub small_board: bool,
    /// Ways that the circuits take.
    pub used: u32,
    /// Spare ways that are asked for, those kept for something with them.
    pub spare: u32,
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
    /// Metres of them that would lie in walls.
    pub tails_in_walls: Metres,
    /// Whether the tails are too long to do without a switched fuse.
    pub switched_fuse: bool,
    /// What the circuits of the board find there: what long tails drop, and the impedance and fault current at the board.
    pub at_board: AtBoard,
    /// Boards in outbuildings.
    pub sub_boards: Vec<SubBoardPlan>,
    /// Earthing conductor, bonds, electrode.
    pub earthing: EarthingPlan,
}

/// Whether sockets must have arc fault detection.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ArcDetection {
    /// Required: a residential building of higher risk.
    HigherRisk,
    /// Required once it is let room by room.
    LetAsRooms,
    /// Recommended.
    Recommended,
}

impl ArcDetection {
    pub(super) fn of(site: &Site) -> Self {
        if site.top_level >= HIGHER_RISK_LEVEL {
            Self::HigherRisk
        } else if site.future.contains(&FutureType::LetAsRooms) {
            Self::LetAsRooms
        } else {
            Self::Recommended
        }
    }

    /// `fail` where it is required, for none is fitted.
    #[must_use]
    pub const fn verdict(self) -> Verdict {
        match self {
            Self::HigherRisk => Verdict::Fail,
            Self::LetAsRooms | Self::Recommended => Verdict::Advise,
        }
    }
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
    /// Where its earth comes from.
    pub earth: OutbuildingEarth,
    /// Metres of cable from the house's board, which its surge protection hangs on.
    pub cable: Metres,
    /// Whether it has a surge device of its own.
    pub surge_device: bool,
}

/// What a board is planned from.
pub(super) struct Planned<'a> {
    pub tails: TailsRun,
    pub at_board: AtBoard,
    pub circuits: &'a [CircuitPlan],
    /// The residual current device that each circuit hangs behind.
    pub sections: BTreeMap<CircuitIndex, u8>,
    pub context: Context<'a>,
}

/// Sizes of boards, in ways. Common practice, no source.
pub(crate) const BOARD_WAYS: [u32; 7] = [6, 10, 14, 18, 22, 28, 36];
/// A surge device protects what is within so much cable of it. Source: BS 7671 534.4.9, from memory.
pub const SURGE_REACH: Metres = Metres::new(10.0);
/// Ratings of main switches. Common practice, no source.
const MAIN_SWITCHES_A: [f64; 3] = [63.0, 100.0, 125.0];
/// The main switch of a house, whatever its cut-out is today: a cut-out may be made larger. Common practice, no source.
const HOUSE_SWITCH_A: f64 = 100.0;
/// Storeys above the ground that make a residential building one of higher risk: 18 m or seven storeys. Source: BS 7671
/// 421.1.7, from memory.
const HIGHER_RISK_LEVEL: i8 = 6;

pub(super) fn plan(ways: &Routing<'_>, from: Planned<'_>) -> BoardPlan {
    let site = ways.site();
    let used = count(from.circuits.iter().filter(|circuit| circuit.fed_from == FedFrom::Board));
    let kept_for: Vec<FutureType> = site
        .future
        .iter()
        .flat_map(|future| (0..from.context.catalogue.provision(*future).ways).map(|_| *future))
        .collect();
    let future = count(kept_for.iter());
    // Spare ways: two, or a fifth of those used, whichever is more, and one for each thing to come.
    let spare = used.div_ceil(5).max(2) + future;
    let wanted = used + spare;
    let size = BOARD_WAYS.into_iter().find(|size| *size >= wanted).unwrap_or_else(|| wanted.next_multiple_of(2));
    let TailsRun { length: tails, in_walls } = from.tails;
    let stays = site.scope.board_stays();
    let height = from.context.survey().consumer_unit.as_ref().and_then(|unit| unit.height_m).map(Metres::new);
    let new = count(from.circuits.iter().filter(|one| one.fed_from == FedFrom::Board && one.fixed.kept.is_none()));
    let small_board = stays && new > free_ways(site);
    let found = site.board_found.main_switch_a.filter(|_| stays).map(Amps::new);
    let standing = stays.then(|| standing(site, used - new, if small_board { 0 } else { new }));
    let (ways, used) = standing.unwrap_or((size, used));
    BoardPlan {
        height,
        stays,
        new_circuits: new,
        small_board,
        used,
        spare: if stays { ways - used } else { spare },
        ways,
        kept_for: if stays { Vec::new() } else { kept_for },
        main_switch: found.unwrap_or_else(|| main_switch(HOUSE_SWITCH_A.max(site.supply.cut_out.value()))),
        sections: from.sections,
        tails,
        tails_in_walls: in_walls,
        // Tails that stay are what they are.
        switched_fuse: !stays && tails > TAILS_M_MAX,
        at_board: from.at_board,
        sub_boards: sub_boards(site, from.circuits),
        earthing: earthing::plan(site, from.context.standards),
    }
}

/// Ways of a board that stays, and how many are in use once `new` circuits are on it too: as counted, else those of a usual
/// board; `known` of its circuits are on the list.
fn standing(site: &Site, known: u32, new: u32) -> (u32, u32) {
    /// Ways of a usual board, and those of them that are free. Common practice, no source.
    const USUAL_WAYS: u32 = 10;
    const USUAL_FREE: u32 = 2;
    let counted = site.board_found;
    let ways = counted.ways.unwrap_or(USUAL_WAYS);
    let free = counted.ways_spare.unwrap_or_else(|| free_ways(site).min(USUAL_FREE));
    let used = ways.saturating_sub(free).max(known) + new;
    (ways.max(used), used)
}

/// Free ways of the board that is there. Not counted: a modern one has some, one with fuses takes no new device.
fn free_ways(site: &Site) -> u32 {
    let fuses = matches!(site.existing_board, Some(BoardCondition::RewireableFuses | BoardCondition::CartridgeFuses));
    site.board_found.ways_spare.unwrap_or(if fuses { 0 } else { u32::MAX })
}

fn main_switch(least_a: f64) -> Amps {
    let largest = MAIN_SWITCHES_A[MAIN_SWITCHES_A.len() - 1];
    Amps::new(MAIN_SWITCHES_A.into_iter().find(|rating| *rating >= least_a).unwrap_or(largest))
}

/// Which of two residual current devices each circuit hangs behind, in the order of the chart: lights turn about, the
/// sockets of a storey go opposite to its lights, and the rest evens the numbers out.
pub(super) fn sections(site: &Site, circuits: &[CircuitPlan]) -> BTreeMap<CircuitIndex, u8> {
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
                cable: circuit.run.metres,
                surge_device: !site.surge_declined && circuit.run.metres > SURGE_REACH,
            })
        })
        .collect()
}
