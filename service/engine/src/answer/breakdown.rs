//! The price by circuit and by stage: each adds to the net price, as the lines do.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Line;
use crate::money::Money;
use crate::pricing::{PricedItem, apportion, exact_cost};
use crate::quantities::Hours;
use crate::rate_sheet::Stage;
use crate::take_off::{Item, Job, TakeOff, stage_of};

/// The price by circuit and by stage; each adds to `totals.net`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
pub struct Breakdown {
    /// By circuit; no circuit stands for all that belongs to none.
    pub by_circuit: Vec<CircuitPrice>,
    /// By stage; no stage stands for all that belongs to none. At point rates all of it.
    pub by_stage: Vec<StagePrice>,
}

/// What one circuit costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CircuitPrice {
    /// The circuit; absent for all that belongs to none.
    pub circuit: Option<String>,
    /// Person-hours.
    pub hours: Hours,
    /// Materials.
    pub materials: Money,
    /// Labour.
    pub labour: Money,
    /// Sum of its lines.
    pub amount: Money,
}

/// What one stage costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct StagePrice {
    /// The stage; absent for all that belongs to none, such as overhead and profit.
    pub stage: Option<Stage>,
    /// Person-hours.
    pub hours: Hours,
    /// Materials wanted for it.
    pub materials: Money,
    /// Labour in it.
    pub labour: Money,
    /// What it adds to `totals.net`.
    pub amount: Money,
}

/// The lines by circuit, and the priced items by stage; what belongs to none stands in a row of its own, the last.
pub(crate) fn breakdown(
    job: Job<'_>,
    take_off: &TakeOff,
    priced: &[(&Item, PricedItem)],
    lines: &[Line],
    is_measured: bool,
) -> Breakdown {
    let net: Money = lines.iter().map(|line| line.amount).sum();
    Breakdown {
        by_circuit: circuits(job, lines),
        by_stage: stages(job, take_off, if is_measured { priced } else { &[] }, net),
    }
}

fn circuits(job: Job<'_>, lines: &[Line]) -> Vec<CircuitPrice> {
    let ids = job.installation.circuits.iter().map(|circuit| Some(circuit.id.clone())).chain([None]);
    let mut rows: Vec<CircuitPrice> = ids
        .map(|circuit| CircuitPrice {
            circuit,
            hours: Hours::ZERO,
            materials: Money::ZERO,
            labour: Money::ZERO,
            amount: Money::ZERO,
        })
        .collect();
    let places: std::collections::BTreeMap<Option<String>, usize> =
        rows.iter().enumerate().map(|(place, row)| (row.circuit.clone(), place)).collect();
    let house = rows.len() - 1;
    for line in lines {
        let row = &mut rows[places.get(&line.circuit).copied().unwrap_or(house)];
        row.hours += line.hours;
        row.materials += line.materials;
        row.labour += line.labour;
        row.amount += line.amount;
    }
    for row in &mut rows {
        row.hours = row.hours.rounded(2);
    }
    rows
}

fn stages(job: Job<'_>, take_off: &TakeOff, priced: &[(&Item, PricedItem)], net: Money) -> Vec<StagePrice> {
    let none = |stage| StagePrice {
        stage,
        hours: Hours::ZERO,
        materials: Money::ZERO,
        labour: Money::ZERO,
        amount: Money::ZERO,
    };
    let mut rows: Vec<StagePrice> = Stage::ALL.iter().map(|stage| none(Some(*stage))).chain([none(None)]).collect();
    for (item, priced) in priced.iter().take_while(|_| job.ways.work().goes_on()) {
        let hours = Stage::ALL.map(|stage| job.workbook.rate(stage).exactly_times(priced.hours.stages[stage.index()]));
        for ((row, labour), hours) in rows.iter_mut().zip(apportion(priced.labour, &hours)).zip(priced.hours.stages) {
            row.labour += labour;
            row.hours += Hours::new(hours);
        }
        let mut weights = [Decimal::ZERO; Stage::COUNT];
        weights[Stage::Preliminaries.index()] = Money::from_pennies(item.outlay_pennies).exact();
        for used in take_off.uses(item) {
            weights[stage_of(item, used.material, job.workbook).index()] += exact_cost(used, job.workbook);
        }
        for (row, materials) in rows.iter_mut().zip(apportion(priced.materials, &weights)) {
            row.materials += materials;
        }
    }
    for row in &mut rows {
        row.amount = row.materials + row.labour;
        row.hours = row.hours.rounded(2);
    }
    let spread: Money = rows.iter().map(|row| row.amount).sum();
    if let Some(rest) = rows.last_mut() {
        rest.amount = net - spread;
    }
    rows
}
