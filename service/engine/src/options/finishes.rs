//! The same points in every other finish: what it changes, for the house and for each room.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::PricedWork;
use crate::labour::ItemHours;
use crate::money::Money;
use crate::pricing::{exact_cost, selling};
use crate::quantities::Hours;
use crate::site::RoomIndex;
use crate::survey::Finish;
use crate::take_off::{Item, Use};
use crate::unit_rates::Conditions;

/// What a finish changes, in direct cost and hours.
#[derive(Debug, Clone, Copy, Default)]
struct FinishSums {
    direct: f64,
    hours: f64,
}

/// What another finish changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FinishChange {
    /// The room; absent for the whole house.
    pub room: Option<RoomIndex>,
    /// The finish, for every accessory that has one.
    pub finish: Finish,
    /// Change of the net price.
    pub net_change: Money,
    /// Change of the hours.
    pub hours_change: Hours,
}

/// Every finish that the firm can supply, for the house and then for each room with something in it that has a finish. What
/// is in that finish already does not change. Work grows with the items times the finishes.
pub(crate) fn finishes(work: &PricedWork<'_>) -> Vec<FinishChange> {
    let mut changes: BTreeMap<(Option<RoomIndex>, usize), FinishSums> = BTreeMap::new();
    for (item, now) in work.items {
        let has_finish = |used: &Use| used.finish.is_some() && work.workbook.material(used.material).finished;
        if !work.take_off.uses(item).iter().any(has_finish) {
            continue;
        }
        for (place, finish) in SUPPLIED.iter().enumerate() {
            let change = change(work, item, now.hours.total(), *finish);
            for room in [None, item.room] {
                let sum = changes.entry((room, place)).or_default();
                sum.direct += change.direct;
                sum.hours += change.hours;
                if item.room.is_none() {
                    break;
                }
            }
        }
    }
    let terms = &work.workbook.sheet.terms;
    changes
        .into_iter()
        .map(|((room, place), change)| FinishChange {
            room,
            finish: SUPPLIED[place],
            net_change: selling(change.direct, terms),
            hours_change: Hours::new(change.hours).rounded(2),
        })
        .collect()
}

/// What the firm buys: the client's own accessories are another matter than a finish.
const SUPPLIED: [Finish; 5] =
    [Finish::White, Finish::WhiteSlim, Finish::Painted, Finish::MetalFlat, Finish::MetalScrewless];

fn change(work: &PricedWork<'_>, item: &Item, hours_now: f64, finish: Finish) -> FinishSums {
    if item.conditions.finish == finish {
        return FinishSums::default();
    }
    let other = item.under(Conditions { finish, ..item.conditions });
    let hours = ItemHours::of(work.factors, work.take_off, &other, work.workbook).in_hundredths().total() - hours_now;
    let cost = |used: &Use| exact_cost(used, work.workbook);
    let materials: Decimal = work
        .take_off
        .uses(item)
        .iter()
        .filter(|used| used.finish.is_some())
        .map(|used| cost(&Use { finish: Some(finish), ..*used }) - cost(used))
        .sum();
    // Small materials that nobody counts go with what is counted.
    let sundries = 1.0 + work.workbook.sheet.terms.sundries_percent / 100.0;
    FinishSums { direct: hours * work.rate() + Money::rounded(materials).approximate() * sundries, hours }
}
