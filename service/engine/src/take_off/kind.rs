//! What an item of the take-off is: what its line is for, and which thing is done or bought. Steps compare these, never words.

use wiring::closed_list;

use crate::catalogue::{CableIndex, Cables};
use crate::survey::{PointType, ServiceType};

closed_list! {
    /// What a line is for. New kinds may be added.
    LineKind {
        Point = "point": "Points of one kind in one room.",
        Cable = "cable": "Cable of one circuit in one room.",
        BuildersWork = "builders-work": "Voids opened, walls cut, holes drilled.",
        Board = "board": "Boards and their devices.",
        Earthing = "earthing": "Earthing and bonding.",
        Supply = "supply": "Tails and the feed to a board.",
        Outbuilding = "outbuilding": "Outbuildings and their feeds.",
        StripOut = "strip-out": "Taking the old work off.",
        MakingGood = "making-good": "Filling after us.",
        Testing = "testing": "Tests and papers.",
        Sundries = "sundries": "Small materials that nobody counts.",
        Preliminaries = "preliminaries": "Getting there, protecting, keeping the house alive.",
        Overhead = "overhead": "The firm's overhead.",
        Contingency = "contingency": "What the range asks for.",
        Profit = "profit": "Profit.",
    }
}

/// Declares the kinds of items that carry nothing, beside the three that do.
macro_rules! item_kinds {
    ($($variant:ident = $word:literal : $meaning:literal,)+) => {
        /// What is done or bought.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum ItemKind {
            /// Points of one kind.
            Point(PointType),
            /// The main bond of a service.
            Bond(ServiceType),
            /// Cable of one row of the table.
            Cable(CableIndex),
            $(#[doc = $meaning] $variant,)+
        }

        impl ItemKind {
            /// The word on the line.
            #[must_use]
            pub fn word(self, cables: &Cables) -> &'static str {
                match self {
                    Self::Point(point) => point.word(),
                    Self::Bond(service) => bond_word(service),
                    Self::Cable(row) => cables.row(row).item,
                    $(Self::$variant => $word,)+
                }
            }
        }
    };
}

item_kinds! {
    SignalEnds = "signal-ends": "What stands where data and television cables end.",
    NeutralAtSwitch = "neutral-at-switch": "The neutral looped through the switches.",
    ScanBeforeCutting = "scan-before-cutting": "Walls and floor scanned.",
    OpenFloor = "open-floor": "A line of floor opened and closed.",
    FloorChase = "floor-chase": "Chase in the screed to a floor outlet.",
    WallHole = "wall-hole": "A hole through a wall.",
    SlabHole = "slab-hole": "A hole through a slab.",
    Riser = "riser": "A way up a corner.",
    Chase = "chase": "Chase in a wall, capped.",
    DrillStuds = "drill-studs": "Plates and noggins drilled for drops.",
    MiniTrunking = "mini-trunking": "Trunking on the surface.",
    MoveInsulation = "move-insulation": "Loft insulation rolled back and relaid.",
    FireSeals = "fire-seals": "Holes in a fire line, sealed.",
    DrawInRun = "draw-in-run": "Conduit with a draw wire for what may come.",
    MakingGood = "making-good": "Chases and boxes filled.",
    ConsumerUnit = "consumer-unit": "The board of the house.",
    ProtectiveDevices = "protective-devices": "Devices of the board.",
    BoardContainment = "board-containment": "Trunking between a board and the voids that its cables come from.",
    SmallBoard = "small-board": "A small board beside the one that stays.",
    ResidualProtection = "residual-protection": "30 mA for a circuit that is extended and has none.",
    Tails = "tails": "Meter tails.",
    TailsContainment = "tails-containment": "Trunking for tails that would lie in a wall.",
    SwitchedFuse = "switched-fuse": "Switched fuse at the meter.",
    MainEarthTerminal = "main-earth-terminal": "Earthing terminal and conductor.",
    EarthElectrode = "earth-electrode": "A rod, driven and measured.",
    ArmouredFeed = "armoured-feed": "The cable of a feed to an outbuilding.",
    Trench = "trench": "A trench.",
    FeedMadeOff = "feed-made-off": "A feed that stays, made off at a new board.",
    SubBoard = "sub-board": "The board of an outbuilding.",
    OldBoard = "old-board": "The old board taken out.",
    OldPoints = "old-points": "Old points taken out.",
    OldSurfaceWiring = "old-surface-wiring": "Old wiring on the surface taken off.",
    OldStorageHeaters = "old-storage-heaters": "Old storage heaters dismantled.",
    WhatStays = "what-stays": "Earthing, bonds, cut-out and board that stay, looked at.",
    SupplyTests = "supply-tests": "Tests at the origin.",
    CircuitTests = "circuit-tests": "Tests of one circuit.",
    ExistingCircuitSurvey = "existing-circuit-survey": "A circuit that stays, found and sample-tested.",
    JoinExisting = "join-existing": "Where a circuit that stays may be joined.",
    Certificate = "certificate": "Certificate, schedules, chart.",
    MinorWorks = "minor-works": "Minor works certificate of one circuit.",
    Notification = "notification": "Notice to building control.",
    Handover = "handover": "The client shown board, alarms and controls.",
    OperatorForm = "operator-form": "Form to the network operator.",
    MarkOut = "mark-out": "Every point marked with the client.",
    Protection = "protection": "Floors and stairs protected.",
    TemporarySupply = "temporary-supply": "Temporary supply.",
    Tower = "tower": "A tower.",
    Ladder = "ladder": "A ladder outside.",
    Waste = "waste": "Waste taken away by van.",
    Skip = "skip": "A skip for what leaves the house.",
    VisitShared = "visit-shared": "What another job on the visit pays for.",
    SetUp = "set-up": "Each day's setting up and clearing.",
    Travel = "travel": "Travel and the van.",
    ParkAndCarry = "park-and-carry": "Parked away from the house.",
    KeepLive = "keep-live": "Essential circuits restored each evening.",
    CollectMaterials = "collect-materials": "Trips to the merchant.",
    MoveFurniture = "move-furniture": "Furniture moved, covered, put back.",
}

/// Oil and its tank share a word.
const fn bond_word(service: ServiceType) -> &'static str {
    match service {
        ServiceType::Gas => "bond-gas",
        ServiceType::Water => "bond-water",
        ServiceType::Oil | ServiceType::OilTank => "bond-oil",
        ServiceType::Drain => "bond-drain",
        ServiceType::StructuralSteel => "bond-structural-steel",
    }
}
