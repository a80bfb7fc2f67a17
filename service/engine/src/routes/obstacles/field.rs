//! The free part of a bay with something in it, and the ways through it: along the axes, round the end of what ends in the
//! room, or straight over it.

use super::{Footprint, Obstacle};
use crate::geometry::{Shape, between, straight};
use crate::survey::Position;

/// A way keeps so far from the edge of a footprint that rounding does not bring it in.
const ASIDE_M: f64 = 0.005;
/// A crossing may begin so far outside of a room: in the wall to the next one.
const IN_THE_WALL_M_MAX: f64 = 0.4;
/// Crossings that are looked at along a thing stand no further apart, and are no more than so many.
const CROSSINGS_APART_M: f64 = 1.2;
const CROSSINGS_MAX: f64 = 5.0;
/// Places that ways are looked for by, in one bay; what is recorded beyond that is gone round by none.
const PLACES_MAX: usize = 80;
/// With more things than this in one bay no way past them is looked for: what the straight one meets is named.
const CROWDED_MAX: usize = 8;
/// Metres that it is worth not to go over what must not be cut, or past anything else.
const OVER_STRUCTURE_M: f64 = 1_000.0;
const PAST_OTHERS_M: f64 = 2.0;
const NO_WAY: f64 = f64::INFINITY;
/// Further than anything that stands in a room is wide.
const FAR_M: f64 = 50.0;

/// How many things a way goes over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Crossed {
    /// Those that hold the house up.
    pub structure: u16,
    /// All others.
    pub others: u16,
}

impl Crossed {
    /// One thing.
    #[must_use]
    pub const fn one(obstacle: Obstacle) -> Self {
        if obstacle.must_not_be_cut() { Self { structure: 1, others: 0 } } else { Self { structure: 0, others: 1 } }
    }

    fn and(self, obstacle: Obstacle) -> Self {
        let one = Self::one(obstacle);
        Self { structure: self.structure + one.structure, others: self.others + one.others }
    }

    /// All of them.
    #[must_use]
    pub const fn count(self) -> u16 {
        self.structure + self.others
    }
}

/// The length of a way in a bay, and what it goes over.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Measured {
    /// Plan metres.
    pub metres: f64,
    /// What it goes over.
    pub crossed: Crossed,
}

/// A piece of a way in a bay.
#[derive(Debug, Clone, PartialEq)]
pub struct BayPiece {
    /// The places that it goes through.
    pub places: Vec<Position>,
    /// Plan metres.
    pub metres: f64,
    /// What it goes over.
    pub over: Option<Obstacle>,
}

impl BayPiece {
    /// Straight from place to place.
    #[must_use]
    pub fn through(places: Vec<Position>, over: Option<Obstacle>) -> Self {
        let metres = places.windows(2).map(|pair| straight(pair[0], pair[1])).sum();
        Self { places, metres, over }
    }
}

/// What stands in a bay, with the ways past it.
#[derive(Debug, Clone)]
pub struct Field {
    footprints: Vec<Footprint>,
    /// Places beside the footprints.
    places: Vec<Position>,
    /// From place to place: what the best way weighs, and the place that it goes by next.
    ways: Vec<(f64, usize)>,
    /// Pairs of places with a footprint between them that is gone straight over.
    crossings: Vec<(usize, usize)>,
}

/// A step of a way: along the axes by a corner, or straight over something.
#[derive(Debug, Clone, Copy)]
struct WayStep {
    to: Position,
    by: Option<Position>,
    straight_over: bool,
}

const fn over_weight(obstacle: Obstacle) -> f64 {
    if obstacle.must_not_be_cut() { OVER_STRUCTURE_M } else { PAST_OTHERS_M }
}

fn along_the_axes(from: Position, to: Position) -> f64 {
    (from.x_m - to.x_m).abs() + (from.y_m - to.y_m).abs()
}

/// The two corners of a way along the axes.
pub(crate) const fn corners(from: Position, to: Position) -> [Position; 2] {
    [Position { x_m: to.x_m, y_m: from.y_m }, Position { x_m: from.x_m, y_m: to.y_m }]
}

