//! What the house is made of.

use super::{Found, Seen, listed};
use crate::catalogue::CircuitType;
use crate::money::Money;
use crate::pricing::Cost;
use crate::routes::Segment;
use crate::site::RoomPlan;
use crate::survey::{
    BoardCondition, CableEra, CeilingConstruction, FloorConstruction, FloorCovering, Insulation, Medium, PointType,
    Wall,
};
use crate::take_off::{ItemKind, LineKind};

/// Paint from before this year may hold lead. From memory.
const LEAD_BEFORE_YEAR: u16 = 1970;
/// A crawl space lower than this is not entered. Source: domain practice, from memory.
const CRAWL_SPACE_M: f64 = 0.45;
/// Insulation deeper than this puts a cable in method 101. Source: BS 7671 Table 4D5 column definitions, seen at
/// ericpalmer.fsnet.co.uk.
const DEEP_INSULATION_MM: f64 = 100.0;

pub(super) fn asbestos_and_dust(seen: Seen<'_>, found: &mut Found<'_>) {
    let old = seen.site.may_hold_asbestos();
    let coated = |room: &RoomPlan| old && room.textured && room.coating_clear != Some(true);
    let tiled = |room: &RoomPlan| old && room.covering == FloorCovering::VinylTile;
    let rooms = || seen.rooms().map(|(_, room)| room);
    let what = match (rooms().any(coated), rooms().any(tiled)) {
        (true, true) => "textured ceilings and vinyl tiles in a house from before 2000",
        (true, false) => "textured ceilings in a house from before 2000",
        _ => "vinyl tiles in a house from before 2000",
    };
    let suspect = rooms().filter(|room| coated(room) || tiled(room));
    found.raise_for_rooms("asbestos-suspected", suspect, what, seen.visit());
    if seen.site.backing_may_hold_asbestos() {
        let what = "the board behind the old fuses, and the guards in them, may hold asbestos";
        found.raise("asbestos-behind-board", "board", what, seen.visit());
    } else if old && seen.site.existing_board == Some(BoardCondition::RewireableFuses) {
        let what = "the guards in rewireable fuses may hold asbestos; the board behind them does not";
        found.raise("asbestos-behind-board", "board", what, seen.visit());
    }
    let cut = seen.items.iter().any(|(item, _)| item.what == ItemKind::Chase);
    if cut && seen.site.built_year.is_some_and(|year| year < LEAD_BEFORE_YEAR) {
        found.raise("lead-paint-likely", "house", "built before 1970 and walls are to be cut", None);
    }
    let dusty = seen.items.iter().any(|(item, _)| {
        item.what == ItemKind::Chase
            && item.room.is_some_and(|room| seen.catalogue.wall(seen.site.rooms[room].wall).dusty)
    });
    if dusty {
        found.raise("silica-dust", "house", "chases in masonry", None);
    }
    if matches!(seen.site.cable_era, Some(CableEra::Rubber | CableEra::Lead)) {
        found.raise("old-sheath-wiring", "house", "rubber or lead sheath was seen", None);
    }
    if seen.site.borrowed_neutral {
        found.raise("borrowed-neutral-likely", "stair", "a borrowed neutral is suspected", None);
    }
}

