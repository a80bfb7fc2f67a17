//! Rooms complete: size, storey, fabric, occupancy, points with their defaults.

use std::collections::BTreeMap;

use super::appliances::AppliancePlan;
use super::assume::{Assumed, Assumptions, FabricAge};
use super::openings::WallOpeningPlan;
use super::scope::StayingPoint;
use super::stack::RoomStack;
use crate::catalogue::{Catalogue, Decade, PointPlace, SocketsWith};
use crate::geometry::Shape;
use crate::quantities::{Kilowatts, Metres, SquareMetres};
use crate::survey::rules::usual_level;
use crate::survey::{
    Appliance, Boards, CeilingConstruction, Dwelling, Finish, FloorConstruction, FloorCovering, Insulation,
    JoistDirection, Occupancy, Outline, Point, PointType, Position, Priority, Room, RoomUse, SuppliedBy, Survey, Wall,
    WallSide,
};

/// Floor to ceiling where nobody measured. From memory.
pub(crate) const USUAL_HEIGHT_M: f64 = 2.4;
/// The decade taken where the age is not known: the fabric of the middle of the stock. Common practice, no source.
const USUAL_BUILT_YEAR: u16 = 1960;

/// A room, complete.
#[derive(Debug, Clone)]
pub struct RoomPlan {
    /// Its identifier.
    pub id: String,
    /// Its name on paper.
    pub name: String,
    /// What it is used for.
    pub room_use: RoomUse,
    /// The outbuilding that it is the inside of, by its place in [`super::Site::outbuildings`].
    pub outbuilding: Option<usize>,
    /// Its level.
    pub level: i8,
    /// Its outline, where it was drawn.
    pub outline: Option<Shape>,
    /// Its outline, drawn or a square of the usual area.
    pub shape: Shape,
    /// Its floor area.
    pub area: SquareMetres,
    /// Floor to ceiling.
    pub height: Metres,
    /// Doors and windows in its walls, as they will be.
    pub openings: Vec<WallOpeningPlan>,
    /// What most of its walls are made of.
    pub wall: Wall,
    /// Whether somebody recorded the wall.
    pub wall_recorded: bool,
    /// How its floor is made.
    pub floor: FloorConstruction,
    /// Whether somebody recorded the floor.
    pub floor_recorded: bool,
    /// How its boards meet, where it has some.
    pub boards: Boards,
    /// What lies on it.
    pub covering: FloorCovering,
    /// Clear height of the crawl space below, where there is one.
    pub crawl_space_m: Option<f64>,
    /// Which way the joists of the floor run, if it was recorded.
    pub joists: Option<JoistDirection>,
    /// What its ceiling is made of.
    pub ceiling: CeilingConstruction,
    /// Whether it has a textured coating.
    pub textured: bool,
    /// Whether a sample of the coating was found free of asbestos; absent where none was taken.
    pub coating_clear: Option<bool>,
    /// Insulation above the ceiling.
    pub insulation_mm: f64,
    /// Layers that it lies in.
    pub insulation_layers: u8,
    /// What it is made of, if somebody looked.
    pub insulation: Option<Insulation>,
    /// What fills its hollow walls, as recorded or taken; absent where they are taken as filled, the cable on their face.
    pub wall_insulation: Option<Insulation>,
    /// Whether somebody looked.
    pub wall_insulation_recorded: bool,
    /// Whether the ceiling is a fire line, if somebody recorded it.
    pub fire_line: Option<bool>,
    /// Whether somebody has found a way into the roof void above.
    pub roof_void_reached: bool,
    /// Depth of the floor's joists, if it was measured.
    pub joist_depth_mm: Option<f64>,
    /// Whether the floor's joists were seen to be cut already.
    pub joists_notched: bool,
    /// How full it is.
    pub occupancy: Occupancy,
    /// Whether somebody recorded how full it is.
    pub occupancy_recorded: bool,
    /// Whether the walls that take boxes are tiled, or the use makes them so.
    pub wet: bool,
    /// Whether cables may be seen here.
    pub surface: bool,
    /// Whether fitted units stay.
    pub units_stay: bool,
    /// Whether something in it burns fuel.
    pub combustion_appliance: bool,
    /// What is over and under it where no own room is.
    pub stack: RoomStack,
    /// What is wanted.
    pub points: Vec<PointPlan>,
    /// What is there and stays.
    pub staying: Vec<StayingPoint>,
    /// What has a plate of its own.
    pub appliances: Vec<AppliancePlan>,
}

