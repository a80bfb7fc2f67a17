//! Points that stand where what was recorded forbids it: in a beam, under its bearing, in a lintel, in a door or a window.
//! Each is moved to the nearest place beside it, and that is said.

use std::collections::BTreeMap;

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::RoomIndex;
use super::assume::{Assumed, Assumptions};
use super::obstacles::{FACE_OFF_M_MAX, Footprint, USUAL_DEPTH_M, is_in_the_wall};
use super::openings::WallOpeningPlan;
use super::rooms::RoomPlan;
use super::spread;
use crate::catalogue::{Catalogue, PointPlace};
use crate::geometry::{OFF_ITS_WALL_M_MAX, Shape, Strip, TOUCHING_M, straight, to_the_millimetre};
use crate::survey::{CeilingConstruction, Medium, ObstructionType, Position, RoomUse, Survey};
use crate::work::{WorkBudget, WorkPart};

/// What a point was moved away from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MovedFrom {
    /// A beam over it, or its bearing.
    Beam,
    /// A lintel.
    Lintel,
    /// A door or a window.
    Opening,
    /// Nothing: it was marked beside its wall.
    BesideItsWall,
}

/// A point that was moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MovedPoint {
    /// Its room.
    pub room: RoomIndex,
    /// What it was moved away from.
    pub from: MovedFrom,
    /// How far.
    pub metres: f64,
}

/// Looked for along the wall in steps of this, no further than the most. Common practice, no source.
const STEP_M: f64 = 0.05;
const STEPS_MAX: u32 = 120;
/// Steps of work of holding one place against one wall, one door or one beam.
const STEPS_OF_A_LOOK: usize = 3;
/// A point on a ceiling passes at most so many things.
const BEAMS_PASSED_MAX: usize = 4;

/// From so far on that is said: a hand's breadth. Common practice, no source.
const SAID_FROM_M: f64 = 0.05;

/// Gives every point its places, and puts it where it may stand.
pub(super) fn placed(
    survey: &Survey,
    (rooms, outside): (&mut [RoomPlan], &BTreeMap<i8, Vec<Shape>>),
    catalogue: &Catalogue,
    assumptions: &mut Assumptions,
    work: &WorkBudget,
) -> Vec<MovedPoint> {
    spread::place_points(rooms, outside, catalogue, work);
    let mut moved = onto_their_walls(rooms, catalogue, assumptions, work);
    moved.extend(keep_clear(survey, rooms, catalogue, assumptions, work));
    moved
}

/// Puts the points of walls that were marked a little beside one on it, and others back into their room.
fn onto_their_walls(
    rooms: &mut [RoomPlan],
    catalogue: &Catalogue,
    assumptions: &mut Assumptions,
    work: &WorkBudget,
) -> Vec<MovedPoint> {
    let mut all_moved = Vec::new();
    for (index, room) in rooms.iter_mut().enumerate().filter(|(_, room)| room.room_use != RoomUse::Outside) {
        let Some(outline) = &room.outline else { continue };
        let marked = room.points.iter().filter(|point| point.at.is_some()).count();
        if !work.spend(WorkPart::Plans, (marked * outline.corners().len() * STEPS_OF_A_LOOK) as u64) {
            break;
        }
        for point in &mut room.points {
            let Some(at) = point.at else { continue };
            let stands_on_it = catalogue.points()[point.row].place == PointPlace::Wall;
            if !stands_on_it && outline.holds(at) {
                continue;
            }
            let on_wall = outline.nearest_on_wall(at);
            if on_wall.off <= TOUCHING_M || on_wall.off > OFF_ITS_WALL_M_MAX {
                continue;
            }
            let place = to_the_millimetre(outline.on_wall(on_wall.along));
            point.at = Some(place);
            point.places.iter_mut().for_each(|one| *one = place);
            if on_wall.off > SAID_FROM_M {
                all_moved.push(MovedPoint { room: index, from: MovedFrom::BesideItsWall, metres: on_wall.off });
                assumptions.room(Assumed::PointMoved(MovedFrom::BesideItsWall), &room.id);
            }
        }
    }
    all_moved
}

/// Something that forbids a place.
struct Forbidding {
    level: Option<i8>,
    footprint: Footprint,
    /// Whether it stands in the void over the ceiling.
    overhead: bool,
    depth: f64,
}

/// Beams and lintels.
fn beams(survey: &Survey) -> Vec<Forbidding> {
    let over = |medium: &Medium| matches!(medium, Medium::CeilingVoid | Medium::Loft);
    survey
        .obstructions
        .iter()
        .enumerate()
        .map(|(entry, recorded)| Forbidding {
            level: recorded.storey.as_deref().and_then(|storey| survey.storey_level(storey)),
            footprint: Footprint::of(entry, recorded),
            overhead: recorded.blocks.iter().any(over),
            depth: recorded.depth_m.unwrap_or(USUAL_DEPTH_M),
        })
        .filter(|thing| thing.footprint.is_a_beam())
        .collect()
}

