//! Shared walls cut where something stands in them: free parts, and parts that are gone straight over.

use super::MapDrawing;
use crate::geometry::Edge;
use crate::routes::map::{BayIndex, Gate, OpeningIndex};
use crate::routes::obstacles::{CLEAR_M, Footprint};
use crate::routes::walls::SHARED_M_MIN;
use crate::survey::Position;

/// Where a beam lies along a wall, it is gone over this far from the ends of its span. Common practice, no source.
const FROM_ITS_ENDS_M: f64 = 0.05;

impl MapDrawing<'_> {
    /// One shared wall: split where something stands in it.
    pub(super) fn gate(&mut self, bays: [BayIndex; 2], stretch: Edge, opening: Option<OpeningIndex>) {
        let standing = self.standing(bays);
        let gap = self.map.bays[bays[1]].outline.nearest_on_wall(stretch.at(stretch.length() / 2.0)).off;
        for part in free_parts(stretch, gap, &standing) {
            self.map.add_gate(Gate::free(bays, part, opening));
        }
        for (index, one) in standing.iter().enumerate() {
            let others: Vec<Footprint> =
                standing.iter().enumerate().filter(|(other, _)| *other != index).map(|(_, one)| *one).collect();
            for stretches in self.straight_over(bays, stretch, one, &others) {
                self.map.add_gate(Gate { bays, stretches, opening, over: Some(one.obstacle) });
            }
        }
    }

    /// What stands in either of two bays, each thing once.
    fn standing(&self, bays: [BayIndex; 2]) -> Vec<Footprint> {
        let fields = bays.iter().filter_map(|bay| self.map.bays[*bay].field.as_ref());
        let mut standing: Vec<Footprint> = fields.flat_map(|field| field.footprints()).copied().collect();
        standing.sort_by_key(|one| one.obstacle);
        standing.dedup_by_key(|one| one.obstacle);
        standing
    }

    /// Where something that lies along a wall is gone straight over: its two sides, the first in the first bay.
    fn straight_over(
        &self,
        bays: [BayIndex; 2],
        stretch: Edge,
        one: &Footprint,
        others: &[Footprint],
    ) -> Vec<[Edge; 2]> {
        /// Askew by more than this it does not lie along the wall.
        const ALONG: f64 = 0.95;
        let strip = &one.strip;
        let ((ux, uy), (dx, dy)) = (strip.direction(), stretch.direction());
        let Some((enters, leaves)) = strip.inside(stretch.from, stretch.to) else { return Vec::new() };
        if (ux * dx + uy * dy).abs() < ALONG {
            return Vec::new();
        }
        let along = [enters, leaves].map(|share| strip.local(stretch.at(stretch.length() * share)).0);
        let least = along[0].min(along[1]).max(FROM_ITS_ENDS_M);
        let most = along[0].max(along[1]).min(strip.length() - FROM_ITS_ENDS_M);
        if most - least < SHARED_M_MIN {
            return Vec::new();
        }
        let middle = self.map.bays[bays[0]].outline.middle();
        let off = (strip.half() + CLEAR_M).copysign(strip.local(middle).1);
        let side = |off: f64| Edge { from: strip.at(least, off), to: strip.at(most, off) };
        let [near, far] = [side(off), side(-off)];
        let taken = others.iter().flat_map(|other| {
            let across = other.strip.inside(near.from, far.from).map(|_| (0.0, SHARED_M_MIN));
            [near, far]
                .map(|edge| other.strip.inside(edge.from, edge.to))
                .into_iter()
                .flatten()
                .map(|(from, to)| (near.length() * from, near.length() * to))
                .chain(across)
        });
        let parts = left_over(near.length(), taken.collect());
        parts
            .into_iter()
            .map(|(from, to)| [near, far].map(|edge| Edge { from: edge.at(from), to: edge.at(to) }))
            .collect()
    }
}

/// The parts of a wall that nothing stands in, right through to the next room.
fn free_parts(stretch: Edge, gap: f64, standing: &[Footprint]) -> Vec<Edge> {
    let length = stretch.length();
    // Corners go counter-clockwise: the next room is on the right of a wall.
    let (dx, dy) = stretch.direction();
    let aside = |at: Position, off: f64| Position { x_m: at.x_m + dy * off, y_m: at.y_m - dx * off };
    let lines = [-CLEAR_M, 0.0, gap / 2.0, gap, gap + CLEAR_M];
    let lines = lines.map(|off| (aside(stretch.from, off), aside(stretch.to, off)));
    let inside = standing.iter().flat_map(|one| lines.map(|(from, to)| one.strip.inside(from, to))).flatten();
    let taken: Vec<(f64, f64)> = inside.map(|(enters, leaves)| (enters * length, leaves * length)).collect();
    if taken.is_empty() {
        return vec![stretch];
    }
    left_over(length, taken).into_iter().map(|(from, to)| Edge { from: stretch.at(from), to: stretch.at(to) }).collect()
}

/// What is left of a length where parts of it are taken; nothing shorter than a hole wants.
fn left_over(length: f64, mut taken: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    taken.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut left = Vec::new();
    let mut free_from = 0.0_f64;
    for (start, end) in taken.into_iter().chain([(length, length)]) {
        if start - free_from >= SHARED_M_MIN {
            left.push((free_from, start));
        }
        free_from = free_from.max(end);
    }
    left
}
