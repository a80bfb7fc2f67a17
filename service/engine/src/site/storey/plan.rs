//! One plan of a storey: its rooms, the walls between them with their thickness, what was left undrawn, the outside.

use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{Area, BooleanOps, BoundingRect, Buffer, Intersects, MultiPolygon, Polygon, unary_union};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::faces::{Across, THICK_WALL_M_MAX, TOUCH_M_MAX, WALL_M_MAX, WallFace, stretches};
use crate::geometry::{Edge, Position, Shape, straight};
use crate::survey::Wall;
use crate::work::{WorkBudget, WorkPart};

/// A place so far outside of a wall says what is there: less than any wall is thick.
const OUTSIDE_OF_M: f64 = 0.03;
/// The plan is shut where walls are, and a little more.
const SHUT_MORE_M: f64 = 0.005;
/// Corners sharper than 60 degrees are cut when a wall is drawn round them.
const MITRE: LineJoin<f64> = LineJoin::Miter(std::f64::consts::FRAC_PI_3);
/// What was left undrawn and is smaller is a crumb. In m2.
const CRUMB_M2: f64 = 0.01;
/// What was left undrawn is asked about from this area on. In m2.
const ASKED_M2_MIN: f64 = 0.05;
/// Of the walls that rooms share, drawn by their middle if more than this touch, else by their faces.
const BY_THE_MIDDLE_MIN: f64 = 0.7;
/// A place on the outer face of a wall is so far from its inner one, in metres.
const OUTER_FACE_M: (f64, f64) = (0.05, 0.9);

/// A room as it stands in the plan of its storey.
#[derive(Debug, Clone, Copy)]
pub struct RoomOutline<'a> {
    /// Its number, by which the plan calls it.
    pub room: usize,
    /// By its inner faces.
    pub shape: &'a Shape,
    /// What its walls are made of.
    pub wall: Wall,
    /// How thick an outside wall of this fabric usually is.
    pub usual_outside_wall_m: f64,
}

/// What is beyond a piece of a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Beyond {
    /// Another room, or another wall of the same, across a wall so thick.
    Room(Across),
    /// The same room or the next, with nothing between.
    Open(Across),
    /// A wall that comes up to this one.
    WallEnd,
    /// A part of the storey that nobody drew, by its place in [`StoreyPlan::unknown`].
    Unknown(usize),
    /// Another dwelling.
    OtherDwelling,
    /// The open air.
    Outside,
}

/// A piece of a wall of a room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FacePiece {
    /// The room, by its number, and its side.
    pub face: WallFace,
    /// Where on plan.
    pub line: Edge,
    /// What is beyond.
    pub beyond: Beyond,
}

/// How a storey was drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrawnBy {
    /// Rooms by their inner faces: the gaps between them are walls, and where they touch there is none.
    Faces,
    /// Rooms by the middle of their walls: where they touch there is a wall.
    MiddleOfWalls,
}

/// A storey on plan.
#[derive(Debug, Clone, PartialEq)]
pub struct StoreyPlan {
    /// Every wall of every room in pieces, in the order of rooms and sides.
    pub faces: Vec<FacePiece>,
    /// How it was drawn.
    pub drawn_by: DrawnBy,
    /// Rooms and the walls between them.
    pub closed: MultiPolygon<f64>,
    /// What nobody drew, with rooms round it: a duct, a light well, a stair.
    pub unknown: Vec<Polygon<f64>>,
    /// How thick its outside walls are.
    pub outside_wall_m: f64,
    /// The outer faces of these, one ring for each part of the house that stands apart.
    pub outside: Vec<Shape>,
    /// How far from a room a place may lie and still be in the walls round it.
    pub in_the_walls_m: f64,
}

/// How thick the wall round a room may be.
#[must_use]
pub const fn reach(wall: Wall) -> f64 {
    if matches!(wall, Wall::StoneRubble | Wall::Cob) { THICK_WALL_M_MAX } else { WALL_M_MAX }
}

