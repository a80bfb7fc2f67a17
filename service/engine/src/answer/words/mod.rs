//! Everything that an answer says, one file a subject. The steps before give facts; only here do they become sentences.

pub(crate) mod general;
