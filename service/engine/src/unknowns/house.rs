//! How full the house is, what comes out of it, how far away it stands.

use super::{AnswerAmount, AnswerSubject, AnswerValue, Change, HousePlace, OpenQuestion, UnknownsContext};
use crate::pricing::Cost;
use crate::rate_sheet::Stage;
use crate::site::{AssumedSubject, RoomIndex, Site};
use crate::survey::{Occupancy, Parking};
use crate::take_off::{Item, ItemKind, LineKind};

pub(super) fn house(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let site = asked.job.site;
    scope(asked, found);
    occupancy(asked, found);
    if asked.assumptions.made(AssumedSubject::PointsToStrip) {
        let now = asked.cost_of(|item| matches!(item.what, ItemKind::OldPoints | ItemKind::Waste | ItemKind::Skip));
        #[expect(clippy::cast_precision_loss, reason = "at most 50,000 points")]
        let taken = site.points_to_strip as f64;
        let answers =
            asked.multiples(AnswerSubject::PointsToStrip, now, |times| AnswerAmount::Points((taken * times).round()));
        found.push(OpenQuestion {
            subject: AnswerSubject::PointsToStrip,
            places: HousePlace::House.into(),
            answers,
            part: None,
            change: Some(Change::Site(|site, answer| {
                #[expect(clippy::cast_precision_loss, reason = "at most 50,000 points")]
                let points = site.points_to_strip as f64 * answer.figure().unwrap_or(1.0);
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count of points")]
                let points = points.round() as u64;
                site.points_to_strip = points;
            })),
        });
    }
    if asked.assumptions.made(AssumedSubject::Distance) {
        let now = asked.cost_of(|item| item.what == ItemKind::Travel);
        found.push(OpenQuestion {
            subject: AnswerSubject::Distance,
            places: HousePlace::House.into(),
            answers: asked.multiples(AnswerSubject::Distance, now, |times| {
                AnswerAmount::Kilometres((site.distance_km * times).round())
            }),
            part: None,
            change: Some(Change::Site(|site, answer| site.distance_km *= answer.figure().unwrap_or(1.0))),
        });
    }
    if asked.assumptions.made(AssumedSubject::Parking) {
        parking(asked, found);
    }
}

fn occupancy(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let site = asked.job.site;
    let rooms = asked.rooms(|room| !room.occupancy_recorded);
    if rooms.is_empty() {
        return;
    }
    let operations = &asked.job.workbook.operations;
    let occupiable = occupiable(asked);
    let in_room = |room: RoomIndex, occupancy: Occupancy| -> Cost {
        let moving = match occupancy {
            Occupancy::Empty => Cost::ZERO,
            Occupancy::LightlyFurnished | Occupancy::Furnished | Occupancy::InUse => {
                asked.work(operations.move_light, 1.0)
            }
            Occupancy::Full => asked.work(operations.move_heavy, 1.0),
        };
        Cost::labour(asked.factors.occupied_hours(&occupiable[room], occupancy) * asked.rate()) + moving
    };
    let used_elsewhere = site.rooms.iter().any(|room| room.occupancy == Occupancy::InUse);
    let lived_elsewhere = site.rooms.iter().any(|room| room.occupancy_recorded && room.occupancy != Occupancy::Empty);
    let whole_house = |occupancy: Occupancy| match occupancy {
        Occupancy::InUse if !used_elsewhere => {
            asked.work(operations.temporary_supply, 1.0) + asked.work(operations.keep_live, asked.days.ceil())
        }
        Occupancy::Empty if !lived_elsewhere => asked.cost_of(|item| item.what == ItemKind::Protection) * -1.0,
        Occupancy::Empty | Occupancy::LightlyFurnished | Occupancy::Furnished | Occupancy::Full | Occupancy::InUse => {
            Cost::ZERO
        }
    };
    let cost = |occupancy: Occupancy| -> Cost {
        let change = |room: &RoomIndex| in_room(*room, occupancy) - in_room(*room, site.rooms[*room].occupancy);
        rooms.iter().map(change).sum::<Cost>() + whole_house(occupancy)
    };
    found.push(OpenQuestion {
        subject: AnswerSubject::Occupancy,
        places: super::rooms(rooms.iter().copied()),
        answers: asked.answers(AnswerSubject::Occupancy, |value| match value {
            AnswerValue::Occupancy(occupancy) => asked.first_sum(|| cost(*occupancy)),
            _ => Cost::ZERO,
        }),
        part: None,
        change: Some(Change::Rooms(rooms)),
    });
}

/// What kind of job it is, where the survey does not say: the whole job as a rewire, or without what a rewire renews.
fn scope(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let scope = asked.job.site.scope;
    if !scope.assumed {
        return;
    }
    let renewed = |item: &Item| {
        matches!(item.kind, LineKind::Board | LineKind::Supply | LineKind::Earthing) || item.what == ItemKind::OldBoard
    };
    let (subject, cost, change) = if scope.rewires() {
        (AnswerSubject::ScopeWhole, asked.cost_of(renewed) * -1.0, None)
    } else {
        let as_rewire: fn(&mut Site, &AnswerValue) = |site, answer| {
            if answer.figure().is_some_and(|rewire| rewire > 0.0) {
                site.become_a_rewire();
            }
        };
        (AnswerSubject::ScopeSmall, Cost::ZERO, Some(Change::Site(as_rewire)))
    };
    found.push(OpenQuestion {
        subject,
        places: HousePlace::House.into(),
        answers: asked.either(subject, cost),
        part: None,
        change,
    });
}

/// Hours of each room that its occupancy multiplies, from the items in it.
fn occupiable(asked: &UnknownsContext<'_>) -> Vec<[f64; Stage::COUNT]> {
    let mut sums = vec![[0.0; Stage::COUNT]; asked.job.site.rooms.len()];
    for (item, priced) in asked.priced {
        let Some(sum) = item.room.and_then(|room| sums.get_mut(room)) else { continue };
        for (total, part) in sum.iter_mut().zip(priced.hours.occupiable) {
            *total += part;
        }
    }
    sums
}

fn parking(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let carrying = |parking: Parking| {
        let away = if parking == Parking::Drive { 0.0 } else { asked.days.ceil() };
        asked.work(asked.job.workbook.operations.park_and_carry, away)
    };
    let adds = |parking: Parking| carrying(parking) - carrying(asked.job.site.parking);
    found.push(OpenQuestion {
        subject: AnswerSubject::Parking,
        places: HousePlace::House.into(),
        answers: asked.answers(AnswerSubject::Parking, |value| match value {
            AnswerValue::Parking(parking) => adds(*parking),
            _ => Cost::ZERO,
        }),
        part: None,
        change: Some(Change::Site(|site, answer| {
            if let AnswerValue::Parking(parking) = answer {
                site.parking = *parking;
            }
        })),
    });
}
