//! A rate sheet made ready for pricing: every name that the engine asks for is looked up once, so that pricing a
//! survey is arithmetic on indices. A sheet that lacks something is refused here, with everything that it lacks.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::{DifficultyFactor, IncompleteSheet, RateSheet, Stage};
use crate::catalogue::Catalogue;
use crate::money::{Money, decimal};
use crate::survey::{Finish, FloorConstruction, FloorCovering, PointType, Wall};

/// An operation of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct OperationIndex(u32);

/// A material of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MaterialIndex(u32);

impl MaterialIndex {
    /// For arrays by material.
    #[must_use]
    pub const fn index(self) -> usize {
        self.0 as usize
    }
}

/// So much of one operation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Work {
    /// What is done.
    pub operation: OperationIndex,
    /// How much of it, in the operation's unit.
    pub quantity: f64,
}

/// Three-point hours: everybody who is needed, added up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreePoint {
    /// When all goes well.
    pub optimistic: f64,
    /// As a rule.
    pub likely: f64,
    /// When little goes well.
    pub pessimistic: f64,
}

impl ThreePoint {
    /// Expected hours, `(o + 4m + p) / 6`. Source: project-management.info, "Three-point estimating".
    #[must_use]
    pub fn mean(self) -> f64 {
        (self.optimistic + 4.0 * self.likely + self.pessimistic) / 6.0
    }

    /// Standard deviation, `(p - o) / 6`. Source: as for [`ThreePoint::mean`].
    #[must_use]
    pub fn deviation(self) -> f64 {
        (self.pessimistic - self.optimistic) / 6.0
    }
}

/// An operation with its hours by stage.
#[derive(Debug, Clone)]
pub struct Operation {
    /// Its name.
    pub name: String,
    /// What is done.
    pub description: String,
    /// Per what.
    pub unit: String,
    /// Hours by stage.
    pub stages: [Option<ThreePoint>; Stage::COUNT],
    /// Which factors multiply it at each stage.
    pub factors: [FactorMask; Stage::COUNT],
}

/// The factors that an operation names, as bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct FactorMask(u16);

/// What multiplies hours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Factor {
    /// How full the room is.
    Occupied,
    /// How high the work is.
    Height,
    /// Old hard timber or a shallow void.
    OldHardTimber,
    /// Protected or fragile fabric.
    Listed,
    /// Tiled and sealed walls.
    WetRoom,
    /// The look of the accessory.
    Finish,
    /// Winter outside.
    Weather,
    /// Something in the way.
    Obstructed,
    /// Parking and controlled hours.
    Congestion,
}

