//! How many cables go in each hole of a way: every number of loaded ones in one hole is tried once, and kept to choose from.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::onerous;
use crate::catalogue::CableSize;
use crate::circuits::lying::{Asked, Lying, RING_LEG, is_borne};
use crate::circuits::shared::{SharedPlace, SharedWay};
use crate::circuits::{CircuitIndex, CircuitPlan, count};
use crate::standards::Standards;
use crate::work::{WorkBudget, WorkPart};

/// A cable expected to carry at most this share of its grouped rating is left out. Source: BS 7671 523.5, seen.
const LIGHTLY_LOADED: f64 = 0.3;
/// What a cable in a hole takes to be rated among those beside it, in steps of work.
const STEPS_OF_A_CABLE: u64 = 14;

/// What decides whether a cable bears those beside it.
pub(super) struct Bearing<'a> {
    pub standards: &'a Standards,
    pub work: &'a WorkBudget,
    /// Of each circuit whether anything may be plugged in, so that it may be overloaded.
    pub outlets: Vec<bool>,
}

/// How holes are filled: cables in one at most, loaded ones among them, and circuits whose cables have holes of their own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct HoleFilling {
    pub all: u32,
    pub loaded: u32,
    pub alone: BTreeSet<CircuitIndex>,
}

/// What comes of filling the holes of a way so.
#[derive(Debug, Clone)]
pub(super) struct Filled {
    pub filling: HoleFilling,
    pub holes: f64,
    /// Holes of the place that has most.
    pub holes_of_one: u32,
    /// Of each circuit how its cables lie where most of them lie together.
    pub lies: BTreeMap<CircuitIndex, Lying>,
}

/// A number of loaded cables in one hole.
struct Tried {
    /// How cables lie where none has a hole of its own.
    together: BTreeMap<CircuitIndex, Lying>,
    holes_together: f64,
    /// With a hole of its own for what does not bear so many beside it.
    filled: Filled,
}

/// How the holes of a way may be filled.
pub(super) struct Fillings {
    /// Of each cable of each place beside how many cables, itself with them, it is still lightly loaded.
    light_up_to: Vec<Vec<u32>>,
    /// From one loaded cable in a hole up to as many as it has room for.
    tried: Vec<Tried>,
}

impl Fillings {
    /// Tries each number of loaded cables in one hole, with a hole of its own for what does not bear so many beside it.
    pub fn of(way: &SharedWay, circuits: &[CircuitPlan], bearing: &Bearing<'_>) -> Self {
        let mut fillings = Self { light_up_to: bearing.light_up_to(way, circuits), tried: Vec::new() };
        for loaded in 1..=way.most_in_one {
            let together = HoleFilling { all: way.most_in_one, loaded, alone: BTreeSet::new() };
            let filled = fillings.filled(way, together, bearing);
            let own = |(index, lying): (&CircuitIndex, &Lying)| {
                let circuit = &circuits[*index];
                bearing.wants_its_own(circuit, circuit.cable, *lying).then_some(*index)
            };
            let alone: BTreeSet<CircuitIndex> = filled.lies.iter().filter_map(own).collect();
            let (together, holes_together) = (filled.lies.clone(), filled.holes);
            let filled = match alone.is_empty() {
                true => filled,
                false => fillings.filled(way, HoleFilling { alone, ..filled.filling }, bearing),
            };
            fillings.tried.push(Tried { together, holes_together, filled });
        }
        fillings
    }

    /// Holes that would do for room alone.
    pub fn holes_for_room(&self) -> f64 {
        self.tried.last().map_or(0.0, |tried| tried.holes_together)
    }

    /// The fewest holes with which every circuit keeps its size.
    pub fn fewest(&self, way: &SharedWay) -> Option<Filled> {
        fewest_of(way, self.tried.iter().map(|tried| Cow::Borrowed(&tried.filled)))
    }

    /// The same where a circuit has another cable.
    pub fn fewest_with(
        &self,
        way: &SharedWay,
        (index, cable): (CircuitIndex, CableSize),
        circuits: &[CircuitPlan],
        bearing: &Bearing<'_>,
    ) -> Option<Filled> {
        let tried = self.tried.iter().map(|tried| {
            let alone = &tried.filled.filling.alone;
            let lying = tried.together.get(&index);
            let wants = lying.is_some_and(|lying| bearing.wants_its_own(&circuits[index], cable, *lying));
            if wants == alone.contains(&index) {
                return Cow::Borrowed(&tried.filled);
            }
            let mut filling = tried.filled.filling.clone();
            let _ = if wants { filling.alone.insert(index) } else { filling.alone.remove(&index) };
            Cow::Owned(self.filled(way, filling, bearing))
        });
        fewest_of(way, tried)
    }

