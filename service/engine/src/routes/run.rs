//! One run: from the board through its stops, as stretches by medium and room.

use std::collections::BTreeSet;

use super::access::{Access, Opening};
use super::{Ask, BENDS, OBSTRUCTED_M, SLACK_AT_BOARD_M, SLACK_AT_BOX_M, Topology, Ways, vertical};
use crate::catalogue::{CableClass, CableSize, PointPlace};
use crate::quantities::Metres;
use crate::rate_sheet::Workbook;
use crate::site::{RoomIndex, RoomPlan, Spot};
use crate::survey::{Medium, ObstructionType, Position};
use crate::unit_rates::{Factors, Rate, Void, is_chased, laying};

/// One room of a run, with what it feeds there.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// The room.
    pub room: RoomIndex,
    /// The points.
    pub points: Vec<StopPoint>,
    /// How much of the way round the walls is this run's: the rest belongs to other circuits of the same kind.
    pub share_of_walls: f64,
}

/// Points of one kind at a stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StopPoint {
    /// Where they sit.
    pub place: PointPlace,
    /// Whether they control lights, and so drop from the ceiling.
    pub is_switch: bool,
    /// Whether two cables go up or down to each: in and out of a socket.
    pub in_and_out: bool,
    /// Centre above the floor.
    pub height: Metres,
    /// How many.
    pub count: u32,
    /// Where they stand, if it was marked.
    pub at: Option<Position>,
    /// Their entry among the points of the room; absent for an appliance without a point.
    pub entry: Option<usize>,
    /// The first of them among those of the entry.
    pub first: u32,
}

/// A stretch of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// The medium.
    pub medium: Medium,
    /// How it is to work in.
    pub void: Void,
    /// The room.
    pub room: Option<RoomIndex>,
    /// Metres of cable.
    pub metres: Metres,
    /// How much of it is slowed by something in the way.
    pub obstructed: Metres,
    /// What is in the way.
    pub obstruction: Option<ObstructionType>,
}

impl Segment {
    /// Hours and money of running a cable along it, slowed where something is in the way, as the map weighs it: for the
    /// routes that lie on no map.
    pub(crate) fn rate(&self, workbook: &Workbook, factors: &Factors, cable: CableSize) -> Rate {
        let metre = laying(workbook, factors, cable, (self.medium, self.void, self.room));
        let slowed = metre.hours * (factors.obstruction() - 1.0) * self.obstructed.value();
        let slowed = Rate { hours: slowed, money: slowed * workbook.sheet.terms.labour_rate.approximate() };
        metre.times(self.metres.value()).plus(slowed)
    }
}

/// A run from the board through its stops.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Run {
    /// Its stretches, one for each medium in each room.
    pub segments: Vec<Segment>,
    /// Metres of cable, the whole loop or the whole tree.
    pub metres: Metres,
    /// Metres to the far end, for drop and impedance.
    pub far_end: Metres,
    /// The rooms in the order in which they are visited.
    pub order: Vec<RoomIndex>,
    /// The same, stretch by stretch in the order in which the cable lies; empty where nothing was drawn.
    pub placed: Vec<PlacedSegment>,
    /// Where the way from each end to the next begins among them.
    pub legs: Vec<Leg>,
    /// The chases that it needs, where it was planned on the map.
    pub chases: Vec<Chase>,
    /// What has to be opened for it, with others or alone.
    pub openings: BTreeSet<Opening>,
    /// Why it goes so, and the next best way.
    pub why: Option<Why>,
}

/// The way from one end of a run to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Leg {
    /// Where it comes from: 0 is the start of the run, 1 its first end as it was asked for.
    pub from: usize,
    /// Where it goes.
    pub to: usize,
    /// Its first placed segment.
    pub first: usize,
}

/// A segment of a run as it lies.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedSegment {
    /// The stretch.
    pub segment: Segment,
    /// The places that it goes through.
    pub waypoints: Vec<Waypoint>,
    /// Hours and money of laying it, and of the chase that it is the first in.
    pub rate: Rate,
}

