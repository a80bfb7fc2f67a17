//! Ring or radial: sockets are laid out in each form that the rules allow, and the cheapest is taken.

use super::clear::{cheapest_bearing, clipped_clear};
use super::gather::CircuitDraft;
use super::lying::{Asked, Fabric, RING_LEG, governing};
use super::sizing::{asked_as_ring, run, stops};
use super::{Bar, CircuitReason, FedFrom, FormPriced, FormsCompared, SocketsForm, points_of};
use crate::catalogue::{CableMake, CableSize, Catalogue, CircuitType, SocketsWith};
use crate::context::Context;
use crate::money::Money;
use crate::quantities::{Amps, Metres, SquareMetres};
use crate::routes::{Routing, Run, Topology};
use crate::site::Site;

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
/// Lines of the cables that sockets are wired in. Common practice, no source.
const SOCKETS_MM2: std::ops::RangeInclusive<f64> = 2.5..=6.0;
/// Lines of a 32 A radial. Source: On-Site Guide Table H1, from memory.
const RADIAL_32_MM2: f64 = 4.0;
const SMALL: Amps = Amps::new(20.0);
const LARGE: Amps = Amps::new(32.0);

/// The form of a circuit and how it runs.
pub(super) struct ChosenForm {
    pub kind: CircuitType,
    pub run: Run,
    /// Device and cable, where they are not those that its kind usually has.
    pub sized: Option<(Amps, CableSize)>,
}

/// Chooses between a ring and radials of 20 and 32 A by what they cost.
pub(super) fn form(
    draft: &CircuitDraft,
    fed_from: FedFrom,
    (ways, fabric): (&Routing<'_>, &Fabric<'_>),
    context: Context<'_>,
    reasons: &mut Vec<CircuitReason>,
) -> ChosenForm {
    if draft.kind != CircuitType::Sockets {
        return ChosenForm { kind: draft.kind, run: run(draft, draft.kind, fed_from, ways, context), sized: None };
    }
    let as_radial = CircuitType::RadialSockets;
    if draft.outbuilding.is_some() {
        return ChosenForm { kind: as_radial, run: run(draft, as_radial, fed_from, ways, context), sized: None };
    }
    let stops = stops(&draft.members, CircuitType::RingSockets, ways.site(), context.catalogue);
    let mut variants = ways.variants(asked_as_ring(draft, fed_from, &stops, ways.site(), context.catalogue));
    let nowhere = stops.is_empty();
    let ring = if nowhere {
        run(draft, CircuitType::RingSockets, fed_from, ways, context)
    } else {
        variants.run(Topology::Ring, true)
    };
    let radial =
        if nowhere { run(draft, as_radial, fed_from, ways, context) } else { variants.compared(Topology::Chain) };
    let priced = priced(draft, &ring, &radial, (ways, fabric), context);
    // Where two cost the same, the one with fewer ends to break open: radials first.
    let allowed = priced.iter().rev().filter(|form| form.bar.is_none());
    let Some(chosen) = allowed.min_by_key(|form| form.cost).map(|form| form.form) else {
        return ChosenForm { kind: CircuitType::RingSockets, run: ring, sized: None };
    };
    reasons.push(CircuitReason::CheapestForm(Box::new(FormsCompared { chosen, forms: priced })));
    if chosen == SocketsForm::Ring {
        return ChosenForm { kind: CircuitType::RingSockets, run: ring, sized: None };
    }
    let run = if nowhere { radial } else { variants.run(Topology::Chain, true) };
    let large = (chosen == SocketsForm::Radial32).then(|| (LARGE, context.catalogue.cables().flat(RADIAL_32_MM2)));
    ChosenForm { kind: as_radial, run, sized: large }
}

