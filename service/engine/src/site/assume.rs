//! What was not recorded and what was taken instead: one entry for each thing taken, with all the places meant.

use wiring::closed_list;

use super::RoomIndex;
use super::moved::MovedFrom;
use crate::geometry::Position;
use crate::quantities::Metres;
use crate::survey::{
    Above, ApplianceType, Below, CeilingConstruction, FloorConstruction, FloorCovering, Ground, RoomUse, Scope,
    ServiceType, Wall,
};

closed_list! {
    /// What was not recorded.
    AssumedSubject {
        Scope = "scope": "What kind of job it is.",
        RoomSize = "room-size": "The size of a room.",
        Height = "height": "Floor to ceiling.",
        RoomUse = "room-use": "What a room is used for.",
        Storey = "storey": "The storey of a room.",
        FloorConstruction = "floor-construction": "How a floor is made.",
        FloorCovering = "floor-covering": "What lies on a floor.",
        Wall = "wall": "What walls are made of.",
        Ceiling = "ceiling": "What a ceiling is made of.",
        Occupancy = "occupancy": "How full a room is.",
        Finish = "finish": "The look of plates.",
        Positions = "positions": "Where points stand.",
        PointMoved = "point-moved": "Where points stand that were recorded where they cannot.",
        Load = "load": "What an appliance draws.",
        SurfaceWiring = "surface-wiring": "Whether cables may be seen.",
        Earthing = "earthing": "How the house is earthed.",
        Ze = "ze": "The loop impedance outside the house.",
        CutOut = "cut-out": "The cut-out's rating.",
        FaultCurrent = "fault-current": "The fault current.",
        ConsumerUnit = "consumer-unit": "Where the board stands.",
        BoardPlace = "board-place": "Where the board hangs in its room.",
        Intake = "intake": "Where the supply comes in.",
        IntakePlace = "intake-place": "Where in its room the supply comes in.",
        Services = "services": "Which services there are.",
        ServicePosition = "service-position": "Where a service comes in.",
        ServiceMaterial = "service-material": "What its pipe is made of.",
        Bonding = "bonding": "Whether it is bonded.",
        OutbuildingConstruction = "outbuilding-construction": "What an outbuilding is made of.",
        SubBoardPlace = "sub-board-place": "Where an outbuilding's board hangs.",
        OutbuildingRun = "outbuilding-run": "How long the way to it is.",
        Ground = "ground": "What that way goes through.",
        OnwardRun = "onward-run": "The way between two outbuildings.",
        OutbuildingFeed = "outbuilding-feed": "From where an outbuilding is fed.",
        NeutralLoopedAt = "neutral-looped-at": "Where neutrals of lights are looped.",
        Distance = "distance": "How far the house is.",
        MakingGood = "making-good": "Who makes good.",
        Parking = "parking": "Where the van stands.",
        PointsToStrip = "points-to-strip": "Old points.",
        Nation = "nation": "In which nation the house is.",
        Visit = "visit": "What another job has paid for.",
        Routes = "routes": "How cables go.",
        Lengths = "lengths": "How long cables are.",
        Above = "above": "What is over a room.",
        Below = "below": "What is under a room.",
        CablesAsTheyLie = "cables-as-they-lie": "What warms the cables.",
        LampLoad = "lamp-load": "What lamps draw.",
        SignalHub = "signal-hub": "Where data and television cables end.",
        StudInsulation = "stud-insulation": "What fills stud walls.",
    }
}

/// What the fabric taken rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FabricAge {
    /// The age of the house.
    Known,
    /// The middle of the stock.
    Unknown,
}

/// What a stud wall was taken to have in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StudFilling {
    /// Nothing: built before partitions were filled.
    Empty,
    /// Insulation, as in a partition of newer houses or in a timber frame.
    Filled,
    /// Insulation, as the age is not known and a cable carries less in it.
    FilledForWantOfAge,
}

