//! How a void is to work in, what is chased, and which houses are drawn on a map.

use crate::limits::{MAPPED_POINTS_MAX, MAPPED_ROOMS_MAX};
use crate::site::Site;
use crate::survey::{FloorConstruction, Medium, Wall};

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
    matches!(wall_way(false, wall, true), (Medium::WallChase, _))
}

/// The way up or down a wall: on the surface, in a chase, or behind a lining, where only the first cable is fished and
/// the others are drawn in with it.
#[must_use]
pub const fn wall_way(surface: bool, wall: Wall, first: bool) -> (Medium, Void) {
    if surface {
        return (Medium::SurfaceClipped, Void::Surface);
    }
    let fished = if first { Void::Closed } else { Void::Open };
    match wall {
        Wall::Brick
        | Wall::DenseBlock
        | Wall::AeratedBlock
        | Wall::BreezeBlock
        | Wall::Concrete
        | Wall::StoneRubble
        | Wall::Cob
        | Wall::LathAndPlaster => (Medium::WallChase, Void::Open),
        Wall::Glazed => (Medium::MiniTrunking, Void::Trunking),
        Wall::PlasterboardOnDabs => (Medium::DryLiningGap, fished),
        Wall::TimberStud | Wall::MetalStud | Wall::PlasterboardOnBatten | Wall::TimberFrame => {
            (Medium::StudCavity, fished)
        }
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
