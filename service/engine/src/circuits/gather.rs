//! Which point goes on which circuit.

use std::collections::BTreeMap;

use super::{FedFrom, Member};
use crate::catalogue::{Catalogue, CircuitKind, CircuitType, PointGroup};
use crate::site::{AppliancePlan, RoomIndex, RoomPlan, Site};
use crate::survey::{ApplianceType, OutbuildingFeed, PointType, RoomUse};

/// A circuit before it has a device and a cable.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    pub kind: CircuitType,
    pub name: String,
    pub members: Vec<Member>,
    pub appliances: Vec<AppliancePlan>,
    pub outbuilding: Option<usize>,
    /// The room of a circuit that has an appliance but no point.
    pub room: Option<RoomIndex>,
    pub because: Vec<String>,
}

impl Draft {
    /// Whether there are enough points for two circuits.
    pub fn can_be_halved(&self) -> bool {
        self.members.iter().map(|member| u64::from(member.count)).sum::<u64>() > 1
    }

    /// Two circuits in place of one, each with half of the points.
    pub fn halves(mut self) -> (Self, Self) {
        let points: u64 = self.members.iter().map(|member| u64::from(member.count)).sum();
        let mut left = points / 2;
        let mut first = Vec::new();
        let mut second = Vec::new();
        for member in std::mem::take(&mut self.members) {
            let taken = u32::try_from(left.min(u64::from(member.count))).unwrap_or(member.count);
            if taken > 0 {
                first.push(Member { count: taken, ..member });
            }
            if taken < member.count {
                second.push(Member { count: member.count - taken, first: member.first + taken, ..member });
            }
            left -= u64::from(taken);
        }
        let reason = "two rings: as one it would be longer than a ring of its cable may be".to_owned();
        self.because = vec![reason];
        let other = Self {
            name: format!("{}, second half", self.name),
            appliances: Vec::new(),
            room: second.first().map(|member| member.room),
            members: second,
            ..self.clone()
        };
        self.name.push_str(", first half");
        self.members = first;
        (self, other)
    }
}

pub(super) struct Gathered {
    pub drafts: Vec<Draft>,
    pub signal: Vec<Member>,
    pub on_sockets: Vec<(RoomIndex, AppliancePlan)>,
}

/// What keeps two groups of points apart: the outbuilding, the kind, the storey or the room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Bucket {
    outbuilding: Option<usize>,
    order: u8,
    kind: CircuitType,
    level: i8,
    /// The room, for a load that has its own circuit.
    room: usize,
    /// Numbers of one kind in one room that each want their own.
    own: u32,
}

/// Rooms count as shared on a circuit that serves many.
const SHARED: usize = usize::MAX;

#[derive(Default)]
struct Contents {
    members: Vec<Member>,
    appliances: Vec<AppliancePlan>,
}

pub(super) fn gather(site: &Site, catalogue: &Catalogue) -> Gathered {
    let mut buckets: BTreeMap<Bucket, Contents> = BTreeMap::new();
    let mut signal = Vec::new();
    let mut on_sockets = Vec::new();
    for (index, room) in site.rooms.iter().enumerate() {
        points(index, room, catalogue, &mut buckets, &mut signal);
        appliances(index, room, catalogue, &mut buckets, &mut on_sockets);
    }
    for (index, building) in site.outbuildings.iter().enumerate() {
        let room = &site.rooms[building.room];
        if !room.points.is_empty() || !room.appliances.is_empty() {
            let feed = bucket(Some(index), CircuitType::Distribution, 0, building.room, 0);
            buckets.entry(feed).or_default();
        }
    }
    let mut drafts = Vec::new();
    for (bucket, contents) in buckets {
        split(site, catalogue, bucket, contents, &mut drafts);
    }
    never_all_lights_on_one(&mut drafts);
    Gathered { drafts, signal, on_sockets }
}

fn bucket(outbuilding: Option<usize>, kind: CircuitType, level: i8, room: usize, own: u32) -> Bucket {
    Bucket { outbuilding, order: chart_order(kind), kind, level, room, own }
}

