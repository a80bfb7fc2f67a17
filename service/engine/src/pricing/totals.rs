//! A price before tax, line by line in figures: what is done and bought, and then all that comes on top of it.
//!
//! The measured price stands as [`DirectCost`] until the range has said what contingency it asks for; the price at point
//! rates holds none.

use super::{PerPoint, PricedItem, RateItem, Uncounted, direct_parts, finalise, overhead, profit};
use crate::circuits::CircuitIndex;
use crate::money::Money;
use crate::rate_sheet::RateTerms;
use crate::site::RoomIndex;
use crate::survey::{PointType, VatCase};
use crate::take_off::{Item, ItemKind, LineKind};

/// What stands on a line of the price.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineSource {
    /// An item of the take-off, by its place among the priced ones.
    Item(usize),
    /// A point rate, by its place among the lines at point rates.
    Rate(usize),
    /// Small materials that nobody counts, as a part of those that were counted.
    SmallMaterials {
        /// The materials that were counted.
        counted: Money,
    },
    /// What is left over of opened drums and packs.
    LeftOver,
    /// The firm's overhead.
    Overhead {
        /// On this cost.
        direct: Money,
    },
    /// What the range asks for.
    Contingency,
    /// The firm's profit.
    Profit,
    /// What is missing to the least that the firm comes out for.
    MinimumCharge {
        /// The least.
        least: Money,
        /// What the work comes to.
        before: Money,
    },
    /// Down to the firm's round figure.
    RoundedDown,
}

/// One line of the price.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceLine {
    /// What it is for.
    pub kind: LineKind,
    /// The room; absent for the whole house.
    pub room: Option<RoomIndex>,
    /// The circuit, where it belongs to one.
    pub circuit: Option<CircuitIndex>,
    /// The kind of point, where it is one.
    pub point: Option<PointType>,
    /// What stands on it.
    pub source: LineSource,
    /// Materials.
    pub materials: Money,
    /// Labour.
    pub labour: Money,
    /// What it adds to the price.
    pub amount: Money,
    /// The tax case, where it has one of its own.
    pub vat_case: Option<VatCase>,
    /// What it adds to the tax.
    pub vat: Money,
}

impl PriceLine {
    /// A line that is neither work nor a rate.
    fn plain(kind: LineKind, source: LineSource, materials: Money, amount: Money) -> Self {
        Self {
            kind,
            room: None,
            circuit: None,
            point: None,
            source,
            materials,
            labour: Money::ZERO,
            amount,
            vat_case: None,
            vat: Money::ZERO,
        }
    }

    /// A line of work and materials.
    fn direct(kind: LineKind, source: LineSource, materials: Money, labour: Money) -> Self {
        Self { labour, ..Self::plain(kind, source, materials, materials + labour) }
    }
}

/// What a price is made of. All but `net` add to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PriceTotals {
    /// Materials outside the preliminaries.
    pub materials: Money,
    /// Labour outside the preliminaries.
    pub labour: Money,
    /// The preliminaries.
    pub preliminaries: Money,
    /// Overhead.
    pub overhead: Money,
    /// Contingency.
    pub contingency: Money,
    /// Profit.
    pub profit: Money,
    /// Before tax.
    pub net: Money,
}

/// A price before tax.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// Its lines, whose amounts add to the net price.
    pub lines: Vec<PriceLine>,
    /// What they add up to.
    pub totals: PriceTotals,
    /// What minimum charge and round figure added, or took off.
    pub adjustment: Money,
}

impl Price {
    pub(super) fn add(&mut self, kind: LineKind, source: LineSource, amount: Money) {
        self.lines.push(PriceLine::plain(kind, source, Money::ZERO, amount));
    }

    fn on_terms(mut self, terms: &RateTerms, least: Money) -> Self {
        self.adjustment = finalise::bring_to_terms(&mut self, terms, least);
        self
    }
}

