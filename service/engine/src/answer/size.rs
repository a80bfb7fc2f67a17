//! How large an answer will be, before it is written.

use crate::pricing::PricedItem;
use crate::take_off::{Item, Job};

/// What everything takes that grows with nothing. Measured on examples, and so are the others.
const ALWAYS: usize = 40_000;
/// A line with its working, and the options of what it is for.
const OF_A_LINE: usize = 750;
/// A circuit with its checks, its working and its reasons.
const OF_A_CIRCUIT: usize = 4_500;
/// A stretch of a circuit's way, as it is laid.
const OF_A_SEGMENT: usize = 150;
/// A place that a stretch goes through.
const OF_A_WAYPOINT: usize = 40;
/// A point on the plan.
const OF_A_POINT: usize = 150;

/// Bytes of the estimate as it will be written, roughly: within a half of what it is, where it is large.
#[must_use]
pub(crate) fn bytes_expected(job: Job<'_>, items: &[(&Item, PricedItem)]) -> u64 {
    let circuits = &job.installation.circuits;
    let placed = circuits.iter().flat_map(|circuit| &circuit.run.placed);
    let ways: usize = placed.map(|placed| OF_A_SEGMENT + placed.waypoints.len() * OF_A_WAYPOINT).sum();
    let places = job.site.rooms.iter().flat_map(|room| &room.points).map(|point| point.places.len());
    let all =
        ALWAYS + items.len() * OF_A_LINE + circuits.len() * OF_A_CIRCUIT + ways + places.sum::<usize>() * OF_A_POINT;
    all as u64
}