    /// Fills the holes of a way.
    fn filled(&self, way: &SharedWay, filling: HoleFilling, bearing: &Bearing<'_>) -> Filled {
        let mut lies: BTreeMap<CircuitIndex, Lying> = BTreeMap::new();
        let (mut holes, mut holes_of_one) = (0.0, 0);
        for (place, light_up_to) in way.places.iter().flatten().zip(&self.light_up_to) {
            if !bearing.work.spend(WorkPart::Circuits, place.cables.len() as u64 * STEPS_OF_A_CABLE) {
                break;
            }
            let of_place = bearing.of_place((place, light_up_to), &filling, &mut lies);
            holes += f64::from(of_place * place.times);
            holes_of_one = holes_of_one.max(of_place);
        }
        // Where the joists' direction is not known, those of both halved.
        let directions = u32::try_from(way.places.len()).unwrap_or(1).max(1);
        Filled { filling, holes: (holes / f64::from(directions)).ceil(), holes_of_one, lies }
    }
}

/// Of several fillings that with the fewest holes; what a joist has no room for only where nothing else is left.
fn fewest_of<'f>(way: &SharedWay, tried: impl Iterator<Item = Cow<'f, Filled>>) -> Option<Filled> {
    let too_many = |filled: &Filled| way.holes_max.is_some_and(|most| filled.holes_of_one > most);
    let fewest = tried.min_by(|one, other| too_many(one).cmp(&too_many(other)).then(one.holes.total_cmp(&other.holes)));
    fewest.map(Cow::into_owned)
}

impl Bearing<'_> {
    /// Of each cable of each place beside how many it is lightly loaded: more beside it never let it carry more.
    fn light_up_to(&self, way: &SharedWay, circuits: &[CircuitPlan]) -> Vec<Vec<u32>> {
        let mut known: Vec<((CircuitIndex, Lying), u32)> = Vec::new();
        let mut of_cable = |cable: &(CircuitIndex, Lying)| {
            if let Some((_, light)) = known.iter().find(|(other, _)| other == cable) {
                return *light;
            }
            let (index, lying) = *cable;
            let circuit = &circuits[index];
            let carried = if circuit.ring { RING_LEG } else { circuit.design_current };
            let is_light = |together: u32| {
                let rating = Lying { cables: together, ..lying }.rating(circuit.cable, self.standards);
                rating.is_some_and(|rating| carried <= rating.iz() * LIGHTLY_LOADED)
            };
            let light = match is_light(1) {
                true => (2..=way.most_in_one).rev().find(|together| is_light(*together)).unwrap_or(1),
                false => 0,
            };
            known.push((*cable, light));
            light
        };
        way.places.iter().flatten().map(|place| place.cables.iter().map(&mut of_cable).collect()).collect()
    }

    /// Whether a cable does not bear those beside it and would bear a hole of its own; what it does not bear by itself no
    /// hole mends.
    fn wants_its_own(&self, circuit: &CircuitPlan, cable: CableSize, lying: Lying) -> bool {
        let borne = |lying: Lying| is_borne(&[lying], &Asked::of(circuit), cable, self.standards);
        let free = circuit.fixed.cable.is_none() && circuit.fixed.method.is_none();
        free && !borne(lying) && borne(Lying { cables: 1, ..lying })
    }

    /// The holes of a place. Notes how each cable lies with those beside it, where more of them lie together than is known
    /// of it: a loaded one among loaded ones, a lightly loaded one among all that are in its hole.
    fn of_place(
        &self,
        (place, light_up_to): (&SharedPlace, &[u32]),
        filling: &HoleFilling,
        lies: &mut BTreeMap<CircuitIndex, Lying>,
    ) -> u32 {
        let is_alone = |index: &CircuitIndex| filling.alone.contains(index);
        let alone = count(place.cables.iter().filter(|(index, _)| is_alone(index)));
        let sharing = place.count() - alone;
        let together = filling.all.min(sharing);
        let cables =
            || place.cables.iter().zip(light_up_to).map(|((index, lying), up_to)| (*index, lying, together <= *up_to));
        let heavy = || cables().filter(|(index, _, light)| !light && !is_alone(index)).map(|(index, ..)| index);
        let loaded = count(heavy());
        // What is fixed to its circuit is never more than its plate; two circuits of outlets may be overloaded at once.
        let mut with_outlets = heavy().filter(|index| self.outlets[*index]);
        let first = with_outlets.next();
        let overloaded_together = with_outlets.any(|index| Some(index) != first);
        for (index, lying, light) in cables() {
            let cables = match light {
                _ if is_alone(&index) => 1,
                true => together,
                false => filling.loaded.min(loaded),
            };
            let lying = Lying { cables: cables.max(1), overloaded_together, ..*lying };
            let known = lies.entry(index).or_insert(lying);
            if (lying.cables, onerous(lying.method)) > (known.cables, onerous(known.method)) {
                *known = lying;
            }
        }
        alone + sharing.div_ceil(filling.all).max(loaded.div_ceil(filling.loaded))
    }
}
