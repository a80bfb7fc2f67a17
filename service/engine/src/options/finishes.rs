//! The same points in every other finish: what it changes, for the house and for each room.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::Priced;
use crate::estimate::FinishAlternative;
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
struct Change {
    direct: f64,
    hours: f64,
}

/// Every finish that the firm can supply, for the house and then for each room with something in it that has a finish. What
/// is in that finish already does not change. Work grows with the items times the finishes.
pub(crate) fn finishes(priced: &Priced<'_>) -> Vec<FinishAlternative> {
    let mut changes: BTreeMap<(Option<RoomIndex>, usize), Change> = BTreeMap::new();
    for (item, now) in priced.items {
        let has_finish = |used: &Use| used.finish.is_some() && priced.workbook.material(used.material).finished;
        if !priced.take_off.uses(item).iter().any(has_finish) {
            continue;
        }
        for (place, finish) in SUPPLIED.iter().enumerate() {
            let change = change(priced, item, now.hours.total(), *finish);
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
    let terms = &priced.workbook.sheet.terms;
    changes
        .into_iter()
        .map(|((room, place), change)| FinishAlternative {
            room: room.map(|room| priced.site.rooms[room].id.clone()),
            finish: SUPPLIED[place],
            net_change: selling(change.direct, terms),
            hours_change: Hours::new(change.hours).rounded(2),
        })
        .collect()
}

/// What the firm buys: the client's own accessories are another matter than a finish.
const SUPPLIED: [Finish; 5] =
    [Finish::White, Finish::WhiteSlim, Finish::Painted, Finish::MetalFlat, Finish::MetalScrewless];

fn change(priced: &Priced<'_>, item: &Item, hours_now: f64, finish: Finish) -> Change {
    if item.conditions.finish == finish {
        return Change::default();
    }
    let other = item.under(Conditions { finish, ..item.conditions });
    let hours =
        ItemHours::of(priced.factors, priced.take_off, &other, priced.workbook).in_hundredths().total() - hours_now;
    let cost = |used: &Use| exact_cost(used, priced.workbook);
    let materials: Decimal = priced
        .take_off
        .uses(item)
        .iter()
        .filter(|used| used.finish.is_some())
        .map(|used| cost(&Use { finish: Some(finish), ..*used }) - cost(used))
        .sum();
    // Small materials that nobody counts go with what is counted.
    let sundries = 1.0 + priced.workbook.sheet.terms.sundries_percent / 100.0;
    Change { direct: hours * priced.rate() + Money::rounded(materials).approximate() * sundries, hours }
}