/// What was taken, with its figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Assumed {
    /// The kind of job, from what is asked.
    Scope(Scope),
    /// What of the supply stays is sound.
    BondsSound,
    /// The usual size for a room's use, in m2.
    RoomSize(f64),
    /// The usual height.
    Height,
    /// A room's use, read from its name; where the name does not give it away, none.
    RoomUse(Option<RoomUse>),
    /// The level of a room, from its use.
    Storey(i8),
    /// The floor usual for the age.
    FloorConstruction(FloorConstruction, FabricAge),
    /// The covering usual for the use.
    FloorCovering(FloorCovering),
    /// The walls usual for the age.
    Wall(Wall, FabricAge),
    /// The ceiling usual for the age.
    Ceiling(CeilingConstruction, FabricAge),
    /// Between empty and furnished.
    Occupancy,
    /// White plates.
    Finish,
    /// Points spread round the walls.
    Positions,
    /// Points beside where they were recorded.
    PointMoved(MovedFrom),
    /// The usual load of an appliance.
    Load(ApplianceType),
    /// Cables clipped in sight, by the use of the room.
    SurfaceWiring,
    /// The most usual earthing.
    Earthing,
    /// The usual greatest loop impedance, in ohms.
    Ze(f64),
    /// The smallest usual cut-out.
    CutOut,
    /// No fault current.
    FaultCurrent,
    /// The board at the intake.
    ConsumerUnit,
    /// The board on the wall nearest to the intake.
    BoardPlace(Position),
    /// The intake by the entrance, in this room where there is one.
    Intake(Option<RoomIndex>),
    /// The intake on the front wall.
    IntakePlace(Position),
    /// The supply comes in beside the board that is there, in this room.
    IntakeAtBoard(Option<RoomIndex>),
    /// Gas and water in metal.
    Services,
    /// A service at the far side.
    ServicePosition,
    /// A metal pipe.
    ServiceMaterial,
    /// No bond.
    Bonding,
    /// A timber outbuilding.
    OutbuildingConstruction,
    /// An outbuilding's board on the wall nearest to the house.
    SubBoardPlace,
    /// The usual run to an outbuilding.
    OutbuildingRun,
    /// Soft ground.
    Ground,
    /// The straight line between two outbuildings, and more for bends.
    OnwardRun {
        /// The outbuilding that it comes from.
        from: usize,
        /// How long it is.
        run: Metres,
        /// What it goes through.
        ground: Ground,
    },
    /// A feed of its own from the house, as the other was not worked out.
    OutbuildingFeed,
    /// Neutrals looped from light to light.
    NeutralLoopedAt,
    /// The usual distance.
    Distance,
    /// The firm makes good.
    MakingGood,
    /// Parking in the street.
    Parking,
    /// About half as many old points as new ones.
    PointsToStrip(u64),
    /// England.
    Nation,
    /// Done beside another job.
    Visit,
    /// Ways along the axes of the building, as it is too large for a map.
    Routes,
    /// Lengths by the model of floor areas.
    Lengths,
    /// What usually is over such a dwelling.
    Above(Above),
    /// What usually is under it.
    Below(Below),
    /// The conditions of the capacity tables.
    CablesAsTheyLie,
    /// The usual lamps.
    LampLoad,
    /// Data and television cables end beside the board.
    SignalHub,
    /// What stud walls of that make and age usually have in them.
    StudInsulation(StudFilling),
}

impl Assumed {
    /// What it was taken for.
    #[must_use]
    pub const fn subject(&self) -> AssumedSubject {
        match self {
            Self::Scope(_) => AssumedSubject::Scope,
            Self::BondsSound => AssumedSubject::Bonding,
            Self::RoomSize(_) => AssumedSubject::RoomSize,
            Self::Height => AssumedSubject::Height,
            Self::RoomUse(_) => AssumedSubject::RoomUse,
            Self::Storey(_) => AssumedSubject::Storey,
            Self::FloorConstruction(..) => AssumedSubject::FloorConstruction,
            Self::FloorCovering(_) => AssumedSubject::FloorCovering,
            Self::Wall(..) => AssumedSubject::Wall,
            Self::Ceiling(..) => AssumedSubject::Ceiling,
            Self::Occupancy => AssumedSubject::Occupancy,
            Self::Finish => AssumedSubject::Finish,
            Self::Positions => AssumedSubject::Positions,
            Self::PointMoved(_) => AssumedSubject::PointMoved,
            Self::Load(_) => AssumedSubject::Load,
            Self::SurfaceWiring => AssumedSubject::SurfaceWiring,
            Self::Earthing => AssumedSubject::Earthing,
            Self::Ze(_) => AssumedSubject::Ze,
            Self::CutOut => AssumedSubject::CutOut,
            Self::FaultCurrent => AssumedSubject::FaultCurrent,
            Self::ConsumerUnit => AssumedSubject::ConsumerUnit,
            Self::BoardPlace(_) => AssumedSubject::BoardPlace,
            Self::Intake(_) | Self::IntakeAtBoard(_) => AssumedSubject::Intake,
            Self::IntakePlace(_) => AssumedSubject::IntakePlace,
            Self::Services => AssumedSubject::Services,
            Self::ServicePosition => AssumedSubject::ServicePosition,
            Self::ServiceMaterial => AssumedSubject::ServiceMaterial,
            Self::Bonding => AssumedSubject::Bonding,
            Self::OutbuildingConstruction => AssumedSubject::OutbuildingConstruction,
            Self::SubBoardPlace => AssumedSubject::SubBoardPlace,
            Self::OutbuildingRun => AssumedSubject::OutbuildingRun,
            Self::Ground => AssumedSubject::Ground,
            Self::OnwardRun { .. } => AssumedSubject::OnwardRun,
            Self::OutbuildingFeed => AssumedSubject::OutbuildingFeed,
            Self::NeutralLoopedAt => AssumedSubject::NeutralLoopedAt,
            Self::Distance => AssumedSubject::Distance,
            Self::MakingGood => AssumedSubject::MakingGood,
            Self::Parking => AssumedSubject::Parking,
            Self::PointsToStrip(_) => AssumedSubject::PointsToStrip,
            Self::Nation => AssumedSubject::Nation,
            Self::Visit => AssumedSubject::Visit,
            Self::Routes => AssumedSubject::Routes,
            Self::Lengths => AssumedSubject::Lengths,
            Self::Above(_) => AssumedSubject::Above,
            Self::Below(_) => AssumedSubject::Below,
            Self::CablesAsTheyLie => AssumedSubject::CablesAsTheyLie,
            Self::LampLoad => AssumedSubject::LampLoad,
            Self::SignalHub => AssumedSubject::SignalHub,
            Self::StudInsulation(_) => AssumedSubject::StudInsulation,
        }
    }
}