/// Points of one kind in one room.
#[derive(Debug, Clone)]
pub struct PointPlan {
    /// The kind.
    pub kind: PointType,
    /// Its row of the point table.
    pub row: usize,
    /// How many.
    pub count: u32,
    /// Gangs of a switch.
    pub gangs: u8,
    /// Where they stand, if it was marked.
    pub at: Option<Position>,
    /// Where each of them stands, marked or spread by the rule; empty where the room was not drawn.
    pub places: Vec<Position>,
    /// Centre above the floor.
    pub height: Metres,
    /// Length of a light strip; 1 for anything else.
    pub length: Metres,
    /// Their look.
    pub finish: Finish,
    /// Whether somebody recorded it, or it is none of the plates inside.
    pub finish_recorded: bool,
    /// Whether the client buys them.
    pub client_supplied: bool,
    /// Weight of one.
    pub weight_kg: Option<f64>,
    /// How much they are wanted.
    pub priority: Priority,
    /// Whether existing boxes are used again.
    pub existing_reuse: bool,
}

impl RoomPlan {
    /// Whether it is a room of the house, and neither the outside nor an outbuilding.
    #[must_use]
    pub fn is_inside(&self) -> bool {
        self.room_use != RoomUse::Outside && self.outbuilding.is_none()
    }

    /// Points in it.
    #[must_use]
    pub fn point_count(&self) -> u64 {
        self.points.iter().map(|point| u64::from(point.count)).sum()
    }
}

/// Every room complete, in the fixed order: by level, then by identifier.
pub(super) fn plan(survey: &Survey, catalogue: &Catalogue, assumptions: &mut Assumptions) -> Vec<RoomPlan> {
    let gaps = Gaps::of(survey, catalogue);
    let mut order: Vec<&Room> = survey.rooms.iter().collect();
    order.sort_by(|a, b| a.id.cmp(&b.id));
    let mut rooms: Vec<RoomPlan> = order.into_iter().map(|room| gaps.room(room, assumptions)).collect();
    rooms.sort_by_key(|room| room.level);
    rooms
}

/// What is taken where a room is silent.
struct Gaps<'a> {
    survey: &'a Survey,
    catalogue: &'a Catalogue,
    levels: BTreeMap<&'a str, (i8, Option<f64>)>,
    decade: &'a Decade,
    age: FabricAge,
}

impl<'a> Gaps<'a> {
    fn of(survey: &'a Survey, catalogue: &'a Catalogue) -> Self {
        let site = survey.site.as_ref();
        let built_year = site.and_then(|site| site.built_year);
        let storeys = site.iter().flat_map(|site| &site.storeys);
        Self {
            survey,
            catalogue,
            levels: storeys.map(|storey| (storey.id.as_str(), (storey.level, storey.height_m))).collect(),
            decade: catalogue.decade(built_year.unwrap_or(USUAL_BUILT_YEAR)),
            age: if built_year.is_some() { FabricAge::Known } else { FabricAge::Unknown },
        }
    }

