//! The price as it goes out: its totals and lines, its tax, when it is to be paid, and how it stands against the other
//! method's.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::words;
use crate::money::Money;
use crate::pricing::cross_check::MethodComparison;
use crate::pricing::vat::{Tax, TaxShare, row};
use crate::pricing::{PriceTotals, payments};
use crate::quantities::Hours;
use crate::rate_sheet::{RateTerms, Stage};
use crate::survey::{Finish, Method, VatCase};
pub use crate::take_off::LineKind;

/// The price. The first six add to `net`; `net` and `vat` add to `gross`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Totals {
    /// Materials at the sheet's prices.
    pub materials: Money,
    /// Labour at the sheet's rate.
    pub labour: Money,
    /// Getting there, protecting, keeping the house alive, clearing up.
    pub preliminaries: Money,
    /// Overhead of the firm.
    pub overhead: Money,
    /// From the range: what takes the price to the confidence asked for.
    pub contingency: Money,
    /// Profit, as a margin on the price.
    pub profit: Money,
    /// Before tax.
    pub net: Money,
    /// Tax.
    pub vat: Money,
    /// To pay.
    pub gross: Money,
    /// The tax case.
    pub vat_case: VatCase,
    /// Its rate in percent.
    #[schema(example = "20")]
    pub vat_percent: String,
    /// The notice behind the rate.
    pub vat_basis: String,
    /// The tax case by case: jobs are mixed. The nets add to `net`, the taxes to `vat`.
    #[serde(default)]
    pub vat_by_case: Vec<VatShare>,
}

/// What one room costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoomPrice {
    /// The room.
    #[schema(example = "kitchen")]
    pub room: String,
    /// Its name on paper.
    pub name: String,
    /// Points in it.
    pub points: u64,
    /// Person-hours in it.
    pub hours: Hours,
    /// Materials in it.
    pub materials: Money,
    /// Labour in it.
    pub labour: Money,
    /// Sum of its lines.
    pub amount: Money,
    /// The same at selling price: what the client pays for it before tax.
    #[serde(default)]
    pub price: Money,
}

/// One line of the price. `amount` is `materials + labour`; for overhead, contingency and profit it stands alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Line {
    /// Its identifier in this document.
    #[schema(example = "L12")]
    pub id: String,
    /// Its name, the same in every estimate of this job: it does not move when another line comes in before it. Empty in
    /// older estimates.
    #[serde(default)]
    #[schema(example = "kitchen/point/double-socket")]
    pub key: String,
    /// What it is for.
    pub kind: LineKind,
    /// The room or outbuilding; absent for the whole house.
    pub room: Option<String>,
    /// The circuit, where it belongs to one.
    pub circuit: Option<String>,
    /// What is done or bought.
    #[schema(example = "double-socket")]
    pub item: String,
    /// The same in words.
    pub description: String,
    /// How many or how much.
    pub quantity: f64,
    /// Of what.
    #[schema(example = "each")]
    pub unit: String,
    /// The stage that takes most of its hours; absent where it has none.
    #[serde(default)]
    pub stage: Option<Stage>,
    /// The look of what is fitted; absent where it has none.
    #[serde(default)]
    pub finish: Option<Finish>,
    /// How many people its work needs at once; 0 where it has no hours.
    #[serde(default)]
    pub crew: u32,
    /// Person-hours.
    pub hours: Hours,
    /// Materials.
    pub materials: Money,
    /// Labour.
    pub labour: Money,
    /// What it adds to `totals.net`.
    pub amount: Money,
    /// The same at selling price: overhead, contingency, profit and rounding are shared out over the other lines by their
    /// amounts. All lines together come to `totals.net`.
    #[serde(default)]
    pub price: Money,
    /// The tax case; absent where it is that of the whole job, or shared out as the other lines.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub vat_case: Option<VatCase>,
    /// What it adds to `totals.vat`.
    #[serde(default)]
    pub vat: Money,
    /// The working: quantities, unit rates, factors, so that a person can redo it with a pencil.
    pub because: Vec<String>,
}

