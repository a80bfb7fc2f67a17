//! The routes that lie on no map, or only in part: runs whose length comes from the model, and the feeds of outbuildings.

use super::ways::{as_it_lies, laid, runner_up};
use super::words;
use super::{Route, RouteOpening, RouteSegment};
use crate::catalogue::CircuitType;
use crate::circuits::CircuitPlan;
use crate::money::{Money, decimal};
use crate::quantities::{Hours, Metres};
use crate::routes::{PlacedSegment, RouteAlternative, Segment};
use crate::site::OutbuildingPlan;
use crate::survey::Medium;
use crate::take_off::Job;
use crate::unit_rates::{Factors, Rate, feed_hole, trench_metre};

/// A run by the model of lengths, put together by room and medium: priced as the map prices it, with the factors of each
/// room.
pub(crate) fn segments(job: Job<'_>, factors: &Factors, circuit: &CircuitPlan) -> Vec<RouteSegment> {
    let mut segments: Vec<&Segment> = circuit.run.segments.iter().collect();
    segments.sort_by_key(|segment| (segment.room, segment.medium));
    let of = |same: &[&Segment]| {
        let rates = same.iter().map(|segment| segment.rate(job.workbook, factors, circuit.cable));
        let rate = rates.fold(Rate::default(), Rate::plus);
        let obstruction = same.iter().find_map(|segment| segment.obstruction);
        RouteSegment {
            obstruction: obstruction.map(|obstacle| super::ways::named(job.site, obstacle)),
            ..told(job, same[0], same.iter().map(|segment| segment.metres).sum(), rate)
        }
    };
    segments.chunk_by(|a, b| (a.room, a.medium) == (b.room, b.medium)).map(of).collect()
}

fn told(job: Job<'_>, segment: &Segment, metres: Metres, rate: Rate) -> RouteSegment {
    RouteSegment {
        medium: segment.medium,
        room: segment.room.map(|room| job.site.rooms[room].id.clone()),
        metres: metres.rounded(2),
        hours: Hours::new(rate.hours).rounded(3),
        amount: Some(Money::rounded(decimal(rate.money))),
        method: None,
        iz_a: None,
        obstruction: segment.obstruction.map(|obstacle| super::ways::named(job.site, obstacle)),
        path: Vec::new(),
    }
}

/// The outbuilding that a circuit feeds.
pub(crate) fn fed_by<'a>(job: Job<'a>, circuit: &CircuitPlan) -> Option<&'a OutbuildingPlan> {
    let feeds = circuit.kind == CircuitType::Distribution;
    circuit.outbuilding.filter(|_| feeds).map(|building| &job.site.outbuildings[building])
}

/// The route of a feed: to the outside wall, each stretch of ground by itself, up to the outbuilding's board. Its hours are
/// those of its line in the estimate, the glands apart.
pub(crate) fn feed(
    job: Job<'_>,
    factors: &Factors,
    (circuit, building): (&CircuitPlan, &OutbuildingPlan),
    own: Route,
) -> Route {
    let rate = |segment: &Segment| {
        // One line, in the outbuilding, holds the whole of it.
        let there = Segment { room: Some(building.room), medium: Medium::SurfaceClipped, ..*segment };
        there.rate(job.workbook, factors, circuit.cable)
    };
    let run = &circuit.run;
    let in_the_ground = run.segments.iter().position(|segment| segment.medium == Medium::Trench);
    let (inside, outside) = run.segments.split_at(in_the_ground.unwrap_or(run.segments.len()));
    let mut segments = if run.placed.is_empty() {
        inside.iter().map(|segment| told(job, segment, segment.metres, rate(segment))).collect()
    } else {
        let placed = run.placed.iter().map(|placed| PlacedSegment { rate: rate(&placed.segment), ..placed.clone() });
        as_it_lies(job.site, &placed.collect::<Vec<PlacedSegment>>())
    };
    for segment in outside {
        if segment.medium == Medium::Trench {
            segments.extend(building.stretches.iter().map(|(ground, metres)| {
                let metre =
                    trench_metre((job.workbook, job.catalogue), factors, circuit.cable, (building.room, *ground));
                told(job, segment, *metres, metre.times(metres.value()))
            }));
        } else {
            segments.push(told(job, segment, segment.metres, rate(segment)));
        }
    }
    let mut openings = own.openings;
    openings.extend(holes(job, factors, building, inside));
    let shares: Money = openings.iter().map(|opening| opening.share).sum();
    let other = other_way(building);
    Route {
        metres: segments.iter().map(|segment| segment.metres).sum::<Metres>().rounded(2),
        hours: segments.iter().map(|segment| segment.hours).sum::<Hours>().rounded(2),
        amount: Some(laid(&segments) + shares),
        chosen_because: words::routes::feed_because(circuit, building, other.as_ref(), job.site),
        runner_up: other.map(runner_up),
        segments,
        openings,
        ..own
    }
}

/// The feed that a building could have had too, where it complies.
fn other_way(building: &OutbuildingPlan) -> Option<RouteAlternative> {
    let other = building.other_feed.as_ref().filter(|other| other.fails.is_none())?;
    Some(RouteAlternative {
        medium: Medium::Trench,
        metres: other.metres,
        hours: other.hours,
        money: other.money,
        damages: false,
    })
}

/// Out of the house, or of the building that feeds it, and into the outbuilding.
fn holes(job: Job<'_>, factors: &Factors, building: &OutbuildingPlan, inside: &[Segment]) -> [RouteOpening; 2] {
    let hole = feed_hole(job.workbook, factors, building.room);
    let via = building.via.map(|via| job.site.outbuildings[via].room);
    let leaves = via.or_else(|| inside.last().and_then(|segment| segment.room)).or(job.site.board.room);
    [leaves.unwrap_or(building.room), building.room].map(|room| RouteOpening {
        what: "outside-wall".to_owned(),
        room: job.site.rooms[room].id.clone(),
        shared_by: 1,
        hours: Hours::new(hole.hours).rounded(3),
        share: Money::rounded(decimal(hole.money)),
    })
}
