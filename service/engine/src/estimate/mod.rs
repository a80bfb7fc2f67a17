//! The estimate, as a table of contents: a line a step, from the survey to the document that goes out.

mod assemble;
pub mod difference;
mod engine;
mod feeds;
mod findings;
mod programme;
mod questions;
pub mod replay;
mod review;
mod routes_asked;
mod settle;

pub use crate::answer::*;
pub use engine::{Engine, Stamp};
#[cfg(test)]
pub(crate) use review::priced;
pub use review::{RoomCompleteness, SubjectCompleteness, SurveyReview, SurveyReviewRequest};
pub use routes_asked::*;
pub use settle::{Offer, Payment, VatShare};

use crate::circuits;
use crate::labour::{self, ItemHours};
use crate::pricing::{self, Cost, PricedItem};
use crate::rate_sheet::Workbook;
use crate::routes::Ways;
use crate::site::Site;
use crate::survey::rules::usual_level;
use crate::survey::{EstimateRequest, Survey};
use crate::take_off::{self, Item, Job, TakeOff};
use crate::unit_rates::{Factors, Prices};

/// Prices a survey.
fn estimate(engine: &Engine, request: &EstimateRequest, workbook: &Workbook, stamp: Stamp) -> Estimate {
    // survey → site: every gap filled by a stated assumption
    let (site, mut assumptions) = Site::from_survey(&request.survey, &engine.catalogue);
    // which outbuildings are fed from one another: both ways priced, the cheaper that complies
    let site = feeds::chosen(engine, request, site, workbook, &mut assumptions);
    // site → routes → circuits → checks → take-off → labour → pricing: each item in money
    priced_on(engine, request, &site, workbook, |priced| {
        // the job at point rates; then pricing → range, flags, questions, options → estimate
        let per_point = pricing::per_point(priced.job);
        assemble::assemble(assemble::Parts { engine, request, stamp, assumptions, priced, per_point: &per_point })
    })
}

/// A site with its items priced.
#[derive(Clone, Copy)]
pub(crate) struct PricedSite<'a> {
    pub job: Job<'a>,
    pub take_off: &'a TakeOff,
    pub factors: &'a Factors,
    pub items: &'a [(&'a Item, PricedItem)],
    /// Days of the crew.
    pub days: f64,
}

/// The steps from a site to its priced items, and what is to be made of them. The request tells the storeys and what is
/// wanted of the installation.
fn priced_on<T>(
    engine: &Engine,
    request: &EstimateRequest,
    site: &Site,
    workbook: &Workbook,
    of: impl FnOnce(PricedSite<'_>) -> T,
) -> T {
    designed_on(engine, request, site, workbook, |job, factors| priced_job(job, factors, of))
}

/// The steps from a site to its installation, and what is to be made of them.
fn designed_on<T>(
    engine: &Engine,
    request: &EstimateRequest,
    site: &Site,
    workbook: &Workbook,
    of: impl FnOnce(Job<'_>, &Factors) -> T,
) -> T {
    // site → routes: the map of voids, what is opened for all, which void serves each room
    let factors = Factors::of(site, workbook);
    let prices = Prices::of(site, &engine.catalogue, workbook, &factors);
    let ways = Ways::of(site, &engine.catalogue, prices, |storey| storey_level(&request.survey, storey));
    // routes → circuits → checks: points gathered, device and cable chosen, held against the rules
    let basis = circuits::Basis {
        catalogue: &engine.catalogue,
        standards: &engine.standards,
        survey: &request.survey,
        cost: &|cable, run| circuits::run_cost(workbook, cable, run),
    };
    let installation = circuits::design(&ways, basis);
    // circuits → take-off: all that is done and bought
    let job = Job {
        site,
        ways: &ways,
        installation: &installation,
        catalogue: &engine.catalogue,
        standards: &engine.standards,
        workbook,
        visit: request.terms.as_ref().and_then(|terms| terms.visit.as_ref()),
    };
    of(job, &factors)
}

/// The steps from an installation to its priced items.
fn priced_job<T>(job: Job<'_>, factors: &Factors, of: impl FnOnce(PricedSite<'_>) -> T) -> T {
    let (take_off, hours, days) = counted(job, factors);
    // labour → pricing: each item in money
    let items: Vec<_> = take_off
        .items
        .iter()
        .zip(&hours)
        .map(|(item, hours)| (item, pricing::price(&take_off, item, *hours, job.workbook)))
        .collect();
    of(PricedSite { job, take_off: &take_off, factors, items: &items, days })
}

/// The same steps where only the sum is wanted: nothing is put in words and nothing rounded.
fn approximate_cost(job: Job<'_>, factors: &Factors) -> Cost {
    let (take_off, hours, _) = counted(job, factors);
    pricing::approximate_cost(&take_off, &take_off.items, &hours, job.workbook)
}

/// The same where the items of `counted` stand, and only their factors and the preliminaries are others.
fn approximate_cost_again(counted: &TakeOff, job: Job<'_>, factors: &Factors) -> Cost {
    let lasting = counted.lasting();
    let hours: Vec<ItemHours> =
        lasting.iter().map(|item| ItemHours::of(factors, counted, item, job.workbook)).collect();
    let daily = take_off::Daily::for_hours(job, &hours);
    let mut more = TakeOff::default();
    take_off::preliminaries(job, daily, counted.chased_m(), &mut more);
    let more_hours = labour::hours_of_items(factors, &more, 0, job.workbook);
    pricing::approximate_cost(counted, lasting, &hours, job.workbook)
        + pricing::approximate_cost(&more, &more.items, &more_hours, job.workbook)
}

/// Everything that is done and bought, its hours, and the days of the crew.
fn counted(job: Job<'_>, factors: &Factors) -> (TakeOff, Vec<ItemHours>, f64) {
    let mut take_off = take_off::count(job);
    // take-off → labour: hours, and the days that they take
    let mut hours = labour::hours_of_items(factors, &take_off, 0, job.workbook);
    let daily = take_off::Daily::for_hours(job, &hours);
    take_off::preliminaries(job, daily, take_off.chased_m(), &mut take_off);
    hours.extend(labour::hours_of_items(factors, &take_off, hours.len(), job.workbook));
    (take_off, hours, daily.days)
}

fn storey_level(survey: &Survey, storey: &str) -> Option<i8> {
    let listed = survey.site.iter().flat_map(|site| &site.storeys);
    let level = listed.into_iter().find(|listed| listed.id == storey).map(|listed| listed.level);
    level.or_else(|| usual_level(storey))
}
