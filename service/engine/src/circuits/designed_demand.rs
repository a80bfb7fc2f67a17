//! What a designer would defend beside the published allowance: a peak that was measured, a vehicle that is held back; and
//! what the operator of the network has to be told.

use super::CircuitPlan;
use crate::catalogue::CircuitType;
use crate::demand::DemandAnswer;
use crate::quantities::Amps;
use crate::site::{RoomIndex, Site, SupplyPlan};
use crate::standards::LoadKind;
use crate::survey::{ApplianceType, PeakSeason, PointType};
use wiring::closed_list;

closed_list! {
    /// Whether the supply bears a house.
    DemandVerdict {
        Pass = "pass": "The cut-out bears it, and nobody need be asked.",
        Advise = "advise": "The cut-out bears it by a rating that was not read, or the operator has to be asked first.",
        Unread = "unread": "The published allowance is over a rating that was taken and not read: read the fuse.",
        Fail = "fail": "It is over the fuse that was read.",
    }
}

closed_list! {
    /// What the operator of the network has to be told of a new large load.
    OperatorNotice {
        None = "none": "Nothing new that the operator asks about.",
        Notify28Days = "notify-28-days": "Connect, and notify within 28 days.",
        ApplyFirst = "apply-first": "Apply, and wait for the answer before anything is ordered.",
    }
}

/// Above this new demand the operator is asked before anything is connected. Source: Energy Networks Association, joint
/// form for low carbon technologies, seen: 60 A, 13.8 kVA.
const APPLY_OVER_A: f64 = 60.0;
/// Storage or generation above this on a phase is applied for. Source: Engineering Recommendations G98 and G99, seen.
const SOURCE_A: f64 = 16.0;
/// What summer does not show of a winter's peak. Common practice, no source.
const WINTER_OVER_SUMMER: f64 = 1.3;

/// What a designer would defend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DesignedDemand {
    /// The current.
    pub current: Amps,
    /// The peak that it rests on, with what its season does not show; absent where none was measured.
    pub measured: Option<MeasuredPeak>,
    /// New loads on top of the measured peak.
    pub on_top: Amps,
    /// How far the vehicles are held back, so that the fuse bears the rest.
    pub held_back: Amps,
}

/// A peak that was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredPeak {
    /// As measured.
    pub current: Amps,
    /// When.
    pub season: Option<PeakSeason>,
    /// What it is taken for over a year.
    pub over_a_year: Amps,
}

/// A device that the operator's form asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LargeDevice {
    /// What.
    pub kind: LargeKind,
    /// Where, if a room is known.
    pub room: Option<RoomIndex>,
    /// What it draws, or gives.
    pub current: Amps,
}

closed_list! {
    /// A device that the operator of the network asks about.
    LargeKind {
        ChargePoint = "charge-point": "A charge point for a vehicle.",
        HeatPump = "heat-pump": "A heat pump.",
        Battery = "battery": "A storage battery.",
        Generation = "generation": "Panels or another source.",
    }
}

impl MeasuredPeak {
    fn of(supply: &SupplyPlan) -> Option<Self> {
        let (current, season) = supply.measured_peak?;
        let factor = match season {
            Some(PeakSeason::Winter | PeakSeason::Year) => 1.0,
            // Where nobody wrote down when, the safe reading.
            Some(PeakSeason::Summer) | None => WINTER_OVER_SUMMER,
        };
        Some(Self { current, season, over_a_year: current * factor })
    }
}

impl DesignedDemand {
    /// From the published allowance, and what was measured.
    pub(super) fn of(supply: &SupplyPlan, worked: &DemandAnswer) -> Self {
        let after = |kinds: &[LoadKind]| -> f64 {
            worked.by_kind.iter().filter(|kind| kinds.contains(&kind.kind)).map(|kind| kind.after_diversity_a).sum()
        };
        let vehicles = after(&[LoadKind::EvCharger]);
        let measured = MeasuredPeak::of(supply);
        // A vehicle and a heat pump are taken as new: a peak from before them does not show them.
        let on_top = if measured.is_some() { after(&[LoadKind::EvCharger, LoadKind::HeatPump]) } else { 0.0 };
        let all = measured.map_or(worked.after_diversity_a, |peak| peak.over_a_year.value() + on_top);
        let over = (all - supply.cut_out.value()).max(0.0);
        let held_back = over.min(vehicles);
        Self {
            current: Amps::new(all - held_back),
            measured,
            on_top: Amps::new(on_top),
            held_back: Amps::new(held_back),
        }
    }

    /// Where no allowance could be worked.
    pub(super) const fn all_of(current: Amps) -> Self {
        Self { current, measured: None, on_top: Amps::ZERO, held_back: Amps::ZERO }
    }
}