/// The place that something was taken for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AssumedPlace {
    /// The whole house.
    House,
    /// A room or an outbuilding, by its identifier.
    Room(String),
    /// A service.
    Service(ServiceType),
}

/// Something taken, and all the places that it was taken for.
#[derive(Debug, Clone, PartialEq)]
pub struct AssumedEntry {
    /// What was taken.
    pub assumed: Assumed,
    /// For which places.
    pub places: Vec<AssumedPlace>,
}

/// The assumptions made so far, in the order in which they were first made.
#[derive(Debug, Clone, Default)]
pub struct Assumptions {
    entries: Vec<AssumedEntry>,
}

impl Assumptions {
    /// Notes what was taken for the house.
    pub fn house(&mut self, assumed: Assumed) {
        self.add(assumed, |last| *last == AssumedPlace::House, || AssumedPlace::House);
    }

    /// Notes what was taken for a room or an outbuilding.
    pub fn room(&mut self, assumed: Assumed, id: &str) {
        let same = |last: &AssumedPlace| matches!(last, AssumedPlace::Room(room) if room == id);
        self.add(assumed, same, || AssumedPlace::Room(id.to_owned()));
    }

    /// Notes what was taken for a service.
    pub fn service(&mut self, assumed: Assumed, kind: ServiceType) {
        self.add(assumed, |last| *last == AssumedPlace::Service(kind), || AssumedPlace::Service(kind));
    }

    fn add(
        &mut self,
        assumed: Assumed,
        same: impl FnOnce(&AssumedPlace) -> bool,
        place: impl FnOnce() -> AssumedPlace,
    ) {
        // A handful of distinct assumptions, whatever the size of the house: a list is quicker than a map.
        match self.entries.iter_mut().find(|entry| entry.assumed == assumed) {
            Some(entry) if entry.places.last().is_some_and(same) => {}
            Some(entry) => entry.places.push(place()),
            None => self.entries.push(AssumedEntry { assumed, places: vec![place()] }),
        }
    }

    fn of(&self, subject: AssumedSubject) -> impl Iterator<Item = &AssumedPlace> {
        self.entries.iter().filter(move |entry| entry.assumed.subject() == subject).flat_map(|entry| &entry.places)
    }

    /// The rooms and outbuildings for which something was taken, by their identifiers.
    pub fn rooms(&self, subject: AssumedSubject) -> impl Iterator<Item = &str> {
        self.of(subject).filter_map(|place| match place {
            AssumedPlace::Room(id) => Some(id.as_str()),
            AssumedPlace::House | AssumedPlace::Service(_) => None,
        })
    }

    /// Whether something was taken for a service.
    #[must_use]
    pub fn made_for(&self, subject: AssumedSubject, service: ServiceType) -> bool {
        self.of(subject).any(|place| *place == AssumedPlace::Service(service))
    }

    /// Whether anything was taken for `subject`.
    #[must_use]
    pub fn made(&self, subject: AssumedSubject) -> bool {
        self.entries.iter().any(|entry| entry.assumed.subject() == subject)
    }

    /// All of them.
    #[must_use]
    pub fn entries(&self) -> &[AssumedEntry] {
        &self.entries
    }
}
