//! Drawings of an estimate as SVG: for paper, without scripts and without anything from outside the file.
//!
//! A drawing is a function of the estimate alone: the same document gives the same bytes. Figures are the document's
//! own. Lengths on the sheet are millimetres, so that a drawing printed at full size has letters of the height that
//! drawings want and a plan has its scale.

mod cost_range;
mod devices;
mod fittings;
mod geometry;
mod lettering;
mod route_plan;
mod sheet;
mod single_line;
mod svg;
#[cfg(test)]
mod tests;

use engine::estimate::Estimate;

pub use cost_range::cost_range;
pub use route_plan::route_plan;
pub use single_line::single_line_diagram;

/// Why a drawing cannot be made of an estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NothingToDraw {
    /// No room has an outline, or the estimate is from before outlines were kept.
    #[error(
        "this estimate holds no plan: no room of its survey has an outline, or it was made before plans were kept; give rooms \
         an `outline` or `corners` and price the survey again"
    )]
    NoOutlines,
}

/// A drawing of an estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drawing {
    /// Each storey with rooms, points, obstructions and the ways of the cables.
    RoutePlan,
    /// Supply, boards, circuits, earthing.
    SingleLineDiagram,
    /// The distribution of the net price and what drives it.
    CostRange,
}

impl Drawing {
    /// Every drawing.
    pub const ALL: [Self; 3] = [Self::RoutePlan, Self::SingleLineDiagram, Self::CostRange];

    /// Its name in an address.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::RoutePlan => "route-plan",
            Self::SingleLineDiagram => "single-line-diagram",
            Self::CostRange => "cost-range",
        }
    }

    /// The drawing of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|drawing| drawing.name() == name)
    }

    /// Draws it.
    ///
    /// # Errors
    /// [`NothingToDraw`] where the estimate lacks what the drawing shows.
    pub fn of(self, estimate: &Estimate) -> Result<String, NothingToDraw> {
        match self {
            Self::RoutePlan => route_plan(estimate),
            Self::SingleLineDiagram => Ok(single_line_diagram(estimate)),
            Self::CostRange => Ok(cost_range(estimate)),
        }
    }
}
