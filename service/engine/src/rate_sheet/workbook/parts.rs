//! What a workbook holds: operations with their hours, materials with their prices, and what the sheet says of points and
//! walls, all by index.

use rust_decimal::Decimal;
use wiring::closed_list;

use crate::money::Money;
use crate::rate_sheet::Stage;

/// An operation of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct OperationIndex(pub(super) u32);

/// A material of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MaterialIndex(pub(super) u32);

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
    /// Expected hours, `(o + 4m + p) / 6`. Source: the three-point estimate of PERT, as handbooks of project
    /// management print it.
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
    /// How many must be there at once.
    pub people: u32,
    /// Hours by stage.
    pub stages: [Option<ThreePoint>; Stage::COUNT],
    /// Which factors multiply it at each stage.
    pub factors: [FactorMask; Stage::COUNT],
}

/// The factors that an operation names, as bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct FactorMask(pub(super) u16);

closed_list! {
    /// What multiplies hours.
    Factor {
        Occupied = "occupied": "How full the room is.",
        Height = "height": "How high the work is.",
        OldHardTimber = "old-hard-timber": "Old hard timber or a shallow void.",
        Listed = "listed": "Protected or fragile fabric.",
        WetRoom = "wet-room": "Tiled and sealed walls.",
        Finish = "finish": "The look of the accessory.",
        Weather = "weather": "Winter outside.",
        Obstructed = "obstructed": "Something in the way.",
        Congestion = "congestion": "Parking and controlled hours.",
    }
}

closed_list! {
    /// What a selling rate is for, beside the points.
    HouseRate {
        ConsumerUnit = "consumer-unit": "The board.",
        Way = "way": "A circuit with its device and tests.",
        MainBond = "main-bond": "A main bond.",
        Visit = "visit": "Getting there.",
        Certificate = "certificate": "Tests at the origin and papers.",
        OutbuildingFeed = "outbuilding-feed": "The feed of an outbuilding.",
    }
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
    /// What the firm pays for a unit, with waste and without mark-up or discount: what ways are compared by.
    pub unit_cost_with_waste: Decimal,
    /// [`PricedMaterial::unit_price_with_waste`] as a float, for statistics and choices.
    pub approximate_price: f64,
    /// [`PricedMaterial::unit_cost_with_waste`] as a float, for statistics and choices.
    pub approximate_cost: f64,
    /// Price of one unit that the job is charged, the category's mark-up or discount in it, unrounded.
    pub unit_price: Decimal,
    /// Lost in cutting, as a fraction.
    pub waste: f64,
    /// Whether its price goes with the finish.
    pub finished: bool,
    /// Every size in which it is sold, the usual one first: hundredths of the unit, and pennies.
    pub packs: Vec<(u64, u64)>,
    /// Where the merchant keeps it.
    pub category: String,
    /// The stage for which it is wanted.
    pub stage: Option<Stage>,
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
    /// The operation of a box of 16 mm.
    pub shallow: OperationIndex,
    /// Its material.
    pub shallow_material: MaterialIndex,
    /// Chases for one run and for two; absent where the cable is fished.
    pub chases: Option<[OperationIndex; 2]>,
    /// Hole for a cable.
    pub hole: OperationIndex,
    /// Core for a fan.
    pub fan_core: OperationIndex,
    /// Whether boxes sit on the surface.
    pub surface: bool,
    /// Whether boxes are of metal, with holes to be bushed.
    pub metal_boxes: bool,
}

/// What the rate sheet says of one cable.
#[derive(Debug, Clone, Copy)]
pub struct CableWork {
    /// The cable; absent where the sheet has none and may lack it.
    pub material: Option<MaterialIndex>,
    /// A metre of it in an open void, through joists, clipped, fished, in a chase.
    pub laying: [OperationIndex; 5],
    /// A metre of it in an open trench; absent where it is not buried.
    pub trench: Option<OperationIndex>,
    /// One gland; absent where it has none.
    pub gland: Option<OperationIndex>,
}

impl CableWork {
    /// A metre in an open void.
    #[must_use]
    pub const fn open(&self) -> OperationIndex {
        self.laying[0]
    }

    /// A metre through joists.
    #[must_use]
    pub const fn joists(&self) -> OperationIndex {
        self.laying[1]
    }

    /// A metre clipped to a surface.
    #[must_use]
    pub const fn clipped(&self) -> OperationIndex {
        self.laying[2]
    }

    /// A metre fished through a closed void.
    #[must_use]
    pub const fn fished(&self) -> OperationIndex {
        self.laying[3]
    }

    /// A metre in a chase that is cut.
    #[must_use]
    pub const fn chase(&self) -> OperationIndex {
        self.laying[4]
    }
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
