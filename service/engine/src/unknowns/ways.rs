//! How far and how freely the cables run: places, steels, roofs that nobody has looked into, what hides in the fabric.

use super::{AnswerSubject, Change, HousePlace, OpenQuestion, UnknownsContext};
use crate::catalogue::{CableClass, PointPlace};
use crate::pricing::Cost;
use crate::routes::{Segment, model};
use crate::site::{AssumedSubject, MovedFrom, RoomIndex, RoomPlan};
use crate::survey::{Medium, Obstruction, RoomUse, Wall};
use crate::take_off::LineKind;
use crate::unit_rates::{Void, laying};

/// Spread of drops and runs where rooms are drawn but points are not marked, as a share. Common practice, no source.
const UNMARKED_SPREAD: f64 = 0.1;

pub(super) fn ways(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    lengths(asked, found);
    steel(asked, found);
    roofs(asked, found);
    openings(asked, found);
    unseen(asked, found);
}

/// Doors and windows whose sill or head nobody recorded: nothing was taken to go over or under them, so that what stood
/// there is beside them, with a longer chase.
fn openings(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let site = asked.job.site;
    let doubtful = |room: &RoomPlan| room.openings.iter().any(crate::site::WallOpeningPlan::is_doubtful);
    let rooms: Vec<RoomIndex> =
        site.rooms.iter().enumerate().filter(|(_, room)| doubtful(room)).map(|(index, _)| index).collect();
    if rooms.is_empty() {
        return;
    }
    let moved = site.moved.iter().filter(|moved| moved.from == MovedFrom::Opening);
    let beside: Cost = moved.map(|moved| super::shown::along_the_wall(asked, moved.room, moved.metres)).sum();
    found.push(OpenQuestion {
        subject: AnswerSubject::OpeningHeights,
        places: super::rooms(rooms.iter().copied()),
        answers: asked.answers(AnswerSubject::OpeningHeights, |value| match value.figure().unwrap_or(1.0) {
            figure if figure < 1.0 => Cost::ZERO - beside,
            _ => Cost::ZERO,
        }),
        part: None,
        change: None,
    });
}

/// How many times the hours of a free run an obstructed one takes, by the firm's sheet.
fn slowed(asked: &UnknownsContext<'_>) -> f64 {
    asked.job.workbook.factor(crate::rate_sheet::Factor::Obstructed, "yes")[crate::rate_sheet::Stage::FirstFix.index()]
        .max(1.0)
}

fn lengths(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let (subject, spread) = if !asked.job.site.measured {
        (AnswerSubject::Lengths, model::SPREAD)
    } else if asked.assumptions.made(AssumedSubject::Positions) {
        (AnswerSubject::Positions, UNMARKED_SPREAD)
    } else {
        return;
    };
    let now = asked.by_length();
    found.push(OpenQuestion {
        subject,
        places: HousePlace::House.into(),
        answers: asked.answers(subject, |value| now * (value.figure().unwrap_or(1.0) - 1.0)),
        part: Some((now, spread)),
        change: None,
    });
}

impl UnknownsContext<'_> {
    /// What goes by the length of drops and runs.
    fn by_length(&self) -> Cost {
        let goes = |kind: LineKind| matches!(kind, LineKind::Cable | LineKind::BuildersWork | LineKind::MakingGood);
        self.cost_of(|item| goes(item.kind))
    }

    /// What marking the points may move: the furthest they may stand less the nearest.
    pub(crate) fn unmarked_span(&self) -> Cost {
        let rows = self.rows(AnswerSubject::Positions);
        let figures = || rows.iter().filter_map(|row| row.value.figure());
        let (least, most) = (figures().fold(1.0, f64::min), figures().fold(1.0, f64::max));
        self.by_length() * (most - least)
    }
}

/// Whether something that was recorded closes a void, and nobody has lifted a board and looked.
fn may_be_passed(obstruction: &Obstruction) -> bool {
    let over = |medium: &Medium| matches!(medium, Medium::CeilingVoid | Medium::FloorVoid | Medium::Loft);
    obstruction.looked_at != Some(true) && obstruction.blocks.iter().any(over)
}

