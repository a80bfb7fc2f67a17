//! Walls made straight: what a drawing rounds or misses by millimetres is put on one line, storeys with each other.

use std::collections::BTreeSet;

use geo::{Area, LineString, Polygon, Validation};

use crate::geometry::{Position, straight};
use crate::work::{WorkBudget, WorkPart};

/// No corner moves by more along either axis.
pub const CONDITION_M_MAX: f64 = 0.01;
/// Corners this near to each other are one: above the rounding of a turned drawing, 0.7 mm a corner.
const ONE_CORNER_M: f64 = 0.001_5;
/// A corner so near to the line of its neighbours is none.
const ON_THE_LINE_M: f64 = 0.002;
/// A side is along an axis if its ends are no further apart across it, and by no more of its length.
const ASKEW_M_MAX: f64 = 0.01;
const ASKEW_SHARE_MAX: f64 = 0.1;
/// Walls with a gap like this between them are two; closer ones are one, as far as [`CONDITION_M_MAX`] allows.
const TWO_WALLS_M: f64 = 0.004;
/// A room whose area would change by more than this share is left as it was drawn.
const AREA_SHARE_MAX: f64 = 0.02;

/// An axis of the house, as a field of a position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum HouseAxis {
    X,
    Y,
}

impl HouseAxis {
    const fn of(self, at: Position) -> f64 {
        match self {
            Self::X => at.x_m,
            Self::Y => at.y_m,
        }
    }

    const fn other(self) -> Self {
        match self {
            Self::X => Self::Y,
            Self::Y => Self::X,
        }
    }

    const fn set(self, at: &mut Position, value: f64) {
        match self {
            Self::X => at.x_m = value,
            Self::Y => at.y_m = value,
        }
    }
}

/// The outlines with their walls along the axes put on common lines; skew walls keep their corners. The rings stand in the
/// axes of the house, those of all storeys together. Where the work is stopped, those left over stay as they were drawn.
#[must_use]
pub fn conditioned(rings: &[Vec<Position>], work: &WorkBudget) -> Vec<Vec<Position>> {
    let cleaned: Vec<Vec<Position>> = rings.iter().map(|ring| clean(ring)).collect();
    let mut moved = cleaned.clone();
    for across in [HouseAxis::X, HouseAxis::Y] {
        let mut walls = walls(&cleaned, across);
        walls.sort_by(|a, b| a.line.total_cmp(&b.line));
        let lines: Vec<f64> = walls.iter().map(|wall| wall.line).collect();
        for group in groups(&lines) {
            let together = &walls[group];
            let (first, last) = (together[0].line, together[together.len() - 1].line);
            let weight: f64 = together.iter().map(|wall| wall.length).sum();
            let mean = together.iter().map(|wall| wall.line * wall.length).sum::<f64>() / weight;
            // Of one line there is no mean to round.
            let line = if first == last { first } else { mean };
            for wall in together {
                let ring = &mut moved[wall.ring];
                let next = (wall.from + 1) % ring.len();
                across.set(&mut ring[wall.from], line);
                across.set(&mut ring[next], line);
            }
        }
    }
    moved
        .into_iter()
        .zip(cleaned)
        .zip(rings)
        .map(|((moved, cleaned), as_drawn)| {
            // Each side is held against each other, at most twice.
            let pairs = (as_drawn.len() * as_drawn.len()) as u64;
            if work.spend(WorkPart::Plans, 2 * pairs) { sound(moved, cleaned, as_drawn) } else { as_drawn.clone() }
        })
        .collect()
}

/// A side along one axis: where it lies across that, and which side it is.
struct Wall {
    line: f64,
    length: f64,
    ring: usize,
    from: usize,
}

fn walls(rings: &[Vec<Position>], across: HouseAxis) -> Vec<Wall> {
    let mut walls = Vec::new();
    for (index, ring) in rings.iter().enumerate() {
        for (from, start) in ring.iter().enumerate() {
            let end = ring[(from + 1) % ring.len()];
            let askew = (across.of(*start) - across.of(end)).abs();
            let length = (across.other().of(*start) - across.other().of(end)).abs();
            if askew <= ASKEW_M_MAX.min(length * ASKEW_SHARE_MAX) {
                walls.push(Wall { line: f64::midpoint(across.of(*start), across.of(end)), length, ring: index, from });
            }
        }
    }
    walls
}

/// Lines in rising order parted into walls: at every gap that tells two walls apart, and at the widest ones of what is left
/// until each reaches no further than a corner may move.
fn groups(lines: &[f64]) -> Vec<std::ops::Range<usize>> {
    let mut gaps: Vec<usize> = (1..lines.len()).collect();
    let gap = |at: usize| lines[at] - lines[at - 1];
    gaps.sort_by(|a, b| gap(*b).total_cmp(&gap(*a)).then(a.cmp(b)));
    let mut cuts = BTreeSet::from([0, lines.len()]);
    for at in gaps {
        let start = cuts.range(..at).next_back().copied().unwrap_or(0);
        let end = cuts.range(at..).next().copied().unwrap_or(lines.len());
        if gap(at) > TWO_WALLS_M || lines[end - 1] - lines[start] > CONDITION_M_MAX {
            cuts.insert(at);
        }
    }
    let cuts: Vec<usize> = cuts.into_iter().collect();
    cuts.windows(2).map(|pair| pair[0]..pair[1]).filter(|group| !group.is_empty()).collect()
}

/// Without corners that are none.
fn clean(ring: &[Position]) -> Vec<Position> {
    let mut corners: Vec<Position> = Vec::with_capacity(ring.len());
    for corner in ring {
        if corners.last().is_none_or(|last| straight(*last, *corner) > ONE_CORNER_M) {
            corners.push(*corner);
        }
    }
    while corners.len() > 3 && straight(corners[0], corners[corners.len() - 1]) <= ONE_CORNER_M {
        corners.pop();
    }
    let mut index = 0;
    while corners.len() > 3 && index < corners.len() {
        let count = corners.len();
        let (before, after) = (corners[(index + count - 1) % count], corners[(index + 1) % count]);
        if is_on_the_line(before, corners[index], after) {
            corners.remove(index);
            index = index.saturating_sub(1);
        } else {
            index += 1;
        }
    }
    corners
}

/// Whether a corner lies between its neighbours on one line.
fn is_on_the_line(before: Position, at: Position, after: Position) -> bool {
    let long = straight(before, after);
    let (dx, dy) = (after.x_m - before.x_m, after.y_m - before.y_m);
    let (x, y) = (at.x_m - before.x_m, at.y_m - before.y_m);
    let (along, aside) = (x * dx + y * dy, x * dy - y * dx);
    long > 0.0 && along > 0.0 && along < long * long && (aside / long).abs() <= ON_THE_LINE_M
}

/// The ring with its walls straight, if it is still the outline of the same room; else as it was drawn.
fn sound(moved: Vec<Position>, cleaned: Vec<Position>, as_drawn: &[Position]) -> Vec<Position> {
    let moved = clean(&moved);
    let (new, old) = (polygon(&moved), polygon(as_drawn));
    let (area, before) = (new.unsigned_area(), old.unsigned_area());
    if moved.len() > 2 && new.is_valid() && (area - before).abs() <= before * AREA_SHARE_MAX {
        return moved;
    }
    if polygon(&cleaned).is_valid() { cleaned } else { as_drawn.to_vec() }
}

fn polygon(ring: &[Position]) -> Polygon<f64> {
    let line: LineString<f64> = ring.iter().map(|corner| (corner.x_m, corner.y_m)).collect();
    Polygon::new(line, Vec::new())
}
