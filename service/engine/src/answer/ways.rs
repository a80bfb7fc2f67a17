//! The routes of the answer, from the runs of the installation.

use std::collections::BTreeMap;

use super::unmapped;
use super::words;
use super::{Route, RouteLimit, RouteOpening, RoutePlace, RouteSegment, RunnerUp};
use crate::catalogue::Catalogue;
use crate::checks::Verdict;
use crate::circuits::CircuitPlan;
use crate::money::{Money, decimal};
use crate::quantities::{Hours, Metres};
use crate::routes::{Obstacle, Opening, PlacedSegment, RouteAlternative, Routing, Run, Segment, limits};
use crate::site::Site;
use crate::take_off::Job;
use crate::unit_rates::Factors;

/// How the cable of each circuit goes, the conductor of each bond whose way is known, and each draw-in run.
pub(crate) fn routes(job: Job<'_>, factors: &Factors) -> Vec<Route> {
    let unassigned = &job.installation.unassigned;
    let bonds = unassigned
        .bonds
        .iter()
        .filter_map(|bond| Some((format!("bond-{}", bond.kind.word()), bond.explained(job.ways)?)));
    let draw_ins = unassigned.draw_ins.iter().filter_map(|draw_in| {
        let run = draw_in.explained(job.ways)?;
        Some((format!("draw-in run to {}", words::take_off::draw_in_end(job, draw_in.ends)), run))
    });
    let bonds: Vec<(String, Run)> = bonds.chain(draw_ins).collect();
    let circuits = job.installation.circuits.iter();
    let mut users: BTreeMap<Opening, u32> = BTreeMap::new();
    for opening in circuits
        .clone()
        .map(|circuit| &circuit.run)
        .chain(bonds.iter().map(|(_, run)| run))
        .flat_map(|run| &run.openings)
    {
        *users.entry(*opening).or_insert(0) += 1;
    }
    // Of a circuit that stays nothing may have been laid.
    let laid_anew = |circuit: &&CircuitPlan| circuit.fixed.kept.is_none() || !circuit.run.segments.is_empty();
    let goes_on = |_: &&CircuitPlan| job.ways.work().goes_on();
    let of_circuits = circuits.filter(laid_anew).take_while(goes_on).map(|circuit| {
        let (run, id) = (&circuit.run, Some(circuit.id.clone()));
        if let Some(building) = unmapped::fed_by(job, circuit) {
            let own = Route { circuit: id, ..route(job, &circuit.id, run, Vec::new(), &users) };
            let feed = unmapped::feed(job, factors, (circuit, building), own);
            return Route { segments: rated(job, circuit, feed.segments.clone()), ..feed };
        }
        let mapped = !run.placed.is_empty();
        let segments =
            if mapped { as_it_lies(job.site, &run.placed) } else { unmapped::segments(job, factors, circuit) };
        let segments = rated(job, circuit, segments);
        let because = words::routes::off_the_map(job, circuit).unwrap_or_else(|| words::routes::because(run, job.site));
        Route { circuit: id, chosen_because: because, ..route(job, &circuit.id, run, segments, &users) }
    });
    let of_bonds = bonds.iter().map(|(serves, run)| route(job, serves, run, as_it_lies(job.site, &run.placed), &users));
    let mut routes: Vec<Route> = of_circuits.chain(of_bonds).collect();
    for (index, route) in routes.iter_mut().enumerate() {
        route.id = format!("R{}", index + 1);
    }
    routes
}

/// The stretches of a circuit's route with the method of each, and what the cable carries there.
fn rated(job: Job<'_>, circuit: &CircuitPlan, mut segments: Vec<RouteSegment>) -> Vec<RouteSegment> {
    for segment in &mut segments {
        let here = circuit.lies.iter().filter(|lying| {
            let room = lying.room.map(|room| job.site.rooms[room].id.as_str());
            lying.medium == segment.medium && room == segment.room.as_deref()
        });
        let rated = here.filter_map(|lying| Some((lying.method, lying.rating(circuit.cable, job.standards)?.iz())));
        if let Some((method, iz)) = rated.min_by(|one, other| one.1.value().total_cmp(&other.1.value())) {
            segment.method = Some(method);
            segment.iz_a = Some(iz.rounded(4));
        }
    }
    segments
}

fn route(job: Job<'_>, serves: &str, run: &Run, segments: Vec<RouteSegment>, users: &BTreeMap<Opening, u32>) -> Route {
    let openings = openings(job.ways, run, users);
    let shares: Money = openings.iter().map(|opening| opening.share).sum();
    Route {
        id: String::new(),
        serves: serves.to_owned(),
        circuit: None,
        metres: segments.iter().map(|segment| segment.metres).sum::<Metres>().rounded(2),
        hours: segments.iter().map(|segment| segment.hours).sum::<Hours>().rounded(2),
        amount: Some(laid(&segments) + shares),
        openings,
        limits: limits(job.site, job.catalogue, run),
        segments,
        chosen_because: words::routes::because(run, job.site),
        runner_up: run.why.as_ref().and_then(|why| why.runner_up).map(runner_up),
    }
}

