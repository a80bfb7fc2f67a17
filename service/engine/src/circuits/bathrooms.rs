//! Rooms with a bath or shower: what may stand in which zone.

use std::collections::BTreeMap;

use crate::checks::Verdict;
use crate::geometry::{Shape, straight};
use crate::site::{PointPlan, RoomIndex, RoomPlan, Site};
use crate::survey::{PointType, Position, RoomUse};

/// Zone 2 ends here beside zone 1. Source: BS 7671 701.32.4, seen.
const ZONE_2_M: f64 = 0.6;
/// Zones end at this height. Source: BS 7671 701.32.3, seen as above.
const ZONE_TOP_M: f64 = 2.25;
/// Sockets keep this far from zone 1. Source: BS 7671 701.512.3 since Amendment 2, seen in its draft; 3 m before.
const SOCKET_M: f64 = 2.5;
/// A bath of the usual size, taken in the best corner where none is drawn. Common practice, no source.
const BATH_M: (f64, f64) = (1.7, 0.7);

/// What was found about one kind of point in a bathroom.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneFinding {
    /// The room.
    pub room: RoomIndex,
    /// The kind of point.
    pub point: PointType,
    /// From the bath or tray to where it stands, or could stand at best, in metres.
    pub distance_m: f64,
    /// Whether bath and point are both marked, so that the distance is measured.
    pub measured: bool,
    /// What it has to keep from the bath, in metres.
    pub least_m: f64,
    /// What follows.
    pub verdict: Verdict,
    /// Whether a bath or tray is drawn.
    pub bath_drawn: bool,
    /// What it is judged by.
    pub rule: ZoneRule,
}

/// What a kind of point asks for in a room with a bath or shower.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ZoneRule {
    /// Sockets keep their distance from zone 1.
    Socket,
    /// Switches and fused units stand outside zones 1 and 2.
    Switchgear,
    /// May stand in zone 2 where no spray reaches it.
    NoSpray,
    /// Is built for the zone that it stands in.
    BuiltForZone,
    /// Hangs above the zones.
    AboveZones,
}

impl ZoneRule {
    /// What it has to keep from the bath, in metres; nothing where it has to be built for the zone.
    const fn least_m(self) -> Option<f64> {
        match self {
            Self::Socket => Some(SOCKET_M),
            Self::Switchgear => Some(ZONE_2_M),
            Self::NoSpray => Some(0.0),
            Self::BuiltForZone | Self::AboveZones => None,
        }
    }
}

/// Every point of every bathroom that a zone matters for. `baths` holds what was drawn, by room.
pub(super) fn findings(site: &Site, baths: &BTreeMap<&str, Vec<Shape>>) -> Vec<ZoneFinding> {
    let mut found = Vec::new();
    for (index, room) in site.rooms.iter().enumerate().filter(|(_, room)| room.room_use == RoomUse::Bathroom) {
        let baths = baths.get(room.id.as_str()).map_or(&[][..], Vec::as_slice);
        for point in &room.points {
            let Some(rule) = rule(point, room) else { continue };
            found.push(finding(index, room, point, baths, rule));
        }
    }
    found
}

fn rule(point: &PointPlan, room: &RoomPlan) -> Option<ZoneRule> {
    let in_the_ceiling =
        matches!(point.kind, PointType::CeilingLight | PointType::Downlight | PointType::BathroomLight);
    if in_the_ceiling && room.height.value() > ZONE_TOP_M {
        return Some(ZoneRule::AboveZones);
    }
    rule_of(point.kind)
}

const fn rule_of(kind: PointType) -> Option<ZoneRule> {
    Some(match kind {
        PointType::DoubleSocket
        | PointType::SingleSocket
        | PointType::DoubleSocketUsb
        | PointType::FloorSocket
        | PointType::ApplianceSocket
        | PointType::OutsideSocket => ZoneRule::Socket,
        PointType::OneWaySwitch
        | PointType::TwoWaySwitch
        | PointType::IntermediateSwitch
        | PointType::Dimmer
        | PointType::MovementSwitch
        | PointType::TimeLagSwitch
        | PointType::FusedUnit
        | PointType::TowelRailPoint
        | PointType::PanelHeaterPoint
        | PointType::ImmersionPoint
        | PointType::FloorHeatingPoint
        | PointType::BoilerPoint => ZoneRule::Switchgear,
        PointType::ShaverOutlet => ZoneRule::NoSpray,
        PointType::Pendant
        | PointType::CeilingLight
        | PointType::Downlight
        | PointType::BathroomLight
        | PointType::WallLight
        | PointType::LinearLight
        | PointType::StripLight
        | PointType::ExtractorFan => ZoneRule::BuiltForZone,
        PointType::CookerControl
        | PointType::CookerPlate
        | PointType::OvenPoint
        | PointType::HobPoint
        | PointType::ShowerSwitch
        | PointType::StorageHeaterPoint
        | PointType::PullCordSwitch
        | PointType::LoftLight
        | PointType::OutsideLight
        | PointType::OutsideLightSensor
        | PointType::InlineFan
        | PointType::SmokeAlarm
        | PointType::HeatAlarm
        | PointType::CoAlarm
        | PointType::DataOutlet
        | PointType::TvOutlet
        | PointType::TelephoneOutlet
        | PointType::AccessPoint
        | PointType::Doorbell
        | PointType::DoorCamera
        | PointType::Thermostat
        | PointType::AlarmPanelSpur
        | PointType::ChargePoint
        | PointType::HeatPumpIsolator
        | PointType::CoolingUnitIsolator
        | PointType::HotTubIsolator
        | PointType::BatteryPoint
        | PointType::GenerationPoint
        | PointType::BlankBox => return None,
    })
}

