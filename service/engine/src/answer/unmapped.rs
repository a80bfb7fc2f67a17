//! The routes that lie on no map, or only in part: runs whose length comes from the model, and the feeds of outbuildings.

use super::ways::{against, as_it_lies, laid};
use super::{Route, RouteOpening, RouteSegment};
use crate::catalogue::CircuitType;
use crate::circuits::CircuitPlan;
use crate::labour::Factors;
use crate::money::{Money, decimal};
use crate::quantities::{Hours, Metres};
use crate::routes::{Leg, Rate, Segment, mapped_words};
use crate::site::OutbuildingPlan;
use crate::survey::Medium;
use crate::take_off::{Job, feed_hole, laying, trench_metre};

/// A run by the model of lengths, put together by room and medium: priced as the map prices it, with the factors of each
/// room.
pub(crate) fn segments(job: Job<'_>, factors: &Factors, circuit: &CircuitPlan) -> Vec<RouteSegment> {
    let mut segments: Vec<&Segment> = circuit.run.segments.iter().collect();
    segments.sort_by_key(|segment| (segment.room, segment.medium));
    let of = |same: &[&Segment]| {
        let rates = same.iter().map(|segment| laying(job.workbook, factors, circuit.cable, segment));
        let rate = rates.fold(Rate::default(), Rate::plus);
        let obstruction = same.iter().find_map(|segment| segment.obstruction);
        RouteSegment {
            obstruction: obstruction.map(|obstruction| obstruction.word().to_owned()),
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
        obstruction: segment.obstruction.map(|obstruction| obstruction.word().to_owned()),
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
        laying(job.workbook, factors, circuit.cable, &there)
    };
    let run = &circuit.run;
    let in_the_ground = run.segments.iter().position(|segment| segment.medium == Medium::Trench);
    let (inside, outside) = run.segments.split_at(in_the_ground.unwrap_or(run.segments.len()));
    let mut segments = if run.legs.is_empty() {
        inside.iter().map(|segment| told(job, segment, segment.metres, rate(segment))).collect()
    } else {
        let legs = run.legs.iter().map(|leg| Leg { rate: rate(&leg.segment), ..leg.clone() });
        as_it_lies(job.site, &legs.collect::<Vec<Leg>>())
    };
    for segment in outside {
        if segment.medium == Medium::Trench {
            segments.extend(building.stretches.iter().map(|(ground, metres)| {
                let metre = trench_metre(job, factors, circuit.cable, (building.room, *ground));
                told(job, segment, *metres, metre.times(metres.value()))
            }));
        } else {
            segments.push(told(job, segment, segment.metres, rate(segment)));
        }
    }
    let mut openings = own.openings;
    openings.extend(holes(job, factors, building, inside));
    let shares: Money = openings.iter().map(|opening| opening.share).sum();
    Route {
        metres: segments.iter().map(|segment| segment.metres).sum::<Metres>().rounded(2),
        hours: segments.iter().map(|segment| segment.hours).sum::<Hours>().rounded(2),
        amount: Some(laid(&segments) + shares),
        chosen_because: feed_because(circuit, building),
        segments,
        openings,
        ..own
    }
}

/// Out of the house, or of the building that feeds it, and into the outbuilding.
fn holes(job: Job<'_>, factors: &Factors, building: &OutbuildingPlan, inside: &[Segment]) -> [RouteOpening; 2] {
    let hole = feed_hole(job, factors, building.room);
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

fn feed_because(circuit: &CircuitPlan, building: &OutbuildingPlan) -> String {
    let mut words: Vec<String> = Vec::new();
    if let Some(why) = &circuit.run.why {
        words.push(why.because.clone());
        words.extend(why.runner_up.as_ref().map(against));
    }
    let inside = circuit.run.segments.first().map_or(Metres::ZERO, |segment| segment.metres);
    words.push(if !circuit.run.legs.is_empty() {
        "inside the house by the least cost on the map, to the wall nearest to the building".to_owned()
    } else if building.via.is_some() {
        format!("{inside:.1} inside the building that feeds it, taken")
    } else {
        format!("{inside:.1} inside the house, taken: house or outbuilding was not drawn")
    });
    let stretches: Vec<String> = building
        .stretches
        .iter()
        .map(|(ground, metres)| format!("{metres:.1} of {}", ground.word().replace('-', " ")))
        .collect();
    words.push(format!("in the ground {}, each priced by what is dug", stretches.join(" and ")));
    words.join("; ")
}

/// Why a run goes so that the map says nothing of, or no more than that it is wired on the surface.
pub(crate) fn because(job: Job<'_>, circuit: &CircuitPlan) -> Option<String> {
    let mapped = !circuit.run.legs.is_empty();
    if let Some(building) = circuit.outbuilding {
        let room = &job.site.rooms[job.site.outbuildings[building].room];
        return Some(if mapped {
            "from the outbuilding's own board, clipped on the surface: nothing has to be opened, and no other way was looked \
             for"
                .to_owned()
        } else if room.outline.is_none() {
            format!(
                "the outbuilding was not drawn: lengths from a model of a usual floor of {:.0}, good to a quarter either way",
                room.area
            )
        } else {
            "not every room of the house was drawn: straight along the axes of the outbuilding, without what stands in the way".to_owned()
        });
    }
    if mapped {
        return None;
    }
    Some(if !job.site.measured {
        "not every room was drawn: lengths from a model of floor areas, good to a quarter either way".to_owned()
    } else if job.ways.network().is_none() {
        format!("straight along the building's axes: {}", mapped_words())
    } else {
        "one of its ends is on no wall of a drawn room: straight along the building's axes".to_owned()
    })
}
