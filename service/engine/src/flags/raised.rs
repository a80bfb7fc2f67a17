//! A flag as it is raised: which, where, and what was found.

use super::{FlagId, FlagRules, Severity, ToldAs};
use crate::checks::CheckName;
use crate::circuits::alarms::AlarmFinding;
use crate::circuits::bathrooms::ZoneFinding;
use crate::circuits::edition::NewRule;
use crate::circuits::place::PlaceFinding;
use crate::circuits::{ArcDetection, CircuitIndex, LargeKind};
use crate::money::Money;
use crate::quantities::Amps;
use crate::site::RoomIndex;
use crate::survey::VatCase;
use crate::unknowns::{HousePlace, rooms};

/// What is wrong with a circuit.
#[derive(Debug, Clone, PartialEq)]
pub enum CircuitFlag {
    /// It could not be checked.
    NotChecked,
    /// Its load is beyond every device of the table.
    BeyondDevices,
    /// It fails these checks.
    Fails(Vec<CheckName>),
    /// A shower on a cable that stays, and the check that it fails first.
    Shower(CheckName),
    /// A ring that stays, untested, and is made longer.
    OldRing,
    /// A feed that loses so many volts, long tails apart.
    FeedDrop(f64),
    /// Its appliance has no point.
    Unconnected,
}

/// What was found, where the flag alone does not say it.
#[derive(Debug, Clone, PartialEq)]
pub enum FlagDetail {
    /// Nothing more than the flag says.
    Plain,
    /// What in the rooms may hold asbestos.
    Coatings {
        /// Textured ceilings.
        ceilings: bool,
        /// Vinyl tiles.
        tiles: bool,
    },
    /// Old fuses whose guards may hold asbestos.
    OldBoard {
        /// Whether what they are fixed to may hold it as well.
        backing_suspect: bool,
    },
    /// New large loads that the operator of the network is asked about first.
    Operator {
        /// The house after diversity.
        after_diversity: Amps,
        /// What is new.
        kinds: Vec<LargeKind>,
    },
    /// Demand against the cut-out.
    Demand {
        /// After diversity.
        after_diversity: Amps,
        /// The cut-out.
        cut_out: Amps,
    },
    /// Ways of a board.
    SpareWays {
        /// Those that are used.
        used: u32,
        /// All of them.
        ways: u32,
    },
    /// A bond that is priced.
    Bond {
        /// The cross-section of the one that is there; 0 where there is none.
        present_mm2: f64,
        /// The metres of the new one.
        metres: f64,
    },
    /// What is wrong with a circuit.
    Circuit(CircuitIndex, CircuitFlag),
    /// A way round what lies across.
    Detour {
        /// What the straight way would save.
        saves: Money,
    },
    /// Points without a place.
    Unmarked {
        /// How many.
        unmarked: u64,
        /// Of how many.
        points: u64,
    },
    /// The tax case that wants evidence.
    TaxCase(VatCase),
    /// What is wrong with the board's place.
    BoardPlace(Vec<PlaceFinding>),
    /// Why arc fault detection is required.
    ArcDetection(ArcDetection),
    /// A new rule that is not met.
    NewRule(NewRule),
    /// Storeys without an alarm, by their levels.
    StoreysWithoutAlarm(Vec<i8>),
    /// An alarm that does not reach.
    Alarm(AlarmFinding),
    /// A point of a bathroom.
    Zone(ZoneFinding),
}

/// A flag that is raised.
#[derive(Debug, Clone, PartialEq)]
pub struct RaisedFlag {
    /// Which.
    pub id: FlagId,
    /// How the reader is told of it.
    pub told_as: ToldAs,
    /// How bad it is.
    pub severity: Severity,
    /// Where.
    pub places: Vec<HousePlace>,
    /// What was found.
    pub detail: FlagDetail,
    /// The money at stake, where it can be worked out.
    pub at_stake: Option<Money>,
}

/// Flags as they are raised.
pub(super) struct FlagCollector<'a> {
    pub rules: &'a FlagRules,
    pub flags: Vec<RaisedFlag>,
}

impl FlagCollector<'_> {
    /// A flag that says it all.
    pub fn raise(&mut self, id: FlagId, places: impl Into<Vec<HousePlace>>, at_stake: Option<Money>) {
        self.raise_with(id, places, FlagDetail::Plain, at_stake);
    }

    /// A flag with what was found.
    pub fn raise_with(
        &mut self,
        id: FlagId,
        places: impl Into<Vec<HousePlace>>,
        detail: FlagDetail,
        at_stake: Option<Money>,
    ) {
        self.flags.push(RaisedFlag {
            id,
            told_as: self.rules.of(id).told_as,
            severity: self.rules.of(id).severity,
            places: places.into(),
            detail,
            at_stake: at_stake.filter(|money| *money != Money::ZERO),
        });
    }

    /// A flag whose weight hangs on what was found.
    pub fn raise_as(&mut self, severity: Severity, id: FlagId, place: HousePlace, found: (FlagDetail, Option<Money>)) {
        self.raise_with(id, place, found.0, found.1);
        if let Some(raised) = self.flags.last_mut() {
            raised.severity = severity;
        }
    }

    /// One flag for all of these rooms, where there is one.
    pub fn raise_for_rooms(&mut self, id: FlagId, at: impl Iterator<Item = RoomIndex>, at_stake: Option<Money>) {
        let at = rooms(at);
        if !at.is_empty() {
            self.raise(id, at, at_stake);
        }
    }
}
