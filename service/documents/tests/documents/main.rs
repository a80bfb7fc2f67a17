//! An estimate made by hand, in each of the forms in which a person reads it.

mod csv;
mod houses;
mod stored;
mod support;
mod table;
mod xlsx;