/// What the segments of a route come to.
pub(crate) fn laid(segments: &[RouteSegment]) -> Money {
    segments.iter().filter_map(|segment| segment.amount).sum()
}

pub(crate) fn runner_up(other: RouteAlternative) -> RunnerUp {
    RunnerUp {
        medium: other.medium,
        metres_more: Metres::new(other.metres).rounded(2),
        hours_more: Hours::new(other.hours).rounded(2),
        money_more: Some(Money::rounded(decimal(other.money))),
    }
}

/// The limits that a run comes near.
pub(crate) fn limits(site: &Site, catalogue: &Catalogue, run: &Run) -> Vec<RouteLimit> {
    let near = limits::limits(site, catalogue, run);
    near.iter()
        .map(|limit| RouteLimit {
            limit: limit.name(),
            room: site.rooms[limit.room].id.clone(),
            value_mm: limit.value_mm,
            limit_mm: (limit.limit_mm * 10.0).round() / 10.0,
            verdict: if limit.is_kept() { Verdict::Pass } else { Verdict::Fail },
            working: words::routes::limit_working(limit),
            document: words::routes::limit_document(limit, catalogue),
        })
        .collect()
}

pub(crate) fn openings(ways: &Routing<'_>, run: &Run, users: &BTreeMap<Opening, u32>) -> Vec<RouteOpening> {
    let Some(network) = ways.network() else { return Vec::new() };
    let entries = run.openings.iter().filter_map(|opening| {
        let (what, room) = match opening {
            Opening::Floor(room) => ("floor", *room),
            Opening::Wall { room, .. } => ("wall", *room),
            Opening::Riser { room, .. } => ("riser", *room),
            Opening::Outside(room) => ("outside-wall", *room),
            Opening::Slab { room, .. } => ("slab", *room),
            Opening::Storey(_) => return None,
        };
        let shared_by = users.get(opening).copied().unwrap_or(1).max(1);
        let whole = network.map.openings[network.map.opening(*opening)?].rate;
        Some(RouteOpening {
            what: what.to_owned(),
            room: ways.site().rooms[room].id.clone(),
            shared_by,
            hours: Hours::new(whole.hours / f64::from(shared_by)).rounded(3),
            share: Money::rounded(decimal(whole.money / f64::from(shared_by))),
        })
    });
    entries.collect()
}

/// What is in the way, by its identifier; by its kind where it has none.
pub(crate) fn named(site: &Site, obstacle: Obstacle) -> String {
    if obstacle == Obstacle::OPENING {
        return "opening".to_owned();
    }
    let id = site.obstructions.get(obstacle.entry).and_then(|one| one.id.clone());
    id.unwrap_or_else(|| obstacle.what.word().to_owned())
}

/// Stretch by stretch in the order in which the cable lies; what follows in the same way in the same room is one.
pub(crate) fn as_it_lies(site: &Site, placed: &[PlacedSegment]) -> Vec<RouteSegment> {
    let mut segments: Vec<RouteSegment> = Vec::new();
    let mut last: Option<&Segment> = None;
    let mut money: Vec<f64> = Vec::new();
    for placed in placed {
        let segment = &placed.segment;
        let mut path: Vec<RoutePlace> = placed
            .waypoints
            .iter()
            .map(|place| {
                let at = site.on_the_drawing(place.at);
                RoutePlace { level: place.level, x_m: round(at.x_m), y_m: round(at.y_m), height_m: round(place.height) }
            })
            .collect();
        path.dedup();
        let obstruction = segment.obstruction.map(|obstacle| named(site, obstacle));
        let goes_on = |known: &&mut RouteSegment| {
            let same = |last: &Segment| (last.medium, last.room) == (segment.medium, segment.room);
            last.is_some_and(same) && known.path.last() == path.first() && known.obstruction == obstruction
        };
        match segments.last_mut().filter(goes_on) {
            Some(known) => {
                if let Some(sum) = money.last_mut() {
                    *sum += placed.rate.money;
                }
                known.metres += segment.metres;
                known.hours += Hours::new(placed.rate.hours);
                known.path.extend(path.into_iter().skip(1));
            }
            None => {
                money.push(placed.rate.money);
                segments.push(RouteSegment {
                    medium: segment.medium,
                    room: segment.room.map(|room| site.rooms[room].id.clone()),
                    metres: segment.metres,
                    hours: Hours::new(placed.rate.hours),
                    amount: None,
                    method: None,
                    iz_a: None,
                    obstruction,
                    path,
                });
            }
        }
        last = Some(segment);
    }
    for (segment, money) in segments.iter_mut().zip(money) {
        segment.amount = Some(Money::rounded(decimal(money)));
        segment.metres = segment.metres.rounded(2);
        segment.hours = segment.hours.rounded(3);
    }
    segments
}

fn round(metres: f64) -> f64 {
    (metres * 1_000.0).round() / 1_000.0
}