fn finding(room: RoomIndex, plan: &RoomPlan, point: &PointPlan, baths: &[Shape], rule: ZoneRule) -> ZoneFinding {
    let (distance_m, measured) = distance(plan, point.at, baths);
    let distance_m = (distance_m * 100.0).round() / 100.0;
    let verdict = match rule.least_m() {
        Some(least_m) if distance_m < least_m => Verdict::Fail,
        Some(_) if measured => Verdict::Pass,
        Some(_) | None => Verdict::Advise,
    };
    let least_m = rule.least_m().unwrap_or(0.0);
    ZoneFinding { room, point: point.kind, distance_m, measured, least_m, verdict, bath_drawn: !baths.is_empty(), rule }
}

/// From the nearest bath to the point. Where either is not marked: the farthest that the room allows.
fn distance(room: &RoomPlan, at: Option<Position>, baths: &[Shape]) -> (f64, bool) {
    let nearest = |at: Position| baths.iter().map(|bath| beside(at, bath)).fold(f64::INFINITY, f64::min);
    match (at, baths.is_empty()) {
        (Some(at), false) => (nearest(at), true),
        (None, false) => (room.shape.corners().iter().map(|corner| nearest(*corner)).fold(0.0, f64::max), false),
        (_, true) => {
            let left = |side: f64, bath: f64| (side - bath).max(0.0);
            let (least, greatest) = room.shape.bounds();
            let (width, depth) = (greatest.x_m - least.x_m, greatest.y_m - least.y_m);
            let one_way = libm::hypot(left(width, BATH_M.0), left(depth, BATH_M.1));
            let other_way = libm::hypot(left(width, BATH_M.1), left(depth, BATH_M.0));
            (one_way.max(other_way), false)
        }
    }
}

fn beside(at: Position, bath: &Shape) -> f64 {
    if bath.holds(at) { 0.0 } else { straight(bath.on_wall(bath.along(at)), at) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::survey::{Outline, Survey};
    use crate::work::WorkBudget;

    fn judged(point: &str, at: Option<(f64, f64)>, bath: Option<Outline>, side_m: f64) -> ZoneFinding {
        let mut wanted = serde_json::json!({ "type": point });
        if let Some((x_m, y_m)) = at {
            wanted["at"] = serde_json::json!({ "x_m": x_m, "y_m": y_m });
        }
        let survey: Survey = serde_json::from_value(serde_json::json!({ "rooms": [{
            "id": "bathroom", "use": "bathroom", "points": [wanted],
            "outline": { "x_m": 0, "y_m": 0, "width_m": side_m, "depth_m": side_m }
        }] }))
        .expect("a survey");
        let site = Site::from_survey(&survey, &Catalogue::built_in(), &WorkBudget::unlimited()).0;
        let drawn = bath.map(|bath| ("bathroom", vec![Shape::from(bath)]));
        findings(&site, &drawn.into_iter().collect()).remove(0)
    }

    const BATH: Outline = Outline { x_m: 0.0, y_m: 0.0, width_m: 1.7, depth_m: 0.7 };

    #[test]
    fn a_socket_stands_2_5_m_from_the_bath_or_not_at_all() {
        // Source: BS 7671 701.512.3 since Amendment 2, seen in its draft.
        assert_eq!(judged("double-socket", Some((0.0, 3.2)), Some(BATH), 4.0).verdict, Verdict::Pass);
        assert_eq!(judged("double-socket", Some((0.0, 3.1)), Some(BATH), 4.0).verdict, Verdict::Fail);
        assert_eq!(judged("double-socket", None, None, 2.4).verdict, Verdict::Fail);
        assert_eq!(judged("double-socket", None, None, 4.5).verdict, Verdict::Advise);
    }

    #[test]
    fn a_switch_stands_outside_zone_2_and_a_cord_may_hang_in_it() {
        // Source: BS 7671 701.32.4, 0.6 m, seen.
        assert_eq!(judged("one-way-switch", Some((2.31, 0.0)), Some(BATH), 2.4).verdict, Verdict::Pass);
        assert_eq!(judged("one-way-switch", Some((2.2, 0.0)), Some(BATH), 2.4).verdict, Verdict::Fail);
    }

    #[test]
    fn a_shaver_outlet_may_stand_in_zone_2() {
        // Source: BS 7671 701.512.3, from memory.
        assert_eq!(judged("shaver-outlet", Some((2.0, 0.0)), Some(BATH), 2.4).verdict, Verdict::Pass);
    }
}
