//! A firm's rates: hours by operation, prices of materials, rates by point, and its terms. A version is a whole
//! document; once an estimate has used it, it does not change.
//!
//! The built-in sheet `standard` takes its hours from `data/rate_sheets/standard/labour.csv` (nearly all from
//! memory, three-point) and its prices from invented demonstration data, marked so in every row.

mod built_in;
pub mod difference;
mod rules;
pub mod sections;
mod travel;
mod unusable;
mod workbook;

use std::collections::BTreeMap;

use jiff::civil::Date;
use rust_decimal::Decimal;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use wiring::closed_list;

pub use rules::SheetRules;
pub use sections::Section;
pub use travel::PaidTravel;
pub use unusable::{Missing, PriceBeyondLimit, UnusableSheet};
pub use workbook::{
    CableWork, Factor, HouseRate, MaterialIndex, OperationIndex, PricedMaterial, SellingRate, ThreePoint, WallWork,
    Work, Workbook, box_index,
};

use crate::money::Money;
use crate::survey::VatCase;

/// A firm's rates, whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RateSheet {
    /// Its name.
    #[schema(min_length = 1, max_length = 64, pattern = "^[a-z0-9][a-z0-9-]*$", example = "standard")]
    pub name: String,
    /// ISO 4217.
    #[schema(pattern = "^[A-Z]{3}$", example = "GBP")]
    pub currency: String,
    /// What the sheet says of itself; it is printed with every estimate.
    #[schema(max_length = 500)]
    pub note: String,
    /// Whether its figures are invented for demonstration, and nobody's own.
    #[serde(default, skip_serializing_if = "is_false")]
    pub invented: bool,
    /// The first day on which estimates that name no version may use it, in UTC; at once if left out.
    #[schema(pattern = r"^\d{4}-\d{2}-\d{2}$", example = "2027-01-04")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub effective_from: Option<String>,
    /// The last such day; without end if left out.
    #[schema(pattern = r"^\d{4}-\d{2}-\d{2}$", example = "2027-12-31")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub effective_until: Option<String>,
    /// Hours by operation and stage.
    #[schema(max_items = 10000)]
    pub labour: Vec<LabourUnit>,
    /// Materials.
    #[schema(max_items = 10000)]
    pub materials: Vec<Material>,
    /// Selling rates by point, before tax.
    #[schema(max_items = 10000)]
    pub points: Vec<PointRate>,
    /// What multiplies hours.
    #[schema(max_items = 1000)]
    pub factors: Vec<DifficultyFactor>,
    /// What is hired for a job. Left out: the firm hires nothing; waste goes by van, towers and ladders are its own.
    #[schema(max_items = 100)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hire: Vec<HireRate>,
    /// Rates, percentages and tax.
    pub terms: RateTerms,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the form that serde asks for")]
fn is_false(yes: &bool) -> bool {
    !yes
}

/// The stage that work belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// Old work off, made safe.
    StripOut,
    /// All that is hidden.
    FirstFix,
    /// All that shows.
    SecondFix,
    /// Tests and papers.
    Testing,
    /// Getting there, protecting, keeping the house alive.
    Preliminaries,
}

impl Stage {
    /// How many stages there are.
    pub const COUNT: usize = 5;
    /// Every stage, in the order of the job.
    pub const ALL: [Self; Self::COUNT] =
        [Self::StripOut, Self::FirstFix, Self::SecondFix, Self::Testing, Self::Preliminaries];

    /// The stage's place in the order of the job, for arrays by stage.
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }

    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::StripOut => "strip-out",
            Self::FirstFix => "first fix",
            Self::SecondFix => "second fix",
            Self::Testing => "testing",
            Self::Preliminaries => "preliminaries",
        }
    }
}