/// The order of the board: heavy loads beside the main switch, lights and alarms at the far end. Common practice.
const fn chart_order(kind: CircuitType) -> u8 {
    match kind {
        CircuitType::Distribution => 0,
        CircuitType::Shower => 1,
        CircuitType::Cooker => 2,
        CircuitType::Hob => 3,
        CircuitType::Oven => 4,
        CircuitType::ChargePoint => 5,
        CircuitType::HeatPump => 6,
        CircuitType::Sockets | CircuitType::RingSockets | CircuitType::RadialSockets => 7,
        CircuitType::Heating => 8,
        CircuitType::FloorHeating => 9,
        CircuitType::Immersion => 10,
        CircuitType::Freezer => 11,
        CircuitType::Appliance => 12,
        CircuitType::Boiler => 13,
        CircuitType::Outside => 14,
        CircuitType::Lighting => 15,
        CircuitType::Alarms => 16,
        CircuitType::Spare | CircuitType::None => 17,
    }
}

fn points(
    index: RoomIndex,
    room: &RoomPlan,
    catalogue: &Catalogue,
    buckets: &mut BTreeMap<Bucket, Contents>,
    signal: &mut Vec<Member>,
) {
    for (entry, point) in room.points.iter().enumerate() {
        let kind = catalogue.point(point.kind, point.gangs);
        let member = Member { room: index, point: entry, count: point.count, first: 0 };
        let circuit = circuit_of(room, kind.circuit, kind.group);
        if circuit == CircuitType::None {
            signal.push(member);
            continue;
        }
        let mut first = 0;
        for (own, count) in shares(circuit, point.kind, point.count) {
            let room_key = if serves_many(circuit) { SHARED } else { index };
            let level = if serves_many(circuit) { shared_level(room, circuit, catalogue) } else { room.level };
            let key = bucket(room.outbuilding, circuit, level, room_key, own);
            buckets.entry(key).or_default().members.push(Member { count, first, ..member });
            first += count;
        }
    }
}

/// The circuit of a point, given where it stands.
fn circuit_of(room: &RoomPlan, usual: CircuitType, group: PointGroup) -> CircuitType {
    match usual {
        CircuitType::Lighting if group == PointGroup::Outside && room.outbuilding.is_none() => CircuitType::Outside,
        CircuitType::Sockets if room.room_use == RoomUse::Outside => CircuitType::Outside,
        CircuitType::Alarms if room.outbuilding.is_some() => CircuitType::Lighting,
        other => other,
    }
}

/// Whether points of several rooms share the circuit.
const fn serves_many(circuit: CircuitType) -> bool {
    matches!(circuit, CircuitType::Sockets | CircuitType::Lighting | CircuitType::Alarms | CircuitType::Outside)
}

/// Kitchen and utility are a level of their own for sockets; alarms and outside are one for the whole house.
fn shared_level(room: &RoomPlan, circuit: CircuitType, catalogue: &Catalogue) -> i8 {
    /// Before every storey.
    const KITCHEN_LEVEL: i8 = i8::MIN;
    match circuit {
        CircuitType::Sockets if catalogue.room_use(room.room_use).sockets_with == "kitchen" => KITCHEN_LEVEL,
        CircuitType::Alarms | CircuitType::Outside => 0,
        // A loft is wired with the storey below it.
        _ if room.room_use == RoomUse::Loft => room.level.saturating_sub(1),
        // A cellar's few points go with the ground floor.
        _ => room.level.max(0),
    }
}

/// Loads that each want their own circuit are counted out one by one; the rest stay together.
fn shares(circuit: CircuitType, point: PointType, count: u32) -> Vec<(u32, u32)> {
    let each_its_own = matches!(circuit, CircuitType::Shower | CircuitType::ChargePoint | CircuitType::HeatPump)
        || matches!(
            point,
            PointType::StorageHeaterPoint
                | PointType::HotTubIsolator
                | PointType::CoolingUnitIsolator
                | PointType::BatteryPoint
                | PointType::GenerationPoint
        );
    if each_its_own { (0..count).map(|own| (own + (point as u32) * 20_000, 1)).collect() } else { vec![(0, count)] }
}

