//! Buildings that stand apart from the house, each drawn by itself, so that a garden between them takes no paper.

use std::collections::BTreeSet;

use engine::estimate::{PlanPlace, PlanRoom, PlanStorey};

/// Farther from the house than this, a building outside gets a drawing of its own, in metres.
const APART_M: f64 = 4.0;

/// The storey as the house with what is near it, and one part for each building that stands apart.
pub(super) fn apart(storey: &PlanStorey) -> Vec<PlanStorey> {
    let house = Rectangle::of(storey.rooms.iter().filter(|room| !room.outside).flat_map(|room| &room.corners));
    let Some(house) = house else { return vec![storey.clone()] };
    let stands_apart = |room: &&PlanRoom| {
        room.outside && Rectangle::of(&room.corners).is_some_and(|extent| extent.gap_to(&house) > APART_M)
    };
    let far: Vec<&PlanRoom> = storey.rooms.iter().filter(stands_apart).collect();
    if far.is_empty() {
        return vec![storey.clone()];
    }
    let ids: BTreeSet<&str> = far.iter().map(|room| room.id.as_str()).collect();
    let mut near = storey.clone();
    near.rooms.retain(|room| !ids.contains(room.id.as_str()));
    near.points.retain(|point| !ids.contains(point.room.as_str()));
    let mut parts = vec![near];
    for room in far {
        parts.push(PlanStorey {
            id: room.id.clone(),
            name: room.name.clone(),
            rooms: vec![room.clone()],
            points: storey.points.iter().filter(|point| point.room == room.id).cloned().collect(),
            obstructions: Vec::new(),
            board: None,
            sub_boards: Vec::new(),
            intake: None,
            services: Vec::new(),
            level: storey.level,
        });
    }
    // What stands within a building apart is drawn there and not with the house.
    for index in 1..parts.len() {
        let Some(extent) = Rectangle::of(parts[index].rooms.iter().flat_map(|room| &room.corners)) else { continue };
        let (first, rest) = parts.split_at_mut(index);
        let (house, part) = (&mut first[0], &mut rest[0]);
        part.board = house.board.take_if(|place| extent.holds(place));
        part.sub_boards = house.sub_boards.extract_if(.., |place| extent.holds(place)).collect();
        part.intake = house.intake.take_if(|place| extent.holds(place));
        part.services = house.services.extract_if(.., |service| extent.holds(&service.at)).collect();
        part.obstructions =
            house.obstructions.extract_if(.., |one| extent.holds(&one.from) && extent.holds(&one.to)).collect();
    }
    parts
}

/// An upright rectangle on plan, in metres.
struct Rectangle {
    left: f64,
    right: f64,
    front: f64,
    back: f64,
}

impl Rectangle {
    fn of<'p>(places: impl IntoIterator<Item = &'p PlanPlace>) -> Option<Self> {
        places.into_iter().fold(None, |extent: Option<Self>, place| {
            let (x, y) = (place.x_m, place.y_m);
            let extent = extent.unwrap_or(Self { left: x, right: x, front: y, back: y });
            Some(Self {
                left: extent.left.min(x),
                right: extent.right.max(x),
                front: extent.front.min(y),
                back: extent.back.max(y),
            })
        })
    }

    fn gap_to(&self, other: &Self) -> f64 {
        let across = (other.left - self.right).max(self.left - other.right);
        let deep = (other.front - self.back).max(self.front - other.back);
        across.max(deep)
    }

    fn holds(&self, place: &PlanPlace) -> bool {
        (self.left..=self.right).contains(&place.x_m) && (self.front..=self.back).contains(&place.y_m)
    }
}
