//! How far and how freely the cables run: places, steels, roofs that nobody has looked into, what hides in the fabric.

use super::{Asked, Change, Unknown};
use crate::catalogue::{CableClass, PointPlace};
use crate::pricing::Cost;
use crate::routes::{Segment, model};
use crate::site::{RoomIndex, RoomPlan};
use crate::survey::{Medium, Obstruction, RoomUse, Wall};
use crate::take_off::LineKind;
use crate::unit_rates::{Void, laying};

/// Spread of drops and runs where rooms are drawn but points are not marked, as a share. Common practice, no source.
const UNMARKED_SPREAD: f64 = 0.1;

pub(super) fn ways(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    lengths(asked, found);
    steel(asked, found);
    roofs(asked, found);
    unseen(asked, found);
}

/// How many times the hours of a free run an obstructed one takes, by the firm's sheet.
fn slowed(asked: &Asked<'_>) -> f64 {
    asked.job.workbook.factor(crate::rate_sheet::Factor::Obstructed, "yes")[crate::rate_sheet::Stage::FirstFix.index()]
        .max(1.0)
}

fn lengths(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    let (id, ask, spread, because) = if !asked.job.site.measured {
        let because = "all runs: from a model of floor areas, which is good to a quarter either way";
        (
            "lengths",
            "What are the sizes of the rooms, and which lies beside which? Sketch each floor",
            model::SPREAD,
            because,
        )
    } else if asked.assumptions.made("positions") {
        let because = "drops and runs between points that were spread round the walls by rule";
        ("positions", "Where does each point go? Mark them on the walls with the client", UNMARKED_SPREAD, because)
    } else {
        return;
    };
    let now = asked.by_length();
    found.push(Unknown {
        id,
        ask: Some(ask),
        places: vec!["house".to_owned()],
        cause: "lengths of runs that were not measured",
        answers: asked.answers(id, |row| now * (row.figure.unwrap_or(1.0) - 1.0)),
        part: Some((now, spread)),
        because,
        change: None,
    });
}

impl Asked<'_> {
    /// What goes by the length of drops and runs.
    fn by_length(&self) -> Cost {
        let goes = |kind: LineKind| matches!(kind, LineKind::Cable | LineKind::BuildersWork | LineKind::MakingGood);
        self.cost_of(|item| goes(item.kind))
    }

    /// What marking the points may move: the furthest they may stand less the nearest.
    pub(crate) fn unmarked_span(&self) -> Cost {
        let rows = self.odds.of("positions", self.job.site.built_year);
        let figures = || rows.iter().filter_map(|row| row.figure);
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
fn steel(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    /// Outside round the end of a beam. Common practice, no source.
    const ROUND_THE_OUTSIDE_M: f64 = 4.0;
    let obstructions: Vec<&Obstruction> = asked.job.site.obstructions.iter().filter(|one| may_be_passed(one)).collect();
    if obstructions.is_empty() {
        return;
    }
    let circuits = asked.job.installation.circuits.iter();
    let met =
        circuits.filter(|circuit| circuit.run.segments.iter().any(|segment| segment.obstruction.is_some())).count();
    let obstructed = asked.cost_of(|item| item.conditions.obstructed);
    let free = Cost::labour(obstructed.labour * (1.0 / slowed(asked) - 1.0));
    let does = &asked.job.workbook.does;
    #[expect(clippy::cast_precision_loss, reason = "circuits of one house")]
    let count = met as f64;
    let smallest = asked.job.workbook.cable(asked.job.catalogue.cables().feeds()[0].row());
    // Where no circuit goes through, the price is already that of the way round.
    let outside = asked.work(does.armoured_clipped, ROUND_THE_OUTSIDE_M * count)
        + asked.work(asked.job.workbook.wall_work(Wall::Brick).hole, 2.0 * count)
        + asked.material(smallest.material, ROUND_THE_OUTSIDE_M * count)
        + asked.material(asked.job.workbook.takes.hole_sleeve, 2.0 * count);
    let mut places: Vec<String> = obstructions
        .iter()
        .map(|one| {
            format!("{}, {}", one.obstruction_type.word().replace('-', " "), one.storey.as_deref().unwrap_or("house"))
        })
        .collect();
    places.sort_unstable();
    places.dedup();
    found.push(Unknown {
        id: "way-past-steel",
        ask: Some("Is there a way over or under what lies across the void? Lift a board beside it and look"),
        places,
        cause: "whether there is a way past the steel",
        answers: asked.answers("way-past-steel", |row| match row.figure.unwrap_or(1.0) {
            figure if figure < 1.0 => free,
            figure if figure > 1.0 && met > 0 => free + outside,
            _ => Cost::ZERO,
        }),
        part: None,
        because: "every route beside those that a free void would have",
        change: Some(Change::Ways(|site, answer| {
            if answer.figure.is_some_and(|figure| figure < 1.0) {
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

fn roofs(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
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
    let does = &asked.job.workbook.does;
    let lights = asked.job.cable(CableClass::Lighting);
    let fished = |index: &RoomIndex| {
        let room = &site.rooms[*index];
        let metres = overhead(room) * room.shape.longer_side().value() * OVERHEAD;
        // A way that is priced as closed already has nothing to lose.
        if asked.job.ways.room(*index).high.void != Void::Open {
            return Cost::ZERO;
        }
        (asked.work(lights.fished(), metres) - asked.work(lights.open(), metres)
            + asked.work(does.box_ceiling_pattress, overhead(room)))
            * asked.crowding(room)
    };
    let cost: Cost = rooms.iter().map(fished).sum();
    found.push(Unknown {
        id: "roof-over-extension",
        ask: Some("Is there a way into the roof over these rooms? The loft does not reach them"),
        places: asked.named(&rooms),
        cause: "whether the roof over the extension can be got into",
        answers: asked.either("roof-over-extension", cost),
        part: None,
        because: "lights and switches fished through a closed ceiling, and a hole patched at each, against laid from above",
        change: None,
    });
}

/// What hides where nobody has looked: noggins, pipes, old notches. Not a question: only opening the floor tells.
fn unseen(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
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
    found.push(Unknown {
        id: "unseen-fabric",
        ask: None,
        places: vec!["house".to_owned()],
        cause: "what hides in voids that nobody has looked into",
        answers: asked.either("unseen-fabric", blocked),
        part: None,
        because: "runs in closed voids that turn out to be blocked take the sheet's factor for obstruction",
        change: None,
    });
}
