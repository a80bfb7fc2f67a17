//! What each wall faces: every side of a drawn room cut into pieces, each of which knows the room across it and how thick
//! the wall between them is.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use crate::geometry::{Edge, Position, Shape, TOUCHING_M};
use crate::work::{WorkBudget, WorkPart};

/// A gap between two rooms up to this is the wall between them. Common practice, no source.
pub const WALL_M_MAX: f64 = 0.6;
/// The same where either wall is stone or cob. Common practice, no source.
pub const THICK_WALL_M_MAX: f64 = 0.9;
/// Rooms that lie in each other by less face each other: a hand's breadth is an error of the drawing.
const IN_EACH_OTHER_M_MAX: f64 = 0.05;
/// Rooms this near to each other touch: four times an error of 5 mm.
pub(super) const TOUCH_M_MAX: f64 = 2.0 * TOUCHING_M;
/// Two sides face each other if they are askew by less than about 32 degrees: the cosine of it.
const FACING: f64 = 0.848;
/// Shorter pieces are crumbs of a drawing.
const PIECE_M_MIN: f64 = 0.002;
/// Sides that are held against each other; beyond, the rest is taken to face nothing. No house has a hundredth of it.
const SIDES_LOOKED_AT_MAX: u64 = 1_000_000;
/// Steps of finding what is near a side, and of holding one against another.
const STEPS_OF_A_SIDE: u64 = 40;
const STEPS_OF_A_LOOK: u64 = 3;
/// Distances are told apart by this.
const DISTANCE_M: f64 = 0.000_1;

/// A side of an outline: which outline, which side of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct WallFace {
    /// The outline.
    pub outline: usize,
    /// Its side, in the order of [`Shape::edges`].
    pub edge: usize,
}

/// What lies across a piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Across {
    /// The side that faces it.
    pub face: WallFace,
    /// Metres to it.
    pub thickness: f64,
}

impl Across {
    /// Whether the two touch: a wall drawn by its middle, or none at all.
    #[must_use]
    pub fn touches(&self) -> bool {
        self.thickness <= TOUCH_M_MAX
    }
}

/// A piece of a side: from where to where, in metres from its first corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallStretch {
    /// The side.
    pub face: WallFace,
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// What faces it; none where nothing does within the thickness of a wall.
    pub across: Option<Across>,
}

impl WallStretch {
    /// Its length.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.to - self.from
    }

    /// Where it lies, on its side.
    #[must_use]
    pub fn on(&self, side: Edge) -> Edge {
        Edge { from: side.at(self.from), to: side.at(self.to) }
    }
}

/// A side as it is looked for.
struct Side {
    face: WallFace,
    edge: Edge,
    length: f64,
    /// Its direction, of length 1. Corners go counter-clockwise: outside is to the right of it.
    along: (f64, f64),
}

impl Side {
    /// Metres along it and outward from it.
    fn local(&self, at: Position) -> (f64, f64) {
        let (x, y) = (at.x_m - self.edge.from.x_m, at.y_m - self.edge.from.y_m);
        let (ux, uy) = self.along;
        (x * ux + y * uy, x * uy - y * ux)
    }
}

/// Every side of the outlines in pieces that tile it. `reach` gives how thick the wall of each outline may be. Where the work
/// is stopped, there are no further ones.
#[must_use]
pub fn stretches(outlines: &[&Shape], reach: &[f64], (work, part): (&WorkBudget, WorkPart)) -> Vec<WallStretch> {
    let sides: Vec<Side> = outlines.iter().enumerate().flat_map(|(outline, shape)| sides(outline, shape)).collect();
    let boxes = sides.iter().enumerate().map(|(index, side)| {
        let ends = [[side.edge.from.x_m, side.edge.from.y_m], [side.edge.to.x_m, side.edge.to.y_m]];
        GeomWithData::new(Rectangle::from_corners(ends[0], ends[1]), index)
    });
    let tree = RTree::bulk_load(boxes.collect());
    let widest = reach.iter().copied().fold(0.0, f64::max);
    let mut pieces = Vec::new();
    let mut looked_at = 0;
    for side in &sides {
        if looked_at > SIDES_LOOKED_AT_MAX {
            pieces.extend(tiled(side, Vec::new()));
            continue;
        }
        let own = reach[side.face.outline];
        let mut facing: Vec<WallStretch> = Vec::new();
        let mut here = 0;
        for found in tree.locate_in_envelope_intersecting(&around(side.edge, widest)) {
            let other = &sides[found.data];
            here += 1;
            facing.extend(part_facing(side, other, own.max(reach[other.face.outline])));
        }
        looked_at += here;
        // Each of what faces it is held against what the nearer ones have left of it.
        let faced = facing.len() as u64;
        if !work.spend(part, STEPS_OF_A_SIDE + here * STEPS_OF_A_LOOK + faced * faced / 4) {
            break;
        }
        pieces.extend(tiled(side, facing));
    }
    pieces
}

