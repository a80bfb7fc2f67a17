//! What is joined to circuits that are there: sockets to the ring, lights to the lighting circuit. Where none is recorded a
//! usual one is taken; how much of one more it bears is for the checks.
//!
//! Cost: linear in points and given circuits.

use super::gather::CircuitDraft;
use super::given::{DesignerChoices, ExistingCircuit, GivenPlan, GivenSurvey};
use super::sizing::Device;
use super::{Member, gather, loads};
use crate::catalogue::{Catalogue, CircuitFamily, CircuitType, PointGroup, PointPlace};
use crate::quantities::{Amps, Metres, SquareMillimetres};
use crate::routes::{Routing, Run, vertical};
use crate::site::{RoomIndex, RoomPlan, Site};
use crate::standards::{Standards, TripCurve};
use crate::survey::{BoardCondition, Medium, Position, RoomUse, Scope};
use crate::unit_rates::{Void, is_chased};

/// Sockets that are joined to a circuit that is there; more want a circuit of their own. Common practice, no source.
const SOCKETS_JOINED_MAX: u32 = 6;
/// The same in a kitchen, whose loads are large. Common practice, no source.
const SOCKETS_JOINED_IN_A_KITCHEN_MAX: u32 = 3;
/// Lights that are joined to a circuit that is there. Common practice, no source.
const LIGHTS_JOINED_MAX: u32 = 12;
/// From the nearest point that is there, where nobody marked it. Common practice, no source.
const TO_THE_NEAREST_M: f64 = 3.0;
/// An outside point goes through the wall from the room behind it. Common practice, no source.
const THROUGH_THE_WALL_M: f64 = 1.0;
/// Left in the box at each end. Common practice, no source.
const ENDS_M: f64 = 0.3;
/// Metres of cable of a usual circuit that is there: a ring as far as a storey asks, lights over two. From memory.
const RING_M: f64 = 60.0;
const LIGHTS_M: f64 = 45.0;

/// The circuit that a usual one stands for.
struct Usual {
    kind: CircuitType,
    id: &'static str,
    name: &'static str,
    rating_a: f64,
    line_mm2: f64,
    length_m: f64,
}

const SOCKETS: Usual = usual(CircuitType::RingSockets, "sockets-existing", "Sockets, existing", (32.0, 2.5, RING_M));
const LIGHTS: Usual = usual(CircuitType::Lighting, "lights-existing", "Lights, existing", (6.0, 1.5, LIGHTS_M));

/// A usual circuit of an ordinary house, in the order in which boards fill up. From memory.
const fn usual(
    kind: CircuitType,
    id: &'static str,
    name: &'static str,
    (rating_a, line_mm2, length_m): (f64, f64, f64),
) -> Usual {
    Usual { kind, id, name, rating_a, line_mm2, length_m }
}

/// What hangs on a board that is changed, where nobody listed it. From memory.
const ON_A_BOARD: [Usual; 12] = [
    SOCKETS,
    LIGHTS,
    usual(CircuitType::RingSockets, "sockets-existing-2", "Sockets, existing, second", (32.0, 2.5, RING_M)),
    usual(CircuitType::Lighting, "lights-existing-2", "Lights, existing, second", (6.0, 1.5, LIGHTS_M)),
    usual(CircuitType::Cooker, "cooker-existing", "Cooker, existing", (32.0, 6.0, 15.0)),
    usual(CircuitType::Immersion, "immersion-existing", "Immersion heater, existing", (16.0, 2.5, 18.0)),
    usual(CircuitType::Boiler, "boiler-existing", "Boiler, existing", (16.0, 2.5, 18.0)),
    usual(CircuitType::Appliance, "appliance-existing", "Appliance, existing", (20.0, 2.5, 18.0)),
    usual(CircuitType::Shower, "shower-existing", "Shower, existing", (40.0, 10.0, 18.0)),
    usual(CircuitType::Freezer, "freezer-existing", "Freezer, existing", (16.0, 2.5, 18.0)),
    usual(CircuitType::Appliance, "appliance-existing-2", "Appliance, existing, second", (20.0, 2.5, 18.0)),
    usual(CircuitType::Appliance, "appliance-existing-3", "Appliance, existing, third", (20.0, 2.5, 18.0)),
];
/// Circuits on a board whose ways nobody counted. From memory.
const CIRCUITS_ON_A_BOARD: usize = 8;

