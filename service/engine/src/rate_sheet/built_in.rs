//! The built-in sheet `standard`, read from the data files beside the code.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::{
    DifficultyFactor, HireKind, HireRate, LabourUnit, Material, OtherPack, PaidTravel, PaymentStage, PointRate,
    RateSheet, RateTerms, Stage,
};
use crate::money::Money;
use crate::survey::VatCase;
use crate::table::rows;

const LABOUR: &str = include_str!("../../data/rate_sheets/standard/labour.csv");
const MATERIALS: &str = include_str!("../../data/rate_sheets/standard/materials.csv");
const POINTS: &str = include_str!("../../data/rate_sheets/standard/points.csv");
const FACTORS: &str = include_str!("../../data/rate_sheets/standard/factors.csv");
const HIRE: &str = include_str!("../../data/rate_sheets/standard/hire.csv");
const TERMS: &str = include_str!("../../data/rate_sheets/standard/terms.csv");

#[derive(Deserialize)]
struct LabourRow {
    operation: String,
    stage: Stage,
    group: String,
    description: String,
    unit: String,
    optimistic_h: f64,
    likely_h: f64,
    pessimistic_h: f64,
    people: u32,
    difficulty_factors: String,
    assumes: String,
    source: String,
}

#[derive(Deserialize)]
struct MaterialRow {
    item: String,
    description: String,
    unit: String,
    pack_size: f64,
    pack_price: String,
    waste_percent: f64,
    finished: String,
    other_packs: String,
    category: String,
    stage: Stage,
    source: String,
}

#[derive(Deserialize)]
struct PointRow {
    item: String,
    first: String,
    further: String,
    materials_percent: f64,
    source: String,
}

#[derive(Deserialize)]
struct HireRow {
    item: String,
    kind: HireKind,
    description: String,
    unit: String,
    capacity_m3: f64,
    price: String,
    source: String,
}

#[derive(Deserialize)]
struct TermRow {
    term: String,
    value: String,
    #[serde(rename = "source")]
    _source: String,
}

pub(super) fn standard() -> RateSheet {
    RateSheet {
        name: "standard".to_owned(),
        currency: "GBP".to_owned(),
        note: "Demonstration sheet: hours from memory, every price and rate invented. Replace it with your own."
            .to_owned(),
        invented: true,
        effective_from: None,
        effective_until: None,
        labour: rows::<LabourRow>("labour.csv", LABOUR).into_iter().map(labour_unit).collect(),
        materials: rows::<MaterialRow>("materials.csv", MATERIALS).into_iter().map(material).collect(),
        points: rows::<PointRow>("points.csv", POINTS).into_iter().map(point_rate).collect(),
        factors: rows::<DifficultyFactor>("factors.csv", FACTORS),
        hire: rows::<HireRow>("hire.csv", HIRE).into_iter().map(hire_rate).collect(),
        terms: terms(),
    }
}

fn labour_unit(row: LabourRow) -> LabourUnit {
    let factors = row.difficulty_factors.split(';').filter(|factor| !factor.is_empty());
    LabourUnit {
        operation: row.operation,
        stage: row.stage,
        group: row.group,
        description: row.description,
        unit: row.unit,
        optimistic_h: row.optimistic_h,
        likely_h: row.likely_h,
        pessimistic_h: row.pessimistic_h,
        people: row.people,
        difficulty_factors: factors.map(str::to_owned).collect(),
        assumes: row.assumes,
        source: row.source,
    }
}

fn material(row: MaterialRow) -> Material {
    Material {
        item: row.item,
        description: row.description,
        unit: row.unit,
        pack_size: row.pack_size,
        pack_price: money(&row.pack_price),
        waste_percent: row.waste_percent,
        finished: row.finished == "yes",
        other_packs: row.other_packs.split(';').filter(|pack| !pack.is_empty()).map(other_pack).collect(),
        category: row.category,
        stage: Some(row.stage),
        source: row.source,
    }
}

fn other_pack(text: &str) -> OtherPack {
    let (size, price) = text.split_once(" at ").unwrap_or_else(|| panic!("materials.csv: `{text}`"));
    OtherPack { size: size.trim().parse().unwrap_or_else(|_| panic!("materials.csv: `{text}`")), price: money(price) }
}

fn point_rate(row: PointRow) -> PointRate {
    PointRate {
        item: row.item,
        first: money(&row.first),
        further: money(&row.further),
        materials_percent: row.materials_percent,
        source: row.source,
    }
}

fn hire_rate(row: HireRow) -> HireRate {
    HireRate {
        item: row.item,
        kind: row.kind,
        description: row.description,
        unit: row.unit,
        capacity_m3: row.capacity_m3,
        price: money(&row.price),
        source: row.source,
    }
}

fn terms() -> RateTerms {
    let in_order: Vec<(String, String)> =
        rows::<TermRow>("terms.csv", TERMS).into_iter().map(|row| (row.term, row.value)).collect();
    let rows: BTreeMap<String, String> = in_order.iter().cloned().collect();
    let text = |term: &str| rows.get(term).map_or("", String::as_str);
    let figure = |term: &str| text(term).parse().unwrap_or_else(|_| panic!("terms.csv: `{term}` is not a number"));
    let whole = |term: &str| text(term).parse().unwrap_or_else(|_| panic!("terms.csv: `{term}` is not a whole number"));
    let finishes = rows
        .keys()
        .filter_map(|term| term.strip_prefix("finish:").map(|finish| (finish.to_owned(), figure(term))))
        .collect();
    let payment_stages = in_order
        .iter()
        .filter_map(|(term, value)| {
            let when = term.strip_prefix("payment:")?;
            let percent = value.parse().unwrap_or_else(|_| panic!("terms.csv: `{term}` is not a number"));
            Some(PaymentStage { when: when.to_owned(), percent })
        })
        .collect();
    RateTerms {
        labour_rate: money(text("labour_rate")),
        crew: Vec::new(),
        sundries_percent: figure("sundries_percent"),
        overhead_percent: figure("overhead_percent"),
        left_over_charged_percent: figure("left_over_charged_percent"),
        spare_under: money(text("spare_under")),
        profit_margin_percent: figure("profit_margin_percent"),
        factor_cap: figure("factor_cap"),
        people: whole("people"),
        hours_per_day: figure("hours_per_day"),
        vehicle_per_km: money(text("vehicle_per_km")),
        paid_travel: PaidTravel::from_word(text("paid_travel")).unwrap_or_else(|| panic!("terms.csv: `paid_travel`")),
        paid_travel_beyond_km: figure("paid_travel_beyond_km"),
        paid_travel_beyond_min: figure("paid_travel_beyond_min"),
        waste_gate_fee: money(text("waste_gate_fee")),
        notification_fee: money(text("notification_fee")),
        crew_spread: figure("crew_spread"),
        price_spread: figure("price_spread"),
        finish_multiples: finishes,
        category_percents: BTreeMap::new(),
        minimum_charge: money(text("minimum_charge")),
        round_down_to: money(text("round_down_to")),
        vat: VatCase::from_word(text("vat")).unwrap_or_else(|| panic!("terms.csv: `vat` is no case")),
        valid_days: whole("valid_days"),
        payment_stages,
    }
}

/// The files are part of the program: a wrong amount in them is a bug that the first test finds.
fn money(text: &str) -> Money {
    text.parse().unwrap_or_else(|fault| panic!("built-in rate sheet: {fault}"))
}
