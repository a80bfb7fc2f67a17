//! The map drawn from the site: which bays there are, where they meet, what it costs to pass.

use petgraph::unionfind::UnionFind;
use rstar::primitives::GeomWithData;
use rstar::{AABB, RTree};

use super::Opening;
use super::map::{BayIndex, BayKind, Gate, InTheWay, Map, NewBay, Riser, RoomBays};
use super::walls::{
    SHARED_M_MIN, WALL_M_MAX, distance_to_line, outer_wall, rectangle, shared_stretch, two_corners, unit,
};
use crate::catalogue::{CableClass, Catalogue};
use crate::geometry::{Edge, Shape, straight};
use crate::site::{Patches, RoomIndex, RoomPlan, Site};
use crate::survey::{CeilingConstruction, Medium, Obstruction, ObstructionType, Position, RoomUse, Wall};
use crate::unit_rates::{Prices, Rate, RoomPrices, Void, has_void, is_chased, up_the_wall};

/// A part of a ceiling smaller than this, with no room over it, is not a void of its own. Common practice, no source.
const UNCOVERED_SHARE_MIN: f64 = 0.1;
/// Under a floor, as heights go on a section: half of a usual floor zone of 0.25 m. From memory.
const HALF_FLOOR_ZONE_M: f64 = 0.12;
/// Trunking runs this high above the floor, over the skirting. Common practice, no source.
const SKIRTING_M: f64 = 0.15;
/// In an outbuilding nothing has to be hidden: cables are clipped from outlet to outlet at their usual height. Source:
/// Approved Document M, 450 mm, as in the reference table.
const OUTLETS_M: f64 = 0.45;
/// Cables on an outside wall run this high. Common practice, no source.
const OUTSIDE_M: f64 = 0.3;

/// Draws the map of a measured house.
pub(super) fn draw(
    site: &Site,
    catalogue: &Catalogue,
    prices: &Prices,
    obstructions: &[(Option<i8>, &Obstruction)],
) -> Map {
    let mut drawing =
        Drawing { site, catalogue, prices, obstructions, patches: Patches::of(&site.rooms), map: Map::default() };
    drawing.bays();
    drawing.put_things_in_the_way();
    drawing.gates();
    drawing.loft_rooms();
    drawing.risers();
    drawing.slabs();
    drawing.outside();
    drawing.join_what_is_apart();
    drawing.map.join_bays();
    drawing.map
}

struct Drawing<'a> {
    site: &'a Site,
    catalogue: &'a Catalogue,
    prices: &'a Prices,
    obstructions: &'a [(Option<i8>, &'a Obstruction)],
    patches: Patches,
    map: Map,
}

