//! The plans of the storeys: their rooms, the walls between them, the outside, what belongs to a neighbour.

use std::collections::BTreeMap;

use super::rooms::RoomPlan;
use super::storey::{FacePiece, RoomOutline, StoreyPlan};
use crate::catalogue::Catalogue;
use crate::geometry::{Position, Shape, WallSide, straight};
use crate::limits::MAPPED_ROOMS_MAX;
use crate::survey::{Dwelling, RoomUse, SiteRecord};

/// A house shares the walls that lie so far behind the outermost one on the side of its neighbour. Common practice, no
/// source.
const BEHIND_THE_OUTERMOST_M: f64 = 1.0;
/// Corners of a house whose walls are told apart: a hundred times those of an ordinary one.
const PLANNED_CORNERS_MAX: usize = 6_000;
/// A wall with a point outside so near to it is the dwelling's own. Common practice, no source.
const OUTSIDE_POINT_M: f64 = 0.7;
/// A wall looks to a side if it is askew to it by less than about 18 degrees: the cosine of it.
const LOOKS_TO: f64 = 0.95;

/// The plan of each level with drawn rooms.
pub(super) fn plans(site: &SiteRecord, rooms: &[RoomPlan], catalogue: &Catalogue) -> BTreeMap<i8, StoreyPlan> {
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
        let mut plan = if is_mapped { StoreyPlan::of(outlines, &marked) } else { StoreyPlan::undivided(outlines) };
        let outermost = |side: WallSide| {
            let corners = outlines.iter().flat_map(|room| room.shape.corners());
            corners.map(|corner| towards(side, *corner)).fold(f64::NEG_INFINITY, f64::max)
        };
        let is_a_flat = site.dwelling.is_some_and(Dwelling::shares_its_floors);
        let sides: Vec<(WallSide, f64)> = site.party_walls.iter().map(|side| (*side, outermost(*side))).collect();
        plan.shared_with_a_neighbour(|piece| {
            let middle = piece.line.beside_its_middle(0.0);
            let near = |at: &Position| straight(piece.line.at(piece.line.nearest(*at)), *at) < OUTSIDE_POINT_M;
            let looks = |(side, outermost): &(WallSide, f64)| {
                let within = is_a_flat || outermost - towards(*side, middle) <= BEHIND_THE_OUTERMOST_M;
                within && looks_to(*side, piece) && !sees_a_room(*side, middle, outlines)
            };
            sides.iter().any(looks) && !marked.iter().any(near) && !has_an_opening(piece, rooms)
        });
        plan
    };
    levels.into_iter().map(|(level, outlines)| (level, plan(&outlines))).collect()
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

/// Whether the straight look from a wall to a side meets a room of the storey.
fn sees_a_room(side: WallSide, from: Position, rooms: &[RoomOutline<'_>]) -> bool {
    /// Nearer than this is the wall that one looks from.
    const BEYOND_M: f64 = 0.05;
    let (here, line) = facing(side, from);
    let meets = |shape: &Shape| {
        shape.edges().any(|edge| {
            let ((one, from), (other, to)) = (facing(side, edge.from), facing(side, edge.to));
            let crosses = (from - line) * (to - line) < 0.0;
            crosses && one + (other - one) * (line - from) / (to - from) > here + BEYOND_M
        })
    };
    rooms.iter().any(|room| meets(room.shape))
}

fn has_an_opening(piece: &FacePiece, rooms: &[RoomPlan]) -> bool {
    /// On the face of the wall.
    const ON_IT_M: f64 = 0.05;
    let on_it = |at: Position| {
        let along = piece.line.nearest(at);
        straight(piece.line.at(along), at) < ON_IT_M
    };
    rooms[piece.face.outline].openings.iter().any(|opening| on_it(opening.line.beside_its_middle(0.0)))
}
