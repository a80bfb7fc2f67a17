//! The parts of a workbook, looked up in its sheet.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::names::{NamedOperations, Names};
use super::parts::{
    CableWork, Factor, FactorMask, HouseRate, MaterialIndex, Operation, OperationIndex, PointWork, PricedMaterial,
    SellingRate, ThreePoint, WallWork,
};
use crate::catalogue::{CableKind, Catalogue};
use crate::limits::UNIT_PRICE_MAX;
use crate::money::{Money, approximate, decimal};
use crate::rate_sheet::{DifficultyFactor, Missing, PriceBeyondLimit, RateSheet, RateTerms, Section, Stage};
use crate::survey::{Finish, FloorConstruction, FloorCovering, PointType, Wall};

pub(super) const NO_RATE: SellingRate = SellingRate { first: Money::ZERO, further: Money::ZERO, materials: 0.0 };

/// The operations that the engine asks for, by what it asks them for.
pub(super) struct AskedOperations {
    pub named: NamedOperations,
    /// By row of the point table: what fits it, and what first fix it takes.
    pub points: Vec<PointOperations>,
    /// By row of the table of cables, still without the cable itself.
    pub cables: Vec<CableWork>,
    /// By wall, with the word for its boxes.
    pub walls: Vec<(String, WallWork)>,
    /// By floor.
    pub boards: Vec<Option<OperationIndex>>,
    /// By covering.
    pub coverings: Vec<Option<OperationIndex>>,
}

pub(super) fn asked_operations(catalogue: &Catalogue, names: &mut Names<'_, OperationIndex>) -> AskedOperations {
    AskedOperations {
        named: NamedOperations::find(names),
        points: catalogue.points().iter().map(|kind| point_operations(kind, names)).collect(),
        cables: catalogue.cables().rows().iter().map(|kind| cable_operations(kind, names)).collect(),
        walls: Wall::ALL.iter().map(|wall| wall_operations(catalogue, *wall, names)).collect(),
        boards: FloorConstruction::ALL
            .iter()
            .map(|floor| optional(&catalogue.floor(*floor).board_operation, names))
            .collect(),
        coverings: FloorCovering::ALL
            .iter()
            .map(|covering| optional(&catalogue.covering(*covering).operation, names))
            .collect(),
    }
}

pub(super) fn point_works(
    catalogue: &Catalogue,
    operations: Vec<PointOperations>,
    names: &mut Names<'_, MaterialIndex>,
) -> Vec<PointWork> {
    let rows = catalogue.points().iter().zip(operations);
    rows.map(|(kind, (fit, first_fix))| PointWork {
        fit,
        first_fix,
        accessory: names.find(&kind.accessory),
        extras: kind.extra_materials().map(|(item, quantity)| (names.find(item), quantity)).collect(),
    })
    .collect()
}

fn cable_operations(kind: &CableKind, names: &mut Names<'_, OperationIndex>) -> CableWork {
    CableWork {
        material: None,
        laying: std::array::from_fn(|lying| names.find_if_asked(&kind.asks.laying[lying]).unwrap_or(names.any)),
        trench: names.find_if_asked(&kind.asks.trench),
        gland: names.find_if_asked(&kind.asks.gland),
    }
}

/// What the sheet says of each row of the table of cables; of one that is never bought, that of the row whose prices it has.
pub(super) fn cable_works(
    catalogue: &Catalogue,
    operations: &[CableWork],
    names: &mut Names<'_, MaterialIndex>,
) -> Vec<CableWork> {
    let cables = catalogue.cables();
    let work = |cable: &CableKind| {
        let priced = cables.row(cable.priced_as);
        CableWork { material: names.find_if_asked(&priced.asks.material), ..operations[cable.priced_as.index()] }
    };
    cables.rows().iter().map(work).collect()
}

