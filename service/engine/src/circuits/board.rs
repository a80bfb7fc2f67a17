//! The board: ways, spare ways, tails.

use super::{CircuitPlan, FedFrom, outbuilding_earthing};
use crate::catalogue::CircuitType;
use crate::quantities::{Amps, Metres};
use crate::routes::Ways;
use crate::survey::FutureType;

/// The house's board and those of the outbuildings.
#[derive(Debug, Clone)]
pub struct BoardPlan {
    /// Ways that the circuits take.
    pub used: u32,
    /// Ways of the board chosen.
    pub ways: u32,
    /// Rating of the main switch.
    pub main_switch: Amps,
    /// Metres of tails from the intake along the route.
    pub tails: Metres,
    /// Whether the tails are too long to do without a switched fuse.
    pub switched_fuse: bool,
    /// Boards in outbuildings.
    pub sub_boards: Vec<SubBoardPlan>,
    /// Why it is as it is.
    pub because: Vec<String>,
}

/// A board in an outbuilding.
#[derive(Debug, Clone)]
pub struct SubBoardPlan {
    /// The outbuilding, by its place in the site.
    pub outbuilding: usize,
    /// The circuit that feeds it, by its place in the installation.
    pub feed: usize,
    /// Ways of the board.
    pub ways: u32,
    /// Ways that its circuits take.
    pub used: u32,
    /// Whether it has its own electrode.
    pub electrode: bool,
    /// Where its earth comes from, and why.
    pub earthing: &'static str,
}

/// Sizes of boards, in ways. Common practice, no source.
pub(crate) const BOARD_WAYS: [u32; 7] = [6, 10, 14, 18, 22, 28, 36];
/// Tails longer than this along their route want a switched fuse at the meter. Source: electriciansblog.co.uk, "Max
/// length of meter tails"; the operator's rule decides.
pub const TAILS_M_MAX: f64 = 3.0;

pub(super) fn plan(ways: &Ways<'_>, circuits: &[CircuitPlan]) -> BoardPlan {
    let site = ways.site();
    let used = count(circuits.iter().filter(|circuit| circuit.fed_from == FedFrom::Board));
    let future = count(site.future.iter().filter(|future| takes_a_way(**future)));
    // Spare ways: two, or a fifth of those used, whichever is more, and one for each thing to come.
    let spare = used.div_ceil(5).max(2) + future;
    let wanted = used + spare;
    let size = BOARD_WAYS.into_iter().find(|size| *size >= wanted).unwrap_or_else(|| wanted.next_multiple_of(2));
    let tails = tails(ways);
    let mut because = vec![format!(
        "{used} ways used, {spare} to spare asked for (two or a fifth, and {future} for what may come): {size} ways"
    )];
    let switched_fuse = tails.value() > TAILS_M_MAX;
    if switched_fuse {
        because.push(format!(
            "{tails:.1} of tails is over {TAILS_M_MAX} m: a switched fuse at the meter and a protected feed to the board"
        ));
    }
    BoardPlan {
        used,
        ways: size,
        main_switch: Amps::new(100.0),
        tails,
        switched_fuse,
        sub_boards: sub_boards(ways, circuits),
        because,
    }
}

/// Intake to board along the route, up or down the wall at both ends.
fn tails(ways: &Ways<'_>) -> Metres {
    /// Where board and meter share a wall. Common practice, no source.
    const SIDE_BY_SIDE_M: f64 = 1.5;
    /// Up from the meter and down to the board. Common practice, no source.
    const ENDS_M: f64 = 2.0;
    let site = ways.site();
    if site.board == site.intake {
        return Metres::new(SIDE_BY_SIDE_M);
    }
    ways.between_spots(site.intake, site.board) + Metres::new(ENDS_M)
}

fn takes_a_way(future: FutureType) -> bool {
    match future {
        FutureType::ChargePoint
        | FutureType::SecondChargePoint
        | FutureType::HeatPump
        | FutureType::Solar
        | FutureType::Battery
        | FutureType::GardenRoom
        | FutureType::HotTub
        | FutureType::Annexe
        | FutureType::Extension
        | FutureType::LoftConversion
        | FutureType::StairLift => true,
        FutureType::HomeOffice | FutureType::LetAsRooms => false,
    }
}

fn sub_boards(ways: &Ways<'_>, circuits: &[CircuitPlan]) -> Vec<SubBoardPlan> {
    let site = ways.site();
    let mut finals: std::collections::BTreeMap<usize, u32> = std::collections::BTreeMap::new();
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
            let (electrode, earthing) =
                outbuilding_earthing(site.outbuildings[outbuilding].metal, site.supply.earthing);
            Some(SubBoardPlan { outbuilding, feed, ways: used.max(1).next_multiple_of(6), used, electrode, earthing })
        })
        .collect()
}

fn count<T>(things: impl Iterator<Item = T>) -> u32 {
    u32::try_from(things.count()).unwrap_or(u32::MAX)
}