/// A place that a cable goes through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Waypoint {
    /// The level of the storey that it is shown on.
    pub level: i8,
    /// On plan.
    pub at: Position,
    /// Above the floor of that storey.
    pub height: f64,
}

/// A chase down to one point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chase {
    /// The room.
    pub room: RoomIndex,
    /// Its length.
    pub metres: f64,
    /// Whether two cables lie in it.
    pub double: bool,
}

/// Why a run goes as it does: the cheapest of all ways on the map.
#[derive(Debug, Clone, PartialEq)]
pub struct Why {
    /// What the cheapest way makes use of.
    pub reason: RouteReason,
    /// The next best way by another medium.
    pub runner_up: Option<Alternative>,
}

/// What the way of a run makes use of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RouteReason {
    /// The surface, where nothing has to be opened.
    Surface,
    /// Voids, and what is opened on the way from one to the next.
    Opened {
        /// Rooms whose floor is lifted.
        floors: Vec<RoomIndex>,
        /// Walls and slabs that are drilled.
        walls: usize,
        /// Corners that it rises in.
        corners: usize,
    },
}

impl RouteReason {
    /// What a run opens; nothing for one that is clipped along its whole length.
    pub(super) fn of(run: &Run) -> Self {
        if run.openings.is_empty() && run.segments.iter().all(|segment| segment.void == Void::Surface) {
            return Self::Surface;
        }
        let floors = run.openings.iter().filter_map(|opening| match opening {
            Opening::Floor(room) => Some(*room),
            _ => None,
        });
        let count = |of: fn(&Opening) -> bool| run.openings.iter().filter(|opening| of(opening)).count();
        Self::Opened {
            floors: floors.collect(),
            walls: count(|opening| {
                matches!(opening, Opening::Wall { .. } | Opening::Outside(_) | Opening::Slab { .. })
            }),
            corners: count(|opening| matches!(opening, Opening::Riser { .. })),
        }
    }
}

/// The next best way, against the one that was chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alternative {
    /// The medium that most of it would lie in.
    pub medium: Medium,
    /// Metres more.
    pub metres: f64,
    /// Hours more.
    pub hours: f64,
    /// Money more.
    pub money: f64,
    /// Whether it would show, or go past what must not be cut.
    pub damages: bool,
}

/// Beyond this many stops they are taken in the order of their distance instead of nearest first.
const NEAREST_FIRST_STOPS_MAX: usize = 64;

