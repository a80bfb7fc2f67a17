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
            format!("category {category} asks for a {wants} alarm here and none was recorded")
        }
        AlarmSeen::SmokeInPlaceOfHeat => {
            "a smoke alarm where cooking or exhaust will set it off: a heat alarm in its place".to_owned()
        }
        AlarmSeen::NotDrawn { limit_m } => {
            format!("the room is not drawn: check that {limit_m} m reach every corner")
        }
        AlarmSeen::Measured(reach) => measured(reach, site),
        AlarmSeen::OnStorey if finding.recorded > 0 => {
            format!("smoke alarms on the storey: {}, one at least", finding.recorded)
        }
        AlarmSeen::OnStorey => "no smoke alarm on the storey, one at least".to_owned(),
    }
}

fn measured(reach: &AlarmReach, site: &Site) -> String {
    let mut words = format!(
        "farthest place of the ceiling {:.2} m from an alarm, {} m at most{}",
        reach.farthest_m,
        reach.limit_m,
        if reach.marked { "" } else { ", alarms shared out evenly as none is marked" }
    );
    if reach.near_wall {
        words.push_str(&format!("; one is marked within {FROM_WALL_M} m of a wall, where smoke does not go"));
    }
    let named = |rooms: &[RoomIndex]| {
        let ids: Vec<&str> = rooms.iter().map(|room| site.rooms[*room].id.as_str()).collect();
        ids.join(", ")
    };
    match &reach.doors {
        Some(FarDoors::TooFar(rooms)) => {
            words.push_str(&format!("; over {SMOKE_REACH_M} m from the door of {}", named(rooms)));
        }
        Some(FarDoors::TooFarToWake(rooms)) => words.push_str(&format!(
            "; over {BEDROOM_REACH_M} m from the door of {}: loud enough there, or one more",
            named(rooms)
        )),
        None => {}
    }
    words
}
