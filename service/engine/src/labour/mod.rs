//! Hours: each item's work at the sheet's three-point hours, times the factors that each operation names. The days follow
//! from them, and from the days what comes once or every day: getting there, protecting, something to stand on, waste.

mod access;
mod preliminaries;
pub mod programme;
mod waste;

pub(crate) use access::{LADDER_UP_TO_M, TOWER_ABOVE_M};
pub use preliminaries::{Daily, preliminaries};
pub(crate) use preliminaries::{ONE_PERSON_DAYS_MAX, TRAVEL_UNIT_KM};
pub(crate) use waste::VAN_M3;

use crate::rate_sheet::{Factor, Stage, Workbook};
use crate::take_off::{Item, TakeOff};
use crate::unit_rates::Factors;

/// The hours of one item.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ItemHours {
    /// Expected hours by stage.
    pub stages: [f64; Stage::COUNT],
    /// Variance of the hours, all stages.
    pub variance: f64,
    /// What of the expected hours is there because the room is not empty.
    pub occupied: f64,
    /// Expected hours in an empty room of the work that occupancy multiplies, by stage.
    pub occupiable: [f64; Stage::COUNT],
}

impl ItemHours {
    /// The hours of an item.
    #[must_use]
    pub fn of(factors: &Factors, take_off: &TakeOff, item: &Item, workbook: &Workbook) -> Self {
        let mut hours = Self::default();
        for work in take_off.works(item) {
            let operation = workbook.operation(work.operation);
            for stage in Stage::ALL {
                let Some(three_point) = operation.stages[stage.index()] else { continue };
                let mask = operation.factors[stage.index()];
                let (factor, unoccupied) = factors.factor(|named| mask.names(named), &item.conditions, stage);
                let expected = three_point.mean() * work.quantity;
                hours.stages[stage.index()] += expected * factor;
                hours.occupied += expected * (factor - unoccupied);
                if mask.names(Factor::Occupied) {
                    hours.occupiable[stage.index()] += expected * unoccupied;
                }
                let deviation = three_point.deviation() * work.quantity * factor;
                hours.variance += deviation * deviation;
            }
        }
        hours
    }

    /// Expected hours as they are printed and paid: each stage in hundredths, so that lines add to the totals.
    #[must_use]
    pub fn in_hundredths(self) -> Self {
        Self { stages: self.stages.map(|hours| (hours * 100.0).round() / 100.0), ..self }
    }

    /// All stages together.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.stages.iter().sum()
    }
}

/// The hours of the items from `first` on.
#[must_use]
pub fn hours_of_items(factors: &Factors, take_off: &TakeOff, first: usize, workbook: &Workbook) -> Vec<ItemHours> {
    take_off.items[first..].iter().map(|item| ItemHours::of(factors, take_off, item, workbook)).collect()
}
