//! Feeds of outbuildings: the way that each one takes, and its device and cable for what hangs behind it.

use std::collections::BTreeMap;

use super::gather::CircuitDraft;
use super::{CircuitIndex, CircuitPlan, CircuitReason, FedFrom, FeedCable, FeedSize, Proof};
use crate::catalogue::{CableSize, Cables, Catalogue, CircuitType};
use crate::checks::CheckName;
use crate::context::Context;
use crate::quantities::{Amps, Metres, SquareMillimetres};
use crate::routes::{Routing, Run, Segment};
use crate::site::{Location, RoomIndex, Site};
use crate::standards::Standards;
use crate::survey::{Medium, OutbuildingFeed};
use crate::unit_rates::Void;

/// Share of the final circuits' ratings that a feed is sized for. Source: the allowance for standard circuits in the
/// On-Site Guide Table A2 (largest in full, 40 % of the others).
const SHARE_OF_OTHERS: f64 = 0.4;
/// The smallest device before a feed. Common practice, no source.
pub(super) const LEAST_A: f64 = 20.0;

/// From the board to the outside wall, along the trench as recorded, and up to the outbuilding's board, with a metre at each
/// end for the glands. Inside the house it goes by the map where house and outbuilding were drawn; what it opens there is
/// opened for it; where other cables would be chased in or hidden behind a lining it is clipped.
pub(super) fn run(draft: &CircuitDraft, from: Location, ways: &Routing<'_>) -> Run {
    /// Armoured cable left at each end. Source: domain practice, from memory.
    const SLACK_AT_GLAND: Metres = Metres::new(1.0);
    /// Inside the house, from the board to the wall nearest to the garden. Common practice, no source.
    const TO_THE_WALL: Metres = Metres::new(5.0);
    /// Inside an outbuilding, from its board down to the trench of what it feeds onward. Common practice, no source.
    const OUT_OF_AN_OUTBUILDING: Metres = Metres::new(2.0);
    /// It leaves the house this high. Common practice, no source.
    const LEAVES_AT: Metres = Metres::new(0.3);
    let site = ways.site();
    let Some(building) = draft.outbuilding.map(|building| &site.outbuildings[building]) else {
        return Run::default();
    };
    // Inside along the real way to the wall nearest to the building, where both were drawn.
    let outline = site.rooms[building.room].outline.as_ref().filter(|_| building.via.is_none());
    let towards = outline.and_then(|outline| ways.leaves_towards(outline.middle()));
    let mapped = towards.and_then(|wall| ways.armoured_on_the_map(from, wall, LEAVES_AT));
    let mut run = match mapped {
        Some(run) => run.as_armoured_goes(SLACK_AT_GLAND),
        None => {
            let usual = if building.via.is_some() { OUT_OF_AN_OUTBUILDING } else { TO_THE_WALL };
            let inside = stretch(Medium::SurfaceClipped, from.room, usual + SLACK_AT_GLAND);
            Run { segments: vec![inside], ..Run::default() }
        }
    };
    let buried: Metres = building.stretches.iter().map(|(_, length)| *length).sum();
    run.segments.push(stretch(Medium::Trench, Some(building.room), buried));
    run.segments.push(stretch(Medium::SurfaceClipped, Some(building.room), SLACK_AT_GLAND));
    run.metres = run.segments.iter().map(|segment| segment.metres).sum();
    run.far_end = run.metres;
    run.order = vec![building.room];
    if draft.fixed.kept.is_some() {
        // There now: nothing is laid, and it is taken to be as long as a new one.
        return Run { metres: run.metres, far_end: run.metres, order: run.order, ..Run::default() };
    }
    run
}

const fn stretch(medium: Medium, room: Option<RoomIndex>, metres: Metres) -> Segment {
    Segment { medium, void: Void::Surface, room, metres, obstructed: Metres::ZERO, obstruction: None }
}

/// What is behind a feed.
#[derive(Debug, Clone, Copy, Default)]
struct DownstreamLoad {
    largest_a: f64,
    sum_a: f64,
    device_a: f64,
    /// Feeds one after the other from here on, this one with them.
    feeds: u32,
}

