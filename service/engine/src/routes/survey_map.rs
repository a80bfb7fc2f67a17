//! The map drawn from the site: which bays there are, where they meet, what it costs to pass.

mod gates;
mod joins;

use std::collections::BTreeMap;

use super::Opening;
use super::map::{Bay, BayIndex, BayKind, Gate, Map, NewBay, RoomBays, only};
use super::obstacles::{Field, Footprint, Obstacle, RecordedObstacles};
use super::walls::SHARED_M_MIN;
use crate::catalogue::{CableClass, Catalogue};
use crate::geometry::{Edge, Shape};
use crate::site::storey::{DrawnBy, reach, stretches};
use crate::site::{Patches, RoomIndex, RoomPlan, Site, UNCOVERED_SHARE_MIN};
use crate::survey::{Above, Below, CeilingConstruction, Medium, Obstruction, Position, RoomUse, Wall};
use crate::unit_rates::{Prices, Rate, RoomPrices, Void, has_void, wall_way};
use crate::work::{WorkBudget, WorkPart};

/// Under a floor, as heights go on a section: half of a usual floor zone of 0.25 m. From memory.
const HALF_FLOOR_ZONE_M: f64 = 0.12;
/// Trunking runs this high above the floor, over the skirting. Common practice, no source.
const SKIRTING_M: f64 = 0.15;
/// Along the head of a wall trunking runs this far below the ceiling. Common practice, no source.
const UNDER_THE_CEILING_M: f64 = 0.05;
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
    work: &WorkBudget,
) -> Map {
    let mut map = Map::default();
    map.recorded = RecordedObstacles::of(obstructions).with_openings(&site.rooms);
    let mut drawing = MapDrawing { site, catalogue, prices, patches: Patches::of(site), map, work };
    drawing.bays();
    drawing.heads();
    drawing.put_things_in_the_way();
    drawing.gates();
    drawing.loft_rooms();
    drawing.risers();
    drawing.slabs();
    drawing.outside();
    drawing.join_what_is_apart();
    drawing.map.join_bays(work);
    drawing.map
}

struct MapDrawing<'a> {
    site: &'a Site,
    catalogue: &'a Catalogue,
    prices: &'a Prices,
    patches: Patches,
    map: Map,
    work: &'a WorkBudget,
}

