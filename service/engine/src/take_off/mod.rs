//! Everything that is done and bought, counted: each [`Item`] becomes one line of the price.
//!
//! In: the site, its ways, the installation. Out: [`TakeOff`], quantities only: no hours, no money. Long lists of
//! work and materials lie in two flat arrays; an item knows its stretch of each.

mod at_board;
pub mod buying;
mod cables;
mod detail;
mod earthing;
mod fire_seals;
mod house;
mod kind;
mod outbuildings;
mod pieces;
mod points;
mod provisions;
mod rooms;
mod signal_ends;
mod testing;

use std::ops::Range;

use crate::catalogue::{CableClass, Catalogue};
use crate::circuits::{CircuitIndex, Design, Installation};
use crate::context::Context;
use crate::money::Money;
use crate::rate_sheet::{CableWork, MaterialIndex, OperationIndex, Work, Workbook};
use crate::routes::Routing;
use crate::site::{RoomIndex, Site};
use crate::standards::Standards;
use crate::survey::{Finish, Visit};
use crate::unit_rates::Conditions;

pub(crate) use buying::stage_of;
pub use detail::{
    AccessReason, AcrossJoists, CableSpread, ItemDetail, OpeningUser, SkipsWeighed, TowerPlace, WasteOf, WastePart,
    WasteReason,
};
pub(crate) use house::SMALL_BOARD_WAYS;
pub use kind::{ItemKind, LineKind};
pub use pieces::{Cut, cuts};
pub(crate) use points::WITHIN_REACH_M;

/// So much of one material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Use {
    /// What.
    pub material: MaterialIndex,
    /// How much, in the material's unit, without waste.
    pub quantity: f64,
    /// The finish that multiplies its price; absent where it has none.
    pub finish: Option<Finish>,
}

/// One thing done or bought.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What it is for.
    pub kind: LineKind,
    /// The room; absent for the whole house.
    pub room: Option<RoomIndex>,
    /// The circuit, where it belongs to one.
    pub circuit: Option<CircuitIndex>,
    /// What it is.
    pub what: ItemKind,
    /// How many or how much.
    pub quantity: f64,
    /// Of what.
    pub unit: &'static str,
    /// Which factors apply.
    pub conditions: Conditions,
    works: Range<usize>,
    uses: Range<usize>,
    /// Money that is neither hours nor materials: fees and the van, in pennies.
    pub outlay_pennies: i64,
    /// Whether the client brings it.
    pub client_supplied: bool,
    /// What tells it from others of its kind.
    pub detail: Option<ItemDetail>,
}

impl Item {
    /// Nothing, before it is told what it is.
    const BLANK: Self = Self {
        kind: LineKind::Point,
        room: None,
        circuit: None,
        what: ItemKind::MarkOut,
        quantity: 1.0,
        unit: "item",
        conditions: Conditions::HOUSE,
        works: 0..0,
        uses: 0..0,
        outlay_pennies: 0,
        client_supplied: false,
        detail: None,
    };

    /// The same item under other conditions.
    #[must_use]
    pub fn under(&self, conditions: Conditions) -> Self {
        Self { conditions, ..self.clone() }
    }
}

/// Quantities of the whole job.
#[derive(Debug, Clone, Default)]
pub struct TakeOff {
    /// One for each line.
    pub items: Vec<Item>,
    works: Vec<Work>,
    uses: Vec<Use>,
    /// Items that do not hang on the days.
    before_preliminaries: usize,
}

impl TakeOff {
    /// Makes room for what a house of so many rooms usually comes to, so that the lists need not be moved as they grow.
    fn reserve(&mut self, site: &Site) {
        const ITEMS_OF_A_ROOM: usize = 16;
        let items = site.rooms.len() * ITEMS_OF_A_ROOM;
        self.items.reserve(items);
        self.works.reserve(items * 2);
        self.uses.reserve(items * 3);
    }

    /// The work of an item.
    #[must_use]
    pub fn works(&self, item: &Item) -> &[Work] {
        &self.works[item.works.clone()]
    }

    /// The materials of an item.
    #[must_use]
    pub fn uses(&self, item: &Item) -> &[Use] {
        &self.uses[item.uses.clone()]
    }

    /// The items before the preliminaries.
    #[must_use]
    pub fn before_preliminaries(&self) -> &[Item] {
        &self.items[..self.before_preliminaries]
    }

    /// Metres of chase in walls, for the spoil that comes of them.
    #[must_use]
    pub fn chased_m(&self) -> f64 {
        self.before_preliminaries().iter().filter(|item| item.what == ItemKind::Chase).map(|item| item.quantity).sum()
    }

    /// Every use of a material in the job.
    #[must_use]
    pub fn all_uses(&self) -> &[Use] {
        &self.uses
    }

    pub(crate) fn start(&mut self, kind: LineKind, what: ItemKind) -> Draft<'_> {
        let (works, uses) = (self.works.len(), self.uses.len());
        self.items.push(Item { kind, what, works: works..works, uses: uses..uses, ..Item::BLANK });
        Draft(self)
    }
}

/// The last item of the take-off, being put together in its place; it stays there when it is [`Draft::done`].
#[must_use]
pub(crate) struct Draft<'a>(&'a mut TakeOff);

