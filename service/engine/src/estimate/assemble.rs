//! The parts put together: totals, range, cross-check, flags, questions, options, and the document itself.

use super::findings::{OpenMatters, PricedJob, SpreadCost};
use super::{Engine, Estimate, Programme, RateSheetUsed, Stamp, extra_points};
use crate::answer::options as said;
use crate::answer::size::bytes_expected;
use crate::answer::words::general as words;
use crate::answer::{
    assumptions, board, breakdown, demand, drawn, lines, materials, price, programme, range, scope, ways,
};
use crate::circuits::Design;
use crate::context::Context;
use crate::flags::{FlagId, Severity};
use crate::labour::{self, programme::Waits};
use crate::options::{self, PricedWork};
use crate::pricing::{self, CompletedPrice, Completing, PerPoint, Priced};
use crate::range::PriceRange;
use crate::rate_sheet::Stage;
use crate::site::Assumptions;
use crate::standards::RulesetId;
use crate::survey::Method;
use crate::take_off::buying::{self, Bought};
use crate::take_off::{Item, ItemKind, LineKind};
use crate::work::{Stopped, WorkPart};

/// Everything that the earlier steps made.
pub(super) struct Parts<'a> {
    pub engine: &'a Engine,
    pub stamp: Stamp,
    pub assumptions: Assumptions,
    pub design: &'a Design<'a>,
    pub priced: &'a Priced,
    pub per_point: &'a PerPoint,
}

/// What an item takes to be looked through for options, in steps.
const STEPS_OF_AN_ITEM: usize = 30;
/// What a byte of the answer takes to be said and written.
const STEPS_OF_A_BYTE: u64 = 1;

/// # Errors
/// Why the work was stopped before all was said.
pub(super) fn assemble(parts: Parts<'_>) -> Result<Estimate, Stopped> {
    let items = parts.priced.items();
    let found = PricedJob::of(parts.engine, &parts.assumptions, parts.design, parts.priced, &items);
    let outcome = PricedOutcome::of(&found, parts.per_point)?;
    let work = parts.design.context.work;
    work.count(WorkPart::Options, (items.len() * STEPS_OF_AN_ITEM) as u64);
    if !work.spend(WorkPart::Answer, bytes_expected(found.job, &items) * STEPS_OF_A_BYTE) {
        work.finished()?;
    }
    let estimate = document(&parts, &found, outcome);
    work.finished().map(|()| estimate)
}

/// What the steps after pricing made of the job.
struct PricedOutcome {
    open: OpenMatters,
    bought: Vec<Bought>,
    range: PriceRange,
    completed: CompletedPrice,
}

impl PricedOutcome {
    fn of(found: &PricedJob<'_>, per_point: &PerPoint) -> Result<Self, Stopped> {
        // What is not known, and what could go wrong.
        let open = found.open_matters()?;
        // The measured price up to contingency, how far it spreads, and the price with what that asks for.
        let bought = found.bought();
        let SpreadCost { direct, sundries, range } =
            found.spread(&open, |percent| buying::left_over_charge(&bought, percent));
        let contingency = range.contingency;
        let completing = Completing { design: found.design, items: found.items, sundries, per_point, contingency };
        let completed = pricing::complete(direct, &completing);
        found.design.context.work.finished()?;
        Ok(Self { open, bought, range, completed })
    }

    /// The steps of the crew's days, and what they wait for.
    fn programme(&self, found: &PricedJob<'_>, stages: &[f64; Stage::COUNT]) -> Programme {
        let raised = |id: FlagId| self.open.flags.iter().any(|flag| flag.id == id);
        let stops = |id: FlagId| self.open.flags.iter().any(|flag| flag.id == id && flag.severity == Severity::Stop);
        let plaster = |item: &Item| item.kind == LineKind::MakingGood || item.what == ItemKind::Chase;
        let waits = Waits {
            operator_first: raised(FlagId::DemandOverSupply)
                || raised(FlagId::OperatorFirst)
                || raised(FlagId::LoopedSupplySuspected),
            sample_first: raised(FlagId::AsbestosSuspected) || stops(FlagId::AsbestosBehindBoard),
            plaster: found.priced.daily.dries && found.items.iter().any(|(item, _)| plaster(item)),
        };
        let (workbook, daily) = (found.job.workbook, found.priced.daily);
        let steps = labour::programme::programme(stages, daily, waits, workbook);
        programme::programme(&steps, daily, &workbook.sheet.terms)
    }
}

/// The document that goes out.
fn document(parts: &Parts<'_>, found: &PricedJob<'_>, outcome: PricedOutcome) -> Estimate {
    let Context { standards, workbook, request, .. } = parts.design.context;
    let (job, take_off, items) = (found.job, &found.priced.take_off, found.items);
    let factors = parts.design.factors();
    let CompletedPrice { method, price: total, tax, compared, measured_net } = &outcome.completed;
    let lines = lines::lines(&lines::LineBasis { job, take_off, items, per_point: parts.per_point }, &total.lines);
    let stages = pricing::hours_by_stage(items);
    let range = range::range(&outcome.range, &outcome.open.flags);
    let programme = outcome.programme(found, &stages);
    let told = found.told(outcome.open.flags, *measured_net);
    let work = PricedWork { site: job.site, take_off, items, factors, workbook };
    Estimate {
        id: parts.stamp.id.clone(),
        created_at: parts.stamp.created_at.clone(),
        reference: request.survey.reference.clone(),
        currency: workbook.sheet.currency.clone(),
        rate_sheet: RateSheetUsed {
            name: workbook.sheet.name.clone(),
            version: workbook.version,
            note: workbook.sheet.note.clone(),
        },
        ruleset: standards.ruleset(RulesetId::IN_FORCE).clone(),
        engine_version: crate::ENGINE_VERSION.to_owned(),
        method: *method,
        offer: price::offer(tax.gross, &workbook.sheet.terms),
        totals: price::totals(&total.totals, tax),
        breakdown: breakdown::breakdown(job, take_off, items, &lines, *method == Method::Measured),
        hours: programme::hours_by_stage(&stages),
        programme,
        scope: Some(scope::scope(job, items, found.priced.daily.visits())),
        rooms: lines::rooms(job.site, &lines),
        lines,
        circuits: board::circuits(job),
        board: board::board(job, &found.findings),
        alarms: Some(board::alarms(job.site, &found.findings)),
        bathrooms: board::bathrooms(job.site, &found.findings),
        demand: demand::demand(&found.demand, job.site),
        routes: ways::routes(job, factors),
        plan: drawn::plan(job),
        take_off: materials::materials(take_off, &outcome.bought, job.site, workbook),
        questions: found.questions(&outcome.open.unknowns, *measured_net),
        range,
        risk_flags: told.risk_flags,
        included: told.included,
        cross_check: price::cross_check(compared),
        options: said::options(&options::options(&work), job.site),
        finishes: said::finishes(&options::finishes(&work), job.site),
        extra_points: extra_points::extra_points(parts.design, found.priced, *method),
        assumptions: assumptions::assumptions(&parts.assumptions, job),
        exclusions: words::borrowed(&words::EXCLUSIONS),
        cautions: told.cautions,
    }
}
