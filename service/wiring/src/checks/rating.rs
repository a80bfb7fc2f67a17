//! What a cable carries as it lies, without a circuit around it: for choosing between ways of laying it.

use super::overload::{BURIED_SHARE, alone_a};
use super::prepared::insulation_factor;
use super::request::InstallationConditions;
use crate::quantities::{Amps, SquareMillimetres};
use crate::standards::{CableGrouping, CableType, Celsius, NotInTable, ReferenceMethod, Standards, Surroundings};

/// What a cable carries as it lies: `Iz = It x Ca x Cg x Ci`. Soil and depth of a buried one are those of its table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CableRating {
    /// By the table of its kind and method.
    pub tabulated: Amps,
    /// For what surrounds it.
    pub ca: f64,
    /// For what lies with it.
    pub cg: f64,
    /// For insulation round it.
    pub ci: f64,
    buried: bool,
}

impl CableRating {
    /// Looks it up.
    ///
    /// # Errors
    /// [`NotInTable`] where the cable has no figure for the way in which it lies.
    pub fn of(
        standards: &Standards,
        cable: CableType,
        line: SquareMillimetres,
        installation: &InstallationConditions,
    ) -> Result<Self, NotInTable> {
        let method = installation.method;
        let buried = method == ReferenceMethod::D;
        let tabulated = standards.capacity(cable, method, line)?;
        let surroundings = if buried { Surroundings::Ground } else { Surroundings::Air };
        let ca = match installation.ambient_c {
            Some(ambient_c) => standards.ambient_factor(surroundings, cable, Celsius::new(ambient_c))?,
            None => 1.0,
        };
        let grouping = installation.grouping.unwrap_or(CableGrouping::Bunched);
        let cg = standards.grouping_factor(grouping, installation.grouped_circuits.unwrap_or(1))?;
        let insulation_mm = installation.insulation_mm.unwrap_or_default();
        let ci = insulation_factor(standards, (method, line), insulation_mm);
        Ok(Self { tabulated, ca, cg, ci, buried })
    }

    /// What it carries.
    #[must_use]
    pub fn iz(&self) -> Amps {
        self.tabulated * (self.ca * self.cg * self.ci)
    }

    /// The largest breaker that protects it. `alone` says that no two of the group are overloaded at once while this one
    /// carries `ib`.
    #[must_use]
    pub fn largest_device(&self, ib: Amps, alone: bool) -> Amps {
        let share = if self.buried { BURIED_SHARE } else { 1.0 };
        let ungrouped_a = self.iz().value() / self.cg;
        let by_formula = if alone { alone_a(ungrouped_a, self.cg, ib.value()) } else { None };
        by_formula.map_or(self.iz(), Amps::new) * share
    }
}
