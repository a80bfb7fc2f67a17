//! A designed house, counted and priced.

use super::{Cost, PricedItem, approximate_cost_of_items, price_item};
use crate::circuits::Design;
use crate::labour::{self, Daily, ItemHours};
use crate::take_off::{self, Item, Job, TakeOff};
use crate::unit_rates::Factors;
use crate::work::WorkPart;

/// What an item takes to be counted, and again to be given its hours and its money, in steps.
const STEPS_OF_AN_ITEM: u64 = 20;

/// Everything that is done and bought, with its hours, and the days of the crew.
struct CountedJob {
    /// What is done and bought.
    take_off: TakeOff,
    /// The hours of its items, in their order.
    hours: Vec<ItemHours>,
    /// Days of the crew, and who comes.
    daily: Daily,
}

/// Counts a job: the preliminaries follow from the days that all the rest takes.
fn count(job: Job<'_>, factors: &Factors) -> CountedJob {
    let mut take_off = take_off::count(job);
    let work = job.ways.work();
    work.count(WorkPart::TakeOff, take_off.items.len() as u64 * STEPS_OF_AN_ITEM);
    let mut hours = labour::hours_of_items(factors, &take_off, 0, job.workbook);
    let daily = Daily::for_hours(job, &hours, &take_off);
    labour::preliminaries(job, daily, take_off.chased_m(), &mut take_off);
    hours.extend(labour::hours_of_items(factors, &take_off, hours.len(), job.workbook));
    work.count(WorkPart::Pricing, hours.len() as u64 * STEPS_OF_AN_ITEM);
    CountedJob { take_off, hours, daily }
}

/// A house with every item of its take-off priced.
pub struct Priced {
    /// What is done and bought.
    pub take_off: TakeOff,
    /// The money and the hours of its items, in their order.
    pub items: Vec<PricedItem>,
    /// Days of the crew, and who comes.
    pub daily: Daily,
    /// Steps of work that it took.
    pub steps: u64,
}

impl Priced {
    /// Each item beside its price.
    #[must_use]
    pub fn items(&self) -> Vec<(&Item, PricedItem)> {
        self.take_off.items.iter().zip(self.items.iter().copied()).collect()
    }
}

/// Counts a designed house and prices every item of it.
#[must_use]
pub fn price(design: &Design<'_>) -> Priced {
    let before = design.context.work.steps();
    // circuits → take-off → labour: all that is done and bought, its hours, the days that they take
    let CountedJob { take_off, hours, daily } = count(Job::of(design), design.factors());
    // labour → pricing: each item in money
    let workbook = design.context.workbook;
    let priced = take_off.items.iter().zip(&hours).map(|(item, hours)| price_item(&take_off, item, *hours, workbook));
    let items = priced.collect();
    Priced { take_off, items, daily, steps: design.context.work.steps() - before }
}

/// The cost of a job where only the sum is wanted: nothing is rounded.
pub(crate) fn approximate_cost(job: Job<'_>, factors: &Factors) -> Cost {
    let counted = count(job, factors);
    approximate_cost_of_items(&counted.take_off, &counted.take_off.items, &counted.hours, job.workbook)
}

/// The same where the items of `counted` stand, and only their factors and the preliminaries are others.
pub(crate) fn approximate_cost_again(counted: &TakeOff, job: Job<'_>, factors: &Factors) -> Cost {
    let standing = counted.before_preliminaries();
    job.ways.work().count(WorkPart::Pricing, standing.len() as u64 * STEPS_OF_AN_ITEM);
    let hours: Vec<ItemHours> =
        standing.iter().map(|item| ItemHours::of(factors, counted, item, job.workbook)).collect();
    let daily = Daily::for_hours(job, &hours, counted);
    let mut more = TakeOff::default();
    labour::preliminaries(job, daily, counted.chased_m(), &mut more);
    let more_hours = labour::hours_of_items(factors, &more, 0, job.workbook);
    approximate_cost_of_items(counted, standing, &hours, job.workbook)
        + approximate_cost_of_items(&more, &more.items, &more_hours, job.workbook)
}
