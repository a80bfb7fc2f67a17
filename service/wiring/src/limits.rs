//! Every limit that a request to check circuits or to work out a demand is held to. They are printed in the API's
//! documents and enforced by the published schema and by the rules of each request; change them here only.

/// Circuits in one request to check circuits.
pub const CIRCUITS_MAX: usize = 20_000;
/// Faults listed in one answer; more are counted, not listed.
pub const FAULTS_LISTED_MAX: usize = 100;
/// Characters in an identifier.
pub const IDENTIFIER_CHARACTERS_MAX: usize = 64;
/// Largest plan coordinate or run in metres.
pub const LENGTH_M_MAX: f64 = 1_000.0;
/// Largest load of one appliance in kilowatts.
pub const LOAD_KW_MAX: f64 = 100.0;
/// Characters in a name, reference or note.
pub const TEXT_CHARACTERS_MAX: usize = 500;
/// Entries in `loads` of one request for a demand.
pub const LOADS_MAX: usize = 1_000;
/// `count` of one load.
pub const LOAD_COUNT_MAX: u32 = 10_000;