impl Drawing<'_> {
    fn room(&self, index: RoomIndex) -> &RoomPlan {
        &self.site.rooms[index]
    }

    fn bays(&mut self) {
        for index in 0..self.site.rooms.len() {
            let mut bays = RoomBays::default();
            if let (Some(outline), true) = (&self.room(index).outline, self.room(index).room_use != RoomUse::Outside) {
                let outline = outline.clone();
                if self.room(index).outbuilding.is_none() {
                    bays.below = self.below(index, &outline);
                    bays.above = self.above(index, &outline);
                }
                let surface = self.surface(index, outline);
                if self.room(index).outbuilding.is_some() {
                    bays.above = Some(self.under_the_roof(index, surface));
                }
                bays.surface = Some(surface);
            }
            self.map.rooms.push(bays);
        }
    }

    fn below(&mut self, index: RoomIndex, outline: &Shape) -> Option<BayIndex> {
        let room = self.room(index);
        if !has_void(room.floor) || room.surface || room.room_use == RoomUse::Loft {
            return None;
        }
        let (level, lifts) = (room.level, self.catalogue.covering(room.covering).lifts);
        let under = self.patches.room_at(&self.site.rooms, level.saturating_sub(1), outline.middle());
        let cellar = under.is_some_and(|under| self.room(under).room_use == RoomUse::Cellar);
        if under.is_some_and(|under| self.room(under).ceiling == CeilingConstruction::Concrete) {
            return None;
        }
        let (medium, void, opens) = match (cellar, lifts, under.is_some()) {
            (true, _, _) => (Medium::CellarSoffit, Void::Surface, false),
            (false, true, _) => (Medium::FloorVoid, Void::Joists, true),
            // The covering keeps it shut, so it is fished from the voids beside it.
            (false, false, true) => (Medium::CeilingVoid, Void::Closed, false),
            (false, false, false) => return None,
        };
        let opening = opens.then(|| {
            let rate = self.prices.room(index).open_floor;
            self.map.add_opening(Opening::Floor(index), rate)
        });
        // A void counts to the storey below it; the one under the lowest floor to that floor.
        let (level, height) = match under {
            Some(under) => (level.saturating_sub(1), self.room(under).height.value() + HALF_FLOOR_ZONE_M),
            None => (level, -HALF_FLOOR_ZONE_M),
        };
        let kind = BayKind::Below;
        let outline = outline.clone();
        Some(self.map.add_bay(NewBay {
            kind,
            room: index,
            level,
            height,
            medium,
            void,
            outline,
            opening,
            exposed: false,
        }))
    }

    fn above(&mut self, index: RoomIndex, outline: &Shape) -> Option<BayIndex> {
        let room = self.room(index);
        if room.ceiling == CeilingConstruction::Concrete || room.room_use == RoomUse::Loft {
            return None;
        }
        let over: f64 = self
            .rooms_over(index, outline)
            .into_iter()
            .filter_map(|over| self.room(over).outline.as_ref())
            .map(|over| outline.overlap(over).value())
            .sum();
        if room.area.value() - over < UNCOVERED_SHARE_MIN * room.area.value() {
            return None;
        }
        let open = room.level >= self.site.top_level
            && !matches!(room.ceiling, CeilingConstruction::Vaulted | CeilingConstruction::ExposedBeams);
        let (medium, void) = if open { (Medium::Loft, Void::Open) } else { (Medium::CeilingVoid, Void::Closed) };
        let (level, height) = (room.level, room.height.value() + HALF_FLOOR_ZONE_M);
        let (kind, outline) = (BayKind::Above, outline.clone());
        let new = NewBay { kind, room: index, level, height, medium, void, outline, opening: None, exposed: false };
        Some(self.map.add_bay(new))
    }

    /// Rooms that stand on a room; a loft stands on none, it is the void.
    fn rooms_over(&self, index: RoomIndex, outline: &Shape) -> Vec<RoomIndex> {
        let (least, greatest) = outline.bounds();
        let over = self.patches.rooms_near(self.room(index).level.saturating_add(1), least, greatest);
        over.into_iter().filter(|over| self.room(*over).room_use != RoomUse::Loft).collect()
    }

    fn surface(&mut self, index: RoomIndex, outline: Shape) -> BayIndex {
        let room = self.room(index);
        let clipped = room.surface;
        let (medium, void) = match (room.room_use, clipped) {
            (RoomUse::Loft, _) => (Medium::Loft, Void::Open),
            (RoomUse::Store, true) => (Medium::DuctOrRiser, Void::Surface),
            (_, true) => (Medium::SurfaceClipped, Void::Surface),
            (_, false) => (Medium::MiniTrunking, Void::Trunking),
        };
        let (kind, level) = (BayKind::Surface, room.level);
        let height = if room.outbuilding.is_some() { OUTLETS_M } else { SKIRTING_M };
        let new = NewBay {
            kind,
            room: index,
            level,
            height,
            medium,
            void,
            outline,
            opening: None,
            exposed: !clipped && room.room_use != RoomUse::Loft,
        };
        self.map.add_bay(new)
    }

    /// Under the roof of an outbuilding, for its lights and their switches.
    fn under_the_roof(&mut self, index: RoomIndex, surface: BayIndex) -> BayIndex {
        let (height, plan) = (self.room(index).height.value(), self.map.bays[surface].clone());
        self.map.add_bay(NewBay {
            kind: BayKind::Above,
            room: index,
            level: plan.level,
            height,
            medium: plan.medium,
            void: plan.void,
            outline: plan.outline,
            opening: None,
            exposed: false,
        })
    }

    fn put_things_in_the_way(&mut self) {
        for (level, obstruction) in self.obstructions {
            let line = Edge { from: obstruction.from, to: obstruction.to };
            for bay in &mut self.map.bays {
                let room_level = self.site.rooms[bay.room].level;
                // The void between two storeys is the ceiling of one and the floor of the other.
                let here = |medium: Medium, at: i8| {
                    obstruction.blocks.contains(&medium) && level.is_none_or(|level| level == at)
                };
                let blocks = match bay.kind {
                    BayKind::Below => {
                        here(bay.medium, room_level)
                            || here(Medium::FloorVoid, room_level)
                            || here(Medium::CeilingVoid, room_level.saturating_sub(1))
                    }
                    BayKind::Above => here(bay.medium, room_level) || here(Medium::CeilingVoid, room_level),
                    BayKind::Surface | BayKind::External => here(bay.medium, room_level),
                };
                if blocks {
                    bay.in_the_way.push(InTheWay { what: obstruction.obstruction_type, line });
                }
            }
        }
    }

    /// Ways between bays that share a wall, layer by layer.
    fn gates(&mut self) {
        let mut sides: Vec<Side> = Vec::new();
        for (bay, plan) in self.map.bays.iter().enumerate() {
            let layer = match plan.kind {
                // From under the roof of an outbuilding nothing goes on into a building beside it.
                BayKind::Above if self.room(plan.room).outbuilding.is_some() => continue,
                BayKind::Below => (0, self.room(plan.room).level),
                BayKind::Above => (0, self.room(plan.room).level.saturating_add(1)),
                BayKind::Surface | BayKind::External => (1, self.room(plan.room).level),
            };
            sides.extend(plan.outline.edges().map(|edge| Side { bay, layer, edge }));
        }
        let tree = RTree::bulk_load(
            sides.iter().enumerate().map(|(index, side)| GeomWithData::new(rectangle(side.edge), index)).collect(),
        );
        let mut shared: Vec<(BayIndex, BayIndex, Edge)> = Vec::new();
        for side in &sides {
            let near = AABB::from_corners(
                [
                    side.edge.from.x_m.min(side.edge.to.x_m) - WALL_M_MAX,
                    side.edge.from.y_m.min(side.edge.to.y_m) - WALL_M_MAX,
                ],
                [
                    side.edge.from.x_m.max(side.edge.to.x_m) + WALL_M_MAX,
                    side.edge.from.y_m.max(side.edge.to.y_m) + WALL_M_MAX,
                ],
            );
            for found in tree.locate_in_envelope_intersecting(&near) {
                let other = &sides[found.data];
                if other.layer == side.layer
                    && side.bay < other.bay
                    && let Some(stretch) = shared_stretch(side.edge, other.edge)
                {
                    shared.push((side.bay, other.bay, stretch));
                }
            }
        }
        shared.sort_by(|a, b| {
            let key = |entry: &(BayIndex, BayIndex, Edge)| (entry.2.from.x_m, entry.2.from.y_m);
            (a.0, a.1).cmp(&(b.0, b.1)).then(key(a).0.total_cmp(&key(b).0)).then(key(a).1.total_cmp(&key(b).1))
        });
        for (one, other, stretch) in shared {
            self.gate([one, other], stretch);
        }
    }

    /// One shared wall: split where something stands in it.
    fn gate(&mut self, bays: [BayIndex; 2], stretch: Edge) {
        let opening = self.hole(bays, stretch);
        for (part, blocked) in self.parts(bays, stretch) {
            self.map.add_gate(Gate { bays, stretch: part, opening, blocked });
        }
    }

    /// The hole that a gate needs.
    fn hole(&mut self, bays: [BayIndex; 2], stretch: Edge) -> Option<usize> {
        let [one, other] = bays.map(|bay| (self.map.bays[bay].kind, self.map.bays[bay].room));
        let walls = match (one.0, other.0) {
            // Under an upper floor the partition above stands on the boards; only a wall below passes through.
            (BayKind::Below, BayKind::Below) if self.room(one.1).level > self.lowest_level() => {
                let level = self.room(one.1).level.saturating_sub(1);
                let across = Edge { from: stretch.to, to: stretch.from };
                let middle = stretch.at(stretch.length() / 2.0);
                let (dx, dy) = unit(across);
                let beside =
                    |sign: f64| Position { x_m: middle.x_m - dy * sign * 0.2, y_m: middle.y_m + dx * sign * 0.2 };
                let under = [1.0, -1.0].map(|sign| self.patches.room_at(&self.site.rooms, level, beside(sign)));
                match under {
                    [Some(left), Some(right)] if left == right => return None,
                    [Some(left), Some(right)] => [left, right],
                    _ => return None,
                }
            }
            // Over the top ceiling the way is free.
            (BayKind::Above, BayKind::Above) if self.map.bays[bays[0]].medium == Medium::Loft => return None,
            _ => [one.1, other.1],
        };
        let masonry = walls.into_iter().find(|room| is_masonry(self.room(*room).wall));
        let room = masonry.unwrap_or(walls[0]);
        if masonry.is_none() && one.0 != BayKind::Surface {
            // A hollow partition stands on the floor; nothing is in the void.
            return None;
        }
        let from_void = one.0 != BayKind::Surface;
        let opening = Opening::Wall { from: walls[0].min(walls[1]), to: walls[0].max(walls[1]), void: from_void, room };
        Some(self.map.add_opening(opening, self.prices.room(room).hole))
    }

    fn lowest_level(&self) -> i8 {
        let inside = self.site.rooms.iter().filter(|room| room.is_inside() && room.room_use != RoomUse::Cellar);
        inside.map(|room| room.level).min().unwrap_or(0)
    }

    /// The free parts of a shared wall and those that something stands in.
    fn parts(&self, bays: [BayIndex; 2], stretch: Edge) -> Vec<(Edge, Option<ObstructionType>)> {
        let things = bays.iter().flat_map(|bay| &self.map.bays[*bay].in_the_way);
        let mut taken: Vec<(f64, f64, ObstructionType)> = things
            .filter_map(|thing| {
                let [from, to] = [thing.line.from, thing.line.to].map(|end| {
                    let along = stretch.nearest(end);
                    (along, straight(stretch.at(along), end))
                });
                let lies_in_it = distance_to_line(stretch, thing.line.from) < WALL_M_MAX
                    && distance_to_line(stretch, thing.line.to) < WALL_M_MAX;
                let (start, end) = (from.0.min(to.0), from.0.max(to.0));
                (lies_in_it && end - start > 0.05).then_some((start, end, thing.what))
            })
            .collect();
        taken.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut parts = Vec::new();
        let mut free_from = 0.0;
        let part = |from: f64, to: f64| Edge { from: stretch.at(from), to: stretch.at(to) };
        for (start, end, what) in taken {
            if start - free_from > SHARED_M_MIN {
                parts.push((part(free_from, start), None));
            }
            if end > free_from {
                parts.push((part(start.max(free_from), end), Some(what)));
                free_from = end;
            }
        }
        if stretch.length() - free_from > SHARED_M_MIN || parts.is_empty() {
            parts.push((part(free_from, stretch.length()), None));
        }
        parts
    }

    /// A room in the roof is open to the voids over the rooms under it.
    fn loft_rooms(&mut self) {
        for index in 0..self.site.rooms.len() {
            let (Some(surface), Some(outline)) = (self.map.rooms[index].surface, self.room(index).outline.clone())
            else {
                continue;
            };
            if self.room(index).room_use != RoomUse::Loft {
                continue;
            }
            let (least, greatest) = outline.bounds();
            for under in self.patches.rooms_near(self.room(index).level.saturating_sub(1), least, greatest) {
                let at = self.site.rooms[under].outline.as_ref().map(Shape::middle);
                if let (Some(above), Some(at)) = (self.map.rooms[under].above, at.filter(|at| outline.holds(*at))) {
                    let stretch = Edge { from: at, to: at };
                    self.map.add_gate(Gate { bays: [above, surface], stretch, opening: None, blocked: None });
                }
            }
        }
    }

    /// Ways up the corners of each room: from the void below, past the foot of the wall, to the void above.
    fn risers(&mut self) {
        let middle = crate::site::middle_of_the_house(&self.site.outside_walls);
        for index in 0..self.site.rooms.len() {
            let (Some(outline), Some(middle)) = (self.room(index).outline.clone(), middle) else { continue };
            for (number, corner) in two_corners(&outline, middle).into_iter().enumerate() {
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
    fn slabs(&mut self) {
        let Some(middle) = crate::site::middle_of_the_house(&self.site.outside_walls) else { return };
        for index in 0..self.site.rooms.len() {
            let RoomBays { below: None, surface: Some(surface), .. } = self.map.rooms[index] else { continue };
            let room = self.room(index);
            let Some(outline) = room.outline.clone().filter(|_| room.is_inside() && room.room_use != RoomUse::Loft)
            else {
                continue;
            };
            let level = room.level.saturating_sub(1);
            let under = two_corners(&outline, middle).into_iter().chain([outline.middle()]).find_map(|at| {
                let under = self.patches.room_at(&self.site.rooms, level, at)?;
                self.room(under).is_inside().then_some((under, at))
            });
            let Some((under, at)) = under else { continue };
            let Some(foot) = self.map.rooms[under].surface else { continue };
            let (prices, plan) = (self.prices.room(under), self.room(under));
            let metres = plan.height.value();
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
    fn join_what_is_apart(&mut self) {
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
                self.map.add_gate(Gate { bays: [one.2, other.2], stretch, opening: Some(opening), blocked: None });
            }
        }
    }

    /// The bay over a place in a room.
    fn over(&self, index: RoomIndex, at: Position) -> Option<BayIndex> {
        over(self.site, &self.map, &self.patches, index, at)
    }

    /// The outside wall of each storey, with a hole into each room that has a piece of it.
    fn outside(&mut self) {
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
            let rooms: Vec<(RoomIndex, Position)> = self
                .site
                .rooms
                .iter()
                .enumerate()
                .filter(|(_, room)| room.level == level && room.is_inside() && room.room_use != RoomUse::Loft)
                .filter_map(|(index, room)| Some((index, outer_wall(room.outline.as_ref()?, &outline)?)))
                .collect();
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
            for (room, at) in rooms {
                let RoomBays { below, surface, .. } = self.map.rooms[room];
                let high = self.over(room, at);
                let opening = self.map.add_opening(Opening::Outside(room), self.prices.room(room).hole);
                for inside in [below, surface, high].into_iter().flatten() {
                    let stretch = Edge { from: at, to: at };
                    self.map.add_gate(Gate { bays: [inside, bay], stretch, opening: Some(opening), blocked: None });
                }
            }
        }
    }
}

/// The bay over a place in a room: the void under the floor of the room above, or the void under the roof.
pub(super) fn over(site: &Site, map: &Map, patches: &Patches, index: RoomIndex, at: Position) -> Option<BayIndex> {
    let room = &site.rooms[index];
    if room.ceiling == CeilingConstruction::Concrete || room.room_use == RoomUse::Loft {
        return None;
    }
    let above = patches.room_at(&site.rooms, room.level.saturating_add(1), at);
    let above = above.filter(|above| site.rooms[*above].room_use != RoomUse::Loft && room.outbuilding.is_none());
    let under_a_floor = above.and_then(|above| map.rooms[above].below);
    under_a_floor.or(map.rooms[index].above)
}

/// A metre of cable in a riser that is there.
pub(super) fn riser_cable(prices: &RoomPrices, room: &RoomPlan, cable: CableClass) -> Rate {
    if room.surface {
        prices.metre(cable, Void::Surface, false)
    } else if is_chased(room.wall) {
        prices.metre_in_chase(cable)
    } else if room.wall == Wall::Glazed {
        prices.metre(cable, Void::Trunking, false)
    } else {
        prices.metre(cable, Void::Open, false)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "heights are held to 20 m and not negative"
)]
fn millimetres(metres: f64) -> u32 {
    (metres.max(0.0) * 1_000.0).round() as u32
}

struct Side {
    bay: BayIndex,
    layer: (u8, i8),
    edge: Edge,
}

/// Whether a cable through this wall wants a drilled hole even in the void.
const fn is_masonry(wall: Wall) -> bool {
    !matches!(wall, Wall::TimberStud | Wall::MetalStud | Wall::TimberFrame | Wall::Glazed)
}
