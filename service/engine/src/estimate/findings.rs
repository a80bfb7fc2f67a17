//! What a priced job means: how far its price spreads, what could go wrong, what is worth asking. The estimate and the
//! review of a survey both rest on it.

use super::{Demand, Engine, LineKind, PricedSite, Question, Range, RiskFlag, questions, settle};
use crate::flags::{self, Seen};
use crate::labour::Factors;
use crate::limits::{REPRICED_POINTS_MAX, REPRICED_ROOMS_MAX};
use crate::money::Money;
use crate::pricing::PricedItem;
use crate::range::unknowns::{self, Asked, Unknown};
use crate::range::{self, Cost, Model, Spreading};
use crate::rate_sheet::Workbook;
use crate::site::Assumptions;
use crate::survey::EstimateRequest;
use crate::take_off::{Item, Job};

/// The confidence that a price is given at unless the request says otherwise. Source: domain practice, p80 on an
/// ordinary job.
const USUAL_CONFIDENCE: f64 = 0.8;

/// What the items of a job cost, in its two kinds, with the small materials that nobody counts.
fn cost(priced: &[(&Item, PricedItem)], workbook: &Workbook) -> Cost {
    let sundries = 1.0 + workbook.sheet.terms.sundries_percent / 100.0;
    let of = |(item, priced): &(&Item, PricedItem)| {
        let counted = if item.kind == LineKind::Preliminaries { 1.0 } else { sundries };
        Cost { labour: priced.labour.approximate(), materials: priced.materials.approximate() * counted }
    };
    priced.iter().map(of).sum()
}

/// A job, priced.
#[derive(Clone, Copy)]
pub(crate) struct PricedJob<'a> {
    pub engine: &'a Engine,
    pub request: &'a EstimateRequest,
    pub assumptions: &'a Assumptions,
    pub priced: PricedSite<'a>,
    pub demand: &'a Demand,
}

impl<'a> PricedJob<'a> {
    /// What is not known, and what each answer would cost.
    pub(crate) fn unknowns(&self) -> Vec<Unknown> {
        let mut found = unknowns::unknowns(&self.asked());
        let site = self.priced.job.site;
        if site.rooms.len() <= REPRICED_ROOMS_MAX && site.points() <= REPRICED_POINTS_MAX {
            self.price_again(&mut found);
        }
        found.retain(|unknown| unknown.answers.iter().any(|answer| answer.adds.total() != 0.0));
        found
    }

    /// Prices the whole job again with the site as each answer has it.
    fn price_again(&self, unknowns: &mut [Unknown]) {
        let now = cost(self.priced.items, self.priced.job.workbook);
        for unknown in unknowns {
            let Some(change) = unknown.change.as_ref().filter(|_| !unknown.places.is_empty()) else { continue };
            for answer in &mut unknown.answers {
                let Some(site) = change.made(self.priced.job.site, answer) else { continue };
                if !change.moves_cables() {
                    // The routes stand: only what is counted on them changes.
                    let job = Job { site: &site, ..self.priced.job };
                    let factors = Factors::of(&site, job.workbook);
                    let priced = |priced: PricedSite<'_>| cost(priced.items, job.workbook) - now;
                    answer.adds = super::priced_job(job, &factors, priced);
                    continue;
                }
                answer.adds = super::priced_on(self.engine, self.request, &site, self.priced.job.workbook, |priced| {
                    cost(priced.items, self.priced.job.workbook) - now
                });
            }
        }
    }

    fn asked(&self) -> Asked<'a> {
        Asked {
            job: self.priced.job,
            survey: &self.request.survey,
            take_off: self.priced.take_off,
            factors: self.priced.factors,
            priced: self.priced.items,
            assumptions: self.assumptions,
            demand: self.demand,
            days: self.priced.days,
            odds: &self.engine.odds,
        }
    }

    /// The job as a model of its cost.
    pub(crate) fn model(&self, unknowns: &[Unknown], sundries: Money) -> Model {
        let asked = self.asked();
        Spreading { asked: &asked, unknowns, sundries: sundries.approximate() }.model()
    }

    /// The range of the price whose direct cost comes to `base`, `sundries` in it.
    pub(super) fn range(&self, unknowns: &[Unknown], base: Money, sundries: Money) -> Range {
        let model = self.model(unknowns, sundries);
        let confidence = self.request.terms.as_ref().and_then(|terms| terms.confidence).unwrap_or(USUAL_CONFIDENCE);
        range::range(&self.engine.shapes, model, base, confidence, &self.priced.job.workbook.sheet.terms)
    }

    /// The flags.
    pub(super) fn flags(&self, unknowns: &[Unknown], net: Money) -> Vec<RiskFlag> {
        let asked = self.request.terms.clone().unwrap_or_default();
        let vat = settle::case_to_prove(&asked, self.priced.job.workbook.sheet.terms.vat);
        let asked = self.asked();
        let seen = Seen {
            site: self.priced.job.site,
            ways: self.priced.job.ways,
            installation: self.priced.job.installation,
            demand: self.demand,
            catalogue: self.priced.job.catalogue,
            workbook: self.priced.job.workbook,
            items: self.priced.items,
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
