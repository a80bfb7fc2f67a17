//! The materials of the job as they go out: as used, as bought, left over; by room, by stage and for the merchant.

use rust_decimal::Decimal;

use super::{DrumCuts, Purchase, TakeOffItem, UsedInRoom, UsedInStage};
use crate::limits::DRUMS_LISTED_MAX;
use crate::money::Money;
use crate::pricing::exact_cost;
use crate::rate_sheet::{PricedMaterial, Workbook};
use crate::site::Site;
use crate::take_off::TakeOff;
use crate::take_off::buying::{Bought, Drum};

/// In the order of the rate sheet.
pub(super) fn materials(take_off: &TakeOff, bought: &[Bought], site: &Site, workbook: &Workbook) -> Vec<TakeOffItem> {
    let mut charged = vec![Decimal::ZERO; workbook.materials().len()];
    for one in take_off.all_uses() {
        charged[one.material.index()] += exact_cost(one, workbook);
    }
    bought
        .iter()
        .map(|entry| item(entry, workbook.material(entry.material), charged[entry.material.index()], site))
        .collect()
}

fn item(entry: &Bought, material: &PricedMaterial, charged: Decimal, site: &Site) -> TakeOffItem {
    let room = |index: usize| site.rooms.get(index).map(|room| room.id.clone());
    TakeOffItem {
        item: material.item.clone(),
        description: material.description.clone(),
        unit: material.unit.clone(),
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
            cost: Money::from_pennies(i64::try_from(count * price).unwrap_or(i64::MAX)),
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

#[expect(clippy::cast_precision_loss, reason = "hundredths of a metre of any job are far below 2^53")]
fn figure(hundredths: u64) -> f64 {
    hundredths as f64 / 100.0
}

fn hundredth(figure: f64) -> f64 {
    (figure * 100.0).round() / 100.0
}