    fn room(&self, room: &Room, assumptions: &mut Assumptions) -> RoomPlan {
        let id = room.id.as_str();
        let room_use = self.room_use(room, assumptions);
        let (level, storey_height) = self.level(room, room_use, assumptions);
        let outline = outline(room.outline, &room.corners);
        let usual_area = self.catalogue.room_use(room_use).area_m2;
        if outline.is_none() && room_use != RoomUse::Outside {
            assumptions.room(Assumed::RoomSize(usual_area), id);
        }
        let shape = outline.clone().unwrap_or_else(|| Shape::square(SquareMetres::new(usual_area)));
        let height = room.height_m.or(storey_height).unwrap_or_else(|| {
            assumptions.room(Assumed::Height, id);
            USUAL_HEIGHT_M
        });
        let (floor, covering) = self.floor(room, level, room_use, assumptions);
        let ceiling = room.ceiling.clone().unwrap_or_default();
        let occupancy = self.occupancy(room, assumptions);
        let surface = room.surface_wiring.unwrap_or_else(|| surface_by_use(room_use, id, assumptions));
        RoomPlan {
            id: room.id.clone(),
            name: room.name.clone().unwrap_or_else(|| room.id.clone()),
            room_use,
            outbuilding: None,
            level,
            openings: WallOpeningPlan::all(&room.openings, outline.as_ref(), height),
            outline,
            area: shape.area(),
            shape,
            height: Metres::new(height),
            wall: self.wall(room, assumptions),
            wall_recorded: self.wall_recorded(room).is_some(),
            floor,
            floor_recorded: room.floor.as_ref().is_some_and(|floor| floor.construction.is_some()),
            boards: room.floor.as_ref().and_then(|floor| floor.boards).unwrap_or(Boards::Square),
            covering,
            crawl_space_m: room.floor.as_ref().and_then(|floor| floor.crawl_space_m),
            joists: room.floor.as_ref().and_then(|floor| floor.joists),
            ceiling: self.ceiling(ceiling.construction, room_use, id, assumptions),
            textured: ceiling.textured.unwrap_or(false),
            coating_clear: ceiling.coating_clear,
            insulation_mm: ceiling.insulation_mm.unwrap_or(0.0),
            insulation_layers: ceiling.insulation_layers.unwrap_or(1),
            insulation: ceiling.insulation,
            wall_insulation: room.wall_insulation,
            wall_insulation_recorded: room.wall_insulation.is_some(),
            fire_line: ceiling.fire_line,
            roof_void_reached: ceiling.void_reached.unwrap_or(false),
            joist_depth_mm: room.floor.as_ref().and_then(|floor| floor.joist_depth_mm),
            joists_notched: room.floor.as_ref().and_then(|floor| floor.joists_notched).unwrap_or(false),
            occupancy,
            occupancy_recorded: self.occupancy_recorded(room).is_some(),
            wet: room.tiled.unwrap_or_else(|| self.catalogue.room_use(room_use).wet),
            surface,
            units_stay: room.units_stay.unwrap_or(false),
            combustion_appliance: room.combustion_appliance.unwrap_or(false),
            stack: RoomStack::recorded(self.survey, room),
            points: self.points(room, room_use, assumptions),
            staying: super::scope::staying(room),
            appliances: appliances(&room.appliances, id, self.catalogue, assumptions),
        }
    }

    fn room_use(&self, room: &Room, assumptions: &mut Assumptions) -> RoomUse {
        room.room_use.unwrap_or_else(|| {
            // The name is for people and says more; an identifier is what is left where it does not.
            let by_name = room.name.as_deref().and_then(|name| self.catalogue.use_from_words(name));
            match by_name.or_else(|| self.catalogue.use_from_words(&room.id)) {
                Some(room_use) => {
                    assumptions.room(Assumed::RoomUse(Some(room_use)), &room.id);
                    room_use
                }
                None => {
                    assumptions.room(Assumed::RoomUse(None), &room.id);
                    RoomUse::Other
                }
            }
        })
    }

    fn level(&self, room: &Room, room_use: RoomUse, assumptions: &mut Assumptions) -> (i8, Option<f64>) {
        if let Some(storey) = room.storey.as_deref() {
            let listed = self.levels.get(storey).copied();
            return listed.unwrap_or((usual_level(storey).unwrap_or(0), None));
        }
        let dwelling = self.survey.site.as_ref().and_then(|site| site.dwelling);
        let one_storey = matches!(dwelling, Some(Dwelling::Bungalow | Dwelling::Flat));
        let level = match room_use {
            RoomUse::Cellar => -1,
            RoomUse::Bedroom | RoomUse::Bathroom | RoomUse::Landing if !one_storey => 1,
            RoomUse::Loft if one_storey => 1,
            RoomUse::Loft => 2,
            _ => 0,
        };
        if room_use != RoomUse::Outside {
            assumptions.room(Assumed::Storey(level), &room.id);
        }
        let height = self.levels.values().find(|(known, _)| *known == level).and_then(|(_, height)| *height);
        (level, height)
    }

