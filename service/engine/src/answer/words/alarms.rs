//! What is said of the alarms of a house.

use crate::circuits::alarms::{
    AlarmFinding, AlarmReach, AlarmSeen, BEDROOM_REACH_M, FROM_WALL_M, FarDoors, SMOKE_REACH_M,
};
use crate::site::{RoomIndex, Site};

/// Why a room, or a storey, is judged as it is.
pub(crate) fn working(finding: &AlarmFinding, site: &Site) -> String {
    match &finding.seen {
        AlarmSeen::Missing => {
            let (category, wants) = (site.alarms, finding.wants.word());
            format!("Category {category} asks for a {wants} alarm here. None is recorded")
        }
        AlarmSeen::SmokeInPlaceOfHeat => {
            "Cooking or exhaust will set this smoke alarm off. Fit a heat alarm in its place".to_owned()
        }
        AlarmSeen::NotDrawn { limit_m } => {
            format!("The room is not drawn. Check that {limit_m} m reach every corner")
        }
        AlarmSeen::Measured(reach) => measured(reach, site),
        AlarmSeen::OnStorey if finding.recorded > 0 => {
            format!("Smoke alarms on this storey: {}. It needs one at least", finding.recorded)
        }
        AlarmSeen::OnStorey => "No smoke alarm on this storey. It needs one at least".to_owned(),
    }
}

fn measured(reach: &AlarmReach, site: &Site) -> String {
    let mut words = format!(
        "The farthest place of the ceiling is {:.2} m from an alarm. {} m is the most{}",
        reach.farthest_m,
        reach.limit_m,
        if reach.marked { "" } else { ". No alarm is marked, so we spread them evenly" }
    );
    if reach.near_wall {
        words.push_str(&format!(". One is marked within {FROM_WALL_M} m of a wall, where smoke does not go"));
    }
    let named = |rooms: &[RoomIndex]| {
        let ids: Vec<&str> = rooms.iter().map(|room| site.rooms[*room].id.as_str()).collect();
        ids.join(", ")
    };
    match &reach.doors {
        Some(FarDoors::TooFar(rooms)) => {
            words.push_str(&format!(". It is over {SMOKE_REACH_M} m from the door of {}", named(rooms)));
        }
        Some(FarDoors::TooFarToWake(rooms)) => words.push_str(&format!(
            ". It is over {BEDROOM_REACH_M} m from the door of {}. Check that it is loud enough there, or add one",
            named(rooms)
        )),
        None => {}
    }
    words
}