/// Moves every point that stands where it may not.
fn keep_clear(
    survey: &Survey,
    rooms: &mut [RoomPlan],
    catalogue: &Catalogue,
    assumptions: &mut Assumptions,
    work: &WorkBudget,
) -> Vec<MovedPoint> {
    let beams = beams(survey);
    let openings = OpeningsByLevel::of(rooms);
    let mut all_moved = Vec::new();
    if beams.is_empty() && openings.0.is_empty() {
        return all_moved;
    }
    let inside = |room: &RoomPlan| room.is_inside() && room.room_use != RoomUse::Loft;
    for (index, room) in rooms.iter_mut().enumerate().filter(|(_, room)| inside(room)) {
        let Some(outline) = room.outline.clone() else { continue };
        let (least, greatest) = outline.bounds();
        let near = |beam: &&Forbidding| beam.footprint.is_near(least, greatest);
        let on = |level: i8| {
            let there = beams.iter().filter(move |beam| beam.level.is_none_or(|stands_on| stands_on == level));
            there.filter(near)
        };
        work.count(WorkPart::Plans, (2 * beams.len() * STEPS_OF_A_LOOK) as u64);
        let checked = Checked {
            outline: &outline,
            beams: on(room.level).collect(),
            under: on(room.level.saturating_sub(1)).collect(),
            openings: openings.near(room.level, (least, greatest)),
            height: room.height.value(),
            floor_void: catalogue.floor(room.floor).void,
            ceiling_void: room.ceiling != CeilingConstruction::Concrete,
            middle: outline.middle(),
            work,
        };
        if checked.beams.is_empty() && checked.under.is_empty() && checked.openings.is_empty() {
            continue;
        }
        for point in &mut room.points {
            let place = catalogue.points()[point.row].place;
            let height = point.height.value();
            for at in &mut point.places {
                if !work.goes_on() {
                    return all_moved;
                }
                let Some((moved, from)) = checked.moved(*at, place, height) else { continue };
                all_moved.push(MovedPoint { room: index, from, metres: straight(*at, moved) });
                *at = moved;
                assumptions.room(Assumed::PointMoved(from), &room.id);
            }
            if point.at.is_some() {
                point.at = point.places.first().copied().or(point.at);
            }
        }
    }
    all_moved
}

/// Doors and windows by their levels, for asking which are near a room.
struct OpeningsByLevel(BTreeMap<i8, OpeningTree>);

/// Openings by where they are.
type OpeningTree = RTree<GeomWithData<Rectangle<[f64; 2]>, WallOpeningPlan>>;

impl OpeningsByLevel {
    fn of(rooms: &[RoomPlan]) -> Self {
        let mut levels: BTreeMap<i8, Vec<_>> = BTreeMap::new();
        for (room, opening) in rooms.iter().flat_map(|room| room.openings.iter().map(move |opening| (room, opening))) {
            let (from, to) = (opening.line.from, opening.line.to);
            let round = Rectangle::from_corners([from.x_m, from.y_m], [to.x_m, to.y_m]);
            levels.entry(room.level).or_default().push(GeomWithData::new(round, *opening));
        }
        Self(levels.into_iter().map(|(level, openings)| (level, RTree::bulk_load(openings))).collect())
    }

    /// Those in whose way something on the walls of a room could be.
    fn near(&self, level: i8, (least, greatest): (Position, Position)) -> Vec<(WallOpeningPlan, Strip)> {
        /// More than what is kept clear of one, and than any wall is thick.
        const NEAR_M: f64 = 1.0;
        let round = AABB::from_corners(
            [least.x_m - NEAR_M, least.y_m - NEAR_M],
            [greatest.x_m + NEAR_M, greatest.y_m + NEAR_M],
        );
        let on_it = self.0.get(&level).into_iter().flat_map(|tree| tree.locate_in_envelope_intersecting(&round));
        on_it.map(|found| (found.data, found.data.strip())).collect()
    }
}

/// A room with what may stand over it.
struct Checked<'a> {
    outline: &'a Shape,
    beams: Vec<&'a Forbidding>,
    /// Those over the ceiling of the storey below, in the way of what comes up.
    under: Vec<&'a Forbidding>,
    /// Doors and windows in its walls and those beside them.
    openings: Vec<(WallOpeningPlan, Strip)>,
    height: f64,
    /// Whether cables may come up from under its floor, and down from over its ceiling.
    floor_void: bool,
    ceiling_void: bool,
    /// Its middle.
    middle: Position,
    work: &'a WorkBudget,
}

