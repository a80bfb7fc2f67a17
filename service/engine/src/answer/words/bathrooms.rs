//! What is said of the points of a room with a bath or shower.

use crate::circuits::bathrooms::{ZoneFinding, ZoneRule};

/// Why a point is judged as it is, with the clause.
pub(crate) fn working(finding: &ZoneFinding) -> String {
    let how = match (finding.measured, finding.bath_drawn) {
        (true, _) => "as drawn",
        (false, false) => {
            "at best. No bath is drawn, so we took one of 1.7 by 0.7 m in one corner and the point in the other"
        }
        (false, true) => "at best, as the point is not marked",
    };
    let least_m = finding.least_m;
    let asked = if least_m > 0.0 { format!(". It must be {least_m} m away") } else { String::new() };
    format!("{} m from the bath, {how}{asked}. {}", finding.distance_m, rule(finding.rule))
}

const fn rule(rule: ZoneRule) -> &'static str {
    match rule {
        ZoneRule::Socket => "Sockets keep 2.5 m from zone 1 (BS 7671 701.512.3)",
        ZoneRule::Switchgear => {
            "Switches and fused units stand outside zones 1 and 2, 0.6 m from the bath. Only a pull cord may hang in them (BS 7671 \
             701.512.3)"
        }
        ZoneRule::NoSpray => "It may stand in zone 2 where no spray reaches it (BS 7671 701.512.3, from memory)",
        ZoneRule::BuiltForZone => {
            "IPX4 in zones 1 and 2, with 30 mA as on every circuit of the room (BS 7671 701.512.2, 701.411.3.3)"
        }
        ZoneRule::AboveZones => {
            "Above 2.25 m it is outside the zones. Use a closed fitting all the same (BS 7671 701.32)"
        }
    }
}
