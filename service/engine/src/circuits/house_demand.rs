//! The demand of a house after diversity, from its circuits.

use std::collections::{BTreeMap, BTreeSet};

use super::designed_demand::{self, ApplyBecause, DemandVerdict, DesignedDemand, LargeDevice, OperatorNotice};
use super::phases::{PHASES, Phase};
use super::{CircuitPlan, FedFrom, Installation};
use crate::catalogue::{Catalogue, CircuitType, SocketsWith};
use crate::checks::Verdict;
use crate::demand::{self, DemandAnswer, DemandLoad, DemandRequest, DemandSupply};
use crate::faults::Fault;
use crate::quantities::Amps;
use crate::site::{RoomIndex, Site};
use crate::standards::{LoadKind, Standards};
use crate::survey::RoomUse;

/// What a house draws after diversity, held against its cut-out.
#[derive(Debug, Clone, PartialEq)]
pub struct HouseDemand {
    /// All loads at once.
    pub connected: Amps,
    /// After diversity.
    pub after_diversity: Amps,
    /// The cut-out.
    pub cut_out: Amps,
    /// Whether the supply bears it.
    pub verdict: DemandVerdict,
    /// What a designer would defend.
    pub designed: DesignedDemand,
    /// What the operator of the network has to be told.
    pub operator: OperatorNotice,
    /// Why it is asked before anything is ordered, where it is.
    pub apply_because: Vec<ApplyBecause>,
    /// The devices that it asks about.
    pub large: Vec<LargeDevice>,
    /// By the published allowances; their faults where there are more loads than they are meant for.
    pub worked: Result<DemandAnswer, Vec<Fault>>,
    /// What its sockets count for.
    pub sockets: SocketsCounted,
    /// Phase by phase, where there are three; the figures above are those of the phase that carries most.
    pub phases: Vec<PhaseDemand>,
}

/// The demand of one phase.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhaseDemand {
    /// Which.
    pub phase: Phase,
    /// By the published allowances.
    pub after_diversity: Amps,
    /// What a designer would defend.
    pub designed: Amps,
    /// Whether its fuse bears it.
    pub verdict: DemandVerdict,
}

/// Circuits of sockets, as the allowance is made for them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SocketsCounted {
    /// Circuits that are made.
    pub made: usize,
    /// Circuits that count: each area for those that its floor asks for.
    pub counted: usize,
    /// Floor that one circuit serves, in m2.
    pub floor_of_one_m2: f64,
}

impl HouseDemand {
    /// The demand of all loads, by the published allowances.
    #[must_use]
    pub fn of(site: &Site, installation: &Installation, catalogue: &Catalogue, standards: &Standards) -> Self {
        let large = designed_demand::large_devices(site, &installation.circuits);
        let on_phase = |phase| {
            let house = House { site, circuits: &installation.circuits, catalogue, phase };
            Self::on_phase(house, standards, &large)
        };
        if site.supply.phases < 3 {
            return on_phase(None);
        }
        let each = PHASES.map(|phase| on_phase(Some(phase)));
        let phases = PHASES.iter().zip(&each).map(|(phase, demand)| PhaseDemand {
            phase: *phase,
            after_diversity: demand.after_diversity,
            designed: demand.designed.current,
            verdict: demand.verdict,
        });
        let phases: Vec<PhaseDemand> = phases.collect();
        let worst = each.iter().map(|demand| demand.verdict).max().unwrap_or(DemandVerdict::Pass);
        // What is told of the whole is the phase that carries most.
        let heaviest = each.into_iter().reduce(|a, b| if b.after_diversity > a.after_diversity { b } else { a });
        match heaviest {
            Some(heaviest) => Self { verdict: worst, phases, ..heaviest },
            None => on_phase(None),
        }
    }

    /// The demand of one phase, or of the only one.
    fn on_phase(house: House<'_>, standards: &Standards, large: &[LargeDevice]) -> Self {
        let supply = &house.site.supply;
        let areas = house.socket_areas();
        let request = DemandRequest {
            ruleset: None,
            supply: DemandSupply {
                voltage_v: Some(supply.voltage.value()),
                cut_out_a: supply.cut_out_read.then_some(supply.cut_out.value()),
            },
            loads: house.loads(&areas),
        };
        let sockets = SocketsCounted {
            made: areas.iter().map(|area| area.circuits).sum(),
            counted: areas.iter().map(|area| area.currents.len()).sum(),
            floor_of_one_m2: house.floor_of_one_m2(),
        };
        match demand::after_diversity(standards, &request) {
            Ok(answer) => {
                let after_diversity = Amps::new(answer.after_diversity_a);
                let designed = DesignedDemand::of(supply, &answer);
                let (operator, apply_because) = designed_demand::notice(supply, after_diversity, large);
                Self {
                    connected: Amps::new(answer.connected_a),
                    after_diversity,
                    cut_out: Amps::new(answer.cut_out_a),
                    verdict: verdict(&answer, designed, supply.cut_out_read),
                    designed,
                    operator,
                    apply_because,
                    large: large.to_vec(),
                    worked: Ok(answer),
                    sockets,
                    phases: Vec::new(),
                }
            }
            // More loads than the allowances are meant for: no dwelling, so no verdict.
            Err(faults) => {
                let all: Amps = house.circuits.iter().map(|circuit| circuit.design_current).sum();
                let (operator, apply_because) = designed_demand::notice(supply, all, large);
                Self {
                    connected: all,
                    after_diversity: all,
                    cut_out: supply.cut_out,
                    verdict: DemandVerdict::Fail,
                    designed: DesignedDemand::all_of(all),
                    operator,
                    apply_because,
                    large: large.to_vec(),
                    worked: Err(faults),
                    sockets,
                    phases: Vec::new(),
                }
            }
        }
    }

