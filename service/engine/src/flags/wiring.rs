//! Where the board stands, alarms, bathrooms, arc detection, batteries, phases.

use super::{Found, Seen};
use crate::answer::words;
use crate::checks::Verdict;
use crate::survey::PointType;
use crate::take_off::ItemKind;

pub(super) fn wiring(seen: Seen<'_>, found: &mut Found<'_>) {
    let findings = seen.findings;
    let failing = findings.place.iter().filter(|finding| finding.verdict() == Verdict::Fail);
    let bad: Vec<String> = failing.map(|finding| words::board::place(*finding)).collect();
    if !bad.is_empty() {
        // Away from there: what a switched fuse costs, which a board away from the intake wants.
        let fuse = seen.asked.work(seen.workbook.does.switched_fuse_fit, 1.0)
            + seen.asked.material(seen.workbook.takes.switched_fuse, 1.0);
        found.raise("board-place-bad", "board", bad.join("; "), seen.priced(fuse));
    }
    if findings.arc_detection.verdict() == Verdict::Fail {
        found.raise("arc-detection-required", "board", words::board::arc_detection(findings.arc_detection), None);
    }
    for rule in findings.new_rules.iter().filter(|rule| rule.verdict() == Verdict::Fail) {
        found.raise("battery-place-bad", rule.word(), words::board::new_rule(rule, seen.site), None);
    }
    if seen.site.supply.phases > 1 {
        let what = format!(
            "{} phases were recorded; circuits, board and demand are worked for one phase of {:.0}",
            seen.site.supply.phases, seen.site.supply.voltage
        );
        found.raise("three-phase-supply", "intake", what, None);
    }
    alarms(seen, found);
    bathrooms(seen, found);
}

/// Alarms that the category asks for and nobody recorded, and those that do not reach.
fn alarms(seen: Seen<'_>, found: &mut Found<'_>) {
    let failing = || seen.findings.alarms.iter().filter(|finding| finding.verdict == Verdict::Fail);
    let name = |room: Option<usize>| room.map(|room| seen.site.rooms[room].id.as_str());
    let bare: Vec<&str> =
        failing().filter(|finding| finding.recorded == 0).filter_map(|finding| name(finding.room)).collect();
    if !bare.is_empty() {
        let rate = seen.workbook.point_rate(PointType::SmokeAlarm).first;
        #[expect(clippy::cast_precision_loss, reason = "rooms are limited to 2,000")]
        let stake = rate.times(bare.len() as f64);
        let what = format!("category {} asks for an alarm here and none was recorded", seen.site.alarms);
        found.raise("alarms-short", super::listed(&bare), what, Some(stake));
    }
    let storeys: Vec<String> =
        failing().filter(|finding| finding.room.is_none()).map(|finding| format!("level {}", finding.level)).collect();
    if bare.is_empty() && !storeys.is_empty() {
        let what = format!("no smoke alarm on {}", storeys.join(", "));
        #[expect(clippy::cast_precision_loss, reason = "storeys are limited to 40")]
        let stake = seen.workbook.point_rate(PointType::SmokeAlarm).first.times(storeys.len() as f64);
        found.raise("alarms-short", "house", what, Some(stake));
    }
    for finding in failing().filter(|finding| finding.recorded > 0) {
        let Some(room) = name(finding.room) else { continue };
        let stake = seen.workbook.point_rate(PointType::SmokeAlarm).further;
        found.raise("alarm-out-of-reach", room, words::alarms::working(finding, seen.site), Some(stake));
    }
}

fn bathrooms(seen: Seen<'_>, found: &mut Found<'_>) {
    for finding in seen.findings.bathrooms.iter().filter(|finding| finding.verdict == Verdict::Fail) {
        let what = format!("{}: {}", finding.point, words::bathrooms::working(finding));
        // Left out, as the action says.
        let stake =
            seen.price_of(|item| item.room == Some(finding.room) && item.what == ItemKind::Point(finding.point));
        found.raise("bathroom-zone-conflict", seen.site.rooms[finding.room].id.clone(), what, Some(stake));
    }
}
