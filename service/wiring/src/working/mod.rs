//! The checks shown: each figure with its working, its clause and what the rules advise, to be redone with a pencil.
//!
//! In: what [`crate::checks`] judges, or a request. Out: the answer as it is published. Nothing is decided here: a line of
//! working is made from the very figures that decided.
//!
//! `answer` is what comes out; each check has its file, named as the one that judges it; `circuit` puts them together;
//! `circuits`, `cable_sizes` and `written` answer the requests.

mod additional_protection;
mod advice;
mod answer;
mod breaking_capacity;
mod cable_sizes;
mod circuit;
mod circuits;
mod disconnection;
mod enclosure;
mod fault_withstand;
mod line;
mod overload;
mod voltage_drop;
mod written;

#[cfg(test)]
mod examples;
#[cfg(test)]
mod properties;

pub use answer::{Advice, AdviceName, Check, CheckedCircuit, CircuitCheckAnswer, EnclosureCheck};
pub use cable_sizes::{
    CableSizeAnswer, CableSizeRequest, ChosenSize, DeviceWanted, JudgedSize, NearestMiss, size_cable,
};
pub use circuit::check_one;
pub use circuits::check_circuits;
pub use written::check_circuits_as_json;
