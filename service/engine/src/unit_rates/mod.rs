//! What one metre or one piece costs in a room, in hours and money: the sheet's hours with the factors of the room, at
//! the sheet's rate, and the material.
//!
//! Routes, circuits, take-off and the answer all ask here; none of them works a rate out for itself.

mod cable;
mod factors;
mod rooms;
mod trench;
mod void;

pub(crate) use cable::{laying, operation_by_void};
pub use factors::{Conditions, Factors};
pub use rooms::{CAPPING_PER_M, FIXINGS_PER_M, Millionths, OpenedFloor, Prices, Rate, RoomPrices, joists_drilled};
pub(crate) use rooms::{MILLIONTHS_MAX, up_the_wall};
pub(crate) use trench::{FEED_WALL, armoured, dig, feed_hole, trench_metre};
pub use void::{Void, has_void, is_chased, wall_way};
pub(crate) use void::{is_drawn, is_mapped};
