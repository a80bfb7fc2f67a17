//! One more of each kind of point: the job priced again with it, in the room that has most of the kind. A job that takes long
//! to lay out has instead what those of the kind come to on average.
//!
//! The crew is there already, so what comes once or every day is left out. Cost: a design and a count for each kind, or a step
//! for each item and kind.

use std::collections::{BTreeMap, BTreeSet};

use super::ExtraPoint;
use crate::circuits::{CircuitIndex, Design, design};
use crate::context::Context;
use crate::labour::{self, ItemHours};
use crate::limits::EXTRA_POINTS_STEPS_MAX;
use crate::money::Money;
use crate::pricing::{self, Priced, PricedItem};
use crate::quantities::Hours;
use crate::rate_sheet::Stage;
use crate::site::{RoomIndex, RoomPlan, Site};
use crate::survey::{EstimateRequest, Method, Point, PointType};
use crate::take_off::{self, Item, ItemKind, Job, LineKind};
use crate::work::WorkPart;

/// The work on site of a job, without what comes once or every day.
struct WorkOnSite {
    cost: f64,
    hours: f64,
}

/// What one more of each kind costs.
pub(super) fn extra_points(design: &Design<'_>, priced: &Priced, method: Method) -> Vec<ExtraPoint> {
    let context = design.context;
    let rooms = most_of_each(design.site);
    let steps = (rooms.len() as u64).saturating_mul(design.steps + priced.steps);
    let extra = |kind: PointType, room: RoomIndex, work: &WorkOnSite, averaged: bool| {
        let price = match method {
            Method::PerPoint => context.workbook.point_rate(kind).further,
            Method::Measured => pricing::selling(work.cost, &context.workbook.sheet.terms),
        };
        let (point_type, room) = (kind.word().to_owned(), design.site.rooms[room].id.clone());
        let hours = Hours::new(work.hours).rounded(2);
        (price > Money::ZERO).then_some(ExtraPoint { point_type, room, price, hours, averaged })
    };
    if steps > EXTRA_POINTS_STEPS_MAX {
        let items = priced.items();
        let steps = (rooms.len() * items.len()) as u64;
        context.work.count(WorkPart::Questions, steps);
        let average = |(kind, (room, _)): (&PointType, &(RoomIndex, u32))| {
            extra(*kind, *room, &on_average(design, &items, *kind), true)
        };
        return rooms.iter().take_while(|_| context.work.goes_on()).filter_map(average).collect();
    }
    let now = on_site(design);
    let one_more = |(kind, (room, _)): (&PointType, &(RoomIndex, u32))| {
        let request = with_one_more(context.request, &design.site.rooms[*room].id, *kind)?;
        let context = Context { request: &request, ..context };
        let then = context.work.on_behalf_of(WorkPart::Questions, || priced_with(context, design.site));
        let more = WorkOnSite { cost: (then.cost - now.cost).max(0.0), hours: (then.hours - now.hours).max(0.0) };
        extra(*kind, *room, &more, false)
    };
    rooms.iter().take_while(|_| context.work.goes_on()).filter_map(one_more).collect()
}

/// The room with most of each kind; of rooms that have as many, the first.
fn most_of_each(site: &Site) -> BTreeMap<PointType, (RoomIndex, u32)> {
    let mut most: BTreeMap<PointType, (RoomIndex, u32)> = BTreeMap::new();
    for (index, room) in site.rooms.iter().enumerate() {
        let mut here: BTreeMap<PointType, u32> = BTreeMap::new();
        for point in &room.points {
            *here.entry(point.kind).or_insert(0) += point.count;
        }
        for (kind, count) in here.into_iter().filter(|(_, count)| *count > 0) {
            let seen = most.entry(kind).or_insert((index, count));
            if count > seen.1 {
                *seen = (index, count);
            }
        }
    }
    most
}

/// The request with one more point of the kind in a room: as the one that is there, on no place of its own.
fn with_one_more(request: &EstimateRequest, room: &str, kind: PointType) -> Option<EstimateRequest> {
    let mut request = request.clone();
    let survey = &mut request.survey;
    let rooms = survey.rooms.iter_mut().map(|one| (&one.id, &mut one.points));
    let buildings = survey.outbuildings.iter_mut().map(|one| (&one.id, &mut one.points));
    let (_, points) = rooms.chain(buildings).find(|(id, _)| id.as_str() == room)?;
    let like = points.iter().find(|point| point.point_type == kind && point.stays != Some(true))?;
    let more = Point { count: Some(1), at: None, wall: None, along_m: None, ..like.clone() };
    points.push(more);
    Some(request)
}

fn priced_with(context: Context<'_>, before: &Site) -> WorkOnSite {
    let (mut site, _) = Site::from_survey(context.survey(), context.catalogue, context.work);
    // One point more changes neither the kind of the job nor what feeds a building.
    site.scope = before.scope;
    site.outbuildings.clone_from(&before.outbuildings);
    on_site(&design(context, &site))
}

fn on_site(design: &Design<'_>) -> WorkOnSite {
    let job = Job::of(design);
    let take_off = take_off::count(job);
    let hours = labour::hours_of_items(design.factors(), &take_off, 0, job.workbook);
    let cost = pricing::approximate_cost_of_items(&take_off, &take_off.items, &hours, job.workbook).total();
    let of_item = |hours: &ItemHours| hours.total() - hours.stages[Stage::Preliminaries.index()];
    WorkOnSite { cost, hours: hours.iter().map(of_item).sum() }
}

/// What those of a kind come to on average: the points themselves, the cable of their circuits by the point, and what is cut and
/// made good in their rooms by the point.
fn on_average(design: &Design<'_>, items: &[(&Item, PricedItem)], kind: PointType) -> WorkOnSite {
    let site = design.site;
    let of_kind = |room: &RoomPlan| -> u64 {
        let alike = room.points.iter().filter(|point| point.kind == kind);
        alike.map(|point| u64::from(point.count)).sum()
    };
    let rooms: BTreeSet<RoomIndex> = (0..site.rooms.len()).filter(|room| of_kind(&site.rooms[*room]) > 0).collect();
    let count: u64 = rooms.iter().map(|room| of_kind(&site.rooms[*room])).sum();
    let in_rooms: u64 = rooms.iter().map(|room| site.rooms[*room].point_count()).sum();
    let circuits = design.installation.circuits.iter().enumerate().filter(|(_, circuit)| {
        circuit.members.iter().any(|member| site.rooms[member.room].points[member.point].kind == kind)
    });
    let circuits: BTreeMap<CircuitIndex, u64> =
        circuits.map(|(index, circuit)| (index, circuit.point_count())).collect();
    let on_circuits: u64 = circuits.values().sum();
    let mut each = WorkOnSite { cost: 0.0, hours: 0.0 };
    for (item, priced) in items {
        let among = match item.kind {
            LineKind::Point if item.what == ItemKind::Point(kind) => count,
            LineKind::Cable if item.circuit.is_some_and(|circuit| circuits.contains_key(&circuit)) => on_circuits,
            LineKind::BuildersWork | LineKind::MakingGood if item.room.is_some_and(|room| rooms.contains(&room)) => {
                in_rooms
            }
            _ => continue,
        };
        #[expect(clippy::cast_precision_loss, reason = "at most 50,000 points")]
        let share = 1.0 / among.max(1) as f64;
        each.cost += priced.amount().approximate() * share;
        each.hours += priced.hours.total() * share;
    }
    each
}