impl StoreyPlan {
    /// The plan of rooms that stand on one storey. `outside` are places on its outer face, where some were marked. Where the
    /// work is stopped, it is not whole.
    #[must_use]
    pub fn of(rooms: &[RoomOutline<'_>], outside: &[Position], work: &WorkBudget) -> Self {
        let shapes: Vec<&Shape> = rooms.iter().map(|room| room.shape).collect();
        let reaches: Vec<f64> = rooms.iter().map(|room| reach(room.wall)).collect();
        let pieces = stretches(&shapes, &reaches, (work, WorkPart::Plans));
        let (mut touching, mut apart) = (0.0, 0.0);
        for (across, length) in pieces.iter().filter_map(|piece| Some((piece.across?, piece.length()))) {
            *(if across.touches() { &mut touching } else { &mut apart }) += length;
        }
        let by_the_middle = apart <= 0.0 || touching >= BY_THE_MIDDLE_MIN * (touching + apart);
        let together = together(rooms, work);
        let widest = reaches.iter().copied().fold(0.0, f64::max);
        let has_gaps = apart > 0.0 || together.0.len() > 1 || together.iter().any(|part| !part.interiors().is_empty());
        let closed = if has_gaps { shut(&together, widest, work) } else { together };
        let unknown: Vec<Polygon<f64>> = holes(&closed).filter(|hole| hole.unsigned_area() > CRUMB_M2).collect();
        let numbered = |face: WallFace| WallFace { outline: rooms[face.outline].room, ..face };
        let sorted = Sorted::new(has_gaps, &closed, &unknown, work);
        let faces: Vec<FacePiece> = pieces
            .iter()
            .take_while(|_| work.goes_on())
            .map(|piece| {
                let side = shapes[piece.face.outline].edge(piece.face.edge);
                let line = piece.on(side);
                let across = piece.across.map(|across| Across { face: numbered(across.face), ..across });
                let beyond = match across {
                    Some(across) if across.touches() && !by_the_middle => Beyond::Open(across),
                    Some(across) => Beyond::Room(across),
                    None => sorted.left_over(line, reaches[piece.face.outline]),
                };
                FacePiece { face: numbered(piece.face), line, beyond }
            })
            .collect();
        let drawn_by = if by_the_middle { DrawnBy::MiddleOfWalls } else { DrawnBy::Faces };
        let outside_wall_m = outside_wall(&faces, outside, work).unwrap_or_else(|| match drawn_by {
            DrawnBy::MiddleOfWalls => 0.0,
            DrawnBy::Faces => usual_outside_wall(rooms),
        });
        let outer = if outside_wall_m > 0.0 { grown(&closed, outside_wall_m, work) } else { closed.clone() };
        let in_the_walls_m = if has_gaps { widest / 2.0 } else { TOUCH_M_MAX };
        let outside = Shape::outlines(&outer);
        Self { faces, drawn_by, closed, unknown, outside_wall_m, outside, in_the_walls_m }
    }

    /// The same with nothing but its outline: for a building that nobody asks more of.
    #[must_use]
    pub fn undivided(rooms: &[RoomOutline<'_>], work: &WorkBudget) -> Self {
        let closed = together(rooms, work);
        Self {
            faces: Vec::new(),
            drawn_by: DrawnBy::MiddleOfWalls,
            outside: Shape::outlines(&closed),
            closed,
            unknown: Vec::new(),
            outside_wall_m: 0.0,
            in_the_walls_m: TOUCH_M_MAX,
        }
    }

    /// The pieces with the open air beyond.
    pub fn outer_pieces(&self) -> impl Iterator<Item = &FacePiece> {
        self.faces.iter().filter(|piece| piece.beyond == Beyond::Outside)
    }

    /// What nobody drew and has to be asked about.
    pub fn asked_about(&self) -> impl Iterator<Item = &Polygon<f64>> {
        self.unknown.iter().filter(|part| part.unsigned_area() >= ASKED_M2_MIN)
    }

    /// Gives the pieces that look to a neighbour away to him.
    pub(in crate::site) fn shared_with_a_neighbour(&mut self, is_his: impl Fn(&FacePiece) -> bool) {
        for piece in self.faces.iter_mut().filter(|piece| piece.beyond == Beyond::Outside) {
            if is_his(piece) {
                piece.beyond = Beyond::OtherDwelling;
            }
        }
    }
}

/// Steps that it takes to join or to grow outlines, for each of their corners.
const STEPS_OF_A_CORNER: u64 = 60;

/// Counts the corners of what is joined or grown next, and says whether it is.
fn goes_on(parts: &MultiPolygon<f64>, work: &WorkBudget) -> bool {
    let corners =
        parts.iter().flat_map(|part| part.interiors().iter().chain([part.exterior()])).map(|ring| ring.0.len());
    work.spend(WorkPart::Plans, corners.sum::<usize>() as u64 * STEPS_OF_A_CORNER)
}

/// All rooms as one.
fn together(rooms: &[RoomOutline<'_>], work: &WorkBudget) -> MultiPolygon<f64> {
    let corners: usize = rooms.iter().map(|room| room.shape.corners().len()).sum();
    if !work.spend(WorkPart::Plans, corners as u64 * STEPS_OF_A_CORNER) {
        return MultiPolygon(Vec::new());
    }
    unary_union(rooms.iter().map(|room| room.shape.polygon()))
}

/// Rooms with the gaps between them shut: grown and shrunk again by half of the widest wall.
fn shut(together: &MultiPolygon<f64>, widest: f64, work: &WorkBudget) -> MultiPolygon<f64> {
    let by = widest / 2.0 + SHUT_MORE_M;
    let shut = grown(&grown(together, by, work), -by, work);
    if !goes_on(&shut, work) {
        return shut;
    }
    let whole = shut.union(together);
    MultiPolygon(whole.into_iter().filter(|part| part.unsigned_area() > CRUMB_M2).collect())
}

fn grown(closed: &MultiPolygon<f64>, by: f64, work: &WorkBudget) -> MultiPolygon<f64> {
    if !goes_on(closed, work) {
        return closed.clone();
    }
    closed.buffer_with_style(BufferStyle::new(by).line_join(MITRE))
}

fn holes(closed: &MultiPolygon<f64>) -> impl Iterator<Item = Polygon<f64>> + '_ {
    closed.iter().flat_map(|part| part.interiors()).map(|ring| Polygon::new(ring.clone(), Vec::new()))
}

/// What there is on plan beside the rooms.
struct Sorted<'a> {
    has_gaps: bool,
    closed: &'a MultiPolygon<f64>,
    corners: u64,
    unknown: &'a [Polygon<f64>],
    where_unknown: RTree<Marked>,
    work: &'a WorkBudget,
}

/// A rectangle with the number of what lies in it.
type Marked = GeomWithData<Rectangle<[f64; 2]>, usize>;

impl<'a> Sorted<'a> {
    fn new(has_gaps: bool, closed: &'a MultiPolygon<f64>, unknown: &'a [Polygon<f64>], work: &'a WorkBudget) -> Self {
        let boxes = unknown.iter().enumerate().filter_map(|(index, part)| {
            let round = part.bounding_rect()?;
            let rectangle = Rectangle::from_corners([round.min().x, round.min().y], [round.max().x, round.max().y]);
            Some(GeomWithData::new(rectangle, index))
        });
        let where_unknown = RTree::bulk_load(boxes.collect());
        let rings = closed.iter().flat_map(|part| part.interiors().iter().chain([part.exterior()]));
        let corners = rings.map(|ring| ring.0.len() as u64).sum();
        Self { has_gaps, closed, corners, unknown, where_unknown, work }
    }

