//! The demand of a house after diversity, from its circuits.

use std::collections::{BTreeMap, BTreeSet};

use super::{Demand, Engine};
use crate::catalogue::CircuitType;
use crate::checks::Verdict;
use crate::circuits::{CircuitPlan, FedFrom};
use crate::demand::{self, DemandLoad, DemandRequest, DemandSupply};
use crate::quantities::Amps;
use crate::site::{RoomIndex, Site};
use crate::standards::LoadKind;
use crate::survey::RoomUse;
use crate::take_off::Job;

/// The demand of all loads, by the published allowances.
pub(super) fn demand_of(engine: &Engine, job: Job<'_>) -> Demand {
    let supply = &job.site.supply;
    let request = DemandRequest {
        ruleset: None,
        supply: DemandSupply {
            voltage_v: Some(supply.voltage.value()),
            cut_out_a: supply.cut_out_read.then_some(supply.cut_out.value()),
        },
        loads: loads(job),
    };
    match demand::after_diversity(&engine.standards, &request) {
        Ok(answer) => Demand {
            notes: demand_notes(job, &answer),
            connected_a: Amps::new(answer.connected_a),
            after_diversity_a: Amps::new(answer.after_diversity_a),
            cut_out_a: Amps::new(answer.cut_out_a),
            verdict: answer.verdict,
            working: answer.working,
            ask_operator: answer.ask_operator,
            by_kind: answer.by_kind,
        },
        // More loads than the allowances are meant for: no dwelling, so no verdict.
        Err(faults) => Demand {
            connected_a: job.installation.circuits.iter().map(|circuit| circuit.design_current).sum(),
            after_diversity_a: job.installation.circuits.iter().map(|circuit| circuit.design_current).sum(),
            cut_out_a: supply.cut_out,
            verdict: Verdict::Fail,
            working: format!(
                "no diversity taken: {}",
                faults.into_iter().map(|fault| fault.detail).collect::<Vec<_>>().join("; ")
            ),
            ask_operator: vec!["have the demand worked out by a designer before anything is promised".to_owned()],
            by_kind: Vec::new(),
            notes: Vec::new(),
        },
    }
}

/// What a demand hangs on: how many circuits of sockets the published table is asked for; and what may be switched by a
/// load manager need not be counted together.
fn demand_notes(job: Job<'_>, answer: &demand::DemandAnswer) -> Vec<String> {
    let mut notes = Vec::new();
    let sockets = socket_areas(job);
    let (made, counted): (usize, usize) =
        sockets.iter().fold((0, 0), |(made, counted), area| (made + area.circuits, counted + area.currents.len()));
    if counted > 1 {
        let shared = if counted < made {
            format!(
                "; {made} are made, but how the outlets of one area are divided among circuits plugs nothing more in: an area \
                 counts for the circuits that its floor asks for, one for each {AREA_OF_A_RING_M2} m2"
            )
        } else {
            String::new()
        };
        notes.push(format!(
            "{counted} circuits of sockets count, the largest in full and 40 % of each other, as On-Site Guide Table A2 has it, \
             each at the rating of its device; the table knows no outlets, so each further circuit of 32 A adds 12.8 A{shared}"
        ));
    }
    let vehicle = answer.by_kind.iter().find(|kind| kind.kind == LoadKind::EvCharger);
    if let Some(vehicle) = vehicle {
        notes.push(format!(
            "a load manager that stops the vehicle while the rest runs leaves {:.1} A (BS 7671 722.311.201, from memory)",
            answer.after_diversity_a - vehicle.after_diversity_a
        ));
    }
    if job.site.supply.phases > 1 {
        notes.push("worked for one phase; over three phases a designer divides the circuits and works each".to_owned());
    }
    notes
}

/// Floor that one circuit of sockets of 32 A serves. Source: On-Site Guide Table H1 (seen, as the table of circuits has it).
const AREA_OF_A_RING_M2: f64 = 100.0;
const RING_A: f64 = 32.0;

/// Circuits of sockets that serve one area, and the currents that they count for.
struct SocketArea {
    circuits: usize,
    currents: Vec<Amps>,
}

