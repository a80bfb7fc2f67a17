//! Rooms with a bath or shower: what may stand in which zone.

use std::collections::BTreeMap;

use crate::checks::Verdict;
use crate::geometry::{Shape, straight};
use crate::site::{PointPlan, RoomIndex, RoomPlan, Site};
use crate::survey::{PointType, Position, RoomUse};

/// Zone 2 ends here beside zone 1. Source: BS 7671 701.32.4, seen at 2kelectrical.co.uk.
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
    /// Why, with the clause.
    pub working: String,
}

/// What a point asks for.
enum Asks {
    /// To be that far from zone 1.
    Distance(f64, &'static str),
    /// To be built for the zone.
    Build(&'static str),
}

/// Every point of every bathroom that a zone matters for. `baths` holds what was drawn, by room.
pub(super) fn findings(site: &Site, baths: &BTreeMap<&str, Vec<Shape>>) -> Vec<ZoneFinding> {
    let mut found = Vec::new();
    for (index, room) in site.rooms.iter().enumerate().filter(|(_, room)| room.room_use == RoomUse::Bathroom) {
        let baths = baths.get(room.id.as_str()).map_or(&[][..], Vec::as_slice);
        for point in &room.points {
            let Some(asks) = asks(point, room) else { continue };
            found.push(finding(index, room, point, baths, asks));
        }
    }
    found
}

fn asks(point: &PointPlan, room: &RoomPlan) -> Option<Asks> {
    const SOCKETS: &str = "sockets keep 2.5 m from zone 1 (BS 7671 701.512.3)";
    const SWITCHGEAR: &str = "switches and fused units stand outside zones 1 and 2, 0.6 m from the bath; a cord hangs in \
                              them (BS 7671 701.512.3)";
    const SPRAY: &str = "may stand in zone 2 where no spray reaches it (BS 7671 701.512.3, from memory)";
    const BUILD: &str = "IPX4 in zones 1 and 2; 30 mA as on every circuit of the room (BS 7671 701.512.2, 701.411.3.3)";
    const ABOVE: &str = "above 2.25 m it is outside the zones; enclosed all the same (BS 7671 701.32)";
    Some(match point.kind {
        PointType::DoubleSocket
        | PointType::SingleSocket
        | PointType::DoubleSocketUsb
        | PointType::FloorSocket
        | PointType::ApplianceSocket
        | PointType::OutsideSocket => Asks::Distance(SOCKET_M, SOCKETS),
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
        | PointType::BoilerPoint => Asks::Distance(ZONE_2_M, SWITCHGEAR),
        PointType::ShaverOutlet => Asks::Distance(0.0, SPRAY),
        PointType::Pendant | PointType::CeilingLight | PointType::Downlight | PointType::BathroomLight
            if room.height.value() > ZONE_TOP_M && point.kind != PointType::Pendant =>
        {
            Asks::Build(ABOVE)
        }
        PointType::Pendant
        | PointType::CeilingLight
        | PointType::Downlight
        | PointType::BathroomLight
        | PointType::WallLight
        | PointType::LinearLight
        | PointType::StripLight
        | PointType::ExtractorFan => Asks::Build(BUILD),
        _ => return None,
    })
}

fn finding(index: RoomIndex, room: &RoomPlan, point: &PointPlan, baths: &[Shape], asks: Asks) -> ZoneFinding {
    let (distance_m, measured) = distance(room, point.at, baths);
    let distance_m = (distance_m * 100.0).round() / 100.0;
    let (least_m, verdict, words) = match asks {
        Asks::Build(words) => (0.0, Verdict::Advise, words),
        Asks::Distance(least_m, words) if distance_m < least_m => (least_m, Verdict::Fail, words),
        Asks::Distance(least_m, words) if measured => (least_m, Verdict::Pass, words),
        Asks::Distance(least_m, words) => (least_m, Verdict::Advise, words),
    };
    let how = match (measured, baths.is_empty()) {
        (true, _) => "measured",
        (false, true) => {
            "at best, as no bath is drawn: a bath of 1.7 by 0.7 m in one corner and the point in the other"
        }
        (false, false) => "at best, as the point is not marked",
    };
    let asked = if least_m > 0.0 { format!(", {least_m} m asked for") } else { String::new() };
    let working = format!("{distance_m} m from the bath ({how}){asked}; {words}");
    ZoneFinding { room: index, point: point.kind, distance_m, measured, least_m, verdict, working }
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
        let site = Site::from_survey(&survey, &Catalogue::built_in()).0;
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
        // Source: BS 7671 701.32.4, 0.6 m, seen at 2kelectrical.co.uk.
        assert_eq!(judged("one-way-switch", Some((2.31, 0.0)), Some(BATH), 2.4).verdict, Verdict::Pass);
        assert_eq!(judged("one-way-switch", Some((2.2, 0.0)), Some(BATH), 2.4).verdict, Verdict::Fail);
    }

    #[test]
    fn a_shaver_outlet_may_stand_in_zone_2() {
        // Source: BS 7671 701.512.3, from memory.
        assert_eq!(judged("shaver-outlet", Some((2.0, 0.0)), Some(BATH), 2.4).verdict, Verdict::Pass);
    }
}