/// Three-point person-hours of one operation at one stage: everybody who is needed, added up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LabourUnit {
    /// The operation.
    #[schema(min_length = 1, max_length = 64, example = "fit-double-socket")]
    pub operation: String,
    /// The stage.
    pub stage: Stage,
    /// Operations that are learned together.
    #[schema(max_length = 64)]
    pub group: String,
    /// What is done.
    #[schema(max_length = 500)]
    pub description: String,
    /// Per what.
    #[schema(max_length = 64, example = "each")]
    pub unit: String,
    /// When all goes well.
    #[schema(minimum = 0, maximum = 1000)]
    pub optimistic_h: f64,
    /// As a rule.
    #[schema(minimum = 0, maximum = 1000)]
    pub likely_h: f64,
    /// When little goes well.
    #[schema(minimum = 0, maximum = 1000)]
    pub pessimistic_h: f64,
    /// How many must be there at once.
    #[schema(minimum = 1, maximum = 10)]
    pub people: u32,
    /// Which factors of the sheet multiply it.
    #[schema(max_items = 20)]
    #[serde(default)]
    pub difficulty_factors: Vec<String>,
    /// What the hours take for granted.
    #[schema(max_length = 500)]
    #[serde(default)]
    pub assumes: String,
    /// Where the figures come from.
    #[schema(max_length = 500)]
    #[serde(default)]
    pub source: String,
}

/// One material.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// The item.
    #[schema(min_length = 1, max_length = 64, example = "cable-te-2-5")]
    pub item: String,
    /// In words.
    #[schema(max_length = 500)]
    pub description: String,
    /// Of what.
    #[schema(max_length = 64, example = "m")]
    pub unit: String,
    /// How much is in one pack.
    #[schema(exclusive_minimum = 0, maximum = 100000, example = 100)]
    pub pack_size: f64,
    /// Price of one pack, before tax.
    pub pack_price: Money,
    /// Lost in cutting and breaking.
    #[schema(minimum = 0, maximum = 100, example = 10)]
    pub waste_percent: f64,
    /// Whether its price goes with the finish.
    #[serde(default)]
    pub finished: bool,
    /// Further sizes in which it is sold. What the job uses is charged at the price of the pack above; what is bought is
    /// chosen to the least cost.
    #[schema(max_items = 5)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub other_packs: Vec<OtherPack>,
    /// Where the merchant keeps it: what a list for the merchant is grouped by.
    #[schema(max_length = 64, example = "cable")]
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub category: String,
    /// The stage for which it is wanted on site.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stage: Option<Stage>,
    /// Where the price comes from.
    #[schema(max_length = 500)]
    #[serde(default)]
    pub source: String,
}

/// A further size in which a material is sold.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OtherPack {
    /// How much is in it.
    #[schema(exclusive_minimum = 0, maximum = 100000, example = 50)]
    pub size: f64,
    /// Its price, before tax.
    pub price: Money,
}

/// The selling rate of one point, before tax: the first in a room and each further one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PointRate {
    /// A point type, or `consumer-unit`, `way`, `main-bond`, `visit`, `certificate`, `outbuilding-feed`.
    #[schema(min_length = 1, max_length = 64, example = "double-socket")]
    pub item: String,
    /// The first in a room.
    pub first: Money,
    /// Each further one in the same room.
    pub further: Money,
    /// How much of the rate is material.
    #[schema(minimum = 0, maximum = 100)]
    pub materials_percent: f64,
    /// Where the rate comes from.
    #[schema(max_length = 500)]
    #[serde(default)]
    pub source: String,
}

/// What multiplies the hours of an operation that names it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DifficultyFactor {
    /// The factor.
    #[schema(min_length = 1, max_length = 64, example = "occupied")]
    pub factor: String,
    /// Its level, as the survey says it.
    #[schema(min_length = 1, max_length = 64, example = "furnished")]
    pub level: String,
    /// On first fix and strip-out.
    #[schema(minimum = 0.1, maximum = 10)]
    pub first_fix: f64,
    /// On second fix.
    #[schema(minimum = 0.1, maximum = 10)]
    pub second_fix: f64,
    /// On testing.
    #[schema(minimum = 0.1, maximum = 10)]
    pub testing: f64,
    /// On preliminaries.
    #[schema(minimum = 0.1, maximum = 10)]
    pub preliminaries: f64,
    /// Where the figure comes from.
    #[schema(max_length = 500)]
    #[serde(default)]
    pub source: String,
}