impl Field {
    /// Of what stands in a bay; none where nothing does.
    #[must_use]
    pub fn of(mut footprints: Vec<Footprint>, outline: &Shape, goes_round: bool) -> Option<Self> {
        footprints.sort_by(|a, b| {
            let key = |one: &Footprint| {
                let (from, to) = (one.strip.at(0.0, 0.0), one.strip.at(one.strip.length(), 0.0));
                [from.x_m, from.y_m, to.x_m, to.y_m]
            };
            let by_place = key(a).into_iter().zip(key(b)).map(|(one, other)| one.total_cmp(&other));
            by_place.fold(std::cmp::Ordering::Equal, std::cmp::Ordering::then).then(a.obstacle.cmp(&b.obstacle))
        });
        footprints.dedup_by_key(|one| {
            (one.obstacle, one.strip.at(0.0, 0.0).x_m.to_bits(), one.strip.at(0.0, 0.0).y_m.to_bits())
        });
        if footprints.is_empty() {
            return None;
        }
        let mut field = Self { footprints, places: Vec::new(), ways: Vec::new(), crossings: Vec::new() };
        if !goes_round && field.footprints.len() <= CROWDED_MAX {
            field.put_places(outline);
            field.join_places(outline);
        }
        Some(field)
    }

    /// What it takes to find the ways past so many things, in steps.
    #[must_use]
    pub const fn steps_of(things: usize, goes_round: bool) -> usize {
        if goes_round || things == 0 || things > CROWDED_MAX { things } else { PLACES_MAX * PLACES_MAX }
    }

    /// What a way takes to be found, in steps.
    #[must_use]
    pub fn steps_of_a_move(&self) -> usize {
        self.footprints.len() * (1 + self.places.len())
    }

    /// What stands in it.
    #[must_use]
    pub fn footprints(&self) -> &[Footprint] {
        &self.footprints
    }

    /// What stands at a place.
    #[must_use]
    pub fn holding(&self, at: Position) -> Option<&Footprint> {
        self.footprints.iter().find(|one| one.strip.holds(at))
    }

    fn is_met(&self, from: Position, to: Position) -> bool {
        self.footprints.iter().any(|one| one.strip.inside(from, to).is_some())
    }

    fn put_places(&mut self, outline: &Shape) {
        for index in 0..self.footprints.len() {
            let strip = self.footprints[index].strip;
            let length = strip.length();
            let count = (length / CROSSINGS_APART_M).ceil().clamp(1.0, CROSSINGS_MAX);
            let mut number = 0.0;
            while number < count && self.places.len() + 2 <= PLACES_MAX {
                let along = length * (number + 0.5) / count;
                if let Some((one, other)) = self.over(index, along, outline) {
                    self.crossings.push((self.places.len(), self.places.len() + 1));
                    self.places.extend([one, other]);
                }
                number += 1.0;
            }
            // Round its end: inside of the room only, for in the wall is its bearing.
            let round = strip.corners(ASIDE_M).into_iter().filter(|corner| outline.holds(*corner));
            let free: Vec<Position> = round.filter(|corner| self.holding(*corner).is_none()).collect();
            if self.places.len() + free.len() <= PLACES_MAX {
                self.places.extend(free);
            }
        }
    }

    /// The ends of a crossing of one footprint, straight over it and over what stands right beside it; none where the wall
    /// is in the way.
    fn over(&self, index: usize, along: f64, outline: &Shape) -> Option<(Position, Position)> {
        let strip = &self.footprints[index].strip;
        let middle = strip.at(along, 0.0);
        let [one, other] = [1.0, -1.0].map(|side| self.out_along(middle, strip.at(along, side)));
        let (one, other) = (one?, other?);
        let near = |at: Position| outline.holds(at) || outline.nearest_on_wall(at).off <= IN_THE_WALL_M_MAX;
        let inside = outline.holds(one) || outline.holds(other);
        (near(one) && near(other) && inside).then_some((one, other))
    }

