//! The plans of the storeys: their rooms, the walls between them, the outside, what belongs to a neighbour.

use std::collections::BTreeMap;

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::rooms::RoomPlan;
use super::storey::{FacePiece, RoomOutline, StoreyPlan};
use crate::catalogue::Catalogue;
use crate::geometry::{Edge, Position, WallSide, straight};
use crate::limits::MAPPED_ROOMS_MAX;
use crate::survey::{Dwelling, RoomUse, SiteRecord};
use crate::work::{WorkBudget, WorkPart};

/// A house shares the walls that lie so far behind the outermost one on the side of its neighbour. Common practice, no
/// source.
const BEHIND_THE_OUTERMOST_M: f64 = 1.0;
/// Corners of a house whose walls are told apart: a hundred times those of an ordinary one.
const PLANNED_CORNERS_MAX: usize = 6_000;
/// A wall with a point outside so near to it is the dwelling's own. Common practice, no source.
const OUTSIDE_POINT_M: f64 = 0.7;
/// A wall looks to a side if it is askew to it by less than about 18 degrees: the cosine of it.
const LOOKS_TO: f64 = 0.95;
/// Steps of holding one place against one side.
const STEPS_OF_A_LOOK: u64 = 4;

/// The plan of each level with drawn rooms.
pub(super) fn plans(
    site: &SiteRecord,
    rooms: &[RoomPlan],
    catalogue: &Catalogue,
    work: &WorkBudget,
) -> BTreeMap<i8, StoreyPlan> {
    let mut levels: BTreeMap<i8, Vec<RoomOutline<'_>>> = BTreeMap::new();
    for (room, plan) in rooms.iter().enumerate().filter(|(_, room)| room.is_inside()) {
        if let Some(shape) = &plan.outline {
            let usual_outside_wall_m = catalogue.outside_wall(plan.wall).value();
            let outline = RoomOutline { room, shape, wall: plan.wall, usual_outside_wall_m };
            levels.entry(plan.level).or_default().push(outline);
        }
    }
    let outside = rooms.iter().filter(|room| room.room_use == RoomUse::Outside);
    let marked: Vec<Position> = outside.flat_map(|room| &room.points).filter_map(|point| point.at).collect();
    let corners: usize = levels.values().flatten().map(|room| room.shape.corners().len()).sum();
    let is_mapped = rooms.len() <= MAPPED_ROOMS_MAX && corners <= PLANNED_CORNERS_MAX;
    let plan = |outlines: &[RoomOutline<'_>]| {
        // Of a building too large for a map, or drawn like lace, nobody asks for more than its outline.
        let mut plan =
            if is_mapped { StoreyPlan::of(outlines, &marked, work) } else { StoreyPlan::undivided(outlines, work) };
        if !site.party_walls.is_empty() {
            let party = PartyWalls::of(site, outlines, (rooms, &marked), work);
            plan.shared_with_a_neighbour(|piece| party.has(piece));
        }
        plan
    };
    levels.into_iter().map(|(level, outlines)| (level, plan(&outlines))).collect()
}

/// Which walls of a storey are shared with a neighbour.
struct PartyWalls<'a> {
    is_a_flat: bool,
    /// The sides on which there is one, and how far the storey reaches there.
    sides: Vec<(WallSide, f64)>,
    rooms: &'a [RoomPlan],
    /// The sides of the rooms of the storey.
    walls: RTree<GeomWithData<Rectangle<[f64; 2]>, Edge>>,
    /// Where points outside were marked.
    marked: RTree<[f64; 2]>,
    work: &'a WorkBudget,
}

