//! Ring or radial: sockets are laid out in each form that the rules allow, and the cheapest is taken.

use super::gather::Draft;
use super::sizing::{CableSize, Completing, asked_as_ring, run, stops};
use super::{FedFrom, proof};
use crate::catalogue::CircuitType;
use crate::money::Money;
use crate::quantities::{Amps, Metres, SquareMetres, SquareMillimetres};
use crate::routes::{Course, Run};
use crate::site::Site;
use crate::standards::{CableType, Standards};
use crate::told::Told;

/// A 20 A radial serves a storey of up to this. Source: On-Site Guide Table H1, from memory.
const RADIAL_20_AREA_MAX: SquareMetres = SquareMetres::new(50.0);
/// A 32 A radial serves up to this. Source: On-Site Guide Table H1, from memory.
const RADIAL_32_AREA_MAX: SquareMetres = SquareMetres::new(75.0);
/// Most points on a radial before a ring is the better form. Common practice, no source.
const RADIAL_POINTS_MAX: u64 = 24;
/// A 20 A radial in 2.5 mm2 drops 5 % at its end over this length. Source: derived from BS 7671 Table 4D5, 18 mV/A/m,
/// as in the reference table of standard final circuits (32.3 m derived, 33 m recalled).
const RADIAL_20_LENGTH_MAX: Metres = Metres::new(32.0);
/// A 32 A radial in 4 mm2 does so over this. Source: derived from BS 7671 Table 4D5, 11 mV/A/m: 32.7 m.
const RADIAL_32_LENGTH_MAX: Metres = Metres::new(32.7);
/// What each leg of a ring must carry wherever it lies. Source: BS 7671 433.1.204, from memory.
const RING_LEG: Amps = Amps::new(20.0);
const SMALL: Amps = Amps::new(20.0);
const LARGE: Amps = Amps::new(32.0);

/// The form of a circuit and how it runs.
pub(super) struct Laid {
    pub kind: CircuitType,
    pub run: Run,
    /// Device and cable, where they are not those that its kind usually has.
    pub sized: Option<(Amps, CableSize)>,
}

/// A way of wiring that is compared.
struct Way {
    name: &'static str,
    kind: CircuitType,
    metres: Metres,
    cable: CableSize,
    cost: Money,
    barred: Option<String>,
    sized: Option<(Amps, CableSize)>,
}

/// Chooses between a ring and radials of 20 and 32 A by what they cost; what bars a radial is said.
pub(super) fn form(draft: &Draft, fed_from: FedFrom, with: Completing<'_>, because: &mut Vec<String>) -> Laid {
    if draft.kind != CircuitType::Sockets {
        return Laid { kind: draft.kind, run: run(draft, draft.kind, fed_from, with), sized: None };
    }
    let as_radial = CircuitType::RadialSockets;
    if draft.outbuilding.is_some() {
        return Laid { kind: as_radial, run: run(draft, as_radial, fed_from, with), sized: None };
    }
    let stops = stops(draft, CircuitType::RingSockets, with);
    let mut forms = with.ways.forms(asked_as_ring(draft, fed_from, &stops, with));
    let nowhere = stops.is_empty();
    let ring =
        if nowhere { run(draft, CircuitType::RingSockets, fed_from, with) } else { forms.run(Course::Ring, true) };
    let radial = if nowhere { run(draft, as_radial, fed_from, with) } else { forms.compared(Course::Chain) };
    let ways = ways(draft, &ring, &radial, with);
    // Where two cost the same, the one with fewer ends to break open: radials first.
    let allowed = ways.iter().rev().filter(|way| way.barred.is_none());
    let Some(chosen) = allowed.min_by_key(|way| way.cost) else {
        return Laid { kind: CircuitType::RingSockets, run: ring, sized: None };
    };
    if with.told == Told::InWords {
        because.push(reason(chosen, &ways));
    }
    if chosen.kind == CircuitType::RingSockets {
        return Laid { kind: chosen.kind, run: ring, sized: None };
    }
    let run = if nowhere { radial } else { forms.run(Course::Chain, true) };
    Laid { kind: chosen.kind, run, sized: chosen.sized }
}

/// Why one of the ways was chosen: what each costs, and what bars the others.
fn reason(chosen: &Way, ways: &[Way]) -> String {
    let costs =
        |way: &Way| format!("{} {:.1} of {} mm2, {} laid", way.name, way.metres, way.cable.line_mm2(), way.cost);
    let compared = ways.iter().map(costs).collect::<Vec<_>>().join("; ");
    let barred: String =
        ways.iter().filter_map(|way| Some(format!("; {} is out: {}", way.name, way.barred.as_ref()?))).collect();
    format!("{}, the cheapest that may be: {compared}{barred}", chosen.name)
}

