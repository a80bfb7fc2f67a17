//! Which point goes on which circuit.

use std::collections::BTreeMap;

use super::given::{DesignerChoices, GivenPlan, GivenSurvey, Left};
use super::lighting::{self, LightGroups};
use super::{CircuitReason, Member, connections, points_of};
use crate::catalogue::{Catalogue, CircuitKind, CircuitType, PointGroup, SocketsWith};
use crate::site::{AppliancePlan, RoomIndex, RoomPlan, Site};
use crate::survey::{ApplianceType, PointType, RoomUse};

/// A circuit before it has a device and a cable.
#[derive(Debug, Clone)]
pub(super) struct CircuitDraft {
    pub kind: CircuitType,
    pub name: String,
    pub members: Vec<Member>,
    pub appliances: Vec<AppliancePlan>,
    pub outbuilding: Option<usize>,
    /// The room of a circuit that has an appliance but no point.
    pub room: Option<RoomIndex>,
    /// What a designer has fixed of it.
    pub fixed: DesignerChoices,
    /// Its identifier, where a designer has given one.
    pub id: Option<String>,
    pub reasons: Vec<CircuitReason>,
}

impl CircuitDraft {
    /// Whether there are enough points for two circuits.
    pub fn can_be_halved(&self) -> bool {
        self.id.is_none() && points_of(&self.members) > 1
    }

    /// Two circuits in place of one, each with half of the points.
    pub fn halves(mut self) -> (Self, Self) {
        let points = points_of(&self.members);
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
        self.reasons = vec![CircuitReason::RingHalved];
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
    pub drafts: Vec<CircuitDraft>,
    pub signal: Vec<Member>,
    pub on_sockets: Vec<(RoomIndex, AppliancePlan)>,
}

/// What keeps two groups of points apart: the outbuilding, the kind, the storey or the room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Bucket {
    outbuilding: Option<usize>,
    order: u8,
    pub kind: CircuitType,
    level: i8,
    /// The room, for a load that has its own circuit.
    pub room: usize,
    /// Numbers of one kind in one room that each want their own.
    own: u32,
}

/// Rooms count as shared on a circuit that serves many.
const SHARED: usize = usize::MAX;

#[derive(Default)]
pub(super) struct Contents {
    pub members: Vec<Member>,
    pub appliances: Vec<AppliancePlan>,
}

/// Gathers what the designer has left; `given` are the circuits that he has fixed.
pub(super) fn gather(site: &Site, catalogue: &Catalogue, given: GivenSurvey) -> Gathered {
    let mut buckets: BTreeMap<Bucket, Contents> = BTreeMap::new();
    let mut signal = Vec::new();
    let mut on_sockets = Vec::new();
    let lit = lighting::lit_rooms(site, catalogue, &given.left);
    // Where less than the house is wired anew, the rest of it has lights of its own.
    let lights_given = !site.scope.rewires()
        || given.circuits.iter().any(|one| one.kind == CircuitType::Lighting && one.outbuilding.is_none());
    let lights = LightGroups::of(site, &lit, lights_given);
    for (index, room) in site.rooms.iter().enumerate() {
        points((site, index, room), catalogue, (&given.left, &lights), &mut buckets, &mut signal);
        appliances(index, room, catalogue, &given.left, &mut buckets, &mut on_sockets);
    }
    connections::connect(site, &mut buckets);
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
    keep(site, given.circuits, &mut drafts);
    lights.explain(&mut drafts);
    number_lights(&mut drafts);
    lighting::say_of_all_on_one(site, catalogue, &mut drafts);
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
    (site, index, room): (&Site, RoomIndex, &RoomPlan),
    catalogue: &Catalogue,
    (left, lights): (&Left, &LightGroups),
    buckets: &mut BTreeMap<Bucket, Contents>,
    signal: &mut Vec<Member>,
) {
    for (entry, point) in room.points.iter().enumerate() {
        let count = left.points(index, entry);
        if count == 0 {
            continue;
        }
        let kind = catalogue.point(point.kind, point.gangs);
        // Those that a designer has put on circuits come before these.
        let mut first = point.count - count;
        let member = Member { room: index, point: entry, count, first };
        let circuit = circuit_in(site, room, kind.circuit);
        if circuit == CircuitType::None {
            signal.push(member);
            continue;
        }
        let group = lights.of_room(index).filter(|_| circuit == CircuitType::Lighting);
        for (own, count) in shares(circuit, point.kind, count) {
            let room_key = if serves_many(circuit) { SHARED } else { index };
            let out_of_doors = circuit == CircuitType::Lighting && is_out_of_doors(room, kind.group);
            let group = group.filter(|_| !out_of_doors);
            let own = group.map_or(own, |group| group.side);
            let level = if out_of_doors {
                OUT_OF_DOORS
            } else if let Some(group) = group {
                group.level
            } else if serves_many(circuit) {
                shared_level(room, circuit, catalogue)
            } else {
                room.level
            };
            let key = bucket(room.outbuilding, circuit, level, room_key, own);
            buckets.entry(key).or_default().members.push(Member { count, first, ..member });
            first += count;
        }
    }
}

