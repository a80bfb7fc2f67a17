//! A rate sheet made ready for pricing: every name that the engine asks for is looked up once, so that pricing a
//! survey is arithmetic on indices. A sheet that lacks something is refused here, with everything that it lacks.

mod build;
mod names;
mod parts;

use std::collections::BTreeMap;

pub use build::box_index;
pub use names::{NamedMaterials, NamedOperations};
pub use parts::{
    CableWork, Factor, HouseRate, MaterialIndex, Operation, OperationIndex, PointWork, PricedMaterial, SellingRate,
    ThreePoint, WallWork, Work,
};

use super::{HireKind, HireRate, RateSheet, Section, Stage, UnusableSheet};
use crate::catalogue::{CableIndex, Catalogue};
use crate::money::Money;
use crate::survey::{Boards, Finish, FloorConstruction, FloorCovering, PointType, Wall};
use names::Names;

/// A rate sheet made ready for pricing.
#[derive(Debug, Clone)]
pub struct Workbook {
    /// The sheet as it was given.
    pub sheet: RateSheet,
    /// Its version.
    pub version: u32,
    /// Operations by index.
    operation_rows: Vec<Operation>,
    /// Materials by index.
    material_rows: Vec<PricedMaterial>,
    /// By row of the point table.
    point_works: Vec<PointWork>,
    /// By row of the table of cables.
    cable_works: Vec<CableWork>,
    /// By wall.
    wall_works: Vec<WallWork>,
    /// Operation that opens each floor.
    board_operations: Vec<Option<OperationIndex>>,
    /// Operation that lifts each covering.
    covering_operations: Vec<Option<OperationIndex>>,
    /// Selling rates of points.
    point_rates: Vec<SellingRate>,
    /// Selling rates of the rest, in the order of their list.
    house_rates: Vec<SellingRate>,
    /// Operations by name.
    pub operations: NamedOperations,
    /// Materials by name.
    pub materials: NamedMaterials,
    /// What a sheet may have and need not.
    pub extras: Extras,
    /// Multiple of the white price, by finish.
    finish_multiples: Vec<f64>,
    /// Levels of each factor.
    factors: BTreeMap<String, BTreeMap<String, [f64; Stage::COUNT]>>,
    /// What a person-hour costs, by stage.
    rates: [Money; Stage::COUNT],
}

/// Operations and materials that were asked for later than sheets were kept: one that lacks them is still read, and what
/// is not priced for want of them is said on its line.
#[derive(Debug, Clone, Copy, Default)]
pub struct Extras {
    /// A connector for the neutral in a switch box.
    pub connector: Option<MaterialIndex>,
    /// A combined device that breaks line and neutral.
    pub rcbo_two_pole: Option<MaterialIndex>,
    /// Making off the neutral and the further cable in a switch box.
    pub neutral_at_switch: Option<OperationIndex>,
}

impl Workbook {
    /// Makes a sheet ready.
    ///
    /// # Errors
    /// Everything that the engine asks for and the sheet lacks, and every price that it cannot reckon with, at once.
    pub fn new(sheet: RateSheet, version: u32, catalogue: &Catalogue) -> Result<Self, UnusableSheet> {
        let mut missing = Vec::new();
        let (operations, operation_names) = build::operations(&sheet);
        let materials = build::materials(&sheet);
        let asked = {
            let known = operation_names.iter().map(|(name, index)| (name.as_str(), *index)).collect();
            let (section, any) = (Section::Labour, OperationIndex(0));
            build::asked_operations(catalogue, &mut Names { section, known: &known, missing: &mut missing, any })
        };
        let (named_materials, point_works, cable_works, wall_works) = {
            let known =
                materials.iter().zip(0..).map(|(one, index)| (one.item.as_str(), MaterialIndex(index))).collect();
            let (section, any) = (Section::Materials, MaterialIndex(0));
            let mut names = Names { section, known: &known, missing: &mut missing, any };
            let named_materials = NamedMaterials::find(&mut names);
            let points = build::point_works(catalogue, asked.points, &mut names);
            let cables = build::cable_works(catalogue, &asked.cables, &mut names);
            let walls = build::wall_works(asked.walls, &mut names);
            (named_materials, points, cables, walls)
        };
        let (point_rates, house_rates) = build::selling_rates(&sheet, &mut missing);
        let finish_multiples = build::finish_multiples(&sheet, &mut missing);
        let beyond = build::beyond_any_price(&materials);
        if !missing.is_empty() || !beyond.is_empty() {
            missing.sort();
            missing.dedup();
            return Err(UnusableSheet { sheet: sheet.name, missing, beyond });
        }
        let material = |name: &str| {
            let found = materials.iter().zip(0..).find(|(material, _)| material.item == name);
            found.map(|(_, index)| MaterialIndex(index))
        };
        let extras = Extras {
            connector: material("connector"),
            rcbo_two_pole: material("device-rcbo-2-pole"),
            neutral_at_switch: operation_names.get("neutral-at-switch").copied(),
        };
        Ok(Self {
            rates: build::rates(&sheet.terms),
            operation_rows: operations,
            material_rows: materials,
            point_works,
            cable_works,
            wall_works,
            board_operations: asked.boards,
            covering_operations: asked.coverings,
            point_rates,
            house_rates,
            operations: asked.named,
            materials: named_materials,
            extras,
            finish_multiples,
            factors: build::factors(&sheet),
            sheet,
            version,
        })
    }