pub(super) fn floors(seen: Seen<'_>, found: &mut Found<'_>) {
    let heated = seen.rooms().map(|(_, room)| room).filter(|room| room.floor == FloorConstruction::ScreedWithHeating);
    found.raise_for_rooms(
        "heated-screed",
        heated,
        "screed with heating pipes",
        closed_floors(seen, |room| room.floor == FloorConstruction::ScreedWithHeating),
    );
    let covered = seen.rooms().filter(|(index, _)| seen.ways.room(*index).covering_in_the_way).map(|(_, room)| room);
    let shut = seen.rooms().filter(|(index, _)| seen.ways.room(*index).covering_in_the_way);
    let shut: Cost = shut
        .map(|(index, room)| {
            seen.asked.floor_of(index, room.floor, room.covering)
                - seen.asked.floor_of(index, room.floor, FloorCovering::None)
        })
        .sum();
    found.raise_for_rooms(
        "finished-covering-over-void",
        covered,
        "tile, glued timber or the like lies over the void that is wanted",
        seen.priced(shut),
    );
    let low = |room: &RoomPlan| room.crawl_space_m.is_some_and(|clear| clear < CRAWL_SPACE_M);
    let crawl = || seen.rooms().filter(|(_, room)| low(room));
    // From above instead: the drops beside the floor as it was taken.
    let above = crawl().map(|(index, room)| {
        seen.asked.floor_of(index, FloorConstruction::SolidConcrete, room.covering)
            - seen.asked.floor_of(index, room.floor, room.covering)
    });
    let stake = seen.priced(above.sum());
    found.raise_for_rooms("crawl-space-unsafe", crawl().map(|(_, room)| room), "crawl space lower than 0.45 m", stake);
    let unknown = seen.rooms().map(|(_, room)| room).filter(|room| !room.floor_recorded && !room.surface);
    found.raise_for_rooms(
        "floor-construction-unknown",
        unknown,
        "nobody recorded how the floor is made",
        seen.span("floor-construction"),
    );
    let engineered =
        seen.rooms().map(|(_, room)| room).filter(|_| seen.site.built_year.is_some_and(|year| year >= 2000));
    let what = "a house of this age is likely to have web joists or trusses";
    found.raise_for_rooms("engineered-joists", engineered, what, None);
}

pub(super) fn ceilings(seen: Seen<'_>, found: &mut Found<'_>) {
    let rooms = || seen.rooms().map(|(_, room)| room);
    trunking(seen, found);
    let cut = |kind: PointType| kind == PointType::Downlight || kind == PointType::ExtractorFan;
    let laths = rooms().filter(|room| {
        room.ceiling == CeilingConstruction::LathAndPlaster && room.points.iter().any(|point| cut(point.kind))
    });
    // Pendants instead: what the fittings let into the ceiling cost beside none.
    let stake = seen.price_of(|item| {
        let holed = matches!(item.what, ItemKind::Point(PointType::Downlight | PointType::ExtractorFan));
        holed && item.room.is_some_and(|room| seen.site.rooms[room].ceiling == CeilingConstruction::LathAndPlaster)
    });
    found.raise_for_rooms("lath-ceiling", laths, "holes in laths and plaster", Some(stake));
    // Nothing is crossed where no hole is made.
    let sealed = |room: usize| seen.has_item(room, ItemKind::FireSeals);
    let fire = seen.rooms().filter(|(index, _)| sealed(*index)).map(|(_, room)| room);
    let stake = seen.price_of(|item| item.what == ItemKind::FireSeals);
    found.raise_for_rooms("fire-line-crossed", fire, "holes in a ceiling that is a fire line", Some(stake));
    let deep: Vec<&str> = seen
        .installation
        .circuits
        .iter()
        .filter(|circuit| buries(circuit.kind) && through_deep_insulation(seen, &circuit.run))
        .map(|circuit| circuit.id.as_str())
        .collect();
    if !deep.is_empty() {
        let what = "a ring or a heater whose cable passes over 100 mm of insulation above a ceiling";
        found.raise("cable-in-insulation", listed(&deep), what, None);
    }
    polystyrene(seen, found);
}

/// Rooms in which trunking shows: under concrete alone where the floor opens, else for want of any hidden way.
fn trunking(seen: Seen<'_>, found: &mut Found<'_>) {
    let concrete = |room: &RoomPlan| room.ceiling == CeilingConstruction::Concrete;
    let floor_opens =
        |room: &RoomPlan| seen.catalogue.floor(room.floor).void && seen.catalogue.covering(room.covering).lifts;
    let both =
        |index: usize, room: &RoomPlan| seen.ways.room(index).both_closed && !(concrete(room) && floor_opens(room));
    let shown = |in_both: bool| {
        seen.price_of(|item| {
            let within = |index| both(index, &seen.site.rooms[index]) == in_both;
            item.what == ItemKind::MiniTrunking && item.room.is_some_and(within)
        })
    };
    let rooms = |in_both: bool| seen.rooms().filter(move |(index, room)| both(*index, room) == in_both);
    let ceilings = rooms(false).map(|(_, room)| room).filter(|room| concrete(room));
    found.raise_for_rooms("concrete-ceiling", ceilings, "concrete ceiling with points on it", Some(shown(false)));
    let what = "neither floor nor ceiling lets a cable through unseen";
    found.raise_for_rooms("both-voids-closed", rooms(true).map(|(_, room)| room), what, Some(shown(true)));
}

