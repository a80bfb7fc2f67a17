//! What tells an item from others of its kind: the facts, with their figures, that a line's words are made from.

use crate::circuits::{CircuitIndex, DrawInEnd};
use crate::money::Money;
use crate::rate_sheet::HireRate;
use crate::routes::Opening;
use crate::site::RoomIndex;
use crate::survey::{FutureType, Ground, ObstructionType, ServiceType};

/// What is to be said of an item besides its quantity, its hours and its materials.
#[derive(Debug, Clone, PartialEq)]
pub enum ItemDetail {
    /// A point of this row of the catalogue.
    Point {
        /// The row.
        row: usize,
        /// Whether it is a fitting of the client's own, unpacked and put together on site.
        own_fitting: bool,
    },
    /// A neutral that is looped at switches.
    NeutralLooped {
        /// Whether the sheet has an operation for it.
        hours_priced: bool,
    },
    /// Cable from an isolator to what it isolates.
    FromIsolator,
    /// The cable of a charge point's load sensor.
    LoadSensor,
    /// Where data and television cables end.
    SignalEnds {
        /// Data cables that end there.
        data: u32,
        /// Television cables that end there.
        television: u32,
        /// Whether a double socket for the equipment is counted, as the list has none in that room.
        socket: bool,
    },
    /// Trunking at a board.
    BoardContainment {
        /// Cables that come in from above.
        above: u32,
        /// Cables that come in from below.
        below: u32,
    },
    /// Metres of cable slowed by this.
    Obstructed(ObstructionType),
    /// A line of floor.
    OpenedFloor {
        /// How long it is.
        line_m: f64,
        /// How it lies to the joists.
        joists: AcrossJoists,
        /// Whose cables use it.
        users: Vec<OpeningUser>,
        /// How cables are spread over the holes of its joists.
        spread: Option<CableSpread>,
    },
    /// A hole through a wall or a slab.
    Hole {
        /// Where.
        opening: Opening,
        /// Whose cables go through.
        users: Vec<OpeningUser>,
        /// How they are spread over more holes than one.
        spread: Option<CableSpread>,
    },
    /// A way up a corner.
    Riser {
        /// How far up.
        metres: f64,
        /// Whose cables go up.
        users: Vec<OpeningUser>,
        /// How they are spread over more chases or holes than one.
        spread: Option<CableSpread>,
    },
    /// A draw-in run.
    DrawIn {
        /// Where it ends.
        end: DrawInEnd,
        /// What may come.
        futures: Vec<FutureType>,
        /// Whether its end was recorded.
        recorded: bool,
        /// Whether the sheet has the conduit.
        conduit_priced: bool,
    },
    /// A main bond.
    Bond {
        /// Whether it was recorded where the pipe comes in.
        place_recorded: bool,
    },
    /// The board of an outbuilding, by its place in the list of them.
    SubBoard(usize),
    /// A trench through this.
    Trench(Ground),
    /// Something to stand on.
    Access {
        /// What it is wanted for.
        reason: AccessReason,
        /// For how long it is hired.
        weeks: f64,
        /// At what; absent where the firm has its own.
        hired: Option<HireRate>,
    },
    /// What leaves the house, and how.
    Waste(WasteReason),
    /// Travel of the crew.
    Travel {
        /// Times that the crew drives out.
        trips: f64,
        /// People who come.
        people: f64,
        /// How many of them only those make who test.
        tests_alone: f64,
    },
    /// What the visit of another job leaves out here.
    VisitShared {
        /// Days that this job takes.
        days: f64,
        /// Days that the other job pays for.
        paid: f64,
        /// Days of setting up that are not counted.
        within: f64,
        /// Trips that are not counted.
        trips: f64,
    },
}

/// Cables spread over holes, so that none of them carries too little among the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CableSpread {
    /// The most cables of circuits that pass one place.
    pub cables: u32,
    /// The most that lie in one hole.
    pub in_one: u32,
    /// The loaded ones among them.
    pub loaded_in_one: u32,
    /// Circuits whose cables have holes of their own.
    pub alone: u32,
    /// Holes in all.
    pub holes: f64,
    /// Holes that would do for room alone.
    pub for_room: f64,
    /// What a larger cable in place of more holes would cost at least, where that was compared.
    pub larger_cable: Option<f64>,
    /// Whether each hole wants a plate over the joist.
    pub plates: bool,
}

impl CableSpread {
    /// Whether there are more holes than the cables need for room.
    #[must_use]
    pub fn keeps_apart(&self) -> bool {
        self.holes > self.for_room
    }
}

/// How an opened line of floor lies to its joists.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AcrossJoists {
    /// Not recorded: half of the line is taken across them.
    Half,
    /// Across them, so many drilled.
    Across(f64),
    /// Along them.
    Along,
}

/// Whose cable uses what was opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OpeningUser {
    /// A circuit.
    Circuit(CircuitIndex),
    /// Signal wiring.
    Signal,
    /// The bond of a service.
    Bond(ServiceType),
    /// A draw-in run.
    DrawIn(DrawInEnd),
    /// Strappers between switches.
    Strappers,
}

/// What something to stand on is wanted for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AccessReason {
    /// A tower at each of these.
    Towers(Vec<TowerPlace>),
    /// A ladder for points outside above this height.
    LadderOutside,
}

/// Where a tower is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TowerPlace {
    /// A room with a high ceiling.
    HighRoom(RoomIndex),
    /// A landing over a stair.
    OverStair(RoomIndex),
    /// So many points outside.
    Outside {
        /// How many.
        points: u32,
    },
}

impl TowerPlace {
    /// How often one is put up: outside once for each point.
    pub(crate) const fn towers(self) -> u32 {
        match self {
            Self::HighRoom(_) | Self::OverStair(_) => 1,
            Self::Outside { points } => points,
        }
    }
}

/// Why waste goes as it does.
#[derive(Debug, Clone, PartialEq)]
pub struct WasteReason {
    /// Loose volume.
    pub volume_m3: f64,
    /// What it is made of.
    pub parts: Vec<WastePart>,
    /// Loads of a van.
    pub vans: f64,
    /// What they would cost.
    pub by_van: f64,
    /// The cheapest skips; absent where the sheet hires none.
    pub skips: Option<SkipsWeighed>,
}

impl WasteReason {
    /// The skips, where they cost less than the van.
    #[must_use]
    pub fn by_skip(&self) -> Option<&SkipsWeighed> {
        self.skips.as_ref().filter(|skips| skips.price.approximate() < self.by_van)
    }
}

/// One kind of waste.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WastePart {
    /// What.
    pub of: WasteOf,
    /// How many or how many metres.
    pub quantity: f64,
    /// Loose volume of one.
    pub each_m3: f64,
}

/// Where waste comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WasteOf {
    /// Old points.
    OldPoints,
    /// Old wiring on the surface.
    OldSurface,
    /// Old storage heaters.
    StorageHeaters,
    /// Chases.
    Chase,
    /// Hard standing that a trench goes through.
    HardStanding,
}

/// Skips as weighed against vans.
#[derive(Debug, Clone, PartialEq)]
pub struct SkipsWeighed {
    /// The skip.
    pub skip: HireRate,
    /// The permit of one that stands on the road.
    pub permit: Option<HireRate>,
    /// How many.
    pub count: f64,
    /// What they cost, permits with them.
    pub price: Money,
}
