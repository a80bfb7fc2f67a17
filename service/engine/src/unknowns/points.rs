//! Points that the list seems to lack, and fittings that nobody has seen.

use super::{Asked, Unknown};
use crate::catalogue::{PointGroup, PointPlace, connection};
use crate::pricing::Cost;
use crate::site::{PointPlan, RoomPlan};
use crate::survey::{PointType, RoomUse};

pub(super) fn points(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    connections(asked, found);
    switches(asked, found);
    light_weights(asked, found);
}

/// Appliances on circuits of their own for which no point was recorded.
fn connections(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    // What a circuit that stays feeds is connected already.
    let circuits = asked.job.installation.circuits.iter().filter(|circuit| circuit.fixed.kept.is_none());
    for circuit in circuits.filter(|circuit| circuit.members.is_empty()) {
        let Some(point) = circuit.appliances.first().and_then(|appliance| connection(appliance.kind)) else { continue };
        found.push(Unknown {
            id: "missing-point",
            ask: Some("What connects this appliance: a point on the list, or one that is not on it?"),
            places: vec![circuit.name.clone()],
            cause: "points that the list may lack",
            answers: asked.either("missing-point", asked.at_its_rate(point, 1.0)),
            part: None,
            because: "one point more, at the rate of the first of its kind",
            change: None,
        });
    }
}

/// Rooms with lights and nothing to switch them.
pub(crate) fn is_dark(room: &RoomPlan, group: impl Fn(&PointPlan) -> PointGroup) -> bool {
    let has = |wanted: PointGroup| room.points.iter().any(|point| group(point) == wanted);
    has(PointGroup::Light) && !has(PointGroup::Switch) && room.room_use != RoomUse::Landing
}

fn switches(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    let rooms = asked.rooms(|room| is_dark(room, |point| asked.job.catalogue.points()[point.row].group));
    #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
    let cost = asked.at_its_rate(PointType::OneWaySwitch, rooms.len() as f64);
    found.push(Unknown {
        id: "missing-switch",
        ask: Some("How are the lights in these rooms switched?"),
        places: asked.named(&rooms),
        cause: "switches that the list may lack",
        answers: asked.either("missing-switch", cost),
        part: None,
        because: "a switch at its rate for each of these rooms",
        change: None,
    });
}

/// Lights that the client buys and nobody weighed: over 2 kg a ceiling fitting wants a noggin.
fn light_weights(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    /// A fitting heavier than this on a ceiling gets a noggin. Source: domain practice, from memory.
    const HEAVY_KG: f64 = 2.0;
    let unweighed = |point: &PointPlan| {
        let kind = &asked.job.catalogue.points()[point.row];
        let overhead = kind.place == PointPlace::Ceiling && kind.group == PointGroup::Light;
        point.client_supplied && point.weight_kg.is_none() && overhead
    };
    let rooms = asked.rooms(|room| room.points.iter().any(unweighed));
    let noggins = |room: &RoomPlan| {
        let count: u32 = room.points.iter().filter(|point| unweighed(point)).map(|point| point.count).sum();
        asked.work(asked.job.workbook.does.box_ceiling_pattress, f64::from(count)) * asked.crowding(room)
    };
    let all: Cost = rooms.iter().map(|room| noggins(&asked.job.site.rooms[*room])).sum();
    found.push(Unknown {
        id: "light-weight",
        ask: Some("What do the client's own lights weigh, and are they on site and complete?"),
        places: asked.named(&rooms),
        cause: "the client's lights, which nobody weighed",
        answers: asked
            .answers("light-weight", |row| if row.figure.is_some_and(|kg| kg > HEAVY_KG) { all } else { Cost::ZERO }),
        part: None,
        because: "a noggin over each at first fix if it is heavy",
        change: None,
    });
}

impl Asked<'_> {
    /// The direct cost in so many points at the rate of the first.
    fn at_its_rate(&self, point: PointType, count: f64) -> Cost {
        let rate = self.job.workbook.point_rate(point);
        let direct = rate.first.approximate() / crate::pricing::selling_factor(&self.job.workbook.sheet.terms) * count;
        Cost { labour: direct * (1.0 - rate.materials), materials: direct * rate.materials }
    }
}
