//! The materials of the job as they go out: as used, as bought, left over; by room, by stage and for the merchant.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::limits::DRUMS_LISTED_MAX;
use crate::money::Money;
use crate::pricing::exact_cost;
use crate::rate_sheet::{PricedMaterial, Stage, Workbook};
use crate::site::Site;
use crate::survey::{Finish, SuppliedBy};
use crate::take_off::TakeOff;
use crate::take_off::buying::{Bought, Drum, figure};

/// One material.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TakeOffItem {
    /// The sheet's item.
    #[schema(example = "cable-te-2-5")]
    pub item: String,
    /// In words.
    pub description: String,
    /// Of what.
    #[schema(example = "m")]
    pub unit: String,
    /// Its finish, where it is made in several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finish: Option<Finish>,
    /// Who brings it: what the client does is not ordered and costs nothing here.
    #[serde(default = "by_the_firm")]
    pub supplied_by: SuppliedBy,
    /// Used, without waste.
    pub used: f64,
    /// Lost in cutting.
    pub waste: f64,
    /// Packs to buy, of all sizes together.
    pub packs: u64,
    /// What is in one pack of the usual size.
    pub pack_size: f64,
    /// Bought.
    pub bought: f64,
    /// Left for the next job.
    pub left_over: f64,
    /// Charged: used and waste at the unit price.
    pub charged: Money,
    /// Where the merchant keeps it.
    #[serde(default)]
    #[schema(example = "cable")]
    pub category: String,
    /// What is bought, size by size; the cheapest that is enough.
    #[serde(default)]
    pub purchases: Vec<Purchase>,
    /// What it costs to buy.
    #[serde(default)]
    pub cost: Money,
    /// No purchase that is enough costs less than this; the same as `cost` where that is proved.
    #[serde(default)]
    pub cost_at_least: Money,
    /// What is left over, at what it cost.
    #[serde(default)]
    pub left_over_cost: Money,
    /// What is cut from each drum; empty where nothing has to be cut whole.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub drums: Vec<DrumCuts>,
    /// Joints in runs that are longer than any drum: ask the merchant for a longer one.
    #[serde(default)]
    pub joints: u64,
    /// Used room by room; no room stands for the whole house.
    #[serde(default)]
    pub by_room: Vec<UsedInRoom>,
    /// Used stage by stage.
    #[serde(default)]
    pub by_stage: Vec<UsedInStage>,
}

const fn by_the_firm() -> SuppliedBy {
    SuppliedBy::Firm
}

/// Packs of one size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Purchase {
    /// How many.
    pub packs: u64,
    /// What is in one.
    #[schema(example = 100)]
    pub pack_size: f64,
    /// What they cost together.
    pub cost: Money,
}

/// A drum and its cuts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DrumCuts {
    /// What is on it.
    #[schema(example = 100)]
    pub pack_size: f64,
    /// The cuts with their waste, the longest first.
    pub cuts: Vec<f64>,
    /// What is left on it.
    pub left_over: f64,
}

/// How much of a material a room takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UsedInRoom {
    /// The room; absent for the whole house.
    pub room: Option<String>,
    /// Used there, without waste.
    pub used: f64,
}

/// How much of a material a stage takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UsedInStage {
    /// The stage.
    pub stage: Stage,
    /// Used then, without waste.
    pub used: f64,
}

/// In the order of the rate sheet.
pub(crate) fn materials(take_off: &TakeOff, bought: &[Bought], site: &Site, workbook: &Workbook) -> Vec<TakeOffItem> {
    let mut charged: BTreeMap<(usize, Option<Finish>), Decimal> = BTreeMap::new();
    for one in take_off.all_uses() {
        let finish = one.finish.filter(|_| workbook.material(one.material).finished);
        *charged.entry((one.material.index(), finish)).or_default() += exact_cost(one, workbook);
    }
    let charge = |entry: &Bought| match entry.supplied_by {
        SuppliedBy::Client => Decimal::ZERO,
        SuppliedBy::Firm => charged.get(&(entry.material.index(), entry.finish)).copied().unwrap_or_default(),
    };
    bought.iter().map(|entry| item(entry, workbook.material(entry.material), charge(entry), site)).collect()
}

fn item(entry: &Bought, material: &PricedMaterial, charged: Decimal, site: &Site) -> TakeOffItem {
    let room = |index: usize| site.rooms.get(index).map(|room| room.id.clone());
    TakeOffItem {
        item: material.item.clone(),
        description: material.description.clone(),
        unit: material.unit.clone(),
        finish: entry.finish,
        supplied_by: entry.supplied_by,
        used: hundredth(entry.used),
        waste: hundredth(entry.wanted - entry.used),
        packs: entry.counts.iter().sum(),
        pack_size: material.pack_size,
        bought: hundredth(entry.bought),
        left_over: hundredth((entry.bought - entry.wanted).max(0.0)),
        charged: Money::rounded(charged),
        category: material.category.clone(),
        purchases: purchases(entry, material),
        cost: entry.cost,
        cost_at_least: entry.at_least,
        left_over_cost: entry.left_over_cost,
        drums: entry.drums.iter().take(DRUMS_LISTED_MAX).map(|drum| cuts(drum, material)).collect(),
        joints: entry.joints,
        by_room: entry
            .by_room
            .iter()
            .map(|(index, used)| UsedInRoom { room: index.and_then(room), used: hundredth(*used) })
            .collect(),
        by_stage: entry
            .by_stage
            .iter()
            .map(|(stage, used)| UsedInStage { stage: *stage, used: hundredth(*used) })
            .collect(),
    }
}

fn purchases(entry: &Bought, material: &PricedMaterial) -> Vec<Purchase> {
    let sizes = entry.counts.iter().zip(&material.packs).filter(|(count, _)| **count > 0);
    sizes
        .map(|(count, (size, price))| Purchase {
            packs: *count,
            pack_size: figure(*size),
            cost: entry.cost_of(*count, *price),
        })
        .collect()
}

fn cuts(drum: &Drum, material: &PricedMaterial) -> DrumCuts {
    let size = material.packs.get(drum.pack).map_or(0, |(size, _)| *size);
    let left = size.saturating_sub(drum.cuts.iter().sum());
    DrumCuts {
        pack_size: figure(size),
        cuts: drum.cuts.iter().map(|cut| figure(*cut)).collect(),
        left_over: figure(left),
    }
}

fn hundredth(figure: f64) -> f64 {
    (figure * 100.0).round() / 100.0
}