pub(super) fn operations(sheet: &RateSheet) -> (Vec<Operation>, BTreeMap<String, OperationIndex>) {
    let mut names: BTreeMap<String, OperationIndex> = BTreeMap::new();
    let mut operations: Vec<Operation> = Vec::new();
    for unit in &sheet.labour {
        let next = OperationIndex(u32::try_from(operations.len()).unwrap_or(u32::MAX));
        let index = *names.entry(unit.operation.clone()).or_insert_with(|| {
            operations.push(Operation {
                name: unit.operation.clone(),
                description: unit.description.clone(),
                unit: unit.unit.clone(),
                people: unit.people,
                stages: [None; Stage::COUNT],
                factors: [FactorMask::default(); Stage::COUNT],
            });
            next
        });
        let operation = &mut operations[index.0 as usize];
        operation.stages[unit.stage.index()] =
            Some(ThreePoint { optimistic: unit.optimistic_h, likely: unit.likely_h, pessimistic: unit.pessimistic_h });
        operation.people = operation.people.max(unit.people);
        operation.factors[unit.stage.index()] = mask(&unit.difficulty_factors);
    }
    (operations, names)
}

fn mask(names: &[String]) -> FactorMask {
    let bits = Factor::ALL
        .iter()
        .filter(|factor| names.iter().any(|name| name == factor.word()))
        .fold(0, |bits, factor| bits | 1 << *factor as u16);
    FactorMask(bits)
}

/// A pack that a price can be divided by. Rules and contract keep packs well above nothing; of a sheet that was kept before
/// them, or made in code, an empty pack counts as one, and a tiny one as the least that a decimal of six places holds.
fn divisible(pack: f64) -> f64 {
    const LEAST: f64 = 1e-6;
    if pack > 0.0 { pack.max(LEAST) } else { 1.0 }
}

pub(super) fn materials(sheet: &RateSheet) -> Vec<PricedMaterial> {
    sheet
        .materials
        .iter()
        .map(|material| {
            let pack = divisible(material.pack_size);
            let percent = sheet.terms.category_percents.get(&material.category).copied().unwrap_or(0.0);
            let unit_cost = material.pack_price.exact() / decimal(pack);
            let unit_price = material.pack_price.exact() * decimal(1.0 + percent / 100.0) / decimal(pack);
            let waste = material.waste_percent / 100.0;
            let unit_price_with_waste = unit_price * decimal(1.0 + waste);
            let unit_cost_with_waste = unit_cost * decimal(1.0 + waste);
            PricedMaterial {
                item: material.item.clone(),
                description: material.description.clone(),
                unit: material.unit.clone(),
                pack_size: pack,
                approximate_price: approximate(unit_price_with_waste),
                approximate_cost: approximate(unit_cost_with_waste),
                unit_price_with_waste,
                unit_cost_with_waste,
                unit_price,
                waste,
                finished: material.finished,
                packs: std::iter::once((pack, material.pack_price))
                    .chain(material.other_packs.iter().map(|other| (other.size, other.price)))
                    .map(|(size, price)| (hundredths(size).max(1), price.pennies()))
                    .collect(),
                category: material.category.clone(),
                stage: material.stage,
            }
        })
        .collect()
}

/// Materials of a sheet kept long ago whose price of a unit is a slip of the keys: nothing can be reckoned with it.
pub(super) fn beyond_any_price(materials: &[PricedMaterial]) -> Vec<PriceBeyondLimit> {
    let most = Decimal::from(UNIT_PRICE_MAX);
    let dearer = |one: &PricedMaterial| one.unit_price_with_waste.max(one.unit_cost_with_waste);
    let rows = materials.iter().enumerate().filter(|(_, one)| dearer(one) > most);
    rows.map(|(row, one)| PriceBeyondLimit { row, item: one.item.clone(), unit_price: dearer(one) }).collect()
}