fn ways(draft: &Draft, ring: &Run, radial: &Run, with: Completing<'_>) -> [Way; 3] {
    let Completing { ways, cost, standards, .. } = with;
    let site = ways.site();
    let in_the_ring =
        bearing(RING_LEG, &[CableSize::Flat2_5, CableSize::Flat4, CableSize::Flat6], ring, site, standards);
    let in_the_small =
        bearing(SMALL, &[CableSize::Flat2_5, CableSize::Flat4, CableSize::Flat6], radial, site, standards);
    let large = CableSize::Flat4;
    [
        Way {
            name: "a ring",
            kind: CircuitType::RingSockets,
            metres: ring.metres,
            cable: in_the_ring,
            cost: cost(in_the_ring, ring),
            barred: None,
            sized: None,
        },
        Way {
            name: "a 32 A radial",
            kind: CircuitType::RadialSockets,
            metres: radial.metres,
            cable: large,
            cost: cost(large, radial),
            barred: barred_at_32_a(draft, radial, with),
            sized: Some((LARGE, large)),
        },
        Way {
            name: "a 20 A radial",
            kind: CircuitType::RadialSockets,
            metres: radial.metres,
            cable: in_the_small,
            cost: cost(in_the_small, radial),
            barred: barred_at_20_a(draft, radial, with),
            sized: None,
        },
    ]
}

/// The smallest of the cables that carries so much where it lies; the largest where none does, for the checks to judge.
fn bearing(amps: Amps, sizes: &[CableSize], run: &Run, site: &Site, standards: &Standards) -> CableSize {
    let bears = |size: &&CableSize| carried(**size, run, site, standards).is_some_and(|carried| carried >= amps);
    *sizes.iter().find(bears).unwrap_or(&sizes[sizes.len() - 1])
}

fn carried(size: CableSize, run: &Run, site: &Site, standards: &Standards) -> Option<Amps> {
    let line = SquareMillimetres::new(size.line_mm2());
    standards.capacity(CableType::FlatTwinAndEarth70, proof::method_along(run, site), line).ok()
}

/// Why sockets may not be wired as one 20 A radial.
fn barred_at_20_a(draft: &Draft, radial: &Run, with: Completing<'_>) -> Option<String> {
    let Completing { ways, catalogue, told, .. } = with;
    let site = ways.site();
    let kitchen =
        rooms(draft).iter().any(|room| catalogue.room_use(site.rooms[*room].room_use).sockets_with == "kitchen");
    if kitchen {
        return Some("a kitchen's load is above 20 A".to_owned());
    }
    too_large(draft, radial, site, told, (RADIAL_20_AREA_MAX, RADIAL_20_LENGTH_MAX))
}

/// Why sockets may not be wired as one 32 A radial in 4 mm2.
fn barred_at_32_a(draft: &Draft, radial: &Run, with: Completing<'_>) -> Option<String> {
    let Completing { ways, standards, told, .. } = with;
    let site = ways.site();
    if draft.fixed.device.is_some_and(|device| device.rating != LARGE) {
        return Some("another device was given".to_owned());
    }
    let carried = carried(CableSize::Flat4, radial, site, standards);
    if let Some(carried) = carried.filter(|carried| *carried < LARGE) {
        let method = proof::method_along(radial, site);
        return Some(told.put(format_args!("4 mm2 carries {carried:.0} where it lies (method {method})")));
    }
    too_large(draft, radial, site, told, (RADIAL_32_AREA_MAX, RADIAL_32_LENGTH_MAX))
}

fn too_large(
    draft: &Draft,
    radial: &Run,
    site: &Site,
    told: Told,
    (area_max, length_max): (SquareMetres, Metres),
) -> Option<String> {
    let area: SquareMetres = rooms(draft).iter().map(|room| site.rooms[*room].area).sum();
    let points: u64 = draft.members.iter().map(|member| u64::from(member.count)).sum();
    if area > area_max {
        Some(told.put(format_args!("{area:.0} of floor is above its {area_max:.0}")))
    } else if points > RADIAL_POINTS_MAX {
        Some(told.put(format_args!("{points} points are above its {RADIAL_POINTS_MAX}")))
    } else if radial.far_end > length_max {
        Some(told.put(format_args!("its far end would be {:.0} away, above {length_max:.0}", radial.far_end)))
    } else {
        None
    }
}

fn rooms(draft: &Draft) -> Vec<usize> {
    let mut rooms: Vec<usize> = draft.members.iter().map(|member| member.room).collect();
    rooms.dedup();
    rooms
}
