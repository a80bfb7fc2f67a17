//! An appliance of a room, with its load.

use crate::geometry::Position;
use crate::quantities::Kilowatts;
use crate::survey::ApplianceType;

/// An appliance with its load.
#[derive(Debug, Clone, PartialEq)]
pub struct AppliancePlan {
    /// The kind.
    pub kind: ApplianceType,
    /// Load of one.
    pub load: Kilowatts,
    /// Whether somebody read the plate.
    pub load_recorded: bool,
    /// How many.
    pub count: u32,
    /// Phases that it takes.
    pub phases: u8,
    /// Where it stands, if it was marked.
    pub at: Option<Position>,
}

impl AppliancePlan {
    /// What one of them draws from each phase that it takes.
    #[must_use]
    pub fn per_phase(&self) -> Kilowatts {
        self.load * (1.0 / f64::from(self.phases.max(1)))
    }
}