fn sides(outline: usize, shape: &Shape) -> impl Iterator<Item = Side> + '_ {
    shape.edges().enumerate().map(move |(edge, line)| Side {
        face: WallFace { outline, edge },
        edge: line,
        length: line.length(),
        along: line.direction(),
    })
}

fn around(edge: Edge, by: f64) -> AABB<[f64; 2]> {
    let (from, to) = (edge.from, edge.to);
    AABB::from_corners(
        [from.x_m.min(to.x_m) - by, from.y_m.min(to.y_m) - by],
        [from.x_m.max(to.x_m) + by, from.y_m.max(to.y_m) + by],
    )
}

/// The part of a side that another one faces within the thickness of a wall.
fn part_facing(side: &Side, other: &Side, reach: f64) -> Option<WallStretch> {
    let opposed = side.along.0 * other.along.0 + side.along.1 * other.along.1;
    if opposed > -FACING || side.face == other.face {
        return None;
    }
    let ((start, near), (end, far)) = (side.local(other.edge.to), side.local(other.edge.from));
    let slope = (far - near) / (end - start).max(f64::MIN_POSITIVE);
    let off = |along: f64| near + (along - start) * slope;
    let (mut from, mut to) = (start.max(0.0), end.min(side.length));
    // Of two that are not parallel only the part where they are so near is a wall.
    for (limit, sign) in [(reach, 1.0), (-IN_EACH_OTHER_M_MAX, -1.0)] {
        let over = |along: f64| sign * (off(along) - limit);
        match (over(from) > 0.0, over(to) > 0.0) {
            (false, false) => {}
            (true, true) => return None,
            (true, false) => from = start + (limit - near) / slope,
            (false, true) => to = start + (limit - near) / slope,
        }
    }
    let thickness = off(f64::midpoint(from, to)).max(0.0);
    (to - from > PIECE_M_MIN).then_some(WallStretch {
        face: side.face,
        from,
        to,
        across: Some(Across { face: other.face, thickness }),
    })
}

/// The nearest of what faces a side at each of its places, and the stretches that nothing faces.
fn tiled(side: &Side, mut facing: Vec<WallStretch>) -> Vec<WallStretch> {
    let key = |stretch: &WallStretch| {
        let across = stretch.across.map_or(f64::INFINITY, |across| across.thickness);
        (across / DISTANCE_M).round()
    };
    let order = |a: &WallStretch, b: &WallStretch| {
        key(a).total_cmp(&key(b)).then_with(|| {
            let face = |stretch: &WallStretch| stretch.across.map(|across| across.face);
            face(a).cmp(&face(b))
        })
    };
    facing.sort_by(order);
    let mut free = vec![(0.0, side.length)];
    let mut pieces = Vec::new();
    for one in facing {
        let mut left = Vec::with_capacity(free.len() + 1);
        for (from, to) in free {
            let (start, end) = (one.from.max(from), one.to.min(to));
            if end - start <= PIECE_M_MIN {
                left.push((from, to));
                continue;
            }
            // A crumb at its end goes with it.
            let start = if start - from <= PIECE_M_MIN { from } else { start };
            let end = if to - end <= PIECE_M_MIN { to } else { end };
            pieces.push(WallStretch { from: start, to: end, ..one });
            left.extend([(from, start), (end, to)].into_iter().filter(|(from, to)| to > from));
        }
        free = left;
    }
    pieces.extend(free.into_iter().map(|(from, to)| WallStretch { face: side.face, from, to, across: None }));
    pieces.sort_by(|a, b| a.from.total_cmp(&b.from));
    pieces
}