/// The other method's price, and the difference by cause.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CrossCheck {
    /// The other method.
    pub method: Method,
    /// Its net price.
    pub net: Money,
    /// `totals.net` less the other.
    pub difference: Money,
    /// The causes; their amounts add to `difference`.
    pub causes: Vec<DifferenceCause>,
    /// The point rates that would have come to the measured price on this house.
    #[serde(default)]
    pub matching_rates: Vec<MatchingRate>,
}

/// The rate of one kind of point that would have come to the measured price.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MatchingRate {
    /// The rate's name.
    #[schema(example = "double-socket")]
    pub item: Cow<'static, str>,
    /// How many there are.
    pub count: f64,
    /// What the sheet's rates come to for one, on average.
    pub rate: Money,
    /// What one would have to be, so that all together come to the measured net price; a penny or two of rounding each.
    pub matching: Money,
}

/// One cause of a difference.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DifferenceCause {
    /// The cause.
    pub cause: Cow<'static, str>,
    /// What it adds.
    pub amount: Money,
    /// Why.
    pub because: String,
}

/// The part of a price that falls under one tax case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct VatShare {
    /// The case.
    pub case: VatCase,
    /// Its rate in percent.
    #[schema(example = "20")]
    pub percent: String,
    /// Before tax.
    pub net: Money,
    /// Tax.
    pub vat: Money,
    /// What must hold, and be held as evidence.
    pub condition: Cow<'static, str>,
    /// The public notice behind it.
    pub notice: Cow<'static, str>,
}

/// How long the price holds, and what is paid when.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
pub struct Offer {
    /// Days for which the price holds.
    #[schema(example = 30)]
    pub valid_days: u32,
    /// What is paid when; the amounts add to `totals.gross`.
    pub payments: Vec<Payment>,
}

/// A payment that is due at some point of the job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Payment {
    /// When it is due.
    #[schema(example = "first fix photographed")]
    pub when: String,
    /// Its share of the gross price.
    pub percent: f64,
    /// The amount.
    pub amount: Money,
}

/// The totals of a price with its tax.
pub(crate) fn totals(price: &PriceTotals, tax: &Tax) -> Totals {
    let vat_by_case: Vec<VatShare> = tax.by_case.iter().map(vat_share).collect();
    Totals {
        materials: price.materials,
        labour: price.labour,
        preliminaries: price.preliminaries,
        overhead: price.overhead,
        contingency: price.contingency,
        profit: price.profit,
        net: price.net,
        vat: tax.vat,
        gross: tax.gross,
        vat_case: tax.case,
        vat_percent: words::pricing::vat_percent(&vat_by_case),
        vat_basis: words::pricing::vat_basis(&vat_by_case),
        vat_by_case,
    }
}

fn vat_share(share: &TaxShare) -> VatShare {
    let row = row(share.case);
    VatShare {
        case: share.case,
        percent: row.percent.to_string(),
        net: share.net,
        vat: share.vat,
        condition: row.condition.as_str().into(),
        notice: row.notice.as_str().into(),
    }
}

/// How long the price holds, and what is paid when.
pub(crate) fn offer(gross: Money, terms: &RateTerms) -> Offer {
    let stages = terms.payment_stages.iter().zip(payments(gross, terms));
    let payment = |(stage, amount): (&crate::rate_sheet::PaymentStage, Money)| Payment {
        when: stage.when.clone(),
        percent: stage.percent,
        amount,
    };
    Offer { valid_days: terms.valid_days, payments: stages.map(payment).collect() }
}

/// The other method's price, and the difference by cause.
pub(crate) fn cross_check(compared: &MethodComparison) -> CrossCheck {
    let causes = compared.causes.iter().map(|(cause, amount)| DifferenceCause {
        cause: Cow::Borrowed(cause.word()),
        amount: *amount,
        because: words::pricing::gap_cause(*cause),
    });
    let matching_rates = compared.matching_rates.iter().map(|one| MatchingRate {
        item: Cow::Borrowed(one.point.word()),
        count: one.count,
        rate: one.rate,
        matching: one.matching,
    });
    CrossCheck {
        method: compared.method,
        net: compared.net,
        difference: compared.difference,
        causes: causes.collect(),
        matching_rates: matching_rates.collect(),
    }
}
