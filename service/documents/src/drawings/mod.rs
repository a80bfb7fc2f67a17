//! Drawings of an estimate as SVG: for paper, without scripts and without anything from outside the file.
//!
//! A drawing is a function of the estimate alone: the same document gives the same bytes. Figures are the document's
//! own. Lengths on the sheet are millimetres, so that a drawing printed at full size has letters of the height that
//! drawings want and a plan has its scale.

mod devices;
mod lettering;
mod sheet;
mod single_line;
mod svg;

pub use single_line::single_line_diagram;
