//! What a priced job means: how far its price spreads, what could go wrong, what is worth asking. The estimate and the
//! review of a survey both rest on it.

use std::collections::BTreeSet;

use super::{Engine, Question};
use crate::answer;
use crate::answer::flags::ToldFindings;
use crate::circuits::{Design, Findings, HouseDemand, design};
use crate::context::Context;
use crate::flags::{self, FlagContext, RaisedFlag, Severity, ToldAs};
use crate::labour;
use crate::limits::REPRICED_STEPS_MAX;
use crate::money::Money;
use crate::pricing::{self, Cost, DirectCost, Priced, PricedItem};
use crate::range::{self, Confidence, Model, PriceRange, Spreading};
use crate::site::{Assumptions, Site};
use crate::survey::VatCase;
use crate::take_off::buying::{self, Bought};
use crate::take_off::{Item, Job, cuts};
use crate::unit_rates::Factors;
use crate::unknowns::{self, OpenQuestion, Reach, UnknownsContext};
use crate::work::{Stopped, WorkPart};

/// What an item takes to be looked through for flags, in steps.
const STEPS_OF_AN_ITEM: usize = 30;
/// What the draws of the range take, whatever the job.
const STEPS_OF_THE_RANGE: u64 = 100_000;

/// What is not known of a job, and what could go wrong.
pub(super) struct OpenMatters {
    pub unknowns: Vec<OpenQuestion>,
    pub flags: Vec<RaisedFlag>,
}

/// What a job costs as measured, and how far its price spreads.
pub(super) struct SpreadCost {
    pub direct: DirectCost,
    /// Materials in it that are charged beside those of the items.
    pub sundries: Money,
    pub range: PriceRange,
}

/// A job, priced.
pub(crate) struct PricedJob<'a> {
    pub engine: &'a Engine,
    pub assumptions: &'a Assumptions,
    pub design: &'a Design<'a>,
    pub job: Job<'a>,
    pub priced: &'a Priced,
    /// Each item beside its price.
    pub items: &'a [(&'a Item, PricedItem)],
    pub demand: HouseDemand,
    pub findings: Findings,
}