/// Sizes each feed for the circuits behind it, once they are known: those that are fed onward first, for they are behind
/// another one.
pub(super) fn size(circuits: &mut [CircuitPlan], site: &Site, context: Context<'_>) {
    let mut behind: BTreeMap<CircuitIndex, DownstreamLoad> = BTreeMap::new();
    let mut before: BTreeMap<CircuitIndex, u32> = BTreeMap::new();
    for (index, circuit) in circuits.iter().enumerate().filter(|(_, one)| one.kind == CircuitType::Distribution) {
        let FedFrom::Circuit(feed) = circuit.fed_from else { continue };
        let feeds = before.get(&feed).copied().unwrap_or(0) + 1;
        before.insert(index, feeds);
    }
    // A feed comes after the one that it hangs on, so backwards every load is known before the feed that carries it.
    for index in (0..circuits.len()).rev() {
        match behind.get(&index).copied() {
            Some(behind) => {
                size_one(&mut circuits[index], behind, before.get(&index).copied().unwrap_or(0), site, context);
            }
            None if circuits[index].kind == CircuitType::Distribution => nothing_behind(&mut circuits[index]),
            None => {}
        }
        let circuit = &circuits[index];
        if let FedFrom::Circuit(feed) = circuit.fed_from {
            // What it is designed for, so that a feed never carries less than any one circuit behind it.
            let load = circuit.design_current.value();
            let feeds = behind.get(&index).map_or(0, |behind| behind.feeds);
            let entry = behind.entry(feed).or_insert(DownstreamLoad { feeds: 1, ..DownstreamLoad::default() });
            entry.largest_a = entry.largest_a.max(load);
            entry.sum_a += load;
            entry.device_a = entry.device_a.max(circuit.device.rating.value());
            entry.feeds = entry.feeds.max(1 + feeds);
        }
    }
}

fn size_one(circuit: &mut CircuitPlan, behind: DownstreamLoad, feeds_before: u32, site: &Site, context: Context<'_>) {
    let cables = context.catalogue.cables();
    let DownstreamLoad { largest_a, sum_a, device_a, feeds } = behind;
    let current = largest_a + SHARE_OF_OTHERS * (sum_a - largest_a);
    let run = circuit.run.metres.value();
    let in_a_row = feeds_before + feeds;
    let share = DROP_SHARE / f64::from(in_a_row.max(1));
    let volts = share * site.supply.voltage.value();
    let wanted = FeedWanted { current, device_behind: device_a, run_m: run, drop_v: volts };
    let (rating, cable) = match circuit.fixed.cable {
        Some(cable) => (device_before(cable, &wanted, cables), cable),
        None => device_and_cable(&wanted, cables, context.standards),
    };
    circuit.design_current = Amps::new(current);
    if circuit.fixed.device.is_none() {
        circuit.device.rating = rating;
    }
    circuit.cable = cable;
    let rating = circuit.device.rating.value();
    circuit.beyond_table = current > rating;
    let chosen = FeedCable { line_mm2: cable.line_mm2(), run_m: run, drop_share: share };
    let mut reasons = vec![CircuitReason::FeedSized(FeedSize {
        largest_a,
        current_a: current,
        rating_a: rating,
        behind_a: device_a,
        cable: circuit.fixed.cable.is_none().then_some(chosen),
    })];
    if circuit.outbuilding.is_some_and(|building| site.outbuildings[building].other_feed.is_some()) {
        reasons.push(CircuitReason::FeedsCompared);
    }
    reasons.append(&mut circuit.reasons);
    circuit.reasons = reasons;
}

/// A feed to be enlarged, with its next size: one that stands before a circuit which fails by what was lost on the way to
/// it, the nearest one to it first.
pub(super) fn to_enlarge(
    circuits: &[CircuitPlan],
    checked: &[Option<Proof>],
    catalogue: &Catalogue,
) -> Option<(CircuitIndex, CableSize)> {
    let by_the_way = |name| matches!(name, CheckName::VoltageDrop | CheckName::Disconnection);
    let fails = |proof: &Proof| proof.judged.failing().any(|check| by_the_way(check.name));
    let failing = circuits.iter().zip(checked).filter(|(circuit, proof)| {
        circuit.fixed.cable.is_none() && circuit.fixed.kept.is_none() && proof.as_ref().is_some_and(fails)
    });
    let feed_of = |circuit: &CircuitPlan| match circuit.fed_from {
        FedFrom::Circuit(feed) => Some(feed),
        FedFrom::Board | FedFrom::Intake => None,
    };
    let larger = |feed: CircuitIndex| {
        let circuit = &circuits[feed];
        let free = circuit.fixed.cable.is_none() && circuit.fixed.kept.is_none();
        catalogue.cables().from_size(circuit.cable).nth(1).filter(|_| free)
    };
    failing
        .flat_map(|(circuit, _)| std::iter::successors(feed_of(circuit), |feed| feed_of(&circuits[*feed])))
        .find_map(|feed| Some((feed, larger(feed)?)))
}

/// A feed to a building in which nothing is recorded.
fn nothing_behind(circuit: &mut CircuitPlan) {
    if circuit.fixed.device.is_none()
        && let Some(cable) = circuit.fixed.cable
    {
        circuit.device.rating = Amps::new(cable.largest_device_a());
    }
    circuit.design_current = circuit.device.rating;
    circuit.beyond_table = false;
    circuit.reasons.insert(0, CircuitReason::LoadNotRecorded);
}

/// Whether a circuit is a feed that is there now and stays.
pub(super) fn is_kept(circuit: &CircuitPlan) -> bool {
    circuit.kind == CircuitType::Distribution && circuit.fixed.kept.is_some()
}

/// Share of nominal that the feeds to a board may drop together. Source: domain practice, e.g. 2 % to the sub-board.
const DROP_SHARE: f64 = 0.02;