closed_list! {
    /// What a hired thing is for.
    HireKind {
        Skip = "skip": "Takes the waste of the job; several sizes may be listed, and the cheapest that holds it is taken.",
        SkipPermit = "skip-permit": "Lets a skip stand on the road, where there is no drive.",
        Tower = "tower": "Reaches a stair void, a high ceiling, or high up outside.",
        Ladder = "ladder": "Reaches points outside.",
    }
}

/// The price of something that is hired for a job, before tax.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HireRate {
    /// Its name.
    #[schema(min_length = 1, max_length = 64, example = "skip-small")]
    pub item: String,
    /// What it is for.
    pub kind: HireKind,
    /// In words.
    #[schema(max_length = 500)]
    pub description: String,
    /// Per what: a skip each, all else by the week.
    #[schema(max_length = 64, example = "each")]
    pub unit: String,
    /// Loose volume that a skip holds, in cubic metres; 0 for anything else.
    #[schema(minimum = 0, maximum = 100, example = 3)]
    pub capacity_m3: f64,
    /// The price, before tax; 0.00 where the firm has its own.
    pub price: Money,
    /// Where the price comes from.
    #[schema(max_length = 500)]
    #[serde(default)]
    pub source: String,
}

/// Those of a crew who are of one grade.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CrewGrade {
    /// The grade.
    #[schema(min_length = 1, max_length = 64, example = "electrician")]
    pub grade: String,
    /// How many of the crew are of it.
    #[schema(minimum = 1, maximum = 20, example = 1)]
    pub people: u32,
    /// All-in cost of one person-hour of it, before overhead and profit.
    pub rate: Money,
    /// Whether they are qualified to test and certify. The others do not work on that.
    #[serde(default)]
    pub tests: bool,
}

/// Rates, percentages and tax.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RateTerms {
    /// All-in cost of one person-hour, before overhead and profit. With a crew by grade it is what the mix comes to.
    pub labour_rate: Money,
    /// The crew by grade. Left out: everybody costs `labour_rate`, and everybody tests.
    #[schema(max_items = 10)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub crew: Vec<CrewGrade>,
    /// Small materials that nobody counts, on materials.
    #[schema(minimum = 0, maximum = 100)]
    pub sundries_percent: f64,
    /// Overhead, on materials, labour and preliminaries.
    #[schema(minimum = 0, maximum = 100)]
    pub overhead_percent: f64,
    /// How much of what is left over of opened drums and packs the job is charged with.
    #[schema(minimum = 0, maximum = 100)]
    #[serde(default)]
    pub left_over_charged_percent: f64,
    /// A piece that costs less than this is bought with its spares, however few; of a dearer one a spare is bought only where
    /// the waste that is expected comes to half a piece or more.
    #[serde(default = "usual_spare_under")]
    pub spare_under: Money,
    /// Profit, as a margin on the price: price = cost / (1 - margin).
    #[schema(minimum = 0, maximum = 90)]
    pub profit_margin_percent: f64,
    /// Product of the factors is held to this, obstruction apart.
    #[schema(minimum = 1, maximum = 10)]
    pub factor_cap: f64,
    /// People in the crew.
    #[schema(minimum = 1, maximum = 20)]
    pub people: u32,
    /// Hours of one person in one day, setting up and clearing away in them.
    #[schema(minimum = 1, maximum = 24)]
    pub hours_per_day: f64,
    /// Cost of the van per kilometre.
    pub vehicle_per_km: Money,
    /// Which travel of the crew is paid as working time, within the day.
    #[serde(default = "PaidTravel::usual")]
    pub paid_travel: PaidTravel,
    /// With `beyond`: kilometres one way that are the crew's own.
    #[schema(minimum = 0, maximum = 1000)]
    #[serde(default)]
    pub paid_travel_beyond_km: f64,
    /// With `beyond`: minutes one way that are the crew's own; the larger of the two holds.
    #[schema(minimum = 0, maximum = 600)]
    #[serde(default)]
    pub paid_travel_beyond_min: f64,
    /// Gate fee for one van of waste.
    pub waste_gate_fee: Money,
    /// Fee of notifying the work through the firm's scheme.
    pub notification_fee: Money,
    /// Spread of the whole job's hours: standard deviation of the logarithm, common to all lines.
    #[schema(minimum = 0, maximum = 1)]
    pub crew_spread: f64,
    /// Spread of the prices of materials between pricing and buying, likewise.
    #[schema(minimum = 0, maximum = 1)]
    pub price_spread: f64,
    /// Price of an accessory in each finish, as a multiple of moulded white.
    pub finish_multiples: BTreeMap<String, f64>,
    /// Put on the price of materials by category, in percent; less than nothing is a discount passed on.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub category_percents: BTreeMap<String, f64>,
    /// The least that the firm comes out for, before tax.
    #[serde(default)]
    pub minimum_charge: Money,
    /// The net price is rounded down to a multiple of this; not at all where it is nothing.
    #[serde(default)]
    pub round_down_to: Money,
    /// The tax case of a job that names none.
    #[serde(default = "usual_vat")]
    pub vat: VatCase,
    /// Days for which a price holds.
    #[schema(minimum = 1, maximum = 365)]
    #[serde(default = "usual_validity")]
    pub valid_days: u32,
    /// What is paid when; the shares add to 100.
    #[schema(max_items = 12)]
    #[serde(default = "usual_payment")]
    pub payment_stages: Vec<PaymentStage>,
}

