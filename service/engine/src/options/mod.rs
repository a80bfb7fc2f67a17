//! What could be done another way, each with what it changes at the base price, before contingency. Nothing here
//! touches what must stay: alarms, bonding, residual current protection, tests.

mod finishes;

pub use finishes::FinishChange;
pub(crate) use finishes::finishes;

use crate::labour::ItemHours;
use crate::money::Money;
use crate::pricing::{PricedItem, exact_cost, selling};
use crate::quantities::Hours;
use crate::rate_sheet::Workbook;
use crate::site::Site;
use crate::survey::{Finish, Priority};
use crate::take_off::{Item, ItemKind, LineKind, TakeOff, Use};
use crate::unit_rates::{Conditions, Factors};

/// The job that may be done another way.
pub(crate) struct PricedWork<'a> {
    pub site: &'a Site,
    pub take_off: &'a TakeOff,
    pub items: &'a [(&'a Item, PricedItem)],
    pub factors: &'a Factors,
    pub workbook: &'a Workbook,
}

/// What could be done another way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OptionKind {
    /// The client moves out and clears the rooms.
    ClearTheRooms,
    /// White accessories in place of the finishes chosen.
    WhiteThroughout,
    /// The client's plasterer fills.
    OthersMakeGood,
    /// Points that could wait are left out.
    DropWhatCouldWait,
    /// An outbuilding fed from the house, not onward from another.
    FeedOfItsOwn {
        /// The outbuilding.
        building: usize,
        /// The one that it is fed from now.
        from: usize,
    },
    /// An outbuilding fed onward from the board of another.
    FeedOnward {
        /// The outbuilding.
        building: usize,
        /// The one that it would be fed from.
        from: usize,
    },
}

impl OptionKind {
    /// Its identifier; options of one worth stand in the order of theirs.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::ClearTheRooms => "clear-the-rooms",
            Self::WhiteThroughout => "white-throughout",
            Self::OthersMakeGood => "others-make-good",
            Self::DropWhatCouldWait => "drop-what-could-wait",
            Self::FeedOfItsOwn { .. } => "feed-of-its-own",
            Self::FeedOnward { .. } => "feed-onward",
        }
    }
}

/// An option with what it changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JobOption {
    /// What is done.
    pub kind: OptionKind,
    /// Change of the net price.
    pub net_change: Money,
    /// Change of the hours.
    pub hours_change: Hours,
}

impl PricedWork<'_> {
    fn option(&self, kind: OptionKind, direct: f64, hours: f64) -> JobOption {
        JobOption {
            kind,
            net_change: selling(direct, &self.workbook.sheet.terms),
            hours_change: Hours::new(hours).rounded(2),
        }
    }

    fn rate(&self) -> f64 {
        self.workbook.sheet.terms.labour_rate.approximate()
    }

    fn cost_of(&self, picks: impl Fn(&Item) -> bool) -> (f64, f64) {
        let picked = self.items.iter().filter(|(item, _)| picks(item));
        picked.fold((0.0, 0.0), |(direct, hours), (_, priced)| {
            (direct + priced.amount().approximate(), hours + priced.hours.total())
        })
    }
}

/// The options of a job, the one that moves most money first; those that move none are left out.
pub(crate) fn options(work: &PricedWork<'_>) -> Vec<JobOption> {
    let mut options = vec![clear_the_rooms(work), white_throughout(work), others_make_good(work), drop_could(work)];
    options.extend(feeds(work));
    options.retain(|option| option.net_change != Money::ZERO);
    options.sort_by(|a, b| b.net_change.abs().cmp(&a.net_change.abs()).then(a.kind.word().cmp(b.kind.word())));
    options
}

/// Outbuildings fed the other way, where that complies too.
fn feeds<'a>(work: &'a PricedWork<'_>) -> impl Iterator<Item = JobOption> + 'a {
    work.site.outbuildings.iter().enumerate().filter_map(|(building, plan)| {
        let other = plan.other_feed.as_ref().filter(|other| other.fails.is_none())?;
        let from = plan.onward.as_ref()?.from;
        let kind = match plan.via {
            Some(_) => OptionKind::FeedOfItsOwn { building, from },
            None => OptionKind::FeedOnward { building, from },
        };
        Some(work.option(kind, other.money, other.hours))
    })
}

fn clear_the_rooms(work: &PricedWork<'_>) -> JobOption {
    let occupied: f64 = work.items.iter().map(|(_, priced)| priced.hours.occupied).sum();
    let (moving, moving_hours) = work.cost_of(|item| {
        matches!(
            item.what,
            ItemKind::MoveFurniture | ItemKind::KeepLive | ItemKind::TemporarySupply | ItemKind::Protection
        )
    });
    work.option(OptionKind::ClearTheRooms, -(occupied * work.rate() + moving), -(occupied + moving_hours))
}

fn white_throughout(work: &PricedWork<'_>) -> JobOption {
    let mut direct = 0.0;
    let mut hours = 0.0;
    for (item, now) in work.items {
        if matches!(item.conditions.finish, Finish::White | Finish::ClientSupplied) {
            continue;
        }
        let white = item.under(Conditions { finish: Finish::White, ..item.conditions });
        let then = ItemHours::of(work.factors, work.take_off, &white, work.workbook).total();
        let materials: f64 = work
            .take_off
            .uses(item)
            .iter()
            .filter(|used| used.finish.is_some())
            .map(|used| {
                let plain = exact_cost(&Use { finish: None, ..*used }, work.workbook);
                Money::rounded(exact_cost(used, work.workbook) - plain).approximate()
            })
            .sum();
        let saved = now.hours.total() - then;
        hours -= saved;
        direct -= saved * work.rate() + materials;
    }
    work.option(OptionKind::WhiteThroughout, direct, hours)
}

fn others_make_good(work: &PricedWork<'_>) -> JobOption {
    let (direct, hours) = work.cost_of(|item| item.kind == LineKind::MakingGood);
    work.option(OptionKind::OthersMakeGood, -direct, -hours)
}

/// Points that the client would have if there were money left: their own lines only, so the true saving is larger.
fn drop_could(work: &PricedWork<'_>) -> JobOption {
    let could = |item: &Item| {
        let Some(room) = item.room.map(|room| &work.site.rooms[room]) else { return false };
        matches!(item.kind, LineKind::Point | LineKind::Outbuilding)
            && room.points.iter().any(|point| {
                point.priority == Priority::Could
                    && item.what == ItemKind::Point(point.kind)
                    && point.finish == item.conditions.finish
                    && (f64::from(point.count) - item.quantity).abs() < f64::EPSILON
            })
    };
    let (direct, hours) = work.cost_of(could);
    work.option(OptionKind::DropWhatCouldWait, -direct, -hours)
}