/// The circuit of a point, given where it stands.
pub(super) fn circuit_of(room: &RoomPlan, usual: CircuitType) -> CircuitType {
    match usual {
        CircuitType::Sockets if room.room_use == RoomUse::Outside => CircuitType::Outside,
        CircuitType::Alarms if room.outbuilding.is_some() => CircuitType::Lighting,
        other => other,
    }
}

/// The same on this job: alarms that are added hang on a lighting circuit in regular use (BS 5839-6, from memory), and not on a
/// circuit of their own.
pub(super) fn circuit_in(site: &Site, room: &RoomPlan, usual: CircuitType) -> CircuitType {
    match circuit_of(room, usual) {
        CircuitType::Alarms if !site.scope.rewires() => CircuitType::Lighting,
        other => other,
    }
}

/// The name of a circuit that serves these points and no other storey.
pub(super) fn name_of(site: &Site, kind: CircuitType, members: &[Member]) -> String {
    let level = members.first().map_or(0, |member| site.rooms[member.room].level.max(0));
    name(site, bucket(None, kind, level, SHARED, 0))
}

/// After every storey: lights out of doors are apart, so that a wet one does not darken the house. Their circuit is one of
/// lights and not that of the outside sockets, whose cable over such a length no fitting takes. Source: domain practice,
/// from memory.
const OUT_OF_DOORS: i8 = i8::MAX;

/// Whether a light is out of doors, on the house.
pub(super) fn is_out_of_doors(room: &RoomPlan, group: PointGroup) -> bool {
    room.outbuilding.is_none() && (group == PointGroup::Outside || room.room_use == RoomUse::Outside)
}

/// Whether points of several rooms share the circuit.
const fn serves_many(circuit: CircuitType) -> bool {
    matches!(circuit, CircuitType::Sockets | CircuitType::Lighting | CircuitType::Alarms | CircuitType::Outside)
}

