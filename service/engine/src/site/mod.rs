//! The house as geometry and fabric, every gap filled by a stated assumption.
//!
//! In: a survey that was read without fault. Out: a [`Site`] in which every room has a size, a fabric and a storey,
//! and the list of what was taken because nobody recorded it. Rooms stand in a fixed order (by level, then by
//! identifier), whatever order they came in, so that the same house gives the same estimate.

mod appliances;
mod assume;
mod geometry;
mod moved;
mod obstacles;
mod onward;
mod openings;
mod plans;
mod rooms;
mod scope;
mod signal;
mod spread;
mod stack;
pub mod storey;
mod studs;
mod supply;

pub use appliances::AppliancePlan;
pub use assume::{Assumed, AssumedEntry, AssumedPlace, AssumedSubject, Assumptions, FabricAge, StudFilling};
pub use geometry::{Location, Patches};
pub use moved::{MovedFrom, MovedPoint};
pub use obstacles::{BEARING_M, CLEAR_M, FACE_OFF_M_MAX, Footprint, Obstacle, USUAL_DEPTH_M, USUAL_WIDTH_M};
pub(crate) use onward::WINDING;
pub use onward::{FeedFailure, FeedFault, Onward, OtherFeed};
pub use openings::WallOpeningPlan;
pub(crate) use rooms::USUAL_HEIGHT_M;
pub use rooms::{PointPlan, RoomPlan};
pub use scope::{ScopePlan, StayingPoint};
pub(crate) use signal::ends_at_the_hub;
pub(crate) use spread::middle_of_the_house;
pub use stack::RoomStack;
pub(crate) use stack::UNCOVERED_SHARE_MIN;
use storey::{Beyond, HouseFrame, StoreyPlan};
pub(crate) use studs::are_unseen as are_unseen_studs;
pub use supply::{FuturePlace, OutbuildingPlan, ServicePlan, SupplyPlan};
pub(crate) use supply::{USUAL_CUT_OUT_A, USUAL_RUN_M};

use std::collections::{BTreeMap, BTreeSet};

use crate::catalogue::{Catalogue, CircuitType, PointGroup};
use crate::geometry::{Edge, Shape, TOUCHING_M, straight, to_the_millimetre};
use crate::quantities::{Metres, SquareMetres};
use crate::survey::{
    AlarmCategory, BoardCondition, BoardKind, CableEra, Dwelling, ExistingBoard, FutureType, Nation, NeutralLoop,
    Obstruction, Parking, PointType, Position, RoomUse, Scope, SiteRecord, Survey, Tenure,
};
use crate::work::WorkBudget;

/// A room by its place in [`Site::rooms`].
pub type RoomIndex = usize;

/// Built before this year, a house may hold asbestos. Source: HSE, as named in the domain's sources (S25).
pub const ASBESTOS_BEFORE_YEAR: u16 = 2000;

/// A storey by its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoreyName {
    /// Its level.
    pub level: i8,
    /// Its identifier in the survey; a usual word where the survey lists none.
    pub id: String,
}

/// What was counted and read on the board that is there, each if somebody did.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BoardFound {
    /// Free ways.
    pub ways_spare: Option<u32>,
    /// All ways.
    pub ways: Option<u32>,
    /// Residual operating current of what protects its circuits, in milliamps; 0 where nothing does.
    pub residual_ma: Option<f64>,
    /// Rating of its main switch, in amps.
    pub main_switch_a: Option<f64>,
}

impl BoardFound {
    fn of(board: &ExistingBoard) -> Self {
        Self {
            ways_spare: board.ways_spare,
            ways: board.ways,
            residual_ma: board.residual_ma,
            main_switch_a: board.main_switch_a,
        }
    }
}

