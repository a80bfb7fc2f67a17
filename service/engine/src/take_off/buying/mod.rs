//! What is bought: packs and drums for all that the job uses, at least cost, and what is left of them.
//!
//! Quantities of the whole house are added up first, waste by kind put on, and only then is anything rounded up. Cables are
//! cut from drums whole; whatever can be joined (capping, clips, filler) only has to be enough.

mod cover;
mod cutting;

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use cover::holds;
pub use cover::{Choice, Pack, cheapest};
pub use cutting::{CuttingPlan, Drum, plan};

use super::{Cut, Item, ItemDetail, LineKind, TakeOff, Use};
use crate::limits::CUTTING_STEPS_MAX;
use crate::money::Money;
use crate::rate_sheet::{MaterialIndex, PricedMaterial, Stage, Workbook};
use crate::site::RoomIndex;
use crate::survey::{Finish, SuppliedBy};

/// What is bought apart: an accessory in another finish is another thing on the counter, and what the client brings is not
/// bought at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct PurchaseKey {
    material: usize,
    finish: Option<Finish>,
    supplied_by: SuppliedBy,
}

/// One material of the job: as used, as bought, left over.
#[derive(Debug, Clone, PartialEq)]
pub struct Bought {
    /// The material.
    pub material: MaterialIndex,
    /// Its finish, where it is made in several.
    pub finish: Option<Finish>,
    /// Who brings it: what the client does costs the firm nothing and is not ordered.
    pub supplied_by: SuppliedBy,
    /// Used, without waste, in its unit.
    pub used: f64,
    /// Used and lost.
    pub wanted: f64,
    /// Packs of each size, the usual one first.
    pub counts: Vec<u64>,
    /// What the finish makes of the price of a pack.
    pub finish_multiple: f64,
    /// How much is in them.
    pub bought: f64,
    /// What they cost.
    pub cost: Money,
    /// No purchase that is enough costs less; the same as `cost` where that is proved.
    pub at_least: Money,
    /// What the left-overs cost.
    pub left_over_cost: Money,
    /// Drums with their cuts; empty where nothing is cut whole.
    pub drums: Vec<Drum>,
    /// Joints in pieces that no drum holds.
    pub joints: u64,
    /// Used in each room; nothing for what belongs to no room.
    pub by_room: BTreeMap<Option<RoomIndex>, f64>,
    /// Used in each stage.
    pub by_stage: BTreeMap<Stage, f64>,
}

impl Bought {
    /// What so many packs of a size cost in its finish.
    #[must_use]
    pub fn cost_of(&self, count: u64, price: u64) -> Money {
        money(count.saturating_mul(price)).share(self.finish_multiple)
    }
}

/// What is bought for the job, in the order of the sheet.
#[must_use]
pub fn bought(take_off: &TakeOff, cuts: &[Cut], workbook: &Workbook) -> Vec<Bought> {
    let mut all: BTreeMap<PurchaseKey, Bought> = BTreeMap::new();
    for item in &take_off.items {
        let own = take_off.uses(item).iter().copied().map(|used| (used, SuppliedBy::Firm));
        for (used, supplied_by) in own.chain(brought(item, workbook).map(|used| (used, SuppliedBy::Client))) {
            let finish = used.finish.filter(|_| workbook.material(used.material).finished);
            let key = PurchaseKey { material: used.material.index(), finish, supplied_by };
            let entry = all.entry(key).or_insert_with(|| nothing(used.material, key));
            entry.used += used.quantity;
            *entry.by_room.entry(item.room).or_default() += used.quantity;
            *entry.by_stage.entry(stage_of(item, used.material, workbook)).or_default() += used.quantity;
        }
    }
    let mut pieces: BTreeMap<usize, Vec<u64>> = BTreeMap::new();
    for cut in cuts {
        let waste = workbook.material(cut.material).waste;
        let length = hundredths(cut.metres * (1.0 + waste));
        let pieces = pieces.entry(cut.material.index()).or_default();
        pieces.extend(std::iter::repeat_n(length, cut.count as usize));
    }
    let mut steps = CUTTING_STEPS_MAX;
    let mut bought: Vec<Bought> = all.into_values().filter(|entry| entry.used > 0.0).collect();
    for entry in &mut bought {
        let pieces = pieces.remove(&entry.material.index()).unwrap_or_default();
        buy(entry, &pieces, workbook, &mut steps);
    }
    bought
}

/// The accessory of a point that the client brings.
fn brought(item: &Item, workbook: &Workbook) -> Option<Use> {
    let Some(ItemDetail::Point { row, .. }) = item.detail.as_ref().filter(|_| item.client_supplied) else {
        return None;
    };
    let material = workbook.point_work(*row).accessory;
    Some(Use { material, quantity: item.quantity, finish: Some(item.conditions.finish) })
}

/// What the job is charged for left-overs: the firm's share of what they cost.
#[must_use]
pub fn left_over_charge(bought: &[Bought], percent: f64) -> Money {
    let cost: Money = bought.iter().map(|entry| entry.left_over_cost).sum();
    cost.share(percent / 100.0)
}