impl Ways<'_> {
    /// A run by the model of lengths, or straight along the axes; a ring comes back.
    pub(super) fn modelled(&self, from: Spot, stops: &[Stop], ring: bool) -> Run {
        let mut run = Run::default();
        let mut along = Metres::new(SLACK_AT_BOARD_M);
        let mut previous: Option<RoomIndex> = None;
        for stop in self.in_order(from, stops) {
            let room = &self.site.rooms[stop.room];
            let access = self.access(stop);
            let leg = match previous {
                None => self.to_room(from, stop.room) + self.at_board(access.rises),
                Some(before) => self.between(before, stop.room),
            };
            self.leg(from, previous, stop.room, access, leg * BENDS, &mut run);
            let within = self.within(stop, room, &access, &mut run);
            along += leg * BENDS + within;
            run.order.push(stop.room);
            previous = Some(stop.room);
        }
        run.far_end = along;
        if let (true, Some(last)) = (ring, previous) {
            let access = self.room(last).low;
            let home = self.to_room(from, last) + self.at_board(access.rises) + Metres::new(SLACK_AT_BOARD_M);
            self.leg(from, None, last, access, home * BENDS, &mut run);
        }
        if let Some(first) = run.segments.first_mut() {
            first.metres += Metres::new(SLACK_AT_BOARD_M);
        }
        run.metres = run.segments.iter().map(|segment| segment.metres).sum();
        if ring {
            run.far_end = run.metres;
        }
        run
    }

    /// A run of its own to one place, for signal wiring and bonding: plan metres and one drop or rise.
    #[must_use]
    pub fn home_run(&self, from: Spot, room: RoomIndex, height: Metres) -> Run {
        let point = StopPoint {
            place: PointPlace::Wall,
            is_switch: false,
            in_and_out: false,
            height,
            count: 1,
            at: None,
            entry: None,
            first: 0,
        };
        self.run(Ask {
            from,
            stops: &[Stop { room, points: vec![point], share_of_walls: 1.0 }],
            topology: Topology::Chain,
            cable: CableClass::Heavy,
            explained: true,
        })
    }

    /// The third core between switches of one light: across the room and down both walls.
    #[must_use]
    pub fn strapper(&self, room: RoomIndex, height: Metres, to_next_storey: bool) -> Run {
        let plan = &self.site.rooms[room];
        let access = self.room(room).high;
        let mut run = Run::default();
        let across = half_perimeter(plan) + if to_next_storey { self.rise } else { Metres::ZERO };
        run.add(access, Some(room), across * BENDS, None);
        run.down_the_wall(plan, room, vertical(plan, &access, height) * 2.0, false);
        run.metres = run.segments.iter().map(|segment| segment.metres).sum();
        run.far_end = run.metres;
        run
    }

    /// A leg from the board or the room before: half of it in the voids of each end.
    fn leg(
        &self,
        from: Spot,
        previous: Option<RoomIndex>,
        to: RoomIndex,
        access: Access,
        metres: Metres,
        run: &mut Run,
    ) {
        let obstruction = self.leg_obstruction(from, previous, to, access.medium);
        let Some(start) = previous.or(from.room).filter(|start| *start != to) else {
            run.add(access, Some(to), metres, obstruction);
            return;
        };
        let ways = self.room(start);
        let leaving = if access.rises { ways.low } else { ways.high };
        run.add(leaving, Some(start), metres * 0.5, None);
        run.add(access, Some(to), metres * 0.5, obstruction);
    }

    fn access(&self, stop: &Stop) -> Access {
        let ways = self.room(stop.room);
        let high = stop.points.iter().any(|point| point.place == PointPlace::Ceiling || point.is_switch);
        if high { ways.high } else { ways.low }
    }

    /// Nearest first from the board; the order is the same whatever order the stops came in.
    fn in_order<'s>(&self, from: Spot, stops: &'s [Stop]) -> Vec<&'s Stop> {
        let mut left: Vec<&Stop> = stops.iter().collect();
        if left.len() > NEAREST_FIRST_STOPS_MAX {
            left.sort_by(|a, b| {
                let (one, other) = (self.to_room(from, a.room), self.to_room(from, b.room));
                one.value().total_cmp(&other.value()).then(a.room.cmp(&b.room))
            });
            return left;
        }
        let mut order = Vec::with_capacity(left.len());
        let mut here: Option<RoomIndex> = None;
        while !left.is_empty() {
            let distance = |stop: &Stop| match here {
                None => self.to_room(from, stop.room).value(),
                Some(room) => self.between(room, stop.room).value(),
            };
            let nearest = left
                .iter()
                .enumerate()
                .min_by(|(_, a), (_, b)| distance(a).total_cmp(&distance(b)).then(a.room.cmp(&b.room)))
                .map_or(0, |(index, _)| index);
            let stop = left.remove(nearest);
            here = Some(stop.room);
            order.push(stop);
        }
        order
    }

    fn leg_obstruction(
        &self,
        from: Spot,
        previous: Option<RoomIndex>,
        to: RoomIndex,
        medium: Medium,
    ) -> Option<ObstructionType> {
        if self.obstructions.is_empty() {
            return None;
        }
        let room = &self.site.rooms[to];
        let start = match previous {
            None => from.at?,
            Some(before) => self.site.rooms[before].outline.as_ref()?.middle(),
        };
        self.in_the_way(room.level, start, room.outline.as_ref()?.middle(), medium)
    }

    /// Round the room, over its ceiling, and up and down its walls. Gives the metres to its farthest point.
    fn within(&self, stop: &Stop, room: &RoomPlan, access: &Access, run: &mut Run) -> Metres {
        let mut farthest_drop = Metres::ZERO;
        let mut horizontal = round_the_walls(stop, room) + over_the_ceiling(stop, room);
        for point in &stop.points {
            let cables = if point.in_and_out { 2.0 } else { 1.0 };
            let count = f64::from(point.count);
            if point.is_switch && point.place == PointPlace::Wall {
                // From the light over the middle to the door. Common practice, no source: a quarter of half the walls.
                horizontal += half_perimeter(room) * (0.5 * count);
            }
            if point.place == PointPlace::Wall {
                let one = vertical(room, access, point.height);
                run.down_the_wall(room, stop.room, one * count, point.in_and_out);
                if point.is_switch && point.in_and_out {
                    // Beside the feed in and out, the cable up to the light.
                    run.down_the_wall(room, stop.room, one * count, false);
                }
                farthest_drop = farthest_drop.max(one);
            }
            run.add(*access, Some(stop.room), Metres::new(SLACK_AT_BOX_M * cables * count), None);
        }
        run.add(*access, Some(stop.room), horizontal * BENDS, None);
        horizontal * BENDS + farthest_drop
    }
}