    /// An operation.
    #[must_use]
    pub fn operation(&self, index: OperationIndex) -> &Operation {
        &self.operation_rows[index.0 as usize]
    }

    /// A material.
    #[must_use]
    pub fn material(&self, index: MaterialIndex) -> &PricedMaterial {
        &self.material_rows[index.0 as usize]
    }

    /// How many materials the sheet has.
    #[must_use]
    pub fn materials(&self) -> &[PricedMaterial] {
        &self.material_rows
    }

    /// What the sheet says of one row of the point table.
    #[must_use]
    pub fn point_work(&self, row: usize) -> &PointWork {
        &self.point_works[row]
    }

    /// What the sheet says of a cable.
    #[must_use]
    pub fn cable(&self, row: CableIndex) -> &CableWork {
        &self.cable_works[row.index()]
    }

    /// What the sheet says of a wall.
    #[must_use]
    pub fn wall_work(&self, wall: Wall) -> &WallWork {
        &self.wall_works[wall as usize]
    }

    /// Operation that opens a floor whose boards meet so.
    #[must_use]
    pub fn board_operation(&self, floor: FloorConstruction, boards: Boards) -> Option<OperationIndex> {
        match (floor, boards) {
            (FloorConstruction::SuspendedTimber, Boards::Tongued) => Some(self.operations.lift_tongued),
            _ => self.board_operations[floor as usize],
        }
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

    /// A selling rate beside those of the points.
    #[must_use]
    pub fn house_rate(&self, rate: HouseRate) -> SellingRate {
        self.house_rates[rate as usize]
    }

    /// What a person-hour costs at a stage: that of the crew's mix, and at the tests that of those who may test.
    #[must_use]
    pub fn rate(&self, stage: Stage) -> Money {
        self.rates[stage.index()]
    }

    /// What these hours cost, rounded once.
    #[must_use]
    pub fn labour(&self, hours: &[f64; Stage::COUNT]) -> Money {
        Money::rounded(self.rates.iter().zip(hours).map(|(rate, hours)| rate.exactly_times(*hours)).sum())
    }

    /// What a unit of an operation costs on average, without factors; for weighing, never for a price.
    #[must_use]
    pub fn cost_of_one(&self, index: OperationIndex) -> f64 {
        let stages = Stage::ALL.iter().zip(&self.operation(index).stages);
        stages.filter_map(|(stage, hours)| Some(hours.as_ref()?.mean() * self.rate(*stage).approximate())).sum()
    }

    /// People of the crew.
    #[must_use]
    pub fn people(&self) -> f64 {
        f64::from(self.sheet.terms.people)
    }

    /// People of the crew who may test.
    #[must_use]
    pub fn testers(&self) -> f64 {
        let testers: u32 = self.sheet.terms.testers().map(|grade| grade.people).sum();
        if testers == 0 { self.people() } else { f64::from(testers) }
    }

    /// What is hired, of one kind.
    pub fn hire(&self, kind: HireKind) -> impl Iterator<Item = &HireRate> {
        self.sheet.hire.iter().filter(move |rate| rate.kind == kind)
    }

    /// Multiple of the white price.
    #[must_use]
    pub fn finish_multiple(&self, finish: Finish) -> f64 {
        self.finish_multiples[finish as usize]
    }

    /// What a factor at a level does at each stage; 1 where the sheet says nothing.
    #[must_use]
    pub fn factor(&self, factor: Factor, level: &str) -> [f64; Stage::COUNT] {
        let levels = self.factors.get(factor.word());
        levels.and_then(|levels| levels.get(level)).copied().unwrap_or([1.0; Stage::COUNT])
    }
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
        let missing: Vec<String> = refused.missing.iter().map(ToString::to_string).collect();
        assert_eq!(missing, ["labour: chase-single-brick", "materials: clip"]);
    }

    #[test]
    fn a_double_socket_takes_0_215_hours_to_fit_on_average() {
        // (0.13 + 4 × 0.20 + 0.36) / 6 = 0.215; the three figures are the labour table's, from memory.
        let hours = ThreePoint { optimistic: 0.13, likely: 0.20, pessimistic: 0.36 };
        assert!((hours.mean() - 0.215).abs() < 1e-12);
    }
}