/// What is done and bought, before overhead.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct DirectCost {
    lines: Vec<PriceLine>,
    totals: PriceTotals,
}

impl DirectCost {
    /// As measured: a line for each item, and one for each kind of material that nobody counts.
    pub(crate) fn measured(items: &[(&Item, PricedItem)], uncounted: &Uncounted) -> Self {
        let of_item = |(place, (item, priced)): (usize, &(&Item, PricedItem))| {
            let source = LineSource::Item(place);
            let point = if let ItemKind::Point(point) = item.what { Some(point) } else { None };
            let line = PriceLine::direct(item.kind, source, priced.materials, priced.labour);
            PriceLine { room: item.room, circuit: item.circuit, point, ..line }
        };
        let mut lines: Vec<PriceLine> = items.iter().enumerate().map(of_item).collect();
        let small = LineSource::SmallMaterials { counted: uncounted.counted };
        let materials = [(small, uncounted.small), (LineSource::LeftOver, uncounted.left_over)];
        let charged = materials.into_iter().filter(|(_, amount)| *amount != Money::ZERO);
        lines.extend(charged.map(|(source, amount)| PriceLine::plain(LineKind::Sundries, source, amount, amount)));
        Self::of(lines)
    }

    /// At point rates: what is left of them when overhead and profit are taken out.
    fn at_rates(per_point: &PerPoint, terms: &RateTerms) -> Self {
        let lines = per_point.lines.iter().enumerate().map(|(place, line)| {
            let (materials, labour) = direct_parts(line, terms);
            let point = if let RateItem::Point(point) = line.item { Some(point) } else { None };
            let direct = PriceLine::direct(line.kind, LineSource::Rate(place), materials, labour);
            PriceLine { room: line.room, point, ..direct }
        });
        Self::of(lines.collect())
    }

    fn of(lines: Vec<PriceLine>) -> Self {
        let mut totals = PriceTotals::default();
        for line in &lines {
            if line.kind == LineKind::Preliminaries {
                totals.preliminaries += line.materials + line.labour;
            } else {
                totals.materials += line.materials;
                totals.labour += line.labour;
            }
        }
        Self { lines, totals }
    }

    /// All of it.
    pub(crate) fn total(&self) -> Money {
        self.totals.materials + self.totals.labour + self.totals.preliminaries
    }

    /// The price, with overhead, this contingency, profit, and what the firm's terms make of the sum. `least` is the least
    /// that the firm comes out for.
    pub(crate) fn complete(self, contingency: Money, terms: &RateTerms, least: Money) -> Price {
        let overhead = overhead(self.total(), terms);
        let profit = profit(self.total() + overhead + contingency, terms);
        self.with(overhead, contingency, profit).on_terms(terms, least)
    }

    fn with(self, overhead: Money, contingency: Money, profit: Money) -> Price {
        let direct = self.total();
        let net = direct + overhead + contingency + profit;
        let totals = PriceTotals { overhead, contingency, profit, net, ..self.totals };
        let mut price = Price { lines: self.lines, totals, adjustment: Money::ZERO };
        let closing = [
            (LineKind::Overhead, LineSource::Overhead { direct }, overhead),
            (LineKind::Contingency, LineSource::Contingency, contingency),
            (LineKind::Profit, LineSource::Profit, profit),
        ];
        for (kind, source, amount) in closing.into_iter().filter(|(.., amount)| *amount != Money::ZERO) {
            price.add(kind, source, amount);
        }
        price
    }
}

/// The price at point rates: what the rates come to, with overhead taken out and profit as what is left.
pub(crate) fn at_point_rates(per_point: &PerPoint, terms: &RateTerms, least: Money) -> Price {
    let direct = DirectCost::at_rates(per_point, terms);
    let overhead = overhead(direct.total(), terms);
    let profit = per_point.net - direct.total() - overhead;
    direct.with(overhead, Money::ZERO, profit).on_terms(terms, least)
}