/// Kitchen and utility are a level of their own for sockets; alarms and outside are one for the whole house.
pub(super) fn shared_level(room: &RoomPlan, circuit: CircuitType, catalogue: &Catalogue) -> i8 {
    /// Before every storey.
    const KITCHEN_LEVEL: i8 = i8::MIN;
    match circuit {
        CircuitType::Sockets if catalogue.room_use(room.room_use).sockets_with == SocketsWith::Kitchen => KITCHEN_LEVEL,
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
    left: &Left,
    buckets: &mut BTreeMap<Bucket, Contents>,
    on_sockets: &mut Vec<(RoomIndex, AppliancePlan)>,
) {
    let has = |kind: PointType| {
        (room.points.iter().enumerate()).any(|(entry, point)| point.kind == kind && left.points(index, entry) > 0)
    };
    for (entry, appliance) in room.appliances.iter().enumerate() {
        let appliance = &AppliancePlan { count: left.appliances(index, entry), ..appliance.clone() };
        if appliance.count == 0 {
            continue;
        }
        let kind = catalogue.appliance(appliance.kind);
        let circuit = if cooks_at_the_control(appliance.kind, has) { CircuitType::Cooker } else { kind.circuit };
        let own = circuit == CircuitType::Cooker || appliance.load.value() > kind.own_above_kw;
        if !own {
            on_sockets.push((index, appliance.clone()));
            continue;
        }
        place_appliance(index, room, circuit, appliance, buckets);
    }
}

/// Whether an appliance cooks on the circuit of a cooker: its room has a control, or a plate and no connection of its own kind.
fn cooks_at_the_control(appliance: ApplianceType, has: impl Fn(PointType) -> bool) -> bool {
    let plate = |own: PointType| has(PointType::CookerPlate) && !has(own);
    match appliance {
        ApplianceType::Oven => has(PointType::CookerControl) || plate(PointType::OvenPoint),
        ApplianceType::Hob => has(PointType::CookerControl) || plate(PointType::HobPoint),
        ApplianceType::Cooker => true,
        _ => false,
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
    let range = bucket(room.outbuilding, circuit, room.level, index, 0)
        ..=bucket(room.outbuilding, circuit, room.level, index, u32::MAX);
    let ones = std::iter::repeat_n(AppliancePlan { count: 1, ..appliance.clone() }, appliance.count as usize);
    let together = circuit == CircuitType::Cooker;
    if together && let Some((_, contents)) = buckets.range_mut(range.clone()).next() {
        contents.appliances.extend(ones);
        return;
    }
    // A circuit with points and no appliance yet is the one that was meant.
    let free: Vec<Bucket> = buckets
        .range(range.clone())
        .filter(|(_, contents)| contents.appliances.is_empty())
        .map(|(key, _)| *key)
        .take(appliance.count as usize)
        .collect();
    let next = buckets.range(range).next_back().map_or(0, |(key, _)| key.own.saturating_add(1));
    let further = (next..=u32::MAX).map(|own| if together { next } else { own });
    let further = further.map(|own| bucket(room.outbuilding, circuit, room.level, index, own));
    for (key, one) in free.into_iter().chain(further).zip(ones) {
        buckets.entry(key).or_default().appliances.push(one);
    }
}

/// Cuts a bucket into circuits that keep to the floor area and the number of points of their kind.
fn split(site: &Site, catalogue: &Catalogue, bucket: Bucket, contents: Contents, drafts: &mut Vec<CircuitDraft>) {
    let limits = limits(bucket.kind, catalogue);
    // Circuits of like size, rather than full ones and a rest.
    let all = points_of(&contents.members);
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

fn draft(site: &Site, bucket: Bucket, members: Vec<Member>) -> CircuitDraft {
    let room = if bucket.room == SHARED { members.first().map(|member| member.room) } else { Some(bucket.room) };
    CircuitDraft {
        kind: bucket.kind,
        name: name(site, bucket),
        members,
        appliances: Vec::new(),
        outbuilding: bucket.outbuilding,
        room,
        fixed: DesignerChoices::default(),
        id: None,
        reasons: Vec::new(),
    }
}

fn name(site: &Site, bucket: Bucket) -> String {
    let place = if let Some(building) = bucket.outbuilding {
        site.rooms[site.outbuildings[building].room].name.to_lowercase()
    } else if bucket.room != SHARED {
        site.rooms[bucket.room].name.to_lowercase()
    } else if bucket.level == i8::MIN {
        "kitchen and utility".to_owned()
    } else if bucket.level == OUT_OF_DOORS {
        "outside".to_owned()
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

fn number(drafts: &mut [CircuitDraft]) {
    if drafts.len() > 1 {
        for (index, draft) in drafts.iter_mut().enumerate() {
            draft.name = format!("{} {}", draft.name, index + 1);
        }
    }
}

/// Tells circuits of lights of one name apart.
fn number_lights(drafts: &mut [CircuitDraft]) {
    let mut named: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (index, draft) in drafts.iter().enumerate().filter(|(_, draft)| lighting::is_designed(draft)) {
        named.entry(draft.name.clone()).or_default().push(index);
    }
    for alike in named.into_values().filter(|alike| alike.len() > 1) {
        for (number, index) in (1_u32..).zip(alike) {
            drafts[index].name = format!("{} {number}", drafts[index].name);
        }
    }
}

/// Puts the circuits that a designer has fixed among the others, in the order of the chart.
fn keep(site: &Site, given: Vec<GivenPlan>, drafts: &mut Vec<CircuitDraft>) {
    for plan in given {
        let feed = |draft: &&mut CircuitDraft| {
            draft.kind == CircuitType::Distribution && draft.outbuilding == plan.outbuilding
        };
        if plan.kind == CircuitType::Distribution {
            let empty = !drafts.iter_mut().any(|mut draft| feed(&mut draft));
            if empty && let Some(room) = plan.room {
                // Nothing is recorded in the building, and yet the designer wants its feed.
                let place = bucket(plan.outbuilding, CircuitType::Distribution, 0, room, 0);
                drafts.push(draft(site, place, Vec::new()));
            }
            if let Some(draft) = drafts.iter_mut().find(feed) {
                draft.fixed = plan.fixed;
                draft.id = Some(plan.id);
                draft.name = plan.name.unwrap_or_else(|| std::mem::take(&mut draft.name));
            }
            continue;
        }
        let rooms: std::collections::BTreeSet<RoomIndex> = plan.members.iter().map(|member| member.room).collect();
        let level = plan.room.map_or(0, |room| site.rooms[room].level.max(0));
        let room = if rooms.len() > 1 { SHARED } else { plan.room.unwrap_or(SHARED) };
        let place = bucket(plan.outbuilding, plan.kind, level, room, 0);
        drafts.push(CircuitDraft {
            kind: plan.kind,
            name: plan.name.unwrap_or_else(|| match plan.room {
                Some(_) => name(site, place),
                None => format!("{}, kept", plan.kind.word().replace('-', " ")),
            }),
            members: plan.members,
            appliances: plan.appliances,
            outbuilding: plan.outbuilding,
            room: plan.room,
            fixed: plan.fixed,
            id: Some(plan.id),
            reasons: Vec::new(),
        });
    }
    drafts.sort_by_key(|draft| (draft.outbuilding, chart_order(draft.kind)));
}
