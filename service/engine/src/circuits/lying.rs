//! How each stretch of a circuit's cable lies, and which stretch governs what the cable carries.
//!
//! A cable is rated where it lies: by the reference method of each stretch, insulation round it and the cables beside it.
//! Left out of account, as everybody does (common practice, no source): the two cables of one circuit in the drop to a
//! point, the first metre at the board, and cables fished one by one through a closed void, each on a line of its own.

use crate::catalogue::{CableSize, CircuitType};
use crate::checks::{CableRating, InstallationConditions};
use crate::quantities::{Amps, SquareMillimetres};
use crate::routes::limits::JOIST_DEPTH_MM;
use crate::routes::{PlacedSegment, Run, Segment};
use crate::site::{Patches, RoomIndex, RoomPlan, Site};
use crate::standards::{CableGrouping, ReferenceMethod, Standards};
use crate::survey::{Insulation, Medium};
use crate::unit_rates::Void;

use super::CircuitPlan;

/// Insulation up to this depth over a ceiling is method 100, more is method 101. Source: BS 7671 Table 4D5, heads of its
/// columns, seen at second hand.
const METHOD_100_UP_TO_MM: f64 = 100.0;
/// What each leg of a ring must carry wherever it lies, after all factors. Source: BS 7671 433.1.204, from memory.
pub(super) const RING_LEG: Amps = Amps::new(20.0);

/// How a stretch of cable lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lying {
    /// The way that it goes.
    pub medium: Medium,
    /// The room; absent outside rooms.
    pub room: Option<RoomIndex>,
    /// Its reference method.
    pub method: ReferenceMethod,
    /// How much of it is wholly surrounded by insulation, in mm.
    pub insulation_mm: f64,
    /// Loaded cables that lie together, itself with them.
    pub cables: u32,
    /// How they lie together.
    pub grouping: CableGrouping,
    /// Whether two of them may be overloaded at once.
    pub overloaded_together: bool,
}

impl Lying {
    /// A stretch that lies by itself.
    #[must_use]
    pub const fn alone(medium: Medium, room: Option<RoomIndex>, method: ReferenceMethod) -> Self {
        let grouping = CableGrouping::Bunched;
        Self { medium, room, method, insulation_mm: 0.0, cables: 1, grouping, overloaded_together: true }
    }

    /// The same as a circuit check asks for it.
    #[must_use]
    pub fn conditions(&self) -> InstallationConditions {
        let together = self.cables > 1;
        InstallationConditions {
            grouped_circuits: Some(self.cables),
            grouping: together.then_some(self.grouping),
            simultaneous_overload: (together && !self.overloaded_together).then_some(false),
            insulation_mm: (self.insulation_mm > 0.0).then_some(self.insulation_mm),
            ..InstallationConditions::by(self.method)
        }
    }

    /// What a cable carries that lies so; absent where the tables have no figure for it.
    #[must_use]
    pub fn rating(&self, cable: CableSize, standards: &Standards) -> Option<CableRating> {
        let line = SquareMillimetres::new(cable.line_mm2());
        CableRating::of(standards, cable.cable_type(), line, &self.conditions()).ok()
    }
}

/// What a circuit asks of its cable.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked {
    /// Whether it is a ring, each leg of which carries 20 A.
    pub ring: bool,
    /// Its device.
    pub device: Amps,
    /// Its design current.
    pub ib: Amps,
}

impl Asked {
    pub fn of(circuit: &CircuitPlan) -> Self {
        Self { ring: circuit.ring, device: circuit.device.rating, ib: circuit.design_current }
    }

    /// Whether a cable that is rated so bears it.
    pub fn is_borne(&self, lying: &Lying, rating: &CableRating) -> bool {
        if self.ring {
            return rating.iz() >= RING_LEG;
        }
        rating.largest_device(self.ib, !lying.overloaded_together) >= self.device
    }
}

/// The stretch that governs a cable: the one that carries least, or the first that does not bear what is asked.
pub(super) fn governing<'l>(
    lies: &'l [Lying],
    asked: &Asked,
    cable: CableSize,
    standards: &Standards,
) -> Option<&'l Lying> {
    let rated = lies.iter().filter_map(|lying| Some((lying, lying.rating(cable, standards)?)));
    let key = |(lying, rating): &(&Lying, CableRating)| (asked.is_borne(lying, rating), rating.iz().value());
    let least = rated.min_by(|one, other| {
        let (one, other) = (key(one), key(other));
        one.0.cmp(&other.0).then(one.1.total_cmp(&other.1))
    });
    least.map(|(lying, _)| lying)
}

/// Whether a cable bears what is asked along its whole length.
pub(super) fn is_borne(lies: &[Lying], asked: &Asked, cable: CableSize, standards: &Standards) -> bool {
    lies.iter().all(|lying| lying.rating(cable, standards).is_some_and(|rating| asked.is_borne(lying, &rating)))
}