/// Steels and the like across a void: the routes go round them as recorded, or through slowly.
fn steel(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    /// Outside round the end of a beam. Common practice, no source.
    const ROUND_THE_OUTSIDE_M: f64 = 4.0;
    let obstructions = asked.job.site.obstructions.iter().enumerate().filter(|(_, one)| may_be_passed(one));
    let mut obstructions: Vec<usize> = obstructions.map(|(index, _)| index).collect();
    if obstructions.is_empty() {
        return;
    }
    let circuits = asked.job.installation.circuits.iter();
    let met =
        circuits.filter(|circuit| circuit.run.segments.iter().any(|segment| segment.obstruction.is_some())).count();
    let obstructed = asked.cost_of(|item| item.conditions.obstructed);
    let free = Cost::labour(obstructed.labour * (1.0 / slowed(asked) - 1.0));
    let operations = &asked.job.workbook.operations;
    #[expect(clippy::cast_precision_loss, reason = "circuits of one house")]
    let count = met as f64;
    let smallest = asked.job.workbook.cable(asked.job.catalogue.cables().feeds()[0].row());
    // Where no circuit goes through, the price is already that of the way round.
    let outside = asked.work(operations.armoured_clipped, ROUND_THE_OUTSIDE_M * count)
        + asked.work(asked.job.workbook.wall_work(Wall::Brick).hole, 2.0 * count)
        + asked.material(smallest.material, ROUND_THE_OUTSIDE_M * count)
        + asked.material(asked.job.workbook.materials.hole_sleeve, 2.0 * count);
    // Like things on one storey are asked about once.
    let alike = |index: &usize| {
        let one = &asked.job.site.obstructions[*index];
        (one.obstruction_type.word(), one.storey.as_deref().unwrap_or("house"))
    };
    obstructions.sort_by(|one, other| alike(one).cmp(&alike(other)));
    obstructions.dedup_by(|one, other| alike(one) == alike(other));
    let places = obstructions.into_iter().map(HousePlace::Obstruction).collect();
    found.push(OpenQuestion {
        subject: AnswerSubject::WayPastSteel,
        places,
        answers: asked.answers(AnswerSubject::WayPastSteel, |value| match value.figure().unwrap_or(1.0) {
            figure if figure < 1.0 => free,
            figure if figure > 1.0 && met > 0 => free + outside,
            _ => Cost::ZERO,
        }),
        part: None,
        change: Some(Change::Site(|site, answer| {
            if answer.figure().is_some_and(|figure| figure < 1.0) {
                site.obstructions.retain(|one| !may_be_passed(one));
            }
        })),
    });
}

/// Rooms under a roof that the loft does not reach, where nobody has found a way in.
pub(crate) fn under_other_roofs(site: &crate::site::Site) -> Vec<RoomIndex> {
    let lofts: Vec<_> = site
        .rooms
        .iter()
        .filter(|room| room.room_use == RoomUse::Loft)
        .filter_map(|loft| loft.outline.as_ref())
        .collect();
    let covered = |room: &RoomPlan| {
        room.outline.as_ref().is_none_or(|outline| lofts.iter().any(|loft| loft.holds(outline.middle())))
    };
    let top = |room: &RoomPlan| {
        room.level == site.top_level && room.room_use != RoomUse::Loft && room.is_inside() && !room.surface
    };
    if lofts.is_empty() {
        return Vec::new();
    }
    let apart = |room: &RoomPlan| top(room) && !covered(room) && !room.roof_void_reached;
    site.rooms.iter().enumerate().filter(|(_, room)| apart(room)).map(|(index, _)| index).collect()
}

fn roofs(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    /// Cable of one light or switch that lies over its room, per metre of the room's side. Common practice, no source.
    const OVERHEAD: f64 = 1.0;
    let site = asked.job.site;
    let overhead = |room: &RoomPlan| -> f64 {
        let over = room.points.iter().filter(|point| {
            let kind = &asked.job.catalogue.points()[point.row];
            kind.place == PointPlace::Ceiling || kind.group == crate::catalogue::PointGroup::Switch
        });
        over.map(|point| f64::from(point.count)).sum()
    };
    let rooms: Vec<RoomIndex> =
        under_other_roofs(site).into_iter().filter(|room| overhead(&site.rooms[*room]) > 0.0).collect();
    let operations = &asked.job.workbook.operations;
    let lights = asked.job.cable(CableClass::Lighting);
    let fished = |index: &RoomIndex| {
        let room = &site.rooms[*index];
        let metres = overhead(room) * room.shape.longer_side().value() * OVERHEAD;
        // A way that is priced as closed already has nothing to lose.
        if asked.job.ways.room(*index).high.void != Void::Open {
            return Cost::ZERO;
        }
        (asked.work(lights.fished(), metres) - asked.work(lights.open(), metres)
            + asked.work(operations.box_ceiling_pattress, overhead(room)))
            * asked.crowding(room)
    };
    let cost: Cost = rooms.iter().map(fished).sum();
    found.push(OpenQuestion {
        subject: AnswerSubject::RoofOverExtension,
        places: super::rooms(rooms.iter().copied()),
        answers: asked.either(AnswerSubject::RoofOverExtension, cost),
        part: None,
        change: None,
    });
}

/// What hides where nobody has looked: noggins, pipes, old notches. Not a question: only opening the floor tells.
fn unseen(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let hidden = |medium: Medium, void: Void| {
        let inside = matches!(
            medium,
            Medium::CeilingVoid | Medium::FloorVoid | Medium::CrawlSpace | Medium::StudCavity | Medium::DryLiningGap
        );
        inside && matches!(void, Void::Closed | Void::Joists)
    };
    let mut hours = 0.0;
    for circuit in &asked.job.installation.circuits {
        let segments = circuit.run.segments.iter().filter(|segment| hidden(segment.medium, segment.void));
        let metre = |segment: &Segment| {
            let place = (segment.medium, segment.void, segment.room);
            laying(asked.job.workbook, asked.factors, circuit.cable, place)
        };
        hours += segments.map(|segment| metre(segment).hours * segment.metres.value()).sum::<f64>();
    }
    let blocked = Cost::labour(hours * (slowed(asked) - 1.0) * asked.rate());
    found.push(OpenQuestion {
        subject: AnswerSubject::UnseenFabric,
        places: HousePlace::House.into(),
        answers: asked.either(AnswerSubject::UnseenFabric, blocked),
        part: None,
        change: None,
    });
}
