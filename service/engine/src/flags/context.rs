//! What the flags look at, and what they ask of it.

use std::collections::BTreeSet;

use crate::catalogue::Catalogue;
use crate::circuits::{Findings, HouseDemand, Installation};
use crate::money::Money;
use crate::pricing::{Cost, PricedItem, selling};
use crate::rate_sheet::Workbook;
use crate::routes::Routing;
use crate::site::{RoomIndex, RoomPlan, Site};
use crate::survey::VatCase;
use crate::take_off::{Item, ItemKind};
use crate::unknowns::{OpenQuestion, QuestionId, UnknownsContext};

/// What the rules look at.
#[derive(Clone, Copy)]
pub(crate) struct FlagContext<'a> {
    pub site: &'a Site,
    pub ways: &'a Routing<'a>,
    pub installation: &'a Installation,
    pub demand: &'a HouseDemand,
    /// What was judged of the installation beside its circuits.
    pub findings: &'a Findings,
    pub catalogue: &'a Catalogue,
    pub workbook: &'a Workbook,
    pub items: &'a [(&'a Item, PricedItem)],
    /// What alternatives are priced with.
    pub asked: &'a UnknownsContext<'a>,
    /// What was not recorded, each answer priced.
    pub unknowns: &'a [OpenQuestion],
    pub vat: VatCase,
}

impl FlagContext<'_> {
    /// Rooms of the house with something wanted in them.
    pub(super) fn rooms(&self) -> impl Iterator<Item = (usize, &RoomPlan)> {
        self.site.rooms.iter().enumerate().filter(|(_, room)| room.is_inside() && !room.points.is_empty())
    }

    /// Those of them that the test picks.
    pub(super) fn indices(&self, picks: impl Fn(&RoomPlan) -> bool) -> impl Iterator<Item = RoomIndex> {
        self.rooms().filter(move |(_, room)| picks(room)).map(|(index, _)| index)
    }

    /// Net price of the items that the test picks.
    pub(super) fn price_of(&self, picks: impl Fn(&Item) -> bool) -> Money {
        let direct: Money = self.items.iter().filter(|(item, _)| picks(item)).map(|(_, priced)| priced.amount()).sum();
        selling(direct.approximate(), &self.workbook.sheet.terms)
    }

    /// The rooms in which this is done or bought.
    pub(super) fn rooms_with(&self, item: ItemKind) -> BTreeSet<usize> {
        self.items.iter().filter(|(one, _)| one.what == item).filter_map(|(one, _)| one.room).collect()
    }

    /// Net price of a cost.
    pub(super) fn priced(&self, cost: Cost) -> Option<Money> {
        Some(self.asked.selling(cost))
    }

    /// What the crew sent away and back costs.
    pub(super) fn visit(&self) -> Option<Money> {
        self.priced(self.asked.lost_visit())
    }

    /// What the dearest answer to this question adds to the price as it stands.
    pub(super) fn dearest(&self, id: QuestionId) -> Option<Money> {
        self.of_unknowns(id, OpenQuestion::dearest)
    }

    /// The dearest answer to this question less the cheapest.
    pub(super) fn span(&self, id: QuestionId) -> Option<Money> {
        self.of_unknowns(id, OpenQuestion::span)
    }

    /// What this question is worth; nothing where it is not asked.
    pub(super) fn worth(&self, id: QuestionId) -> Option<Money> {
        self.of_unknowns(id, OpenQuestion::worth).filter(|worth| *worth != Money::ZERO)
    }

    fn of_unknowns(&self, id: QuestionId, figure: fn(&OpenQuestion) -> f64) -> Option<Money> {
        let cost: f64 = self.unknowns.iter().filter(|unknown| unknown.id() == id).map(figure).sum();
        Some(selling(cost, &self.workbook.sheet.terms))
    }

    /// Net price of hours.
    pub(super) fn price_of_hours(&self, hours: f64) -> Money {
        let terms = &self.workbook.sheet.terms;
        selling(hours * terms.labour_rate.approximate(), terms)
    }
}
