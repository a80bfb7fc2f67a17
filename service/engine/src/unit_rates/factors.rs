//! What multiplies hours: occupancy, height, wet rooms, finish and the rest, room by room.
//!
//! Factors multiply, their product is held to the sheet's cap, obstruction apart. Moving furniture is an item;
//! working round it is the factor. The type of wall is in the operation.

use crate::rate_sheet::{Factor, OperationIndex, Stage, Workbook};
use crate::site::{RoomIndex, RoomPlan, Site};
use crate::survey::{Finish, Occupancy, Parking};

/// What the work of an item is like: which factors apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Conditions {
    /// The room; absent for the whole house.
    pub room: Option<RoomIndex>,
    /// The finish.
    pub finish: Finish,
    /// Whether it is slowed by something in the way.
    pub obstructed: bool,
    /// Whether the work is done at the height of the room's ceiling; within reach from the floor otherwise.
    pub overhead: bool,
}

impl Conditions {
    /// Nothing at all.
    pub const HOUSE: Self = Self { room: None, finish: Finish::White, obstructed: false, overhead: false };
}

/// Levels of every factor, looked up once for a house.
#[derive(Debug, Clone)]
pub struct Factors {
    occupied: [[f64; Stage::COUNT]; 5],
    height: [[f64; Stage::COUNT]; 4],
    listed: [f64; Stage::COUNT],
    wet_room: [f64; Stage::COUNT],
    finish: [[f64; Stage::COUNT]; 6],
    obstructed: [f64; Stage::COUNT],
    congestion: [f64; Stage::COUNT],
    cap: f64,
    rooms: Vec<RoomFactors>,
}

#[derive(Debug, Clone, Copy)]
struct RoomFactors {
    occupancy: Occupancy,
    height: usize,
    wet: bool,
}

/// Working heights of the factor, each up to and including its limit. Source: domain practice, from memory.
const HEIGHT_LEVELS: [(f64, &str); 4] =
    [(2.5, "to-2-5-m"), (3.0, "to-3-0-m"), (3.6, "to-3-6-m"), (f64::INFINITY, "above-3-6-m")];

impl Factors {
    /// Looks the levels up.
    #[must_use]
    pub fn of(site: &Site, workbook: &Workbook) -> Self {
        let one = [1.0; Stage::COUNT];
        let congestion = match site.parking {
            Parking::Permit => workbook.factor(Factor::Congestion, "permit"),
            Parking::Distant => workbook.factor(Factor::Congestion, "distant"),
            Parking::Drive | Parking::Street => one,
        };
        Self {
            occupied: std::array::from_fn(|level| workbook.factor(Factor::Occupied, Occupancy::ALL[level].word())),
            height: HEIGHT_LEVELS.map(|(_, level)| workbook.factor(Factor::Height, level)),
            listed: if site.listed { workbook.factor(Factor::Listed, "yes") } else { one },
            wet_room: workbook.factor(Factor::WetRoom, "yes"),
            finish: std::array::from_fn(|level| workbook.factor(Factor::Finish, Finish::ALL[level].word())),
            obstructed: workbook.factor(Factor::Obstructed, "yes"),
            congestion,
            cap: workbook.sheet.terms.factor_cap,
            rooms: site.rooms.iter().map(RoomFactors::of).collect(),
        }
    }

    /// Expected hours of one unit of an operation under these conditions, all stages together: for weighing one way
    /// against another before anything is counted.
    #[must_use]
    pub fn hours_of_one(&self, operation: OperationIndex, conditions: &Conditions, workbook: &Workbook) -> f64 {
        let operation = workbook.operation(operation);
        let stages = Stage::ALL.iter().filter_map(|stage| {
            let mask = operation.factors[stage.index()];
            let (factor, _) = self.factor(|named| mask.names(named), conditions, *stage);
            Some(operation.stages[stage.index()]?.mean() * factor)
        });
        stages.sum()
    }

    /// What something in the way multiplies first fix by.
    #[must_use]
    pub fn obstruction(&self) -> f64 {
        self.obstructed[Stage::FirstFix.index()]
    }

    /// Hours of a room's work if it were as full as this, from its hours in an empty room.
    #[must_use]
    pub fn occupied_hours(&self, occupiable: &[f64; Stage::COUNT], occupancy: Occupancy) -> f64 {
        occupiable.iter().zip(self.occupied[occupancy as usize]).map(|(hours, factor)| hours * factor).sum()
    }

    /// The product of the factors that an operation names, and the same in an empty room.
    pub(crate) fn factor(&self, names: impl Fn(Factor) -> bool, conditions: &Conditions, stage: Stage) -> (f64, f64) {
        let at = stage.index();
        let mut product = 1.0;
        let mut occupied = 1.0;
        if let Some(room) = conditions.room.map(|room| self.rooms[room]) {
            if names(Factor::Occupied) {
                occupied = self.occupied[room.occupancy as usize][at];
            }
            if names(Factor::Height) && conditions.overhead {
                product *= self.height[room.height][at];
            }
            if names(Factor::WetRoom) && room.wet {
                product *= self.wet_room[at];
            }
        }
        if names(Factor::Listed) {
            product *= self.listed[at];
        }
        if names(Factor::Finish) {
            product *= self.finish[conditions.finish as usize][at];
        }
        if names(Factor::Congestion) {
            product *= self.congestion[at];
        }
        let obstructed = if names(Factor::Obstructed) && conditions.obstructed { self.obstructed[at] } else { 1.0 };
        ((product * occupied).min(self.cap) * obstructed, product.min(self.cap) * obstructed)
    }
}

impl RoomFactors {
    fn of(room: &RoomPlan) -> Self {
        let height = room.height.value();
        let level = HEIGHT_LEVELS.iter().position(|(limit, _)| height <= *limit).unwrap_or(0);
        Self { occupancy: room.occupancy, height: level, wet: room.wet }
    }
}
