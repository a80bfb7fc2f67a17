//! The way of one cable put together, segment by segment.

use super::{CablesAtEnd, Laying};
use crate::quantities::Metres;
use crate::routes::map::BayIndex;
use crate::routes::network::End;
use crate::routes::run::{PlacedSegment, Run, Segment, Waypoint};
use crate::routes::survey_map::riser_cable;
use crate::routes::{BENDS, OBSTRUCTED_M, SLACK_AT_BOX_M};
use crate::survey::{Medium, ObstructionType, Position, Wall};
use crate::unit_rates::{Void, is_chased};

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
    pub(super) fn along(&mut self, bay: BayIndex, to: Position, in_the_gate: Option<ObstructionType>) {
        let network = self.laying.network;
        let cable = self.laying.view.cable;
        let plan = &network.map.bays[bay];
        let blocked = plan.blocked(self.here, to).or(in_the_gate);
        let metres = plan.metres(self.here, to) * BENDS + std::mem::take(&mut self.extra);
        let place = |at: Position| Waypoint { level: plan.level, at, height: plan.height };
        let waypoints = self.lead.take().into_iter().chain(plan.path(self.here, to).into_iter().map(place)).collect();
        self.here = to;
        // What rounding leaves of no way at all.
        if metres < 1e-6 {
            return;
        }
        let obstructed = if blocked.is_some() { OBSTRUCTED_M.min(metres) } else { 0.0 };
        let rate = network.bay_metre(bay, cable);
        let rate = rate.times(metres).plus(network.slowed(rate, obstructed));
        let segment = Segment {
            medium: plan.medium,
            void: plan.void,
            room: Some(plan.room),
            metres: Metres::new(metres),
            obstructed: Metres::new(obstructed),
            obstruction: blocked,
        };
        self.run.placed.push(PlacedSegment { segment, waypoints, rate });
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
        let at_point = Waypoint { level: room.level, at: end.at, height: end.height };
        let waypoints = if leaving { vec![at_point, at_bay] } else { vec![at_bay, at_point] };
        let segment = Segment {
            medium,
            void,
            room: Some(end.room),
            metres: Metres::new(metres),
            obstructed: Metres::ZERO,
            obstruction: None,
        };
        self.run.placed.push(PlacedSegment { segment, waypoints, rate: rate.times(metres) });
    }
}

/// The way up or down a wall.
const fn wall_way(surface: bool, wall: Wall, first: bool) -> (Medium, Void) {
    if surface {
        return (Medium::SurfaceClipped, Void::Surface);
    }
    let fished = if first { Void::Closed } else { Void::Open };
    match wall {
        wall if is_chased(wall) => (Medium::WallChase, Void::Open),
        Wall::Glazed => (Medium::MiniTrunking, Void::Trunking),
        Wall::PlasterboardOnDabs => (Medium::DryLiningGap, fished),
        _ => (Medium::StudCavity, fished),
    }
}
