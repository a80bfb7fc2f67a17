//! Outbuildings that could be fed from one another: one feed onward against a feed of its own from the house. Both are
//! designed, checked and priced as whole jobs; the cheaper one whose circuits comply is taken. The other one stays beside
//! it with its difference. Cost: the job is priced once more for each building that could be fed onward; in a large job, or
//! beyond the first few buildings, that is not done, and an assumption says so.

use crate::catalogue::CircuitType;
use crate::checks::{CheckName, JudgedCircuit};
use crate::circuits::{CircuitPlan, Installation, design};
use crate::context::Context;
use crate::limits::{FEEDS_COMPARED_MAX, FEEDS_COMPARED_POINTS_MAX, FEEDS_COMPARED_ROOMS_MAX};
use crate::money::Money;
use crate::pricing::{PricedItem, price};
use crate::site::{Assumed, Assumptions, FeedFailure, FeedFault, OtherFeed, Site};
use crate::survey::Survey;
use crate::work::WorkPart;

/// A job with its feeds one way.
struct FeedOption {
    money: f64,
    hours: f64,
    metres: f64,
    /// The first circuit of an outbuilding that does not comply.
    fails: Option<FeedFailure>,
}

/// The site with each outbuilding fed in the better of its two ways; which ones were not compared is noted.
pub(super) fn chosen(context: Context<'_>, mut site: Site, assumptions: &mut Assumptions) -> Site {
    let mut candidates: Vec<usize> = (0..site.outbuildings.len())
        .filter(|building| may_be_fed_either_way(&site, *building, context.survey()))
        .collect();
    let large = site.rooms.len() > FEEDS_COMPARED_ROOMS_MAX || site.points() > FEEDS_COMPARED_POINTS_MAX;
    let left = candidates.split_off(if large { 0 } else { FEEDS_COMPARED_MAX.min(candidates.len()) });
    left.into_iter().for_each(|building| not_compared(&site, building, assumptions));
    if candidates.is_empty() {
        return site;
    }
    let fed = |site: &Site| context.work.on_behalf_of(WorkPart::Feeds, || fed(context, site));
    let mut now = fed(&site);
    for building in candidates {
        if !context.work.goes_on() {
            break;
        }
        let mut other_site = site.clone();
        other_site.outbuildings[building].feed_the_other_way();
        if in_a_circle(&other_site, building) {
            continue;
        }
        let other = fed(&other_site);
        let decided_by_survey =
            site.outbuildings[building].onward.as_ref().is_some_and(|onward| onward.decided_by_survey);
        let better = (other.fails.is_some(), other.money) < (now.fails.is_some(), now.money);
        let (taken, left) = if better && !decided_by_survey { (other, now) } else { (now, other) };
        if better && !decided_by_survey {
            site = other_site;
        }
        site.outbuildings[building].other_feed = Some(OtherFeed {
            metres: left.metres - taken.metres,
            hours: left.hours - taken.hours,
            money: left.money - taken.money,
            fails: left.fails,
        });
        now = taken;
    }
    site
}

/// Whether there are two ways to feed a building, and its feed is not there already.
fn may_be_fed_either_way(site: &Site, building: usize, survey: &Survey) -> bool {
    let plan = &site.outbuildings[building];
    let id = &site.rooms[plan.room].id;
    let kept = survey.circuits.iter().any(|circuit| circuit.is_kept_feed() && circuit.rooms.contains(id));
    plan.onward.is_some() && !kept
}

/// Notes that the other feed of a building was not priced; where the survey says which one it wants there is no doubt.
fn not_compared(site: &Site, building: usize, assumptions: &mut Assumptions) {
    let plan = &site.outbuildings[building];
    if plan.onward.as_ref().is_some_and(|onward| onward.decided_by_survey) {
        return;
    }
    assumptions.room(Assumed::OutbuildingFeed, &site.rooms[plan.room].id);
}

/// Whether a building would be fed by way of itself.
fn in_a_circle(site: &Site, building: usize) -> bool {
    let on_the_way = std::iter::successors(site.outbuildings[building].via, |via| site.outbuildings[*via].via);
    on_the_way.take(site.outbuildings.len()).any(|via| via == building)
}

/// The whole job with its feeds so.
fn fed(context: Context<'_>, site: &Site) -> FeedOption {
    let design = design(context, site);
    let priced = price(&design);
    let installation = &design.installation;
    let feeds = installation.circuits.iter().filter(|one| one.kind == CircuitType::Distribution);
    FeedOption {
        money: priced.items.iter().map(PricedItem::amount).sum::<Money>().approximate(),
        hours: priced.items.iter().map(|item| item.hours.total()).sum(),
        metres: feeds.map(|circuit| circuit.run.metres.value()).sum(),
        fails: fails(installation),
    }
}

/// The first circuit of an outbuilding that fails a check, could not be checked, or is beyond the largest device.
fn fails(installation: &Installation) -> Option<FeedFailure> {
    let outside = installation.circuits.iter().zip(&installation.checked).filter(|(one, _)| one.outbuilding.is_some());
    let mut failing = outside.filter_map(|(circuit, checked)| {
        let fault = fault(circuit, checked.as_ref().map(|proof| &proof.judged))?;
        Some(FeedFailure { circuit: circuit.name.clone(), fault })
    });
    failing.next()
}

fn fault(circuit: &CircuitPlan, judged: Option<&JudgedCircuit>) -> Option<FeedFault> {
    let Some(judged) = judged else { return Some(FeedFault::BeyondTables) };
    if circuit.beyond_table {
        return Some(FeedFault::AboveLargestDevice);
    }
    let failed = judged.failing();
    let failed: Vec<CheckName> = failed.map(|check| check.name).collect();
    (!failed.is_empty()).then_some(FeedFault::Checks(failed))
}
