//! The wiring rules of circuits, for anyone who wants a circuit checked: no survey, no house, no price.

mod closed_list;
