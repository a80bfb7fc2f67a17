//! What the client has yet to say: who fills the chases, the look of the plates, where the kitchen's points stand, what
//! the appliances draw.

use std::collections::BTreeMap;

use super::{
    Answer, AnswerAmount, AnswerSubject, AnswerValue, Change, HousePlace, OpenQuestion, TableAnswer, UnknownsContext,
};
use crate::limits::LOADS_ASKED_ALONE_MAX;
use crate::pricing::Cost;
use crate::site::{AppliancePlan, AssumedSubject, PointPlan, RoomIndex, RoomPlan};
use crate::survey::{ApplianceType, Finish, RoomUse};
use crate::take_off::LineKind;

pub(super) fn wishes(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    making_good(asked, found);
    finish(asked, found);
    kitchens(asked, found);
    loads(asked, found);
}

fn making_good(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    if !asked.assumptions.made(AssumedSubject::MakingGood) {
        return;
    }
    let now = || asked.cost_of(|item| item.kind == LineKind::MakingGood);
    found.push(OpenQuestion {
        subject: AnswerSubject::MakingGood,
        places: HousePlace::House.into(),
        answers: asked
            .answers(AnswerSubject::MakingGood, |value| asked.first_sum(|| now() * -value.figure().unwrap_or(0.0))),
        part: None,
        change: Some(Change::Site(|site, answer| {
            site.making_good = answer.figure().is_none_or(|by_others| by_others < 1.0)
        })),
    });
}

fn finish(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let silent = |point: &PointPlan| !point.finish_recorded;
    let site = asked.job.site;
    let rooms: Vec<RoomIndex> =
        (0..site.rooms.len()).filter(|room| site.rooms[*room].points.iter().any(silent)).collect();
    let workbook = asked.job.workbook;
    let white = || -> f64 {
        let items = asked.take_off.items.iter().filter(|item| item.room.is_some_and(|room| rooms.contains(&room)));
        let uses = items.flat_map(|item| asked.take_off.uses(item)).filter(|used| used.finish == Some(Finish::White));
        let plates = uses.filter(|used| workbook.material(used.material).finished);
        plates.map(|used| workbook.material(used.material).approximate_price * used.quantity).sum()
    };
    let dearer = |finish| white() * (workbook.finish_multiple(finish) - workbook.finish_multiple(Finish::White));
    found.push(OpenQuestion {
        subject: AnswerSubject::Finish,
        places: super::rooms(rooms.iter().copied()),
        answers: asked.answers(AnswerSubject::Finish, |value| {
            let materials = || match value {
                AnswerValue::Finish(finish) => dearer(*finish),
                _ => 0.0,
            };
            asked.first_sum(|| Cost { labour: 0.0, materials: materials() })
        }),
        part: None,
        change: Some(Change::Finish),
    });
}

/// A kitchen that is to be new, with no point of it marked: whoever fits it moves what stands where its units go.
pub(crate) fn is_unplanned_kitchen(room: &RoomPlan) -> bool {
    matches!(room.room_use, RoomUse::Kitchen | RoomUse::KitchenDiner)
        && !room.units_stay
        && room.points.iter().all(|point| point.at.is_none())
}

fn kitchens(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let rooms = asked.rooms(is_unplanned_kitchen);
    let again: Cost = rooms.iter().map(|room| asked.walls_of(*room, asked.job.site.rooms[*room].wall)).sum();
    found.push(OpenQuestion {
        subject: AnswerSubject::KitchenPlan,
        places: super::rooms(rooms.iter().copied()),
        answers: asked.either(AnswerSubject::KitchenPlan, again),
        part: None,
        change: None,
    });
}

/// Whether an appliance's load decides its circuit.
pub(crate) const fn load_matters(kind: ApplianceType) -> bool {
    matches!(
        kind,
        ApplianceType::Cooker
            | ApplianceType::Hob
            | ApplianceType::Oven
            | ApplianceType::Shower
            | ApplianceType::WaterHeater
            | ApplianceType::HeatPump
            | ApplianceType::ChargePoint
    )
}

/// Only the whole job priced again tells what another load does to a circuit; a very large building is not asked. Where few
/// plates were not read each is a question; where many were not, all of a kind are one.
fn loads(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let unread = |one: &&AppliancePlan| !one.load_recorded && load_matters(one.kind);
    let rooms = asked.job.site.rooms.iter().enumerate();
    let all: Vec<(RoomIndex, &AppliancePlan)> =
        rooms.flat_map(|(room, plan)| plan.appliances.iter().filter(unread).map(move |one| (room, one))).collect();
    if all.len() <= LOADS_ASKED_ALONE_MAX {
        found.extend(all.into_iter().map(|one| load(asked, &[one])));
        return;
    }
    let mut kinds: BTreeMap<ApplianceType, Vec<(RoomIndex, &AppliancePlan)>> = BTreeMap::new();
    for (room, one) in all {
        kinds.entry(one.kind).or_default().push((room, one));
    }
    found.extend(kinds.values().map(|of_a_kind| load(asked, of_a_kind)));
}

/// What appliances of one kind draw, the first of them by name.
fn load(asked: &UnknownsContext<'_>, appliances: &[(RoomIndex, &AppliancePlan)]) -> OpenQuestion {
    let (kind, usual) = (appliances[0].1.kind, appliances[0].1.load.value());
    let answer = |row: &TableAnswer| {
        let amount = Some(AnswerAmount::Kilowatts(usual * row.value.figure().unwrap_or(1.0)));
        Answer { value: row.value.clone(), amount, odds: row.odds, adds: Cost::ZERO }
    };
    let mut rooms: Vec<RoomIndex> = appliances.iter().map(|(room, _)| *room).collect();
    rooms.dedup();
    OpenQuestion {
        subject: AnswerSubject::ApplianceLoad,
        places: rooms.iter().map(|room| HousePlace::Appliances(kind, *room)).collect(),
        answers: asked.rows(AnswerSubject::ApplianceLoad).iter().map(answer).collect(),
        part: None,
        change: Some(Change::Load { rooms, kind }),
    }
}