/// What a feed is sized by.
struct FeedWanted {
    /// What it carries.
    current: f64,
    /// The largest device behind it.
    device_behind: f64,
    /// Its length.
    run_m: f64,
    /// What it may drop.
    drop_v: f64,
}

/// Devices before a feed: the smallest, and the largest of each cable that is laid for one.
fn ratings(cables: &Cables) -> impl Iterator<Item = f64> + '_ {
    std::iter::once(LEAST_A).chain(cables.feeds().iter().map(|cable| cable.largest_device_a()))
}

/// The first device that carries the load and is above the largest one behind it, so that a fault in the building trips
/// there first.
fn rating_above(wanted: &FeedWanted, cables: &Cables) -> Option<f64> {
    ratings(cables).find(|rating| wanted.current <= *rating && wanted.device_behind < *rating)
}

fn device_and_cable(wanted: &FeedWanted, cables: &Cables, standards: &Standards) -> (Amps, CableSize) {
    let feeds = cables.feeds();
    let largest = feeds[feeds.len() - 1];
    let rating = rating_above(wanted, cables).unwrap_or(largest.largest_device_a());
    let fits = |cable: &&CableSize| rating <= cable.largest_device_a() && keeps_the_drop(wanted, **cable, standards);
    (Amps::new(rating), *feeds.iter().find(fits).unwrap_or(&largest))
}

/// Whether a cable drops no more than is wanted over the feed.
fn keeps_the_drop(wanted: &FeedWanted, cable: CableSize, standards: &Standards) -> bool {
    let drop = standards.voltage_drop(cable.cable_type(), SquareMillimetres::new(cable.line_mm2()));
    drop.is_ok_and(|mv| mv.value() * wanted.current * wanted.run_m / 1_000.0 <= wanted.drop_v)
}

/// The device before a cable that is not to be chosen: above the largest behind it and what it carries, where the cable
/// bears that; else what the cable bears.
fn device_before(cable: CableSize, wanted: &FeedWanted, cables: &Cables) -> Amps {
    let most = cable.largest_device_a();
    Amps::new(rating_above(wanted, cables).map_or(most, |rating| rating.min(most)))
}

/// How many boards of outbuildings lie between the house's board and a circuit, its own with them: what is fed onward
/// comes after what feeds it.
pub(super) fn boards_before(site: &Site, draft: &CircuitDraft) -> usize {
    let on_the_way = std::iter::successors(draft.outbuilding, |building| site.outbuildings[*building].via);
    on_the_way.take(site.outbuildings.len()).count()
}

/// Where a circuit gets its supply.
pub(super) fn fed_from(site: &Site, draft: &CircuitDraft, feeds: &BTreeMap<usize, usize>) -> FedFrom {
    let Some(building) = draft.outbuilding else { return FedFrom::Board };
    if draft.kind == CircuitType::Distribution {
        if let Some(feed) = site.outbuildings[building].via.and_then(|via| feeds.get(&via)) {
            return FedFrom::Circuit(*feed);
        }
        return match site.outbuildings[building].fed_from {
            OutbuildingFeed::ConsumerUnit => FedFrom::Board,
            OutbuildingFeed::Intake => FedFrom::Intake,
        };
    }
    feeds.get(&building).map_or(FedFrom::Board, |feed| FedFrom::Circuit(*feed))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The table with one more row: 50 mm2 armoured cable for feeds, behind 125 A.
    fn with_a_row_more() -> Cables {
        let table = include_str!("../../data/cables.csv");
        let (upper, lower) = table.split_once("kept-armoured-1-5").expect("the row that the new one stands before");
        let laid = "armoured-16-to-25-clipped,".repeat(5);
        let row = "armoured-50,armoured,armoured-70c,3,50,50,125,laid,yes,,,cable-armoured,50 mm2 armoured cable,cable-armoured-50";
        let row = format!("{row},{laid}armoured-16-to-25-in-trench,armoured-gland-16-to-25,invented for this test\n");
        Cables::read(format!("{upper}{row}kept-armoured-1-5{lower}").leak())
    }

    #[test]
    fn a_cable_that_is_added_to_the_table_is_chosen_where_it_is_wanted() {
        let (standards, cables) = (Standards::built_in(), with_a_row_more());
        let sized = |cables: &Cables, current, run_m| {
            let wanted = FeedWanted { current, device_behind: 40.0, run_m, drop_v: 4.6 };
            let (device, cable) = device_and_cable(&wanted, cables, &standards);
            (device.value(), cable.line_mm2())
        };

        assert_eq!(sized(&cables, 45.0, 10.0), (50.0, 10.0));
        assert_eq!(sized(&cables, 45.0, 100.0), (50.0, 50.0));
        assert_eq!(sized(&cables, 70.0, 10.0), (80.0, 25.0));
        assert_eq!(sized(&cables, 110.0, 10.0), (125.0, 50.0));
        assert_eq!(sized(crate::catalogue::Catalogue::built_in().cables(), 45.0, 50.0), (50.0, 25.0));
    }
}
