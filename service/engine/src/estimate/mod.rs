//! The estimate, as a table of contents: a line a step, from the survey to the document that goes out.

mod answer;
mod assemble;
mod board;
mod breakdown;
pub mod difference;
mod drawn;
mod engine;
mod installation;
mod lines;
mod materials;
mod plan;
mod programme;
mod questions;
pub mod replay;
mod settle;
mod words;

pub use answer::*;
pub use breakdown::{Breakdown, CircuitPrice, StagePrice};
pub use engine::{Engine, Stamp};
pub use installation::*;
pub use materials::{DrumCuts, Purchase, TakeOffItem, UsedInRoom, UsedInStage};
pub use plan::*;
pub use settle::{Offer, Payment, VatShare};

use crate::circuits;
use crate::labour::{Factors, ItemHours};
use crate::pricing;
use crate::rate_sheet::Workbook;
use crate::routes::Ways;
use crate::site::Site;
use crate::survey::EstimateRequest;
use crate::survey::rules::usual_level;
use crate::take_off::{self, Job};

/// Prices a survey.
fn estimate(engine: &Engine, request: &EstimateRequest, workbook: &Workbook, stamp: Stamp) -> Estimate {
    // survey → site: every gap filled by a stated assumption
    let (site, assumptions) = Site::from_survey(&request.survey, &engine.catalogue);
    // site → routes: which void serves each room
    let ways = Ways::of(&site, &engine.catalogue, |storey| storey_level(request, storey));
    // routes → circuits → checks: points gathered, device and cable chosen, held against the rules
    let installation = circuits::design(&ways, &engine.catalogue, &engine.standards, &request.survey);
    // circuits → take-off: all that is done and bought
    let job = Job {
        site: &site,
        ways: &ways,
        installation: &installation,
        catalogue: &engine.catalogue,
        standards: &engine.standards,
        workbook,
    };
    let mut take_off = take_off::count(job);
    // take-off → labour: hours, and the days that they take
    let factors = Factors::of(&site, workbook);
    let mut hours = factors.of_items(&take_off, 0, workbook);
    let daily = take_off::Daily::for_hours(job, hours.iter().map(ItemHours::total).sum());
    take_off::preliminaries(job, daily, &mut take_off);
    hours.extend(factors.of_items(&take_off, hours.len(), workbook));
    // labour → pricing: each item in money, and the job at point rates
    let priced: Vec<_> = take_off
        .items
        .iter()
        .zip(&hours)
        .map(|(item, hours)| (item, pricing::price(&take_off, item, *hours, workbook)))
        .collect();
    let per_point = pricing::per_point(job);
    // pricing → range, flags, questions, options → estimate
    assemble::assemble(assemble::Parts {
        engine,
        request,
        stamp,
        assumptions,
        job,
        take_off: &take_off,
        factors: &factors,
        priced: &priced,
        per_point: &per_point,
        days: daily.days,
    })
}

fn storey_level(request: &EstimateRequest, storey: &str) -> Option<i8> {
    let listed = request.survey.site.iter().flat_map(|site| &site.storeys);
    let level = listed.into_iter().find(|listed| listed.id == storey).map(|listed| listed.level);
    level.or_else(|| usual_level(storey))
}