/// A payment that is due at some point of the job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PaymentStage {
    /// When it is due.
    #[schema(min_length = 1, max_length = 64, example = "first fix photographed")]
    pub when: String,
    /// Its share of the gross price.
    #[schema(exclusive_minimum = 0, maximum = 100)]
    pub percent: f64,
}

/// Common practice, no source.
fn usual_spare_under() -> Money {
    Money::from_pennies(500)
}

const fn usual_vat() -> VatCase {
    VatCase::Standard
}

/// Common practice, no source: thirty days.
const fn usual_validity() -> u32 {
    30
}

fn usual_payment() -> Vec<PaymentStage> {
    vec![PaymentStage { when: "completion".to_owned(), percent: 100.0 }]
}

impl RateTerms {
    /// What an hour of these grades costs, mixed by their numbers, rounded to the penny; none where there are none.
    #[must_use]
    pub fn mix<'a>(grades: impl Iterator<Item = &'a CrewGrade>) -> Option<Money> {
        let (money, people) = grades.fold((Decimal::ZERO, Decimal::ZERO), |(money, people), grade| {
            let count = Decimal::from(grade.people);
            (money + grade.rate.exact() * count, people + count)
        });
        (!people.is_zero()).then(|| Money::rounded(money / people))
    }

    /// Those of the crew who may test and certify.
    pub fn testers(&self) -> impl Iterator<Item = &CrewGrade> {
        self.crew.iter().filter(|grade| grade.tests)
    }
}

impl RateSheet {
    /// The built-in sheet: hours from memory, prices invented for demonstration.
    #[must_use]
    pub fn standard() -> Self {
        built_in::standard()
    }

    /// The first day on which it is in effect. Of a sheet that was read without fault, every date is a date.
    #[must_use]
    pub fn first_day(&self) -> Option<Date> {
        self.effective_from.as_deref().and_then(|day| day.parse().ok())
    }

    /// The last day on which it is in effect.
    #[must_use]
    pub fn last_day(&self) -> Option<Date> {
        self.effective_until.as_deref().and_then(|day| day.parse().ok())
    }
}
