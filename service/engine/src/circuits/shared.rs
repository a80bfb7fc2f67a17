//! What cables share: a drilled wall, a chase up a corner, the joists of a floor, each with the cables that pass.

use std::collections::BTreeMap;

use super::CircuitIndex;
use super::lying::Lying;
use crate::catalogue::{BuildingLimitName, Catalogue};
use crate::routes::Waypoint;
use crate::routes::limits::{JOIST_DEPTH_MM, JOIST_HOLE_MM};
use crate::site::RoomPlan;
use crate::standards::CableGrouping;
use crate::survey::JoistDirection;

/// Cables that pass one place: a wall, or one joist.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedPlace {
    /// Each cable by its circuit, as it lies by itself.
    pub cables: Vec<(CircuitIndex, Lying)>,
    /// How many places they pass together: joists that the same cables cross.
    pub times: u32,
}

impl SharedPlace {
    /// How many pass.
    #[must_use]
    pub fn count(&self) -> u32 {
        u32::try_from(self.cables.len()).unwrap_or(u32::MAX)
    }
}

/// A way that cables share, and the holes that they are spread over.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedWay {
    /// How cables lie in one hole of it.
    pub grouping: CableGrouping,
    /// The places: of a floor its joists, by each direction in which they may run; else one.
    pub places: Vec<Vec<SharedPlace>>,
    /// The most cables that one hole takes.
    pub most_in_one: u32,
    /// The cables that are put in one hole at most.
    pub in_one: u32,
    /// The loaded ones among them.
    pub loaded_in_one: u32,
    /// Circuits whose cables have holes of their own.
    pub alone: u32,
    /// Holes in all, counted joist by joist; where the joists' direction is not known, those of both halved.
    pub holes: f64,
    /// Holes that would do for room alone.
    pub holes_for_room: f64,
    /// The most holes of one place: of a joist, whose strips are short.
    pub holes_max: Option<u32>,
    /// What one more hole costs.
    pub money_of_one: f64,
    /// What it would cost to take a larger cable in place of more holes, where that was compared.
    pub larger_cable_instead: Option<f64>,
    /// Of each circuit how its cables lie among the others, where most of them lie together.
    pub loaded: BTreeMap<CircuitIndex, Lying>,
}

impl SharedWay {
    /// A way with no cable in it.
    #[must_use]
    pub fn empty(grouping: CableGrouping, most_in_one: u32, directions: usize) -> Self {
        Self {
            grouping,
            places: vec![Vec::new(); directions],
            most_in_one,
            in_one: most_in_one,
            loaded_in_one: most_in_one,
            alone: 0,
            holes: 0.0,
            holes_for_room: 0.0,
            holes_max: None,
            money_of_one: 0.0,
            larger_cable_instead: None,
            loaded: BTreeMap::new(),
        }
    }

    /// Puts a cable through a place.
    pub fn put(&mut self, direction: usize, place: usize, cable: (CircuitIndex, Lying)) {
        let places = &mut self.places[direction];
        if places.len() <= place {
            places.resize(place + 1, SharedPlace { cables: Vec::new(), times: 1 });
        }
        places[place].cables.push(cable);
    }

    /// Puts together the places that the same cables pass, once all of them are there.
    pub fn put_together(&mut self) {
        for places in &mut self.places {
            let mut kept: Vec<SharedPlace> = Vec::new();
            for place in places.drain(..).filter(|place| !place.cables.is_empty()) {
                match kept.iter_mut().find(|known| known.cables == place.cables) {
                    Some(known) => known.times += 1,
                    None => kept.push(place),
                }
            }
            *places = kept;
        }
    }

    /// The most cables that pass one place.
    #[must_use]
    pub fn cables(&self) -> u32 {
        self.places.iter().flatten().map(SharedPlace::count).max().unwrap_or(0)
    }

    /// Whether there are more holes than the cables need for room.
    #[must_use]
    pub fn is_spread(&self) -> bool {
        self.holes > self.holes_for_room
    }
}

/// Puts a stretch through the joists of a room's floor that it crosses.
pub(super) fn through_joists(
    room: &RoomPlan,
    spacing_m: f64,
    waypoints: &[Waypoint],
    way: &mut SharedWay,
    cable: (CircuitIndex, Lying),
) {
    let (least, greatest) = room.shape.bounds();
    let middle = [least.x_m.midpoint(greatest.x_m), least.y_m.midpoint(greatest.y_m)];
    for (direction, across_x) in crossed(room.joists).into_iter().enumerate() {
        let along = |place: &Waypoint| if across_x { place.at.x_m - middle[0] } else { place.at.y_m - middle[1] };
        for (from, to) in straight_moves(waypoints.iter().map(along)) {
            for joist in joists_between(from.min(to), from.max(to), spacing_m) {
                way.put(direction, joist, cable);
            }
        }
    }
}

