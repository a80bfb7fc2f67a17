//! The supply, the board's place, the services to bond and the outbuildings, complete.

use super::RoomIndex;
use super::assume::{Assumed, Assumptions};
use super::geometry::Location;
use super::onward::{Onward, OtherFeed};
use super::rooms::{RoomPlan, appliances, place_on_wall, points};
use super::scope::ScopePlan;
use super::stack::RoomStack;
use crate::catalogue::Catalogue;
use crate::geometry::Shape;
use crate::quantities::{Amps, Kiloamps, Metres, Ohms, Volts};
use crate::survey::{
    ConsumerUnit, Earthing, EntryMaterial, ExistingBoard, FloorConstruction, FloorCovering, Ground, Occupancy,
    OutbuildingConstruction, OutbuildingFeed, PeakSeason, Position, RoomUse, ServiceType, Survey, Wall, WallSide,
};

/// The cut-out taken where nobody read it. From memory.
pub(crate) const USUAL_CUT_OUT_A: f64 = 60.0;

/// The incoming supply, complete.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SupplyPlan {
    /// Nominal voltage to earth.
    pub voltage: Volts,
    /// Phases.
    pub phases: u8,
    /// How it is earthed; the usual where unknown.
    pub earthing: Earthing,
    /// Whether somebody found out how it is earthed.
    pub earthing_known: bool,
    /// Earth fault loop impedance outside the house.
    pub ze: Ohms,
    /// Rating of the cut-out.
    pub cut_out: Amps,
    /// Whether somebody read it.
    pub cut_out_read: bool,
    /// A peak that was measured, and when.
    pub measured_peak: Option<(Amps, Option<PeakSeason>)>,
    /// Prospective fault current, if somebody measured it.
    pub fault_current: Option<Kiloamps>,
    /// Whether it is looped from a neighbour.
    pub looped: Option<bool>,
    /// Whether there is an isolator after the meter.
    pub isolator_after_meter: Option<bool>,
}

/// A service to bond.
#[derive(Debug, Clone, PartialEq)]
pub struct ServicePlan {
    /// The kind.
    pub kind: ServiceType,
    /// Where it comes in, if it was recorded.
    pub spot: Option<Location>,
    /// Whether its pipe is metal, so that it needs a bond.
    pub metal: bool,
    /// Bonding conductor that is there now, in mm2.
    pub bonded_mm2: f64,
    /// Whether nobody looked at its bond, and it is taken as sound, since it stays.
    pub taken_sound: bool,
    /// Whether the survey names it, or it is taken for granted.
    pub recorded: bool,
}

/// A building fed from the house, complete.
#[derive(Debug, Clone)]
pub struct OutbuildingPlan {
    /// Its inside, among the rooms.
    pub room: RoomIndex,
    /// Where its board hangs, on the wall towards the house; absent where house or building was not drawn.
    pub board: Option<Position>,
    /// Where its feed leaves the house, where it has one of its own.
    pub fed_from: OutbuildingFeed,
    /// The outbuilding whose board feeds it; absent where it is fed from the house.
    pub via: Option<usize>,
    /// The buried run of its feed by ground.
    pub stretches: Vec<(Ground, Metres)>,
    /// The other way in which it could be fed.
    pub onward: Option<Onward>,
    /// What the way that was not taken would come to, once both were priced.
    pub other_feed: Option<OtherFeed>,
    /// Whether metal of it touches the ground.
    pub metal: bool,
    /// Whether somebody found out what else is buried.
    pub buried_services_known: bool,
}

