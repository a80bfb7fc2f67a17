//! Everything that an answer says, one file a subject. The steps before give facts; only here do they become sentences.

pub(crate) mod circuits;
pub(crate) mod general;
pub(crate) mod routes;
