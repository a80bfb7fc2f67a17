//! What Amendment 4 of the wiring rules adds that may touch a dwelling, judged where the survey says that it applies.
//!
//! The text of the amendment is not held. What is said here is what was reported of it, and, for the place of a battery,
//! a specification that can be named; each entry says so.

use super::CircuitPlan;
use crate::checks::Verdict;
use crate::site::{RoomPlan, Site};
use crate::survey::{ApplianceType, FutureType, PointType, RoomUse};

/// One thing that is new.
#[derive(Debug, Clone, PartialEq)]
pub struct NewRule {
    /// What it is about.
    pub subject: &'static str,
    /// Whether anything in the survey makes it apply.
    pub applies: bool,
    /// `pass` where it does not apply or is met.
    pub verdict: Verdict,
    /// The document behind it, and how far it was read.
    pub clause: &'static str,
    /// What was found, and what to do.
    pub working: String,
}

/// Whether a circuit may be fed from both ends: storage or generation is on it.
#[must_use]
pub fn feeds_back(circuit: &CircuitPlan, site: &Site) -> bool {
    let point = |kind| matches!(kind, PointType::BatteryPoint | PointType::GenerationPoint);
    circuit.appliances.iter().any(|one| is_source(one.kind))
        || circuit.members.iter().any(|member| point(site.rooms[member.room].points[member.point].kind))
}

const fn is_source(kind: ApplianceType) -> bool {
    matches!(kind, ApplianceType::Battery | ApplianceType::SolarInverter)
}

pub(super) fn new_rules(site: &Site) -> Vec<NewRule> {
    vec![batteries(site), two_way_devices(site), data_equipment(site)]
}

fn batteries(site: &Site) -> NewRule {
    let holds = |room: &&RoomPlan| {
        room.appliances.iter().any(|one| one.kind == ApplianceType::Battery)
            || room.points.iter().any(|point| point.kind == PointType::BatteryPoint)
    };
    let mut verdict = Verdict::Pass;
    let mut said = Vec::new();
    for room in site.rooms.iter().filter(holds) {
        let (found, words) = battery_place(room);
        verdict = verdict.max(found);
        said.push(format!("{}: {words}", room.id));
    }
    let applies = !said.is_empty();
    let working = if applies {
        said.join("; ")
    } else if site.future.contains(&FutureType::Battery) {
        "one may come: keep a wall for it outside escape routes, sleeping rooms and the loft".to_owned()
    } else {
        "no stationary battery is recorded".to_owned()
    };
    NewRule {
        subject: "stationary-batteries",
        applies,
        verdict,
        clause: "BS 7671 Amendment 4 as reported, text not held; places by PAS 63100:2024, from memory",
        working,
    }
}

fn battery_place(room: &RoomPlan) -> (Verdict, &'static str) {
    match room.room_use {
        RoomUse::Bedroom | RoomUse::Loft | RoomUse::Hall | RoomUse::Landing | RoomUse::Store | RoomUse::Bathroom => {
            (Verdict::Fail, "not in a sleeping room, a loft, a cupboard or on the way out of the house; move it")
        }
        RoomUse::Outside => (Verdict::Advise, "out of doors: away from doors and windows that one escapes through"),
        RoomUse::Garage | RoomUse::Other | RoomUse::Utility | RoomUse::Cellar => {
            (Verdict::Advise, "fire-resisting lining behind and above it, and a heat or smoke alarm in the room")
        }
        RoomUse::Living
        | RoomUse::Dining
        | RoomUse::Kitchen
        | RoomUse::KitchenDiner
        | RoomUse::Cloakroom
        | RoomUse::Study
        | RoomUse::Conservatory => (Verdict::Advise, "a habitable room: out of doors or the garage is preferred"),
    }
}

fn two_way_devices(site: &Site) -> NewRule {
    let point = |kind| matches!(kind, PointType::BatteryPoint | PointType::GenerationPoint);
    let here: Vec<&str> = site
        .rooms
        .iter()
        .filter(|room| {
            room.appliances.iter().any(|one| is_source(one.kind)) || room.points.iter().any(|one| point(one.kind))
        })
        .map(|room| room.id.as_str())
        .collect();
    let applies = !here.is_empty();
    let coming = site.future.iter().any(|future| matches!(future, FutureType::Battery | FutureType::Solar));
    NewRule {
        subject: "two-way-devices",
        applies,
        verdict: if applies { Verdict::Advise } else { Verdict::Pass },
        clause: "BS 7671 Amendment 4 as reported, text not held",
        working: if applies {
            format!(
                "storage or generation in {}: devices of those circuits, and the main switch, marked fit for both \
                 directions; the maker confirms it",
                here.join(", ")
            )
        } else if coming {
            "nothing feeds back today; the ways kept for it take devices fit for both directions".to_owned()
        } else {
            "nothing feeds back".to_owned()
        },
    }
}

fn data_equipment(site: &Site) -> NewRule {
    let is_data = |kind| matches!(kind, PointType::DataOutlet | PointType::AccessPoint);
    let outlets: u64 = site
        .rooms
        .iter()
        .flat_map(|room| &room.points)
        .filter(|point| is_data(point.kind))
        .map(|point| u64::from(point.count))
        .sum();
    NewRule {
        subject: "data-equipment-earthing",
        applies: outlets > 0,
        verdict: if outlets > 0 { Verdict::Advise } else { Verdict::Pass },
        clause: "BS 7671 Amendment 4 as reported, text not held",
        working: if outlets > 0 {
            format!(
                "{outlets} data outlets: where they meet in a metal cabinet, its earth goes to the main earthing terminal; \
                 screened cable is earthed at that end only, if its maker asks for it"
            )
        } else {
            "no data outlets are recorded".to_owned()
        },
    }
}
