//! What was not recorded, as alternatives with their cost. The same sums serve the range (how far it spreads) and
//! the questions (what the answer is worth).

use crate::catalogue::{Catalogue, PointGroup, PointPlace};
use crate::labour::{Factors, ItemHours};
use crate::rate_sheet::{Stage, Workbook};
use crate::routes::is_chased;
use crate::site::{RoomIndex, RoomPlan, Site};
use crate::survey::{FloorConstruction, Occupancy, Wall};

/// Something that was not recorded in some rooms, and what each answer would cost, house-wide.
#[derive(Debug, Clone, PartialEq)]
pub struct Unknown {
    /// What.
    pub subject: &'static str,
    /// The rooms.
    pub rooms: Vec<RoomIndex>,
    /// Direct cost under each alternative, with its name.
    pub alternatives: Vec<(&'static str, f64)>,
}

impl Unknown {
    /// Standard deviation of the cost, the alternatives at equal odds.
    #[must_use]
    pub fn deviation(&self) -> f64 {
        let count = self.count();
        let mean = self.alternatives.iter().map(|(_, cost)| cost).sum::<f64>() / count;
        let squares: f64 = self.alternatives.iter().map(|(_, cost)| (cost - mean) * (cost - mean)).sum();
        (squares / count).sqrt()
    }

    /// The dearest answer less the cheapest.
    #[must_use]
    pub fn span(&self) -> f64 {
        let costs = || self.alternatives.iter().map(|(_, cost)| *cost);
        let dearest = costs().fold(f64::NEG_INFINITY, f64::max);
        let cheapest = costs().fold(f64::INFINITY, f64::min);
        if dearest > cheapest { dearest - cheapest } else { 0.0 }
    }

    /// The names of the cheapest and the dearest answer.
    #[must_use]
    pub fn ends(&self) -> (&'static str, &'static str) {
        let cheapest = self.alternatives.iter().min_by(|a, b| a.1.total_cmp(&b.1));
        let dearest = self.alternatives.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        (cheapest.map_or("", |(name, _)| name), dearest.map_or("", |(name, _)| name))
    }

    #[expect(clippy::cast_precision_loss, reason = "a handful of alternatives")]
    fn count(&self) -> f64 {
        self.alternatives.len().max(1) as f64
    }
}

/// Walls that a house of any age may have, at equal odds. From memory.
const CREDIBLE_WALLS: [Wall; 6] =
    [Wall::Brick, Wall::DenseBlock, Wall::AeratedBlock, Wall::BreezeBlock, Wall::PlasterboardOnDabs, Wall::TimberStud];
/// Floors likewise.
const CREDIBLE_FLOORS: [FloorConstruction; 3] =
    [FloorConstruction::SuspendedTimber, FloorConstruction::ChipboardOnJoists, FloorConstruction::SolidConcrete];
/// Occupancies likewise.
const CREDIBLE_OCCUPANCIES: [Occupancy; 3] = [Occupancy::Empty, Occupancy::LightlyFurnished, Occupancy::Furnished];
/// A drop or rise is about this long. Source: sanity figure of the trade, 0.5 m (rise) to 1.4 m (drop), common practice.
const TYPICAL_DROP_M: f64 = 1.4;
const TYPICAL_RISE_M: f64 = 0.5;

/// What the rooms are asked about.
pub struct Asked<'a> {
    /// The house.
    pub site: &'a Site,
    /// The trade's tables.
    pub catalogue: &'a Catalogue,
    /// The rates.
    pub workbook: &'a Workbook,
    /// The factors.
    pub factors: &'a Factors,
    /// Hours of all items of each room that its occupancy multiplies, by stage.
    pub occupiable: &'a [[f64; Stage::COUNT]],
}