impl Factor {
    /// How many there are.
    pub const COUNT: usize = 9;
    /// Every factor with its word.
    pub const ALL: [(Self, &'static str); Self::COUNT] = [
        (Self::Occupied, "occupied"),
        (Self::Height, "height"),
        (Self::OldHardTimber, "old-hard-timber"),
        (Self::Listed, "listed"),
        (Self::WetRoom, "wet-room"),
        (Self::Finish, "finish"),
        (Self::Weather, "weather"),
        (Self::Obstructed, "obstructed"),
        (Self::Congestion, "congestion"),
    ];
}

impl FactorMask {
    /// Whether the operation names the factor.
    #[must_use]
    pub const fn names(self, factor: Factor) -> bool {
        self.0 & (1 << factor as u16) != 0
    }
}

/// A material with its price per unit, unrounded.
#[derive(Debug, Clone)]
pub struct PricedMaterial {
    /// Its name.
    pub item: String,
    /// In words.
    pub description: String,
    /// Of what.
    pub unit: String,
    /// How much is in one pack.
    pub pack_size: f64,
    /// Price of one unit, unrounded, with its waste.
    pub unit_price_with_waste: Decimal,
    /// Price of one unit, unrounded.
    pub unit_price: Decimal,
    /// Lost in cutting, as a fraction.
    pub waste: f64,
    /// Whether its price goes with the finish.
    pub finished: bool,
}

/// What the rate sheet says of one row of the point table.
#[derive(Debug, Clone)]
pub struct PointWork {
    /// Operations that connect and fit it.
    pub fit: Vec<OperationIndex>,
    /// Operations of first fix besides box and chase.
    pub first_fix: Vec<OperationIndex>,
    /// Its accessory.
    pub accessory: MaterialIndex,
    /// What else it takes.
    pub extras: Vec<(MaterialIndex, f64)>,
}

/// What the rate sheet says of one kind of wall.
#[derive(Debug, Clone, Copy)]
pub struct WallWork {
    /// Box operations: one gang shallow, one gang deep, two gang shallow, two gang deep.
    pub boxes: [OperationIndex; 4],
    /// Box materials in the same order.
    pub box_materials: [MaterialIndex; 4],
    /// Chases for one run and for two; absent where the cable is fished.
    pub chases: Option<[OperationIndex; 2]>,
    /// Hole for a cable.
    pub hole: OperationIndex,
    /// Core for a fan.
    pub fan_core: OperationIndex,
    /// Whether boxes sit on the surface.
    pub surface: bool,
}

/// The first and further rate of a point, selling, before tax.
#[derive(Debug, Clone, Copy)]
pub struct SellingRate {
    /// The first in a room.
    pub first: Money,
    /// Each further one.
    pub further: Money,
    /// How much of it is material, as a fraction.
    pub materials: f64,
}

macro_rules! named {
    ($(#[$doc:meta])* $name:ident, $index:ident, $section:literal { $($field:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy)]
        pub struct $name { $(pub $field: $index),+ }

        impl $name {
            fn find(names: &mut Names<'_, $index>) -> Self {
                Self { $($field: names.find($word)),+ }
            }
        }
    };
}

named! {
    /// Operations that the engine asks for by name.
    NamedOperations, OperationIndex, "labour" {
        scan_before_cutting = "scan-before-cutting",
        drill_joist = "drill-joist",
        drill_stud = "drill-stud-or-noggin",
        box_existing_reuse = "box-existing-reuse",
        box_ceiling_pattress = "box-ceiling-pattress",
        loft_insulation_move = "loft-insulation-move",
        te_1_5_open = "te-1-5-open-void",
        te_1_5_joists = "te-1-5-through-joists",
        te_1_5_clipped = "te-1-5-clipped-surface",
        te_1_5_fished = "te-1-5-fished",
        te_1_5_chase = "te-1-5-in-chase",
        te_2_5_open = "te-2-5-open-void",
        te_2_5_joists = "te-2-5-through-joists",
        te_2_5_clipped = "te-2-5-clipped-surface",
        te_2_5_fished = "te-2-5-fished",
        te_2_5_chase = "te-2-5-in-chase",
        te_4_open = "te-4-open-void",
        te_4_joists = "te-4-through-joists",
        te_4_clipped = "te-4-clipped-surface",
        te_4_fished = "te-4-fished",
        te_4_chase = "te-4-in-chase",
        te_6_open = "te-6-open-void",
        te_6_joists = "te-6-through-joists",
        te_6_clipped = "te-6-clipped-surface",
        te_6_fished = "te-6-fished",
        te_6_chase = "te-6-in-chase",
        te_10_open = "te-10-open-void",
        te_10_joists = "te-10-through-joists",
        te_10_clipped = "te-10-clipped-surface",
        te_10_fished = "te-10-fished",
        te_10_chase = "te-10-in-chase",
        three_core_open = "te-1-5-3core-open-void",
        three_core_fished = "te-1-5-3core-fished",
        data_open = "data-cable-open-void",
        coax_open = "coax-cable-open-void",
        tails_run = "tails-25-run",
        mini_trunking = "trunking-mini",
        armoured_clipped = "armoured-6-to-10-clipped",
        armoured_trench = "armoured-6-to-10-in-trench",
        armoured_gland = "armoured-gland-6-to-10",
        armoured_large_trench = "armoured-16-to-25-in-trench",
        armoured_large_gland = "armoured-gland-16-to-25",
        trench_soft = "trench-soft-soil",
        trench_slabs = "trench-paving-slabs",
        trench_gravel = "trench-gravel",
        trench_hard = "trench-hard-standing",
        trench_backfill = "trench-backfill-tape",
        earth_rod_drive = "earth-rod-drive",
        earth_rod_test = "earth-rod-resistance-test",
        client_fitting = "fit-client-supplied-fitting",
        connect_appliance = "connect-oven-or-hob",
        board_strip = "cu-isolate-and-strip",
        board_fit = "cu-fit-enclosure",
        board_way = "cu-terminate-way",
        sub_board_fit = "sub-board-fit",
        switched_fuse_fit = "switch-fuse-fit",
        tails_connect = "tails-connect",
        temporary_supply = "temporary-supply",
        keep_live = "keep-live-each-evening",
        bonding_open = "bonding-10-open-void",
        bonding_fished = "bonding-10-fished",
        bonding_terminate = "bonding-terminate",
        earth_terminal = "main-earth-terminal",
        dead_test_lighting = "dead-test-lighting",
        dead_test_ring = "dead-test-ring",
        dead_test_radial = "dead-test-radial",
        live_test = "live-test-circuit",
        supply_tests = "supply-tests",
        certificate = "certificate-write",
        certificate_extra = "certificate-per-extra-circuit",
        notify = "notify-building-control",
        operator_form = "network-operator-form",
        handover = "handover-client",
        strip_point = "strip-out-point",
        fill_chase = "make-good-chase",
        fill_box = "make-good-box",
        fire_stop = "fire-stop-penetration",
        move_light = "move-furniture-light",
        move_heavy = "move-furniture-heavy",
        protect_floors = "protect-floors",
        set_up_day = "set-up-clear-away-day",
        travel_10_km = "travel-each-way-10-km",
        park_and_carry = "park-and-carry",
        materials_collect = "materials-collect",
        waste_to_tip = "waste-to-tip",
        tower = "ladder-or-tower-set-up",
        mark_out = "site-meeting-or-mark-out",
    }
}

named! {
    /// Materials that the engine asks for by name.
    NamedMaterials, MaterialIndex, "materials" {
        te_1_5 = "cable-te-1-5",
        three_core = "cable-te-1-5-3core",
        te_2_5 = "cable-te-2-5",
        te_4 = "cable-te-4",
        te_6 = "cable-te-6",
        te_10 = "cable-te-10",
        te_16 = "cable-te-16",
        data = "cable-data",
        coax = "cable-coax",
        bell = "cable-bell",
        armoured_4 = "cable-armoured-4",
        armoured_6 = "cable-armoured-6",
        armoured_10 = "cable-armoured-10",
        armoured_16 = "cable-armoured-16",
        bonding_10 = "conductor-bonding-10",
        earth_16 = "conductor-earth-16",
        tails_25 = "tails-25",
        capping = "capping",
        clip = "clip",
        clip_metal = "clip-metal",
        fixing = "fixing",
        mini_trunking = "mini-trunking",
        gland_armoured = "gland-armoured",
        board_6 = "board-6-way",
        board_10 = "board-10-way",
        board_14 = "board-14-way",
        board_18 = "board-18-way",
        board_22 = "board-22-way",
        board_28 = "board-28-way",
        board_36 = "board-36-way",
        sub_board = "sub-board-6-way",
        surge_device = "surge-device",
        rcbo = "device-rcbo",
        rcbo_50 = "device-rcbo-50",
        breaker = "device-breaker",
        rcd = "device-rcd",
        blank = "blank-module",
        board_sundries = "board-sundries",
        switched_fuse = "switched-fuse-100",
        earth_clamp = "earth-clamp",
        earth_terminal = "earth-terminal",
        earth_rod = "earth-rod",
        fire_seal = "fire-seal",
        hole_sleeve = "hole-sleeve",
        tape_sand = "warning-tape-sand",
        filler = "filler",
        protection = "floor-protection",
        surface_1g = "box-1g-surface",
        surface_2g = "box-2g-surface",
    }
}

/// Looks names up and remembers the ones that are not there.
struct Names<'a, Index> {
    section: &'static str,
    known: &'a BTreeMap<&'a str, Index>,
    missing: &'a mut Vec<String>,
    any: Index,
}

impl<Index: Copy> Names<'_, Index> {
    fn find(&mut self, name: &str) -> Index {
        self.known.get(name).copied().unwrap_or_else(|| {
            self.missing.push(format!("{}: {name}", self.section));
            self.any
        })
    }
}

