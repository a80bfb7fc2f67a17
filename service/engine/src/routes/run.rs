//! One run: from the board through its stops, as stretches by medium and room.

use std::collections::BTreeSet;

use super::OBSTRUCTED_M;
use super::access::{Access, Opening};
use super::obstacles::Obstacle;
use crate::catalogue::{CableSize, PointPlace};
use crate::quantities::Metres;
use crate::rate_sheet::Workbook;
use crate::site::{RoomIndex, RoomPlan};
use crate::survey::{Medium, Position};
use crate::unit_rates::{Factors, Rate, Void, laying, wall_way};

/// One room of a run, with what it feeds there.
#[derive(Debug, Clone, PartialEq)]
pub struct RunStop {
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
    /// What is in the way: gone over, or passed where nothing was drawn.
    pub obstruction: Option<Obstacle>,
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
    /// Every drilled wall, slab and corner that one of its cables goes through, as often as one does.
    pub passes: Vec<Passing>,
    /// The rooms at whose points it branches.
    pub branches: Vec<RoomIndex>,
    /// The chases that it needs, where it was planned on the map.
    pub chases: Vec<Chase>,
    /// Where it goes over what must not be cut.
    pub crossings: Vec<Crossing>,
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

/// A cable of a run that goes through what was opened for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Passing {
    /// What was opened.
    pub opening: Opening,
    /// The placed segment that follows; up a corner, the one in it.
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

/// A place where a run goes over or under what must not be cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// The room in whose void it does.
    pub room: RoomIndex,
    /// The way that it lies in there.
    pub medium: Medium,
    /// What.
    pub obstacle: Obstacle,
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
    pub runner_up: Option<RouteAlternative>,
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
pub struct RouteAlternative {
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

impl Run {
    /// So many metres more, where nothing was drawn.
    pub fn lay(&mut self, room: Option<RoomIndex>, (medium, void): (Medium, Void), metres: f64) {
        let metres = Metres::new(metres);
        let same = |known: &&mut Segment| (known.medium, known.void, known.room) == (medium, void, room);
        match self.segments.iter_mut().find(same) {
            Some(known) => known.metres += metres,
            None => {
                self.segments.push(Segment { medium, void, room, metres, obstructed: Metres::ZERO, obstruction: None });
            }
        }
    }

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

    /// The same with some of its stretches clipped to a surface, each at so much more; absent where there are none.
    #[must_use]
    pub fn clipped(&self, which: impl Fn(&Segment) -> bool, more: impl Fn(&Segment) -> Rate) -> Option<Self> {
        if !self.segments.iter().any(&which) {
            return None;
        }
        let mut run = self.clone();
        for placed in run.placed.iter_mut().filter(|placed| which(&placed.segment)) {
            placed.rate = placed.rate.plus(more(&placed.segment));
            placed.segment.void = Void::Surface;
        }
        run.segments.iter_mut().filter(|segment| which(segment)).for_each(|segment| segment.void = Void::Surface);
        Some(run)
    }

    /// Whether it shows where nobody asked for that, or goes past what must not be cut.
    #[must_use]
    pub fn damages(&self, network: &super::network::Network<'_>) -> bool {
        self.placed.iter().any(|placed| {
            // Up to a point outside a cable shows as it was asked to; along the wall it is in trunking and was not.
            let shown = placed.segment.void == Void::Trunking;
            let asked = placed.segment.room.is_none_or(|room| network.site.rooms[room].surface);
            (shown && !asked) || placed.segment.obstruction.is_some_and(Obstacle::must_not_be_cut)
        })
    }

    /// Hours and money of laying it, its chases with it, without what is opened: the sum of its segments.
    #[must_use]
    pub fn rate(&self) -> Rate {
        self.placed.iter().fold(Rate::default(), |sum, placed| sum.plus(placed.rate))
    }

    pub(super) fn add(
        &mut self,
        access: Access,
        room: Option<RoomIndex>,
        metres: Metres,
        obstruction: Option<Obstacle>,
    ) {
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
    pub(super) fn down_the_wall(&mut self, room: &RoomPlan, index: RoomIndex, metres: Metres, two_cables: bool) {
        if room.room_use == crate::survey::RoomUse::Outside {
            // Fed straight through the wall from inside.
            return;
        }
        let (medium, void) = wall_way(room.surface, room.wall, true);
        self.add(Access { medium, void, rises: false, opening: None }, Some(index), metres, None);
        if two_cables {
            let (_, drawn_in) = wall_way(room.surface, room.wall, false);
            self.add(Access { medium, void: drawn_in, rises: false, opening: None }, Some(index), metres, None);
        }
    }
}