    /// What is beyond a stretch of wall that faces no other.
    fn left_over(&self, line: Edge, reach: f64) -> Beyond {
        if !self.has_gaps {
            return Beyond::Outside;
        }
        let at = line.beside_its_middle(OUTSIDE_OF_M);
        let at = geo::Coord { x: at.x_m, y: at.y_m };
        if let Some(index) = self.unknown_at(at) {
            return Beyond::Unknown(index);
        }
        if line.length() > reach {
            return Beyond::Outside;
        }
        self.work.count(WorkPart::Plans, self.corners);
        if self.closed.intersects(&at) { Beyond::WallEnd } else { Beyond::Outside }
    }

    fn unknown_at(&self, at: geo::Coord<f64>) -> Option<usize> {
        let near = self.where_unknown.locate_in_envelope_intersecting(&AABB::from_point([at.x, at.y]));
        let holding = near.map(|found| found.data).filter(|index| {
            self.work.count(WorkPart::Plans, self.unknown[*index].exterior().0.len() as u64);
            self.unknown[*index].intersects(&at)
        });
        holding.min()
    }
}

/// How thick the outside walls are, read off the places on their outer face: the median.
fn outside_wall(faces: &[FacePiece], outside: &[Position], work: &WorkBudget) -> Option<f64> {
    const STEPS_OF_A_PLACE: u64 = 40;
    const STEPS_OF_A_PIECE: u64 = 6;
    if outside.is_empty() {
        return None;
    }
    let outer = faces.iter().enumerate().filter(|(_, piece)| piece.beyond == Beyond::Outside);
    let boxes = outer.map(|(index, piece)| {
        let (from, to) = (piece.line.from, piece.line.to);
        GeomWithData::new(Rectangle::from_corners([from.x_m, from.y_m], [to.x_m, to.y_m]), index)
    });
    let tree: RTree<Marked> = RTree::bulk_load(boxes.collect());
    // What is further off than an outer face may be is read as nothing, so that it need not be found.
    let off = |at: &Position| {
        let by = OUTER_FACE_M.1 + SHUT_MORE_M;
        let near = AABB::from_corners([at.x_m - by, at.y_m - by], [at.x_m + by, at.y_m + by]);
        let mut steps = STEPS_OF_A_PLACE;
        let pieces = tree.locate_in_envelope_intersecting(&near).map(|found| &faces[found.data]);
        let off = pieces.map(|piece| {
            steps += STEPS_OF_A_PIECE;
            straight(piece.line.at(piece.line.nearest(*at)), *at)
        });
        let nearest = off.fold(f64::INFINITY, f64::min);
        work.count(WorkPart::Plans, steps);
        nearest
    };
    let mut read: Vec<f64> = outside.iter().take_while(|_| work.goes_on()).map(off).collect();
    read.retain(|off| (OUTER_FACE_M.0..=OUTER_FACE_M.1).contains(off));
    read.sort_by(f64::total_cmp);
    let upper = *read.get(read.len() / 2)?;
    let lower = read[(read.len() - 1) / 2];
    Some(f64::midpoint(lower, upper))
}

/// How thick outside walls of these fabrics are, weighed by the length of the rooms round which they stand.
fn usual_outside_wall(rooms: &[RoomOutline<'_>]) -> f64 {
    let (sum, round) = rooms.iter().fold((0.0, 0.0), |(sum, round), room| {
        let own = room.shape.perimeter().value();
        (sum + own * room.usual_outside_wall_m, round + own)
    });
    if round > 0.0 { sum / round } else { 0.0 }
}