/// The circuits of sockets by area: a storey, the kitchen with the utility, the outside, an outbuilding. The allowance is
/// made for standard circuits, one for each 100 m2, and goes by the current of the circuits and not by their number or the
/// devices in front of them (On-Site Guide Table A2, row of standard circuits; a question answered by SELECT at
/// voltimum.co.uk, seen). A ring that is divided because of its length or its outlets draws what it drew before.
fn socket_areas(job: Job<'_>) -> Vec<SocketArea> {
    let site = job.site;
    let kitchen = |room: RoomIndex| job.catalogue.room_use(site.rooms[room].room_use).sockets_with == "kitchen";
    let mut areas: BTreeMap<_, (BTreeSet<RoomIndex>, Vec<Amps>)> = BTreeMap::new();
    for (index, circuit) in job.installation.circuits.iter().enumerate().filter(|(_, one)| one.feeds_sockets(site)) {
        let rooms = || circuit.members.iter().map(|member| member.room);
        let area = rooms().next().map(|room| (circuit.outbuilding, kitchen(room), site.rooms[room].level.max(0)));
        // One that names no points is an area of its own.
        let own = if circuit.kind.is_sockets() && area.is_some() { None } else { Some(index) };
        let (served, ratings) = areas.entry((own, area)).or_default();
        served.extend(rooms());
        ratings.push(circuit.device.rating);
    }
    areas.into_values().map(|(rooms, ratings)| socket_area(site, &rooms, ratings)).collect()
}

#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a floor of metres"
)]
fn socket_area(site: &Site, rooms: &BTreeSet<RoomIndex>, ratings: Vec<Amps>) -> SocketArea {
    // As everywhere, a loft is no floor that is lived on.
    let lived_on = rooms.iter().map(|room| &site.rooms[*room]).filter(|room| room.room_use != RoomUse::Loft);
    let floor: f64 = lived_on.map(|room| room.area.value()).sum();
    let asked_for = (floor / AREA_OF_A_RING_M2).ceil().max(1.0) as usize;
    let circuits = ratings.len();
    if circuits <= asked_for {
        return SocketArea { circuits, currents: ratings };
    }
    let all: Amps = ratings.iter().copied().sum();
    let each = all.min(Amps::new(RING_A * asked_for as f64)) * (1.0 / asked_for as f64);
    SocketArea { circuits, currents: vec![each; asked_for] }
}

fn loads(job: Job<'_>) -> Vec<DemandLoad> {
    let mut loads: BTreeMap<(LoadKind, u64), u32> = BTreeMap::new();
    let mut count = |kind: LoadKind, current: Amps| {
        if current > Amps::ZERO {
            *loads.entry((kind, current.value().to_bits())).or_insert(0) += 1;
        }
    };
    socket_areas(job)
        .iter()
        .flat_map(|area| &area.currents)
        .for_each(|current| count(LoadKind::SocketCircuit, *current));
    let circuits = &job.installation.circuits;
    // A feed counts by what is behind it, and by itself only where that is not known.
    let counts_by_itself = |index: usize| {
        circuits[index].kind != CircuitType::Distribution
            || circuits.iter().all(|circuit| circuit.fed_from != FedFrom::Circuit(index))
    };
    let others = circuits
        .iter()
        .enumerate()
        .filter(|(index, circuit)| !circuit.feeds_sockets(job.site) && counts_by_itself(*index));
    for (_, circuit) in others {
        let kind = load_kind(circuit, job.site);
        if circuit.appliances.is_empty() {
            count(kind, circuit.design_current);
        }
        for appliance in &circuit.appliances {
            count(kind, appliance.load.current_at(job.site.supply.voltage));
        }
    }
    loads
        .into_iter()
        .map(|((kind, current), count)| DemandLoad {
            kind,
            count: Some(count),
            load_kw: None,
            current_a: Some(f64::from_bits(current)),
            socket_outlet: None,
        })
        .collect()
}

fn load_kind(circuit: &CircuitPlan, site: &Site) -> LoadKind {
    if circuit.feeds_sockets(site) {
        return LoadKind::SocketCircuit;
    }
    match circuit.kind {
        // A board of unknown use is allowed for as one more circuit of the usual kind.
        CircuitType::RingSockets | CircuitType::RadialSockets | CircuitType::Sockets | CircuitType::Distribution => {
            LoadKind::SocketCircuit
        }
        CircuitType::Lighting | CircuitType::Alarms => LoadKind::Lighting,
        CircuitType::Cooker | CircuitType::Oven | CircuitType::Hob => LoadKind::Cooker,
        CircuitType::Shower => LoadKind::Shower,
        CircuitType::Immersion => LoadKind::ThermostaticWaterHeater,
        CircuitType::FloorHeating => LoadKind::FloorHeating,
        CircuitType::ChargePoint => LoadKind::EvCharger,
        CircuitType::HeatPump => LoadKind::HeatPump,
        CircuitType::Heating
        | CircuitType::Boiler
        | CircuitType::Freezer
        | CircuitType::Outside
        | CircuitType::Appliance
        | CircuitType::Spare
        | CircuitType::None => LoadKind::SpaceHeating,
    }
}
