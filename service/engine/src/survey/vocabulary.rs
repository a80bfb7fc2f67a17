//! The closed lists of a survey: the trade's own words, kebab-case on the wire.

mod points;

use wiring::closed_list;

pub use points::{ApplianceType, PointType};

closed_list! {
    /// What is over a room where no own room is.
    Above {
        RoofVoid = "roof-void": "A roof with a space that cables lie in.",
        FlatRoof = "flat-roof": "A flat or lean-to roof: every cable in it is fished.",
        Rooms = "rooms": "Rooms of the same dwelling.",
        AnotherDwelling = "another-dwelling": "Somebody else's home. No cable goes through what is theirs.",
        OpenAir = "open-air": "A terrace or a walkway.",
    }
}

closed_list! {
    /// What is under a room where no own room is.
    Below {
        Ground = "ground": "The ground.",
        CrawlSpace = "crawl-space": "A space over the ground that is too low to stand in.",
        Rooms = "rooms": "Rooms of the same dwelling.",
        AnotherDwelling = "another-dwelling": "Somebody else's home. No cable goes through what is theirs.",
        OpenAir = "open-air": "A passage or a carport.",
    }
}

closed_list! {
    /// What a wall is made of.
    Wall {
        Brick = "brick": "Clay brick.",
        DenseBlock = "dense-block": "Dense concrete block.",
        AeratedBlock = "aerated-block": "Aerated block.",
        BreezeBlock = "breeze-block": "Clinker block, soft and crumbling.",
        Concrete = "concrete": "Cast concrete.",
        StoneRubble = "stone-rubble": "Rubble stone.",
        Cob = "cob": "Earth and straw.",
        TimberStud = "timber-stud": "Timber studs and plasterboard.",
        MetalStud = "metal-stud": "Metal studs and plasterboard.",
        LathAndPlaster = "lath-and-plaster": "Plaster on timber laths.",
        PlasterboardOnDabs = "plasterboard-on-dabs": "Plasterboard stuck to masonry.",
        PlasterboardOnBatten = "plasterboard-on-batten": "Plasterboard on battens.",
        TimberFrame = "timber-frame": "Timber frame.",
        Glazed = "glazed": "Glass.",
    }
}

closed_list! {
    /// How a floor is made.
    FloorConstruction {
        SuspendedTimber = "suspended-timber": "Boards on joists with a void below.",
        SolidConcrete = "solid-concrete": "Concrete on the ground.",
        ScreedWithHeating = "screed-with-heating": "Screed with heating pipes in it.",
        BeamAndBlock = "beam-and-block": "Concrete beams and blocks.",
        ChipboardOnJoists = "chipboard-on-joists": "Tongued chipboard on joists.",
        TimberOnBattens = "timber-on-battens": "Boards on battens over concrete.",
        StoneFlag = "stone-flag": "Stone flags on the ground.",
    }
}

closed_list! {
    /// What lies on a floor.
    FloorCovering {
        None = "none": "Nothing.",
        Carpet = "carpet": "Carpet.",
        Laminate = "laminate": "Click laminate.",
        EngineeredTimberFloating = "engineered-timber-floating": "Floating engineered timber.",
        TimberGlued = "timber-glued": "Glued timber.",
        Tile = "tile": "Ceramic or stone tile.",
        QuarryTile = "quarry-tile": "Quarry tile.",
        SheetVinyl = "sheet-vinyl": "Sheet vinyl.",
        VinylTile = "vinyl-tile": "Vinyl tile; before 2000 it may hold asbestos.",
        Cork = "cork": "Cork.",
        Rubber = "rubber": "Rubber.",
    }
}

closed_list! {
    /// What a ceiling is made of.
    CeilingConstruction {
        Plasterboard = "plasterboard": "Plasterboard.",
        LathAndPlaster = "lath-and-plaster": "Plaster on timber laths.",
        Concrete = "concrete": "Concrete.",
        ExposedBeams = "exposed-beams": "Open joists or beams.",
        TongueAndGrooveBoard = "tongue-and-groove-board": "Timber boards.",
        SuspendedTile = "suspended-tile": "Tiles in a grid.",
        Vaulted = "vaulted": "Follows the roof.",
    }
}

closed_list! {
    /// What keeps the heat in a ceiling or a hollow wall.
    Insulation {
        MineralWool = "mineral-wool": "Glass or rock wool.",
        Polystyrene = "polystyrene": "Polystyrene beads or boards: they draw the plasticiser out of a cable's sheath.",
        FoamBoard = "foam-board": "Rigid foam boards other than polystyrene.",
        LooseFill = "loose-fill": "Blown or poured: cellulose, vermiculite.",
        None = "none": "Looked for and none there.",
    }
}

