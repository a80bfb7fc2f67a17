//! Which cables share a hole, and over how many holes they are spread so that none carries too little.
//!
//! Walked from the runs: every cable of every circuit through each drilled wall, slab, corner and joist. A ring's two legs
//! are two cables. One expected to carry at most 0.3 of its grouped rating is left out when the others are rated
//! (BS 7671 523.5 and the notes of Table 4C1, seen). Holes are as few as let every cable keep its size, unless a larger
//! cable costs less than the holes; runs clipped in the open lie apart and are no group (spacing: notes of Table 4C1).

use std::collections::{BTreeMap, BTreeSet};

use super::lying::{Asked, Fabric, Lying, RING_LEG, is_borne};
use super::shared::{SharedPlace, SharedWay, crossed, holes_of_a_joist, through_joists};
use super::{CircuitIndex, CircuitPlan, CircuitReason, LargerBecause, count, run_cost};
use crate::catalogue::{BuildingLimitName, CableMake, CableSize, Catalogue};
use crate::context::Context;
use crate::money::{Money, decimal};
use crate::routes::{Opening, Routing};
use crate::site::Site;
use crate::standards::{CableGrouping, ReferenceMethod, Standards};
use crate::survey::Medium;
use crate::unit_rates::{Conditions, Void, is_chased};
use crate::work::{WorkBudget, WorkPart};

/// A cable expected to carry at most this share of its grouped rating is left out. Source: BS 7671 523.5, seen.
const LIGHTLY_LOADED: f64 = 0.3;
/// What a cable in a hole takes to be rated among those beside it, in steps of work.
const STEPS_OF_A_CABLE: u64 = 14;
/// From the void below a wall into the void above it: two plates.
const PLATES: f64 = 2.0;

/// What cables share, by what was opened.
pub type SharedWays = BTreeMap<Opening, SharedWay>;

/// Shares the holes out: says of each circuit how its cables lie in them, and takes a larger cable where that is cheaper
/// than holes. Nothing where nothing was drawn. Work: every cable in every hole once for each number that a hole may take.
pub(super) fn share(
    circuits: &mut [CircuitPlan],
    fabric: &Fabric<'_>,
    ways: &Routing<'_>,
    context: Context<'_>,
) -> SharedWays {
    if ways.network().is_none() {
        return SharedWays::new();
    }
    let site = ways.site();
    let outlets = circuits.iter().map(|circuit| circuit.has_outlets(site)).collect();
    let mut sharing = Sharing {
        standards: context.standards,
        work: context.work,
        outlets,
        shared: walked(circuits, fabric, site, context.catalogue),
    };
    for (opening, way) in &mut sharing.shared {
        way.put_together();
        way.money_of_one = one_more(*opening, ways, context);
    }
    sharing.settle(circuits);
    for index in 0..circuits.len() {
        if !context.work.goes_on() {
            break;
        }
        sharing.enlarge_where_cheaper(index, circuits, ways, context);
    }
    for (index, circuit) in circuits.iter_mut().enumerate() {
        // A designer's method stands for the whole way of a cable.
        if circuit.fixed.method.is_none() {
            circuit.lies.extend(sharing.lies(index));
        }
    }
    sharing.shared
}

/// What one more hole costs.
fn one_more(opening: Opening, ways: &Routing<'_>, context: Context<'_>) -> f64 {
    let Some(network) = ways.network() else { return 0.0 };
    let prices = |room: usize| network.prices.room(room);
    match opening {
        Opening::Floor(room) => {
            let workbook = context.workbook;
            let conditions = Conditions { room: Some(room), ..Conditions::HOUSE };
            let hours = ways.factors().hours_of_one(workbook.operations.drill_joist, &conditions, workbook);
            hours * workbook.sheet.terms.labour_rate.approximate()
        }
        Opening::Riser { room, metres_mm, .. } if is_chased(ways.site().rooms[room].wall) => {
            prices(room).chase[1].money * f64::from(metres_mm) / 1_000.0
        }
        Opening::Riser { room, .. } => prices(room).drill.money * PLATES,
        Opening::Slab { room, .. } => prices(room).slab_hole.money,
        Opening::Wall { room, .. } | Opening::Outside(room) => prices(room).hole.money,
        Opening::Storey(_) => 0.0,
    }
}