/// Joins what the scope allows to circuits that are there.
pub(super) fn extend(site: &Site, catalogue: &Catalogue, given: &mut GivenSurvey) {
    if !site.scope.extends() {
        return;
    }
    let listed = given.circuits.iter().any(|plan| plan.fixed.kept.is_some());
    if site.scope.kind == Scope::BoardChange && !listed {
        let used =
            site.board_found.ways.map(|ways| ways.saturating_sub(site.board_found.ways_spare.unwrap_or(0)) as usize);
        let taken = used.unwrap_or(CIRCUITS_ON_A_BOARD);
        given.circuits.extend(ON_A_BOARD.iter().take(taken).map(|usual| usual.plan(site, catalogue)));
    }
    for usual in [SOCKETS, LIGHTS] {
        let members = joined(site, catalogue, given, usual.kind);
        if members.is_empty() {
            continue;
        }
        let room = Some(members[0].room);
        let same = |plan: &&mut GivenPlan| {
            let kind = plan.kind == usual.kind || (usual.kind.is_sockets() && plan.kind.is_sockets());
            kind && plan.outbuilding.is_none() && plan.fixed.kept.is_some()
        };
        match given.circuits.iter_mut().find(same) {
            Some(plan) => {
                plan.room = plan.room.or(room);
                plan.members.extend(members);
            }
            None => given.circuits.push(GivenPlan { members, room, ..usual.plan(site, catalogue) }),
        }
    }
}

impl Usual {
    /// As one that is there: behind 30 mA, for what stays is taken as sound; its own where the board has no other, or is new.
    fn plan(&self, site: &Site, catalogue: &Catalogue) -> GivenPlan {
        let behind_another = site.scope.board_stays() && site.existing_board == Some(BoardCondition::BreakersWithRcd);
        let device = Device {
            rating: Amps::new(self.rating_a),
            curve: TripCurve::B,
            combined: !behind_another,
            residual_ma: Some(30.0),
        };
        GivenPlan {
            id: self.id.to_owned(),
            name: Some(self.name.to_owned()),
            kind: self.kind,
            members: Vec::new(),
            appliances: Vec::new(),
            outbuilding: None,
            room: None,
            fixed: DesignerChoices {
                device: Some(device),
                cable: Some(catalogue.cables().flat(self.line_mm2)),
                length: Some(Metres::new(self.length_m)),
                method: None,
                kept: Some(ExistingCircuit { tested: false, assumed: true, zs: None }),
            },
        }
    }
}

/// The points that are joined to a circuit of that kind, taken from what is left.
fn joined(site: &Site, catalogue: &Catalogue, given: &mut GivenSurvey, kind: CircuitType) -> Vec<Member> {
    let mut found: Vec<(RoomIndex, usize)> = Vec::new();
    let (mut all, mut in_kitchens) = (0_u32, 0_u32);
    for (index, room) in site.rooms.iter().enumerate().filter(|(_, room)| room.outbuilding.is_none()) {
        for (entry, point) in room.points.iter().enumerate() {
            let count = given.left.points(index, entry);
            let row = catalogue.point(point.kind, point.gangs);
            let usual = gather::circuit_in(site, room, row.circuit);
            let joins = match usual.family() {
                CircuitFamily::Sockets => usual == CircuitType::Sockets && kind.is_sockets(),
                CircuitFamily::Outside => kind.is_sockets() == loads::is_outlet(point.kind),
                CircuitFamily::Lighting => kind == CircuitType::Lighting,
                CircuitFamily::Load | CircuitFamily::Other => false,
            };
            if count == 0 || !joins {
                continue;
            }
            found.push((index, entry));
            // Switches come with the lights that they switch.
            if row.group != PointGroup::Switch {
                all = all.saturating_add(count);
                if matches!(room.room_use, RoomUse::Kitchen | RoomUse::KitchenDiner | RoomUse::Utility) {
                    in_kitchens = in_kitchens.saturating_add(count);
                }
            }
        }
    }
    let bears = if kind.is_sockets() {
        all <= SOCKETS_JOINED_MAX && in_kitchens <= SOCKETS_JOINED_IN_A_KITCHEN_MAX
    } else {
        all <= LIGHTS_JOINED_MAX
    };
    if !bears {
        return Vec::new();
    }
    found.into_iter().map(|(room, entry)| given.left.take(site, room, entry)).collect()
}

/// What was joined to a circuit that does not bear it, as a circuit of its own; and what is there, where a new board tests it
/// all the same.
pub(super) fn apart(draft: CircuitDraft, site: &Site) -> (CircuitDraft, Option<CircuitDraft>) {
    let there = (site.scope.kind == Scope::BoardChange).then(|| CircuitDraft {
        members: Vec::new(),
        reasons: Vec::new(),
        ..draft.clone()
    });
    let kind = if draft.kind.is_sockets() { CircuitType::Sockets } else { draft.kind };
    let own = CircuitDraft {
        kind,
        name: gather::name_of(site, kind, &draft.members),
        fixed: DesignerChoices::default(),
        id: None,
        reasons: Vec::new(),
        ..draft
    };
    (own, there)
}

