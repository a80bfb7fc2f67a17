//! Where the ends of a run stand, and by which void each of them is reached.

use super::{Ask, PlacedEnd, Topology};
use crate::catalogue::PointPlace;
use crate::geometry::straight;
use crate::routes::network::{Approach, End, Network, View};
use crate::routes::run::StopPoint;
use crate::routes::sharing::{Approaches, Class};
use crate::site::RoomIndex;
use crate::survey::{Medium, Position, RoomUse};
use crate::unit_rates::{up_the_wall, wall_way};

impl Network<'_> {
    pub(super) fn ends(&self, ask: Ask<'_>, approaches: &Approaches, view: &View<'_>) -> Option<Vec<PlacedEnd>> {
        let mut ends = Vec::new();
        for stop in ask.stops {
            for point in &stop.points {
                if !self.goes_on() {
                    return None;
                }
                for at in self.places(stop.room, point) {
                    let end = self.end(stop.room, at, point, (ask.topology, approaches), view)?;
                    ends.push(PlacedEnd {
                        end,
                        is_switch: point.is_switch,
                        in_and_out: point.in_and_out,
                        hangs: false,
                    });
                }
            }
        }
        (!ends.is_empty()).then_some(ends)
    }

    /// Where the points of a stop stand.
    fn places(&self, room: RoomIndex, point: &StopPoint) -> Vec<Position> {
        let plan = &self.site.rooms[room];
        let count = point.count as usize;
        match point.entry.and_then(|entry| plan.points.get(entry)) {
            Some(entry) => entry.places.iter().skip(point.first as usize).take(count).copied().collect(),
            None => {
                let middle = plan.shape.middle();
                let on_wall = plan.shape.on_wall(plan.shape.along(middle));
                vec![point.at.unwrap_or(on_wall); count]
            }
        }
    }

    /// The room inside whose wall a place outside is fed through, the place on that wall, and the one on its outer face.
    fn through_the_wall_to(&self, level: i8, at: Position) -> Option<(RoomIndex, Position, Position)> {
        let (room, inside) = self.inside_of(level, at)?;
        let parts = self.site.outside_walls.get(&level)?.iter();
        let faces = parts.map(|part| part.on_wall(part.along(at)));
        let outer = faces.min_by(|a, b| straight(*a, at).total_cmp(&straight(*b, at)))?;
        Some((room, inside, outer))
    }

    fn end(
        &self,
        room: RoomIndex,
        at: Position,
        point: &StopPoint,
        (topology, approaches): (Topology, &Approaches),
        view: &View<'_>,
    ) -> Option<End> {
        let plan = &self.site.rooms[room];
        let outside = plan.room_use == RoomUse::Outside;
        let (room, at, stands) = if outside { self.through_the_wall_to(plan.level, at)? } else { (room, at, at) };
        let ceiling = point.place == PointPlace::Ceiling;
        let high = ceiling || point.is_switch || matches!(topology, Topology::Tree | Topology::TreeOfSwitches);
        let height = if ceiling { self.site.rooms[room].height } else { point.height }.value();
        let class = if high { Class::High } else { Class::Low };
        let up_the_wall_by = wall_way(plan.surface, plan.wall, true).0;
        let walls = self.site.rooms[room].outline.as_ref().filter(|_| !ceiling && !outside);
        let kept_out =
            |medium: Medium| walls.and_then(|walls| self.map.recorded.in_the_wall(medium, plan.level, (walls, at)));
        let on_the_face = kept_out(up_the_wall_by).is_some();
        let on_it = if plan.surface { Medium::SurfaceClipped } else { Medium::MiniTrunking };
        let by = |approach: Approach| {
            // In an outbuilding lights go under the roof, and outlets from one to the next along the walls.
            let elsewhere = plan.outbuilding.is_some() && (approach == Approach::Drop) != high;
            // Nothing goes up to a ceiling through the air of a room.
            let in_the_air = ceiling
                && match approach {
                    Approach::Rise => true,
                    Approach::Drop => false,
                    Approach::Foot => self.bay(room, at, Approach::Drop).is_some(),
                };
            if in_the_air || elsewhere {
                return None;
            }
            let bay = self.bay(room, at, approach).filter(|bay| self.reaches(*bay) && !view.is_closed(self, *bay))?;
            let vertical = if ceiling && approach == Approach::Drop {
                0.0
            } else {
                self.vertical(room, approach, point.height.value()) + straight(at, stands)
            };
            let on_the_wall = (!ceiling && !outside).then_some(point.height.value());
            let through = self.through(room, at, (approach, bay), on_the_wall);
            let through = through.or_else(|| if on_the_face { kept_out(on_it) } else { None });
            let through = through.or_else(|| ceiling.then(|| self.map.recorded.overhead(plan.level, at)).flatten());
            Some(End { room, at, stands, height, bay, vertical, outside, on_the_face, through })
        };
        let free = |approach: Approach| by(approach).filter(|end| end.through.is_none());
        let cheapest = |ends: &mut dyn Iterator<Item = End>| {
            ends.min_by_key(|end| {
                let prices = self.prices.room(room);
                let up = up_the_wall(prices, &self.site.rooms[room], view.cable, end.vertical, 1.0).cost();
                self.arrive(view.cable, &self.arrival(view.cable, end.bay, at)).0.saturating_add(up)
            })
        };
        // What the plan chose goes first; where it chose nothing, or that is closed, the cheapest does. Through what
        // stands there only where there is no other way.
        let chosen = approaches.get(&(room, class)).copied();
        let others = || Approach::ALL.into_iter().filter(|approach| chosen != Some(*approach));
        chosen
            .and_then(free)
            .or_else(|| cheapest(&mut others().filter_map(free)))
            .or_else(|| chosen.and_then(by))
            .or_else(|| cheapest(&mut others().filter_map(by)))
    }
}
