//! Points gathered into circuits, with a device and a cable for each, and the board that holds them.
//!
//! In: the [`Site`] and its [`Ways`]. Out: [`Installation`]. The rules are those of a designer: pull out every load
//! that wants its own circuit; cut what is left by storey, the kitchen apart; never all lights on one device; every
//! circuit can be isolated alone (BS 7671 regulation 314.1, from memory). Device and cable come from rating tables, and
//! each circuit is then held against the wiring rules over its own length; where the table's cable fails, the next
//! larger one is taken.

mod board;
mod gather;
mod loads;
mod proof;
pub mod sizing;

pub use board::{BoardPlan, SubBoardPlan};
pub use proof::reference_method;
pub use sizing::{CableSize, Device};

use std::collections::BTreeMap;

use crate::catalogue::{Catalogue, CircuitType};
use crate::checks::CheckedCircuit;
use crate::quantities::Amps;
use crate::routes::{Run, Ways};
use crate::site::{AppliancePlan, RoomIndex};
use crate::standards::Standards;
use crate::survey::Earthing;

/// A circuit by its place in [`Installation::circuits`].
pub type CircuitIndex = usize;

/// Some of the points of one kind in one room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Member {
    /// The room.
    pub room: RoomIndex,
    /// The entry of the room's points.
    pub point: usize,
    /// How many of them.
    pub count: u32,
    /// The first of them among those of the entry.
    pub first: u32,
}

/// Where a circuit gets its supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FedFrom {
    /// The house's board.
    Board,
    /// The intake, by its own switched fuse.
    Intake,
    /// The board of an outbuilding, through the circuit that feeds it.
    Circuit(CircuitIndex),
}

/// A circuit.
#[derive(Debug, Clone)]
pub struct CircuitPlan {
    /// Its identifier in the document.
    pub id: String,
    /// Its name on the chart.
    pub name: String,
    /// The kind.
    pub kind: CircuitType,
    /// Whether it is a ring.
    pub ring: bool,
    /// Its device.
    pub device: Device,
    /// Its cable.
    pub cable: CableSize,
    /// The points that it feeds.
    pub members: Vec<Member>,
    /// Fixed appliances that it feeds.
    pub appliances: Vec<AppliancePlan>,
    /// Its design current.
    pub design_current: Amps,
    /// Whether the load is beyond the largest device of the table.
    pub beyond_table: bool,
    /// Where it gets its supply.
    pub fed_from: FedFrom,
    /// How its cable goes.
    pub run: Run,
    /// The outbuilding that it feeds or stands in, by its place in the site.
    pub outbuilding: Option<usize>,
    /// Why it is as it is.
    pub because: Vec<String>,
}

impl CircuitPlan {
    /// Points that it feeds.
    #[must_use]
    pub fn point_count(&self) -> u64 {
        self.members.iter().map(|member| u64::from(member.count)).sum()
    }
}

/// The installation: circuits, boards, signal wiring.
#[derive(Debug, Clone)]
pub struct Installation {
    /// The circuits in the order of the chart.
    pub circuits: Vec<CircuitPlan>,
    /// Points on no circuit: data, television and other signal wiring.
    pub signal: Vec<Member>,
    /// The house's board.
    pub board: BoardPlan,
    /// Appliances that a sockets circuit carries.
    pub on_sockets: Vec<(RoomIndex, AppliancePlan)>,
    /// The outcome of the checks, by circuit; absent where a figure was beyond the tables.
    pub checked: Vec<Option<CheckedCircuit>>,
}

/// Gathers the points of the site into circuits.
#[must_use]
pub fn design(ways: &Ways<'_>, catalogue: &Catalogue, standards: &Standards) -> Installation {
    let gathered = gather::gather(ways.site(), catalogue);
    let mut circuits: Vec<CircuitPlan> = Vec::with_capacity(gathered.drafts.len());
    let mut feeds: BTreeMap<usize, CircuitIndex> = BTreeMap::new();
    let mut waiting: Vec<gather::Draft> = gathered.drafts;
    waiting.reverse();
    while let Some(draft) = waiting.pop() {
        let index = circuits.len();
        if draft.kind == CircuitType::Distribution
            && let Some(building) = draft.outbuilding
        {
            feeds.insert(building, index);
        }
        let fed_from = gather::fed_from(ways.site(), &draft, &feeds);
        match sizing::complete(draft, index, fed_from, ways, catalogue) {
            sizing::Outcome::Complete(circuit) => circuits.push(*circuit),
            // Two shorter rings in place of one that is too long; the halves come up next, the first one first.
            sizing::Outcome::TooLong(first, second) => waiting.extend([*second, *first]),
        }
    }
    sizing::size_feeds(&mut circuits, ways.site());
    let checked = proof::prove(&mut circuits, ways, catalogue, standards);
    let board = board::plan(ways, &circuits);
    Installation { circuits, signal: gathered.signal, board, on_sockets: gathered.on_sockets, checked }
}

/// Whether an outbuilding gets its own electrode, and why. Metal that touches the ground and a charge point's earth
/// must not come from a neutral that may break. Source: domain practice on outbuildings, from memory; the designer
/// decides.
#[must_use]
pub fn outbuilding_earthing(metal: bool, earthing: Earthing) -> (bool, &'static str) {
    match (metal, earthing) {
        (_, Earthing::Tt) => (true, "own electrode: the house has no earth from the operator to share"),
        (true, _) => (true, "own electrode: metal of the building can be touched or reaches the ground"),
        (false, _) => (false, "earth from the house along the armour: dry, without metal that comes out of the ground"),
    }
}
