//! Runs where no map was drawn: from room to room along the axes, their lengths by the model.

use super::access::Access;
use super::obstacles::Obstacle;
use super::run::{Run, RunStop, StopPoint};
use super::{Ask, BENDS, Routing, SLACK_AT_BOARD_M, SLACK_AT_BOX_M, Topology, vertical};
use crate::catalogue::{CableClass, PointPlace};
use crate::quantities::Metres;
use crate::site::{Location, RoomIndex, RoomPlan};
use crate::survey::{Medium, Position};

/// Beyond this many stops they are taken in the order of their distance instead of nearest first.
const NEAREST_FIRST_STOPS_MAX: usize = 64;

impl Routing<'_> {
    /// A run by the model of lengths, or straight along the axes; a ring comes back.
    pub(super) fn modelled(&self, from: Location, stops: &[RunStop], ring: bool) -> Run {
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
            self.leg(from, previous, stop.room, (access, leg * BENDS), &mut run);
            let within = self.within(stop, room, &access, &mut run);
            along += leg * BENDS + within;
            run.order.push(stop.room);
            previous = Some(stop.room);
        }
        run.far_end = along;
        if let (true, Some(last)) = (ring, previous) {
            let access = self.room(last).low;
            let home = self.to_room(from, last) + self.at_board(access.rises) + Metres::new(SLACK_AT_BOARD_M);
            self.leg(from, None, last, (access, home * BENDS), &mut run);
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

    /// A run of its own to one place, for signal wiring and bonding: plan metres and one drop or rise. Where it was not
    /// marked, to a wall of the room.
    #[must_use]
    pub fn home_run(&self, from: Location, (room, at): (RoomIndex, Option<Position>), height: Metres) -> Run {
        let point = StopPoint {
            place: PointPlace::Wall,
            is_switch: false,
            in_and_out: false,
            height,
            count: 1,
            at: at.map(|at| self.on_a_wall_of(room, at)),
            entry: None,
            first: 0,
        };
        self.run(Ask {
            from,
            stops: &[RunStop { room, points: vec![point], share_of_walls: 1.0 }],
            topology: Topology::Chain,
            cable: CableClass::Heavy,
            explained: true,
        })
    }

    /// The place on the walls of a room that is nearest to one.
    fn on_a_wall_of(&self, room: RoomIndex, at: Position) -> Position {
        let walls = &self.site.rooms[room].shape;
        walls.on_wall(walls.along(at))
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
        from: Location,
        previous: Option<RoomIndex>,
        to: RoomIndex,
        (access, metres): (Access, Metres),
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

    fn access(&self, stop: &RunStop) -> Access {
        let ways = self.room(stop.room);
        let high = stop.points.iter().any(|point| point.place == PointPlace::Ceiling || point.is_switch);
        if high { ways.high } else { ways.low }
    }

    /// Nearest first from the board; the order is the same whatever order the stops came in.
    fn in_order<'s>(&self, from: Location, stops: &'s [RunStop]) -> Vec<&'s RunStop> {
        let mut left: Vec<&RunStop> = stops.iter().collect();
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
            let distance = |stop: &RunStop| match here {
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
        from: Location,
        previous: Option<RoomIndex>,
        to: RoomIndex,
        medium: Medium,
    ) -> Option<Obstacle> {
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
    fn within(&self, stop: &RunStop, room: &RoomPlan, access: &Access, run: &mut Run) -> Metres {
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

fn half_perimeter(room: &RoomPlan) -> Metres {
    room.shape.perimeter() * 0.5
}

/// Travel round the walls past every point on them: once round, less the widest gap. Points whose place is not
/// marked are spread evenly.
fn round_the_walls(stop: &RunStop, room: &RoomPlan) -> Metres {
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
fn over_the_ceiling(stop: &RunStop, room: &RoomPlan) -> Metres {
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