fn nothing(material: MaterialIndex, key: PurchaseKey) -> Bought {
    Bought {
        material,
        finish: key.finish,
        supplied_by: key.supplied_by,
        used: 0.0,
        wanted: 0.0,
        counts: Vec::new(),
        finish_multiple: 1.0,
        bought: 0.0,
        cost: Money::ZERO,
        at_least: Money::ZERO,
        left_over_cost: Money::ZERO,
        drums: Vec::new(),
        joints: 0,
        by_room: BTreeMap::new(),
        by_stage: BTreeMap::new(),
    }
}

/// The stage for which a material is wanted; where the sheet does not say, that of most of its item's work.
pub(crate) fn stage_of(item: &Item, material: MaterialIndex, workbook: &Workbook) -> Stage {
    workbook.material(material).stage.unwrap_or(match item.kind {
        LineKind::Cable | LineKind::BuildersWork | LineKind::Earthing | LineKind::Outbuilding => Stage::FirstFix,
        LineKind::StripOut => Stage::StripOut,
        LineKind::Testing => Stage::Testing,
        LineKind::Preliminaries => Stage::Preliminaries,
        LineKind::Point
        | LineKind::Board
        | LineKind::Supply
        | LineKind::MakingGood
        | LineKind::Sundries
        | LineKind::Overhead
        | LineKind::Contingency
        | LineKind::Profit => Stage::SecondFix,
    })
}

fn buy(entry: &mut Bought, pieces: &[u64], workbook: &Workbook, steps: &mut u64) {
    let material = workbook.material(entry.material);
    let packs: Vec<Pack> = material.packs.iter().map(|(size, price)| Pack { size: *size, price: *price }).collect();
    if entry.supplied_by == SuppliedBy::Client {
        entry.wanted = entry.used;
        return;
    }
    entry.wanted = wanted(entry.used, material, workbook);
    let wanted = hundredths(entry.wanted).max(1);
    // Sold by the metre: cut at the counter, to length.
    let by_the_metre = material.pack_size <= 1.0;
    let at_least;
    if pieces.is_empty() || by_the_metre {
        let choice = cheapest(&packs, wanted, 0);
        (entry.counts, entry.cost, at_least) = (choice.counts, money(choice.cost), money(choice.at_least));
    } else {
        let plan = plan(&with_loose(pieces, wanted, &packs), &packs, steps);
        (entry.counts, entry.cost, at_least) = (plan.counts, money(plan.cost), money(plan.at_least));
        (entry.drums, entry.joints) = (plan.drums, plan.joints);
    }
    entry.at_least = at_least;
    let bought = holds(&entry.counts, &packs);
    let left = bought.saturating_sub(wanted);
    entry.bought = figure(bought);
    if let Some(finish) = entry.finish {
        entry.finish_multiple = workbook.finish_multiple(finish);
        entry.cost = entry.counts.iter().zip(&packs).map(|(count, pack)| entry.cost_of(*count, pack.price)).sum();
        entry.at_least = entry.at_least.share(entry.finish_multiple).min(entry.cost);
    }
    entry.left_over_cost = share_of(entry.cost, left, bought);
}

/// What is wanted with waste. Pieces are whole: of a cheap one every spare that waste asks for is bought, of a dear one a
/// spare only where half of it or more is expected to be lost. Common practice, no source.
fn wanted(used: f64, material: &PricedMaterial, workbook: &Workbook) -> f64 {
    let lost = used * material.waste;
    let piece = material.approximate_price / (1.0 + material.waste);
    let dear = piece >= workbook.sheet.terms.spare_under.approximate();
    if is_piece(material) && dear { used + (lost + 0.5).floor() } else { used + lost }
}

/// What is sold one by one, and not by length or weight.
fn is_piece(material: &PricedMaterial) -> bool {
    material.unit == "each" && (material.pack_size - 1.0).abs() < f64::EPSILON
}

/// The pieces, and the metres that none of them accounts for: these may be taken from any drum, so they are cut in lengths
/// that fit on the smallest.
fn with_loose(pieces: &[u64], wanted: u64, packs: &[Pack]) -> Vec<u64> {
    let mut all = pieces.to_vec();
    let smallest = packs.iter().map(|pack| pack.size).min().unwrap_or(wanted).max(1);
    let mut loose = wanted.saturating_sub(pieces.iter().sum());
    while loose > 0 {
        let length = loose.min(smallest);
        all.push(length);
        loose -= length;
    }
    all
}

/// What `left` of `bought` costs. A cost too large to be multiplied exactly is of a sheet from before the rules: there the
/// share is rounded first.
fn share_of(cost: Money, left: u64, bought: u64) -> Money {
    let (left, bought) = (Decimal::from(left), Decimal::from(bought.max(1)));
    let exact = cost.exact().checked_mul(left).map(|product| product / bought);
    Money::rounded(exact.unwrap_or_else(|| cost.exact() * (left / bought)))
}

fn money(pennies: u64) -> Money {
    Money::from_pennies(i64::try_from(pennies).unwrap_or(i64::MAX))
}

/// In hundredths of the unit, rounded up: a hair over is a whole hundredth, a hair of a float is not.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "quantities are finite, bounded and not negative"
)]
fn hundredths(quantity: f64) -> u64 {
    (quantity * 100.0 - 1e-6).ceil().max(0.0) as u64
}

/// A figure in its unit, from hundredths of it.
#[expect(clippy::cast_precision_loss, reason = "hundredths of a metre of any job are far below 2^53")]
pub(crate) fn figure(hundredths: u64) -> f64 {
    hundredths as f64 / 100.0
}
