//! Survey in, estimate out. Pure: no I/O, no clock, no async, no global state.
//!
//! Read it in the order of the job: `survey → site → unit_rates → routes → circuits → checks → take_off → labour →
//! pricing → unknowns → range → flags → options → estimate`. A step never reaches back. Beside the steps stand the
//! `standards` (tables of the wiring rules and look-ups on them), the `catalogue` (what the trade knows before it sees
//! the house) and the `rate_sheet` (the firm's own hours and prices).

pub mod survey;

pub mod site;
pub mod unit_rates;

pub mod routes;

pub mod circuits;

pub mod take_off;

pub mod labour;

pub mod pricing;

pub mod unknowns;

pub mod range;

pub mod flags;

pub mod options;

pub mod answer;

pub mod estimate;

pub mod catalogue;
pub mod context;
pub mod rate_sheet;

pub mod document;
pub mod geometry;
pub mod limits;
pub mod money;
mod table;
pub mod work;

pub use estimate::{Engine, Stamp};
pub use wiring::{checks, demand, faults, quantities, standards, working};

/// The wiring rules in force, recorded in every estimate.
pub const RULESET_ID: &str = standards::RulesetId::IN_FORCE.word();

/// The version of the engine, recorded in every estimate.
pub const ENGINE_VERSION: &str = env!("CARGO_PKG_VERSION");