impl LargeKind {
    const fn of_circuit(kind: CircuitType) -> Option<Self> {
        Some(match kind {
            CircuitType::ChargePoint => Self::ChargePoint,
            CircuitType::HeatPump => Self::HeatPump,
            CircuitType::RingSockets
            | CircuitType::RadialSockets
            | CircuitType::Sockets
            | CircuitType::Lighting
            | CircuitType::Alarms
            | CircuitType::Cooker
            | CircuitType::Oven
            | CircuitType::Hob
            | CircuitType::Shower
            | CircuitType::Immersion
            | CircuitType::Heating
            | CircuitType::FloorHeating
            | CircuitType::Boiler
            | CircuitType::Freezer
            | CircuitType::Outside
            | CircuitType::Distribution
            | CircuitType::Appliance
            | CircuitType::Spare
            | CircuitType::None => return None,
        })
    }

    const fn of_appliance(kind: ApplianceType) -> Option<Self> {
        Some(match kind {
            ApplianceType::Battery => Self::Battery,
            ApplianceType::SolarInverter => Self::Generation,
            // A charge point and a heat pump were found by their circuits.
            ApplianceType::Oven
            | ApplianceType::Hob
            | ApplianceType::Cooker
            | ApplianceType::Shower
            | ApplianceType::WaterHeater
            | ApplianceType::ImmersionHeater
            | ApplianceType::StorageHeater
            | ApplianceType::PanelHeater
            | ApplianceType::FloorHeating
            | ApplianceType::TowelRail
            | ApplianceType::Boiler
            | ApplianceType::TumbleDryer
            | ApplianceType::WashingMachine
            | ApplianceType::Dishwasher
            | ApplianceType::Freezer
            | ApplianceType::Machine
            | ApplianceType::ChargePoint
            | ApplianceType::HeatPump
            | ApplianceType::CoolingUnit
            | ApplianceType::HotTub
            | ApplianceType::Sauna
            | ApplianceType::Other => return None,
        })
    }
}

/// What the form asks for: each large device that is connected now.
pub(super) fn large_devices(site: &Site, circuits: &[CircuitPlan]) -> Vec<LargeDevice> {
    let of_circuit = |circuit: &CircuitPlan| {
        let kind = LargeKind::of_circuit(circuit.kind)?;
        let kept = circuit.fixed.kept.is_some() && circuit.members.is_empty();
        let room = circuit.members.first().map(|member| member.room).or(circuit.run.order.first().copied());
        (!kept).then_some(LargeDevice { kind, room, current: circuit.design_current })
    };
    let mut found: Vec<LargeDevice> = circuits.iter().filter_map(of_circuit).collect();
    for (room, plan) in site.rooms.iter().enumerate() {
        for one in &plan.appliances {
            let Some(kind) = LargeKind::of_appliance(one.kind) else { continue };
            let current = one.per_phase().current_at(site.supply.voltage) * f64::from(one.count);
            found.push(LargeDevice { kind, room: Some(room), current });
        }
        for point in &plan.points {
            let kind = match point.kind {
                PointType::BatteryPoint => LargeKind::Battery,
                PointType::GenerationPoint => LargeKind::Generation,
                _ => continue,
            };
            // A point beside an appliance of its kind connects that one.
            if !found.iter().any(|one| one.kind == kind) {
                found.push(LargeDevice { kind, room: Some(room), current: Amps::new(SOURCE_A) });
            }
        }
    }
    found
}

/// Why the operator is asked before anything is ordered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ApplyBecause {
    /// The house is over 60 A after diversity.
    Over60A,
    /// It is over the fuse that was read.
    OverFuse,
    /// Nobody read the fuse.
    FuseUnread,
    /// The supply is looped.
    Looped,
    /// Storage or generation gives more than may be connected without asking.
    LargeSource,
}

/// What the operator has to be told, and why it is asked first. Source: the operators' joint form (Energy Networks
/// Association), seen; G98 and G99.
pub(super) fn notice(
    supply: &SupplyPlan,
    after_diversity: Amps,
    large: &[LargeDevice],
) -> (OperatorNotice, Vec<ApplyBecause>) {
    if large.is_empty() {
        return (OperatorNotice::None, Vec::new());
    }
    let of_the_supply = [
        (after_diversity.value() > APPLY_OVER_A, ApplyBecause::Over60A),
        (supply.cut_out_read && after_diversity > supply.cut_out, ApplyBecause::OverFuse),
        (!supply.cut_out_read, ApplyBecause::FuseUnread),
        (supply.looped == Some(true), ApplyBecause::Looped),
    ];
    let mut because: Vec<ApplyBecause> =
        of_the_supply.into_iter().filter(|(holds, _)| *holds).map(|(_, why)| why).collect();
    let source = |one: &LargeDevice| {
        matches!(one.kind, LargeKind::Battery | LargeKind::Generation) && one.current.value() > SOURCE_A + 0.1
    };
    // Said where nothing else asks for it.
    if because.is_empty() && large.iter().any(source) {
        because.push(ApplyBecause::LargeSource);
    }
    let notice = if because.is_empty() { OperatorNotice::Notify28Days } else { OperatorNotice::ApplyFirst };
    (notice, because)
}
