//! Each planned route held against what the fabric allows: how deep a chase, how large a hole, how far from a corner.

use super::{IN_THE_ANGLE_M, Opening, Run};
use crate::catalogue::{BuildingLimitName, Catalogue};
use crate::site::{RoomIndex, Site};

/// Capping over flat cable, below the plaster. From memory.
pub const CHASE_MM: f64 = 20.0;
/// The hole that the labour table drills through a joist. Source: the table's own row, up to 25 mm.
pub const JOIST_HOLE_MM: f64 = 25.0;
/// Depth of a joist where nobody measured it. From memory: 175 to 225 mm in old floors; the smaller.
pub const JOIST_DEPTH_MM: f64 = 175.0;

/// A limit of the fabric that a run comes near, in the room where it is closest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FabricLimit {
    /// The room.
    pub room: RoomIndex,
    /// What is cut or kept to, with what allows it.
    pub cut: FabricCut,
    /// What the run does, in mm.
    pub value_mm: f64,
    /// What is allowed, in mm.
    pub limit_mm: f64,
}

/// What a run cuts into, or keeps to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FabricCut {
    /// A chase down a wall.
    Chase {
        /// The leaf that it is cut into.
        leaf_mm: f64,
        /// The share of it that may be cut.
        share: f64,
    },
    /// A hole through a joist.
    JoistHole {
        /// The joist.
        joist: Joist,
        /// The share of its depth that the hole may be.
        share: f64,
    },
    /// What such a hole leaves to the edge.
    JoistHoleEdge(Joist),
    /// A riser in the angle of two walls, without an accessory.
    CornerZone,
}

/// The joists of a floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joist {
    /// Their depth.
    pub depth_mm: f64,
    /// Whether that was measured, or taken.
    pub measured: bool,
}

impl FabricLimit {
    /// Which limit of the building rules it is.
    #[must_use]
    pub const fn name(&self) -> BuildingLimitName {
        match self.cut {
            FabricCut::Chase { .. } => BuildingLimitName::VerticalChase,
            FabricCut::JoistHole { .. } => BuildingLimitName::JoistHole,
            FabricCut::JoistHoleEdge(_) => BuildingLimitName::JoistHoleEdge,
            FabricCut::CornerZone => BuildingLimitName::CornerZone,
        }
    }

    /// Whether the run keeps to it: to an edge there is a least distance, all else has a most.
    #[must_use]
    pub const fn is_kept(&self) -> bool {
        match self.cut {
            FabricCut::JoistHoleEdge(_) => self.value_mm >= self.limit_mm,
            FabricCut::Chase { .. } | FabricCut::JoistHole { .. } | FabricCut::CornerZone => {
                self.value_mm <= self.limit_mm
            }
        }
    }
}

/// The limits that a run comes near, each where it is closest.
#[must_use]
pub fn limits(site: &Site, catalogue: &Catalogue, run: &Run) -> Vec<FabricLimit> {
    let mut limits = Vec::new();
    limits.extend(chase(site, catalogue, run));
    let floors = run.openings.iter().filter_map(|opening| match opening {
        Opening::Floor(room) => Some(*room),
        _ => None,
    });
    let shallowest = floors.min_by(|a, b| {
        let depth = |room: RoomIndex| site.rooms[room].joist_depth_mm.unwrap_or(JOIST_DEPTH_MM);
        depth(*a).total_cmp(&depth(*b)).then(a.cmp(b))
    });
    limits.extend(shallowest.into_iter().flat_map(|room| joists(site, catalogue, room)));
    let corner = run.openings.iter().find_map(|opening| match opening {
        Opening::Riser { room, .. } => Some(*room),
        _ => None,
    });
    limits.extend(corner.map(|room| zone(catalogue, room)));
    limits
}

/// The chase in the thinnest leaf.
fn chase(site: &Site, catalogue: &Catalogue, run: &Run) -> Option<FabricLimit> {
    let leaf = |room: RoomIndex| catalogue.leaf_mm(site.rooms[room].wall);
    let chased = run.chases.iter().map(|chase| chase.room).filter(|room| leaf(*room) > 0.0);
    let room = chased.min_by(|a, b| leaf(*a).total_cmp(&leaf(*b)).then(a.cmp(b)))?;
    let share = catalogue.building_limit(BuildingLimitName::VerticalChase).value;
    let leaf_mm = leaf(room);
    Some(FabricLimit { room, cut: FabricCut::Chase { leaf_mm, share }, value_mm: CHASE_MM, limit_mm: leaf_mm * share })
}

/// A hole on the centre line of a joist: its size, and what is left to the edge.
fn joists(site: &Site, catalogue: &Catalogue, room: RoomIndex) -> [FabricLimit; 2] {
    let share = catalogue.building_limit(BuildingLimitName::JoistHole).value;
    let known = site.rooms[room].joist_depth_mm;
    let joist = Joist { depth_mm: known.unwrap_or(JOIST_DEPTH_MM), measured: known.is_some() };
    let edge_mm = catalogue.building_limit(BuildingLimitName::JoistHoleEdge).value;
    let left_mm = (joist.depth_mm - JOIST_HOLE_MM) / 2.0;
    let hole = FabricCut::JoistHole { joist, share };
    [
        FabricLimit { room, cut: hole, value_mm: JOIST_HOLE_MM, limit_mm: joist.depth_mm * share },
        FabricLimit { room, cut: FabricCut::JoistHoleEdge(joist), value_mm: left_mm, limit_mm: edge_mm },
    ]
}

/// A riser without an accessory keeps to the angle of two walls.
fn zone(catalogue: &Catalogue, room: RoomIndex) -> FabricLimit {
    let limit_mm = catalogue.building_limit(BuildingLimitName::CornerZone).value;
    FabricLimit { room, cut: FabricCut::CornerZone, value_mm: IN_THE_ANGLE_M * 1_000.0, limit_mm }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::Wall;

    /// Source: Approved Document A 2C30 seen: 33 to 34 mm in a leaf of 100 to
    /// 102.5 mm.
    #[test]
    fn a_chase_may_be_a_third_of_a_brick_leaf_deep() {
        let catalogue = Catalogue::built_in();
        let share = catalogue.building_limit(BuildingLimitName::VerticalChase).value;
        assert!((share * catalogue.leaf_mm(Wall::Brick) - 34.0).abs() < 0.5);
        assert!((share * catalogue.leaf_mm(Wall::DenseBlock) - 33.0).abs() < 0.5);
    }
}
