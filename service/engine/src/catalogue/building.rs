//! What the fabric of a building allows a cable's way: chases, holes in joists, zones of walls.

use serde::Deserialize;
use wiring::closed_list;

use crate::survey::Wall;

closed_list! {
    /// A limit of the fabric.
    BuildingLimitName {
        VerticalChase = "vertical-chase": "Depth of a vertical chase.",
        JoistHole = "joist-hole": "Diameter of a hole through a joist.",
        JoistHoleEdge = "joist-hole-edge": "Distance of a hole from the edge of a joist.",
        JoistHoleStrip = "joist-hole-strip": "Length of each of the two strips of a joist that may be drilled.",
        JoistHolesApart = "joist-holes-apart": "Centres of holes in a joist.",
        JoistHoleCables = "joist-hole-cables": "Cables in a hole through a joist or plate.",
        WallHoleCables = "wall-hole-cables": "Cables in a hole through a wall.",
        ChaseCables = "chase-cables": "Cables side by side in a chase.",
        CornerZone = "corner-zone": "Distance from the angle of two walls of a cable without an accessory.",
    }
}

/// A limit with its document.
#[derive(Debug, Clone, Deserialize)]
pub struct BuildingLimit {
    /// Which.
    pub limit: BuildingLimitName,
    /// Its figure.
    pub value: f64,
    /// Of what.
    pub unit: String,
    /// Document and clause.
    pub document: String,
    /// Where the figure was read.
    pub status: String,
}

/// The leaf that a chase is cut into.
#[derive(Debug, Clone, Deserialize)]
pub struct Leaf {
    /// The wall.
    pub wall: Wall,
    /// Its thickness; 0 where nothing is chased.
    pub leaf_mm: f64,
    /// How thick an outside wall of the same fabric is.
    pub outside_mm: f64,
}
