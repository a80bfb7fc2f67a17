//! Why a cable goes as it does, and how near it comes to what the fabric allows.

use crate::catalogue::Catalogue;
use crate::circuits::CircuitPlan;
use crate::limits::{MAPPED_POINTS_MAX, MAPPED_ROOMS_MAX};
use crate::money::{Money, decimal};
use crate::quantities::Metres;
use crate::routes::limits::{CHASE_MM, FabricCut, FabricLimit, JOIST_HOLE_MM};
use crate::routes::{RouteAlternative, RouteReason, Run};
use crate::site::{FeedFailure, FeedFault, OutbuildingPlan, RoomIndex, Site};
use crate::take_off::Job;

/// Why a run that was planned on the map goes so.
pub(crate) fn because(run: &Run, site: &Site) -> String {
    let Some(why) = &run.why else {
        return "The cheapest way, along what the circuits open and beside them".to_owned();
    };
    let used = match &why.reason {
        RouteReason::Surface => "clipped on the surface, with nothing to open".to_owned(),
        RouteReason::Opened { floors, walls, corners } => opened(floors, *walls, *corners, site),
    };
    let against = why.runner_up.as_ref().map_or_else(|| "There is no other way".to_owned(), against);
    format!("The cheapest way: {used}{}. {against}", branching(&run.branches, site))
}

/// Where a run goes on in more than one direction.
fn branching(rooms: &[RoomIndex], site: &Site) -> String {
    if rooms.is_empty() {
        return String::new();
    }
    let names: Vec<String> = rooms.iter().map(|room| site.rooms[*room].name.to_lowercase()).collect();
    format!(". It branches at points in {}", names.join(", "))
}

fn opened(floors: &[RoomIndex], walls: usize, corners: usize, site: &Site) -> String {
    let mut words = Vec::new();
    if !floors.is_empty() {
        let names: Vec<String> = floors.iter().map(|room| site.rooms[*room].name.to_lowercase()).collect();
        words.push(format!("under the floor of {}", names.join(", ")));
    }
    if walls > 0 {
        words.push(format!("through {walls} wall{}", if walls == 1 { "" } else { "s" }));
    }
    if corners > 0 {
        words.push(format!("up {corners} corner{}", if corners == 1 { "" } else { "s" }));
    }
    if words.is_empty() { "through voids that need no opening".to_owned() } else { words.join(", ") }
}

/// The next best way beside the one that was taken.
fn against(other: &RouteAlternative) -> String {
    let shows = if other.damages { ". It would show, or pass what must not be cut" } else { "" };
    format!(
        "The next best way, by {}, costs {} more ({} m, {} h){shows}",
        other.medium.word().replace('-', " "),
        Money::rounded(decimal(other.money)),
        signed(other.metres, 1),
        signed(other.hours, 1),
    )
}

/// A figure with its sign, and no sign on nothing.
fn signed(figure: f64, places: usize) -> String {
    let text = format!("{figure:+.places$}");
    if text.trim_start_matches(['+', '-']).chars().all(|digit| digit == '0' || digit == '.') {
        format!("{:.places$}", 0.0)
    } else {
        text
    }
}

/// Why the feed of an outbuilding goes so; `other` is the feed that it could have had, where that complies.
pub(crate) fn feed_because(
    circuit: &CircuitPlan,
    building: &OutbuildingPlan,
    other: Option<&RouteAlternative>,
    site: &Site,
) -> String {
    let mut words: Vec<String> = Vec::new();
    if let Some(other_feed) = &building.other_feed {
        let from = fed_from(building, site);
        words.push(match &other_feed.fails {
            Some(fails) => format!("{from}. The other feed does not comply: {}", failure(fails)),
            None => from,
        });
        words.extend(other.map(against));
    }
    let inside = circuit.run.segments.first().map_or(Metres::ZERO, |segment| segment.metres);
    words.push(if !circuit.run.placed.is_empty() {
        "Inside the house the cheapest way, to the wall nearest to the building".to_owned()
    } else if building.via.is_some() {
        format!("We took {inside:.1} inside the building that feeds it")
    } else {
        format!("We took {inside:.1} inside the house, as house or outbuilding was not drawn")
    });
    let stretches: Vec<String> = building
        .stretches
        .iter()
        .map(|(ground, metres)| format!("{metres:.1} of {}", ground.word().replace('-', " ")))
        .collect();
    words.push(format!("In the ground: {}", stretches.join(" and ")));
    words.join(". ")
}

