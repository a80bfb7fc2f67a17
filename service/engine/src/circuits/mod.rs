//! Points gathered into circuits, with a device and a cable for each, and the board that holds them.
//!
//! In: the [`Site`] and its [`Routing`]. Out: [`Installation`]. The rules are those of a designer: pull out every load
//! that wants its own circuit; cut what is left by storey, the kitchen apart; never all lights on one device; every
//! circuit can be isolated alone (BS 7671 regulation 314.1, from memory). Device and cable come from rating tables, and
//! each circuit is then held against the wiring rules over its own length; where the table's cable fails, the next
//! larger one is taken.

pub mod alarms;
pub mod bathrooms;
mod board;
mod bonds;
mod bound;
mod clear;
mod connections;
mod design;
mod designed_demand;
mod draw_ins;
pub mod earthing;
pub mod edition;
mod extended;
mod feeds;
mod findings;
mod form;
mod gather;
mod given;
mod grouping;
mod house_demand;
mod lighting;
mod loads;
mod lying;
pub mod names;
mod papers;
pub mod phases;
pub mod place;
mod proof;
mod reason;
mod run_cost;
mod shared;
pub mod sizing;
pub mod tails;
mod unassigned;

pub use board::{ArcDetection, BoardPlan, SURGE_REACH, SubBoardPlan};
pub use bonds::BondRun;
pub(crate) use bonds::needs_bond;
pub use bound::may_be_too_many;
pub use design::{Design, design, installation};
pub use designed_demand::{
    ApplyBecause, DemandVerdict, DesignedDemand, LargeDevice, LargeKind, MeasuredPeak, OperatorNotice,
};
pub use draw_ins::{DrawIn, DrawInEnd};
pub use earthing::EarthingPlan;
pub use findings::Findings;
pub use given::{DesignerChoices, ExistingCircuit, faults};
pub use grouping::SharedWays;
pub use house_demand::{HouseDemand, PhaseDemand, SocketsCounted};
pub(crate) use loads::{holds_sockets, usual_load};
pub use lying::Lying;
pub use papers::{Certificate, CertificateKind, Notice, NoticeBecause};
pub use proof::Proof;
pub use reason::{
    Bar, CircuitReason, FeedCable, FeedSize, FormPriced, FormsCompared, InsulationChoice, InsulationWay, LargerBecause,
    LightsShared, SocketsForm, WayPriced,
};
pub(crate) use run_cost::run_cost;
pub use shared::{SharedPlace, SharedWay, wants_plates};
pub use sizing::Device;
pub use unassigned::{Strapper, UnassignedRuns};

use crate::catalogue::{CableSize, CircuitType};
use crate::quantities::Amps;
use crate::routes::Run;
use crate::site::{AppliancePlan, RoomIndex, Site};

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

/// How many points they are together.
fn points_of(members: &[Member]) -> u64 {
    members.iter().map(|member| u64::from(member.count)).sum()
}

/// How many there are.
fn count<T>(things: impl Iterator<Item = T>) -> u32 {
    u32::try_from(things.count()).unwrap_or(u32::MAX)
}

/// Where a circuit gets its supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
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
    /// The phase that it is on; absent where there is one only.
    pub phase: Option<phases::Phase>,
    /// How its cable goes.
    pub run: Run,
    /// How its cable lies: along its run, and among the cables of others in what they share.
    pub lies: Vec<Lying>,
    /// The way of lying that governs what it carries.
    pub governing: Lying,
    /// The outbuilding that it feeds or stands in, by its place in the site.
    pub outbuilding: Option<usize>,
    /// The most energy that its device may let through by its maker's figure, where the limit of its class is too much
    /// for the protective conductor; in A2s.
    pub let_through_a2s_max: Option<f64>,
    /// What of it a designer has fixed.
    pub fixed: DesignerChoices,
    /// Why it is as it is.
    pub reasons: Vec<CircuitReason>,
}

impl CircuitPlan {
    /// Whether it counts as a circuit of sockets: what is plugged in is not known, so its device stands for it.
    #[must_use]
    pub fn feeds_sockets(&self, site: &Site) -> bool {
        self.kind.is_sockets()
            || (self.kind == CircuitType::Outside
                && self
                    .members
                    .iter()
                    .any(|member| loads::is_socket(site.rooms[member.room].points[member.point].kind)))
    }

    /// Whether an outlet that anything may be plugged into is on it, as far as it is known.
    #[must_use]
    pub fn has_outlets(&self, site: &Site) -> bool {
        let outlet = |member: &Member| loads::is_outlet(site.rooms[member.room].points[member.point].kind);
        self.kind.is_sockets() || self.members.iter().any(outlet)
    }

    /// Insulated cores of its cable; those of an armoured one that stays were not counted.
    #[must_use]
    pub fn cores(&self) -> Option<u8> {
        match (self.cable, self.fixed.kept) {
            (cable, Some(_)) if cable.is_armoured() => None,
            (cable, _) => Some(cable.cores()),
        }
    }

    /// Whether it is the feed of an outbuilding that a trench is dug for.
    #[must_use]
    pub fn is_dug(&self) -> bool {
        self.kind == CircuitType::Distribution && self.fixed.kept.is_none()
    }

    /// Whether its device breaks line and neutral. A charge point's does by rule (BS 7671 722.531.3.101, seen); a circuit that
    /// goes outside by habit on TN, since a wet neutral that touches earth cannot be cut off otherwise, and by rule on an own
    /// electrode.
    #[must_use]
    pub fn breaks_neutral(&self) -> bool {
        matches!(self.kind, CircuitType::ChargePoint | CircuitType::Outside)
    }

    /// Points that it feeds.
    #[must_use]
    pub fn point_count(&self) -> u64 {
        points_of(&self.members)
    }
}

/// The installation: circuits, boards, signal wiring.
#[derive(Debug, Clone)]
pub struct Installation {
    /// The circuits in the order of the chart.
    pub circuits: Vec<CircuitPlan>,
    /// Points on no circuit: data, television and other signal wiring.
    pub signal: Vec<Member>,
    /// Runs that belong to no circuit.
    pub unassigned: UnassignedRuns,
    /// The house's board.
    pub board: BoardPlan,
    /// What cables share, and over how many holes they are spread.
    pub shared: SharedWays,
    /// Appliances that a sockets circuit carries.
    pub on_sockets: Vec<(RoomIndex, AppliancePlan)>,
    /// The outcome of the checks, by circuit; absent where a figure was beyond the tables.
    pub checked: Vec<Option<Proof>>,
}