/// The house, complete. Every place in it stands in the axes of the house.
#[derive(Debug, Clone)]
pub struct Site {
    /// What kind of job it is.
    pub scope: ScopePlan,
    /// How these are turned in the drawing.
    pub frame: HouseFrame,
    /// The rooms by level, then by identifier; after them the insides of the outbuildings.
    pub rooms: Vec<RoomPlan>,
    /// Buildings fed from the house, by identifier.
    pub outbuildings: Vec<OutbuildingPlan>,
    /// Where the board is to stand.
    pub board: Location,
    /// Where the supply comes in.
    pub intake: Location,
    /// Where data, television and telephone cables end.
    pub signal_hub: Location,
    /// The board that is there now.
    pub existing_board: Option<BoardCondition>,
    /// What was counted and read on it.
    pub board_found: BoardFound,
    /// Whether its backing may hold asbestos, if somebody looked.
    pub backing_board_suspect: Option<bool>,
    /// The cable that is there now.
    pub cable_era: Option<CableEra>,
    /// Whether a borrowed neutral is suspected.
    pub borrowed_neutral: bool,
    /// Points to be taken off.
    pub points_to_strip: u64,
    /// Old wiring on the surface to be taken off.
    pub surface_wiring: Metres,
    /// Old storage heaters to be taken out.
    pub storage_heaters: u32,
    /// Gas, water, oil, steel.
    pub services: Vec<ServicePlan>,
    /// The incoming supply.
    pub supply: SupplyPlan,
    /// What stands in the way.
    pub obstructions: Vec<Obstruction>,
    /// Points that do not stand where they were recorded.
    pub moved: Vec<MovedPoint>,
    /// What may come later.
    pub future: Vec<FutureType>,
    /// Where each of that is to be, as far as it was recorded.
    pub future_places: Vec<FuturePlace>,
    /// The kind of dwelling, if it was recorded.
    pub dwelling: Option<Dwelling>,
    /// The year, if it was recorded.
    pub built_year: Option<u16>,
    /// The nation, if it was recorded.
    pub nation: Option<Nation>,
    /// The tenure, if it was recorded.
    pub tenure: Option<Tenure>,
    /// Whether it is protected.
    pub listed: bool,
    /// Whether somebody depends on power or clean air.
    pub vulnerable_person: bool,
    /// Distance from the firm.
    pub distance_km: f64,
    /// Where the van stands.
    pub parking: Parking,
    /// How the circuits of the board are protected.
    pub board_kind: BoardKind,
    /// Where the neutral of lighting circuits is looped on.
    pub neutral_looped_at: NeutralLoop,
    /// The alarm category asked for.
    pub alarms: AlarmCategory,
    /// Whether the owner has declined surge protection in writing.
    pub surge_declined: bool,
    /// Whether the firm fills chases and round boxes.
    pub making_good: bool,
    /// Whether every inside room has an outline, so that distances are measured and not modelled.
    pub measured: bool,
    /// The highest level with rooms under the roof.
    pub top_level: i8,
    /// The storeys that rooms stand on, lowest first.
    pub storeys: Vec<StoreyName>,
    /// The plan of each level with drawn rooms.
    pub plans: BTreeMap<i8, StoreyPlan>,
    /// The outside wall line of each of them: one outline for each detached part of the house.
    pub outside_walls: BTreeMap<i8, Vec<Shape>>,
    /// Inside floor area.
    pub floor_area: SquareMetres,
}

impl Site {
    /// Two-way switches of the whole house: a lone one has no partner.
    #[must_use]
    pub fn two_way_switches(&self) -> u32 {
        let points = self.rooms.iter().flat_map(|room| &room.points);
        points.filter(|point| point.kind == PointType::TwoWaySwitch).map(|point| point.count).sum()
    }

    /// Fills every gap of `survey` and says what was taken. Where the work is stopped, it is not whole.
    #[must_use]
    pub fn from_survey(survey: &Survey, catalogue: &Catalogue, work: &WorkBudget) -> (Self, Assumptions) {
        let (frame, survey) = storey::housed(survey, work);
        let mut assumptions = Assumptions::default();
        let site = Self::in_its_axes((frame, survey.as_ref()), catalogue, &mut assumptions, work);
        if site.nation.is_none() {
            assumptions.house(Assumed::Nation);
        }
        (site, assumptions)
    }

