//! Each planned route held against what the fabric allows: how deep a chase, how large a hole, how far from a corner.

use super::RouteLimit;
use crate::catalogue::{BuildingLimitName, Catalogue};
use crate::checks::Verdict;
use crate::routes::{IN_THE_ANGLE_M, Opening, Run};
use crate::site::{RoomIndex, Site};

/// Capping over flat cable, below the plaster. From memory.
const CHASE_MM: f64 = 20.0;
/// The hole that the labour table drills through a joist. Source: the table's own row, up to 25 mm.
const JOIST_HOLE_MM: f64 = 25.0;
/// Depth of a joist where nobody measured it. From memory: 175 to 225 mm in old floors; the smaller.
const JOIST_DEPTH_MM: f64 = 175.0;

/// The limits that a run comes near, each where it is closest.
pub(crate) fn limits(site: &Site, catalogue: &Catalogue, run: &Run) -> Vec<RouteLimit> {
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
    limits.extend(corner.map(|room| zone(site, catalogue, room)));
    limits
}

/// The chase in the thinnest leaf.
fn chase(site: &Site, catalogue: &Catalogue, run: &Run) -> Option<RouteLimit> {
    let leaf = |room: RoomIndex| catalogue.leaf_mm(site.rooms[room].wall);
    let chased = run.chases.iter().map(|chase| chase.room).filter(|room| leaf(*room) > 0.0);
    let room = chased.min_by(|a, b| leaf(*a).total_cmp(&leaf(*b)).then(a.cmp(b)))?;
    let limit = catalogue.building_limit(BuildingLimitName::VerticalChase);
    let allowed = leaf(room) * limit.value;
    Some(judged(
        site,
        catalogue,
        room,
        BuildingLimitName::VerticalChase,
        (CHASE_MM, allowed),
        CHASE_MM <= allowed,
        &format!(
            "{CHASE_MM} mm for capping over the cable; {:.4} of a leaf of {} mm is {allowed:.1} mm",
            limit.value,
            leaf(room)
        ),
    ))
}

/// A hole on the centre line of a joist: its size, and what is left to the edge.
fn joists(site: &Site, catalogue: &Catalogue, room: RoomIndex) -> [RouteLimit; 2] {
    let share = catalogue.building_limit(BuildingLimitName::JoistHole).value;
    let (depth, known) = match site.rooms[room].joist_depth_mm {
        Some(depth) => (depth, "measured"),
        None => (JOIST_DEPTH_MM, "assumed"),
    };
    let allowed = depth * share;
    let edge = catalogue.building_limit(BuildingLimitName::JoistHoleEdge).value;
    let left = (depth - JOIST_HOLE_MM) / 2.0;
    [
        judged(
            site,
            catalogue,
            room,
            BuildingLimitName::JoistHole,
            (JOIST_HOLE_MM, allowed),
            JOIST_HOLE_MM <= allowed,
            &format!("hole of {JOIST_HOLE_MM} mm; {share} of a joist of {depth} mm, which is {known}, is {allowed} mm"),
        ),
        judged(
            site,
            catalogue,
            room,
            BuildingLimitName::JoistHoleEdge,
            (left, edge),
            left >= edge,
            &format!(
                "on the centre line: ({depth} - {JOIST_HOLE_MM}) / 2 = {left} mm to each edge, at least {edge} mm"
            ),
        ),
    ]
}

/// A riser without an accessory keeps to the angle of two walls.
fn zone(site: &Site, catalogue: &Catalogue, room: RoomIndex) -> RouteLimit {
    let allowed = catalogue.building_limit(BuildingLimitName::CornerZone).value;
    let value = IN_THE_ANGLE_M * 1_000.0;
    judged(
        site,
        catalogue,
        room,
        BuildingLimitName::CornerZone,
        (value, allowed),
        value <= allowed,
        &format!(
            "{value} mm from the corner, in a zone of {allowed} mm; elsewhere cables are in line with their accessory"
        ),
    )
}

fn judged(
    site: &Site,
    catalogue: &Catalogue,
    room: RoomIndex,
    name: BuildingLimitName,
    (value_mm, limit_mm): (f64, f64),
    kept: bool,
    working: &str,
) -> RouteLimit {
    let limit = catalogue.building_limit(name);
    RouteLimit {
        limit: name,
        room: site.rooms[room].id.clone(),
        value_mm,
        limit_mm: (limit_mm * 10.0).round() / 10.0,
        verdict: if kept { Verdict::Pass } else { Verdict::Fail },
        working: working.to_owned(),
        document: format!("{} ({})", limit.document, limit.status),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::Wall;

    /// Source: Approved Document A 2C30 as quoted at professional-electrician.com: 33 to 34 mm in a leaf of 100 to
    /// 102.5 mm.
    #[test]
    fn a_chase_may_be_a_third_of_a_brick_leaf_deep() {
        let catalogue = Catalogue::built_in();
        let share = catalogue.building_limit(BuildingLimitName::VerticalChase).value;
        assert!((share * catalogue.leaf_mm(Wall::Brick) - 34.0).abs() < 0.5);
        assert!((share * catalogue.leaf_mm(Wall::DenseBlock) - 33.0).abs() < 0.5);
    }
}