impl SupplyPlan {
    pub(super) fn from_survey(survey: &Survey, assumptions: &mut Assumptions) -> Self {
        let recorded = survey.supply.clone().unwrap_or_default();
        let known = recorded.earthing.filter(|earthing| *earthing != Earthing::Unknown);
        let earthing = known.unwrap_or_else(|| {
            assumptions.house(Assumed::Earthing);
            Earthing::TnCS
        });
        // Usual greatest values. Source: the On-Site Guide as quoted in the reference table on diversity (TN-S 0.8,
        // TN-C-S 0.35); 200 ohm for an electrode from memory.
        let ze = recorded.ze_ohm.unwrap_or_else(|| {
            let usual = match earthing {
                Earthing::TnS => 0.8,
                Earthing::Tt => 200.0,
                Earthing::TnCS | Earthing::Unknown => 0.35,
            };
            assumptions.house(Assumed::Ze(usual));
            usual
        });
        let cut_out = recorded.cut_out_a.unwrap_or_else(|| {
            assumptions.house(Assumed::CutOut);
            USUAL_CUT_OUT_A
        });
        if recorded.fault_current_ka.is_none() {
            assumptions.house(Assumed::FaultCurrent);
        }
        Self {
            voltage: Volts::new(recorded.voltage_v.unwrap_or(230.0)),
            phases: recorded.phases.unwrap_or(1),
            earthing,
            earthing_known: known.is_some(),
            ze: Ohms::new(ze),
            cut_out: Amps::new(cut_out),
            cut_out_read: recorded.cut_out_a.is_some(),
            measured_peak: recorded.measured_peak_a.map(|peak| (Amps::new(peak), recorded.measured_in)),
            fault_current: recorded.fault_current_ka.map(Kiloamps::new),
            looped: recorded.looped,
            isolator_after_meter: recorded.isolator_after_meter,
        }
    }
}

/// Where the supply comes in and where the board is to stand.
pub(super) fn places(
    survey: &Survey,
    scope: ScopePlan,
    rooms: &[RoomPlan],
    assumptions: &mut Assumptions,
) -> (Location, Location) {
    if survey.intake.is_none()
        && let Some(unit) = survey.consumer_unit.as_ref().filter(|unit| keeps_its_place(unit, scope))
    {
        // Its tails reach it today, so the supply comes in beside it.
        let at_board = spot(&unit.room, (unit.at, unit.wall, unit.along_m), rooms);
        let on_a_wall = at_board.room.and_then(|room| front_wall(&rooms[room]));
        let marked = unit.at.is_some() || unit.wall.is_some();
        let intake = Location { at: if marked { at_board.at } else { on_a_wall.or(at_board.at) }, ..at_board };
        assumptions.house(Assumed::IntakeAtBoard(intake.room));
        return (intake, Location { height: unit.height_m.map(Metres::new), ..intake });
    }
    let intake = intake(survey, rooms, assumptions);
    let Some(unit) = &survey.consumer_unit else {
        assumptions.house(Assumed::ConsumerUnit);
        return (intake, intake);
    };
    let recorded = spot(&unit.room, (unit.at, unit.wall, unit.along_m), rooms);
    let board = Location { height: unit.height_m.map(Metres::new), ..recorded };
    if unit.at.is_some() || unit.wall.is_some() {
        return (intake, board);
    }
    // A board hangs on a wall: on the one nearest to the meter, so that its tails are short.
    let outline = board.room.and_then(|room| rooms[room].outline.as_ref());
    let Some((outline, meter)) = outline.zip(intake.at) else { return (intake, board) };
    let at = outline.on_wall(outline.along(meter));
    assumptions.room(Assumed::BoardPlace(at), &unit.room);
    (intake, Location { at: Some(at), ..board })
}

fn intake(survey: &Survey, rooms: &[RoomPlan], assumptions: &mut Assumptions) -> Location {
    let Some(recorded) = &survey.intake else {
        let usual = rooms.iter().position(|room| room.room_use == RoomUse::Hall);
        let index = usual.or_else(|| rooms.iter().position(|room| room.level == 0 && room.is_inside()));
        assumptions.house(Assumed::Intake(index));
        let nowhere = Location { room: None, level: 0, at: None, height: None };
        return index.map_or(nowhere, |index| Location { at: front_wall(&rooms[index]), ..at_middle(index, rooms) });
    };
    let intake = spot(&recorded.room, (recorded.at, recorded.wall, recorded.along_m), rooms);
    let front = intake.room.and_then(|room| front_wall(&rooms[room]));
    match front.filter(|_| recorded.at.is_none() && recorded.wall.is_none()) {
        Some(at) => {
            assumptions.room(Assumed::IntakePlace(at), &recorded.room);
            Location { at: Some(at), ..intake }
        }
        None => intake,
    }
}

/// Whether the board is to be where one is today, on a job that leaves the house's supply as it is.
fn keeps_its_place(unit: &ConsumerUnit, scope: ScopePlan) -> bool {
    let there = |board: &ExistingBoard| {
        board.room.as_ref().is_none_or(|room| *room == unit.room) && board.at.is_none_or(|at| Some(at) == unit.at)
    };
    !scope.rewires() && unit.existing.as_ref().is_none_or(there)
}