impl Run {
    /// Its placed segments put together by medium and room, in the order in which they are first met.
    pub(super) fn merge_legs(&mut self) {
        let mut merged: Vec<Segment> = Vec::new();
        for PlacedSegment { segment, .. } in &self.placed {
            let same = |known: &&mut Segment| {
                (known.medium, known.void, known.room) == (segment.medium, segment.void, segment.room)
            };
            match merged.iter_mut().find(same) {
                Some(known) => {
                    known.metres += segment.metres;
                    known.obstructed += segment.obstructed;
                    known.obstruction = known.obstruction.or(segment.obstruction);
                }
                None => merged.push(*segment),
            }
        }
        self.metres = merged.iter().map(|segment| segment.metres).sum();
        self.segments = merged;
    }

    /// The same as an armoured cable goes: clipped where others would be chased in, drawn behind a lining or hidden in
    /// trunking, with so much more left at its end.
    #[must_use]
    pub fn as_armoured_goes(mut self, slack: Metres) -> Self {
        for PlacedSegment { segment, .. } in &mut self.placed {
            if matches!(segment.medium, Medium::WallChase | Medium::DryLiningGap | Medium::MiniTrunking) {
                segment.medium = Medium::SurfaceClipped;
                segment.void = Void::Surface;
            } else if segment.void == Void::Trunking {
                segment.void = Void::Surface;
            }
        }
        if let Some(last) = self.placed.last_mut() {
            last.segment.metres += slack;
        }
        self.chases.clear();
        self.merge_legs();
        self
    }

    /// Whether it shows where nobody asked for that, or goes past what must not be cut.
    #[must_use]
    pub fn damages(&self, network: &super::network::Network<'_>) -> bool {
        self.placed.iter().any(|placed| {
            // Up to a point outside a cable shows as it was asked to; along the wall it is in trunking and was not.
            let shown = placed.segment.void == Void::Trunking;
            let asked = placed.segment.room.is_none_or(|room| network.site.rooms[room].surface);
            (shown && !asked) || placed.segment.obstruction.is_some_and(super::network::must_not_be_cut)
        })
    }

    /// Hours and money of laying it, its chases with it, without what is opened: the sum of its segments.
    #[must_use]
    pub fn rate(&self) -> Rate {
        self.placed.iter().fold(Rate::default(), |sum, placed| sum.plus(placed.rate))
    }

    fn add(&mut self, access: Access, room: Option<RoomIndex>, metres: Metres, obstruction: Option<ObstructionType>) {
        if metres <= Metres::ZERO {
            return;
        }
        let obstructed = if obstruction.is_some() { metres.min(Metres::new(OBSTRUCTED_M)) } else { Metres::ZERO };
        let same = self
            .segments
            .iter_mut()
            .rev()
            .take(6)
            .find(|segment| segment.medium == access.medium && segment.room == room && segment.void == access.void);
        match same {
            Some(segment) => {
                segment.metres += metres;
                segment.obstructed += obstructed;
                segment.obstruction = segment.obstruction.or(obstruction);
            }
            None => self.segments.push(Segment {
                medium: access.medium,
                void: access.void,
                room,
                metres,
                obstructed,
                obstruction,
            }),
        }
    }