/// Every cable in every hole.
fn walked(circuits: &[CircuitPlan], fabric: &Fabric<'_>, site: &Site, catalogue: &Catalogue) -> SharedWays {
    let mut shared = SharedWays::new();
    for (index, circuit) in circuits.iter().enumerate() {
        let lies: Vec<Lying> =
            circuit.run.placed.iter().map(|placed| fabric.of_placed(placed, circuit.cable.is_armoured())).collect();
        for passing in &circuit.run.passes {
            let Some(empty) = through(passing.opening, site, catalogue) else { continue };
            // Up a corner the stretch in it; through a wall those on both sides.
            let up_a_corner = matches!(passing.opening, Opening::Riser { .. });
            let before = if up_a_corner { passing.first } else { passing.first.saturating_sub(1) };
            let beside = before.min(lies.len())..(passing.first + 1).min(lies.len());
            let way = shared.entry(passing.opening).or_insert(empty);
            let lying = match way.grouping {
                // Side by side in a chase, whatever they come from.
                CableGrouping::SingleLayer => {
                    let here = lies.get(passing.first).map_or(on_either_side(&lies[beside.clone()]), |lying| *lying);
                    Lying::alone(here.medium, here.room, ReferenceMethod::C)
                }
                _ => on_either_side(&lies[beside]),
            };
            way.put(0, 0, (index, Lying { grouping: way.grouping, ..lying }));
        }
        for (placed, lying) in circuit.run.placed.iter().zip(&lies) {
            let (Void::Joists, Some(room)) = (placed.segment.void, placed.segment.room) else { continue };
            let Some(empty) = through(Opening::Floor(room), site, catalogue) else { continue };
            let way = shared.entry(Opening::Floor(room)).or_insert(empty);
            let plan = &site.rooms[room];
            let per_m = catalogue.floor(plan.floor).joists_per_m;
            through_joists(plan, if per_m > 0.0 { 1.0 / per_m } else { 0.0 }, &placed.waypoints, way, (index, *lying));
        }
    }
    shared
}

/// On either side of a hole a bunch lies as the worse of the two stretches does.
fn on_either_side(lies: &[Lying]) -> Lying {
    let in_the_wall = Lying::alone(Medium::SurfaceClipped, None, ReferenceMethod::C);
    lies.iter().max_by_key(|lying| onerous(lying.method)).copied().unwrap_or(in_the_wall)
}

/// How onerous a method is for flat cable: the less it lets a cable carry, the more.
const fn onerous(method: ReferenceMethod) -> u8 {
    match method {
        ReferenceMethod::M103 => 6,
        ReferenceMethod::M101 => 5,
        ReferenceMethod::A => 4,
        ReferenceMethod::M100 | ReferenceMethod::M102 => 3,
        ReferenceMethod::B => 2,
        ReferenceMethod::C | ReferenceMethod::D | ReferenceMethod::E => 1,
    }
}

/// What was opened, with no cable in it; nothing where cables are clipped apart.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few cables")]
fn through(opening: Opening, site: &Site, catalogue: &Catalogue) -> Option<SharedWay> {
    let most = |name| (catalogue.building_limit(name).value as u32).max(1);
    let bunched = CableGrouping::Bunched;
    Some(match opening {
        Opening::Floor(room) => {
            let room = &site.rooms[room];
            let way = SharedWay::empty(bunched, most(BuildingLimitName::JoistHoleCables), crossed(room.joists).len());
            SharedWay { holes_max: Some(holes_of_a_joist(room, catalogue)), ..way }
        }
        Opening::Riser { room, .. } if site.rooms[room].surface => return None,
        Opening::Riser { room, .. } if is_chased(site.rooms[room].wall) => {
            SharedWay::empty(CableGrouping::SingleLayer, most(BuildingLimitName::ChaseCables), 1)
        }
        Opening::Riser { .. } => SharedWay::empty(bunched, most(BuildingLimitName::JoistHoleCables), 1),
        Opening::Wall { .. } | Opening::Outside(_) | Opening::Slab { .. } => {
            SharedWay::empty(bunched, most(BuildingLimitName::WallHoleCables), 1)
        }
        Opening::Storey(_) => return None,
    })
}

struct Sharing<'a> {
    standards: &'a Standards,
    work: &'a WorkBudget,
    /// Of each circuit whether anything may be plugged in, so that it may be overloaded.
    outlets: Vec<bool>,
    shared: SharedWays,
}

/// How holes are filled: cables in one at most, loaded ones among them, and circuits whose cables have holes of their own.
#[derive(Debug, Clone, PartialEq, Eq)]
struct HoleFilling {
    all: u32,
    loaded: u32,
    alone: BTreeSet<CircuitIndex>,
}