    fn floor(
        &self,
        room: &Room,
        level: i8,
        room_use: RoomUse,
        assumptions: &mut Assumptions,
    ) -> (FloorConstruction, FloorCovering) {
        let recorded = room.floor.clone().unwrap_or_default();
        let construction = recorded.construction.unwrap_or_else(|| {
            let usual = match room_use {
                RoomUse::Garage | RoomUse::Cellar | RoomUse::Outside => FloorConstruction::SolidConcrete,
                _ if level <= 0 => self.decade.ground_floor,
                _ => self.decade.upper_floor,
            };
            if room_use != RoomUse::Outside {
                assumptions.room(Assumed::FloorConstruction(usual, self.age), &room.id);
            }
            usual
        });
        let covering = recorded.covering.unwrap_or_else(|| {
            let usual = match room_use {
                RoomUse::Garage | RoomUse::Cellar | RoomUse::Loft | RoomUse::Outside => FloorCovering::None,
                RoomUse::Kitchen | RoomUse::KitchenDiner | RoomUse::Utility => FloorCovering::SheetVinyl,
                RoomUse::Bathroom | RoomUse::Cloakroom => FloorCovering::SheetVinyl,
                _ => self.decade.covering,
            };
            if room_use != RoomUse::Outside {
                assumptions.room(Assumed::FloorCovering(usual), &room.id);
            }
            usual
        });
        (construction, covering)
    }

    fn wall_recorded(&self, room: &Room) -> Option<Wall> {
        room.wall.or_else(|| self.survey.site.as_ref().and_then(|site| site.wall))
    }

    fn wall(&self, room: &Room, assumptions: &mut Assumptions) -> Wall {
        self.wall_recorded(room).unwrap_or_else(|| {
            assumptions.room(Assumed::Wall(self.decade.wall, self.age), &room.id);
            self.decade.wall
        })
    }

    fn ceiling(
        &self,
        recorded: Option<CeilingConstruction>,
        room_use: RoomUse,
        id: &str,
        assumptions: &mut Assumptions,
    ) -> CeilingConstruction {
        recorded.unwrap_or_else(|| {
            if !matches!(room_use, RoomUse::Outside | RoomUse::Loft) {
                assumptions.room(Assumed::Ceiling(self.decade.ceiling, self.age), id);
            }
            self.decade.ceiling
        })
    }

    fn occupancy_recorded(&self, room: &Room) -> Option<Occupancy> {
        room.occupancy.or_else(|| self.survey.site.as_ref().and_then(|site| site.occupancy))
    }

    fn occupancy(&self, room: &Room, assumptions: &mut Assumptions) -> Occupancy {
        self.occupancy_recorded(room).unwrap_or_else(|| {
            assumptions.room(Assumed::Occupancy, &room.id);
            Occupancy::LightlyFurnished
        })
    }

    fn points(&self, room: &Room, room_use: RoomUse, assumptions: &mut Assumptions) -> Vec<PointPlan> {
        let worktop = self.catalogue.room_use(room_use).sockets_with == SocketsWith::Kitchen;
        let preferred = self.survey.preferences.as_ref().and_then(|preferences| preferences.finish);
        let outline = outline(room.outline, &room.corners);
        self::points(&room.points, outline.as_ref(), (preferred, worktop), &room.id, self.catalogue, assumptions)
    }
}

/// Points with their defaults, in a fixed order whatever order they came in.
pub(super) fn points(
    points: &[Point],
    outline: Option<&Shape>,
    (preferred, worktop): (Option<Finish>, bool),
    place: &str,
    catalogue: &Catalogue,
    assumptions: &mut Assumptions,
) -> Vec<PointPlan> {
    let mut plans: Vec<PointPlan> = Vec::with_capacity(points.len());
    for point in points.iter().filter(|point| point.count != Some(0) && point.stays != Some(true)) {
        let gangs = point.gangs.unwrap_or(1);
        let kind = catalogue.point(point.point_type, gangs);
        let finish = point.finish.or(preferred).unwrap_or(Finish::White);
        let finish_recorded = point.finish.is_some() || preferred.is_some() || kind.place == PointPlace::Outside;
        if !finish_recorded {
            assumptions.room(Assumed::Finish, place);
        }
        if marked(point, outline).is_none() {
            assumptions.room(Assumed::Positions, place);
        }
        plans.push(PointPlan {
            kind: point.point_type,
            row: catalogue.point_row(point.point_type, gangs),
            count: point.count.unwrap_or(1),
            gangs,
            at: marked(point, outline),
            places: Vec::new(),
            height: Metres::new(point.height_m.unwrap_or(if worktop && above_worktop(point.point_type) {
                WORKTOP_HEIGHT_M
            } else {
                kind.height_m
            })),
            length: Metres::new(point.length_m.unwrap_or(1.0)),
            finish,
            finish_recorded,
            client_supplied: point.supplied_by == Some(SuppliedBy::Client) || finish == Finish::ClientSupplied,
            weight_kg: point.weight_kg,
            priority: point.priority.unwrap_or(Priority::Want),
            existing_reuse: point.existing_reuse.unwrap_or(false),
        });
    }
    plans.sort_by_key(order_of);
    plans
}

