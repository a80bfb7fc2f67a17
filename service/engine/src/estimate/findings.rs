//! What a priced job means: how far its price spreads, what could go wrong, what is worth asking. The estimate and the
//! review of a survey both rest on it.

use super::{Demand, Engine, Question, Range, RiskFlag, questions};
use crate::flags::{self, Seen};
use crate::labour::Factors;
use crate::money::Money;
use crate::pricing::PricedItem;
use crate::range::unknowns::{self, Asked, Unknown};
use crate::range::{self, Spreading};
use crate::site::Assumptions;
use crate::survey::{EstimateRequest, VatCase};
use crate::take_off::{Item, Job, TakeOff};

/// The confidence that a price is given at unless the request says otherwise. Source: domain practice, p80 on an
/// ordinary job.
const USUAL_CONFIDENCE: f64 = 0.8;

/// A job, priced.
#[derive(Clone, Copy)]
pub(super) struct PricedJob<'a> {
    pub engine: &'a Engine,
    pub request: &'a EstimateRequest,
    pub assumptions: &'a Assumptions,
    pub job: Job<'a>,
    pub take_off: &'a TakeOff,
    pub factors: &'a Factors,
    pub priced: &'a [(&'a Item, PricedItem)],
    pub demand: &'a Demand,
    pub days: f64,
}

impl<'a> PricedJob<'a> {
    /// What is not known, and what each answer would cost.
    pub(super) fn unknowns(&self) -> Vec<Unknown> {
        unknowns::unknowns(&self.asked())
    }

    fn asked(&self) -> Asked<'a> {
        Asked {
            job: self.job,
            survey: &self.request.survey,
            take_off: self.take_off,
            factors: self.factors,
            priced: self.priced,
            assumptions: self.assumptions,
            demand: self.demand,
            days: self.days,
            odds: &self.engine.odds,
        }
    }

    /// The range of the price whose direct cost comes to `base`, `sundries` in it.
    pub(super) fn range(&self, unknowns: &[Unknown], base: Money, sundries: Money) -> Range {
        let asked = self.asked();
        let model = Spreading { asked: &asked, unknowns, sundries: sundries.approximate() }.model();
        let confidence = self.request.terms.as_ref().and_then(|terms| terms.confidence).unwrap_or(USUAL_CONFIDENCE);
        range::range(&self.engine.shapes, model, base, confidence, &self.job.workbook.sheet.terms)
    }

    /// The flags.
    pub(super) fn flags(&self, unknowns: &[Unknown], net: Money) -> Vec<RiskFlag> {
        let vat = self.request.terms.as_ref().and_then(|terms| terms.vat).unwrap_or(VatCase::Standard);
        let asked = self.asked();
        let seen = Seen {
            site: self.job.site,
            ways: self.job.ways,
            installation: self.job.installation,
            demand: self.demand,
            catalogue: self.job.catalogue,
            workbook: self.job.workbook,
            items: self.priced,
            asked: &asked,
            unknowns,
            net,
            vat,
        };
        flags::flags(&self.engine.rules, seen)
    }

    /// The questions.
    pub(super) fn questions(&self, unknowns: &[Unknown], net: Money) -> Vec<Question> {
        questions::questions(&questions::Asking { asked: &self.asked(), unknowns, net })
    }
}
