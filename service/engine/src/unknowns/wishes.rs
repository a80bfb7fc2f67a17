//! What the client has yet to say: who fills the chases, the look of the plates, where the kitchen's points stand, what
//! the appliances draw.

use super::{Answer, Asked, Change, Unknown};
use crate::pricing::Cost;
use crate::site::{AppliancePlan, PointPlan, RoomIndex, RoomPlan};
use crate::survey::{ApplianceType, Finish, RoomUse};
use crate::take_off::LineKind;

pub(super) fn wishes(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    making_good(asked, found);
    finish(asked, found);
    kitchens(asked, found);
    loads(asked, found);
}

fn making_good(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    if !asked.assumptions.made("making-good") {
        return;
    }
    let now = || asked.cost_of(|item| item.kind == LineKind::MakingGood);
    found.push(Unknown {
        id: "making-good",
        ask: Some("Who fills the chases and makes good round the boxes: we, or the client's plasterer?"),
        places: vec!["house".to_owned()],
        cause: "who makes good",
        answers: asked.answers("making-good", |row| asked.first_sum(|| now() * -row.figure.unwrap_or(0.0))),
        part: None,
        because: "filling, which is priced, falls away where the client's plasterer does it",
        change: Some(Change::House(|site, answer| {
            site.making_good = answer.figure.is_none_or(|by_others| by_others < 1.0)
        })),
    });
}

fn finish(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
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
    found.push(Unknown {
        id: "finish",
        ask: Some("Are the plates to be white, or metal?"),
        places: asked.named(&rooms),
        cause: "the look of the plates, which was not recorded",
        answers: asked.answers("finish", |row| {
            let materials = || Finish::from_word(&row.answer).map_or(0.0, dearer);
            asked.first_sum(|| Cost { labour: 0.0, materials: materials() })
        }),
        part: None,
        because: "the price of every plate in these rooms, and the care that metal takes",
        change: Some(Change::Finish),
    });
}

/// A kitchen that is to be new, with no point of it marked: whoever fits it moves what stands where its units go.
pub(crate) fn is_unplanned_kitchen(room: &RoomPlan) -> bool {
    matches!(room.room_use, RoomUse::Kitchen | RoomUse::KitchenDiner)
        && !room.units_stay
        && room.points.iter().all(|point| point.at.is_none())
}

fn kitchens(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    let rooms = asked.rooms(is_unplanned_kitchen);
    let again: Cost = rooms.iter().map(|room| asked.walls_of(*room, asked.job.site.rooms[*room].wall)).sum();
    found.push(Unknown {
        id: "kitchen-plan",
        ask: Some("Has the client signed a plan of the kitchen? Mark its points from it"),
        places: asked.named(&rooms),
        cause: "the plan of the kitchen",
        answers: asked.either("kitchen-plan", again),
        part: None,
        because: "its boxes, chases and drops done over where the units come to stand elsewhere",
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

/// Only the whole job priced again tells what another load does to a circuit; a large building is not asked.
fn loads(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    let unread = |one: &&AppliancePlan| !one.load_recorded && load_matters(one.kind);
    for (room, plan) in asked.job.site.rooms.iter().enumerate() {
        for appliance in plan.appliances.iter().filter(unread) {
            let kind = appliance.kind;
            let answer = |row: &super::odds::Row| {
                let figure = row.figure.unwrap_or(1.0);
                let answer = format!("{}: {:.1} kW", row.answer, appliance.load.value() * figure);
                Answer { answer, odds: row.odds, figure: Some(figure), adds: Cost::ZERO }
            };
            found.push(Unknown {
                id: "appliance-load",
                ask: Some("What load does its plate name?"),
                places: vec![format!("{}, {}", kind.word().replace('-', " "), plan.id)],
                cause: "loads of appliances whose plates nobody read",
                answers: asked.odds.of("appliance-load", asked.job.site.built_year).iter().map(answer).collect(),
                part: None,
                because: "the cable and the device of its circuit",
                change: Some(Change::Load { room, kind }),
            });
        }
    }
}
