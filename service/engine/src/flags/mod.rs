//! What could lose money, hurt somebody or delay the job: rules as data, with a small typed predicate each.
//!
//! A rule has its severity, kind, action and basis in `data/risk_flags.csv`; the predicates in this module say where
//! it applies and what was seen. No flag without a trigger in the document; no two flags for one cause.

mod fabric;
mod house;
mod money;
mod supply;
mod wiring;

use std::borrow::Cow;
use std::collections::BTreeMap;

use serde::Deserialize;

use crate::catalogue::Catalogue;
use crate::circuits::{Findings, HouseDemand, Installation};
use crate::estimate::{RiskFlag, RiskKind, Severity};
use crate::money::Money;
use crate::pricing::{Cost, PricedItem, selling};
use crate::range::unknowns::{Asked, Unknown};
use crate::rate_sheet::Workbook;
use crate::routes::Ways;
use crate::site::{RoomPlan, Site};
use crate::survey::VatCase;
use crate::take_off::{Item, ItemKind};

/// What the rules look at.
#[derive(Clone, Copy)]
pub(crate) struct Seen<'a> {
    pub site: &'a Site,
    pub ways: &'a Ways<'a>,
    pub installation: &'a Installation,
    pub demand: &'a HouseDemand,
    /// What was judged of the installation beside its circuits.
    pub findings: &'a Findings,
    pub catalogue: &'a Catalogue,
    pub workbook: &'a Workbook,
    pub items: &'a [(&'a Item, PricedItem)],
    /// What alternatives are priced with.
    pub asked: &'a Asked<'a>,
    /// What was not recorded, each answer priced.
    pub unknowns: &'a [Unknown],
    pub vat: VatCase,
}

impl Seen<'_> {
    /// Rooms of the house with something wanted in them.
    fn rooms(&self) -> impl Iterator<Item = (usize, &RoomPlan)> {
        self.site.rooms.iter().enumerate().filter(|(_, room)| room.is_inside() && !room.points.is_empty())
    }

    /// Net price of the items that the test picks.
    fn price_of(&self, picks: impl Fn(&Item) -> bool) -> Money {
        let direct: Money = self.items.iter().filter(|(item, _)| picks(item)).map(|(_, priced)| priced.amount()).sum();
        selling(direct.approximate(), &self.workbook.sheet.terms)
    }

    /// Whether this is done or bought in a room.
    fn has_item(&self, room: usize, item: ItemKind) -> bool {
        self.items.iter().any(|(one, _)| one.room == Some(room) && one.what == item)
    }

    /// Net price of a cost.
    fn priced(&self, cost: Cost) -> Option<Money> {
        Some(self.asked.selling(cost))
    }

    /// What the crew sent away and back costs.
    fn visit(&self) -> Option<Money> {
        self.priced(self.asked.lost_visit())
    }

    /// What the dearest answer to this question adds to the price as it stands.
    fn dearest(&self, id: &str) -> Option<Money> {
        self.of_unknowns(id, Unknown::dearest)
    }

    /// The dearest answer to this question less the cheapest.
    fn span(&self, id: &str) -> Option<Money> {
        self.of_unknowns(id, Unknown::span)
    }

    fn of_unknowns(&self, id: &str, figure: fn(&Unknown) -> f64) -> Option<Money> {
        let cost: f64 = self.unknowns.iter().filter(|unknown| unknown.id == id).map(figure).sum();
        Some(selling(cost, &self.workbook.sheet.terms))
    }

    /// Net price of hours.
    fn price_of_hours(&self, hours: f64) -> Money {
        let terms = &self.workbook.sheet.terms;
        selling(hours * terms.labour_rate.approximate(), terms)
    }
}

/// The rules, read once.
#[derive(Debug, Clone)]
pub struct Rules {
    rules: BTreeMap<String, Rule>,
}

