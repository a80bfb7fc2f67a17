//! Where the cables of data, television and telephone outlets end.

use super::assume::{Assumed, Assumptions};
use super::geometry::Location;
use super::rooms::RoomPlan;
use super::scope::ScopePlan;
use super::supply::spot;
use super::{RoomIndex, Site};
use crate::survey::{PointType, RoomUse, Survey};

/// Whether the cable of an outlet ends at the hub; the rest of the signal wiring ends at the board.
#[must_use]
pub(crate) const fn ends_at_the_hub(kind: PointType) -> bool {
    matches!(kind, PointType::DataOutlet | PointType::AccessPoint | PointType::TvOutlet | PointType::TelephoneOutlet)
}

/// Whether anything ends at a hub, so that its place matters.
fn wants_a_hub(rooms: &[RoomPlan]) -> bool {
    rooms.iter().flat_map(|room| &room.points).any(|point| ends_at_the_hub(point.kind))
}

/// Where the supply comes in, where the board is to stand, and where signal cables end.
pub(super) fn places(
    survey: &Survey,
    scope: ScopePlan,
    rooms: &[RoomPlan],
    assumptions: &mut Assumptions,
) -> (Location, Location, Location) {
    let (intake, board) = super::supply::places(survey, scope, rooms, assumptions);
    (intake, board, hub(survey, rooms, board, assumptions))
}

/// As recorded; else beside the board, where there is power and every void is reached. Common practice, no source.
fn hub(survey: &Survey, rooms: &[RoomPlan], board: Location, assumptions: &mut Assumptions) -> Location {
    match &survey.signal_hub {
        Some(hub) => spot(&hub.room, (hub.at, hub.wall, hub.along_m), rooms),
        None => {
            if wants_a_hub(rooms) {
                assumptions.house(Assumed::SignalHub);
            }
            board
        }
    }
}

impl Site {
    /// The hub in the living room, where the provider's line usually comes in.
    pub(crate) fn hub_by_the_router(&mut self) {
        let living = self.rooms.iter().position(|room| room.is_inside() && room.room_use == RoomUse::Living);
        if let Some(room) = living {
            self.signal_hub = self.hub_in(room);
        }
    }

    /// The hub under the roof: on the landing, else in the first room up there.
    pub(crate) fn hub_under_the_roof(&mut self) {
        let up_there = |room: &RoomPlan| room.is_inside() && room.level == self.top_level;
        let landing = self.rooms.iter().position(|room| up_there(room) && room.room_use == RoomUse::Landing);
        if let Some(room) = landing.or_else(|| self.rooms.iter().position(up_there)) {
            self.signal_hub = self.hub_in(room);
        }
    }

    fn hub_in(&self, room: RoomIndex) -> Location {
        let plan = &self.rooms[room];
        let at = plan.outline.as_ref().map(|outline| outline.on_wall(outline.along(outline.middle())));
        Location { room: Some(room), level: plan.level, at, height: None }
    }
}
