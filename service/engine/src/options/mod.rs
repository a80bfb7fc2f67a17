//! What could be done another way, each with what it changes at the base price, before contingency. Nothing here
//! touches what must stay: alarms, bonding, residual current protection, tests.

mod finishes;

pub(crate) use finishes::finishes;

use std::borrow::Cow;

use crate::estimate::{LineKind, PricedOption};
use crate::labour::ItemHours;
use crate::money::Money;
use crate::pricing::{PricedItem, exact_cost, selling};
use crate::quantities::Hours;
use crate::rate_sheet::Workbook;
use crate::site::Site;
use crate::survey::{Finish, Priority};
use crate::take_off::{Item, ItemKind, TakeOff};
use crate::unit_rates::{Conditions, Factors};

pub(crate) struct Priced<'a> {
    pub site: &'a Site,
    pub take_off: &'a TakeOff,
    pub items: &'a [(&'a Item, PricedItem)],
    pub factors: &'a Factors,
    pub workbook: &'a Workbook,
}

impl Priced<'_> {
    fn option(&self, id: &'static str, what: String, direct: f64, hours: f64, effect: &'static str) -> PricedOption {
        PricedOption {
            id: Cow::Borrowed(id),
            what,
            net_change: selling(direct, &self.workbook.sheet.terms),
            hours_change: Hours::new(hours).rounded(2),
            effect: Cow::Borrowed(effect),
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
pub(crate) fn options(priced: &Priced<'_>) -> Vec<PricedOption> {
    let mut options =
        vec![clear_the_rooms(priced), white_throughout(priced), others_make_good(priced), drop_could(priced)];
    options.extend(feeds(priced));
    options.retain(|option| option.net_change != Money::ZERO);
    options.sort_by(|a, b| b.net_change.abs().cmp(&a.net_change.abs()).then(a.id.cmp(&b.id)));
    options
}

/// Outbuildings fed the other way, where that complies too.
fn feeds<'a>(priced: &'a Priced<'_>) -> impl Iterator<Item = PricedOption> + 'a {
    let site = priced.site;
    let name = |index: usize| site.rooms[site.outbuildings[index].room].name.clone();
    site.outbuildings.iter().enumerate().filter_map(move |(index, building)| {
        let other = building.other_feed.as_ref().filter(|other| other.fails.is_none())?;
        let onward = building.onward.as_ref()?;
        let (id, what, effect) = match building.via {
            Some(_) => (
                "feed-of-its-own",
                format!("{} by a feed of its own from the house, not onward from {}", name(index), name(onward.from)),
                "each building can be made dead without the other",
            ),
            None => (
                "feed-onward",
                format!(
                    "{} fed onward from the board of {}, without a feed of its own",
                    name(index),
                    name(onward.from)
                ),
                "what stops the one building stops the other",
            ),
        };
        Some(priced.option(id, what, other.money, other.hours, effect))
    })
}

fn clear_the_rooms(priced: &Priced<'_>) -> PricedOption {
    let occupied: f64 = priced.items.iter().map(|(_, priced)| priced.hours.occupied).sum();
    let (moving, moving_hours) = priced.cost_of(|item| {
        matches!(
            item.what,
            ItemKind::MoveFurniture | ItemKind::KeepLive | ItemKind::TemporarySupply | ItemKind::Protection
        )
    });
    priced.option(
        "clear-the-rooms",
        "The client moves out and clears every room before first fix".to_owned(),
        -(occupied * priced.rate() + moving),
        -(occupied + moving_hours),
        "nothing is lost; the house is not lived in for the length of first fix",
    )
}

fn white_throughout(priced: &Priced<'_>) -> PricedOption {
    let mut direct = 0.0;
    let mut hours = 0.0;
    for (item, now) in priced.items {
        if matches!(item.conditions.finish, Finish::White | Finish::ClientSupplied) {
            continue;
        }
        let white = item.under(Conditions { finish: Finish::White, ..item.conditions });
        let then = ItemHours::of(priced.factors, priced.take_off, &white, priced.workbook).total();
        let materials: f64 = priced
            .take_off
            .uses(item)
            .iter()
            .filter(|used| used.finish.is_some())
            .map(|used| {
                let plain = exact_cost(&crate::take_off::Use { finish: None, ..*used }, priced.workbook);
                crate::money::Money::rounded(exact_cost(used, priced.workbook) - plain).approximate()
            })
            .sum();
        let saved = now.hours.total() - then;
        hours -= saved;
        direct -= saved * priced.rate() + materials;
    }
    priced.option(
        "white-throughout",
        "Moulded white accessories in place of the finishes chosen".to_owned(),
        direct,
        hours,
        "the look of the accessories; nothing else",
    )
}

fn others_make_good(priced: &Priced<'_>) -> PricedOption {
    let (direct, hours) = priced.cost_of(|item| item.kind == LineKind::MakingGood);
    priced.option(
        "others-make-good",
        "The client's plasterer fills chases and round boxes".to_owned(),
        -direct,
        -hours,
        "the plasterer's bill comes on top, and his dates decide the second fix",
    )
}

/// Points that the client would have if there were money left: their own lines only, so the true saving is larger.
fn drop_could(priced: &Priced<'_>) -> PricedOption {
    let could = |item: &Item| {
        let Some(room) = item.room.map(|room| &priced.site.rooms[room]) else { return false };
        matches!(item.kind, LineKind::Point | LineKind::Outbuilding)
            && room.points.iter().any(|point| {
                point.priority == Priority::Could
                    && item.what == ItemKind::Point(point.kind)
                    && point.finish == item.conditions.finish
                    && (f64::from(point.count) - item.quantity).abs() < f64::EPSILON
            })
    };
    let (direct, hours) = priced.cost_of(could);
    priced.option(
        "drop-what-could-wait",
        "Leave out the points marked `could`".to_owned(),
        -direct,
        -hours,
        "those points; their cable and chases save more, which is not counted here",
    )
}
