//! What the house is made of.

use super::{FlagCollector, FlagContext, FlagDetail, FlagId, Severity};
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
use crate::unknowns::{HousePlace, QuestionId, rooms};

/// Paint from before this year may hold lead. From memory.
const LEAD_BEFORE_YEAR: u16 = 1970;
/// A crawl space lower than this is not entered. Source: domain practice, from memory.
const CRAWL_SPACE_M: f64 = 0.45;
/// Insulation deeper than this puts a cable in method 101. Source: BS 7671 Table 4D5 column definitions, seen.
const DEEP_INSULATION_MM: f64 = 100.0;

pub(super) fn asbestos_and_dust(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let old = context.site.may_hold_asbestos();
    let coated = |room: &RoomPlan| old && room.textured && room.coating_clear != Some(true);
    let tiled = |room: &RoomPlan| old && room.covering == FloorCovering::VinylTile;
    let suspect = rooms(context.indices(|room| coated(room) || tiled(room)));
    if !suspect.is_empty() {
        let detail = FlagDetail::Coatings {
            ceilings: context.indices(coated).next().is_some(),
            tiles: context.indices(tiled).next().is_some(),
        };
        flags.raise_with(FlagId::AsbestosSuspected, suspect, detail, context.visit());
    }
    old_board(context, old, flags);
    let cut = context.items.iter().any(|(item, _)| item.what == ItemKind::Chase);
    if cut && context.site.built_year.is_some_and(|year| year < LEAD_BEFORE_YEAR) {
        flags.raise(FlagId::LeadPaintLikely, HousePlace::House, None);
    }
    let dusty = context.items.iter().any(|(item, _)| {
        item.what == ItemKind::Chase
            && item.room.is_some_and(|room| context.catalogue.wall(context.site.rooms[room].wall).dusty)
    });
    if dusty {
        flags.raise(FlagId::SilicaDust, HousePlace::House, None);
    }
    if matches!(context.site.cable_era, Some(CableEra::Rubber | CableEra::Lead)) {
        flags.raise(FlagId::OldSheathWiring, HousePlace::House, None);
    }
    if context.site.borrowed_neutral {
        flags.raise(FlagId::BorrowedNeutralLikely, HousePlace::Stair, None);
    }
}

/// What an old board is fixed to, and the guards of its fuses. Where the board stays, only what was recorded as suspect counts.
fn old_board(context: FlagContext<'_>, old: bool, flags: &mut FlagCollector<'_>) {
    let (site, id) = (context.site, FlagId::AsbestosBehindBoard);
    let stays = site.scope.board_stays();
    if site.backing_may_hold_asbestos() && (!stays || site.backing_board_suspect == Some(true)) {
        let detail = FlagDetail::OldBoard { backing_suspect: true };
        flags.raise_with(id, HousePlace::Board, detail, context.visit());
    } else if !stays && old && site.existing_board == Some(BoardCondition::RewireableFuses) {
        let detail = FlagDetail::OldBoard { backing_suspect: false };
        if site.scope.rewires() {
            flags.raise_with(id, HousePlace::Board, detail, context.visit());
        } else {
            // Somebody looked at what it is fixed to; the guards go out whole, with the board.
            flags.raise_as(Severity::Medium, id, HousePlace::Board, (detail, context.visit()));
        }
    }
}

