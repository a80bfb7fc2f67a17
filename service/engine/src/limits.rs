//! Every limit that a survey or a request is held to. They are printed in the API's documents and enforced
//! by the published schema and by [`crate::survey::rules`]; change them here only, and
//! those of circuits and demands in the wiring crate.

pub use wiring::limits::{
    CIRCUITS_MAX, FAULTS_LISTED_MAX, IDENTIFIER_CHARACTERS_MAX, LENGTH_M_MAX, LOAD_COUNT_MAX, LOAD_KW_MAX, LOADS_MAX,
    TEXT_CHARACTERS_MAX,
};

/// Rooms in one survey. A large block of flats priced as one document still fits.
pub const ROOMS_MAX: usize = 2_000;
/// Entries in one room's `points` or `appliances`.
pub const ROOM_ENTRIES_MAX: usize = 200;
/// `count` of one entry.
pub const POINT_COUNT_MAX: u32 = 10_000;
/// Points in one survey, all entries together.
pub const POINTS_MAX: u64 = 50_000;
/// Appliances in one survey, all entries together: each may want a circuit of its own.
pub const APPLIANCES_MAX: u64 = 1_000;
/// Circuits that are designed for one survey, those of outbuildings with them. A house has some hundreds at most.
pub const CIRCUITS_DESIGNED_MAX: usize = 1_000;
/// Storeys in one survey.
pub const STOREYS_MAX: usize = 40;
/// Obstructions, services, outbuildings or plans for the future in one survey.
pub const SITE_ENTRIES_MAX: usize = 200;
/// Steps of work up to which what a site may turn out to be is priced by the whole job again, once for each answer; beyond, by
/// what it changes alone. A drawn house of sixty rooms and any house that was not drawn are far below it.
pub const REPRICED_STEPS_MAX: u64 = 80_000_000;
/// Steps of work up to which one more of each kind of point is priced by the whole job again; beyond, at the average of those that
/// are there. A small job and a house that was not drawn are below it; nineteen kinds in a drawn house of three bedrooms took
/// six times the work of its estimate.
pub const EXTRA_POINTS_STEPS_MAX: u64 = 1_000_000;
/// Appliances without a load that are asked for one by one; of more than so many, all of a kind are one question.
pub const LOADS_ASKED_ALONE_MAX: usize = 12;
/// Outbuildings of one survey for which a feed onward from another one is priced against a feed of its own: the job is
/// priced once more for each.
pub const FEEDS_COMPARED_MAX: usize = 4;
/// Rooms up to which feeds are compared so.
pub const FEEDS_COMPARED_ROOMS_MAX: usize = 40;
/// Points up to which feeds are compared so.
pub const FEEDS_COMPARED_POINTS_MAX: u64 = 400;
/// Steps of work that one answer may take, about ten nanoseconds each: what every accepted request is answered in or refused
/// at. The largest surveys that a house can need take a fraction of it.
pub const WORK_STEPS_MAX: u64 = 150_000_000;
/// Rows in a CSV tally.
pub const TALLY_ROWS_MAX: usize = 20_000;
/// Drawn rooms up to which ways are searched on a map of the voids; in a larger building runs go along its axes from room
/// to room, and the estimate says so. The searches grow faster than the rooms.
pub const MAPPED_ROOMS_MAX: usize = 400;
/// Points up to which the same is done.
pub const MAPPED_POINTS_MAX: u64 = 15_000;
/// Rounds in which the runs of a house share what is opened; they settle in three or four.
pub const SHARING_ROUNDS_MAX: usize = 8;
/// Openings that are closed for a trial, the least used first.
pub const CLOSING_TRIALS_MAX: usize = 12;
/// Points of one run whose order is searched; beyond, rooms are taken nearest first and points as they stand.
pub const TOUR_STOPS_MAX: usize = 100;
/// Pairs of outlines that are held against each other for overlaps in one survey; those of many corners count for more.
pub const OUTLINE_PAIRS_MAX: usize = 50_000;
/// Edges of a map times ends of the runs that are planned together in one request; what is over is planned in fewer
/// rounds.
pub const SHARING_WORK_MAX: usize = 10_000_000;
/// Runs in one request for routes.
pub const RUNS_ASKED_MAX: usize = 100;
/// Tours in one request for routes.
pub const TOURS_ASKED_MAX: usize = 100;
/// Places that one tour visits in a request for routes.
pub const TOUR_VISITS_MAX: usize = 100;
/// Places that all tours of one request visit: each is held against each other of its tour, and that several times over.
pub const VISITS_ASKED_MAX: usize = 1_000;
/// Rows in one section of a rate sheet.
pub const SHEET_ROWS_MAX: usize = 10_000;
/// Largest price of a pack, rate of a point or fee in a rate sheet, in whole units of its currency. Beyond it lies a
/// slip of the keys.
pub const PRICE_MAX: i64 = 100_000;
/// Largest price of a unit of a material, waste and mark-up with it: sums over a house stay far from what a number holds.
pub const UNIT_PRICE_MAX: i64 = 1_000_000_000;
/// Smallest pack that a material is sold in: quantities are bought and cut in hundredths of their unit.
pub const PACK_SIZE_MIN: f64 = 0.01;
/// Largest cost of one person-hour, in whole units of the currency.
pub const LABOUR_RATE_MAX: i64 = 1_000;
/// Largest price of a finish as a multiple of the white one.
pub const FINISH_MULTIPLE_MAX: f64 = 100.0;
/// Decimals of a figure in a rate sheet: as many as are counted with.
pub const SHEET_FIGURE_DECIMALS: i32 = 6;
/// Changes listed between two versions of a rate sheet, or lines between two estimates; more are counted, not listed.
pub const CHANGES_LISTED_MAX: usize = 10_000;
/// Sizes that one material may be bought in, its usual one among them.
pub const PACK_SIZES_MAX: usize = 6;
/// Steps that one job may spend on proving that its cables cannot be cut from cheaper drums. About 20 ns each: beyond it the
/// plan stands with what it may be off by.
pub const CUTTING_STEPS_MAX: u64 = 20_000;
/// Drums of one cable up to which a cheaper choice is searched for at all; a job with more is cut by rule, with its gap.
pub const CUTTING_DRUMS_MAX: u64 = 24;
/// Choices of drums that are weighed for one cable.
pub const CUTTING_CHOICES_MAX: usize = 2_000;
/// Steps of length over which the cheapest choice of packs is worked out exactly; beyond it the usual pack is taken first.
pub const COVER_STEPS_MAX: u64 = 20_000;
/// Drums whose cuts are listed for one cable; more are counted, not listed.
pub const DRUMS_LISTED_MAX: usize = 50;
/// Mark-up or discount on the materials of one category, in percent.
pub const CATEGORY_PERCENTS: std::ops::RangeInclusive<f64> = -90.0..=500.0;