    /// The first free place from one in a footprint towards another, past all that stands there.
    fn out_along(&self, from: Position, towards: Position) -> Option<Position> {
        /// Things side by side; beyond so many there is no way out.
        const SIDE_BY_SIDE_MAX: usize = 4;
        let far = between(from, towards, FAR_M / straight(from, towards).max(f64::MIN_POSITIVE));
        let mut here = from;
        for _ in 0..SIDE_BY_SIDE_MAX {
            let Some(standing) = self.holding(here) else { return Some(here) };
            let (_, leaves) = standing.strip.inside(here, far)?;
            here = between(here, far, leaves + ASIDE_M / straight(here, far).max(f64::MIN_POSITIVE));
        }
        self.holding(here).is_none().then_some(here)
    }

    /// What a straight way weighs with all that it goes over.
    fn weight(&self, from: Position, to: Position) -> f64 {
        let metres = straight(from, to);
        let over = self.footprints.iter().filter_map(|one| {
            let (enters, leaves) = one.strip.inside(from, to)?;
            // Along a thing is no crossing: as many as it is longer than the thing is wide.
            let along = (leaves - enters) * metres / (one.strip.half() * 2.0);
            Some(over_weight(one.obstacle) * along.max(1.0))
        });
        metres + over.sum::<f64>()
    }

    /// The best ways from each place to each other one. Source: Floyd, "Algorithm 97: shortest path" (1962), from memory.
    fn join_places(&mut self, outline: &Shape) {
        let count = self.places.len();
        self.ways = vec![(NO_WAY, usize::MAX); count * count];
        for one in 0..count {
            for other in 0..count {
                let (from, to) = (self.places[one], self.places[other]);
                if one == other {
                    self.ways[one * count + other] = (0.0, other);
                } else if self.clear(from, to, outline).is_some() {
                    self.ways[one * count + other] = (along_the_axes(from, to), other);
                }
            }
        }
        for (one, other) in &self.crossings {
            let over = self.weight(self.places[*one], self.places[*other]);
            for (from, to) in [(*one, *other), (*other, *one)] {
                let way = &mut self.ways[from * count + to];
                if over < way.0 {
                    *way = (over, to);
                }
            }
        }
        for by in 0..count {
            for from in 0..count {
                let (first, next) = self.ways[from * count + by];
                if first == NO_WAY {
                    continue;
                }
                for to in 0..count {
                    let by_it = first + self.ways[by * count + to].0;
                    if by_it < self.ways[from * count + to].0 {
                        self.ways[from * count + to] = (by_it, next);
                    }
                }
            }
        }
    }

    /// The corner of a way along the axes that meets nothing and stays in the room; none where there is no such way.
    fn clear(&self, from: Position, to: Position, outline: &Shape) -> Option<Position> {
        let free = |corner: &Position| !self.is_met(from, *corner) && !self.is_met(*corner, to);
        corners(from, to).into_iter().find(|corner| outline.holds_nearly(*corner) && free(corner))
    }

    /// The length of the best way from place to place, and what it goes over.
    #[must_use]
    pub fn measure(&self, from: Position, to: Position, outline: &Shape) -> Measured {
        if self.holding(from).is_none() && self.holding(to).is_none() && self.clear(from, to, outline).is_some() {
            return Measured { metres: along_the_axes(from, to), crossed: Crossed::default() };
        }
        let mut crossed = Crossed::default();
        let mut metres = 0.0;
        for piece in self.lie(from, to, outline) {
            metres += piece.metres;
            crossed = piece.over.map_or(crossed, |obstacle| crossed.and(obstacle));
        }
        Measured { metres, crossed }
    }