#[derive(Debug, Clone, Deserialize)]
struct Rule {
    id: String,
    severity: Level,
    kind: Kind,
    action: String,
    basis: String,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Level {
    Stop,
    High,
    Medium,
    Low,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    Safety,
    Money,
    Programme,
}

impl Rules {
    /// The rules that are part of the program.
    #[must_use]
    pub fn built_in() -> Self {
        let rows: Vec<Rule> = crate::table::rows("risk_flags.csv", include_str!("../../data/risk_flags.csv"));
        Self { rules: rows.into_iter().map(|rule| (rule.id.clone(), rule)).collect() }
    }
}

/// Flags as they are found.
pub(crate) struct Found<'a> {
    rules: &'a Rules,
    flags: Vec<RiskFlag>,
}

impl Found<'_> {
    fn raise(&mut self, id: &str, place: impl Into<String>, what: impl Into<String>, at_stake: Option<Money>) {
        // Every id is written in the table; the test over the catalogue holds the two together.
        let Some(rule) = self.rules.rules.get(id) else { return };
        self.flags.push(RiskFlag {
            id: Cow::Owned(rule.id.clone()),
            severity: match rule.severity {
                Level::Stop => Severity::Stop,
                Level::High => Severity::High,
                Level::Medium => Severity::Medium,
                Level::Low => Severity::Low,
            },
            kind: match rule.kind {
                Kind::Safety => RiskKind::Safety,
                Kind::Money => RiskKind::Money,
                Kind::Programme => RiskKind::Programme,
            },
            place: place.into(),
            what: what.into(),
            action: Cow::Owned(rule.action.clone()),
            basis: Cow::Owned(rule.basis.clone()),
            at_stake: at_stake.filter(|money| *money != Money::ZERO),
        });
    }

    /// One flag for all the rooms that the test picks.
    fn raise_for_rooms<'r>(
        &mut self,
        id: &str,
        rooms: impl Iterator<Item = &'r RoomPlan>,
        what: &str,
        at_stake: Option<Money>,
    ) {
        let names: Vec<&str> = rooms.map(|room| room.id.as_str()).collect();
        if !names.is_empty() {
            self.raise(id, listed(&names), what, at_stake);
        }
    }
}

/// A list of places that stays readable in a large house.
fn listed(names: &[&str]) -> String {
    const NAMED_MAX: usize = 12;
    if names.len() <= NAMED_MAX {
        names.join(", ")
    } else {
        format!("{} and {} more", names[..NAMED_MAX].join(", "), names.len() - NAMED_MAX)
    }
}

/// Every flag of a survey, before its price is known.
pub(crate) fn raised(rules: &Rules, seen: Seen<'_>) -> Vec<RiskFlag> {
    let mut found = Found { rules, flags: Vec::new() };
    supply::supply(seen, &mut found);
    supply::checks(seen, &mut found);
    supply::kept(seen, &mut found);
    supply::outside(seen, &mut found);
    fabric::asbestos_and_dust(seen, &mut found);
    fabric::floors(seen, &mut found);
    fabric::ceilings(seen, &mut found);
    fabric::walls(seen, &mut found);
    house::house(seen, &mut found);
    money::people(seen, &mut found);
    money::points(seen, &mut found);
    money::fumes(seen, &mut found);
    wiring::wiring(seen, &mut found);
    money::papers(seen, &mut found);
    found.flags
}

/// The flags with what hangs on the measured net price, by severity, then money, then name.
pub(crate) fn at_price(mut flags: Vec<RiskFlag>, net: Money, vat: VatCase) -> Vec<RiskFlag> {
    for flag in flags.iter_mut().filter(|flag| flag.id == money::TAX_EVIDENCE) {
        flag.at_stake = Some(money::tax_owed(net, vat)).filter(|money| *money != Money::ZERO);
    }
    flags.sort_by(|a, b| {
        a.severity.cmp(&b.severity).then(b.at_stake.cmp(&a.at_stake)).then(a.id.cmp(&b.id)).then(a.place.cmp(&b.place))
    });
    flags
}