    /// The same of a survey that stands in the axes of the house.
    fn in_its_axes(
        (frame, survey): (HouseFrame, &Survey),
        catalogue: &Catalogue,
        assumptions: &mut Assumptions,
        work: &WorkBudget,
    ) -> Self {
        let scope = scope(survey, assumptions);
        let mut rooms = rooms::plan(survey, catalogue, assumptions);
        let mut outbuildings = supply::outbuildings(survey, catalogue, &mut rooms, assumptions);
        onward::find(survey, &rooms, &mut outbuildings, assumptions, work);
        let lived_in = || rooms.iter().filter(|room| room.is_inside() && room.room_use != RoomUse::Loft);
        let top_level = lived_in().map(|room| room.level).max().unwrap_or(0);
        let floor_area = lived_in().map(|room| room.area).sum();
        let record = survey.site.clone().unwrap_or_default();
        let plans = stacked(&record, (&mut rooms, top_level), catalogue, assumptions, work);
        let outside_walls = outside_walls(&plans);
        let moved = moved::placed(survey, (&mut rooms, &outside_walls), catalogue, assumptions, work);
        supply::place_sub_boards(&mut outbuildings, &rooms, middle_of_the_house(&outside_walls), assumptions);
        let (intake, board, signal_hub) = signal::places(survey, scope, &rooms, assumptions);
        let existing = survey.existing.clone().unwrap_or_default();
        let unit = survey.consumer_unit.as_ref().and_then(|unit| unit.existing.clone()).unwrap_or_default();
        let preferences = survey.preferences.clone().unwrap_or_default();
        Self {
            scope,
            frame,
            board,
            intake,
            signal_hub,
            existing_board: unit.condition,
            board_found: BoardFound::of(&unit),
            backing_board_suspect: unit.backing_board_suspect,
            cable_era: existing.cable_era,
            borrowed_neutral: existing.borrowed_neutral.unwrap_or(false),
            points_to_strip: points_to_strip(survey, scope, &rooms, assumptions),
            surface_wiring: Metres::new(existing.surface_wiring_m.unwrap_or(0.0)),
            storage_heaters: existing.storage_heaters.unwrap_or(0),
            services: supply::services(survey, scope, &rooms, assumptions),
            supply: SupplyPlan::from_survey(survey, assumptions),
            obstructions: survey.obstructions.clone(),
            moved,
            future: survey.future.iter().map(|future| future.future_type).collect(),
            future_places: supply::future_places(survey, &rooms),
            dwelling: record.dwelling,
            built_year: record.built_year,
            nation: record.nation,
            tenure: record.tenure,
            listed: record.listed.unwrap_or(false),
            vulnerable_person: record.vulnerable_person.unwrap_or(false),
            distance_km: distance(record.distance_km, assumptions),
            parking: parking(record.parking, assumptions),
            board_kind: preferences.board.unwrap_or(BoardKind::Rcbo),
            neutral_looped_at: neutral_looped_at(preferences.neutral_looped_at, &rooms, catalogue, assumptions),
            alarms: preferences.alarms.unwrap_or(AlarmCategory::Ld2),
            surge_declined: preferences.surge_declined.unwrap_or(false),
            making_good: making_good(preferences.making_good, assumptions),
            measured: is_measured(&rooms),
            top_level,
            storeys: storeys(survey, &rooms),
            plans,
            outside_walls,
            floor_area,
            rooms,
            outbuildings,
        }
    }

    /// The same site where what looked like an addition turns out to be a rewire: nothing stays.
    pub(crate) fn become_a_rewire(&mut self) {
        self.scope.kind = Scope::Rewire;
        self.points_to_strip = usual_points_to_strip(&self.rooms);
        for service in &mut self.services {
            service.taken_sound = false;
        }
    }

