//! Which cables share a hole, and over how many holes they are spread so that none carries too little.
//!
//! Walked from the runs: every cable of every circuit through each drilled wall, slab, corner and joist. A ring's two legs
//! are two cables. One expected to carry at most 0.3 of its grouped rating is left out when the others are rated
//! (BS 7671 523.5 and the notes of Table 4C1, seen). Holes are as few as let every cable keep its size, unless a larger
//! cable costs less than the holes; runs clipped in the open lie apart and are no group (spacing: notes of Table 4C1).

mod filling;

use std::collections::BTreeMap;

use self::filling::{Bearing, Filled, Fillings};
use super::lying::{Fabric, Lying};
use super::shared::{SharedWay, crossed, holes_of_a_joist, through_joists};
use super::{CircuitIndex, CircuitPlan, CircuitReason, LargerBecause, count, run_cost};
use crate::catalogue::{BuildingLimitName, CableMake, Catalogue};
use crate::context::Context;
use crate::money::{Money, decimal};
use crate::routes::{Opening, Routing};
use crate::site::Site;
use crate::standards::{CableGrouping, ReferenceMethod};
use crate::survey::Medium;
use crate::unit_rates::{Conditions, Void, is_chased};

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
        bearing: Bearing { standards: context.standards, work: context.work, outlets },
        shared: walked(circuits, fabric, site, context.catalogue),
        fillings: BTreeMap::new(),
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
    bearing: Bearing<'a>,
    shared: SharedWays,
    /// Of each way how its holes may be filled.
    fillings: BTreeMap<Opening, Fillings>,
}

impl Sharing<'_> {
    /// Puts as many cables in each hole as leave every circuit its size.
    fn settle(&mut self, circuits: &[CircuitPlan]) {
        for (opening, way) in &mut self.shared {
            let fillings = Fillings::of(way, circuits, &self.bearing);
            way.holes_for_room = fillings.holes_for_room();
            fill(way, fillings.fewest(way));
            self.fillings.insert(*opening, fillings);
        }
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
            .filter_map(|(opening, way)| {
                let filled = self.fillings.get(opening)?.fewest_with(way, (index, next), circuits, &self.bearing)?;
                (filled.holes < way.holes).then_some((*opening, filled))
            })
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
                fill(way, Some(filled));
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
            for (opening, way) in self.shared.iter().filter(|(_, way)| way.loaded.contains_key(&index)) {
                self.fillings.insert(*opening, Fillings::of(way, circuits, &self.bearing));
            }
        }
    }

    /// How the cables of a circuit lie in what they share with others.
    fn lies(&self, index: CircuitIndex) -> impl Iterator<Item = Lying> + '_ {
        let shared = self.shared.values().filter_map(move |way| way.loaded.get(&index));
        shared.filter(|lying| lying.cables > 1).copied()
    }
}

/// Notes how the holes of a way are filled.
fn fill(way: &mut SharedWay, filled: Option<Filled>) {
    let Some(filled) = filled else { return };
    way.in_one = filled.filling.all;
    way.loaded_in_one = filled.filling.loaded;
    way.holes = filled.holes;
    way.alone = count(filled.filling.alone.iter());
    way.loaded = filled.lies;
}
