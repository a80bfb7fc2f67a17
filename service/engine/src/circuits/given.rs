//! Circuits that a designer has fixed, and those that stay: what each serves is found in the site, and what cannot be is
//! a fault.

use std::collections::{BTreeMap, BTreeSet};

use super::sizing::Device;
use super::{Member, bound, extended};
use crate::catalogue::{CableMake, CableSize, Catalogue, CircuitType};
use crate::checks::Arrangement;
use crate::faults::{Fault, FaultCode, nearest};
use crate::quantities::{Amps, Metres, Ohms};
use crate::site::{AppliancePlan, RoomIndex, Site};
use crate::standards::{DeviceType, ReferenceMethod, Standards, TripCurve};
use crate::survey::{GivenCable, GivenCableType, GivenCircuit, GivenCircuitType, GivenDevice, GivenDeviceType, Survey};

/// A circuit as a designer has fixed it.
#[derive(Debug, Clone)]
pub(super) struct GivenPlan {
    pub id: String,
    pub name: Option<String>,
    pub kind: CircuitType,
    pub members: Vec<Member>,
    pub appliances: Vec<AppliancePlan>,
    pub outbuilding: Option<usize>,
    /// The room of a circuit that has an appliance but no point.
    pub room: Option<RoomIndex>,
    pub fixed: DesignerChoices,
}

/// What of a circuit is not to be chosen.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct DesignerChoices {
    /// Its device.
    pub device: Option<Device>,
    /// Its cable.
    pub cable: Option<CableSize>,
    /// The length of its cable.
    pub length: Option<Metres>,
    /// How its cable lies.
    pub method: Option<ReferenceMethod>,
    /// Whether it is there now and stays.
    pub kept: Option<ExistingCircuit>,
}

/// A circuit that is there now and stays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExistingCircuit {
    /// Whether it was tested from end to end and found sound.
    pub tested: bool,
    /// Whether nobody recorded it, and a usual one is taken.
    pub assumed: bool,
    /// Its earth fault loop impedance, if it was measured at its far end.
    pub zs: Option<Ohms>,
}

/// Points and appliances that no circuit has been given yet.
#[derive(Debug, Clone)]
pub(super) struct Left {
    points: Vec<Vec<u32>>,
    appliances: Vec<Vec<u32>>,
}

impl Left {
    fn all(site: &Site) -> Self {
        Self {
            points: site.rooms.iter().map(|room| room.points.iter().map(|point| point.count).collect()).collect(),
            appliances: site.rooms.iter().map(|room| room.appliances.iter().map(|one| one.count).collect()).collect(),
        }
    }

    /// How many of an entry of a room's points are left.
    pub fn points(&self, room: RoomIndex, point: usize) -> u32 {
        self.points[room][point]
    }

    /// Takes what is left of an entry of a room's points; the first of them stands behind those that were taken before.
    pub fn take(&mut self, site: &Site, room: RoomIndex, point: usize) -> Member {
        let count = std::mem::take(&mut self.points[room][point]);
        Member { room, point, count, first: site.rooms[room].points[point].count - count }
    }

    /// How many of an entry of a room's appliances are left.
    pub fn appliances(&self, room: RoomIndex, appliance: usize) -> u32 {
        self.appliances[room][appliance]
    }
}

/// What the designer has fixed, and what is left to be gathered.
pub(super) struct GivenSurvey {
    pub circuits: Vec<GivenPlan>,
    pub left: Left,
    faults: Vec<Fault>,
}

/// Every fault of the circuits that a survey gives, and of the number of those that it asks for; pointers begin at the
/// request.
#[must_use]
pub fn faults(site: &Site, survey: &Survey, catalogue: &Catalogue, standards: &Standards) -> Vec<Fault> {
    let mut given = given(site, survey, catalogue, standards);
    let mut faults = std::mem::take(&mut given.faults);
    if bound::may_be_too_many(survey) {
        faults.extend(bound::too_many(site, catalogue, given));
    }
    faults
}

