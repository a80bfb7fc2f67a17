//! The wiring rules of circuits, for anyone who wants a circuit checked: no survey, no house, no price.

pub mod checks;
pub mod demand;
pub mod faults;
pub mod limits;
pub mod quantities;
pub mod standards;
pub mod table;
pub mod told;

mod closed_list;