/// A rate sheet made ready for pricing.
#[derive(Debug, Clone)]
pub struct Workbook {
    /// The sheet as it was given.
    pub sheet: RateSheet,
    /// Its version.
    pub version: u32,
    /// Operations by index.
    operations: Vec<Operation>,
    /// Materials by index.
    materials: Vec<PricedMaterial>,
    /// By row of the point table.
    point_works: Vec<PointWork>,
    /// By wall.
    wall_works: Vec<WallWork>,
    /// Operation that opens each floor.
    board_operations: Vec<Option<OperationIndex>>,
    /// Operation that lifts each covering.
    covering_operations: Vec<Option<OperationIndex>>,
    /// Selling rates of points.
    point_rates: Vec<SellingRate>,
    /// Selling rates of the rest.
    other_rates: BTreeMap<&'static str, SellingRate>,
    /// Operations by name.
    pub does: NamedOperations,
    /// Materials by name.
    pub takes: NamedMaterials,
    /// Multiple of the white price, by finish.
    finish_multiples: Vec<f64>,
    /// Levels of each factor.
    factors: BTreeMap<(String, String), [f64; Stage::COUNT]>,
}

/// Selling rates that are not point types.
pub const OTHER_RATES: [&str; 6] = ["consumer-unit", "way", "main-bond", "visit", "certificate", "outbuilding-feed"];