    /// A place as it is in the drawing, to the millimetre.
    #[must_use]
    pub fn on_the_drawing(&self, at: Position) -> Position {
        if self.frame.is_straight() { at } else { to_the_millimetre(self.frame.to_drawing(at)) }
    }

    /// The room with this identifier.
    #[must_use]
    pub fn room(&self, id: &str) -> Option<RoomIndex> {
        self.rooms.iter().position(|room| room.id == id)
    }

    /// Rooms with a wall that the house shares with a neighbour, as the plans of the storeys have it.
    #[must_use]
    pub fn rooms_beside_a_neighbour(&self) -> BTreeSet<RoomIndex> {
        let pieces = self.plans.values().flat_map(|plan| &plan.faces);
        pieces.filter(|piece| piece.beyond == Beyond::OtherDwelling).map(|piece| piece.face.outline).collect()
    }

    /// Whether a point was marked on the wall to a neighbour.
    #[must_use]
    pub fn has_boxes_marked_on_a_party_wall(&self) -> bool {
        let pieces = self.plans.values().flat_map(|plan| &plan.faces);
        let shared = pieces.filter(|piece| piece.beyond == Beyond::OtherDwelling);
        let marked = |room: &RoomPlan, line: Edge| {
            let mut marked = room.points.iter().filter_map(|point| point.at);
            marked.any(|at| straight(line.at(line.nearest(at)), at) < TOUCHING_M)
        };
        shared.into_iter().any(|piece| marked(&self.rooms[piece.face.outline], piece.line))
    }

    /// Points in rooms and outbuildings.
    #[must_use]
    pub fn points(&self) -> u64 {
        self.rooms.iter().map(RoomPlan::point_count).sum()
    }

    /// Whether the house is old enough to hold asbestos, or its age is not known.
    #[must_use]
    pub fn may_hold_asbestos(&self) -> bool {
        self.built_year.is_none_or(|year| year < ASBESTOS_BEFORE_YEAR)
    }

    /// Whether the board that the old fuses are fixed to may hold asbestos: somebody suspects it, or nobody looked and it
    /// is old.
    #[must_use]
    pub fn backing_may_hold_asbestos(&self) -> bool {
        let fuses =
            matches!(self.existing_board, Some(BoardCondition::RewireableFuses | BoardCondition::CartridgeFuses));
        self.backing_board_suspect.unwrap_or_else(|| fuses && self.may_hold_asbestos())
    }

    /// How high a storey is, floor to floor, on average.
    #[must_use]
    pub fn storey_rise(&self) -> Metres {
        /// Floor zone between two storeys. From memory.
        const FLOOR_ZONE_M: f64 = 0.25;
        let inside = self.rooms.iter().filter(|room| room.is_inside());
        let (sum, count) = inside.fold((0.0, 0.0), |(sum, count), room| (sum + room.height.value(), count + 1.0));
        Metres::new(if count > 0.0 { sum / count } else { rooms::USUAL_HEIGHT_M } + FLOOR_ZONE_M)
    }
}

/// The outer faces of each level.
fn outside_walls(plans: &BTreeMap<i8, StoreyPlan>) -> BTreeMap<i8, Vec<Shape>> {
    plans.iter().map(|(level, plan)| (*level, plan.outside.clone())).collect()
}

/// Whether every inside room has an outline.
fn is_measured(rooms: &[RoomPlan]) -> bool {
    let mut inside = rooms.iter().filter(|room| room.is_inside()).peekable();
    inside.peek().is_some() && inside.all(|room| room.outline.is_some())
}