/// Cables that would touch polystyrene: over a ceiling with it, or in a hollow wall filled with it.
fn polystyrene(seen: Seen<'_>, found: &mut Found<'_>) {
    let touches = |segment: &Segment| {
        let Some(room) = segment.room.map(|room| &seen.site.rooms[room]) else { return false };
        match segment.medium {
            Medium::Loft | Medium::CeilingVoid => room.insulation == Some(Insulation::Polystyrene),
            Medium::StudCavity | Medium::DryLiningGap => room.wall_insulation == Some(Insulation::Polystyrene),
            _ => false,
        }
    };
    let segments = || {
        let runs = seen.installation.circuits.iter().map(|circuit| &circuit.run);
        runs.flat_map(|run| &run.segments).filter(|segment| touches(segment))
    };
    let rooms: std::collections::BTreeSet<usize> = segments().filter_map(|segment| segment.room).collect();
    let metres: f64 = segments().map(|segment| segment.metres.value()).sum();
    // Each of them in oval conduit; what the conduit itself costs is small beside the hours.
    let stake = seen.price_of_hours(seen.asked.hours(seen.workbook.does.oval_conduit) * metres);
    let what = "polystyrene where cables go: it draws the plasticiser out of the sheath";
    let rooms = rooms.into_iter().map(|room| &seen.site.rooms[room]);
    found.raise_for_rooms("polystyrene-contact", rooms, what, Some(stake));
}

/// Circuits that warm their cable: rings, and what heats. Source: regulation 433.1.204 as quoted at
/// electriciansforums.net, and domain practice.
const fn buries(kind: CircuitType) -> bool {
    matches!(
        kind,
        CircuitType::RingSockets
            | CircuitType::RadialSockets
            | CircuitType::Cooker
            | CircuitType::Oven
            | CircuitType::Hob
            | CircuitType::Shower
            | CircuitType::Immersion
            | CircuitType::Heating
            | CircuitType::ChargePoint
    )
}

fn through_deep_insulation(seen: Seen<'_>, run: &crate::routes::Run) -> bool {
    run.segments.iter().any(|segment| {
        let over = matches!(segment.medium, Medium::Loft | Medium::CeilingVoid);
        over && segment.room.is_some_and(|room| seen.site.rooms[room].insulation_mm > DEEP_INSULATION_MM)
    })
}

/// What it costs that these floors let no cable through: the drops from above beside a floor of boards that opens.
fn closed_floors(seen: Seen<'_>, which: impl Fn(&RoomPlan) -> bool) -> Option<Money> {
    let cost: Cost = seen
        .rooms()
        .filter(|(_, room)| which(room))
        .map(|(index, room)| {
            seen.asked.floor_of(index, room.floor, room.covering)
                - seen.asked.floor_of(index, FloorConstruction::SuspendedTimber, FloorCovering::None)
        })
        .sum();
    seen.priced(cost)
}

pub(super) fn walls(seen: Seen<'_>, found: &mut Found<'_>) {
    /// Rooms with fewer boxes than this are not worth the question. Common practice, no source.
    const BOXES_WORTH_ASKING: u64 = 4;
    let rooms = || seen.rooms().map(|(_, room)| room);
    let unknown =
        rooms().filter(|room| !room.wall_recorded && !room.surface && room.point_count() > BOXES_WORTH_ASKING);
    found.raise_for_rooms(
        "wall-construction-unknown",
        unknown,
        "nobody recorded what the walls are made of",
        seen.span("wall"),
    );
    let thin =
        seen.rooms().filter(|(index, room)| room.wall == Wall::BreezeBlock && seen.has_item(*index, ItemKind::Chase));
    let thin = thin.map(|(_, room)| room);
    let stake = seen.price_of(|item| {
        item.kind == LineKind::BuildersWork
            && item.what == ItemKind::Chase
            && item.room.is_some_and(|room| seen.site.rooms[room].wall == Wall::BreezeBlock)
    });
    found.raise_for_rooms("thin-leaf-chase", thin, "clinker block: soft, often a thin leaf", Some(stake));
}
