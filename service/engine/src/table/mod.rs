//! Reading tables: the data files that are part of the program, and in [`spreadsheet`] those that come from outside.

pub(crate) mod spreadsheet;

pub(crate) use wiring::table::rows;