/// Where a feed comes from.
pub(super) fn fed_from(building: &OutbuildingPlan, site: &Site) -> String {
    let name = |index: usize| site.rooms[site.outbuildings[index].room].name.to_lowercase();
    let asked_for = building.onward.as_ref().is_some_and(|onward| onward.decided_by_survey);
    match (building.via, building.onward.as_ref()) {
        (Some(via), _) if asked_for => format!("Fed from the board of {}, as the survey asks", name(via)),
        (Some(via), _) => format!("Fed from the board of {}", name(via)),
        (None, Some(onward)) => format!("Its own feed from the house, not from the board of {}", name(onward.from)),
        (None, None) => "Its own feed from the house".to_owned(),
    }
}

/// Why a feed does not comply.
pub(super) fn failure(failure: &FeedFailure) -> String {
    let name = &failure.circuit;
    match &failure.fault {
        FeedFault::BeyondTables => format!("{name} is outside the tables"),
        FeedFault::AboveLargestDevice => format!("{name} carries more than its largest device"),
        FeedFault::Checks(failed) => {
            let failed: Vec<&str> = failed.iter().map(|check| check.word()).collect();
            format!("{name} fails {}", failed.join(", "))
        }
    }
}

/// Why a run goes so that the map says nothing of, or no more than that it is wired on the surface.
pub(crate) fn off_the_map(job: Job<'_>, circuit: &CircuitPlan) -> Option<String> {
    let mapped = !circuit.run.placed.is_empty();
    if let Some(building) = circuit.outbuilding {
        let room = &job.site.rooms[job.site.outbuildings[building].room];
        return Some(if mapped {
            "From the outbuilding's own board, clipped on the surface. Nothing has to be opened, and no other way was tried"
                .to_owned()
        } else if room.outline.is_none() {
            format!(
                "The outbuilding was not drawn. We took lengths for a usual floor of {:.0}, good to a quarter either way",
                room.area
            )
        } else {
            "Not every room of the house was drawn. We took straight lines along the outbuilding and no obstacles"
                .to_owned()
        });
    }
    if mapped {
        return None;
    }
    Some(if !job.site.measured {
        "Not every room was drawn. We took lengths from the floor areas, good to a quarter either way".to_owned()
    } else if job.ways.network().is_none() {
        format!("Straight lines along the building. {}", map_limits())
    } else {
        "One of its ends is on no wall of a drawn room. We took straight lines along the building".to_owned()
    })
}

/// How large a building may be for its ways to be searched on a map.
pub(crate) fn map_limits() -> String {
    format!("We search ways in buildings of up to {MAPPED_ROOMS_MAX} rooms and {MAPPED_POINTS_MAX} points")
}

/// A limit of the fabric, to be compared again with a pencil.
pub(crate) fn limit_working(limit: &FabricLimit) -> String {
    let (value, allowed) = (limit.value_mm, limit.limit_mm);
    match limit.cut {
        FabricCut::Chase { leaf_mm, share } => {
            format!(
                "The chase is {CHASE_MM} mm deep, for cable and capping. {share:.4} of a leaf of {leaf_mm} mm is {allowed:.1} mm"
            )
        }
        FabricCut::JoistHole { joist, share } => format!(
            "The hole is {JOIST_HOLE_MM} mm. {share} of a joist of {} mm ({}) is {allowed} mm",
            joist.depth_mm,
            if joist.measured { "measured" } else { "assumed" }
        ),
        FabricCut::JoistHoleEdge(joist) => format!(
            "On the centre line. To each edge: ({} - {JOIST_HOLE_MM}) / 2 = {value} mm. It must be at least {allowed} mm",
            joist.depth_mm
        ),
        FabricCut::CornerZone => format!(
            "{value} mm from the corner, in a zone of {allowed} mm. Elsewhere cables are in line with their accessory"
        ),
    }
}

/// Document and clause behind a limit, and where its figure was read.
pub(crate) fn limit_document(limit: &FabricLimit, catalogue: &Catalogue) -> String {
    let row = catalogue.building_limit(limit.name());
    format!("{} ({})", row.document, row.status)
}
