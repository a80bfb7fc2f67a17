//! Points that the list seems to lack, and fittings that nobody has seen.

use super::{AnswerSubject, HousePlace, OpenQuestion, UnknownsContext};
use crate::catalogue::{HEAVY_FITTING_KG, PointGroup, PointPlace, connection};
use crate::pricing::Cost;
use crate::site::{PointPlan, RoomPlan};
use crate::survey::{PointType, RoomUse};

pub(super) fn points(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    connections(asked, found);
    switches(asked, found);
    light_weights(asked, found);
}

/// Appliances on circuits of their own for which no point was recorded.
fn connections(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    // What a circuit that stays feeds is connected already.
    let circuits = asked.job.installation.circuits.iter().enumerate();
    let circuits = circuits.filter(|(_, circuit)| circuit.fixed.kept.is_none());
    for (index, circuit) in circuits.filter(|(_, circuit)| circuit.members.is_empty()) {
        let Some(point) = circuit.appliances.first().and_then(|appliance| connection(appliance.kind)) else { continue };
        found.push(OpenQuestion {
            subject: AnswerSubject::MissingPoint,
            places: HousePlace::Circuit(index).into(),
            answers: asked.either(AnswerSubject::MissingPoint, asked.at_its_rate(point, 1.0)),
            part: None,
            change: None,
        });
    }
}

/// Rooms with lights and nothing to switch them.
pub(crate) fn is_dark(room: &RoomPlan, group: impl Fn(&PointPlan) -> PointGroup) -> bool {
    let has = |wanted: PointGroup| room.points.iter().any(|point| group(point) == wanted);
    has(PointGroup::Light) && !has(PointGroup::Switch) && room.room_use != RoomUse::Landing
}

fn switches(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let rooms = asked.rooms(|room| is_dark(room, |point| asked.job.catalogue.points()[point.row].group));
    #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
    let cost = asked.at_its_rate(PointType::OneWaySwitch, rooms.len() as f64);
    found.push(OpenQuestion {
        subject: AnswerSubject::MissingSwitch,
        places: super::rooms(rooms.iter().copied()),
        answers: asked.either(AnswerSubject::MissingSwitch, cost),
        part: None,
        change: None,
    });
}

/// Lights that the client buys and nobody weighed: over 2 kg a ceiling fitting wants a noggin.
fn light_weights(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let unweighed = |point: &PointPlan| {
        let kind = &asked.job.catalogue.points()[point.row];
        let overhead = kind.place == PointPlace::Ceiling && kind.group == PointGroup::Light;
        point.client_supplied && point.weight_kg.is_none() && overhead
    };
    let rooms = asked.rooms(|room| room.points.iter().any(unweighed));
    let noggins = |room: &RoomPlan| {
        let count: u32 = room.points.iter().filter(|point| unweighed(point)).map(|point| point.count).sum();
        asked.work(asked.job.workbook.operations.box_ceiling_pattress, f64::from(count)) * asked.crowding(room)
    };
    let all: Cost = rooms.iter().map(|room| noggins(&asked.job.site.rooms[*room])).sum();
    found.push(OpenQuestion {
        subject: AnswerSubject::LightWeight,
        places: super::rooms(rooms.iter().copied()),
        answers: asked.answers(AnswerSubject::LightWeight, |value| {
            if value.figure().is_some_and(|kg| kg > HEAVY_FITTING_KG) { all } else { Cost::ZERO }
        }),
        part: None,
        change: None,
    });
}

impl UnknownsContext<'_> {
    /// The direct cost in so many points at the rate of the first.
    fn at_its_rate(&self, point: PointType, count: f64) -> Cost {
        let rate = self.job.workbook.point_rate(point);
        let direct = rate.first.approximate() / crate::pricing::selling_factor(&self.job.workbook.sheet.terms) * count;
        Cost { labour: direct * (1.0 - rate.materials), materials: direct * rate.materials }
    }
}
