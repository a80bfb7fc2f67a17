//! The end of a price: no less than the minimum charge, rounded down as the firm does, tax on every line, what is to be paid
//! when.

use std::borrow::Cow;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Line, LineKind, Totals};
use crate::answer::lines;
use crate::circuits::Installation;
use crate::money::{Money, decimal};
use crate::pricing::vat;
use crate::rate_sheet::RateTerms;
use crate::survey::{PointType, Terms, VatCase, VatException};
use crate::take_off::Job;

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

/// Brings the price up to the minimum charge and down to the firm's round figure, each as a line of its own. Gives what
/// both add to the net price. What the firm comes out for is charged to the job that pays for the visit.
pub(super) fn round(lines: &mut Vec<Line>, totals: &mut Totals, job: Job<'_>) -> Money {
    let terms = &job.workbook.sheet.terms;
    let least = if job.visit.is_some() { Money::ZERO } else { terms.minimum_charge };
    let before = totals.net;
    if totals.net < least {
        let missing = least - totals.net;
        let because = format!("{least} is the least that the firm comes out for; the work comes to {before}");
        lines.push(lines::plain(
            LineKind::Preliminaries,
            "minimum-charge",
            "Up to the minimum charge",
            Money::ZERO,
            missing,
            because,
        ));
        totals.preliminaries += missing;
        totals.net += missing;
    }
    let step = terms.round_down_to.exact();
    if step > Decimal::ZERO {
        let rounded = Money::rounded((totals.net.exact() / step).floor() * step);
        let taken = rounded - totals.net;
        if taken != Money::ZERO && rounded >= least && !rounded.is_negative() {
            let because = format!("down to a multiple of {}", terms.round_down_to);
            lines.push(lines::plain(LineKind::Profit, "rounding", "Rounded down", Money::ZERO, taken, because));
            totals.profit += taken;
            totals.net = rounded;
        }
    }
    totals.net - before
}

/// Puts each line under its tax case and works the tax out.
pub(super) fn tax(lines: &mut [Line], totals: &mut Totals, job: Job<'_>, asked: &Terms) {
    let usual = asked.vat.unwrap_or(job.workbook.sheet.terms.vat);
    if !asked.vat_exceptions.is_empty() {
        let whole_house = |line: &Line| line.room.is_none() && line.circuit.is_none();
        for line in lines.iter_mut() {
            let exception = asked.vat_exceptions.iter().find(|exception| covers(exception, line, job));
            line.vat_case = exception.map(|exception| exception.case).or((!whole_house(line)).then_some(usual));
        }
    }
    totals.vat_by_case = vat::on_lines(lines, totals.net, usual);
    totals.vat = totals.vat_by_case.iter().map(|share| share.vat).sum();
    totals.gross = totals.net + totals.vat;
    totals.vat_case = usual;
    let by_case = &totals.vat_by_case;
    totals.vat_percent = match by_case.as_slice() {
        [only] => only.percent.clone(),
        _ => "mixed".to_owned(),
    };
    let basis = |share: &VatShare| format!("{}: {}", share.notice, share.condition);
    totals.vat_basis = match by_case.as_slice() {
        [only] => basis(only),
        mixed => {
            let parts = mixed.iter().map(|share| format!("{} % of {}, {}", share.percent, share.net, basis(share)));
            parts.collect::<Vec<_>>().join("; ")
        }
    };
    if let [only] = by_case.as_slice() {
        totals.vat_case = only.case;
    }
}

/// Whether a line is what the exception is for: its room, its kind of point, or both. A circuit that serves nothing but such
/// points goes with them.
fn covers(exception: &VatException, line: &Line, job: Job<'_>) -> bool {
    let room = exception.room.as_deref().is_none_or(|room| line.room.as_deref() == Some(room));
    let point = exception.point.is_none_or(|point| {
        let own = matches!(line.kind, LineKind::Point | LineKind::Outbuilding) && line.item == point.word();
        own || line.circuit.as_deref().is_some_and(|circuit| serves_only(job.installation, circuit, point, job))
    });
    room && point
}

fn serves_only(installation: &Installation, id: &str, point: PointType, job: Job<'_>) -> bool {
    let Some(circuit) = installation.circuits.iter().find(|circuit| circuit.id == id) else { return false };
    let kind = |room: usize, at: usize| job.site.rooms[room].points.get(at).map(|point| point.kind);
    !circuit.members.is_empty() && circuit.members.iter().all(|member| kind(member.room, member.point) == Some(point))
}

/// Which case a question of evidence has to be put for.
pub(super) fn case_to_prove(asked: &Terms, usual: VatCase) -> VatCase {
    let needs_evidence = |case: &VatCase| matches!(case, VatCase::Reduced | VatCase::Zero);
    let cases =
        std::iter::once(asked.vat.unwrap_or(usual)).chain(asked.vat_exceptions.iter().map(|exception| exception.case));
    cases.into_iter().find(needs_evidence).unwrap_or(asked.vat.unwrap_or(usual))
}

/// How long the price holds, and what is paid when.
pub(super) fn offer(totals: &Totals, terms: &RateTerms) -> Offer {
    let percents: Vec<Decimal> = terms.payment_stages.iter().map(|stage| decimal(stage.percent)).collect();
    let amounts = vat::apportion(totals.gross, &percents);
    let payments = terms.payment_stages.iter().zip(amounts);
    Offer {
        valid_days: terms.valid_days,
        payments: payments
            .map(|(stage, amount)| Payment { when: stage.when.clone(), percent: stage.percent, amount })
            .collect(),
    }
}