fn appliances(
    index: RoomIndex,
    room: &RoomPlan,
    catalogue: &Catalogue,
    buckets: &mut BTreeMap<Bucket, Contents>,
    on_sockets: &mut Vec<(RoomIndex, AppliancePlan)>,
) {
    let has_control = room.points.iter().any(|point| point.kind == PointType::CookerControl);
    for appliance in &room.appliances {
        let kind = catalogue.appliance(appliance.kind);
        let cooking = matches!(appliance.kind, ApplianceType::Oven | ApplianceType::Hob | ApplianceType::Cooker);
        let circuit = if cooking && has_control { CircuitType::Cooker } else { kind.circuit };
        let own = circuit == CircuitType::Cooker || appliance.load.value() > kind.own_above_kw;
        if !own {
            on_sockets.push((index, appliance.clone()));
            continue;
        }
        place_appliance(index, room, circuit, appliance, buckets);
    }
}

/// Puts an appliance on the circuit of its points, or on a circuit of its own where it has no point.
fn place_appliance(
    index: RoomIndex,
    room: &RoomPlan,
    circuit: CircuitType,
    appliance: &AppliancePlan,
    buckets: &mut BTreeMap<Bucket, Contents>,
) {
    let together = circuit == CircuitType::Cooker;
    for _ in 0..appliance.count {
        let one = AppliancePlan { count: 1, ..appliance.clone() };
        let range = bucket(room.outbuilding, circuit, room.level, index, 0)
            ..=bucket(room.outbuilding, circuit, room.level, index, u32::MAX);
        // A circuit with points and no appliance yet is the one that was meant.
        let free = buckets.range_mut(range.clone()).find(|(_, contents)| together || contents.appliances.is_empty());
        match free {
            Some((_, contents)) => contents.appliances.push(one),
            None => {
                let last = buckets.range(range).next_back().map_or(0, |(key, _)| key.own.saturating_add(1));
                let key = bucket(room.outbuilding, circuit, room.level, index, last);
                buckets.entry(key).or_default().appliances.push(one);
            }
        }
    }
}

/// Cuts a bucket into circuits that keep to the floor area and the number of points of their kind.
fn split(site: &Site, catalogue: &Catalogue, bucket: Bucket, contents: Contents, drafts: &mut Vec<Draft>) {
    let limits = limits(bucket.kind, catalogue);
    // Circuits of like size, rather than full ones and a rest.
    let all: u64 = contents.members.iter().map(|member| u64::from(member.count)).sum();
    let points_max = if limits.points_max == 0 { 0 } else { all.div_ceil(all.div_ceil(limits.points_max).max(1)) };
    let mut open = Vec::new();
    let (mut area, mut points) = (0.0, 0);
    let mut last_room = None;
    let first = drafts.len();
    for member in contents.members {
        let mut left = member.count;
        while left > 0 {
            let new_area = if last_room == Some(member.room) { 0.0 } else { site.rooms[member.room].area.value() };
            let over_area = limits.area_m2_max > 0.0 && area + new_area > limits.area_m2_max && !open.is_empty();
            let room_for = points_max.saturating_sub(points);
            if (over_area && new_area > 0.0) || (room_for == 0 && points_max > 0) {
                drafts.push(draft(site, bucket, std::mem::take(&mut open)));
                (area, points, last_room) = (0.0, 0, None);
                continue;
            }
            let taken = if points_max == 0 { left } else { left.min(u32::try_from(room_for).unwrap_or(left)) };
            area += new_area;
            points += u64::from(taken);
            last_room = Some(member.room);
            let first = member.first + (member.count - left);
            open.push(Member { count: taken, first, ..member });
            left -= taken;
        }
    }
    if !open.is_empty() || !contents.appliances.is_empty() || bucket.kind == CircuitType::Distribution {
        drafts.push(draft(site, bucket, open));
    }
    number(&mut drafts[first..]);
    if let Some(draft) = drafts.get_mut(first) {
        draft.appliances = contents.appliances;
    }
}

