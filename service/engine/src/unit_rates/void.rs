//! How a void is to work in, what is chased, and which houses are drawn on a map.

use crate::limits::{MAPPED_POINTS_MAX, MAPPED_ROOMS_MAX};
use crate::site::Site;
use crate::survey::{FloorConstruction, Wall};

/// How a void is to work in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Void {
    /// Free to lay in.
    Open,
    /// Open once the floor is up: joists to drill.
    Joists,
    /// Closed: the cable is fished.
    Closed,
    /// On the surface.
    Surface,
    /// On the surface in trunking.
    Trunking,
}

/// Whether cables go into this wall by a chase.
#[must_use]
pub const fn is_chased(wall: Wall) -> bool {
    match wall {
        Wall::Brick
        | Wall::DenseBlock
        | Wall::AeratedBlock
        | Wall::BreezeBlock
        | Wall::Concrete
        | Wall::StoneRubble
        | Wall::Cob
        | Wall::LathAndPlaster => true,
        Wall::TimberStud
        | Wall::MetalStud
        | Wall::PlasterboardOnDabs
        | Wall::PlasterboardOnBatten
        | Wall::TimberFrame
        | Wall::Glazed => false,
    }
}

/// Whether there is a void under a floor of this make.
#[must_use]
pub const fn has_void(floor: FloorConstruction) -> bool {
    matches!(floor, FloorConstruction::SuspendedTimber | FloorConstruction::ChipboardOnJoists)
}

/// Whether a building is small enough for its ways to be searched on a map.
pub(crate) fn is_mapped(site: &Site) -> bool {
    site.rooms.len() <= MAPPED_ROOMS_MAX && site.points() <= MAPPED_POINTS_MAX
}

/// Whether a map of its voids is drawn.
pub(crate) fn is_drawn(site: &Site) -> bool {
    site.measured && is_mapped(site)
}