impl<'a> PartyWalls<'a> {
    fn of(
        site: &SiteRecord,
        outlines: &[RoomOutline<'_>],
        (rooms, marked): (&'a [RoomPlan], &[Position]),
        work: &'a WorkBudget,
    ) -> Self {
        let outermost = |side: WallSide| {
            let corners = outlines.iter().flat_map(|room| room.shape.corners());
            corners.map(|corner| towards(side, *corner)).fold(f64::NEG_INFINITY, f64::max)
        };
        let walls = outlines.iter().flat_map(|room| room.shape.edges()).map(|edge| {
            let ends = [[edge.from.x_m, edge.from.y_m], [edge.to.x_m, edge.to.y_m]];
            GeomWithData::new(Rectangle::from_corners(ends[0], ends[1]), edge)
        });
        Self {
            is_a_flat: site.dwelling.is_some_and(Dwelling::shares_its_floors),
            sides: site.party_walls.iter().map(|side| (*side, outermost(*side))).collect(),
            rooms,
            walls: RTree::bulk_load(walls.collect()),
            marked: RTree::bulk_load(marked.iter().map(|at| [at.x_m, at.y_m]).collect()),
            work,
        }
    }

    /// Whether a piece of an outside wall is one of them.
    fn has(&self, piece: &FacePiece) -> bool {
        const STEPS_OF_A_PIECE: u64 = 60;
        if !self.work.spend(WorkPart::Plans, STEPS_OF_A_PIECE) {
            return false;
        }
        let middle = piece.line.beside_its_middle(0.0);
        let looks = |(side, outermost): &(WallSide, f64)| {
            let within = self.is_a_flat || outermost - towards(*side, middle) <= BEHIND_THE_OUTERMOST_M;
            within && looks_to(*side, piece) && !self.sees_a_room(*side, middle)
        };
        self.sides.iter().any(looks) && !self.has_a_point_outside(piece) && !self.has_an_opening(piece)
    }

    fn has_a_point_outside(&self, piece: &FacePiece) -> bool {
        let (from, to) = (piece.line.from, piece.line.to);
        let round = AABB::from_corners(
            [from.x_m.min(to.x_m) - OUTSIDE_POINT_M, from.y_m.min(to.y_m) - OUTSIDE_POINT_M],
            [from.x_m.max(to.x_m) + OUTSIDE_POINT_M, from.y_m.max(to.y_m) + OUTSIDE_POINT_M],
        );
        self.marked.locate_in_envelope_intersecting(&round).any(|at| {
            self.work.count(WorkPart::Plans, STEPS_OF_A_LOOK);
            let at = Position { x_m: at[0], y_m: at[1] };
            straight(piece.line.at(piece.line.nearest(at)), at) < OUTSIDE_POINT_M
        })
    }

    /// Whether the straight look from a wall to a side meets a room of the storey.
    fn sees_a_room(&self, side: WallSide, from: Position) -> bool {
        /// Nearer than this is the wall that one looks from.
        const BEYOND_M: f64 = 0.05;
        let (here, line) = facing(side, from);
        let mut look = [[from.x_m, from.y_m]; 2];
        match side {
            WallSide::Front => look[1][1] = f64::MIN,
            WallSide::Back => look[1][1] = f64::MAX,
            WallSide::Left => look[1][0] = f64::MIN,
            WallSide::Right => look[1][0] = f64::MAX,
        }
        self.walls.locate_in_envelope_intersecting(&AABB::from_corners(look[0], look[1])).any(|wall| {
            self.work.count(WorkPart::Plans, STEPS_OF_A_LOOK);
            let ((one, from), (other, to)) = (facing(side, wall.data.from), facing(side, wall.data.to));
            let crosses = (from - line) * (to - line) < 0.0;
            crosses && one + (other - one) * (line - from) / (to - from) > here + BEYOND_M
        })
    }

    fn has_an_opening(&self, piece: &FacePiece) -> bool {
        /// On the face of the wall.
        const ON_IT_M: f64 = 0.05;
        let openings = &self.rooms[piece.face.outline].openings;
        self.work.count(WorkPart::Plans, STEPS_OF_A_LOOK * openings.len() as u64);
        openings.iter().map(|opening| opening.line.beside_its_middle(0.0)).any(|at| {
            let along = piece.line.nearest(at);
            straight(piece.line.at(along), at) < ON_IT_M
        })
    }
}

/// How far a place lies to a side.
pub(super) const fn towards(side: WallSide, at: Position) -> f64 {
    match side {
        WallSide::Front => -at.y_m,
        WallSide::Back => at.y_m,
        WallSide::Left => -at.x_m,
        WallSide::Right => at.x_m,
    }
}

/// The same place with the way to a side as its first axis.
const fn facing(side: WallSide, at: Position) -> (f64, f64) {
    match side {
        WallSide::Front | WallSide::Back => (towards(side, at), at.x_m),
        WallSide::Left | WallSide::Right => (towards(side, at), at.y_m),
    }
}

fn looks_to(side: WallSide, piece: &FacePiece) -> bool {
    let (dx, dy) = piece.line.direction();
    let outward = Position { x_m: dy, y_m: -dx };
    towards(side, outward) > LOOKS_TO
}