impl Workbook {
    /// Makes a sheet ready.
    ///
    /// # Errors
    /// Everything that the engine asks for and the sheet lacks, at once.
    pub fn new(sheet: RateSheet, version: u32, catalogue: &Catalogue) -> Result<Self, IncompleteSheet> {
        let mut missing = Vec::new();
        let (operations, operation_names) = operations(&sheet);
        let materials = materials(&sheet);
        let known_operations: BTreeMap<&str, OperationIndex> =
            operation_names.iter().map(|(name, index)| (name.as_str(), *index)).collect();
        let known_materials: BTreeMap<&str, MaterialIndex> =
            materials.iter().zip(0..).map(|(material, index)| (material.item.as_str(), MaterialIndex(index))).collect();
        let (does, point_operations, wall_operations, board_operations, covering_operations) = {
            let mut names =
                Names { section: "labour", known: &known_operations, missing: &mut missing, any: OperationIndex(0) };
            (
                NamedOperations::find(&mut names),
                catalogue.points().iter().map(|kind| point_operations(kind, &mut names)).collect::<Vec<_>>(),
                Wall::ALL.iter().map(|wall| wall_operations(catalogue, *wall, &mut names)).collect::<Vec<_>>(),
                FloorConstruction::ALL
                    .iter()
                    .map(|floor| optional(&catalogue.floor(*floor).board_operation, &mut names))
                    .collect(),
                FloorCovering::ALL
                    .iter()
                    .map(|covering| optional(&catalogue.covering(*covering).operation, &mut names))
                    .collect(),
            )
        };
        let (takes, point_works, wall_works) = {
            let mut names =
                Names { section: "materials", known: &known_materials, missing: &mut missing, any: MaterialIndex(0) };
            let takes = NamedMaterials::find(&mut names);
            let points = catalogue
                .points()
                .iter()
                .zip(point_operations)
                .map(|(kind, (fit, first_fix))| PointWork {
                    fit,
                    first_fix,
                    accessory: names.find(&kind.accessory),
                    extras: kind.extra_materials().map(|(item, quantity)| (names.find(item), quantity)).collect(),
                })
                .collect();
            let walls = wall_operations
                .into_iter()
                .map(|(suffix, work)| WallWork { box_materials: box_materials(&suffix, &mut names), ..work })
                .collect();
            (takes, points, walls)
        };
        let (point_rates, other_rates) = selling_rates(&sheet, &mut missing);
        let finish_multiples = finish_multiples(&sheet, &mut missing);
        if !missing.is_empty() {
            missing.sort();
            missing.dedup();
            return Err(IncompleteSheet { sheet: sheet.name, missing });
        }
        let factors = sheet.factors.iter().map(factor_levels).collect();
        Ok(Self {
            operations,
            materials,
            point_works,
            wall_works,
            board_operations,
            covering_operations,
            point_rates,
            other_rates,
            does,
            takes,
            finish_multiples,
            factors,
            sheet,
            version,
        })
    }

    /// An operation.
    #[must_use]
    pub fn operation(&self, index: OperationIndex) -> &Operation {
        &self.operations[index.0 as usize]
    }

    /// A material.
    #[must_use]
    pub fn material(&self, index: MaterialIndex) -> &PricedMaterial {
        &self.materials[index.0 as usize]
    }

    /// How many materials the sheet has.
    #[must_use]
    pub fn materials(&self) -> &[PricedMaterial] {
        &self.materials
    }

    /// What the sheet says of one row of the point table.
    #[must_use]
    pub fn point_work(&self, row: usize) -> &PointWork {
        &self.point_works[row]
    }

    /// What the sheet says of a wall.
    #[must_use]
    pub fn wall_work(&self, wall: Wall) -> &WallWork {
        &self.wall_works[wall as usize]
    }

