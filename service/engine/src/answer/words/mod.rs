//! Everything that an answer says, one file a subject. The steps before give facts; only here do they become sentences.

pub(crate) mod alarms;
pub(crate) mod assumptions;
pub(crate) mod bathrooms;
pub(crate) mod board;
pub(crate) mod circuits;
pub(crate) mod demand;
pub(crate) mod earthing;
pub(crate) mod flags;
pub(crate) mod general;
mod labour;
pub(crate) mod options;
pub(crate) mod places;
pub(crate) mod pricing;
pub(crate) mod programme;
pub(crate) mod questions;
pub(crate) mod range;
pub(crate) mod routes;
pub(crate) mod scope;
pub(crate) mod take_off;