/// What comes of filling the holes of a way so.
struct Filled {
    filling: HoleFilling,
    holes: f64,
    /// Holes of the place that has most.
    holes_of_one: u32,
    /// Of each circuit how its cables lie where most of them lie together.
    lies: BTreeMap<CircuitIndex, Lying>,
}

impl HoleFilling {
    fn of(way: &SharedWay, loaded: u32) -> Self {
        Self { all: way.most_in_one, loaded, alone: BTreeSet::new() }
    }
}

impl Sharing<'_> {
    /// Puts as many cables in each hole as leave every circuit its size.
    fn settle(&mut self, circuits: &[CircuitPlan]) {
        let settled: Vec<Filled> = self.shared.values().map(|way| self.settled(way, circuits, None)).collect();
        let for_room: Vec<f64> = self
            .shared
            .values()
            .map(|way| self.filled(way, HoleFilling::of(way, way.most_in_one), circuits).holes)
            .collect();
        for ((way, filled), for_room) in self.shared.values_mut().zip(settled).zip(for_room) {
            way.holes_for_room = for_room;
            fill(way, filled);
        }
    }

    /// The fewest holes with which every circuit keeps its size, each number of loaded cables in one tried, with a hole of
    /// its own for what does not bear so many beside it; `instead` is a circuit with another cable.
    fn settled(&self, way: &SharedWay, circuits: &[CircuitPlan], instead: Option<(CircuitIndex, CableSize)>) -> Filled {
        let borne = |index: CircuitIndex, lying: Lying| {
            let circuit = &circuits[index];
            let size = instead.filter(|(other, _)| *other == index).map_or(circuit.cable, |(_, cable)| cable);
            is_borne(&[lying], &Asked::of(circuit), size, self.standards)
        };
        let wants_its_own = |(index, lying): (&CircuitIndex, &Lying)| {
            let fixed = &circuits[*index].fixed;
            let free = fixed.cable.is_none() && fixed.method.is_none();
            // What a cable does not bear by itself no hole mends.
            (free && !borne(*index, *lying) && borne(*index, Lying { cables: 1, ..*lying })).then_some(*index)
        };
        let tried = (1..=way.most_in_one).map(|loaded| {
            let filled = self.filled(way, HoleFilling::of(way, loaded), circuits);
            let alone: BTreeSet<CircuitIndex> = filled.lies.iter().filter_map(wants_its_own).collect();
            if alone.is_empty() { filled } else { self.filled(way, HoleFilling { alone, ..filled.filling }, circuits) }
        });
        let too_many = |filled: &Filled| way.holes_max.is_some_and(|most| filled.holes_of_one > most);
        let fewest =
            tried.min_by(|one, other| too_many(one).cmp(&too_many(other)).then(one.holes.total_cmp(&other.holes)));
        fewest.unwrap_or_else(|| self.filled(way, HoleFilling::of(way, 1), circuits))
    }

    /// Fills the holes of a way.
    fn filled(&self, way: &SharedWay, filling: HoleFilling, circuits: &[CircuitPlan]) -> Filled {
        let mut lies: BTreeMap<CircuitIndex, Lying> = BTreeMap::new();
        let (mut holes, mut holes_of_one) = (0.0, 0);
        for place in way.places.iter().flatten() {
            if !self.work.spend(WorkPart::Circuits, place.cables.len() as u64 * STEPS_OF_A_CABLE) {
                break;
            }
            let (of_place, cables) = self.of_place(place, &filling, circuits);
            holes += f64::from(of_place * place.times);
            holes_of_one = holes_of_one.max(of_place);
            for (index, lying) in cables {
                let known = lies.entry(index).or_insert(lying);
                if (lying.cables, onerous(lying.method)) > (known.cables, onerous(known.method)) {
                    *known = lying;
                }
            }
        }
        // Where the joists' direction is not known, those of both halved.
        let directions = u32::try_from(way.places.len()).unwrap_or(1).max(1);
        Filled { filling, holes: (holes / f64::from(directions)).ceil(), holes_of_one, lies }
    }

    /// The holes of a place, and how each cable lies with those beside it: a loaded one among loaded ones, a lightly loaded
    /// one among all that are in its hole.
    fn of_place(
        &self,
        place: &SharedPlace,
        filling: &HoleFilling,
        circuits: &[CircuitPlan],
    ) -> (u32, Vec<(CircuitIndex, Lying)>) {
        let is_alone = |index: &CircuitIndex| filling.alone.contains(index);
        let alone = count(place.cables.iter().filter(|(index, _)| is_alone(index)));
        let sharing = place.count() - alone;
        let together = filling.all.min(sharing);
        let is_light = |index: CircuitIndex, lying: &Lying| {
            let circuit = &circuits[index];
            let carried = if circuit.ring { RING_LEG } else { circuit.design_current };
            let rating = Lying { cables: together, ..*lying }.rating(circuit.cable, self.standards);
            rating.is_some_and(|rating| carried <= rating.iz() * LIGHTLY_LOADED)
        };
        let cables: Vec<(CircuitIndex, Lying, bool)> =
            place.cables.iter().map(|(index, lying)| (*index, *lying, is_light(*index, lying))).collect();
        let heavy = || cables.iter().filter(|(index, _, light)| !light && !is_alone(index)).map(|(index, ..)| *index);
        let loaded = count(heavy());
        let holes = alone + sharing.div_ceil(filling.all).max(loaded.div_ceil(filling.loaded));
        // What is fixed to its circuit is never more than its plate; two circuits of outlets may be overloaded at once.
        let mut overloaded: Vec<CircuitIndex> = heavy().filter(|index| self.outlets[*index]).collect();
        overloaded.dedup();
        let overloaded_together = overloaded.len() > 1;
        let lies = cables.iter().map(|(index, lying, light)| {
            let cables = match light {
                _ if is_alone(index) => 1,
                true => together,
                false => filling.loaded.min(loaded),
            };
            (*index, Lying { cables: cables.max(1), overloaded_together, ..*lying })
        });
        (holes, lies.collect())
    }

    /// Takes the next larger cable of a circuit where that saves more in holes than it costs.
    fn enlarge_where_cheaper(
        &mut self,
        index: CircuitIndex,
        circuits: &mut [CircuitPlan],
        ways: &Routing<'_>,
        context: Context<'_>,
    ) {
        let circuit = &circuits[index];
        let spread = |way: &SharedWay| way.is_spread() && way.loaded.contains_key(&index);
        let free = circuit.fixed.cable.is_none() && circuit.cable.make() == CableMake::Flat;
        if !free || !self.shared.values().any(spread) {
            return;
        }
        let Some(next) = context.catalogue.cables().from_size(circuit.cable).nth(1) else { return };
        let spread = self.shared.iter().filter(|(_, way)| spread(way));
        let changed: Vec<(Opening, Filled)> = spread
            .map(|(opening, way)| (*opening, self.settled(way, circuits, Some((index, next)))))
            .filter(|(opening, filled)| filled.holes < self.shared[opening].holes)
            .collect();
        let saves = |(opening, filled): &(Opening, Filled)| {
            let way = &self.shared[opening];
            (way.holes - filled.holes) * way.money_of_one
        };
        let saved: f64 = changed.iter().map(saves).sum();
        let cost = |cable| run_cost(context.workbook, ways.factors(), cable, &circuit.run).approximate();
        let more = cost(next) - cost(circuit.cable);
        let taken = saved > more;
        for (opening, filled) in changed {
            let Some(way) = self.shared.get_mut(&opening) else { continue };
            if taken {
                fill(way, filled);
            } else {
                way.larger_cable_instead = Some(way.larger_cable_instead.map_or(more, |other| other.min(more)));
            }
        }
        if taken {
            let (saved, costs) = (Money::rounded(decimal(saved)), Money::rounded(decimal(more)));
            let (from_mm2, to_mm2) = (circuits[index].cable.line_mm2(), next.line_mm2());
            let why = LargerBecause::FewerHoles { saved, costs };
            circuits[index].reasons.push(CircuitReason::Larger { from_mm2, to_mm2, why });
            circuits[index].cable = next;
        }
    }

    /// How the cables of a circuit lie in what they share with others.
    fn lies(&self, index: CircuitIndex) -> impl Iterator<Item = Lying> + '_ {
        let shared = self.shared.values().filter_map(move |way| way.loaded.get(&index));
        shared.filter(|lying| lying.cables > 1).copied()
    }
}

/// Notes how the holes of a way are filled.
fn fill(way: &mut SharedWay, filled: Filled) {
    way.in_one = filled.filling.all;
    way.loaded_in_one = filled.filling.loaded;
    way.holes = filled.holes;
    way.alone = count(filled.filling.alone.iter());
    way.loaded = filled.lies;
}