    /// Operation that opens a floor.
    #[must_use]
    pub fn board_operation(&self, floor: FloorConstruction) -> Option<OperationIndex> {
        self.board_operations[floor as usize]
    }

    /// Operation that lifts a covering.
    #[must_use]
    pub fn covering_operation(&self, covering: FloorCovering) -> Option<OperationIndex> {
        self.covering_operations[covering as usize]
    }

    /// The selling rate of a point.
    #[must_use]
    pub fn point_rate(&self, point: PointType) -> SellingRate {
        self.point_rates[point as usize]
    }

    /// A selling rate of [`OTHER_RATES`].
    #[must_use]
    pub fn other_rate(&self, item: &str) -> SellingRate {
        self.other_rates.get(item).copied().unwrap_or(NO_RATE)
    }

    /// Multiple of the white price.
    #[must_use]
    pub fn finish_multiple(&self, finish: Finish) -> f64 {
        self.finish_multiples[finish as usize]
    }

    /// What a factor at a level does at each stage; 1 where the sheet says nothing.
    #[must_use]
    pub fn factor(&self, factor: &str, level: &str) -> [f64; Stage::COUNT] {
        self.factors.get(&(factor.to_owned(), level.to_owned())).copied().unwrap_or([1.0; Stage::COUNT])
    }
}

const NO_RATE: SellingRate = SellingRate { first: Money::ZERO, further: Money::ZERO, materials: 0.0 };

fn operations(sheet: &RateSheet) -> (Vec<Operation>, BTreeMap<String, OperationIndex>) {
    let mut names: BTreeMap<String, OperationIndex> = BTreeMap::new();
    let mut operations: Vec<Operation> = Vec::new();
    for unit in &sheet.labour {
        let next = OperationIndex(u32::try_from(operations.len()).unwrap_or(u32::MAX));
        let index = *names.entry(unit.operation.clone()).or_insert_with(|| {
            operations.push(Operation {
                name: unit.operation.clone(),
                description: unit.description.clone(),
                unit: unit.unit.clone(),
                stages: [None; Stage::COUNT],
                factors: [FactorMask::default(); Stage::COUNT],
            });
            next
        });
        let operation = &mut operations[index.0 as usize];
        operation.stages[unit.stage.index()] =
            Some(ThreePoint { optimistic: unit.optimistic_h, likely: unit.likely_h, pessimistic: unit.pessimistic_h });
        operation.factors[unit.stage.index()] = mask(&unit.difficulty_factors);
    }
    (operations, names)
}

fn mask(names: &[String]) -> FactorMask {
    let bits = Factor::ALL
        .iter()
        .filter(|(_, word)| names.iter().any(|name| name == word))
        .fold(0, |bits, (factor, _)| bits | 1 << *factor as u16);
    FactorMask(bits)
}

fn materials(sheet: &RateSheet) -> Vec<PricedMaterial> {
    sheet
        .materials
        .iter()
        .map(|material| {
            // The contract keeps the pack above nothing; a sheet made in code with an empty pack counts as one.
            let pack = if material.pack_size > 0.0 { material.pack_size } else { 1.0 };
            let unit_price = material.pack_price.exact() / decimal(pack);
            let waste = material.waste_percent / 100.0;
            PricedMaterial {
                item: material.item.clone(),
                description: material.description.clone(),
                unit: material.unit.clone(),
                pack_size: pack,
                unit_price_with_waste: unit_price * decimal(1.0 + waste),
                unit_price,
                waste,
                finished: material.finished,
            }
        })
        .collect()
}

fn optional(name: &str, names: &mut Names<'_, OperationIndex>) -> Option<OperationIndex> {
    if name.is_empty() { None } else { Some(names.find(name)) }
}

type PointOperations = (Vec<OperationIndex>, Vec<OperationIndex>);

fn point_operations(kind: &crate::catalogue::PointKind, names: &mut Names<'_, OperationIndex>) -> PointOperations {
    let fit = kind.fit_operations().map(|name| names.find(name)).collect();
    let first_fix = kind.first_fix_operations().map(|name| names.find(name)).collect();
    (fit, first_fix)
}

