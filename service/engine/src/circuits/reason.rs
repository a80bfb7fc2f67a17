//! Why a circuit is as it is: facts with their figures, which `answer` puts into words.

use super::given::ExistingCircuit;
use crate::checks::CheckName;
use crate::faults::Fault;
use crate::money::Money;
use crate::quantities::{Amps, Metres, SquareMetres};
use crate::site::RoomIndex;
use crate::standards::ReferenceMethod;
use crate::survey::Medium;

/// A reason for what was chosen of a circuit. What else it rests on is in the circuit itself and in the tables.
#[derive(Debug, Clone, PartialEq)]
pub enum CircuitReason {
    /// One of two rings: as one it would be longer than a ring of its cable may be.
    RingHalved,
    /// Which lights are on it, and which are not.
    Lights(LightsShared),
    /// The cheapest of the forms that sockets may be wired in.
    CheapestForm(Box<FormsCompared>),
    /// Its length is given.
    LengthGiven {
        /// As given.
        given: Metres,
        /// Along its route.
        routed: Metres,
    },
    /// A circuit that stays, made longer.
    Extended {
        /// Metres that are there.
        there: Metres,
        /// Metres that are joined.
        joined: Metres,
    },
    /// The length of a circuit that stays was not recorded and is taken.
    LengthTaken(Metres),
    /// Device and cable are those of its form.
    UsualOfForm {
        /// The device.
        rating: Amps,
        /// The cable.
        line_mm2: f64,
    },
    /// Device and cable are those that its kind usually has.
    UsualOfKind,
    /// What it draws, worked out from what is on it.
    DesignCurrent(Amps),
    /// Device and cable by the table of ratings.
    ByRatingTable {
        /// What it draws.
        current: Amps,
        /// The row of the table, by its place.
        step: usize,
        /// The cable that is tried first.
        line_mm2: f64,
    },
    /// It draws more than the largest device of that table bears.
    BeyondRatingTable(Amps),
    /// The neutral of lights is looped at the switches.
    NeutralAtSwitches,
    /// It is there now and stays.
    Kept(ExistingCircuit),
    /// The feed of an outbuilding that is there now and stays.
    KeptFeed,
    /// A designer has fixed something of it.
    Given,
    /// What hangs on it was not recorded: all that its device lets flow is taken.
    LoadNotRecorded,
    /// A feed is sized for the circuits behind it.
    FeedSized(FeedSize),
    /// The feed could have come another way, which was compared.
    FeedsCompared,
    /// A heavy load, clipped clear of the insulation that so many metres of it cross.
    ClearOfInsulation(Metres),
    /// What was chosen where a stretch in insulation would put it up a size.
    Insulation(Box<InsulationChoice>),
    /// A larger cable than the one that was first taken.
    Larger {
        /// The first one.
        from_mm2: f64,
        /// The one taken.
        to_mm2: f64,
        /// Why.
        why: LargerBecause,
    },
    /// It could not be checked.
    NotChecked(Vec<Fault>),
    /// It fails with the cable that was given.
    GivenCableFails,
    /// It fails with every cable of its make.
    NoCablePasses,
    /// It passes with a device whose maker states at most this, in A2s.
    LowerLetThrough(f64),
}

/// Why lights share a device, or do not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LightsShared {
    /// All lights of the house are on it, as a designer has given it.
    AllAsGiven,
    /// One of two circuits of lights, so that one trip does not darken the house.
    OnTwoCircuits,
    /// Lights of a stair, apart from those of the hall that it rises from.
    StairApart,
    /// Lights of cellar, garage and kitchen, apart from the way out.
    ServiceRoomsApart,
}

/// The forms that sockets may be wired in, side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct FormsCompared {
    /// The one taken.
    pub chosen: SocketsForm,
    /// What each comes to.
    pub forms: [FormPriced; 3],
}

/// What one form of a circuit of sockets comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FormPriced {
    /// The form.
    pub form: SocketsForm,
    /// Its cable, laid.
    pub metres: Metres,
    /// The size of that cable.
    pub line_mm2: f64,
    /// What that costs.
    pub cost: Money,
    /// Why it may not be taken.
    pub bar: Option<Bar>,
}

/// The form of a circuit of sockets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SocketsForm {
    /// A ring behind 32 A.
    Ring,
    /// A radial behind 32 A.
    Radial32,
    /// A radial behind 20 A.
    Radial20,
}

/// Why sockets may not be wired in a form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bar {
    /// The load of a kitchen is above its device.
    Kitchen,
    /// A designer has given another device.
    OtherDeviceGiven,
    /// Its cable carries too little where it lies.
    Carries(Amps, ReferenceMethod),
    /// It would serve more floor than it may.
    Area {
        /// What it would serve.
        area: SquareMetres,
        /// What it may.
        limit: SquareMetres,
    },
    /// It would have more points than it may.
    Points {
        /// What it would have.
        points: u64,
        /// What it may.
        limit: u64,
    },
    /// Its far end would be too far away.
    FarEnd {
        /// How far it would be.
        metres: Metres,
        /// How far it may be.
        limit: Metres,
    },
}

/// Why a cable is larger than the one that was first taken.
#[derive(Debug, Clone, PartialEq)]
pub enum LargerBecause {
    /// The first one fails these.
    Fails(Vec<CheckName>),
    /// It costs less than the holes that keep the smaller one apart from others.
    FewerHoles {
        /// What the holes would cost.
        saved: Money,
        /// What the larger cable costs more.
        costs: Money,
    },
    /// Of a feed: the last point behind it keeps its drop.
    LastPointBehind,
}

/// A stretch in insulation that would put a circuit up a size, and what was done instead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InsulationChoice {
    /// The way of the stretch that governed.
    pub medium: Medium,
    /// Its room.
    pub room: Option<RoomIndex>,
    /// Its method.
    pub method: ReferenceMethod,
    /// Metres that could be clipped above the insulation.
    pub under: Metres,
    /// With a larger cable as it lies.
    pub larger: Option<WayPriced>,
    /// Clipped clear.
    pub clear: Option<WayPriced>,
    /// By another way.
    pub moved: Option<WayPriced>,
    /// What was chosen: what costs least.
    pub chosen: InsulationWay,
}

/// What may be done about a stretch in insulation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InsulationWay {
    /// Clipped above it.
    Clear,
    /// The circuit goes another way.
    Moved,
    /// A larger cable.
    Larger,
}

/// What one way of wiring a circuit comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WayPriced {
    /// Its cable.
    pub line_mm2: f64,
    /// Metres of it.
    pub metres: Metres,
    /// What it costs, with what it opens for itself.
    pub cost: Money,
}

/// What a feed is sized for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FeedSize {
    /// What the largest circuit behind it counts for.
    pub largest_a: f64,
    /// What it carries: that, and a share of the others.
    pub current_a: f64,
    /// Its device.
    pub rating_a: f64,
    /// The largest device behind it.
    pub behind_a: f64,
    /// The cable that was chosen; absent where it was given.
    pub cable: Option<FeedCable>,
}

/// The cable of a feed, and what it is chosen by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FeedCable {
    /// Its size.
    pub line_mm2: f64,
    /// Its length.
    pub run_m: f64,
    /// The share of nominal that it may drop.
    pub drop_share: f64,
}