impl Draft<'_> {
    fn with(self, change: impl FnOnce(&mut Item)) -> Self {
        if let Some(item) = self.0.items.last_mut() {
            change(item);
        }
        self
    }

    pub(crate) fn room(self, room: RoomIndex) -> Self {
        self.with(|item| {
            item.room = Some(room);
            item.conditions.room = Some(room);
        })
    }

    pub(crate) fn circuit(self, circuit: CircuitIndex) -> Self {
        self.with(|item| item.circuit = Some(circuit))
    }

    pub(crate) fn quantity(self, quantity: f64, unit: &'static str) -> Self {
        self.with(|item| (item.quantity, item.unit) = (quantity, unit))
    }

    pub(crate) fn finish(self, finish: Finish) -> Self {
        self.with(|item| item.conditions.finish = finish)
    }

    pub(crate) fn client_supplied(self, client_supplied: bool) -> Self {
        self.with(|item| item.client_supplied = client_supplied)
    }

    pub(crate) fn overhead(self, overhead: bool) -> Self {
        self.with(|item| item.conditions.overhead = overhead)
    }

    pub(crate) fn obstructed(self) -> Self {
        self.with(|item| item.conditions.obstructed = true)
    }

    pub(crate) fn detail(self, detail: ItemDetail) -> Self {
        self.with(|item| item.detail = Some(detail))
    }

    pub(crate) fn outlay(self, fee: Money) -> Self {
        use rust_decimal::prelude::ToPrimitive;
        let pennies = (fee.exact() * rust_decimal::Decimal::ONE_HUNDRED).to_i64().unwrap_or(0);
        self.with(|item| item.outlay_pennies += pennies)
    }

    pub(crate) fn work(self, operation: impl Into<Option<OperationIndex>>, quantity: f64) -> Self {
        if let Some(operation) = operation.into()
            && quantity > 0.0
        {
            self.0.works.push(Work { operation, quantity });
        }
        self
    }

    pub(crate) fn uses_material(self, material: impl Into<Option<MaterialIndex>>, quantity: f64) -> Self {
        match material.into() {
            Some(material) => self.uses_finished(material, quantity, None),
            None => self,
        }
    }

    pub(crate) fn uses_finished(self, material: MaterialIndex, quantity: f64, finish: Option<Finish>) -> Self {
        if quantity > 0.0 {
            self.0.uses.push(Use { material, quantity, finish });
        }
        self
    }

    /// Leaves the item in the take-off, unless there is nothing in it.
    pub(crate) fn done(self) {
        let take_off = &mut *self.0;
        let (works, uses) = (take_off.works.len(), take_off.uses.len());
        let empty = |item: &mut Item| item.works.start == works && item.uses.start == uses && item.outlay_pennies == 0;
        if take_off.items.pop_if(empty).is_none() {
            self.stated();
        }
    }

    /// Leaves the item, whatever is in it: what somebody else pays for is worth a line too.
    pub(crate) fn stated(self) {
        let (works, uses) = (self.0.works.len(), self.0.uses.len());
        let _ = self.with(|item| (item.works.end, item.uses.end) = (works, uses));
    }
}

/// What the counting is done from.
#[derive(Clone, Copy)]
pub struct Job<'a> {
    /// The house.
    pub site: &'a Site,
    /// The ways of its cables.
    pub ways: &'a Routing<'a>,
    /// Its circuits and boards.
    pub installation: &'a Installation,
    /// What the trade knows.
    pub catalogue: &'a Catalogue,
    /// The wiring rules.
    pub standards: &'a Standards,
    /// The firm's hours and prices.
    pub workbook: &'a Workbook,
    /// The visit that another job pays for, where this one is done on it.
    pub visit: Option<&'a Visit>,
}

impl<'a> Job<'a> {
    /// A designed house.
    #[must_use]
    pub fn of(design: &'a Design<'a>) -> Self {
        let Context { catalogue, standards, workbook, .. } = design.context;
        Self {
            site: design.site,
            ways: &design.ways,
            installation: &design.installation,
            catalogue,
            standards,
            workbook,
            visit: design.context.visit(),
        }
    }

    /// What the sheet says of the cable that a class is weighed with.
    #[must_use]
    pub fn cable(&self, class: CableClass) -> &CableWork {
        self.workbook.cable(self.catalogue.cables().standing_for(class))
    }

    /// Whether another job on the same visit has cleared, protected and scanned this room.
    #[must_use]
    pub fn has_begun(&self, room: RoomIndex) -> bool {
        self.visit.is_some_and(|visit| visit.has_begun(&self.site.rooms[room].id))
    }
}

/// Counts everything but the preliminaries, which depend on the days that the rest takes.
#[must_use]
pub fn count(job: Job<'_>) -> TakeOff {
    let mut take_off = TakeOff::default();
    take_off.reserve(job.site);
    points::points(job, &mut take_off);
    rooms::rooms(job, &mut take_off);
    cables::cables(job, &mut take_off);
    signal_ends::signal_ends(job, &mut take_off);
    house::house(job, &mut take_off);
    at_board::containment(job, &mut take_off);
    provisions::provisions(job, &mut take_off);
    take_off.before_preliminaries = take_off.items.len();
    take_off
}
