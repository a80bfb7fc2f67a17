//! The way of one cable put together, segment by segment.

use super::{CablesAtEnd, Laying};
use crate::quantities::Metres;
use crate::routes::map::BayIndex;
use crate::routes::network::End;
use crate::routes::obstacles::BayPiece;
use crate::routes::run::{Crossing, PlacedSegment, Run, Segment, Waypoint};
use crate::routes::survey_map::riser_cable;
use crate::routes::{BENDS, OBSTRUCTED_M, SLACK_AT_BOX_M};
use crate::survey::{Medium, Position};
use crate::unit_rates::{Rate, Void, wall_way};

/// Draws segments one after the other.
pub(super) struct PathPen<'p, 'n, 'a> {
    pub(super) laying: &'p Laying<'n, 'a>,
    pub(super) run: &'p mut Run,
    pub(super) here: Position,
    /// Metres that are added to the next stretch: up at the board, and what is left there.
    pub(super) extra: f64,
    /// The place at the board that the next stretch comes from.
    pub(super) lead: Option<Waypoint>,
}

impl PathPen<'_, '_, '_> {
    pub(super) fn along(&mut self, bay: BayIndex, to: Position) {
        let laying = self.laying;
        let pieces = laying.network.map.bays[bay].lie(self.here, to);
        let mut lead: Vec<Waypoint> = self.lead.take().into_iter().collect();
        let mut extra = std::mem::take(&mut self.extra);
        let last = pieces.len() - 1;
        for (number, piece) in pieces.into_iter().enumerate() {
            // What is left at the board, and the way up there, lie in no crossing; after one, they come with the next piece.
            let own = if piece.over.is_none() || number == last { std::mem::take(&mut extra) } else { 0.0 };
            self.piece(bay, &piece, own, &mut lead);
        }
        self.here = to;
    }

    /// Through a gate; straight over what stands in it.
    pub(super) fn through_the_wall(&mut self, bay: BayIndex, gate: usize, to: Position) {
        let over = self.laying.network.map.gates[gate].over;
        if over.is_some() {
            let piece = BayPiece::through(vec![self.here, to], over);
            self.piece(bay, &piece, 0.0, &mut Vec::new());
        }
        self.here = to;
    }

    fn piece(&mut self, bay: BayIndex, piece: &BayPiece, extra: f64, lead: &mut Vec<Waypoint>) {
        let network = self.laying.network;
        let plan = &network.map.bays[bay];
        let metres = piece.metres * BENDS + extra;
        let place = |at: &Position| Waypoint { level: plan.level, at: *at, height: plan.height };
        // What rounding leaves of no way at all.
        if metres < 1e-6 {
            return;
        }
        let mut waypoints: Vec<Waypoint> = std::mem::take(lead);
        waypoints.extend(piece.places.iter().map(place));
        let rate = network.bay_metre(bay, self.laying.view.cable);
        let mut segment = Segment {
            medium: plan.medium,
            void: plan.void,
            room: Some(plan.room),
            metres: Metres::new(metres),
            obstructed: Metres::ZERO,
            obstruction: piece.over,
        };
        let mut whole = rate.times(metres);
        if let Some(obstacle) = piece.over {
            let slow = OBSTRUCTED_M.min(metres);
            segment.obstructed = Metres::new(slow);
            whole = whole.plus(network.slowed(rate, slow));
            if obstacle.must_not_be_cut() {
                whole = whole.plus(network.pass_over(bay));
                self.run.crossings.push(Crossing { room: plan.room, medium: plan.medium, obstacle });
            }
            self.slow_the_one_before(&segment, OBSTRUCTED_M - slow, rate);
        }
        self.run.placed.push(PlacedSegment { segment, waypoints, rate: whole });
    }

    /// The rest of the metre that goes slowly lies before what is gone over.
    fn slow_the_one_before(&mut self, crossing: &Segment, metres: f64, rate: Rate) {
        let network = self.laying.network;
        let same = |before: &&mut PlacedSegment| {
            let Segment { medium, void, room, .. } = before.segment;
            (medium, void, room) == (crossing.medium, crossing.void, crossing.room)
        };
        if let Some(before) = self.run.placed.last_mut().filter(same) {
            let free = (before.segment.metres - before.segment.obstructed).value();
            let slow = metres.clamp(0.0, free.max(0.0));
            before.segment.obstructed += Metres::new(slow);
            before.rate = before.rate.plus(network.slowed(rate, slow));
        }
    }

    pub(super) fn riser(&mut self, riser: usize) {
        let network = self.laying.network;
        let riser = network.map.risers[riser];
        let room = &network.site.rooms[riser.room];
        let (medium, void) = wall_way(room.surface, room.wall, false);
        let ends = riser.bays.map(|bay| {
            let bay = &network.map.bays[bay];
            Waypoint { level: bay.level, at: riser.at, height: bay.height }
        });
        let rate = riser_cable(network.prices.room(riser.room), room, self.laying.view.cable).times(riser.metres);
        let segment = Segment {
            medium,
            void,
            room: Some(riser.room),
            metres: Metres::new(riser.metres),
            obstructed: Metres::ZERO,
            obstruction: None,
        };
        self.run.placed.push(PlacedSegment { segment, waypoints: ends.to_vec(), rate });
    }

    /// Up or down the wall at an end, with what is left in its box. Of two cables behind a lining only the first is
    /// fished; the other is drawn in with it.
    pub(super) fn wall(&mut self, end: &End, cables: &mut CablesAtEnd, bay: BayIndex, leaving: bool) {
        let network = self.laying.network;
        let cable = self.laying.view.cable;
        let room = &network.site.rooms[end.room];
        let prices = network.prices.room(end.room);
        let first = cables.count == 0;
        cables.count += 1;
        cables.first = cables.first.or(Some(self.run.placed.len()));
        let bay = &network.map.bays[bay];
        let metres = end.vertical + SLACK_AT_BOX_M;
        let (medium, void, rate) = if end.outside {
            (Medium::ExternalWall, Void::Surface, prices.metre(cable, Void::Surface, false))
        } else if end.vertical <= 0.0 {
            (bay.medium, bay.void, prices.metre(cable, bay.void, true))
        } else if end.on_the_face {
            let (medium, void) = if room.surface {
                (Medium::SurfaceClipped, Void::Surface)
            } else {
                (Medium::MiniTrunking, Void::Trunking)
            };
            (medium, void, prices.metre(cable, void, false))
        } else {
            let (medium, void) = wall_way(room.surface, room.wall, first);
            let rate = if medium == Medium::WallChase {
                prices.metre_in_chase(cable)
            } else {
                prices.metre(cable, void, false)
            };
            (medium, void, rate)
        };
        let at_bay = Waypoint { level: bay.level, at: end.at, height: bay.height };
        let at_point = Waypoint { level: room.level, at: end.stands, height: end.height };
        let mut waypoints = vec![at_bay];
        if end.outside && end.stands != end.at {
            waypoints.push(Waypoint { at: end.stands, ..at_bay });
        }
        waypoints.push(at_point);
        if leaving {
            waypoints.reverse();
        }
        let segment = Segment {
            medium,
            void,
            room: Some(end.room),
            metres: Metres::new(metres),
            obstructed: Metres::ZERO,
            obstruction: end.through,
        };
        self.run.placed.push(PlacedSegment { segment, waypoints, rate: rate.times(metres) });
    }
}
