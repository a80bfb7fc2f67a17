//! Survey in, estimate out. Pure: no I/O, no clock, no async, no global state.
//!
//! Read it in the order of the job: `survey → site → routes → circuits → checks → take_off → labour → pricing →
//! range → flags → options → estimate`. A step never reaches back.

pub mod catalogue;
pub mod circuits;
pub mod document;
pub mod estimate;
pub mod faults;
pub mod labour;
pub mod limits;
pub mod money;
pub mod pricing;
pub mod quantities;
pub mod range;
pub mod rate_sheet;
pub mod routes;
pub mod site;
pub mod survey;
mod table;
pub mod take_off;

/// The version of the engine, recorded in every estimate.
pub const ENGINE_VERSION: &str = env!("CARGO_PKG_VERSION");