pub(super) fn floors(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let heated = context.indices(|room| room.floor == FloorConstruction::ScreedWithHeating);
    flags.raise_for_rooms(
        FlagId::HeatedScreed,
        heated,
        closed_floors(context, |room| room.floor == FloorConstruction::ScreedWithHeating),
    );
    let covered = context.rooms().map(|(index, _)| index);
    let covered = covered.filter(|index| context.ways.room(*index).covering_in_the_way);
    let shut = context.rooms().filter(|(index, _)| context.ways.room(*index).covering_in_the_way);
    let shut: Cost = shut
        .map(|(index, room)| {
            context.asked.floor_of(index, room.floor, room.covering)
                - context.asked.floor_of(index, room.floor, FloorCovering::None)
        })
        .sum();
    flags.raise_for_rooms(FlagId::FinishedCoveringOverVoid, covered, context.priced(shut));
    let low = |room: &RoomPlan| room.crawl_space_m.is_some_and(|clear| clear < CRAWL_SPACE_M);
    let crawl = || context.rooms().filter(|(_, room)| low(room));
    // From above instead: the drops beside the floor as it was taken.
    let above = crawl().map(|(index, room)| {
        context.asked.floor_of(index, FloorConstruction::SolidConcrete, room.covering)
            - context.asked.floor_of(index, room.floor, room.covering)
    });
    let stake = context.priced(above.sum());
    flags.raise_for_rooms(FlagId::CrawlSpaceUnsafe, crawl().map(|(index, _)| index), stake);
    // A small job that goes into no floor has nothing to ask of it.
    let moves = || context.span(QuestionId::FloorConstruction).is_some_and(|span| span != Money::ZERO);
    let matters = context.site.scope.rewires() || moves();
    let unknown = context.indices(|room| matters && !room.floor_recorded && !room.surface);
    flags.raise_for_rooms(FlagId::FloorConstructionUnknown, unknown, None);
    let engineered = context.indices(|_| context.site.built_year.is_some_and(|year| year >= 2000));
    flags.raise_for_rooms(FlagId::EngineeredJoists, engineered, None);
}

pub(super) fn ceilings(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    trunking(context, flags);
    let cut = |kind: PointType| kind == PointType::Downlight || kind == PointType::ExtractorFan;
    let laths = context.indices(|room| {
        room.ceiling == CeilingConstruction::LathAndPlaster && room.points.iter().any(|point| cut(point.kind))
    });
    // Pendants instead: what the fittings let into the ceiling cost beside none.
    let stake = context.price_of(|item| {
        let holed = matches!(item.what, ItemKind::Point(PointType::Downlight | PointType::ExtractorFan));
        holed && item.room.is_some_and(|room| context.site.rooms[room].ceiling == CeilingConstruction::LathAndPlaster)
    });
    flags.raise_for_rooms(FlagId::LathCeiling, laths, Some(stake));
    // Nothing is crossed where no hole is made.
    let sealed = context.rooms_with(ItemKind::FireSeals);
    let fire = context.rooms().map(|(index, _)| index).filter(|index| sealed.contains(index));
    let stake = context.price_of(|item| item.what == ItemKind::FireSeals);
    flags.raise_for_rooms(FlagId::FireLineCrossed, fire, Some(stake));
    let circuits = context.installation.circuits.iter().enumerate();
    let deep = circuits.filter(|(_, one)| buries(one.kind) && through_deep_insulation(context, &one.run));
    let deep: Vec<HousePlace> = deep.map(|(index, _)| HousePlace::Circuit(index)).collect();
    if !deep.is_empty() {
        flags.raise(FlagId::CableInInsulation, deep, None);
    }
    polystyrene(context, flags);
}

/// Rooms in which trunking shows: under concrete alone where the floor opens, else for want of any hidden way.
fn trunking(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let concrete = |room: &RoomPlan| room.ceiling == CeilingConstruction::Concrete;
    let floor_opens =
        |room: &RoomPlan| context.catalogue.floor(room.floor).void && context.catalogue.covering(room.covering).lifts;
    let both =
        |index: usize, room: &RoomPlan| context.ways.room(index).both_closed && !(concrete(room) && floor_opens(room));
    let shown = |in_both: bool| {
        context.price_of(|item| {
            let within = |index| both(index, &context.site.rooms[index]) == in_both;
            item.what == ItemKind::MiniTrunking && item.room.is_some_and(within)
        })
    };
    let rooms = |in_both: bool| context.rooms().filter(move |(index, room)| both(*index, room) == in_both);
    let ceilings = rooms(false).filter(|(_, room)| concrete(room)).map(|(index, _)| index);
    flags.raise_for_rooms(FlagId::ConcreteCeiling, ceilings, Some(shown(false)));
    flags.raise_for_rooms(FlagId::BothVoidsClosed, rooms(true).map(|(index, _)| index), Some(shown(true)));
}

