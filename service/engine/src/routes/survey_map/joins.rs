//! What joins the bays of the map beside the gates of its walls: risers, slabs, gaps on plan, the outside wall.

use super::{MapDrawing, OUTSIDE_M, SKIRTING_M, millimetres, riser_cable};
use crate::catalogue::CableClass;
use crate::geometry::{Edge, Shape, TOUCHING_M};
use crate::routes::Opening;
use crate::routes::map::{BayIndex, BayKind, Gate, NewBay, Riser, RoomBays};
use crate::routes::walls::{corners_by_the_middle, two_corners};
use crate::site::RoomIndex;
use crate::survey::{Medium, Position, RoomUse};
use crate::unit_rates::{Rate, Void, up_the_wall};
use crate::work::WorkPart;
use petgraph::unionfind::UnionFind;
use std::collections::BTreeMap;

impl MapDrawing<'_> {
    /// Ways up the corners of each room: from the void below, past the foot of the wall, to the void above.
    pub(super) fn risers(&mut self) {
        let middle = crate::site::middle_of_the_house(&self.site.outside_walls);
        for index in 0..self.site.rooms.len() {
            if !self.goes_on(index) {
                break;
            }
            let (Some(outline), Some(middle)) = (self.room(index).outline.clone(), middle) else { continue };
            let bays = self.map.rooms[index];
            let free = |at: Position| {
                let touched = [bays.below, self.over(index, at)].into_iter().flatten();
                self.may_go_up(index, at) && self.holding(touched, at).is_none()
            };
            // Where something stands in one of them there is no way up; another corner would make the house cheaper for it.
            let corners = two_corners(&outline, middle).into_iter().enumerate();
            let corners: Vec<(usize, Position)> = corners.filter(|(_, corner)| free(*corner)).collect();
            for (number, corner) in corners {
                self.riser(index, number, corner, number == 0);
            }
        }
    }

    fn riser(&mut self, index: RoomIndex, number: usize, at: Position, with_surface: bool) {
        let bays = self.map.rooms[index];
        let high = self.over(index, at);
        let height = self.room(index).height.value();
        let foot = bays.surface.map_or(SKIRTING_M, |surface| self.map.bays[surface].height);
        let mut add = |bays: [BayIndex; 2], metres: f64| {
            let prices = self.prices.room(index);
            let room = &self.site.rooms[index];
            let whole = up_the_wall(prices, room, CableClass::Sockets, metres, 1.0);
            let way = Rate {
                hours: whole.hours - riser_cable(prices, room, CableClass::Sockets).hours * metres,
                money: whole.money - riser_cable(prices, room, CableClass::Sockets).money * metres,
            };
            let opening = (way.money > 0.0).then(|| {
                self.map
                    .add_opening(Opening::Riser { room: index, corner: number, metres_mm: millimetres(metres) }, way)
            });
            self.map.add_riser(Riser { room: index, bays, at, metres, opening });
        };
        if let (Some(below), Some(high)) = (bays.below, high) {
            add([below, high], height);
        }
        if let (Some(surface), true) = (bays.surface, with_surface) {
            if let Some(below) = bays.below {
                add([below, surface], SKIRTING_M);
            }
            if let Some(high) = high {
                add([surface, high], height - foot);
            }
        }
    }

    /// Ways up through floors that have no void: from the foot of the walls below to the foot of the walls above.
    pub(super) fn slabs(&mut self) {
        let Some(middle) = crate::site::middle_of_the_house(&self.site.outside_walls) else { return };
        for index in 0..self.site.rooms.len() {
            let RoomBays { below: None, surface: Some(surface), .. } = self.map.rooms[index] else { continue };
            if !self.goes_on(index) {
                break;
            }
            let room = self.room(index);
            let Some(outline) = room.outline.clone().filter(|_| room.is_inside() && room.room_use != RoomUse::Loft)
            else {
                continue;
            };
            let level = room.level.saturating_sub(1);
            // In the middle of the floor only where no corner stands over a room.
            let corners = corners_by_the_middle(&outline, middle).into_iter();
            let under = corners.chain([outline.middle()]).find_map(|at| {
                let under = self.patches.room_at(&self.site.rooms, level, at)?;
                (self.room(under).is_inside() && self.may_go_up(under, at)).then_some((under, at))
            });
            let Some((under, at)) = under else { continue };
            let RoomBays { head, surface: Some(low), .. } = self.map.rooms[under] else { continue };
            let foot = head.unwrap_or(low);
            let (prices, plan) = (self.prices.room(under), self.room(under));
            let metres = plan.height.value() - head.map_or(0.0, |head| self.map.bays[head].height);
            let whole = up_the_wall(prices, plan, CableClass::Sockets, metres, 1.0);
            let cable = riser_cable(prices, plan, CableClass::Sockets).times(metres);
            let way = Rate {
                hours: (whole.hours - cable.hours).max(0.0) + prices.slab_hole.hours,
                money: (whole.money - cable.money).max(0.0) + prices.slab_hole.money,
            };
            let opening = Some(self.map.add_opening(Opening::Slab { room: index, under }, way));
            self.map.add_riser(Riser { room: under, bays: [foot, surface], at, metres, opening });
        }
    }

    /// Rooms with a gap between them on plan, such as a corridor that was not drawn, are joined along their walls:
    /// each to the next one on its storey, from left to right.
    pub(super) fn join_what_is_apart(&mut self) {
        let mut joined: UnionFind<usize> = UnionFind::new(self.map.bays.len());
        let pairs = self.map.gates.iter().map(|gate| gate.bays).chain(self.map.risers.iter().map(|riser| riser.bays));
        for [one, other] in pairs {
            joined.union(one, other);
        }
        let mut rooms: Vec<(i8, Position, BayIndex, RoomIndex)> = self
            .site
            .rooms
            .iter()
            .enumerate()
            .filter(|(_, room)| room.is_inside())
            .filter_map(|(index, room)| {
                Some((room.level, room.outline.as_ref()?.middle(), self.map.rooms[index].surface?, index))
            })
            .collect();
        rooms.sort_by(|a, b| {
            a.0.cmp(&b.0).then(a.1.x_m.total_cmp(&b.1.x_m)).then(a.1.y_m.total_cmp(&b.1.y_m)).then(a.3.cmp(&b.3))
        });
        for pair in rooms.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
            let (one, other) = (pair[0], pair[1]);
            if joined.union(one.2, other.2) {
                let outline = &self.map.bays[one.2].outline;
                let at = outline.on_wall(outline.along(other.1));
                let (from, to) = (one.3.min(other.3), one.3.max(other.3));
                let rate = self.prices.room(one.3).hole;
                let opening = self.map.add_opening(Opening::Wall { from, to, void: false, room: one.3 }, rate);
                let stretch = Edge { from: at, to: at };
                self.map.add_gate(Gate::free([one.2, other.2], stretch, Some(opening)));
            }
        }
    }

    /// The outside wall of each storey, with a hole into each room that has a piece of it.
    pub(super) fn outside(&mut self) {
        let parts: Vec<(i8, Shape)> = self
            .site
            .outside_walls
            .iter()
            .flat_map(|(level, parts)| parts.iter().map(|part| (*level, part.clone())))
            .collect();
        for (level, outline) in parts {
            if level < 0 {
                continue;
            }
            let rooms = self.outer_walls(level, &outline);
            let Some((owner, _)) = rooms.first().copied() else { continue };
            let bay = self.map.add_bay(NewBay {
                kind: BayKind::External,
                room: owner,
                level,
                height: OUTSIDE_M,
                medium: Medium::ExternalWall,
                void: Void::Trunking,
                outline,
                opening: None,
                exposed: true,
            });
            for (room, wall) in rooms {
                let RoomBays { below, surface, .. } = self.map.rooms[room];
                let middle = wall.at(wall.length() / 2.0);
                let high = self.over(room, middle);
                let opening = self.map.add_opening(Opening::Outside(room), self.prices.room(room).hole);
                for inside in [below, surface, high].into_iter().flatten() {
                    let Some(at) = self.through_the_outside_wall(inside, wall) else { continue };
                    let stretch = Edge { from: at, to: at };
                    self.map.add_gate(Gate::free([inside, bay], stretch, Some(opening)));
                }
            }
        }
    }

    /// The longest piece of outside wall of each room that stands along one part of the house.
    fn outer_walls(&self, level: i8, outside: &Shape) -> Vec<(RoomIndex, Edge)> {
        let Some(plan) = self.site.plans.get(&level) else { return Vec::new() };
        let mut longest: BTreeMap<RoomIndex, Edge> = BTreeMap::new();
        for piece in plan.outer_pieces() {
            // Every piece is held against every side of the outside wall.
            if !self.work.spend(WorkPart::Routes, 3 * outside.corners().len() as u64) {
                break;
            }
            let (room, line) = (piece.face.outline, piece.line);
            let off = outside.nearest_on_wall(line.beside_its_middle(plan.outside_wall_m)).off;
            if off < TOUCHING_M.max(plan.outside_wall_m) && self.room(room).room_use != RoomUse::Loft {
                let known = longest.entry(room).or_insert(line);
                *known = if line.length() > known.length() { line } else { *known };
            }
        }
        longest.into_iter().collect()
    }

    /// Where a bay is left through an outside wall: in its middle, or beside what stands there.
    fn through_the_outside_wall(&self, bay: BayIndex, wall: Edge) -> Option<Position> {
        /// Of the wall's length, from the middle outwards. Common practice, no source.
        const TRIED: [f64; 7] = [0.5, 0.4, 0.6, 0.25, 0.75, 0.1, 0.9];
        let places = TRIED.into_iter().map(|share| wall.at(wall.length() * share));
        places.into_iter().find(|at| self.holding([bay], *at).is_none())
    }
}
