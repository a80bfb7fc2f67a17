//! What is said of a price: what its lines are for, its tax, and why the two methods differ.

use crate::answer::VatShare;
use crate::catalogue::PointKind;
use crate::pricing::cross_check::GapCause;
use crate::pricing::{LineSource, RateItem, RateLine, RateReason};
use crate::rate_sheet::{HouseRate, RateTerms};
use crate::survey::Visit;

/// A line that is neither work nor a rate.
pub(crate) struct PlainLine {
    /// The word of what it is.
    pub item: &'static str,
    pub description: &'static str,
    pub because: String,
}

/// What is said of a line that is neither work nor a rate; nothing of the others.
pub(crate) fn plain_line(source: LineSource, terms: &RateTerms) -> Option<PlainLine> {
    let (item, description, because) = match source {
        LineSource::Item(_) | LineSource::Rate(_) => return None,
        LineSource::SmallMaterials { counted } => (
            "sundries",
            "Sundries",
            format!("Small materials: {} % of the {counted} of materials above", terms.sundries_percent),
        ),
        LineSource::LeftOver => (
            "left-over",
            "Left over of opened drums and packs",
            format!("{} % of what is left of the drums and packs bought", terms.left_over_charged_percent),
        ),
        LineSource::Overhead { direct } => {
            ("overhead", "Overhead of the firm", format!("{} % of {direct}", terms.overhead_percent))
        }
        LineSource::Contingency => {
            ("contingency", "Contingency", "From the range: it lifts the cost to the confidence asked for".to_owned())
        }
        LineSource::Profit => {
            ("profit", "Profit", format!("A margin of {} % on the price", terms.profit_margin_percent))
        }
        LineSource::MinimumCharge { least, before } => (
            "minimum-charge",
            "Up to the minimum charge",
            format!("The firm's minimum charge is {least}. The work comes to {before}"),
        ),
        LineSource::RoundedDown => {
            ("rounding", "Rounded down", format!("Rounded down to a multiple of {}", terms.round_down_to))
        }
    };
    Some(PlainLine { item, description, because })
}

/// What a rate is for.
pub(crate) fn rate(line: &RateLine, points: &[PointKind]) -> String {
    let words = match line.item {
        RateItem::Point(point) => line.row.map_or(point.word(), |row| points[row].label.as_str()),
        RateItem::House(HouseRate::ConsumerUnit) => "Consumer unit",
        RateItem::House(HouseRate::Way) => "Circuit at the board, with its device and tests",
        RateItem::House(HouseRate::MainBond) => "Main bond",
        RateItem::House(HouseRate::OutbuildingFeed) => "Feed to an outbuilding",
        RateItem::House(HouseRate::Certificate) => "Tests at the origin, certificate and notice",
        RateItem::House(HouseRate::Visit) => "Getting there",
    };
    words.to_owned()
}

/// The working of a line at point rates.
pub(crate) fn rate_working(line: &RateLine, visit: Option<&Visit>) -> String {
    let paid_by = visit.map_or("", |visit| visit.paid_by.as_str());
    let working = match line.reason {
        RateReason::First(rate) => format!("{} at {rate}", line.quantity),
        RateReason::FirstAndFurther { first, count, further } => {
            format!("First at {first}, {count} further at {further}")
        }
        RateReason::Begun { count, further } => {
            format!("{count} further at {further}, as {paid_by} pays for the first in this room")
        }
        RateReason::VisitPaid => format!("{paid_by} pays for the visit"),
    };
    format!("{working}. It sells at {}. Overhead and profit in it are lines of their own", line.selling)
}

/// The rate of the tax in percent, where there is one.
pub(crate) fn vat_percent(by_case: &[VatShare]) -> String {
    match by_case {
        [only] => only.percent.clone(),
        _ => "mixed".to_owned(),
    }
}

/// The notices behind the tax, and what must hold.
pub(crate) fn vat_basis(by_case: &[VatShare]) -> String {
    let basis = |share: &VatShare| format!("{}. {}", share.notice, share.condition);
    match by_case {
        [only] => basis(only),
        mixed => {
            let parts = mixed.iter().map(|share| format!("{} % of {}, {}", share.percent, share.net, basis(share)));
            parts.collect::<Vec<_>>().join(". ")
        }
    }
}

/// Why the measured price is another than the one at point rates.
pub(crate) fn gap_cause(cause: GapCause) -> String {
    let words = match cause {
        GapCause::PointsAndRoutes { at_rates } => {
            return format!("Boxes, plates, cable, floors and chases as measured, against {at_rates} at point rates");
        }
        GapCause::Occupancy => "Work round furniture and people. Point rates take empty rooms",
        GapCause::BoardAndSupply => "Board, devices, tails and switched fuse as they are here",
        GapCause::Bonding => "Bonds by their real route",
        GapCause::Outbuilding => "Trench, feed and points of outbuildings",
        GapCause::StripOut => "Old work taken off. Point rates leave it out",
        GapCause::MakingGood => "Filling. Point rates leave it out",
        GapCause::Testing => "Tests circuit by circuit",
        GapCause::Preliminaries => "Travel, setting up, protecting and clearing, by the day",
        GapCause::Contingency => "What the range asks for. Point rates have none",
        GapCause::MinimumChargeAndRounding => "The firm's minimum charge and its round figures, on both",
        GapCause::Rounding => "Pennies from rounding each cause",
    };
    words.to_owned()
}
