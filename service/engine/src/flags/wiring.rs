//! Where the board stands, alarms, bathrooms, arc detection, batteries, phases.

use super::{FlagCollector, FlagContext, FlagDetail, FlagId};
use crate::checks::Verdict;
use crate::circuits::place::PlaceFinding;
use crate::site::RoomIndex;
use crate::survey::PointType;
use crate::take_off::ItemKind;
use crate::unknowns::{HousePlace, rooms};

pub(super) fn wiring(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let findings = context.findings;
    let failing = findings.place.iter().filter(|finding| finding.verdict() == Verdict::Fail);
    let bad: Vec<PlaceFinding> = failing.copied().collect();
    if !bad.is_empty() {
        // Away from there: what a switched fuse costs, which a board away from the intake wants.
        let fuse = context.asked.work(context.workbook.operations.switched_fuse_fit, 1.0)
            + context.asked.material(context.workbook.materials.switched_fuse, 1.0);
        flags.raise_with(FlagId::BoardPlaceBad, HousePlace::Board, FlagDetail::BoardPlace(bad), context.priced(fuse));
    }
    if findings.arc_detection.verdict() == Verdict::Fail {
        flags.raise_with(
            FlagId::ArcDetectionRequired,
            HousePlace::Board,
            FlagDetail::ArcDetection(findings.arc_detection),
            None,
        );
    }
    for rule in findings.new_rules.iter().filter(|rule| rule.verdict() == Verdict::Fail) {
        flags.raise_with(
            FlagId::BatteryPlaceBad,
            HousePlace::Rule(rule.word()),
            FlagDetail::NewRule(rule.clone()),
            None,
        );
    }
    if context.site.supply.phases > 1 {
        flags.raise(FlagId::ThreePhaseSupply, HousePlace::Intake, None);
    }
    alarms(context, flags);
    bathrooms(context, flags);
}

/// Alarms that the category asks for and nobody recorded, and those that do not reach.
fn alarms(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    // Alarms of the whole house are a matter of a rewire.
    if !context.site.scope.rewires() {
        return;
    }
    let failing = || context.findings.alarms.iter().filter(|finding| finding.verdict == Verdict::Fail);
    let bare: Vec<RoomIndex> = failing().filter(|one| one.recorded == 0).filter_map(|one| one.room).collect();
    if !bare.is_empty() {
        let rate = context.workbook.point_rate(PointType::SmokeAlarm).first;
        #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
        let stake = rate.times(bare.len() as f64);
        flags.raise(FlagId::AlarmsShort, rooms(bare.iter().copied()), Some(stake));
    }
    let storeys: Vec<i8> = failing().filter(|finding| finding.room.is_none()).map(|finding| finding.level).collect();
    if bare.is_empty() && !storeys.is_empty() {
        #[expect(clippy::cast_precision_loss, reason = "storeys are limited to 40")]
        let stake = context.workbook.point_rate(PointType::SmokeAlarm).first.times(storeys.len() as f64);
        flags.raise_with(FlagId::AlarmsShort, HousePlace::House, FlagDetail::StoreysWithoutAlarm(storeys), Some(stake));
    }
    for finding in failing().filter(|finding| finding.recorded > 0) {
        let Some(room) = finding.room else { continue };
        let stake = context.workbook.point_rate(PointType::SmokeAlarm).further;
        flags.raise_with(
            FlagId::AlarmOutOfReach,
            HousePlace::Room(room),
            FlagDetail::Alarm(finding.clone()),
            Some(stake),
        );
    }
}

fn bathrooms(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    for finding in context.findings.bathrooms.iter().filter(|finding| finding.verdict == Verdict::Fail) {
        // Left out, as the action says.
        let stake =
            context.price_of(|item| item.room == Some(finding.room) && item.what == ItemKind::Point(finding.point));
        flags.raise_with(
            FlagId::BathroomZoneConflict,
            HousePlace::Room(finding.room),
            FlagDetail::Zone(finding.clone()),
            Some(stake),
        );
    }
}
