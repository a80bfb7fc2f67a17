//! The house as it was drawn, made ready for asking: its axes, its walls made straight, what each wall has beyond it.
//!
//! In: the outlines of rooms by their inner faces, as they came. Out: plain geometry. No fabric is looked up here and no
//! price is known; the drawing (how it is turned, which room came first, which corner) decides nothing.

mod condition;
mod faces;
mod frame;
mod housed;
mod plan;

pub use condition::{CONDITION_M_MAX, conditioned};
pub use faces::{Across, THICK_WALL_M_MAX, WALL_M_MAX, WallFace, WallStretch, stretches};
pub use frame::HouseFrame;
pub(super) use housed::housed;
pub use plan::{Beyond, DrawnBy, FacePiece, RoomOutline, StoreyPlan, reach};