closed_list! {
    /// How full a room is while we work in it.
    Occupancy {
        Empty = "empty": "Nothing in the way.",
        LightlyFurnished = "lightly-furnished": "A few pieces that two people move.",
        Furnished = "furnished": "Furnished.",
        Full = "full": "Cannot be cleared.",
        InUse = "in-use": "Slept or worked in while we are there.",
    }
}

closed_list! {
    /// The look of the accessories.
    Finish {
        White = "white": "Moulded white.",
        WhiteSlim = "white-slim": "Slim white.",
        MetalFlat = "metal-flat": "Flat metal plate.",
        MetalScrewless = "metal-screwless": "Metal plate without visible screws.",
        Painted = "painted": "Painted to match.",
        ClientSupplied = "client-supplied": "Bought by the client.",
    }
}

closed_list! {
    /// How much the client wants it.
    Priority {
        Must = "must": "Not to be dropped.",
        Want = "want": "Wanted.",
        Could = "could": "If there is money left.",
    }
}

closed_list! {
    /// When a peak of the current was measured.
    PeakSeason {
        Winter = "winter": "In winter.",
        Summer = "summer": "In summer: what a winter adds is put on.",
        Year = "year": "Over a year.",
    }
}

closed_list! {
    /// Who buys the fitting.
    SuppliedBy {
        Firm = "firm": "The firm.",
        Client = "client": "The client.",
    }
}

closed_list! {
    /// What a room is used for.
    RoomUse {
        Living = "living": "Living room.",
        Dining = "dining": "Dining room.",
        Kitchen = "kitchen": "Kitchen.",
        KitchenDiner = "kitchen-diner": "Kitchen and dining in one.",
        Utility = "utility": "Utility or laundry room.",
        Bedroom = "bedroom": "Bedroom.",
        Bathroom = "bathroom": "Room with a bath or shower.",
        Cloakroom = "cloakroom": "Lavatory without bath or shower.",
        Hall = "hall": "Entrance hall.",
        Landing = "landing": "Landing or stair.",
        Study = "study": "Study or office.",
        Conservatory = "conservatory": "Conservatory.",
        Garage = "garage": "Garage.",
        Cellar = "cellar": "Cellar.",
        Loft = "loft": "Loft.",
        Store = "store": "Cupboard or store.",
        Outside = "outside": "The outside of the house.",
        Other = "other": "Anything else.",
    }
}

closed_list! {
    /// The kind of dwelling.
    Dwelling {
        Detached = "detached": "Detached house.",
        SemiDetached = "semi-detached": "Semi-detached house.",
        Terrace = "terrace": "Terraced house.",
        EndTerrace = "end-terrace": "End of a terrace.",
        Bungalow = "bungalow": "One storey.",
        Flat = "flat": "Flat.",
        Maisonette = "maisonette": "Flat on two storeys.",
    }
}

impl Dwelling {
    /// Whether other homes lie over and under it.
    #[must_use]
    pub const fn shares_its_floors(self) -> bool {
        matches!(self, Self::Flat | Self::Maisonette)
    }
}

closed_list! {
    /// What kind of job it is. Our words: BS 7671 132.16 speaks of additions and alterations only.
    Scope {
        Rewire = "rewire": "All wiring new, with board, tails and main bonds.",
        PartialRewire = "partial-rewire": "Part of the wiring new; circuits that stay are listed, the board is new.",
        Addition = "addition": "Points added to what is there.",
        Alteration = "alteration": "What is there is changed or moved.",
        BoardChange = "board-change": "The board changed; the circuits stay.",
        SingleCircuit = "single-circuit": "New circuits from the board that is there; nothing is extended.",
    }
}

closed_list! {
    /// The nation, because notice, alarms and consent differ.
    Nation {
        England = "england": "England.",
        Wales = "wales": "Wales.",
        Scotland = "scotland": "Scotland.",
        NorthernIreland = "northern-ireland": "Northern Ireland.",
    }
}

closed_list! {
    /// On what terms the client holds the house.
    Tenure {
        OwnerOccupied = "owner-occupied": "Lived in by its owner.",
        PrivateLet = "private-let": "Let.",
        SocialLet = "social-let": "Let by a social landlord.",
        Leasehold = "leasehold": "Held on a lease.",
    }
}