impl MapDrawing<'_> {
    fn room(&self, index: RoomIndex) -> &RoomPlan {
        &self.site.rooms[index]
    }

    /// Counts what a look at a room's outline takes, and says whether the drawing goes on.
    fn goes_on(&self, room: RoomIndex) -> bool {
        /// For each corner.
        const STEPS_OF_A_CORNER: usize = 100;
        let corners = self.room(room).outline.as_ref().map_or(0, |outline| outline.corners().len());
        self.work.spend(WorkPart::Routes, (corners * STEPS_OF_A_CORNER) as u64)
    }

    fn bays(&mut self) {
        for index in 0..self.site.rooms.len() {
            let mut bays = RoomBays::default();
            // Of work that was stopped every room has its place, with nothing in it.
            let is_drawn = self.room(index).room_use != RoomUse::Outside && self.goes_on(index);
            if let (Some(outline), true) = (&self.room(index).outline, is_drawn) {
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
        if under.is_none() && room.stack.below == Below::AnotherDwelling {
            return None;
        }
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
        let theirs = room.stack.above == Above::AnotherDwelling;
        if theirs || room.ceiling == CeilingConstruction::Concrete || room.room_use == RoomUse::Loft {
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
        let open = room.stack.above == Above::RoofVoid
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

    /// Along the head of the walls, wherever a ceiling has no void over it or over some part of it.
    fn heads(&mut self) {
        for index in 0..self.map.rooms.len() {
            let room = self.room(index);
            let (Some(surface), true) = (self.map.rooms[index].surface, room.is_inside()) else { continue };
            let Some(outline) = room.outline.clone().filter(|_| room.room_use != RoomUse::Loft) else { continue };
            if !self.goes_on(index) {
                break;
            }
            let mut places = outline.corners().iter().copied().chain([outline.middle()]);
            if places.all(|at| self.over(index, at).is_some()) {
                continue;
            }
            let height = (self.room(index).height.value() - UNDER_THE_CEILING_M).max(SKIRTING_M);
            let (plan, kind) = (&self.map.bays[surface], BayKind::Head);
            let Bay { level, medium, void, exposed, .. } = *plan;
            let new = NewBay { kind, room: index, level, height, medium, void, outline, opening: None, exposed };
            self.map.rooms[index].head = Some(self.map.add_bay(new));
        }
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
        if self.map.recorded.is_empty() {
            return;
        }
        for bay in &mut self.map.bays {
            let level = self.site.rooms[bay.room].level;
            // The void between two storeys is the ceiling of one and the floor of the other.
            let (own, floor, ceiling) = (only(bay.medium), only(Medium::FloorVoid), only(Medium::CeilingVoid));
            let closing: Vec<(u32, i8)> = match bay.kind {
                BayKind::Below => vec![(own | floor, level), (ceiling, level.saturating_sub(1))],
                BayKind::Above => vec![(own | ceiling, level)],
                BayKind::Surface | BayKind::Head | BayKind::External => vec![(own, level)],
            };
            let recorded = &self.map.recorded;
            let standing = closing.into_iter().flat_map(|(media, level)| recorded.closing(media, level));
            // A beam that closes the void hangs below the ceiling too.
            let beams = recorded.closing(ceiling, level).filter(|one| bay.kind == BayKind::Head && one.is_a_beam());
            let standing = standing.chain(beams);
            let (least, greatest) = bay.outline.bounds();
            let near = |one: &&Footprint| one.is_near(least, greatest);
            let mut footprints: Vec<Footprint> = standing.filter(near).copied().collect();
            if matches!(bay.kind, BayKind::Surface | BayKind::Head) && bay.goes_round() {
                footprints.extend(recorded.doorways(level, &bay.outline, bay.height));
            }
            if !self.work.spend(WorkPart::Routes, Field::steps_of(footprints.len(), bay.goes_round()) as u64) {
                break;
            }
            bay.field = Field::of(footprints, &bay.outline, bay.goes_round()).map(Box::new);
        }
    }

    /// What stands in one of these bays at a place.
    fn holding(&self, bays: impl IntoIterator<Item = BayIndex>, at: Position) -> Option<Obstacle> {
        let fields = bays.into_iter().filter_map(|bay| self.map.bays[bay].field.as_ref());
        fields.filter_map(|field| field.holding(at)).map(|one| one.obstacle).next()
    }

    /// Whether a cable may go up or down a wall of a room at a place: through nothing over its ceiling or under its floor,
    /// and in no wall that must be left alone.
    fn may_go_up(&self, index: RoomIndex, at: Position) -> bool {
        let recorded = &self.map.recorded;
        if recorded.is_empty() {
            return true;
        }
        let room = self.room(index);
        let (medium, _) = wall_way(room.surface, room.wall, true);
        let below = room.level.saturating_sub(1);
        let through = recorded.overhead(room.level, at).or_else(|| recorded.underfoot(room.level, at));
        let through = through.or_else(|| recorded.overhead(below, at));
        let in_the_wall = recorded.closing(only(medium), room.level).any(|one| one.strip.holds(at));
        let opening = room
            .outline
            .as_ref()
            .is_some_and(|outline| recorded.openings_at(room.level, (outline, at)).next().is_some());
        through.is_none() && !in_the_wall && !opening
    }

    /// Ways between bays that share a wall, layer by layer.
    fn gates(&mut self) {
        let mut layers: BTreeMap<(Layer, i8), Vec<BayIndex>> = BTreeMap::new();
        for (bay, plan) in self.map.bays.iter().enumerate() {
            let level = self.room(plan.room).level;
            let over = level.saturating_add(1);
            let own: &[(Layer, i8)] = match plan.kind {
                // From under the roof of an outbuilding nothing goes on into a building beside it.
                BayKind::Above if self.room(plan.room).outbuilding.is_some() => &[],
                BayKind::Below => &[(Layer::Voids, level)],
                BayKind::Above => &[(Layer::Voids, over)],
                BayKind::Surface | BayKind::External => &[(Layer::Feet, level)],
                // From over a ceiling one comes through the wall to the head of the next room's walls.
                BayKind::Head => &[(Layer::Heads, level), (Layer::Voids, over)],
            };
            own.iter().for_each(|layer| layers.entry(*layer).or_default().push(bay));
        }
        let mut shared: Vec<(BayIndex, BayIndex, Edge, bool)> = Vec::new();
        for ((layer, level), bays) in layers {
            let outlines: Vec<&Shape> = bays.iter().map(|bay| &self.map.bays[*bay].outline).collect();
            let walls: Vec<f64> = bays.iter().map(|bay| reach(self.room(self.map.bays[*bay].room).wall)).collect();
            let stretches = stretches(&outlines, &walls, (self.work, WorkPart::Routes));
            if !self.work.goes_on() {
                break;
            }
            let by_faces = self.site.plans.get(&level).is_some_and(|plan| plan.drawn_by == DrawnBy::Faces);
            for stretch in stretches.iter().filter(|stretch| stretch.length() >= SHARED_M_MIN) {
                let Some(across) = stretch.across else { continue };
                let [one, other] = [stretch.face, across.face].map(|face| bays[face.outline]);
                let both_heads = [one, other].iter().all(|bay| self.map.bays[*bay].kind == BayKind::Head);
                if one < other && !(both_heads && layer == Layer::Voids) {
                    let side = outlines[stretch.face.outline].edge(stretch.face.edge);
                    // Drawn by the faces of walls, rooms that touch have none between them.
                    let is_open = layer != Layer::Voids && by_faces && across.touches();
                    shared.push((one, other, stretch.on(side), is_open));
                }
            }
        }
        shared.sort_by(|a, b| {
            let key = |entry: &(BayIndex, BayIndex, Edge, bool)| (entry.2.from.x_m, entry.2.from.y_m);
            (a.0, a.1).cmp(&(b.0, b.1)).then(key(a).0.total_cmp(&key(b).0)).then(key(a).1.total_cmp(&key(b).1))
        });
        for (one, other, stretch, is_open) in shared {
            if !self.work.goes_on() {
                break;
            }
            let opening = if is_open { None } else { self.hole([one, other], stretch) };
            self.gate([one, other], stretch, opening);
        }
    }

    /// The hole that a gate needs.
    fn hole(&mut self, bays: [BayIndex; 2], stretch: Edge) -> Option<usize> {
        let [one, other] = bays.map(|bay| (self.map.bays[bay].kind, self.map.bays[bay].room));
        let walls = match (one.0, other.0) {
            // Under an upper floor the partition above stands on the boards; only a wall below passes through.
            (BayKind::Below, BayKind::Below) if self.room(one.1).level > self.lowest_level() => {
                let level = self.room(one.1).level.saturating_sub(1);
                /// To both sides of the wall, in rooms with the thickest one between them.
                const BESIDE_M: f64 = 0.2;
                let beside = |off: f64| self.patches.room_at(&self.site.rooms, level, stretch.beside_its_middle(off));
                let under = [BESIDE_M, -BESIDE_M].map(beside);
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
        let on_the_walls = |kind: BayKind| matches!(kind, BayKind::Surface | BayKind::Head);
        if masonry.is_none() && !on_the_walls(one.0) && !on_the_walls(other.0) {
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

    /// A room in the roof is open to the voids over the rooms under it.
    fn loft_rooms(&mut self) {
        for index in 0..self.site.rooms.len() {
            let (Some(surface), Some(outline)) = (self.map.rooms[index].surface, self.room(index).outline.clone())
            else {
                continue;
            };
            if self.room(index).room_use != RoomUse::Loft || !self.work.goes_on() {
                continue;
            }
            let (least, greatest) = outline.bounds();
            for under in self.patches.rooms_near(self.room(index).level.saturating_sub(1), least, greatest) {
                let at = self.site.rooms[under].outline.as_ref().map(Shape::middle);
                if let (Some(above), Some(at)) = (self.map.rooms[under].above, at.filter(|at| outline.holds(*at))) {
                    let stretch = Edge { from: at, to: at };
                    self.map.add_gate(Gate::free([above, surface], stretch, None));
                }
            }
        }
    }

    /// The bay over a place in a room.
    fn over(&self, index: RoomIndex, at: Position) -> Option<BayIndex> {
        over(self.site, &self.map, &self.patches, index, at)
    }
}

/// The bay over a place in a room: the void under the floor of the room above, or the void under the roof; where there is
/// none, the head of the walls.
pub(super) fn over(site: &Site, map: &Map, patches: &Patches, index: RoomIndex, at: Position) -> Option<BayIndex> {
    let room = &site.rooms[index];
    let head = map.rooms[index].head;
    if room.ceiling == CeilingConstruction::Concrete || room.room_use == RoomUse::Loft {
        return head;
    }
    let above = patches.room_at(&site.rooms, room.level.saturating_add(1), at);
    let above = above.filter(|above| site.rooms[*above].room_use != RoomUse::Loft && room.outbuilding.is_none());
    let under_a_floor = above.and_then(|above| map.rooms[above].below);
    under_a_floor.or(map.rooms[index].above).or(head)
}

/// A metre of cable in a riser that is there.
pub(super) fn riser_cable(prices: &RoomPrices, room: &RoomPlan, cable: CableClass) -> Rate {
    match wall_way(room.surface, room.wall, false) {
        (Medium::WallChase, _) => prices.metre_in_chase(cable),
        (_, void) => prices.metre(cable, void, false),
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

/// At what height bays meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Layer {
    /// In the voids over ceilings and under floors.
    Voids,
    /// At the foot of walls.
    Feet,
    /// At their head.
    Heads,
}

/// Whether a cable through this wall wants a drilled hole even in the void.
const fn is_masonry(wall: Wall) -> bool {
    !matches!(wall, Wall::TimberStud | Wall::MetalStud | Wall::TimberFrame | Wall::Glazed)
}