/// Finds in the site what each given circuit serves. Linear in circuits, points and rooms.
pub(super) fn given(site: &Site, survey: &Survey, catalogue: &Catalogue, standards: &Standards) -> GivenSurvey {
    let mut finder = Finder {
        site,
        catalogue,
        standards,
        rooms: site.rooms.iter().enumerate().map(|(index, room)| (room.id.as_str(), index)).collect(),
        left: Left::all(site),
        fed: BTreeSet::new(),
        faults: Vec::new(),
    };
    let mut circuits = Vec::with_capacity(survey.circuits.len());
    let mut ids = BTreeSet::new();
    for (index, circuit) in survey.circuits.iter().enumerate() {
        let pointer = format!("/survey/circuits/{index}");
        if !ids.insert(circuit.id.as_str()) {
            let detail = format!("the id `{}` is used twice; give each circuit its own", circuit.id);
            finder.fault(format!("{pointer}/id"), FaultCode::DuplicateId, detail);
        }
        circuits.extend(finder.circuit(circuit, &pointer));
    }
    let mut given = GivenSurvey { circuits, left: finder.left, faults: finder.faults };
    extended::extend(site, catalogue, &mut given);
    given
}

struct Finder<'a> {
    site: &'a Site,
    catalogue: &'a Catalogue,
    standards: &'a Standards,
    rooms: BTreeMap<&'a str, RoomIndex>,
    left: Left,
    /// Outbuildings whose feed is given.
    fed: BTreeSet<usize>,
    faults: Vec<Fault>,
}