closed_list! {
    /// Where the van stands.
    Parking {
        Drive = "drive": "On the drive.",
        Street = "street": "In the street, free.",
        Permit = "permit": "Permit or pay.",
        Distant = "distant": "Out of sight of the door.",
    }
}

closed_list! {
    /// How the installation is earthed.
    Earthing {
        TnCS = "tn-c-s": "Earth and neutral joined in the street; earth terminal from the operator.",
        TnS = "tn-s": "Separate metal sheath or conductor.",
        Tt = "tt": "Own electrode.",
        Unknown = "unknown": "Looked for and not found out.",
    }
}

closed_list! {
    /// What stands in the way.
    ObstructionType {
        SteelBeam = "steel-beam": "Steel beam.",
        ConcreteLintel = "concrete-lintel": "Concrete lintel.",
        ConcreteBeam = "concrete-beam": "Concrete beam.",
        ChimneyBreast = "chimney-breast": "Chimney breast or flue.",
        StructuralWall = "structural-wall": "Wall that must not be cut.",
        Pipework = "pipework": "Pipes or ducts in the void.",
        Noggins = "noggins": "Noggins or fire stops in the void.",
        KeptUnits = "kept-units": "Fixed units that stay.",
        Other = "other": "Anything else in the way.",
    }
}

closed_list! {
    /// The way that a cable goes.
    Medium {
        Loft = "loft": "Over the top ceiling.",
        CeilingVoid = "ceiling-void": "Between storeys.",
        FloorVoid = "floor-void": "Under a suspended floor.",
        CrawlSpace = "crawl-space": "Under the ground floor, lying.",
        CellarSoffit = "cellar-soffit": "Along the cellar's ceiling.",
        WallChase = "wall-chase": "Let into masonry.",
        StudCavity = "stud-cavity": "Inside a stud wall.",
        DryLiningGap = "dry-lining-gap": "Behind plasterboard on masonry.",
        DuctOrRiser = "duct-or-riser": "In a duct or riser cupboard.",
        SurfaceClipped = "surface-clipped": "Clipped on the surface.",
        MiniTrunking = "mini-trunking": "In mini trunking.",
        SkirtingTrunking = "skirting-trunking": "In skirting trunking.",
        SurfaceConduit = "surface-conduit": "In conduit on the surface.",
        Screed = "screed": "In the screed.",
        ExternalWall = "external-wall": "On an outside wall.",
        Trench = "trench": "Buried.",
        DuctInGround = "duct-in-ground": "In a buried duct.",
        OverheadSpan = "overhead-span": "Through the air.",
    }
}

closed_list! {
    /// A service that enters the house and may need bonding.
    ServiceType {
        Gas = "gas": "Gas.",
        Water = "water": "Water.",
        Oil = "oil": "Oil line.",
        OilTank = "oil-tank": "Oil tank.",
        Drain = "drain": "Metal drain.",
        StructuralSteel = "structural-steel": "Steel that comes out of the ground.",
    }
}

closed_list! {
    /// What a service's pipe is made of where it comes in.
    EntryMaterial {
        Metal = "metal": "Metal.",
        Plastic = "plastic": "Plastic.",
    }
}

closed_list! {
    /// The state of the board that is there.
    BoardCondition {
        RewireableFuses = "rewireable-fuses": "Rewireable fuses.",
        CartridgeFuses = "cartridge-fuses": "Cartridge fuses.",
        BreakersNoRcd = "breakers-no-rcd": "Breakers without residual current protection.",
        BreakersWithRcd = "breakers-with-rcd": "Breakers behind RCDs.",
        Modern = "modern": "Metal enclosure, RCBOs.",
        None = "none": "No board.",
    }
}

closed_list! {
    /// The cable that is there now.
    CableEra {
        Rubber = "rubber": "Rubber sheath.",
        Lead = "lead": "Lead sheath.",
        ImperialPvc = "imperial-pvc": "Imperial sizes in PVC.",
        MetricPvcNoCpc = "metric-pvc-no-cpc": "Metric PVC, lighting without protective conductor.",
        Modern = "modern": "Modern.",
        None = "none": "Nothing there.",
    }
}

closed_list! {
    /// The ground that a buried cable crosses.
    Ground {
        Lawn = "lawn": "Lawn.",
        Bed = "bed": "Planted bed.",
        Gravel = "gravel": "Gravel.",
        Slabs = "slabs": "Paving slabs.",
        Concrete = "concrete": "Concrete.",
        Tarmac = "tarmac": "Tarmac.",
        SharedDrive = "shared-drive": "A drive that others use too.",
    }
}