    /// The best way from place to place, piece by piece.
    #[must_use]
    pub fn lie(&self, from: Position, to: Position, outline: &Shape) -> Vec<BayPiece> {
        let Some(steps) = self.steps(from, to, outline) else { return self.straight_through(from, to, outline) };
        let mut pieces: Vec<BayPiece> = Vec::new();
        let mut free: Vec<Position> = vec![from];
        let mut here = from;
        for step in steps {
            if step.straight_over {
                let before = std::mem::take(&mut free);
                pieces.extend((before.len() > 1).then(|| BayPiece::through(before, None)));
                pieces.extend(cut(&[here, step.to], &self.footprints));
                free.push(step.to);
            } else {
                free.extend(step.by);
                free.push(step.to);
            }
            here = step.to;
        }
        pieces.extend((free.len() > 1).then(|| BayPiece::through(free, None)));
        pieces
    }

    /// The steps of the best way; none where there is none.
    fn steps(&self, from: Position, to: Position, outline: &Shape) -> Option<Vec<WayStep>> {
        if self.footprints.len() > CROWDED_MAX {
            return None;
        }
        let mut steps = Vec::new();
        let (mut start, mut end) = (from, to);
        if let Some(place) = self.out_of(from, outline) {
            steps.push(WayStep { to: place, by: None, straight_over: true });
            start = place;
        }
        let last = self.out_of(to, outline).map(|place| {
            end = place;
            WayStep { to, by: None, straight_over: true }
        });
        match self.clear(start, end, outline) {
            Some(corner) => steps.push(WayStep { to: end, by: Some(corner), straight_over: false }),
            None => steps.extend(self.past(start, end, outline)?),
        }
        steps.extend(last);
        Some(steps)
    }

    /// The way out of what stands at a place, if something does: straight to the nearest place in the room beside it.
    fn out_of(&self, at: Position, outline: &Shape) -> Option<Position> {
        self.holding(at)?;
        let across = self.footprints.iter().filter(|one| one.strip.holds(at)).flat_map(|one| {
            let (along, off) = one.strip.local(at);
            [1.0, -1.0].map(|side| one.strip.at(along, off + side))
        });
        let sideways = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
        let sideways = sideways.map(|(dx, dy)| Position { x_m: at.x_m + dx, y_m: at.y_m + dy });
        let ways = across.chain(sideways).filter_map(|towards| self.out_along(at, towards));
        ways.filter(|place| outline.holds(*place)).min_by(|a, b| self.weight(at, *a).total_cmp(&self.weight(at, *b)))
    }

    /// The cheapest of the ways by the places beside what stands there, and of a crossing where one of the ends faces it.
    fn past(&self, from: Position, to: Position, outline: &Shape) -> Option<Vec<WayStep>> {
        let mut best = self.by_the_places(from, to, outline);
        // Among several things a way may have to come back over one of them.
        let deep = self.footprints.len() > 1 && best.as_ref().is_none_or(|best| best.0 > 2.0 * OVER_STRUCTURE_M);
        for (index, Footprint { strip, .. }) in self.footprints.iter().enumerate() {
            for (end, from_the_left) in [(from, true), (to, true), (from, false), (to, false)] {
                if !deep && from_the_left != (strip.local(from).1 >= 0.0) {
                    continue;
                }
                let along = strip.local(end).0.clamp(0.0, strip.length());
                let Some((one, other)) = self.over(index, along, outline) else { continue };
                let (one, other) = if from_the_left { (one, other) } else { (other, one) };
                let over = self.weight(one, other);
                if best.as_ref().is_some_and(|best| best.0 <= over) {
                    continue;
                }
                let Some(first) = self.up_to(from, one, outline, deep) else { continue };
                let Some(second) = self.up_to(other, to, outline, deep) else { continue };
                let weighs = first.0 + over + second.0;
                if best.as_ref().is_none_or(|best| weighs < best.0) {
                    let crossing = WayStep { to: other, by: None, straight_over: true };
                    best = Some((weighs, first.1.into_iter().chain([crossing]).chain(second.1).collect()));
                }
            }
        }
        best.map(|(_, steps)| steps)
    }

