//! Survey in, estimate out. Pure: no I/O, no clock, no async, no global state.
//!
//! Read it in the order of the job: `survey → site → routes → circuits → checks → take_off → labour → pricing →
//! range → flags → options → estimate`. A step never reaches back.

pub mod document;
pub mod faults;
pub mod limits;
pub mod money;
pub mod quantities;
pub mod survey;

/// The version of the engine, recorded in every estimate.
pub const ENGINE_VERSION: &str = env!("CARGO_PKG_VERSION");
