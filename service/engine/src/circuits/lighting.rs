//! Which lights share a device: by storey, and by the way out of the house.
//!
//! At least two circuits of lights in a house; a hall and a landing are never on one device, and the lamps of a stair are on
//! that of the storey which it leads to, so that one fault does not darken both ends of it; a hall is not on one device
//! with a cellar or a garage. Habit of the trade; regulation 314.1 asks only that the loss of one circuit be thought of.

use std::collections::{BTreeMap, BTreeSet};

use super::gather::{CircuitDraft, circuit_in, is_out_of_doors, shared_level};
use super::given::Left;
use super::{CircuitReason, LightsShared};
use crate::catalogue::{Catalogue, CircuitType};
use crate::site::{RoomIndex, RoomPlan, Site};
use crate::survey::RoomUse;

/// The lights of a room share a circuit with those of the same group.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct LightGroup {
    /// The storey.
    pub level: i8,
    /// 0 for the side of the way out, 1 for what is apart from it.
    pub side: u32,
}

/// The groups of a house's lights.
#[derive(Debug, Default)]
pub(super) struct LightGroups {
    of_rooms: BTreeMap<RoomIndex, LightGroup>,
    reasons: BTreeMap<LightGroup, LightsShared>,
}

impl LightGroups {
    /// Groups the lit rooms of a house, each with the storey that its lights count to; `others` says whether lights of the
    /// house are on circuits that a designer has fixed.
    pub fn of(site: &Site, lit: &BTreeMap<RoomIndex, i8>, others: bool) -> Self {
        let mut groups = Self::default();
        let top = lit.values().copied().max().unwrap_or(0);
        for (room, level) in lit {
            groups.of_rooms.insert(*room, LightGroup { level: *level, side: 0 });
        }
        groups.part_landings_from_halls(site, top);
        groups.part_halls_from_cellars(site);
        groups.never_all_on_one(site, others);
        groups
    }

    /// The group of a room's lights.
    pub fn of_room(&self, room: RoomIndex) -> Option<LightGroup> {
        self.of_rooms.get(&room).copied()
    }

    /// Says of each circuit why its lights are apart from others.
    pub fn explain(&self, drafts: &mut [CircuitDraft]) {
        for draft in drafts.iter_mut().filter(|draft| is_designed(draft)) {
            let group = draft.members.first().and_then(|member| self.of_room(member.room));
            draft
                .reasons
                .extend(group.and_then(|group| self.reasons.get(&group)).map(|why| CircuitReason::Lights(*why)));
        }
    }

    fn rooms_of(&self, site: &Site, group: LightGroup, is: fn(&RoomPlan) -> bool) -> Vec<RoomIndex> {
        let of_group = self.of_rooms.iter().filter(|(_, of_room)| **of_room == group);
        of_group.map(|(room, _)| *room).filter(|room| is(&site.rooms[*room])).collect()
    }

    fn groups(&self) -> BTreeSet<LightGroup> {
        self.of_rooms.values().copied().collect()
    }

    /// A stair or landing on the storey of a hall counts to the storey above; where there is none, it is apart.
    fn part_landings_from_halls(&mut self, site: &Site, top: i8) {
        for group in self.groups() {
            let landings = self.rooms_of(site, group, |room| room.room_use == RoomUse::Landing);
            let halls = self.rooms_of(site, group, |room| room.room_use == RoomUse::Hall);
            if landings.is_empty() || halls.is_empty() {
                continue;
            }
            let above = self.groups().into_iter().find(|other| other.level > group.level);
            let upper = above.filter(|_| group.level < top).unwrap_or(LightGroup { side: 1, ..group });
            for room in landings {
                self.of_rooms.insert(room, upper);
            }
            self.reasons.insert(upper, LightsShared::StairApart);
        }
    }

    /// Cellar, garage, kitchen and utility are apart from the way out, where there is a cellar or a garage.
    fn part_halls_from_cellars(&mut self, site: &Site) {
        for group in self.groups() {
            let out = self.rooms_of(site, group, is_way_out);
            let cold = self.rooms_of(site, group, |room| matches!(room.room_use, RoomUse::Cellar | RoomUse::Garage));
            if out.is_empty() || cold.is_empty() {
                continue;
            }
            let apart = LightGroup { side: 1, ..group };
            for room in self.rooms_of(site, group, is_service_room) {
                self.of_rooms.insert(room, apart);
            }
            self.reasons.insert(apart, LightsShared::ServiceRoomsApart);
        }
    }

