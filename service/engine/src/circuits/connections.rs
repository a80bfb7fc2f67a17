//! Appliances with a circuit of their own and no point of their own kind: a fused unit of their room connects them.

use std::collections::BTreeMap;

use super::Member;
use super::gather::{Bucket, Contents};
use crate::quantities::Kilowatts;
use crate::site::{AppliancePlan, Site};
use crate::survey::{ApplianceType, PointType};

/// What a fused unit or an outlet of 13 A feeds at most. Source: BS 1362 and BS 1363, from memory.
const FUSED_MAX: Kilowatts = Kilowatts::new(3.0);

/// Takes the points that connect such appliances from the sockets of their room.
pub(super) fn connect(site: &Site, buckets: &mut BTreeMap<Bucket, Contents>) {
    let wanting: Vec<(Bucket, &'static [PointType])> = buckets
        .iter()
        .filter(|(_, contents)| contents.members.is_empty())
        .filter_map(|(bucket, contents)| Some((*bucket, connected_by(contents.appliances.first()?)?)))
        .collect();
    for (bucket, points) in wanting {
        let taken = points.iter().find_map(|point| take(site, buckets, bucket.room, *point));
        if let (Some(member), Some(contents)) = (taken, buckets.get_mut(&bucket)) {
            contents.members.push(member);
        }
    }
}

/// The points that may connect an appliance, the likeliest first; none where it wants one of its own kind. Common
/// practice, no source.
fn connected_by(appliance: &AppliancePlan) -> Option<&'static [PointType]> {
    if appliance.load > FUSED_MAX {
        return None;
    }
    match appliance.kind {
        ApplianceType::Machine => Some(&[PointType::SingleSocket, PointType::FusedUnit]),
        ApplianceType::Freezer => Some(&[PointType::ApplianceSocket, PointType::SingleSocket, PointType::FusedUnit]),
        ApplianceType::TowelRail => Some(&[PointType::TowelRailPoint, PointType::FusedUnit]),
        ApplianceType::Boiler
        | ApplianceType::PanelHeater
        | ApplianceType::TumbleDryer
        | ApplianceType::WashingMachine
        | ApplianceType::Dishwasher
        | ApplianceType::Other => Some(&[PointType::FusedUnit]),
        ApplianceType::Oven
        | ApplianceType::Hob
        | ApplianceType::Cooker
        | ApplianceType::Shower
        | ApplianceType::WaterHeater
        | ApplianceType::ImmersionHeater
        | ApplianceType::StorageHeater
        | ApplianceType::FloorHeating
        | ApplianceType::ChargePoint
        | ApplianceType::HeatPump
        | ApplianceType::CoolingUnit
        | ApplianceType::HotTub
        | ApplianceType::Sauna
        | ApplianceType::Battery
        | ApplianceType::SolarInverter => None,
    }
}

/// The last point of a kind in a room that stands on a circuit of sockets.
fn take(site: &Site, buckets: &mut BTreeMap<Bucket, Contents>, room: usize, kind: PointType) -> Option<Member> {
    let on_sockets = buckets.iter_mut().filter(|(bucket, _)| bucket.kind.is_sockets());
    for (_, contents) in on_sockets {
        let found = contents.members.iter().rposition(|member| {
            member.room == room && member.count > 0 && site.rooms[room].points[member.point].kind == kind
        });
        let Some(place) = found else { continue };
        let member = &mut contents.members[place];
        member.count -= 1;
        let taken = Member { count: 1, first: member.first + member.count, ..*member };
        if member.count == 0 {
            contents.members.remove(place);
        }
        return Some(taken);
    }
    None
}