/// A house with what lies over its rooms, for telling the insulation that a cable lies in.
pub(super) struct Fabric<'a> {
    site: &'a Site,
    /// Only where a ceiling under another storey is insulated.
    patches: Option<Patches>,
}

impl<'a> Fabric<'a> {
    pub fn of(site: &'a Site) -> Self {
        let insulated = site.rooms.iter().any(|room| room.insulation_mm > 0.0 && room.level < site.top_level);
        Self { site, patches: insulated.then(|| Patches::of(site)) }
    }

    /// How the cable of a run lies, each way of lying once. Armoured cable is in the ground in a trench, and clipped
    /// elsewhere.
    pub fn lies(&self, run: &Run, armoured: bool) -> Vec<Lying> {
        let mut lies: Vec<Lying> = Vec::new();
        let mut add = |lying: Lying| {
            let same = |known: &&mut Lying| {
                (known.medium, known.room, known.method) == (lying.medium, lying.room, lying.method)
            };
            match lies.iter_mut().find(same) {
                Some(known) => known.insulation_mm = known.insulation_mm.max(lying.insulation_mm),
                None => lies.push(lying),
            }
        };
        if armoured {
            run.segments.iter().for_each(|segment| add(as_armoured_lies(segment)));
        } else if run.placed.is_empty() {
            run.segments.iter().for_each(|segment| add(self.as_it_lies(segment, None)));
        } else {
            run.placed.iter().for_each(|placed| add(self.of_placed(placed, false)));
        }
        lies
    }

    /// How a stretch on the map lies.
    pub fn of_placed(&self, placed: &PlacedSegment, armoured: bool) -> Lying {
        let segment = &placed.segment;
        if armoured {
            return as_armoured_lies(segment);
        }
        let own = segment.room.map(|room| &self.site.rooms[room]);
        // Of a void under a floor the insulation is that of the room below it.
        let below = placed.waypoints.get(placed.waypoints.len() / 2).filter(|place| {
            matches!(segment.medium, Medium::CeilingVoid | Medium::FloorVoid)
                && own.is_some_and(|own| place.level < own.level)
        });
        let below = below.map(|place| {
            let under =
                self.patches.as_ref().and_then(|patches| patches.room_at(&self.site.rooms, place.level, place.at));
            under.map_or(0.0, |under| self.site.rooms[under].insulation_mm)
        });
        // Through holes on the centre line of the joists it lies above what does not reach so high.
        let centre_mm = own.and_then(|own| own.joist_depth_mm).unwrap_or(JOIST_DEPTH_MM) / 2.0;
        let touches = |insulation_mm: &f64| segment.void != Void::Joists || *insulation_mm > centre_mm;
        self.as_it_lies(segment, below.map(|insulation_mm| Some(insulation_mm).filter(touches).unwrap_or(0.0)))
    }

    /// How a stretch of flat cable lies; `insulation_mm` over the ceiling, where it is not that of its own room.
    fn as_it_lies(&self, segment: &Segment, insulation_mm: Option<f64>) -> Lying {
        let room = segment.room.map(|room| &self.site.rooms[room]);
        let own_mm = room.map_or(0.0, |room| room.insulation_mm);
        let lies = |method| Lying::alone(segment.medium, segment.room, method);
        match segment.medium {
            _ if segment.void == Void::Trunking => lies(ReferenceMethod::B),
            Medium::MiniTrunking | Medium::SkirtingTrunking | Medium::SurfaceConduit | Medium::DuctOrRiser => {
                lies(ReferenceMethod::B)
            }
            // Clipped to timber above the insulation.
            Medium::Loft if segment.void == Void::Surface => lies(ReferenceMethod::C),
            Medium::Loft if own_mm > 0.0 && room.is_some_and(|room| room.insulation_layers > 1) => {
                let surrounded_mm = segment.metres.value() * 1_000.0;
                Lying { insulation_mm: surrounded_mm, ..lies(ReferenceMethod::C) }
            }
            Medium::Loft => lies(over_a_ceiling(own_mm, segment.void)),
            Medium::CeilingVoid => lies(over_a_ceiling(insulation_mm.unwrap_or(own_mm), segment.void)),
            Medium::FloorVoid => lies(over_a_ceiling(insulation_mm.unwrap_or(0.0), segment.void)),
            Medium::StudCavity => lies(in_a_stud_wall(room)),
            Medium::DryLiningGap => lies(behind_a_lining(room)),
            Medium::CrawlSpace
            | Medium::CellarSoffit
            | Medium::WallChase
            | Medium::SurfaceClipped
            | Medium::Screed
            | Medium::ExternalWall
            | Medium::Trench
            | Medium::DuctInGround
            | Medium::OverheadSpan => lies(ReferenceMethod::C),
        }
    }
}

fn as_armoured_lies(segment: &Segment) -> Lying {
    let buried = segment.medium == Medium::Trench;
    let method = if buried { ReferenceMethod::D } else { ReferenceMethod::C };
    Lying::alone(segment.medium, segment.room, method)
}

