//! What a circuit must carry.

use std::collections::BTreeMap;
use std::fmt;

use super::gather::Draft;
use crate::catalogue::{Catalogue, CircuitType};
use crate::quantities::{Amps, Kilowatts};
use crate::site::Site;
use crate::survey::PointType;

/// Cooking: 10 A, 30 % of the rest, 5 A more where the control has a socket. Source: On-Site Guide Table A2 as
/// printed at tlc-direct.co.uk, "Table 6.2".
pub(super) fn cooking_current(connected: Amps, socket_on_control: bool) -> Amps {
    const FULL_A: f64 = 10.0;
    const SHARE_OF_REST: f64 = 0.3;
    const SOCKET_A: f64 = 5.0;
    let full = connected.min(Amps::new(FULL_A));
    let rest = (connected - full) * SHARE_OF_REST;
    full + rest + if socket_on_control { Amps::new(SOCKET_A) } else { Amps::ZERO }
}

/// The design current of a circuit whose load is known: appliances as their plates say, lamps as they are.
pub(super) fn design_current(draft: &Draft, site: &Site, catalogue: &Catalogue) -> Amps {
    let voltage = site.supply.voltage;
    let appliances: Kilowatts = draft.appliances.iter().map(|one| one.load * f64::from(one.count)).sum();
    match draft.kind {
        CircuitType::Lighting | CircuitType::Alarms | CircuitType::Outside => {
            if draft.kind == CircuitType::Outside && holds_sockets(draft, site) {
                // What is plugged in is not known: all that the device lets flow, as on any circuit of sockets.
                return Amps::new(catalogue.circuit(draft.kind).device_a);
            }
            let watts: f64 = draft
                .members
                .iter()
                .map(|member| {
                    let point = &site.rooms[member.room].points[member.point];
                    let kind = catalogue.point(point.kind, point.gangs);
                    kind.load_w * point.length.value() * f64::from(member.count)
                })
                .sum();
            Kilowatts::new(watts / 1_000.0).current_at(voltage)
        }
        CircuitType::Cooker => {
            let load = if appliances > Kilowatts::ZERO { appliances } else { usual(draft.kind, catalogue) };
            cooking_current(load.current_at(voltage), false)
        }
        kind => {
            let load = if appliances > Kilowatts::ZERO { appliances } else { usual(kind, catalogue) };
            load.current_at(voltage)
        }
    }
}

/// How the design current of such a circuit comes about, so that a pencil can follow it.
pub(super) fn working(draft: &Draft, site: &Site, catalogue: &Catalogue, current: Amps) -> impl fmt::Display {
    fmt::from_fn(move |f| f.write_str(&made_of(draft, site, catalogue, current)))
}

fn made_of(draft: &Draft, site: &Site, catalogue: &Catalogue, current: Amps) -> String {
    let voltage = site.supply.voltage;
    let parts = match draft.kind {
        CircuitType::Outside if holds_sockets(draft, site) => {
            return format!(
                "sockets, and what is plugged in is not known: all that the device lets flow, {current:.0}"
            );
        }
        CircuitType::Lighting | CircuitType::Alarms | CircuitType::Outside => lamps(draft, site, catalogue),
        kind if draft.appliances.is_empty() => format!("{:.1}, usual of its kind", usual(kind, catalogue)),
        _ => plates(draft),
    };
    if draft.kind == CircuitType::Cooker {
        return format!(
            "load {parts} / {voltage:.0}: the first 10 A and 30 % of the rest, {current:.2} (On-Site Guide Table A2)"
        );
    }
    format!("load {parts} / {voltage:.0} = {current:.2}")
}

/// Lamps and alarms: how many of each wattage.
fn lamps(draft: &Draft, site: &Site, catalogue: &Catalogue) -> String {
    let mut counts: BTreeMap<u64, u64> = BTreeMap::new();
    for member in &draft.members {
        let point = &site.rooms[member.room].points[member.point];
        let each_w = catalogue.point(point.kind, point.gangs).load_w * point.length.value();
        if each_w > 0.0 {
            // Positive figures keep their order as bits.
            *counts.entry(each_w.to_bits()).or_default() += u64::from(member.count);
        }
    }
    let parts: Vec<String> =
        counts.iter().map(|(each_w, count)| format!("{count} x {} W", f64::from_bits(*each_w))).collect();
    if parts.is_empty() { "0 W".to_owned() } else { parts.join(" + ") }
}

fn plates(draft: &Draft) -> String {
    let parts: Vec<String> = draft
        .appliances
        .iter()
        .map(|one| {
            let times = if one.count > 1 { format!("{} x ", one.count) } else { String::new() };
            format!("{times}{} {}", one.kind.word().replace('-', " "), one.load)
        })
        .collect();
    parts.join(" + ")
}

/// Whether there is a socket among the points of an outside circuit.
pub(super) fn holds_sockets(draft: &Draft, site: &Site) -> bool {
    draft.members.iter().any(|member| is_socket(site.rooms[member.room].points[member.point].kind))
}

/// Whether anything may be plugged in.
pub(super) const fn is_socket(point: PointType) -> bool {
    matches!(
        point,
        PointType::OutsideSocket | PointType::DoubleSocket | PointType::SingleSocket | PointType::DoubleSocketUsb
    )
}

/// Whether it is an outlet of any kind, one for a single appliance with it.
pub(super) const fn is_outlet(point: PointType) -> bool {
    is_socket(point) || matches!(point, PointType::FloorSocket | PointType::ApplianceSocket)
}

/// The usual load of a circuit with points but no appliance recorded.
fn usual(kind: CircuitType, catalogue: &Catalogue) -> Kilowatts {
    use crate::survey::ApplianceType;
    let appliance = match kind {
        CircuitType::Cooker => ApplianceType::Cooker,
        CircuitType::Oven => ApplianceType::Oven,
        CircuitType::Hob => ApplianceType::Hob,
        CircuitType::Shower => ApplianceType::Shower,
        CircuitType::Immersion => ApplianceType::ImmersionHeater,
        CircuitType::Heating => ApplianceType::StorageHeater,
        CircuitType::FloorHeating => ApplianceType::FloorHeating,
        CircuitType::Boiler => ApplianceType::Boiler,
        CircuitType::Freezer => ApplianceType::Freezer,
        CircuitType::ChargePoint => ApplianceType::ChargePoint,
        CircuitType::HeatPump => ApplianceType::HeatPump,
        _ => ApplianceType::Other,
    };
    Kilowatts::new(catalogue.appliance(appliance).usual_kw)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_12_kw_cooker_with_a_socket_on_its_control_counts_as_27_6_a() {
        // Source: On-Site Guide Table A2: 12 kW / 230 V = 52.17 A; 10 + 0.3 × 42.17 + 5 = 27.65 A.
        let current = cooking_current(Kilowatts::new(12.0).current_at(crate::quantities::Volts::new(230.0)), true);
        assert!((current.value() - 27.65).abs() < 0.01);
    }
}