impl Asked<'_> {
    /// Everything that was not recorded and that moves money.
    #[must_use]
    pub fn unknowns(&self) -> Vec<Unknown> {
        let rate = self.workbook.sheet.terms.labour_rate.approximate();
        let found = [
            self.unknown(
                "wall",
                |room| !room.wall_recorded && !room.surface,
                CREDIBLE_WALLS.map(Wall::word),
                |room, way| self.wall_hours(&self.site.rooms[room], CREDIBLE_WALLS[way]) * rate,
            ),
            self.unknown(
                "floor-construction",
                |room| !room.floor_recorded && !room.surface,
                CREDIBLE_FLOORS.map(FloorConstruction::word),
                |room, way| self.floor_hours(&self.site.rooms[room], CREDIBLE_FLOORS[way]) * rate,
            ),
            self.unknown(
                "occupancy",
                |room| !room.occupancy_recorded,
                CREDIBLE_OCCUPANCIES.map(Occupancy::word),
                |room, way| self.factors.occupied_hours(&self.occupiable[room], CREDIBLE_OCCUPANCIES[way]) * rate,
            ),
        ];
        found.into_iter().flatten().collect()
    }

    fn unknown<const WAYS: usize>(
        &self,
        subject: &'static str,
        silent: impl Fn(&RoomPlan) -> bool,
        names: [&'static str; WAYS],
        cost: impl Fn(RoomIndex, usize) -> f64,
    ) -> Option<Unknown> {
        let asked = |room: &RoomPlan| room.is_inside() && !room.points.is_empty() && silent(room);
        let rooms: Vec<RoomIndex> =
            self.site.rooms.iter().enumerate().filter(|(_, room)| asked(room)).map(|(index, _)| index).collect();
        if rooms.is_empty() {
            return None;
        }
        // One house is of one make: the answer is taken to be the same in every room that was not recorded.
        let alternatives = std::array::from_fn::<_, WAYS, _>(|way| {
            (names[way], rooms.iter().map(|room| cost(*room, way)).sum::<f64>())
        });
        Some(Unknown { subject, rooms, alternatives: alternatives.to_vec() })
    }

    /// Hours of boxes, drops and filling in a room, if its walls were of this kind.
    fn wall_hours(&self, room: &RoomPlan, wall: Wall) -> f64 {
        let work = self.workbook.wall_work(wall);
        let does = &self.workbook.does;
        let mut hours = 0.0;
        for point in &room.points {
            let kind = &self.catalogue.points()[point.row];
            if kind.place != PointPlace::Wall || kind.boxes == 0 {
                continue;
            }
            let boxes = f64::from(kind.boxes) * f64::from(point.count);
            let size = crate::rate_sheet::box_index(kind.gangs, kind.depth_mm);
            hours += boxes * self.first_fix(work.boxes[size]);
            let drop = if kind.group == PointGroup::Switch { TYPICAL_DROP_M } else { TYPICAL_RISE_M };
            hours += boxes
                * match work.chases {
                    Some([single, _]) => {
                        let fill = self.second_fix(does.fill_chase) * drop + self.second_fix(does.fill_box);
                        (self.first_fix(single) + self.first_fix(does.te_2_5_chase)) * drop + fill
                    }
                    None => self.first_fix(does.te_2_5_fished) * drop + self.first_fix(does.drill_stud),
                };
        }
        hours
    }

    /// Hours of getting to the low points of a room, if its floor was of this kind.
    fn floor_hours(&self, room: &RoomPlan, floor: FloorConstruction) -> f64 {
        let kind = self.catalogue.floor(floor);
        let does = &self.workbook.does;
        let low: f64 = room
            .points
            .iter()
            .filter(|point| {
                let kind = &self.catalogue.points()[point.row];
                kind.place == PointPlace::Wall && kind.group != PointGroup::Switch
            })
            .map(|point| f64::from(point.count))
            .sum();
        let chased = is_chased(room.wall);
        let per_metre = match self.workbook.wall_work(room.wall).chases {
            Some([_, double]) if chased => {
                self.first_fix(double) + self.first_fix(does.te_2_5_chase) * 2.0 + self.second_fix(does.fill_chase)
            }
            _ => self.first_fix(does.te_2_5_fished) * 2.0,
        };
        if kind.void && self.catalogue.covering(room.covering).lifts {
            let line = room.shape.longer_side().value();
            let covering = self.catalogue.covering(room.covering);
            let boards = self.workbook.board_operation(floor).map_or(0.0, |operation| self.first_fix(operation));
            let lifted =
                self.workbook.covering_operation(room.covering).map_or(0.0, |operation| self.first_fix(operation));
            line * (boards * kind.board_m2_per_m + lifted * covering.m2_per_m)
                + line * kind.joists_per_m * 0.5 * self.first_fix(does.drill_joist)
                + low * TYPICAL_RISE_M * per_metre
        } else {
            low * (room.height.value() - TYPICAL_RISE_M).max(0.0) * per_metre
        }
    }

    fn first_fix(&self, operation: crate::rate_sheet::OperationIndex) -> f64 {
        self.workbook.operation(operation).stages[Stage::FirstFix.index()].map_or(0.0, |hours| hours.mean())
    }

    fn second_fix(&self, operation: crate::rate_sheet::OperationIndex) -> f64 {
        self.workbook.operation(operation).stages[Stage::SecondFix.index()].map_or(0.0, |hours| hours.mean())
    }
}

/// Hours of each room that its occupancy multiplies, from the items in it.
#[must_use]
pub fn occupiable(
    rooms: usize,
    items: impl Iterator<Item = (Option<RoomIndex>, ItemHours)>,
) -> Vec<[f64; Stage::COUNT]> {
    let mut sums = vec![[0.0; Stage::COUNT]; rooms];
    for (room, hours) in items {
        let Some(sum) = room.and_then(|room| sums.get_mut(room)) else { continue };
        for (total, part) in sum.iter_mut().zip(hours.occupiable) {
            *total += part;
        }
    }
    sums
}