closed_list! {
    /// Where an outbuilding is fed from.
    OutbuildingFeed {
        ConsumerUnit = "consumer-unit": "The house's board.",
        Intake = "intake": "The intake, by its own switched fuse.",
    }
}

closed_list! {
    /// How an outbuilding is made.
    OutbuildingConstruction {
        Timber = "timber": "Timber.",
        Masonry = "masonry": "Masonry.",
        Metal = "metal": "Metal, or with a metal roof or frame that can be touched or reaches the ground.",
    }
}

closed_list! {
    /// What may come later.
    FutureType {
        LoftConversion = "loft-conversion": "Loft conversion.",
        Extension = "extension": "Extension.",
        ChargePoint = "charge-point": "Charge point.",
        SecondChargePoint = "second-charge-point": "Second charge point.",
        HeatPump = "heat-pump": "Heat pump.",
        StairLift = "stair-lift": "Stair lift.",
        Solar = "solar": "Solar panels.",
        Battery = "battery": "Storage battery.",
        GardenRoom = "garden-room": "Garden room.",
        HotTub = "hot-tub": "Hot tub.",
        Annexe = "annexe": "Annexe.",
        HomeOffice = "home-office": "Home office.",
        LetAsRooms = "let-as-rooms": "Let room by room.",
    }
}

closed_list! {
    /// Which way the joists of a floor run, by the axes of the outlines.
    JoistDirection {
        LeftToRight = "left-to-right": "Along the front of the house.",
        FrontToBack = "front-to-back": "From the front to the back.",
    }
}

closed_list! {
    /// Where the neutral of a lighting circuit is looped on.
    NeutralLoop {
        Ceiling = "ceiling": "From light to light, a switch on a cable without a neutral.",
        Switch = "switch": "From switch to switch, a light on a cable from its switch; electronic switches find a neutral.",
    }
}

closed_list! {
    /// How the circuits of the board are protected.
    BoardKind {
        Rcbo = "rcbo": "One RCBO a circuit.",
        SplitLoad = "split-load": "Breakers behind two RCDs.",
    }
}

closed_list! {
    /// How the job is priced.
    Method {
        Measured = "measured": "Routes, metres, materials and hours.",
        PerPoint = "per-point": "Each point at its rate.",
    }
}

closed_list! {
    /// The tax case, by the notices of the United Kingdom's tax authority.
    VatCase {
        Standard = "standard": "Ordinary work: 20 % (VAT Notice 700, section 3; rate from memory).",
        Reduced = "reduced": "Renovation of a dwelling empty for two years or more, evidence held: 5 % (VAT Notice 708, section 8).",
        Zero = "zero": "First construction of a dwelling, or listed energy-saving materials: 0 % (VAT Notices 708 section 3 and 708/6).",
        ReverseCharge = "reverse-charge": "Customer registered and not an end user: no tax collected (VAT reverse charge for building and construction services, from 1 March 2021).",
        NotRegistered = "not-registered": "The firm is not registered: no tax charged.",
    }
}

closed_list! {
    /// How the boards of a timber floor meet.
    Boards {
        Square = "square": "Square edges: each comes up by itself.",
        Tongued = "tongued": "Tongue and groove: the first has to be sawn out.",
    }
}

closed_list! {
    /// The use of an outbuilding.
    OutbuildingUse {
        Workshop = "workshop": "Workshop.",
        Garage = "garage": "Garage.",
        Shed = "shed": "Shed.",
        GardenRoom = "garden-room": "Garden room.",
        Greenhouse = "greenhouse": "Greenhouse.",
        Other = "other": "Anything else.",
    }
}

closed_list! {
    /// The alarm category asked for (BS 5839-6: where alarms stand).
    AlarmCategory {
        Ld3 = "ld3": "Escape routes.",
        Ld2 = "ld2": "Escape routes, kitchen and main living room.",
        Ld1 = "ld1": "Nearly every room.",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_reads_back_as_itself() {
        for point in PointType::ALL {
            assert_eq!(PointType::from_word(point.word()), Some(*point));
            assert_eq!(serde_json::to_value(point).expect("writes"), point.word());
        }
        assert_eq!(PointType::from_word("socket"), None);
    }

    #[test]
    fn the_published_schema_lists_the_words_that_are_read() {
        let schema = serde_json::to_value(<PointType as utoipa::PartialSchema>::schema()).expect("writes");
        let words: Vec<&str> = PointType::ALL.iter().map(|point| point.word()).collect();

        assert_eq!(schema["enum"], serde_json::json!(words));
    }
}