    /// Two circuits at least: the way out with the bedrooms, and the rooms that are lived in.
    fn never_all_on_one(&mut self, site: &Site, others: bool) {
        let groups: Vec<LightGroup> = self.groups().into_iter().collect();
        let (&[group], false, true) = (&groups[..], others, self.of_rooms.len() > 1) else { return };
        let apart = LightGroup { side: 1, ..group };
        let night = self.rooms_of(site, group, is_night_side);
        let rooms: Vec<RoomIndex> = self.of_rooms.keys().copied().collect();
        let by_use = !night.is_empty() && night.len() < rooms.len();
        let other: Vec<RoomIndex> = match by_use {
            true => rooms.into_iter().filter(|room| !night.contains(room)).collect(),
            false => rooms[rooms.len() / 2..].to_vec(),
        };
        for room in other {
            self.of_rooms.insert(room, apart);
        }
        for group in [group, apart] {
            self.reasons.insert(group, LightsShared::OnTwoCircuits);
        }
    }
}

/// The rooms of the house that have lights to be put on circuits, each with the storey that they count to.
pub(super) fn lit_rooms(site: &Site, catalogue: &Catalogue, left: &Left) -> BTreeMap<RoomIndex, i8> {
    let lit = |index: RoomIndex, room: &RoomPlan| {
        room.points.iter().enumerate().any(|(entry, point)| {
            let kind = catalogue.point(point.kind, point.gangs);
            left.points(index, entry) > 0
                && circuit_in(site, room, kind.circuit) == CircuitType::Lighting
                && !is_out_of_doors(room, kind.group)
        })
    };
    let rooms = site.rooms.iter().enumerate().filter(|(_, room)| room.outbuilding.is_none());
    let lit = rooms.filter(|(index, room)| lit(*index, room));
    lit.map(|(index, room)| (index, shared_level(room, CircuitType::Lighting, catalogue))).collect()
}

/// What is said where a designer has put all lights of the house on one circuit (regulation 314.1, from memory).
pub(super) fn say_of_all_on_one(site: &Site, catalogue: &Catalogue, drafts: &mut [CircuitDraft]) {
    let indoors = |draft: &CircuitDraft| {
        draft.members.iter().any(|member| {
            let room = &site.rooms[member.room];
            let point = &room.points[member.point];
            !is_out_of_doors(room, catalogue.point(point.kind, point.gangs).group)
        })
    };
    let house_lights = |draft: &&mut CircuitDraft| {
        draft.kind == CircuitType::Lighting && draft.outbuilding.is_none() && indoors(draft)
    };
    let mut lights: Vec<&mut CircuitDraft> = drafts.iter_mut().filter(house_lights).collect();
    if let [only] = &mut lights[..]
        && only.id.is_some()
    {
        only.reasons.push(CircuitReason::Lights(LightsShared::AllAsGiven));
    }
}

/// Whether a circuit is one of lights that no designer has fixed.
pub(super) fn is_designed(draft: &CircuitDraft) -> bool {
    draft.kind == CircuitType::Lighting && draft.id.is_none() && draft.outbuilding.is_none()
}

const fn is_way_out(room: &RoomPlan) -> bool {
    matches!(room.room_use, RoomUse::Hall | RoomUse::Landing)
}

const fn is_service_room(room: &RoomPlan) -> bool {
    matches!(
        room.room_use,
        RoomUse::Cellar | RoomUse::Garage | RoomUse::Kitchen | RoomUse::KitchenDiner | RoomUse::Utility
    )
}

const fn is_night_side(room: &RoomPlan) -> bool {
    matches!(
        room.room_use,
        RoomUse::Hall
            | RoomUse::Landing
            | RoomUse::Bedroom
            | RoomUse::Bathroom
            | RoomUse::Cloakroom
            | RoomUse::Loft
            | RoomUse::Store
    )
}