    /// Up or down the wall: in a chase, behind a lining, or on the surface. Of two cables behind a lining only the first
    /// is fished; the other is drawn in with it.
    fn down_the_wall(&mut self, room: &RoomPlan, index: RoomIndex, metres: Metres, two_cables: bool) {
        if room.room_use == crate::survey::RoomUse::Outside {
            // Fed straight through the wall from inside.
            return;
        }
        let (medium, void) = if room.surface {
            (Medium::SurfaceClipped, Void::Surface)
        } else {
            match room.wall {
                wall if is_chased(wall) => (Medium::WallChase, Void::Open),
                crate::survey::Wall::Glazed => (Medium::MiniTrunking, Void::Trunking),
                crate::survey::Wall::PlasterboardOnDabs => (Medium::DryLiningGap, Void::Closed),
                _ => (Medium::StudCavity, Void::Closed),
            }
        };
        self.add(Access { medium, void, rises: false, opening: None }, Some(index), metres, None);
        if two_cables {
            let drawn_in = if void == Void::Closed { Void::Open } else { void };
            self.add(Access { medium, void: drawn_in, rises: false, opening: None }, Some(index), metres, None);
        }
    }
}

fn half_perimeter(room: &RoomPlan) -> Metres {
    room.shape.perimeter() * 0.5
}

/// Travel round the walls past every point on them: once round, less the widest gap. Points whose place is not
/// marked are spread evenly.
fn round_the_walls(stop: &Stop, room: &RoomPlan) -> Metres {
    let on_walls = || stop.points.iter().filter(|point| point.place == PointPlace::Wall && !point.is_switch);
    let perimeter = room.shape.perimeter().value();
    let mut marked: Vec<f64> = on_walls().filter_map(|point| Some(round_the_room(point.at?, room))).collect();
    let spread: u32 = on_walls().filter(|point| point.at.is_none()).map(|point| point.count).sum();
    marked.sort_by(f64::total_cmp);
    let widest_marked = widest_gap(&marked, perimeter);
    if spread == 0 {
        return Metres::new((perimeter - widest_marked).max(0.0));
    }
    // Points that are spread by rule share the walls with those of other circuits; marked ones are where they are.
    let walls = perimeter * stop.share_of_walls;
    let round_spread = walls - walls / f64::from(spread);
    Metres::new(round_spread.max(perimeter - widest_marked).max(0.0))
}

/// The widest gap between places on a loop; the whole loop where there are none.
fn widest_gap(places: &[f64], loop_length: f64) -> f64 {
    match (places.first(), places.last()) {
        (Some(first), Some(last)) => {
            let across_the_start = loop_length - last + first;
            places.windows(2).map(|pair| pair[1] - pair[0]).fold(across_the_start, f64::max)
        }
        _ => loop_length,
    }
}

/// How far round the walls a place is, from the left front corner, by its nearest wall.
fn round_the_room(at: Position, room: &RoomPlan) -> f64 {
    room.shape.along(at)
}

/// Travel over the ceiling from light to light: each has its share of the area as a square.
fn over_the_ceiling(stop: &Stop, room: &RoomPlan) -> Metres {
    let lights: u32 =
        stop.points.iter().filter(|point| point.place == PointPlace::Ceiling).map(|point| point.count).sum();
    if lights < 2 {
        return Metres::ZERO;
    }
    let pitch = (room.area.value() / f64::from(lights)).max(0.0).sqrt();
    Metres::new(pitch * f64::from(lights - 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_points_spread_round_a_sixteen_metre_room_leave_one_gap_of_four_metres() {
        assert!((widest_gap(&[0.0, 4.0, 8.0, 12.0], 16.0) - 4.0).abs() < 1e-12);
        assert!((widest_gap(&[3.0], 16.0) - 16.0).abs() < 1e-12);
        assert!((widest_gap(&[], 16.0) - 16.0).abs() < 1e-12);
    }
}