/// The wall of a room towards the street, at its middle.
fn front_wall(room: &RoomPlan) -> Option<Position> {
    let outline = room.outline.as_ref()?;
    let (least, _) = outline.bounds();
    let middle = outline.middle();
    Some(outline.on_wall(outline.along(Position { x_m: middle.x_m, y_m: least.y_m })))
}

/// A place as it was recorded: on plan, or along a wall.
pub(super) type Recorded = (Option<Position>, Option<WallSide>, Option<f64>);

pub(super) fn spot(room: &str, (at, wall, along_m): Recorded, rooms: &[RoomPlan]) -> Location {
    let index = rooms.iter().position(|plan| plan.id == room);
    let Some(index) = index else { return Location { room: None, level: 0, at, height: None } };
    let marked = at.or_else(|| place_on_wall(rooms[index].outline.as_ref(), wall, along_m));
    Location { at: marked.or(at_middle(index, rooms).at), ..at_middle(index, rooms) }
}

fn at_middle(index: usize, rooms: &[RoomPlan]) -> Location {
    let room = &rooms[index];
    Location { room: Some(index), level: room.level, at: room.outline.as_ref().map(Shape::middle), height: None }
}

/// Where something that may come is to be.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FuturePlace {
    /// The room, if it was named.
    pub room: Option<RoomIndex>,
    /// The place on plan, if it was marked.
    pub at: Option<Position>,
}

/// The places of what may come, in the order of the survey.
pub(super) fn future_places(survey: &Survey, rooms: &[RoomPlan]) -> Vec<FuturePlace> {
    let place = |future: &crate::survey::Future| FuturePlace {
        room: future.room.as_deref().and_then(|id| rooms.iter().position(|room| room.id == id)),
        at: future.at,
    };
    survey.future.iter().map(place).collect()
}

/// The services that may need a bond.
pub(super) fn services(
    survey: &Survey,
    scope: ScopePlan,
    rooms: &[RoomPlan],
    assumptions: &mut Assumptions,
) -> Vec<ServicePlan> {
    let silent = if scope.rewires() { Assumed::Bonding } else { Assumed::BondsSound };
    let Some(recorded) = &survey.services else {
        assumptions.house(if scope.rewires() { Assumed::Services } else { Assumed::BondsSound });
        let taken = |kind| ServicePlan {
            kind,
            spot: None,
            metal: true,
            bonded_mm2: 0.0,
            taken_sound: !scope.rewires(),
            recorded: false,
        };
        return [ServiceType::Gas, ServiceType::Water].map(taken).to_vec();
    };
    let mut plans: Vec<ServicePlan> = recorded
        .iter()
        .map(|service| {
            let known =
                service.room.as_deref().map(|room| spot(room, (service.at, service.wall, service.along_m), rooms));
            if known.is_none() {
                assumptions.service(Assumed::ServicePosition, service.service_type);
            }
            if service.entry_material.is_none() {
                assumptions.service(Assumed::ServiceMaterial, service.service_type);
            }
            if service.bonded_mm2.is_none() {
                assumptions.service(silent, service.service_type);
            }
            ServicePlan {
                kind: service.service_type,
                spot: known,
                metal: service.entry_material != Some(EntryMaterial::Plastic),
                bonded_mm2: service.bonded_mm2.unwrap_or(0.0),
                taken_sound: service.bonded_mm2.is_none() && !scope.rewires(),
                recorded: true,
            }
        })
        .collect();
    plans.sort_by_key(place_order);
    plans
}

fn place_order(service: &ServicePlan) -> (ServiceType, Option<usize>, [u64; 2], bool, u64) {
    let at = service.spot.and_then(|spot| spot.at).unwrap_or(Position { x_m: 0.0, y_m: 0.0 });
    let room = service.spot.and_then(|spot| spot.room);
    (service.kind, room, [at.x_m.to_bits(), at.y_m.to_bits()], service.metal, service.bonded_mm2.to_bits())
}