    /// Whether the house is over its fuse, as far as that is known, by a designer's figure too.
    #[must_use]
    pub fn is_over_by_design(&self) -> bool {
        self.worked.is_err() || self.designed.current > self.cut_out
    }
}

/// Over what was assumed is another thing than over what was read.
fn verdict(answer: &DemandAnswer, designed: DesignedDemand, cut_out_read: bool) -> DemandVerdict {
    let over = answer.verdict == Verdict::Fail || designed.current.value() > answer.cut_out_a;
    match (over, answer.verdict) {
        (true, _) if cut_out_read => DemandVerdict::Fail,
        (true, _) => DemandVerdict::Unread,
        (false, Verdict::Pass) => DemandVerdict::Pass,
        (false, Verdict::Advise | Verdict::Fail) => DemandVerdict::Advise,
    }
}

/// The circuits of a house, with what tells which sockets count together.
#[derive(Clone, Copy)]
struct House<'a> {
    site: &'a Site,
    circuits: &'a [CircuitPlan],
    catalogue: &'a Catalogue,
    /// The phase that is looked at; all where there is one only.
    phase: Option<Phase>,
}

/// Circuits of sockets that serve one area, and the currents that they count for.
struct SocketArea {
    circuits: usize,
    currents: Vec<Amps>,
}

impl House<'_> {
    /// Whether a circuit loads the phase that is looked at.
    fn loads_phase(&self, circuit: &CircuitPlan) -> bool {
        self.phase.is_none_or(|phase| circuit.phase.is_some_and(|on| on.loads(phase)))
    }

    /// Floor that one circuit of sockets serves.
    fn floor_of_one_m2(&self) -> f64 {
        self.catalogue.circuit(CircuitType::RingSockets).area_m2_max
    }

    /// The circuits of sockets by area: a storey, the kitchen with the utility, the outside, an outbuilding. The allowance
    /// is made for standard circuits, one for each 100 m2, and goes by the current of the circuits and not by their number
    /// or the devices in front of them (On-Site Guide Table A2, row of standard circuits, as a scheme for contractors reads
    /// it, seen). A ring that is divided because of its length or its outlets draws what it drew before.
    fn socket_areas(&self) -> Vec<SocketArea> {
        let site = self.site;
        let kitchen =
            |room: RoomIndex| self.catalogue.room_use(site.rooms[room].room_use).sockets_with == SocketsWith::Kitchen;
        let mut areas: BTreeMap<_, (BTreeSet<RoomIndex>, Vec<Amps>)> = BTreeMap::new();
        for (index, circuit) in
            self.circuits.iter().enumerate().filter(|(_, one)| one.feeds_sockets(site) && self.loads_phase(one))
        {
            let rooms = || circuit.members.iter().map(|member| member.room);
            let area = rooms().next().map(|room| (circuit.outbuilding, kitchen(room), site.rooms[room].level.max(0)));
            // One that names no points is an area of its own.
            let own = if circuit.kind.is_sockets() && area.is_some() { None } else { Some(index) };
            let (served, ratings) = areas.entry((own, area)).or_default();
            served.extend(rooms());
            ratings.push(circuit.device.rating);
        }
        areas.into_values().map(|(rooms, ratings)| self.socket_area(&rooms, ratings)).collect()
    }

    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a floor of metres"
    )]
    fn socket_area(&self, rooms: &BTreeSet<RoomIndex>, ratings: Vec<Amps>) -> SocketArea {
        // As everywhere, a loft is no floor that is lived on.
        let lived_on = rooms.iter().map(|room| &self.site.rooms[*room]).filter(|room| room.room_use != RoomUse::Loft);
        let floor: f64 = lived_on.map(|room| room.area.value()).sum();
        let asked_for = (floor / self.floor_of_one_m2()).ceil().max(1.0) as usize;
        let circuits = ratings.len();
        if circuits <= asked_for {
            return SocketArea { circuits, currents: ratings };
        }
        let of_one = Amps::new(self.catalogue.circuit(CircuitType::RingSockets).device_a);
        let all: Amps = ratings.iter().copied().sum();
        let each = all.min(of_one * asked_for as f64) * (1.0 / asked_for as f64);
        SocketArea { circuits, currents: vec![each; asked_for] }
    }

    fn loads(&self, areas: &[SocketArea]) -> Vec<DemandLoad> {
        let (site, circuits) = (self.site, self.circuits);
        let mut loads: BTreeMap<(LoadKind, u64), u32> = BTreeMap::new();
        let mut count = |kind: LoadKind, current: Amps| {
            if current > Amps::ZERO {
                *loads.entry((kind, current.value().to_bits())).or_insert(0) += 1;
            }
        };
        areas.iter().flat_map(|area| &area.currents).for_each(|current| count(LoadKind::SocketCircuit, *current));
        // A feed counts by what is behind it, and by itself only where that is not known.
        let counts_by_itself = |index: usize| {
            circuits[index].kind != CircuitType::Distribution
                || circuits.iter().all(|circuit| circuit.fed_from != FedFrom::Circuit(index))
        };
        let others = circuits
            .iter()
            .enumerate()
            .filter(|(index, circuit)| !circuit.feeds_sockets(site) && counts_by_itself(*index))
            .filter(|(_, circuit)| self.loads_phase(circuit));
        for (_, circuit) in others {
            let kind = load_kind(circuit, site);
            if circuit.appliances.is_empty() {
                count(kind, circuit.design_current);
            }
            for appliance in &circuit.appliances {
                count(kind, appliance.per_phase().current_at(site.supply.voltage));
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