impl Checked<'_> {
    /// Where a point goes instead, and what from; none where it may stay, or where there is no place beside it.
    fn moved(&self, at: Position, place: PointPlace, height: f64) -> Option<(Position, MovedFrom)> {
        match place {
            PointPlace::Ceiling => {
                let (_, from) = self.over(at)?;
                Some((self.beside_on_the_ceiling(at)?, from))
            }
            PointPlace::Wall => {
                let from = self.in_the_wall(at, height)?;
                Some((self.beside_on_the_wall(at, height)?, from))
            }
            PointPlace::Floor | PointPlace::Outside => None,
        }
    }

    fn over(&self, at: Position) -> Option<(&Forbidding, MovedFrom)> {
        self.work.count(WorkPart::Plans, (self.beams.len() * STEPS_OF_A_LOOK) as u64);
        let met = self.beams.iter().find(|beam| beam.holds_overhead(at))?;
        Some((met, MovedFrom::of(met)))
    }

    /// What forbids a place on a wall: a lintel, a beam in front of it, or one through which its only cable would come.
    fn in_the_wall(&self, at: Position, height: f64) -> Option<MovedFrom> {
        let looks = self.outline.corners().len() + self.openings.len() + self.beams.len() + self.under.len();
        self.work.count(WorkPart::Plans, (looks * STEPS_OF_A_LOOK) as u64);
        let wall = self.outline.wall_at(at);
        if self
            .openings
            .iter()
            .any(|(opening, strip)| opening.holds_no_box(height) && is_in_the_wall(strip, wall, at, FACE_OFF_M_MAX))
        {
            return Some(MovedFrom::Opening);
        }
        let [over, under] =
            [&self.beams, &self.under].map(|beams| beams.iter().find(|beam| beam.holds_overhead(at)).copied());
        let shut = !(self.ceiling_void && over.is_none() || self.floor_void && under.is_none());
        let lintel = |beam: &&&Forbidding| {
            let is_one = beam.footprint.obstacle.what == ObstructionType::ConcreteLintel;
            is_one && beam.footprint.is_in_the_wall(wall, at, FACE_OFF_M_MAX)
        };
        let in_front = over.filter(|beam| shut || height > self.height - beam.depth);
        let forbids = self.beams.iter().find(lintel).copied().or(in_front).or(under.filter(|_| shut));
        forbids.map(MovedFrom::of)
    }

    /// The nearest free place along the walls; of two as near, the one nearer to the middle of the room.
    fn beside_on_the_wall(&self, at: Position, height: f64) -> Option<Position> {
        let (along, middle) = (self.outline.along(at), self.middle);
        (1..=STEPS_MAX).take_while(|_| self.work.goes_on()).find_map(|step| {
            let off = STEP_M * f64::from(step);
            let both = [along + off, along - off].map(|along| to_the_millimetre(self.outline.on_wall(along)));
            let free = both.into_iter().filter(|place| self.in_the_wall(*place, height).is_none());
            free.min_by(|a, b| straight(*a, middle).total_cmp(&straight(*b, middle)))
        })
    }

    /// Straight out from under what is over it, to the nearer side that is in the room.
    fn beside_on_the_ceiling(&self, at: Position) -> Option<Position> {
        let mut here = at;
        for _ in 0..BEAMS_PASSED_MAX {
            let Some((thing, _)) = self.over(here) else { return Some(here) };
            let strip = &thing.footprint.strip;
            let (along, off) = strip.local(here);
            let aside = (strip.half() + STEP_M).copysign(if off < 0.0 { -1.0 } else { 1.0 });
            let sides = [strip.at(along, aside), strip.at(along, -aside)].map(to_the_millimetre);
            here = sides.into_iter().find(|place| self.outline.holds(*place) && *place != at)?;
        }
        self.over(here).is_none().then_some(here)
    }
}

impl Forbidding {
    fn holds_overhead(&self, at: Position) -> bool {
        self.overhead && self.footprint.strip.holds(at)
    }
}

impl MovedFrom {
    const fn of(thing: &Forbidding) -> Self {
        match thing.footprint.obstacle.what {
            ObstructionType::ConcreteLintel => Self::Lintel,
            ObstructionType::SteelBeam
            | ObstructionType::ConcreteBeam
            | ObstructionType::ChimneyBreast
            | ObstructionType::StructuralWall
            | ObstructionType::Pipework
            | ObstructionType::Noggins
            | ObstructionType::KeptUnits
            | ObstructionType::Other => Self::Beam,
        }
    }
}