/// Over a ceiling or through joists: touching board or joist under insulation, else clipped to timber, or loose where it was
/// fished.
fn over_a_ceiling(insulation_mm: f64, void: Void) -> ReferenceMethod {
    match void {
        _ if insulation_mm > METHOD_100_UP_TO_MM => ReferenceMethod::M101,
        _ if insulation_mm > 0.0 => ReferenceMethod::M100,
        Void::Closed => ReferenceMethod::B,
        Void::Open | Void::Joists | Void::Surface | Void::Trunking => ReferenceMethod::C,
    }
}

/// In a stud wall: nothing holds a fished cable to the inner face of an insulated one; an empty one is a void in which it
/// lies loose. Where nobody looked and its age does not make it empty, the cable is taken as touching the face of an insulated
/// wall, which carries less than the void.
fn in_a_stud_wall(room: Option<&RoomPlan>) -> ReferenceMethod {
    match room.and_then(|room| room.wall_insulation) {
        Some(Insulation::None) => ReferenceMethod::B,
        None => ReferenceMethod::M102,
        Some(_) => ReferenceMethod::M103,
    }
}

/// Behind a lining: loose in the gap, or in the insulation that fills it.
fn behind_a_lining(room: Option<&RoomPlan>) -> ReferenceMethod {
    match room.and_then(|room| room.wall_insulation) {
        Some(Insulation::None) | None => ReferenceMethod::B,
        Some(_) => ReferenceMethod::M103,
    }
}

/// How a circuit's cable lies by itself: by the method that a designer has given, else along its run; in the open where
/// nothing is laid, and in the ground where a feed stays.
pub(super) fn by_itself(circuit: &CircuitPlan, fabric: &Fabric<'_>) -> Vec<Lying> {
    if let Some(given) = circuit.fixed.method {
        return vec![Lying::alone(Medium::SurfaceClipped, None, given)];
    }
    if super::feeds::is_kept(circuit) {
        let buried = circuit.cable.is_armoured();
        let medium = if buried { Medium::Trench } else { Medium::SurfaceClipped };
        return vec![Lying::alone(medium, None, if buried { ReferenceMethod::D } else { ReferenceMethod::C })];
    }
    let lies = fabric.lies(&circuit.run, circuit.cable.is_armoured());
    if lies.is_empty() {
        let method = if circuit.kind == CircuitType::Distribution { ReferenceMethod::D } else { ReferenceMethod::C };
        let method = if circuit.cable.is_armoured() { method } else { ReferenceMethod::C };
        return vec![Lying::alone(Medium::SurfaceClipped, None, method)];
    }
    lies
}

#[cfg(test)]
mod tests {
    use std::sync::LazyLock;

    use proptest::prelude::*;

    use super::*;
    use crate::catalogue::{CableMake, Catalogue};

    const METHODS: [ReferenceMethod; 6] = [
        ReferenceMethod::B,
        ReferenceMethod::C,
        ReferenceMethod::M100,
        ReferenceMethod::M101,
        ReferenceMethod::M102,
        ReferenceMethod::M103,
    ];

    static CATALOGUE: LazyLock<Catalogue> = LazyLock::new(Catalogue::built_in);
    static STANDARDS: LazyLock<Standards> = LazyLock::new(Standards::built_in);

    fn stretch() -> impl Strategy<Value = Lying> {
        (0..METHODS.len(), 1..8_u32, 0..3_usize, any::<bool>()).prop_map(|(method, cables, filled, together)| Lying {
            insulation_mm: [0.0, 100.0, 600.0][filled],
            cables,
            overloaded_together: together,
            ..Lying::alone(Medium::CeilingVoid, None, METHODS[method])
        })
    }

    proptest! {
        #[test]
        fn a_stretch_more_never_lets_a_cable_carry_more(
            lies in prop::collection::vec(stretch(), 1..6), one_more in stretch(), ring in any::<bool>(), ib in 2.0..40.0,
        ) {
            let (catalogue, standards): (&Catalogue, &Standards) = (&CATALOGUE, &STANDARDS);
            let asked = Asked { ring, device: Amps::new(20.0), ib: Amps::new(ib) };
            let longer: Vec<Lying> = lies.iter().copied().chain([one_more]).collect();
            for cable in catalogue.cables().laid(CableMake::Flat) {
                let bears = |lies: &[Lying]| {
                    let governs = governing(lies, &asked, cable, standards).expect("flat cable lies so");
                    let rating = governs.rating(cable, standards).expect("it is in the tables");
                    (is_borne(lies, &asked, cable, standards), rating.iz().value())
                };
                let (before, after) = (bears(&lies), bears(&longer));
                prop_assert!(before.0 || !after.0, "{lies:?} and {one_more:?}");
                // What is shown of a cable that does not bear its circuit is the stretch that it fails in.
                prop_assert!(before.0 != after.0 || after.1 <= before.1, "{before:?}, {after:?}: {lies:?} and {one_more:?}");
            }
        }
    }
}