impl Finder<'_> {
    fn fault(&mut self, pointer: impl Into<String>, code: FaultCode, detail: impl Into<String>) {
        self.faults.push(Fault::new(pointer, code, detail));
    }

    fn circuit(&mut self, circuit: &GivenCircuit, pointer: &str) -> Option<GivenPlan> {
        let asked = circuit.circuit_type.map(circuit_type);
        let sound = self.stays(circuit, asked, pointer);
        let device = circuit.device.and_then(|device| self.device(device, &format!("{pointer}/device")));
        let stays = circuit.existing == Some(true);
        let cable = circuit.cable.and_then(|cable| self.cable(cable, asked, stays, &format!("{pointer}/cable")));
        let before = self.faults.len();
        let mut members = self.points(circuit, pointer);
        let appliances = self.appliances(circuit, pointer);
        let in_rooms = self.rooms_named(circuit, pointer);
        if self.faults.len() > before || !sound {
            // What it serves is not known, so nothing more can be said of it.
            return None;
        }
        if asked == Some(CircuitType::Distribution) {
            return self.feed(circuit, &in_rooms, DesignerChoices::of(circuit, device, cable), pointer);
        }
        let known = members.iter().map(|member| self.usual(member)).chain(appliances.iter().map(|one| one.1));
        let kind = self.kind(circuit, asked, known.collect(), pointer)?;
        for room in &in_rooms {
            members.extend(self.every_point_that_fits(*room, kind));
        }
        let first = members.first().map(|member| member.room).or(appliances.first().map(|one| one.0));
        let kept = ExistingCircuit::of(circuit);
        let Some(room) = first else {
            if kept.is_some() {
                // Nothing is changed on it: only its way in the board, its load and its tests.
                return Some(GivenPlan {
                    id: circuit.id.clone(),
                    name: circuit.name.clone(),
                    kind,
                    members,
                    appliances: Vec::new(),
                    outbuilding: None,
                    room: None,
                    fixed: DesignerChoices::of(circuit, device, cable),
                });
            }
            let detail = "it serves nothing; name `points`, `rooms` or `appliances` that it feeds";
            self.fault(format!("{pointer}/points"), FaultCode::MissingField, detail);
            return None;
        };
        let outbuilding = self.site.rooms[room].outbuilding;
        let served = members.iter().map(|member| member.room).chain(appliances.iter().map(|one| one.0));
        self.on_one_board(room, served, pointer);
        Some(GivenPlan {
            id: circuit.id.clone(),
            name: circuit.name.clone(),
            kind,
            members,
            appliances: appliances.into_iter().map(|(_, _, plan)| plan).collect(),
            outbuilding,
            room: Some(room),
            fixed: DesignerChoices::of(circuit, device, cable),
        })
    }

    /// Names a room that hangs on another board than the first one that the circuit serves.
    fn on_one_board(&mut self, first: RoomIndex, mut served: impl Iterator<Item = RoomIndex>, pointer: &str) {
        let board = |room: RoomIndex| self.site.rooms[room].outbuilding;
        let Some(other) = served.find(|room| board(*room) != board(first)) else { return };
        let detail = format!(
            "it serves both `{}` and `{}`, which hang on different boards; give each its own circuit",
            self.site.rooms[first].id, self.site.rooms[other].id
        );
        self.fault(format!("{pointer}/points"), FaultCode::Contradiction, detail);
    }

    /// Whether all is known that must be of a circuit that stays, and it is one that can.
    fn stays(&mut self, circuit: &GivenCircuit, asked: Option<CircuitType>, pointer: &str) -> bool {
        let before = self.faults.len();
        if circuit.existing != Some(true) {
            if circuit.tested.is_some() {
                let detail =
                    "only a circuit that is there now can have been tested; give `existing` true, or leave it out";
                self.fault(format!("{pointer}/tested"), FaultCode::Contradiction, detail);
            }
            return self.faults.len() == before;
        }
        if asked.is_none() {
            let detail = "a circuit that stays is not read from what is joined to it; give its `type`";
            self.fault(format!("{pointer}/type"), FaultCode::MissingField, detail);
        }
        if circuit.cable.is_none() {
            let detail = "a circuit that stays keeps its cable; give `cable` with `line_mm2` as it was seen";
            self.fault(format!("{pointer}/cable"), FaultCode::MissingField, detail);
        }
        self.faults.len() == before
    }

    /// The feed of an outbuilding, which is named as its one room.
    fn feed(
        &mut self,
        circuit: &GivenCircuit,
        rooms: &[RoomIndex],
        fixed: DesignerChoices,
        pointer: &str,
    ) -> Option<GivenPlan> {
        let outbuilding = match rooms {
            [room] => self.site.rooms[*room].outbuilding,
            _ => None,
        };
        if outbuilding.is_none() || !circuit.points.is_empty() || !circuit.appliances.is_empty() {
            let detail = "a feed serves one outbuilding and nothing else; name it alone in `rooms`";
            self.fault(format!("{pointer}/rooms"), FaultCode::Contradiction, detail);
            return None;
        }
        if outbuilding.is_some_and(|building| !self.fed.insert(building)) {
            let detail = "an earlier circuit is the feed of that outbuilding already; a building has one";
            self.fault(format!("{pointer}/rooms"), FaultCode::Contradiction, detail);
            return None;
        }
        Some(GivenPlan {
            id: circuit.id.clone(),
            name: circuit.name.clone(),
            kind: CircuitType::Distribution,
            members: Vec::new(),
            appliances: Vec::new(),
            outbuilding,
            room: rooms.first().copied(),
            fixed,
        })
    }

    fn room(&mut self, id: &str, pointer: String) -> Option<RoomIndex> {
        let found = self.rooms.get(id).copied();
        if found.is_none() {
            let mut detail = format!("there is no room or outbuilding `{id}` in this survey");
            if let Some(meant) = nearest(id, self.rooms.keys().copied()) {
                detail.push_str(&format!("; did you mean `{meant}`?"));
            }
            self.fault(pointer, FaultCode::UnknownReference, detail);
        }
        found
    }

    fn rooms_named(&mut self, circuit: &GivenCircuit, pointer: &str) -> Vec<RoomIndex> {
        let named = circuit.rooms.iter().enumerate();
        named.filter_map(|(index, id)| self.room(id, format!("{pointer}/rooms/{index}"))).collect()
    }

    fn points(&mut self, circuit: &GivenCircuit, pointer: &str) -> Vec<Member> {
        let mut members = Vec::new();
        for (index, asked) in circuit.points.iter().enumerate() {
            let pointer = format!("{pointer}/points/{index}");
            let Some(room) = self.room(&asked.room, format!("{pointer}/room")) else { continue };
            let mut wanted = asked.count.unwrap_or(u32::MAX);
            let mut taken = 0;
            for (point, plan) in self.site.rooms[room].points.iter().enumerate() {
                let count = wanted.min(self.left.points[room][point]);
                if plan.kind == asked.point_type && count > 0 {
                    let first = plan.count - self.left.points[room][point];
                    self.left.points[room][point] -= count;
                    wanted -= count;
                    taken += count;
                    members.push(Member { room, point, count, first });
                }
            }
            if taken == 0 || asked.count.is_some_and(|count| taken < count) {
                let detail = format!(
                    "`{}` has {taken} of `{}` that no earlier circuit names; record them there, or ask for no more",
                    asked.room, asked.point_type
                );
                self.fault(pointer, FaultCode::Contradiction, detail);
            }
        }
        members
    }

    fn appliances(&mut self, circuit: &GivenCircuit, pointer: &str) -> Vec<(RoomIndex, CircuitType, AppliancePlan)> {
        let mut found = Vec::new();
        for (index, asked) in circuit.appliances.iter().enumerate() {
            let pointer = format!("{pointer}/appliances/{index}");
            let Some(room) = self.room(&asked.room, format!("{pointer}/room")) else { continue };
            let before = found.len();
            for (appliance, plan) in self.site.rooms[room].appliances.iter().enumerate() {
                let count = std::mem::take(&mut self.left.appliances[room][appliance]);
                if plan.kind != asked.appliance_type {
                    self.left.appliances[room][appliance] = count;
                } else if count > 0 {
                    let usual = self.catalogue.appliance(plan.kind).circuit;
                    found.push((room, usual, AppliancePlan { count, ..plan.clone() }));
                }
            }
            if found.len() == before {
                let detail = format!(
                    "`{}` has no `{}` that no earlier circuit names; record it there first",
                    asked.room, asked.appliance_type
                );
                self.fault(pointer, FaultCode::UnknownReference, detail);
            }
        }
        found
    }

    /// The circuit that a point usually goes on.
    fn usual(&self, member: &Member) -> CircuitType {
        let room = &self.site.rooms[member.room];
        let point = &room.points[member.point];
        let kind = self.catalogue.point(point.kind, point.gangs);
        super::gather::circuit_of(room, kind.circuit)
    }

    /// The kind asked for; else that of all that it serves, if they agree.
    fn kind(
        &mut self,
        circuit: &GivenCircuit,
        asked: Option<CircuitType>,
        usual: Vec<CircuitType>,
        pointer: &str,
    ) -> Option<CircuitType> {
        if usual.contains(&CircuitType::None) {
            let detail = "data, television and other signal wiring is on no circuit; leave it out";
            self.fault(format!("{pointer}/points"), FaultCode::Contradiction, detail);
            return None;
        }
        let kind = match asked {
            Some(asked) => asked,
            None if !usual.is_empty() && usual.iter().all(|kind| *kind == usual[0]) => usual[0],
            None => {
                let detail = "what it serves does not say what kind of circuit it is; give `type`";
                self.fault(format!("{pointer}/type"), FaultCode::MissingField, detail);
                return None;
            }
        };
        match (kind, circuit.arrangement) {
            (CircuitType::Sockets, Some(Arrangement::Ring)) => Some(CircuitType::RingSockets),
            (CircuitType::Sockets, Some(Arrangement::Radial)) => Some(CircuitType::RadialSockets),
            (CircuitType::RingSockets, Some(Arrangement::Radial))
            | (CircuitType::RadialSockets, Some(Arrangement::Ring)) => {
                let detail = "`type` and `arrangement` say different things; leave `arrangement` out";
                self.fault(format!("{pointer}/arrangement"), FaultCode::Contradiction, detail);
                None
            }
            (kind, Some(Arrangement::Ring)) if !kind.is_sockets() => {
                let detail = format!("only circuits of sockets are wired as rings here, and this one is `{kind}`");
                self.fault(format!("{pointer}/arrangement"), FaultCode::Contradiction, detail);
                None
            }
            (kind, _) => Some(kind),
        }
    }

    /// What is left in a room that usually goes on that kind of circuit.
    fn every_point_that_fits(&mut self, room: RoomIndex, kind: CircuitType) -> Vec<Member> {
        let fits = |usual: CircuitType| usual == kind || (usual == CircuitType::Sockets && kind.is_sockets());
        let mut members = Vec::new();
        for point in 0..self.site.rooms[room].points.len() {
            let count = self.left.points[room][point];
            let first = self.site.rooms[room].points[point].count - count;
            let member = Member { room, point, count, first };
            if member.count > 0 && fits(self.usual(&member)) {
                self.left.points[room][point] = 0;
                members.push(member);
            }
        }
        members
    }

    fn device(&mut self, given: GivenDevice, pointer: &str) -> Option<Device> {
        let kind = given.device_type.unwrap_or(GivenDeviceType::Rcbo);
        let curve = given.curve.unwrap_or(TripCurve::B);
        let rating = Amps::new(given.rating_a);
        if let Err(missing) = self.standards.device(DeviceType::Breaker, Some(curve), rating) {
            self.faults.push(missing.at(format!("{pointer}/rating_a")));
            return None;
        }
        /// Source: BS 7671 415.1.1, from memory.
        const ADDITIONAL_MA: f64 = 30.0;
        let combined = kind == GivenDeviceType::Rcbo;
        Some(Device { rating, curve, combined, residual_ma: given.residual_ma.or(combined.then_some(ADDITIONAL_MA)) })
    }

    fn cable(&mut self, given: GivenCable, kind: Option<CircuitType>, stays: bool, pointer: &str) -> Option<CableSize> {
        let make = given.cable_type.unwrap_or(match kind {
            Some(CircuitType::Distribution) => GivenCableType::Armoured,
            Some(CircuitType::Alarms) => GivenCableType::FlatThreeCore,
            Some(_) | None => GivenCableType::Flat,
        });
        let cables = self.catalogue.cables();
        let of_table = cable_make(make);
        // What stays is not bought, so it need not be priced.
        let mut sizes: Vec<CableSize> =
            if stays { cables.laid_or_kept(of_table).collect() } else { cables.laid(of_table).collect() };
        sizes.sort_by(|a, b| a.line_mm2().total_cmp(&b.line_mm2()));
        let found = sizes.iter().copied().find(|size| (size.line_mm2() - given.line_mm2).abs() < 1e-6);
        if found.is_none() {
            let listed: Vec<String> = sizes.iter().map(|size| size.line_mm2().to_string()).collect();
            let detail = format!(
                "not in the table of cables that {}: `{make}` of {} mm2; it has {} mm2",
                if stays { "may stay" } else { "are priced" },
                given.line_mm2,
                listed.join(", ")
            );
            self.fault(format!("{pointer}/line_mm2"), FaultCode::NotInTable, detail);
        }
        found
    }
}