fn wall_operations(catalogue: &Catalogue, wall: Wall, names: &mut Names<'_, OperationIndex>) -> (String, WallWork) {
    let kind = catalogue.wall(wall);
    let suffix = kind.box_suffix.as_str();
    let boxes = BOXES.map(|(gangs, depth)| {
        names.find(&match suffix {
            "dry-lining" => format!("box-{gangs}g-dry-lining"),
            "lath-and-plaster" => format!("box-{gangs}g-lath-and-plaster"),
            "surface" => format!("box-surface-{gangs}g"),
            masonry => format!("box-{gangs}g-{depth}-{masonry}"),
        })
    });
    let chases = (!kind.chase.is_empty())
        .then(|| ["single", "double"].map(|runs| names.find(&format!("chase-{runs}-{}", kind.chase))));
    let work = WallWork {
        boxes,
        box_materials: [MaterialIndex(0); 4],
        chases,
        hole: names.find(&kind.hole),
        fan_core: names.find(&kind.fan_core),
        surface: suffix == "surface",
    };
    (suffix.to_owned(), work)
}

/// Gangs and depth of the boxes, in the order of [`WallWork::boxes`].
const BOXES: [(u8, u8); 4] = [(1, 35), (1, 47), (2, 35), (2, 47)];

/// The place of a box in [`WallWork::boxes`].
#[must_use]
pub fn box_index(gangs: u8, depth_mm: u8) -> usize {
    usize::from(gangs >= 2) * 2 + usize::from(depth_mm > 35)
}

fn box_materials(suffix: &str, names: &mut Names<'_, MaterialIndex>) -> [MaterialIndex; 4] {
    BOXES.map(|(gangs, depth)| {
        names.find(&match suffix {
            "dry-lining" => format!("box-{gangs}g-dry-lining"),
            "surface" => format!("box-{gangs}g-surface"),
            _ => format!("box-{gangs}g-{depth}"),
        })
    })
}

fn selling_rates(
    sheet: &RateSheet,
    missing: &mut Vec<String>,
) -> (Vec<SellingRate>, BTreeMap<&'static str, SellingRate>) {
    let known: BTreeMap<&str, SellingRate> = sheet
        .points
        .iter()
        .map(|rate| {
            let selling =
                SellingRate { first: rate.first, further: rate.further, materials: rate.materials_percent / 100.0 };
            (rate.item.as_str(), selling)
        })
        .collect();
    let mut find = |item: &str| {
        known.get(item).copied().unwrap_or_else(|| {
            missing.push(format!("points: {item}"));
            NO_RATE
        })
    };
    let points = PointType::ALL.iter().map(|point| find(point.word())).collect();
    let others = OTHER_RATES.iter().map(|item| (*item, find(item))).collect();
    (points, others)
}

fn finish_multiples(sheet: &RateSheet, missing: &mut Vec<String>) -> Vec<f64> {
    Finish::ALL
        .iter()
        .map(|finish| {
            sheet.terms.finish_multiples.get(finish.word()).copied().unwrap_or_else(|| {
                missing.push(format!("terms: finish_multiples.{finish}"));
                1.0
            })
        })
        .collect()
}

fn factor_levels(factor: &DifficultyFactor) -> ((String, String), [f64; Stage::COUNT]) {
    let mut stages = [1.0; Stage::COUNT];
    stages[Stage::StripOut.index()] = factor.first_fix;
    stages[Stage::FirstFix.index()] = factor.first_fix;
    stages[Stage::SecondFix.index()] = factor.second_fix;
    stages[Stage::Testing.index()] = factor.testing;
    stages[Stage::Preliminaries.index()] = factor.preliminaries;
    ((factor.factor.clone(), factor.level.clone()), stages)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_sheet_has_all_that_the_engine_asks_for() {
        let catalogue = Catalogue::built_in();
        let workbook = Workbook::new(RateSheet::standard(), 1, &catalogue);
        assert!(workbook.is_ok(), "{:?}", workbook.err());
    }

    #[test]
    fn a_sheet_without_brick_chases_is_refused_and_says_so() {
        let mut sheet = RateSheet::standard();
        sheet.labour.retain(|unit| unit.operation != "chase-single-brick");
        sheet.materials.retain(|material| material.item != "clip");
        let refused = Workbook::new(sheet, 1, &Catalogue::built_in()).expect_err("lacks two rows");
        assert_eq!(refused.missing, ["labour: chase-single-brick", "materials: clip"]);
    }

    #[test]
    fn a_double_socket_takes_0_215_hours_to_fit_on_average() {
        // (0.13 + 4 × 0.20 + 0.36) / 6 = 0.215; the three figures are the labour table's, from memory.
        let hours = ThreePoint { optimistic: 0.13, likely: 0.20, pessimistic: 0.36 };
        assert!((hours.mean() - 0.215).abs() < 1e-12);
    }
}