/// What each form comes to, and what bars it.
fn priced(
    draft: &CircuitDraft,
    ring: &Run,
    radial: &Run,
    (ways, fabric): (&Routing<'_>, &Fabric<'_>),
    context: Context<'_>,
) -> [FormPriced; 3] {
    let catalogue = context.catalogue;
    let flat = catalogue.cables().laid(CableMake::Flat);
    let sizes: Vec<CableSize> = flat.filter(|size| SOCKETS_MM2.contains(&size.line_mm2())).collect();
    let bearing = |amps, run: &Run, sizes: &[CableSize]| cheapest_bearing(amps, sizes, run, fabric, (ways, context));
    let large = [catalogue.cables().flat(RADIAL_32_MM2)];
    let priced = |form, run: &Run, (cable, cost): (CableSize, Money), bar| FormPriced {
        form,
        metres: run.metres,
        line_mm2: cable.line_mm2(),
        cost,
        bar,
    };
    [
        priced(SocketsForm::Ring, ring, bearing(RING_LEG, ring, &sizes), None),
        priced(
            SocketsForm::Radial32,
            radial,
            bearing(LARGE, radial, &large),
            bar_at_32_a(draft, radial, (ways, fabric), context),
        ),
        priced(
            SocketsForm::Radial20,
            radial,
            bearing(SMALL, radial, &sizes),
            bar_at_20_a(draft, radial, ways.site(), catalogue),
        ),
    ]
}

/// Why sockets may not be wired as one 20 A radial.
fn bar_at_20_a(draft: &CircuitDraft, radial: &Run, site: &Site, catalogue: &Catalogue) -> Option<Bar> {
    let kitchen = rooms(draft)
        .iter()
        .any(|room| catalogue.room_use(site.rooms[*room].room_use).sockets_with == SocketsWith::Kitchen);
    if kitchen {
        return Some(Bar::Kitchen);
    }
    too_large(draft, radial, site, (RADIAL_20_AREA_MAX, RADIAL_20_LENGTH_MAX))
}

/// Why sockets may not be wired as one 32 A radial in 4 mm2: what cannot be clipped clear of insulation carries too little.
fn bar_at_32_a(
    draft: &CircuitDraft,
    radial: &Run,
    (ways, fabric): (&Routing<'_>, &Fabric<'_>),
    context: Context<'_>,
) -> Option<Bar> {
    let Context { catalogue, standards, .. } = context;
    if draft.fixed.device.is_some_and(|device| device.rating != LARGE) {
        return Some(Bar::OtherDeviceGiven);
    }
    let cable = catalogue.cables().flat(RADIAL_32_MM2);
    let clear = clipped_clear(radial, cable, ways.site(), context, ways.factors());
    let lies = fabric.lies(clear.as_ref().unwrap_or(radial), false);
    let asked = Asked { ring: false, device: LARGE, ib: LARGE };
    let governs = governing(&lies, &asked, cable, standards);
    if let Some((lying, rating)) = governs.and_then(|lying| Some((lying, lying.rating(cable, standards)?)))
        && rating.iz() < LARGE
    {
        return Some(Bar::Carries(rating.iz(), lying.method));
    }
    too_large(draft, radial, ways.site(), (RADIAL_32_AREA_MAX, RADIAL_32_LENGTH_MAX))
}

fn too_large(
    draft: &CircuitDraft,
    radial: &Run,
    site: &Site,
    (area_max, length_max): (SquareMetres, Metres),
) -> Option<Bar> {
    let area: SquareMetres = rooms(draft).iter().map(|room| site.rooms[*room].area).sum();
    let points = points_of(&draft.members);
    if area > area_max {
        Some(Bar::Area { area, limit: area_max })
    } else if points > RADIAL_POINTS_MAX {
        Some(Bar::Points { points, limit: RADIAL_POINTS_MAX })
    } else if radial.far_end > length_max {
        Some(Bar::FarEnd { metres: radial.far_end, limit: length_max })
    } else {
        None
    }
}

fn rooms(draft: &CircuitDraft) -> Vec<usize> {
    let mut rooms: Vec<usize> = draft.members.iter().map(|member| member.room).collect();
    rooms.dedup();
    rooms
}