/// The moves of a way in one direction, each from where it turns to where it turns back.
fn straight_moves(places: impl Iterator<Item = f64>) -> Vec<(f64, f64)> {
    let mut moves: Vec<(f64, f64)> = Vec::new();
    let mut last: Option<f64> = None;
    for place in places {
        if let Some(from) = last {
            match moves.last_mut() {
                Some((start, end)) if (*end - *start) * (place - from) >= 0.0 => *end = place,
                _ => moves.push((from, place)),
            }
        }
        last = Some(place);
    }
    moves
}

/// For each direction in which the joists of a room may run, whether a cable crosses them along the front.
pub(super) fn crossed(joists: Option<JoistDirection>) -> Vec<bool> {
    match joists {
        Some(JoistDirection::LeftToRight) => vec![false],
        Some(JoistDirection::FrontToBack) => vec![true],
        None => vec![false, true],
    }
}

/// The joists between two places on a line across them, counted from the middle of the room, where one stands: so a house
/// and its mirror image have the same. Each has its number from 0 on.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a room has a few hundred joists at most")]
fn joists_between(from_m: f64, to_m: f64, spacing_m: f64) -> std::ops::Range<usize> {
    /// What ends at a joist does not go through it.
    const AT_IT_M: f64 = 0.001;
    if spacing_m <= 0.0 || to_m - from_m <= 2.0 * AT_IT_M {
        return 0..0;
    }
    let number = |joist: f64| (joist + f64::from(JOISTS_MAX) / 2.0).clamp(0.0, f64::from(JOISTS_MAX)) as usize;
    let (first, last) = (((from_m + AT_IT_M) / spacing_m).ceil(), ((to_m - AT_IT_M) / spacing_m).floor());
    if last < first { 0..0 } else { number(first)..number(last) + 1 }
}

/// A floor has no more joists than this: 400 m of them.
const JOISTS_MAX: u32 = 1_000;

/// The most holes of one joist: two strips, each 0.25 to 0.40 of the span from a bearing, with centres three diameters
/// apart. Source: BS 5268-2 and NHBC Standards 6.4.18, as in the table of building limits.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few holes")]
pub(super) fn holes_of_a_joist(room: &RoomPlan, catalogue: &Catalogue) -> u32 {
    let strip = catalogue.building_limit(BuildingLimitName::JoistHoleStrip).value;
    let apart_mm = catalogue.building_limit(BuildingLimitName::JoistHolesApart).value * JOIST_HOLE_MM;
    let (least, greatest) = room.shape.bounds();
    let (width, depth) = (greatest.x_m - least.x_m, greatest.y_m - least.y_m);
    let span_m = match room.joists {
        Some(JoistDirection::LeftToRight) => width,
        Some(JoistDirection::FrontToBack) => depth,
        None => width.min(depth),
    };
    let of_a_strip = (span_m.max(0.0) * 1_000.0 * strip / apart_mm).floor() as u32 + 1;
    of_a_strip * STRIPS
}

/// Strips of a joist that may be drilled: one near each bearing.
const STRIPS: u32 = 2;

/// Whether a joist is so shallow that a hole in it wants a plate over it: less is left to an edge than the rules ask, or
/// the hole is more than its share of the depth.
#[must_use]
pub fn wants_plates(room: &RoomPlan, catalogue: &Catalogue) -> bool {
    let depth_mm = room.joist_depth_mm.unwrap_or(JOIST_DEPTH_MM);
    let edge_mm = catalogue.building_limit(BuildingLimitName::JoistHoleEdge).value;
    let share = catalogue.building_limit(BuildingLimitName::JoistHole).value;
    (depth_mm - JOIST_HOLE_MM) / 2.0 < edge_mm || depth_mm * share < JOIST_HOLE_MM
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cable_over_two_metres_of_joists_at_400_mm_crosses_five() {
        // Source: derived: from 0.1 to 2.1 m from the middle of the room there are joists at 0.4, 0.8, 1.2, 1.6 and 2.0 m.
        assert_eq!(joists_between(0.1, 2.1, 0.4).count(), 5);
        assert_eq!(joists_between(-2.1, -0.1, 0.4).count(), 5);
        assert_eq!(joists_between(0.5, 0.7, 0.4).count(), 0);
        assert_eq!(joists_between(-0.2, 0.2, 0.4).count(), 1);
    }

    #[test]
    fn a_way_that_goes_on_over_a_corner_is_one_move() {
        assert_eq!(straight_moves([0.0, 1.0, 1.0, 2.0, 0.5].into_iter()), [(0.0, 2.0), (2.0, 0.5)]);
    }
}