/// The storeys that rooms stand on, named as the survey names them.
fn storeys(survey: &Survey, rooms: &[RoomPlan]) -> Vec<StoreyName> {
    let levels: BTreeSet<i8> = rooms.iter().map(|room| room.level).collect();
    let listed = survey.site.iter().flat_map(|site| &site.storeys);
    let names: BTreeMap<i8, &str> = listed.map(|storey| (storey.level, storey.id.as_str())).collect();
    let used = survey.rooms.iter().filter_map(|room| room.storey.as_deref());
    let usual: BTreeMap<i8, &str> =
        used.filter_map(|storey| Some((crate::survey::rules::usual_level(storey)?, storey))).collect();
    levels
        .into_iter()
        .map(|level| {
            let known = names.get(&level).or_else(|| usual.get(&level));
            StoreyName { level, id: known.map_or_else(|| format!("level-{level}"), |id| (*id).to_owned()) }
        })
        .collect()
}

fn neutral_looped_at(
    preferred: Option<NeutralLoop>,
    rooms: &[RoomPlan],
    catalogue: &Catalogue,
    assumptions: &mut Assumptions,
) -> NeutralLoop {
    let switched = rooms.iter().flat_map(|room| &room.points).any(|point| {
        let row = &catalogue.points()[point.row];
        row.group == PointGroup::Switch && row.circuit == CircuitType::Lighting
    });
    if preferred.is_none() && switched {
        assumptions.house(Assumed::NeutralLoopedAt);
    }
    preferred.unwrap_or(NeutralLoop::Ceiling)
}

/// Taken where nobody wrote the distance down. Common practice, no source.
pub(crate) const USUAL_DISTANCE_KM: f64 = 15.0;

fn distance(recorded: Option<f64>, assumptions: &mut Assumptions) -> f64 {
    recorded.unwrap_or_else(|| {
        assumptions.house(Assumed::Distance);
        USUAL_DISTANCE_KM
    })
}

fn scope(survey: &Survey, assumptions: &mut Assumptions) -> ScopePlan {
    let scope = ScopePlan::of(survey);
    if scope.assumed {
        assumptions.house(Assumed::Scope(scope.kind));
    }
    scope
}

fn making_good(recorded: Option<bool>, assumptions: &mut Assumptions) -> bool {
    recorded.unwrap_or_else(|| {
        assumptions.house(Assumed::MakingGood);
        true
    })
}

fn parking(recorded: Option<Parking>, assumptions: &mut Assumptions) -> Parking {
    recorded.unwrap_or_else(|| {
        assumptions.house(Assumed::Parking);
        Parking::Street
    })
}

/// Old points that come out where nobody counted them: about half of the new ones. Common practice, no source.
#[must_use]
pub(crate) fn usual_points_to_strip(rooms: &[RoomPlan]) -> u64 {
    rooms.iter().map(RoomPlan::point_count).sum::<u64>().div_ceil(2)
}

fn points_to_strip(survey: &Survey, scope: ScopePlan, rooms: &[RoomPlan], assumptions: &mut Assumptions) -> u64 {
    let existing = survey.existing.as_ref();
    if let Some(recorded) = existing.and_then(|existing| existing.points_to_strip) {
        return u64::from(recorded);
    }
    if existing.is_some_and(|existing| existing.cable_era == Some(CableEra::None)) {
        return 0;
    }
    if !scope.rewires() {
        return 0;
    }
    let taken = usual_points_to_strip(rooms);
    assumptions.house(Assumed::PointsToStrip(taken));
    taken
}

/// Says what is over and under each room and what fills its stud walls, and draws one plan a storey.
fn stacked(
    record: &SiteRecord,
    (rooms, top_level): (&mut [RoomPlan], i8),
    catalogue: &Catalogue,
    assumptions: &mut Assumptions,
    work: &WorkBudget,
) -> BTreeMap<i8, StoreyPlan> {
    stack::stack(record.dwelling, (rooms, top_level), assumptions, work);
    studs::fill(record.built_year, rooms, assumptions);
    plans::plans(record, rooms, catalogue, work)
}