/// The outbuildings, complete, in the order of their identifiers.
pub(super) fn outbuildings(
    survey: &Survey,
    catalogue: &Catalogue,
    rooms: &mut Vec<RoomPlan>,
    assumptions: &mut Assumptions,
) -> Vec<OutbuildingPlan> {
    let mut recorded: Vec<_> = survey.outbuildings.iter().collect();
    recorded.sort_by(|a, b| a.id.cmp(&b.id));
    recorded
        .into_iter()
        .enumerate()
        .map(|(index, building)| {
            let id = building.id.as_str();
            let preferred = survey.preferences.as_ref().and_then(|preferences| preferences.finish);
            let fed_from = building.fed_from.unwrap_or(OutbuildingFeed::ConsumerUnit);
            let outline = super::rooms::outline(building.outline, &building.corners);
            let inside = points(&building.points, outline.as_ref(), (preferred, false), id, catalogue, assumptions);
            let loads = appliances(&building.appliances, id, catalogue, assumptions);
            let construction = building.construction.unwrap_or_else(|| {
                assumptions.room(Assumed::OutbuildingConstruction, id);
                OutbuildingConstruction::Timber
            });
            let name = building.name.as_deref();
            rooms.push(RoomPlan {
                outbuilding: Some(index),
                points: inside,
                appliances: loads,
                ..inside_of(id, name, outline, construction)
            });
            OutbuildingPlan {
                room: rooms.len() - 1,
                board: None,
                fed_from,
                via: None,
                stretches: stretches(building, assumptions),
                onward: None,
                other_feed: None,
                metal: construction == OutbuildingConstruction::Metal,
                buried_services_known: building.buried_services_known.unwrap_or(false),
            }
        })
        .collect()
}

/// Gives the board of each drawn outbuilding its place: where the feed comes in, on the wall nearest to the house.
pub(super) fn place_sub_boards(
    buildings: &mut [OutbuildingPlan],
    rooms: &[RoomPlan],
    house: Option<Position>,
    assumptions: &mut Assumptions,
) {
    for building in buildings {
        let room = &rooms[building.room];
        building.board = room.outline.as_ref().zip(house).map(|(outline, house)| outline.on_wall(outline.along(house)));
        if building.board.is_some() {
            assumptions.room(Assumed::SubBoardPlace, &room.id);
        }
    }
}

/// Taken where nobody paced the run to an outbuilding. Common practice, no source.
pub(crate) const USUAL_RUN_M: f64 = 15.0;

fn stretches(building: &crate::survey::Outbuilding, assumptions: &mut Assumptions) -> Vec<(Ground, Metres)> {
    if !building.stretches.is_empty() {
        return building.stretches.iter().map(|stretch| (stretch.ground, Metres::new(stretch.length_m))).collect();
    }
    let run = building.run_m.unwrap_or_else(|| {
        assumptions.room(Assumed::OutbuildingRun, &building.id);
        USUAL_RUN_M
    });
    let ground = building.ground.unwrap_or_else(|| {
        assumptions.room(Assumed::Ground, &building.id);
        Ground::Lawn
    });
    vec![(ground, Metres::new(run))]
}

fn inside_of(id: &str, name: Option<&str>, outline: Option<Shape>, construction: OutbuildingConstruction) -> RoomPlan {
    /// A usual outbuilding. Common practice, no source.
    const USUAL_AREA_M2: f64 = 12.0;
    let shape = outline.clone().unwrap_or_else(|| Shape::square(crate::quantities::SquareMetres::new(USUAL_AREA_M2)));
    RoomPlan {
        id: id.to_owned(),
        name: name.unwrap_or(id).to_owned(),
        room_use: RoomUse::Other,
        outbuilding: None,
        level: 0,
        openings: Vec::new(),
        outline,
        area: shape.area(),
        shape,
        height: Metres::new(2.3),
        wall: match construction {
            OutbuildingConstruction::Masonry => Wall::Brick,
            OutbuildingConstruction::Timber | OutbuildingConstruction::Metal => Wall::TimberFrame,
        },
        stack: RoomStack::OUTBUILDING,
        wall_recorded: true,
        floor: FloorConstruction::SolidConcrete,
        floor_recorded: true,
        boards: crate::survey::Boards::Square,
        covering: FloorCovering::None,
        crawl_space_m: None,
        joists: None,
        ceiling: crate::survey::CeilingConstruction::ExposedBeams,
        textured: false,
        coating_clear: None,
        insulation_mm: 0.0,
        insulation_layers: 1,
        insulation: None,
        wall_insulation: None,
        wall_insulation_recorded: false,
        fire_line: None,
        roof_void_reached: false,
        joist_depth_mm: None,
        joists_notched: false,
        occupancy: Occupancy::Empty,
        occupancy_recorded: true,
        wet: false,
        // An outbuilding is wired on the surface. Common practice, no source.
        surface: true,
        units_stay: false,
        combustion_appliance: false,
        points: Vec::new(),
        staying: Vec::new(),
        appliances: Vec::new(),
    }
}
