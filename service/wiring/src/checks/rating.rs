//! What a cable carries as it lies: for choosing between ways of laying it, and for the checks of a circuit.

use super::overload::{BURIED_SHARE, alone_a};
use super::request::InstallationConditions;
use crate::quantities::{Amps, Metres, SquareMillimetres};
use crate::standards::{
    Burial, CableGrouping, CableType, Celsius, NotInTable, ReferenceMethod, Standards, Surroundings,
};

/// What a cable carries as it lies: `Iz = It x Ca x Cg x Ci x Cs x Cd`.
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
    /// Soil and depth, of a buried cable.
    pub buried: Option<(f64, f64)>,
}

/// The table's figure and the factors, each looked up by itself, so that a check names every one that is missing.
pub(super) struct RatingParts {
    pub tabulated: Result<Amps, NotInTable>,
    pub ca: Result<f64, NotInTable>,
    pub cg: Result<f64, NotInTable>,
    pub ci: f64,
    pub cs: Result<f64, NotInTable>,
    pub cd: Result<f64, NotInTable>,
    pub buried: bool,
}

impl RatingParts {
    pub fn look_up(
        standards: &Standards,
        cable: CableType,
        line: SquareMillimetres,
        installation: &InstallationConditions,
    ) -> Self {
        let method = installation.method;
        let buried = method == ReferenceMethod::D;
        let surroundings = if buried { Surroundings::Ground } else { Surroundings::Air };
        let grouping = installation.grouping.unwrap_or(CableGrouping::Bunched);
        let burial = installation.burial.unwrap_or(Burial::Direct);
        // What is left out is as the table has it, whose factor is one.
        let factor = |given: Option<Result<f64, NotInTable>>| given.unwrap_or(Ok(1.0));
        Self {
            tabulated: standards.capacity(cable, method, line),
            ca: factor(
                installation.ambient_c.map(|at| standards.ambient_factor(surroundings, cable, Celsius::new(at))),
            ),
            cg: standards.grouping_factor(grouping, installation.grouped_circuits.unwrap_or(1)),
            ci: insulation_factor(standards, (method, line), installation.insulation_mm.unwrap_or_default()),
            cs: factor(installation.soil_k_m_per_w.map(|soil| standards.soil_factor(burial, soil))),
            cd: factor(installation.depth_m.map(|depth| standards.depth_factor(burial, Metres::new(depth)))),
            buried,
        }
    }
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
        let parts = RatingParts::look_up(standards, cable, line, installation);
        let buried = if parts.buried { Some((parts.cs?, parts.cd?)) } else { None };
        Ok(Self { tabulated: parts.tabulated?, ca: parts.ca?, cg: parts.cg?, ci: parts.ci, buried })
    }

    /// All factors together.
    pub(crate) fn factor(&self) -> f64 {
        let (cs, cd) = self.buried.unwrap_or((1.0, 1.0));
        self.ca * self.cg * self.ci * cs * cd
    }

    /// What it carries.
    #[must_use]
    pub fn iz(&self) -> Amps {
        self.tabulated * self.factor()
    }

    /// The largest breaker that protects it. `alone` says that no two of the group are overloaded at once while this one
    /// carries `ib`.
    #[must_use]
    pub fn largest_device(&self, ib: Amps, alone: bool) -> Amps {
        let share = if self.buried.is_some() { BURIED_SHARE } else { 1.0 };
        let ungrouped_a = self.iz().value() / self.cg;
        let by_formula = if alone { alone_a(ungrouped_a, self.cg, ib.value()) } else { None };
        by_formula.map_or(self.iz(), Amps::new) * share
    }
}

/// The table of Appendix 4 item 2.6 holds conductors up to 10 mm2; a larger one takes the half of Reg 523.9 from the first
/// millimetre.
const IN_TABLE_UP_TO: SquareMillimetres = SquareMillimetres::new(10.0);

/// For insulation round a cable; one where its method allows for insulation already.
fn insulation_factor(
    standards: &Standards,
    (method, line): (ReferenceMethod, SquareMillimetres),
    insulation_mm: f64,
) -> f64 {
    if method.allows_for_insulation() {
        return 1.0;
    }
    let length = if insulation_mm > 0.0 && line > IN_TABLE_UP_TO {
        Metres::new(f64::MAX)
    } else {
        Metres::new(insulation_mm / 1_000.0)
    };
    standards.insulation_factor(length)
}
