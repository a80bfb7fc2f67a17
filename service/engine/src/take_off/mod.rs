//! Everything that is done and bought, counted: each [`Item`] becomes one line of the price.
//!
//! In: the site, its ways, the installation. Out: [`TakeOff`], quantities only: no hours, no money. Long lists of
//! work and materials lie in two flat arrays; an item knows its stretch of each.

pub mod buying;
mod cables;
mod house;
mod points;
mod preliminaries;
mod rooms;

use std::ops::Range;

use crate::catalogue::Catalogue;
use crate::circuits::{CircuitIndex, Installation};
use crate::estimate::LineKind;
use crate::rate_sheet::{MaterialIndex, OperationIndex, Work, Workbook};
use crate::routes::Ways;
use crate::site::{RoomIndex, Site};
use crate::standards::Standards;
use crate::survey::Finish;

pub(crate) use buying::stage_of;
pub(crate) use cables::{run_cost, segment_hours};
pub(crate) use house::{bond_metres, needs_bond};
pub(crate) use preliminaries::{Daily, preliminaries};

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

/// What the work of an item is like: which factors apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Conditions {
    /// The room; absent for the whole house.
    pub room: Option<RoomIndex>,
    /// The finish.
    pub finish: Finish,
    /// Whether it is slowed by something in the way.
    pub obstructed: bool,
    /// Whether the work is done at the height of the room's ceiling; within reach from the floor otherwise.
    pub overhead: bool,
}

impl Conditions {
    /// Nothing at all.
    pub const HOUSE: Self = Self { room: None, finish: Finish::White, obstructed: false, overhead: false };
}

/// What an item is, in a form that a line can name.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// What is done or bought, kebab-case.
    pub item: &'static str,
    /// The same in words.
    pub words: String,
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
    pub label: Label,
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
    /// What is said of it besides hours and materials.
    pub note: Option<String>,
}

impl Item {
    /// The same item under other conditions.
    #[must_use]
    pub fn under(&self, conditions: Conditions) -> Self {
        Self { conditions, ..self.clone() }
    }
}

/// Pieces of one length that are cut from a drum whole: a cable between two ends is not joined on the way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// The cable.
    pub material: MaterialIndex,
    /// Metres of each piece, without waste.
    pub metres: f64,
    /// How many.
    pub count: u32,
}

/// Quantities of the whole job.
#[derive(Debug, Clone, Default)]
pub struct TakeOff {
    /// One for each line.
    pub items: Vec<Item>,
    works: Vec<Work>,
    uses: Vec<Use>,
    cuts: Vec<Cut>,
}

impl TakeOff {
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

    /// Every use of a material in the job.
    #[must_use]
    pub fn all_uses(&self) -> &[Use] {
        &self.uses
    }

    /// The pieces that are cut from drums. Of each cable they add to its uses.
    #[must_use]
    pub fn cuts(&self) -> &[Cut] {
        &self.cuts
    }

    /// Notes pieces that have to be cut whole.
    pub(crate) fn cut(&mut self, material: MaterialIndex, metres: f64, count: u32) {
        if metres > 0.0 && count > 0 {
            self.cuts.push(Cut { material, metres, count });
        }
    }

    pub(crate) fn start(&mut self, kind: LineKind, item: &'static str, words: impl Into<String>) -> Draft<'_> {
        let (works, uses) = (self.works.len(), self.uses.len());
        Draft {
            take_off: self,
            works,
            uses,
            item: Item {
                kind,
                room: None,
                circuit: None,
                label: Label { item, words: words.into() },
                quantity: 1.0,
                unit: "item",
                conditions: Conditions::HOUSE,
                works: works..works,
                uses: uses..uses,
                outlay_pennies: 0,
                note: None,
            },
        }
    }
}

/// An item being put together; it joins the take-off when it is [`Draft::done`].
pub(crate) struct Draft<'a> {
    take_off: &'a mut TakeOff,
    works: usize,
    uses: usize,
    item: Item,
}

impl Draft<'_> {
    pub(crate) fn room(mut self, room: RoomIndex) -> Self {
        self.item.room = Some(room);
        self.item.conditions.room = Some(room);
        self
    }

    pub(crate) fn circuit(mut self, circuit: CircuitIndex) -> Self {
        self.item.circuit = Some(circuit);
        self
    }

    pub(crate) fn quantity(mut self, quantity: f64, unit: &'static str) -> Self {
        self.item.quantity = quantity;
        self.item.unit = unit;
        self
    }

    pub(crate) fn finish(mut self, finish: Finish) -> Self {
        self.item.conditions.finish = finish;
        self
    }

    pub(crate) fn overhead(mut self, overhead: bool) -> Self {
        self.item.conditions.overhead = overhead;
        self
    }

    pub(crate) fn obstructed(mut self) -> Self {
        self.item.conditions.obstructed = true;
        self
    }

    pub(crate) fn note(mut self, note: impl Into<String>) -> Self {
        self.item.note = Some(note.into());
        self
    }

    pub(crate) fn outlay(mut self, pennies: i64) -> Self {
        self.item.outlay_pennies += pennies;
        self
    }

    pub(crate) fn work(self, operation: OperationIndex, quantity: f64) -> Self {
        if quantity > 0.0 {
            self.take_off.works.push(Work { operation, quantity });
        }
        self
    }

    pub(crate) fn takes(self, material: MaterialIndex, quantity: f64) -> Self {
        self.takes_finished(material, quantity, None)
    }

    pub(crate) fn takes_finished(self, material: MaterialIndex, quantity: f64, finish: Option<Finish>) -> Self {
        if quantity > 0.0 {
            self.take_off.uses.push(Use { material, quantity, finish });
        }
        self
    }

    /// Adds the item, unless there is nothing in it.
    pub(crate) fn done(mut self) {
        self.item.works = self.works..self.take_off.works.len();
        self.item.uses = self.uses..self.take_off.uses.len();
        if !self.item.works.is_empty() || !self.item.uses.is_empty() || self.item.outlay_pennies != 0 {
            self.take_off.items.push(self.item);
        }
    }
}

/// What the counting is done from.
#[derive(Clone, Copy)]
pub(crate) struct Job<'a> {
    pub site: &'a Site,
    pub ways: &'a Ways<'a>,
    pub installation: &'a Installation,
    pub catalogue: &'a Catalogue,
    pub standards: &'a Standards,
    pub workbook: &'a Workbook,
}

/// Counts everything but the preliminaries, which depend on the days that the rest takes.
pub(crate) fn count(job: Job<'_>) -> TakeOff {
    let mut take_off = TakeOff::default();
    points::points(job, &mut take_off);
    rooms::rooms(job, &mut take_off);
    cables::cables(job, &mut take_off);
    house::house(job, &mut take_off);
    take_off
}