/// How points that are joined are reached: each from the nearest point that stays, along the wall or over the ceiling.
pub(super) fn run(members: &[Member], ways: &Routing<'_>, catalogue: &Catalogue) -> Run {
    let site = ways.site();
    let mut run = Run::default();
    for member in members {
        let room = &site.rooms[member.room];
        let point = &room.points[member.point];
        let row = catalogue.point(point.kind, point.gangs);
        let count = f64::from(member.count);
        let index = Some(member.room);
        let drop = vertical(room, &ways.room(member.room).high, point.height).value();
        if row.place == PointPlace::Outside || room.room_use == RoomUse::Outside {
            run.lay(index, (Medium::SurfaceClipped, Void::Surface), THROUGH_THE_WALL_M * count);
        } else if row.place == PointPlace::Ceiling || row.group == PointGroup::Switch {
            let above = ways.room(member.room).high.medium;
            let void = if above == Medium::Loft { Void::Open } else { Void::Closed };
            // The first from what is there, the others from one to the next where they are spread over the ceiling.
            let nearest = to_the_nearest(room, point.at);
            let apart = (room.area.value() / count.max(1.0)).sqrt().min(nearest);
            run.lay(index, (above, void), nearest + ENDS_M + (apart + ENDS_M) * (count - 1.0));
            if row.place == PointPlace::Wall {
                run.lay(index, in_the_wall(room), drop * count);
            }
        } else {
            run.lay(index, in_the_wall(room), (to_the_nearest(room, point.at) + ENDS_M) * count);
        }
        if !run.order.contains(&member.room) {
            run.order.push(member.room);
        }
    }
    run.metres = run.segments.iter().map(|segment| segment.metres).sum();
    run.far_end = run.metres;
    run
}

/// Metres of cable that a circuit which stays has: as recorded, by what was measured at its far end, or as a usual one.
pub(super) fn length_there(draft: &CircuitDraft, kind: CircuitType, site: &Site, standards: &Standards) -> Metres {
    /// What a lone load is away from its board. From memory.
    const LONE_LOAD_M: f64 = 18.0;
    let usual = match kind.family() {
        CircuitFamily::Sockets => RING_M,
        CircuitFamily::Lighting => LIGHTS_M,
        CircuitFamily::Outside | CircuitFamily::Load | CircuitFamily::Other => LONE_LOAD_M,
    };
    let recorded = draft.fixed.length.unwrap_or(Metres::new(usual));
    // The longer of the two: a measurement says more than a tape where the cable is hidden.
    by_impedance(draft, kind, site, standards).map_or(recorded, |measured| match draft.fixed.length {
        Some(given) => given.max(measured),
        None => measured,
    })
}

/// The length that a loop impedance measured cold at the far end stands for: Zs = Ze + (r1 + r2) × length, of a ring a quarter
/// of the loop (On-Site Guide, from memory).
fn by_impedance(draft: &CircuitDraft, kind: CircuitType, site: &Site, standards: &Standards) -> Option<Metres> {
    const RING_SHARE: f64 = 0.25;
    const MILLI: f64 = 1_000.0;
    let (zs, cable) = (draft.fixed.kept?.zs?, draft.fixed.cable?);
    let of = |area_mm2: f64| standards.conductor_resistance(SquareMillimetres::new(area_mm2)).ok();
    let each_m = (of(cable.line_mm2())?.value() + of(cable.cpc_mm2())?.value()) / MILLI;
    let share = if kind == CircuitType::RingSockets { RING_SHARE } else { 1.0 };
    let length = (zs.value() - site.supply.ze.value()).max(0.0) / (each_m * share);
    (each_m > 0.0).then(|| Metres::new(length))
}

/// How a cable lies along a wall of the room.
fn in_the_wall(room: &RoomPlan) -> (Medium, Void) {
    if room.surface {
        (Medium::SurfaceClipped, Void::Surface)
    } else if is_chased(room.wall) {
        (Medium::WallChase, Void::Open)
    } else {
        (Medium::StudCavity, Void::Closed)
    }
}

/// Metres from the nearest point that stays.
fn to_the_nearest(room: &RoomPlan, at: Option<Position>) -> f64 {
    let Some(at) = at else { return TO_THE_NEAREST_M };
    let marked = room.staying.iter().filter_map(|stays| stays.at);
    let away = |other: Position| crate::geometry::axis_distance(at, other).value();
    marked.map(away).reduce(f64::min).unwrap_or(TO_THE_NEAREST_M)
}