    /// A way up to a crossing: along the axes, or by the places.
    fn up_to(&self, from: Position, to: Position, outline: &Shape, by_places: bool) -> Option<(f64, Vec<WayStep>)> {
        match self.clear(from, to, outline) {
            Some(corner) => {
                Some((along_the_axes(from, to), vec![WayStep { to, by: Some(corner), straight_over: false }]))
            }
            None if by_places => self.by_the_places(from, to, outline),
            None => None,
        }
    }

    /// The best way by the places, with what it weighs.
    fn by_the_places(&self, from: Position, to: Position, outline: &Shape) -> Option<(f64, Vec<WayStep>)> {
        let count = self.places.len();
        let reached = |end: Position| -> Vec<usize> {
            (0..count).filter(|place| self.clear(end, self.places[*place], outline).is_some()).collect()
        };
        let (starts, ends) = (reached(from), reached(to));
        let mut best = (NO_WAY, usize::MAX, usize::MAX);
        for start in &starts {
            let first = along_the_axes(from, self.places[*start]);
            for end in &ends {
                let weighs = first + self.ways[start * count + end].0 + along_the_axes(self.places[*end], to);
                if weighs < best.0 {
                    best = (weighs, *start, *end);
                }
            }
        }
        let (weighs, mut here, end) = best;
        if here == usize::MAX {
            return None;
        }
        let along =
            |from: Position, to: Position| WayStep { to, by: self.clear(from, to, outline), straight_over: false };
        let mut steps = vec![along(from, self.places[here])];
        while here != end {
            let next = self.ways[here * count + end].1;
            let (one, other) = (self.places[here], self.places[next]);
            let over = self.crossings.iter().any(|pair| *pair == (here, next) || *pair == (next, here));
            steps.push(if over { WayStep { to: other, by: None, straight_over: true } } else { along(one, other) });
            here = next;
        }
        steps.push(along(self.places[here], to));
        Some((weighs, steps))
    }

    /// Where no way was found: along the axes, clear of everything if one corner is, else with all that is met named.
    fn straight_through(&self, from: Position, to: Position, outline: &Shape) -> Vec<BayPiece> {
        let judged = corners(from, to).map(|corner| {
            let met = self.is_met(from, corner) || self.is_met(corner, to);
            (usize::from(met) * 2 + usize::from(!outline.holds(corner)), corner)
        });
        let corner = if judged[1].0 < judged[0].0 { judged[1].1 } else { judged[0].1 };
        cut(&[from, corner, to], &self.footprints)
    }
}

/// A way cut where it enters and leaves what it goes over.
#[must_use]
pub fn cut(places: &[Position], footprints: &[Footprint]) -> Vec<BayPiece> {
    let mut pieces: Vec<(Vec<Position>, Option<Obstacle>)> = Vec::new();
    for pair in places.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let inside: Vec<(f64, f64, Obstacle)> = footprints
            .iter()
            .filter_map(|one| one.strip.inside(from, to).map(|(enters, leaves)| (enters, leaves, one.obstacle)))
            .collect();
        let mut cuts: Vec<f64> =
            inside.iter().flat_map(|(enters, leaves, _)| [*enters, *leaves]).chain([0.0, 1.0]).collect();
        cuts.sort_by(f64::total_cmp);
        cuts.dedup();
        for part in cuts.windows(2) {
            let middle = (part[0] + part[1]) / 2.0;
            let over = inside.iter().find(|(enters, leaves, _)| (*enters..*leaves).contains(&middle));
            let over = over.map(|(_, _, obstacle)| *obstacle);
            let end = if part[1] >= 1.0 { to } else { between(from, to, part[1]) };
            match pieces.last_mut().filter(|last| last.1 == over) {
                Some((places, _)) => places.push(end),
                None => {
                    let start = if part[0] <= 0.0 { from } else { between(from, to, part[0]) };
                    pieces.push((vec![start, end], over));
                }
            }
        }
    }
    if pieces.is_empty() {
        pieces.push((places.to_vec(), None));
    }
    pieces.into_iter().map(|(places, over)| BayPiece::through(places, over)).collect()
}