impl DesignerChoices {
    fn of(circuit: &GivenCircuit, device: Option<Device>, cable: Option<CableSize>) -> Self {
        Self {
            device,
            cable,
            length: circuit.length_m.map(Metres::new),
            method: circuit.method,
            kept: ExistingCircuit::of(circuit),
        }
    }
}

impl ExistingCircuit {
    fn of(circuit: &GivenCircuit) -> Option<Self> {
        let zs = circuit.zs_ohm.map(Ohms::new);
        circuit.existing?.then(|| Self { tested: circuit.tested.unwrap_or(false), assumed: false, zs })
    }
}

const fn cable_make(given: GivenCableType) -> CableMake {
    match given {
        GivenCableType::Flat => CableMake::Flat,
        GivenCableType::FlatThreeCore => CableMake::FlatThreeCore,
        GivenCableType::Armoured => CableMake::Armoured,
    }
}

const fn circuit_type(given: GivenCircuitType) -> CircuitType {
    match given {
        GivenCircuitType::RingSockets => CircuitType::RingSockets,
        GivenCircuitType::RadialSockets => CircuitType::RadialSockets,
        GivenCircuitType::Lighting => CircuitType::Lighting,
        GivenCircuitType::Cooker => CircuitType::Cooker,
        GivenCircuitType::Oven => CircuitType::Oven,
        GivenCircuitType::Hob => CircuitType::Hob,
        GivenCircuitType::Shower => CircuitType::Shower,
        GivenCircuitType::Immersion => CircuitType::Immersion,
        GivenCircuitType::Heating => CircuitType::Heating,
        GivenCircuitType::FloorHeating => CircuitType::FloorHeating,
        GivenCircuitType::Boiler => CircuitType::Boiler,
        GivenCircuitType::Alarms => CircuitType::Alarms,
        GivenCircuitType::Freezer => CircuitType::Freezer,
        GivenCircuitType::ChargePoint => CircuitType::ChargePoint,
        GivenCircuitType::HeatPump => CircuitType::HeatPump,
        GivenCircuitType::Outside => CircuitType::Outside,
        GivenCircuitType::Distribution => CircuitType::Distribution,
        GivenCircuitType::Appliance => CircuitType::Appliance,
    }
}