fn limits(kind: CircuitType, catalogue: &Catalogue) -> &CircuitKind {
    let kind = if kind == CircuitType::Sockets { CircuitType::RingSockets } else { kind };
    catalogue.circuit(kind)
}

fn draft(site: &Site, bucket: Bucket, members: Vec<Member>) -> Draft {
    let room = if bucket.room == SHARED { members.first().map(|member| member.room) } else { Some(bucket.room) };
    Draft {
        kind: bucket.kind,
        name: name(site, bucket),
        members,
        appliances: Vec::new(),
        outbuilding: bucket.outbuilding,
        room,
        because: Vec::new(),
    }
}

fn name(site: &Site, bucket: Bucket) -> String {
    let place = if let Some(building) = bucket.outbuilding {
        site.rooms[site.outbuildings[building].room].name.to_lowercase()
    } else if bucket.room != SHARED {
        site.rooms[bucket.room].name.to_lowercase()
    } else if bucket.level == i8::MIN {
        "kitchen and utility".to_owned()
    } else {
        level_words(bucket.level)
    };
    match bucket.kind {
        CircuitType::Distribution => format!("Feed to {place}"),
        CircuitType::Alarms => "Smoke and heat alarms".to_owned(),
        CircuitType::Outside => "Outside".to_owned(),
        CircuitType::Sockets => format!("Sockets, {place}"),
        CircuitType::Lighting => format!("Lights, {place}"),
        other => {
            let word = other.word().replace('-', " ");
            let mut letters = word.chars();
            let first = letters.next().map(|letter| letter.to_uppercase().to_string()).unwrap_or_default();
            format!("{first}{}, {place}", letters.as_str())
        }
    }
}

fn level_words(level: i8) -> String {
    match level {
        0 => "ground floor".to_owned(),
        1 => "first floor".to_owned(),
        2 => "second floor".to_owned(),
        3 => "third floor".to_owned(),
        other => format!("level {other}"),
    }
}

fn number(drafts: &mut [Draft]) {
    if drafts.len() > 1 {
        for (index, draft) in drafts.iter_mut().enumerate() {
            draft.name = format!("{} {}", draft.name, index + 1);
        }
    }
}

/// At least two lighting circuits in the house, so that no single trip darkens it (regulation 314.1, from memory).
fn never_all_lights_on_one(drafts: &mut Vec<Draft>) {
    let house_lights = |draft: &Draft| draft.kind == CircuitType::Lighting && draft.outbuilding.is_none();
    if drafts.iter().filter(|draft| house_lights(draft)).count() != 1 {
        return;
    }
    let Some(index) = drafts.iter().position(house_lights) else { return };
    let mut rooms: Vec<RoomIndex> = drafts[index].members.iter().map(|member| member.room).collect();
    rooms.dedup();
    if rooms.len() < 2 {
        return;
    }
    let cut = rooms[rooms.len() / 2];
    let at = drafts[index].members.iter().position(|member| member.room == cut).unwrap_or(0);
    let mut second = drafts[index].clone();
    second.members = drafts[index].members.split_off(at);
    second.room = second.members.first().map(|member| member.room);
    let reason = "two lighting circuits, so that one trip does not darken the house (BS 7671 regulation 314.1)";
    second.because.push(reason.to_owned());
    drafts[index].because.push(reason.to_owned());
    drafts.insert(index + 1, second);
    number(&mut drafts[index..=index + 1]);
}

/// Where a circuit gets its supply.
pub(super) fn fed_from(site: &Site, draft: &Draft, feeds: &BTreeMap<usize, usize>) -> FedFrom {
    let Some(building) = draft.outbuilding else { return FedFrom::Board };
    if draft.kind == CircuitType::Distribution {
        return match site.outbuildings[building].fed_from {
            OutbuildingFeed::ConsumerUnit => FedFrom::Board,
            OutbuildingFeed::Intake => FedFrom::Intake,
        };
    }
    feeds.get(&building).map_or(FedFrom::Board, |feed| FedFrom::Circuit(*feed))
}
