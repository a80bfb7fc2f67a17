//! Tax on the line: each line under its own case, each case rounded once, and the parts shared out so that the lines add to
//! the total to the penny.
//!
//! Costs that belong to no case alone (overhead, profit, getting there) are shared out as those that do. Source: VAT
//! Valuation Manual VATVAL03900 ("general" costs split in the same proportions as the directly attributable ones).

use std::collections::BTreeMap;
use std::sync::LazyLock;

use rust_decimal::Decimal;
use serde::Deserialize;

use super::apportion;
use super::totals::{Price, PriceLine};
use crate::circuits::{CircuitIndex, Installation};
use crate::money::Money;
use crate::rate_sheet::RateTerms;
use crate::site::Site;
use crate::survey::{PointType, Terms, VatCase, VatException};
use crate::table::rows;
use crate::take_off::LineKind;

/// One row of the table of tax cases.
#[derive(Debug, Clone, Deserialize)]
pub struct VatRow {
    /// The case.
    pub case: VatCase,
    /// What is charged, in percent.
    pub percent: u32,
    /// What must hold.
    pub condition: String,
    /// The public notice behind it.
    pub notice: String,
    /// Where that was seen.
    pub source: String,
}

/// The table, read once. It is part of the program and never changes.
static TABLE: LazyLock<Vec<VatRow>> = LazyLock::new(|| rows("vat_cases.csv", include_str!("../../data/vat_cases.csv")));

/// What the table says of a case.
///
/// # Panics
/// If the built-in table lacks a case: a bug, found by the first test that runs.
#[must_use]
pub fn row(case: VatCase) -> &'static VatRow {
    TABLE.iter().find(|row| row.case == case).unwrap_or_else(|| panic!("vat_cases.csv lacks `{case}`"))
}

/// The part of a price that falls under one tax case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TaxShare {
    /// The case.
    pub case: VatCase,
    /// Before tax.
    pub net: Money,
    /// Tax.
    pub vat: Money,
}

/// The tax on a price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tax {
    /// Case by case; the nets add to the net price.
    pub by_case: Vec<TaxShare>,
    /// The case of the job: the only one, or the usual one where there are several.
    pub case: VatCase,
    /// All of it.
    pub vat: Money,
    /// The price with it.
    pub gross: Money,
}

/// Puts each line under its tax case and works the tax out.
pub(crate) fn tax(
    price: &mut Price,
    asked: &Terms,
    terms: &RateTerms,
    site: &Site,
    installation: &Installation,
) -> Tax {
    let usual = asked.vat.unwrap_or(terms.vat);
    if !asked.vat_exceptions.is_empty() {
        let whole_house = |line: &PriceLine| line.room.is_none() && line.circuit.is_none();
        for line in &mut price.lines {
            let exception = asked.vat_exceptions.iter().find(|exception| covers(exception, line, site, installation));
            line.vat_case = exception.map(|exception| exception.case).or((!whole_house(line)).then_some(usual));
        }
    }
    let by_case = on_lines(&mut price.lines, price.totals.net, usual);
    let vat = by_case.iter().map(|share| share.vat).sum();
    let case = if let [only] = by_case.as_slice() { only.case } else { usual };
    Tax { case, vat, gross: price.totals.net + vat, by_case }
}

/// Whether a line is what the exception is for: its room, its kind of point, or both. A circuit that serves nothing but such
/// points goes with them.
fn covers(exception: &VatException, line: &PriceLine, site: &Site, installation: &Installation) -> bool {
    let room = exception.room.as_deref().is_none_or(|room| line.room.is_some_and(|own| site.rooms[own].id == room));
    let point = exception.point.is_none_or(|point| {
        let own = matches!(line.kind, LineKind::Point | LineKind::Outbuilding) && line.point == Some(point);
        own || line.circuit.is_some_and(|circuit| serves_only(site, installation, circuit, point))
    });
    room && point
}

fn serves_only(site: &Site, installation: &Installation, circuit: CircuitIndex, point: PointType) -> bool {
    let members = &installation.circuits[circuit].members;
    let kind = |room: usize, at: usize| site.rooms[room].points.get(at).map(|point| point.kind);
    !members.is_empty() && members.iter().all(|member| kind(member.room, member.point) == Some(point))
}

/// Which case a question of evidence has to be put for.
pub(crate) fn case_to_prove(asked: &Terms, usual: VatCase) -> VatCase {
    let needs_evidence = |case: &VatCase| matches!(case, VatCase::Reduced | VatCase::Zero);
    let cases =
        std::iter::once(asked.vat.unwrap_or(usual)).chain(asked.vat_exceptions.iter().map(|exception| exception.case));
    cases.into_iter().find(needs_evidence).unwrap_or(asked.vat.unwrap_or(usual))
}

/// Puts the tax on the lines, whose `vat_case` is set where they have one of their own, and gives it case by case. `usual` is
/// the case of a job in which no line has its own.
fn on_lines(lines: &mut [PriceLine], net: Money, usual: VatCase) -> Vec<TaxShare> {
    let mut own: BTreeMap<VatCase, Decimal> = BTreeMap::new();
    for line in lines.iter() {
        if let Some(case) = line.vat_case {
            *own.entry(case).or_default() += line.amount.exact();
        }
    }
    own.retain(|_, amount| *amount > Decimal::ZERO);
    if own.is_empty() {
        own.insert(usual, Decimal::ONE);
    }
    let weights: Vec<Decimal> = own.values().copied().collect();
    let nets = apportion(net, &weights);
    let shares: Vec<TaxShare> = own.keys().zip(&nets).map(|(case, net)| share(*case, *net)).collect();

    // A line of no case of its own is in every case, by that case's part of the whole.
    let all: Decimal = weights.iter().sum();
    let mut tax = vec![Money::ZERO; lines.len()];
    for (share, weight) in shares.iter().zip(&weights) {
        let parts: Vec<Decimal> = lines
            .iter()
            .map(|line| match line.vat_case {
                Some(case) if case == share.case => line.amount.exact(),
                Some(_) => Decimal::ZERO,
                None => line.amount.exact() * weight / all,
            })
            .collect();
        for (tax, part) in tax.iter_mut().zip(apportion(share.vat, &parts)) {
            *tax += part;
        }
    }
    for (line, tax) in lines.iter_mut().zip(tax) {
        line.vat = tax;
    }
    shares
}

fn share(case: VatCase, net: Money) -> TaxShare {
    TaxShare { case, net, vat: net.share(f64::from(row(case).percent) / 100.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_case_has_its_rate_its_condition_and_its_notice() {
        for case in VatCase::ALL {
            let row = row(*case);
            assert!(row.percent <= 20 && !row.condition.is_empty() && row.notice.contains("VAT"), "{case}");
        }
        assert_eq!([VatCase::Standard, VatCase::Reduced, VatCase::Zero].map(|case| row(case).percent), [20, 5, 0]);
    }
}
