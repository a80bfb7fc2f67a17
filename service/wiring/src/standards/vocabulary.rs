//! The closed lists that the tables are kept by: kinds of cable, reference methods, protective devices.

use crate::closed_list;

closed_list! {
    /// A kind of cable, by its construction and the temperature that its insulation bears. All copper.
    CableType {
        FlatTwinAndEarth70 = "flat-twin-and-earth-70c": "Flat twin with bare protective conductor, thermoplastic, BS 6004.",
        SingleCore70 = "single-core-70c": "Single-core thermoplastic, in conduit, trunking or clipped.",
        Armoured70 = "armoured-70c": "Two or more cores, steel wire armour, thermoplastic.",
        Armoured90 = "armoured-90c": "Two or more cores, steel wire armour, thermosetting, BS 5467 or BS 6724.",
    }
}

impl CableType {
    /// Whether steel wire armour surrounds it, which then serves as protective conductor.
    #[must_use]
    pub const fn is_armoured(self) -> bool {
        match self {
            Self::Armoured70 | Self::Armoured90 => true,
            Self::FlatTwinAndEarth70 | Self::SingleCore70 => false,
        }
    }

    /// The temperature that its conductor may reach under load, in degrees Celsius.
    #[must_use]
    pub const fn conductor_temperature(self) -> Celsius {
        match self {
            Self::FlatTwinAndEarth70 | Self::SingleCore70 | Self::Armoured70 => Celsius::new(70.0),
            Self::Armoured90 => Celsius::new(90.0),
        }
    }
}

closed_list! {
    /// How little energy a breaker lets through, by the class marked on it (BS EN 60898-1).
    EnergyClass {
        Class2 = "class-2": "The weaker limit.",
        Class3 = "class-3": "The stricter limit, usual today.",
    }
}

closed_list! {
    /// How a cable lies, by the reference methods of the wiring rules.
    ReferenceMethod {
        A = "a": "In conduit in an insulated wall.",
        B = "b": "In conduit or trunking on a wall.",
        C = "c": "Clipped direct, or embedded in masonry or plaster.",
        D = "d": "In the ground, direct or in a duct.",
        E = "e": "In free air or on perforated tray.",
        M100 = "100": "Above a plasterboard ceiling, under insulation of up to 100 mm.",
        M101 = "101": "Above a plasterboard ceiling, under insulation of more than 100 mm.",
        M102 = "102": "In a stud wall with insulation, touching the inner face.",
        M103 = "103": "In a stud wall with insulation, not touching the inner face.",
    }
}

impl ReferenceMethod {
    /// Whether its capacities already allow for insulation, so that no factor for it is applied again.
    #[must_use]
    pub const fn allows_for_insulation(self) -> bool {
        match self {
            Self::A | Self::M100 | Self::M101 | Self::M102 | Self::M103 => true,
            Self::B | Self::C | Self::D | Self::E => false,
        }
    }
}

closed_list! {
    /// What protects a circuit against overcurrent.
    DeviceType {
        Breaker = "breaker": "Circuit-breaker, BS EN 60898.",
        Rcbo = "rcbo": "Circuit-breaker and residual current device in one, BS EN 61009-1.",
        FuseBs882 = "fuse-bs-88-2": "General purpose fuse, BS 88-2.",
        FuseBs883 = "fuse-bs-88-3": "Domestic cartridge fuse, BS 88-3.",
        FuseBs3036 = "fuse-bs-3036": "Rewirable fuse, BS 3036.",
        FuseBs1361 = "fuse-bs-1361": "Domestic cartridge fuse, BS 1361, withdrawn.",
        FuseBs1362 = "fuse-bs-1362": "Plug or connection unit fuse, BS 1362.",
    }
}

impl DeviceType {
    /// Whether it is a circuit-breaker with a trip curve, and not a fuse.
    #[must_use]
    pub const fn is_breaker(self) -> bool {
        match self {
            Self::Breaker | Self::Rcbo => true,
            Self::FuseBs882 | Self::FuseBs883 | Self::FuseBs3036 | Self::FuseBs1361 | Self::FuseBs1362 => false,
        }
    }
}

closed_list! {
    /// At how many times its rating a circuit-breaker trips at once: B by 5, C by 10, D by 20.
    TripCurve {
        B = "b": "Above 3 to 5 times the rating.",
        C = "c": "Above 5 to 10 times the rating.",
        D = "d": "Above 10 to 20 times the rating.",
    }
}

closed_list! {
    /// How the supply is earthed.
    SupplyEarthing {
        TnCS = "tn-c-s": "Earth and neutral joined in the street.",
        TnS = "tn-s": "Separate metal sheath or conductor.",
        Tt = "tt": "Own electrode.",
    }
}

closed_list! {
    /// How cables that warm each other lie together.
    CableGrouping {
        Bunched = "bunched": "Bunched in air, on a surface, embedded or enclosed.",
        SingleLayer = "single-layer": "One layer on a wall or floor, touching (method c).",
        Tray = "tray": "One layer on perforated tray, touching (method e).",
        Ladder = "ladder": "One layer on ladder or cleats, touching (method e).",
    }
}

closed_list! {
    /// What a circuit feeds; it sets the limit of voltage drop.
    CircuitUse {
        Lighting = "lighting": "Lighting.",
        Power = "power": "Anything else.",
    }
}

closed_list! {
    /// How a buried cable lies.
    Burial {
        Direct = "direct": "Straight in the ground.",
        Duct = "duct": "In a duct in the ground.",
    }
}

closed_list! {
    /// What surrounds a cable, for the table of temperatures.
    Surroundings {
        Air = "air": "Air.",
        Ground = "ground": "Ground.",
    }
}

closed_list! {
    /// What carries the fault current back.
    ProtectiveConductor {
        CopperCore = "copper-core": "A copper conductor in the cable or bunched with it.",
        SteelArmour = "steel-armour": "The steel wire armour of the cable.",
    }
}

impl TripCurve {
    /// The letter as it stands on the device.
    #[must_use]
    pub const fn letter(self) -> &'static str {
        match self {
            Self::B => "B",
            Self::C => "C",
            Self::D => "D",
        }
    }
}

/// A temperature in degrees Celsius.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Celsius(f64);

impl Celsius {
    /// From degrees Celsius.
    #[must_use]
    pub const fn new(degrees: f64) -> Self {
        Self(degrees)
    }

    /// Degrees Celsius.
    #[must_use]
    pub const fn value(self) -> f64 {
        self.0
    }
}