impl<'a> PricedJob<'a> {
    /// What was designed and priced, judged.
    pub(crate) fn of(
        engine: &'a Engine,
        assumptions: &'a Assumptions,
        design: &'a Design<'a>,
        priced: &'a Priced,
        items: &'a [(&'a Item, PricedItem)],
    ) -> Self {
        let Context { catalogue, standards, .. } = design.context;
        let (site, installation) = (design.site, &design.installation);
        let demand = HouseDemand::of(site, installation, catalogue, standards);
        let findings = Findings::of(site, design.context.survey(), installation, standards);
        Self { engine, assumptions, design, job: Job::of(design), priced, items, demand, findings }
    }

    /// What is open, unless the work is stopped meanwhile.
    pub(super) fn open_matters(&self) -> Result<OpenMatters, Stopped> {
        let work = self.design.context.work;
        let unknowns = self.unknowns();
        work.finished()?;
        work.count(WorkPart::Flags, (self.items.len() * STEPS_OF_AN_ITEM) as u64);
        let flags = self.flags(&unknowns);
        work.finished()?;
        Ok(OpenMatters { unknowns, flags })
    }

    /// What the job costs before overhead, and what of it are materials charged beside those of the items. `left_over` as
    /// [`pricing::uncounted`] asks it.
    pub(crate) fn direct_cost(&self, left_over: impl FnOnce(f64) -> Money) -> (DirectCost, Money) {
        let uncounted = pricing::uncounted(self.items, &self.job.workbook.sheet.terms, left_over);
        (DirectCost::measured(self.items, &uncounted), uncounted.total())
    }

    /// What the job costs, and how far its price spreads.
    pub(super) fn spread(&self, open: &OpenMatters, left_over: impl FnOnce(f64) -> Money) -> SpreadCost {
        let (direct, sundries) = self.direct_cost(left_over);
        self.design.context.work.count(WorkPart::Range, STEPS_OF_THE_RANGE);
        let range = self.range(&open.unknowns, &open.flags, direct.total(), sundries);
        SpreadCost { direct, sundries, range }
    }

    /// What is bought for the job.
    pub(crate) fn bought(&self) -> Vec<Bought> {
        buying::bought(&self.priced.take_off, &cuts(self.job), self.job.workbook)
    }

    /// What is not known, and what each answer would cost.
    pub(crate) fn unknowns(&self) -> Vec<OpenQuestion> {
        let mut found = unknowns::unknowns(&UnknownsContext { priced_again: true, ..self.asked() });
        if self.steps_of_pricing_again(&found) <= REPRICED_STEPS_MAX {
            self.price_again(&mut found);
        } else {
            found = unknowns::unknowns(&self.asked());
        }
        found.retain(|unknown| unknown.answers.iter().any(|answer| answer.adds.total() != 0.0));
        found
    }

    /// What it may take to price the whole job again for each answer, in steps: as much each time as the first time.
    fn steps_of_pricing_again(&self, unknowns: &[OpenQuestion]) -> u64 {
        let again = unknowns.iter().filter(|unknown| unknown.change.is_some() && !unknown.places.is_empty());
        let answers: usize = again.map(|unknown| unknown.answers.len()).sum();
        (answers as u64).saturating_mul(self.design.steps + self.priced.steps)
    }

    /// Prices the whole job again with the site as each answer has it.
    fn price_again(&self, unknowns: &mut [OpenQuestion]) {
        let (job, take_off, work) = (self.job, &self.priced.take_off, self.design.context.work);
        let hours = labour::hours_of_items(self.design.factors(), take_off, 0, job.workbook);
        let now = pricing::approximate_cost_of_items(take_off, &take_off.items, &hours, job.workbook);
        let mut site = job.site.clone();
        for unknown in unknowns {
            let Some(change) = unknown.change.as_ref().filter(|_| !unknown.places.is_empty()) else { continue };
            for answer in &mut unknown.answers {
                if !work.goes_on() {
                    return;
                }
                change.make(&mut site, &answer.value);
                if let Some(reach) = Reach::between(&site, job.site, job.ways) {
                    let cost = work.on_behalf_of(WorkPart::Questions, || self.cost_of(&site, reach));
                    answer.adds = cost - now;
                }
                change.undo(&mut site, job.site);
            }
        }
    }

    /// What the job costs on a site that differs so far back from the one that it was designed for.
    fn cost_of(&self, site: &Site, reach: Reach) -> Cost {
        let factors = || Factors::of(site, self.job.workbook);
        let changed = Job { site, ..self.job };
        match reach {
            Reach::Routing => {
                let design = design(self.design.context, site);
                pricing::approximate_cost(Job::of(&design), design.factors())
            }
            Reach::Counts => pricing::approximate_cost(changed, &factors()),
            Reach::Preliminaries => pricing::approximate_cost_again(&self.priced.take_off, changed, &factors()),
        }
    }

    fn asked(&self) -> UnknownsContext<'_> {
        UnknownsContext {
            job: self.job,
            survey: self.design.context.survey(),
            take_off: &self.priced.take_off,
            factors: self.design.factors(),
            priced: self.items,
            assumptions: self.assumptions,
            demand: &self.demand,
            days: self.priced.daily.days,
            table: &self.engine.answers,
            priced_again: false,
        }
    }

    /// The job as a model of its cost.
    pub(crate) fn model(&self, unknowns: &[OpenQuestion], sundries: Money) -> Model {
        let asked = self.asked();
        Spreading { asked: &asked, unknowns, sundries: sundries.approximate() }.model()
    }

    /// The range of the price whose direct cost comes to `base`, `sundries` in it.
    fn range(&self, unknowns: &[OpenQuestion], flags: &[RaisedFlag], base: Money, sundries: Money) -> PriceRange {
        let model = self.model(unknowns, sundries);
        let confidence = self.confidence(flags);
        range::range(&self.engine.shapes, model, base, confidence, &self.job.workbook.sheet.terms)
    }

    /// How sure the price is to be: as asked for, else by how many flags have to be answered before it may be fixed.
    fn confidence(&self, flags: &[RaisedFlag]) -> Confidence {
        let asked = self.design.context.request.terms.as_ref().and_then(|terms| terms.confidence);
        let stops = flags
            .iter()
            .filter(|flag| flag.told_as == ToldAs::Flag && flag.severity == Severity::Stop)
            .map(|flag| flag.id);
        Confidence::of(asked, stops.collect::<BTreeSet<_>>().len())
    }

    /// The flags as they are raised. How severe one is does not hang on the price, which is not known before the
    /// contingency.
    fn flags(&self, unknowns: &[OpenQuestion]) -> Vec<RaisedFlag> {
        let asked = self.asked();
        let context = FlagContext {
            site: self.job.site,
            ways: self.job.ways,
            installation: self.job.installation,
            demand: &self.demand,
            findings: &self.findings,
            catalogue: self.job.catalogue,
            workbook: self.job.workbook,
            items: self.items,
            asked: &asked,
            unknowns,
            vat: self.vat_to_prove(),
        };
        flags::raised(&self.engine.rules, context)
    }

    /// What was found in words, with what hangs on the price.
    pub(super) fn told(&self, mut raised: Vec<RaisedFlag>, net: Money) -> ToldFindings {
        flags::at_price(&mut raised, net, self.vat_to_prove());
        answer::flags::told(&raised, &self.engine.rules, self.job)
    }

    fn vat_to_prove(&self) -> VatCase {
        let asked = self.design.context.request.terms.clone().unwrap_or_default();
        pricing::vat::case_to_prove(&asked, self.job.workbook.sheet.terms.vat)
    }

    /// The questions.
    pub(super) fn questions(&self, unknowns: &[OpenQuestion], net: Money) -> Vec<Question> {
        let asking = range::Asking { asked: &self.asked(), unknowns, net };
        answer::range::questions(self.job, &range::questions(&asking))
    }
}
