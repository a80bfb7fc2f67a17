//! The other method: each point at its rate. Fast, what clients understand, blind to routes.

use crate::circuits::FedFrom;
use crate::money::Money;
use crate::pricing::selling_factor;
use crate::rate_sheet::{HouseRate, SellingRate};
use crate::site::RoomIndex;
use crate::survey::PointType;
use crate::take_off::Job;
use crate::take_off::LineKind;

/// What a rate of the sheet is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RateItem {
    /// A point of one kind.
    Point(PointType),
    /// Something else in the house.
    House(HouseRate),
}

impl RateItem {
    /// The rate's name on the sheet.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Point(point) => point.word(),
            Self::House(rate) => rate.word(),
        }
    }
}

/// One line at point rates, before tax.
#[derive(Debug, Clone, PartialEq)]
pub struct RateLine {
    /// What it is for.
    pub kind: LineKind,
    /// The room; absent for the whole house.
    pub room: Option<RoomIndex>,
    /// The rate.
    pub item: RateItem,
    /// The row of the table of points, where it is one.
    pub row: Option<usize>,
    /// How many.
    pub quantity: f64,
    /// Of what.
    pub unit: &'static str,
    /// Selling price.
    pub selling: Money,
    /// How much of it is material, as a fraction.
    pub materials: f64,
    /// How the rate comes to it.
    pub reason: RateReason,
}

/// How a rate comes to the price of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RateReason {
    /// All of it at the rate of the first.
    First(Money),
    /// One at the rate of the first, the others at that of a further one.
    FirstAndFurther {
        /// The rate of the first.
        first: Money,
        /// How many more.
        count: f64,
        /// The rate of each of them.
        further: Money,
    },
    /// All of it at the rate of a further one: another job on the visit has begun in the room.
    Begun {
        /// How many.
        count: f64,
        /// The rate of each.
        further: Money,
    },
    /// Another job pays for the visit.
    VisitPaid,
}

/// The job at point rates.
#[derive(Debug, Clone, PartialEq)]
pub struct PerPoint {
    /// The lines.
    pub lines: Vec<RateLine>,
    /// Their sum.
    pub net: Money,
}

impl PerPoint {
    /// The sum of the lines of one kind.
    #[must_use]
    pub fn of_kind(&self, kind: LineKind) -> Money {
        self.lines.iter().filter(|line| line.kind == kind).map(|line| line.selling).sum()
    }
}

/// What a selling price leaves for materials and for labour when overhead and profit are taken out.
pub(crate) fn direct_parts(line: &RateLine, terms: &crate::rate_sheet::RateTerms) -> (Money, Money) {
    let direct = line.selling.share(1.0 / selling_factor(terms));
    let materials = direct.share(line.materials);
    (materials, direct - materials)
}

pub(crate) fn per_point(job: Job<'_>) -> PerPoint {
    let mut lines = Vec::new();
    for (index, room) in job.site.rooms.iter().enumerate() {
        let kind = if room.outbuilding.is_some() { LineKind::Outbuilding } else { LineKind::Point };
        let begun = job.has_begun(index);
        for point in &room.points {
            let rate = job.workbook.point_rate(point.kind);
            let each = if point.kind == PointType::StripLight { point.length.value() } else { 1.0 };
            let count = f64::from(point.count) * each;
            let line = line(kind, RateItem::Point(point.kind), (count, "each"), rate);
            let mut line = RateLine { room: Some(index), row: Some(point.row), ..line };
            if begun {
                line.selling = rate.further.times(count);
                line.reason = RateReason::Begun { count, further: rate.further };
            }
            lines.push(line);
        }
    }
    house(job, &mut lines);
    let net = lines.iter().map(|line| line.selling).sum();
    PerPoint { lines, net }
}

#[expect(clippy::cast_precision_loss, reason = "circuits are bounded by the points of a survey")]
fn house(job: Job<'_>, lines: &mut Vec<RateLine>) {
    let circuits = &job.installation.circuits;
    let mut add = |kind, rate: HouseRate, quantity: f64, unit| {
        if quantity > 0.0 {
            lines.push(line(kind, RateItem::House(rate), (quantity, unit), job.workbook.house_rate(rate)));
        }
    };
    let stays = job.site.scope.board_stays();
    if !stays {
        add(LineKind::Board, HouseRate::ConsumerUnit, 1.0, "each");
    }
    let of_the_board = circuits.iter().filter(|circuit| circuit.fed_from == FedFrom::Board);
    let ways = of_the_board.filter(|circuit| !stays || circuit.fixed.kept.is_none()).count();
    add(LineKind::Board, HouseRate::Way, ways as f64, "way");
    let bonds = job.installation.unassigned.bonds.len();
    add(LineKind::Earthing, HouseRate::MainBond, bonds as f64, "each");
    let feeds = circuits.iter().filter(|circuit| circuit.is_dug()).count();
    add(LineKind::Outbuilding, HouseRate::OutbuildingFeed, feeds as f64, "each");
    if !stays {
        add(LineKind::Testing, HouseRate::Certificate, 1.0, "item");
    }
    match job.visit {
        None => add(LineKind::Preliminaries, HouseRate::Visit, 1.0, "item"),
        Some(_) => {
            let free = SellingRate { first: Money::ZERO, ..job.workbook.house_rate(HouseRate::Visit) };
            let line = line(LineKind::Preliminaries, RateItem::House(HouseRate::Visit), (1.0, "item"), free);
            lines.push(RateLine { reason: RateReason::VisitPaid, ..line });
        }
    }
}

/// A line of the whole house.
fn line(kind: LineKind, item: RateItem, (quantity, unit): (f64, &'static str), rate: SellingRate) -> RateLine {
    let first = quantity.min(1.0);
    let further = (quantity - 1.0).max(0.0);
    let selling = rate.first.times(first) + rate.further.times(further);
    let reason = if further > 0.0 {
        RateReason::FirstAndFurther { first: rate.first, count: further, further: rate.further }
    } else {
        RateReason::First(rate.first)
    };
    RateLine { kind, room: None, item, row: None, quantity, unit, selling, materials: rate.materials, reason }
}
