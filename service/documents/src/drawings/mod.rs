//! Drawings of an estimate as SVG: for paper, without scripts and without anything from outside the file.
//!
//! A drawing is a function of the estimate alone: the same document gives the same bytes. Figures are the document's
//! own. Lengths on the sheet are millimetres, so that a drawing printed at full size has letters of the height that
//! drawings want and a plan has its scale.

mod cost_range;
mod devices;
mod lettering;
mod sheet;
mod single_line;
mod svg;

use engine::estimate::Estimate;

pub use cost_range::cost_range;
pub use single_line::single_line_diagram;

/// A drawing of an estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drawing {
    /// Supply, boards, circuits, earthing.
    SingleLineDiagram,
    /// The distribution of the net price and what drives it.
    CostRange,
}

impl Drawing {
    /// Every drawing.
    pub const ALL: [Self; 2] = [Self::SingleLineDiagram, Self::CostRange];

    /// Its name in an address.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
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
    #[must_use]
    pub fn of(self, estimate: &Estimate) -> String {
        match self {
            Self::SingleLineDiagram => single_line_diagram(estimate),
            Self::CostRange => cost_range(estimate),
        }
    }
}