/// In hundredths of the unit. The contract holds sizes to 100,000.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "sizes are above nothing and bounded")]
fn hundredths(size: f64) -> u64 {
    (size * 100.0).round() as u64
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
    // Masonry under plaster takes a box of the plaster's own depth; a sheet kept before has the row of a deeper one.
    let shallow = match suffix {
        "dry-lining" | "lath-and-plaster" | "surface" => boxes[0],
        masonry => names.find(&format!("box-1g-16-plaster-depth|box-1g-35-{masonry}")),
    };
    let chases = (!kind.chase.is_empty())
        .then(|| ["single", "double"].map(|runs| names.find(&format!("chase-{runs}-{}", kind.chase))));
    let work = WallWork {
        boxes,
        shallow,
        box_materials: [MaterialIndex(0); 4],
        shallow_material: MaterialIndex(0),
        chases,
        hole: names.find(&kind.hole),
        fan_core: names.find(&kind.fan_core),
        surface: suffix == "surface",
        metal_boxes: suffix != "surface" && suffix != "dry-lining",
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

pub(super) fn shallow_material(suffix: &str, names: &mut Names<'_, MaterialIndex>) -> MaterialIndex {
    names.find(match suffix {
        "dry-lining" => "box-1g-dry-lining",
        "surface" => "box-1g-surface",
        "lath-and-plaster" => "box-1g-35",
        _ => "box-1g-16|box-1g-35",
    })
}

pub(super) fn box_materials(suffix: &str, names: &mut Names<'_, MaterialIndex>) -> [MaterialIndex; 4] {
    BOXES.map(|(gangs, depth)| {
        names.find(&match suffix {
            "dry-lining" => format!("box-{gangs}g-dry-lining"),
            "surface" => format!("box-{gangs}g-surface"),
            _ => format!("box-{gangs}g-{depth}"),
        })
    })
}

pub(super) fn selling_rates(sheet: &RateSheet, missing: &mut Vec<Missing>) -> (Vec<SellingRate>, Vec<SellingRate>) {
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
            missing.push(Missing { section: Section::Points, key: item.to_owned() });
            NO_RATE
        })
    };
    let points = PointType::ALL.iter().map(|point| find(point.word())).collect();
    let house = HouseRate::ALL.iter().map(|rate| find(rate.word())).collect();
    (points, house)
}

pub(super) fn finish_multiples(sheet: &RateSheet, missing: &mut Vec<Missing>) -> Vec<f64> {
    Finish::ALL
        .iter()
        .map(|finish| {
            sheet.terms.finish_multiples.get(finish.word()).copied().unwrap_or_else(|| {
                missing.push(Missing { section: Section::Terms, key: format!("finish:{finish}") });
                1.0
            })
        })
        .collect()
}

pub(super) fn rates(terms: &RateTerms) -> [Money; Stage::COUNT] {
    let mut rates = [RateTerms::mix(terms.crew.iter()).unwrap_or(terms.labour_rate); Stage::COUNT];
    if let Some(testers) = RateTerms::mix(terms.testers()) {
        rates[Stage::Testing.index()] = testers;
    }
    rates
}

/// The work on each wall with the boxes that go into it.
pub(super) fn wall_works(walls: Vec<(String, WallWork)>, names: &mut Names<'_, MaterialIndex>) -> Vec<WallWork> {
    let with_boxes = walls.into_iter().map(|(suffix, work)| WallWork {
        box_materials: box_materials(&suffix, names),
        shallow_material: shallow_material(&suffix, names),
        ..work
    });
    with_boxes.collect()
}

/// What multiplies hours, by factor and level.
pub(super) fn factors(sheet: &RateSheet) -> BTreeMap<String, BTreeMap<String, [f64; Stage::COUNT]>> {
    let mut factors: BTreeMap<String, BTreeMap<String, _>> = BTreeMap::new();
    for ((factor, level), stages) in sheet.factors.iter().map(factor_levels) {
        factors.entry(factor).or_default().insert(level, stages);
    }
    factors
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