/// Cables that would touch polystyrene: over a ceiling with it, or in a hollow wall filled with it.
fn polystyrene(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    let touches = |segment: &Segment| {
        let Some(room) = segment.room.map(|room| &context.site.rooms[room]) else { return false };
        match segment.medium {
            Medium::Loft | Medium::CeilingVoid => room.insulation == Some(Insulation::Polystyrene),
            Medium::StudCavity | Medium::DryLiningGap => room.wall_insulation == Some(Insulation::Polystyrene),
            Medium::FloorVoid
            | Medium::CrawlSpace
            | Medium::CellarSoffit
            | Medium::WallChase
            | Medium::DuctOrRiser
            | Medium::SurfaceClipped
            | Medium::MiniTrunking
            | Medium::SkirtingTrunking
            | Medium::SurfaceConduit
            | Medium::Screed
            | Medium::ExternalWall
            | Medium::Trench
            | Medium::DuctInGround
            | Medium::OverheadSpan => false,
        }
    };
    let segments = || {
        let runs = context.installation.circuits.iter().map(|circuit| &circuit.run);
        runs.flat_map(|run| &run.segments).filter(|segment| touches(segment))
    };
    let rooms: std::collections::BTreeSet<usize> = segments().filter_map(|segment| segment.room).collect();
    let metres: f64 = segments().map(|segment| segment.metres.value()).sum();
    // Each of them in oval conduit; what the conduit itself costs is small beside the hours.
    let stake = context.price_of_hours(context.asked.hours(context.workbook.operations.oval_conduit) * metres);
    flags.raise_for_rooms(FlagId::PolystyreneContact, rooms.into_iter(), Some(stake));
}

/// Circuits that warm their cable: rings, and what heats. Source: BS 7671 433.1.204, from memory, and
/// common practice.
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

fn through_deep_insulation(context: FlagContext<'_>, run: &crate::routes::Run) -> bool {
    run.segments.iter().any(|segment| {
        let over = matches!(segment.medium, Medium::Loft | Medium::CeilingVoid);
        over && segment.room.is_some_and(|room| context.site.rooms[room].insulation_mm > DEEP_INSULATION_MM)
    })
}

/// What it costs that these floors let no cable through: the drops from above beside a floor of boards that opens.
fn closed_floors(context: FlagContext<'_>, which: impl Fn(&RoomPlan) -> bool) -> Option<Money> {
    let cost: Cost = context
        .rooms()
        .filter(|(_, room)| which(room))
        .map(|(index, room)| {
            context.asked.floor_of(index, room.floor, room.covering)
                - context.asked.floor_of(index, FloorConstruction::SuspendedTimber, FloorCovering::None)
        })
        .sum();
    context.priced(cost)
}

pub(super) fn walls(context: FlagContext<'_>, flags: &mut FlagCollector<'_>) {
    /// Rooms with fewer boxes than this are not worth the question. Common practice, no source.
    const BOXES_WORTH_ASKING: u64 = 4;
    let unknown =
        context.indices(|room| !room.wall_recorded && !room.surface && room.point_count() > BOXES_WORTH_ASKING);
    flags.raise_for_rooms(FlagId::WallConstructionUnknown, unknown, None);
    let chased = context.rooms_with(ItemKind::Chase);
    let thin = context.rooms().filter(|(index, room)| room.wall == Wall::BreezeBlock && chased.contains(index));
    let thin = thin.map(|(index, _)| index);
    let stake = context.price_of(|item| {
        item.kind == LineKind::BuildersWork
            && item.what == ItemKind::Chase
            && item.room.is_some_and(|room| context.site.rooms[room].wall == Wall::BreezeBlock)
    });
    flags.raise_for_rooms(FlagId::ThinLeafChase, thin, Some(stake));
}
