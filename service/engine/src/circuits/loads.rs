//! What a circuit must carry.

use super::Member;
use super::gather::CircuitDraft;
use crate::catalogue::{Catalogue, CircuitType};
use crate::quantities::{Amps, Kilowatts};
use crate::site::Site;
use crate::survey::PointType;

/// Cooking: 10 A, 30 % of the rest, 5 A more where the control has a socket. Source: On-Site Guide Table A2,
/// seen.
pub(super) fn cooking_current(connected: Amps, socket_on_control: bool) -> Amps {
    const FULL_A: f64 = 10.0;
    const SHARE_OF_REST: f64 = 0.3;
    const SOCKET_A: f64 = 5.0;
    let full = connected.min(Amps::new(FULL_A));
    let rest = (connected - full) * SHARE_OF_REST;
    full + rest + if socket_on_control { Amps::new(SOCKET_A) } else { Amps::ZERO }
}

/// The design current of a circuit whose load is known: appliances as their plates say, lamps as they are.
pub(super) fn design_current(draft: &CircuitDraft, site: &Site, catalogue: &Catalogue) -> Amps {
    let voltage = site.supply.voltage;
    let appliances: Kilowatts = draft.appliances.iter().map(|one| one.per_phase() * f64::from(one.count)).sum();
    match draft.kind {
        CircuitType::Lighting | CircuitType::Alarms | CircuitType::Outside => {
            if draft.kind == CircuitType::Outside && holds_sockets(&draft.members, site) {
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
            let load = if appliances > Kilowatts::ZERO { appliances } else { usual_load(draft.kind, catalogue) };
            cooking_current(load.current_at(voltage), false)
        }
        kind => {
            let load = if appliances > Kilowatts::ZERO { appliances } else { usual_load(kind, catalogue) };
            load.current_at(voltage)
        }
    }
}

/// Whether there is a socket among the points of an outside circuit.
pub(crate) fn holds_sockets(members: &[Member], site: &Site) -> bool {
    members.iter().any(|member| is_socket(site.rooms[member.room].points[member.point].kind))
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
pub(crate) fn usual_load(kind: CircuitType, catalogue: &Catalogue) -> Kilowatts {
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
        CircuitType::RingSockets
        | CircuitType::RadialSockets
        | CircuitType::Sockets
        | CircuitType::Lighting
        | CircuitType::Alarms
        | CircuitType::Outside
        | CircuitType::Distribution
        | CircuitType::Appliance
        | CircuitType::Spare
        | CircuitType::None => ApplianceType::Other,
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