/// Where a point stands, if it was marked: by its place, or along a wall of a drawn room.
pub(super) fn marked(point: &Point, outline: Option<&Shape>) -> Option<Position> {
    point.at.or_else(|| place_on_wall(outline, point.wall, point.along_m))
}

/// The place so far along one wall of a room.
pub(super) fn place_on_wall(outline: Option<&Shape>, wall: Option<WallSide>, along_m: Option<f64>) -> Option<Position> {
    outline?.on_side(wall?, along_m?)
}

/// The outline of a room, drawn as a rectangle or by its corners.
pub(super) fn outline(outline: Option<Outline>, corners: &[Position]) -> Option<Shape> {
    match outline {
        Some(outline) => Some(Shape::from(outline)),
        None => (corners.len() > 2).then(|| Shape::of(corners)),
    }
}

/// Outlets of a kitchen or utility stand above the worktop. Source: domain practice, from memory.
const WORKTOP_HEIGHT_M: f64 = 1.1;

const fn above_worktop(point: PointType) -> bool {
    matches!(
        point,
        PointType::DoubleSocket | PointType::SingleSocket | PointType::DoubleSocketUsb | PointType::FusedUnit
    )
}

type PointOrder = (usize, Finish, bool, bool, bool, Priority, [u64; 5], u32);

/// A total order of points by all that tells them apart, so that the order in which they came does not matter.
fn order_of(point: &PointPlan) -> PointOrder {
    let at = point.at.unwrap_or(Position { x_m: f64::MAX, y_m: f64::MAX });
    let numbers = [at.x_m, at.y_m, point.height.value(), point.length.value(), point.weight_kg.unwrap_or(0.0)];
    (
        point.row,
        point.finish,
        point.finish_recorded,
        point.client_supplied,
        point.existing_reuse,
        point.priority,
        numbers.map(f64::to_bits),
        point.count,
    )
}

/// Appliances with their loads, in a fixed order.
pub(super) fn appliances(
    appliances: &[Appliance],
    place: &str,
    catalogue: &Catalogue,
    assumptions: &mut Assumptions,
) -> Vec<AppliancePlan> {
    let mut plans = Vec::with_capacity(appliances.len());
    for appliance in appliances.iter().filter(|appliance| appliance.count != Some(0)) {
        let usual = catalogue.appliance(appliance.appliance_type);
        let load = appliance.load_kw.unwrap_or_else(|| {
            assumptions.room(Assumed::Load(appliance.appliance_type), place);
            usual.usual_kw
        });
        plans.push(AppliancePlan {
            kind: appliance.appliance_type,
            load: Kilowatts::new(load),
            load_recorded: appliance.load_kw.is_some(),
            count: appliance.count.unwrap_or(1),
            phases: appliance.phases.unwrap_or(1),
            at: appliance.at,
        });
    }
    let place = |plan: &AppliancePlan| plan.at.map(|at| [at.x_m.to_bits(), at.y_m.to_bits()]);
    plans.sort_by_key(|plan| (plan.kind, plan.load.value().to_bits(), plan.count, plan.phases, place(plan)));
    plans
}

fn surface_by_use(room_use: RoomUse, id: &str, assumptions: &mut Assumptions) -> bool {
    let surface = matches!(room_use, RoomUse::Cellar | RoomUse::Garage | RoomUse::Loft | RoomUse::Store);
    if surface {
        assumptions.room(Assumed::SurfaceWiring, id);
    }
    surface
}
