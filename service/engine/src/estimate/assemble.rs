//! The parts put together: totals, range, cross-check, flags, questions, options, and the document itself.

use super::{Assumption, Engine, Estimate, RateSheetUsed, Stamp, findings::PricedJob};
use crate::answer::options as said;
use crate::answer::words::general as words;
use crate::answer::{board, breakdown, demand, drawn, lines, materials, price, programme, ways};
use crate::circuits::Design;
use crate::context::Context;
use crate::flags::FlagId;
use crate::labour::{self, programme::Waits};
use crate::options::{self, PricedWork};
use crate::pricing::cross_check::{BothMethods, cross_check};
use crate::pricing::{self, DirectCost, PerPoint, Priced};
use crate::site::Assumptions;
use crate::standards::RulesetId;
use crate::survey::Method;
use crate::take_off::{ItemKind, Job, LineKind, buying, cuts};

/// Everything that the earlier steps made.
pub(super) struct Parts<'a> {
    pub engine: &'a Engine,
    pub stamp: Stamp,
    pub assumptions: Assumptions,
    pub design: &'a Design<'a>,
    pub priced: &'a Priced,
    pub per_point: &'a PerPoint,
}

pub(super) fn assemble(parts: Parts<'_>) -> Estimate {
    let Parts { engine, design, per_point, .. } = parts;
    let Context { standards, workbook, request, .. } = design.context;
    let take_off = &parts.priced.take_off;
    let items = parts.priced.items();
    let priced = items.as_slice();
    let terms = &workbook.sheet.terms;
    let asked_terms = request.terms.clone().unwrap_or_default();
    let method = request.method.unwrap_or(Method::Measured);

    // What is not known, and how far that and all else spreads the price.
    let found = PricedJob::of(engine, &parts.assumptions, design, parts.priced, priced);
    let job = found.job;
    let unknowns = found.unknowns();

    // The measured price.
    let bought = buying::bought(take_off, &cuts(job, take_off), job.workbook);
    let uncounted = pricing::uncounted(priced, terms, |percent| buying::left_over_charge(&bought, percent));
    let direct = DirectCost::measured(priced, &uncounted);
    let flags = found.flags(&unknowns);
    let range = found.range(&unknowns, &flags, direct.total(), uncounted.total());
    let least = pricing::least_charge(terms, job.visit);
    let measured = direct.complete(range.contingency, terms, least);
    let at_rates = pricing::at_point_rates(per_point, terms, least);
    let both =
        BothMethods { items: priced, sundries: uncounted.total(), measured: &measured, per_point, at_rates: &at_rates };
    let compared = cross_check(method, &both, terms);

    let measured_net = measured.totals.net;
    // The price by the method that was asked for.
    let mut total = match method {
        Method::Measured => measured,
        Method::PerPoint => at_rates,
    };
    let tax = pricing::vat::tax(&mut total, &asked_terms, terms, job.site, job.installation);
    let lines = lines::lines(&lines::LineBasis { job, take_off, items: priced, per_point }, &total.lines);

    // What it means.
    let questions = found.questions(&unknowns, measured_net);
    let work = PricedWork { site: job.site, take_off, items: priced, factors: design.factors(), workbook };
    let stages = pricing::hours_by_stage(priced);
    let raised = |id: FlagId| flags.iter().any(|flag| flag.id == id);
    let waits = Waits {
        operator_first: raised(FlagId::DemandOverSupply) || raised(FlagId::LoopedSupplySuspected),
        sample_first: raised(FlagId::AsbestosSuspected) || raised(FlagId::AsbestosBehindBoard),
        plaster: priced.iter().any(|(item, _)| item.kind == LineKind::MakingGood || item.what == ItemKind::Chase),
    };
    let steps = labour::programme::programme(&stages, parts.priced.days, waits, workbook);

    Estimate {
        id: parts.stamp.id,
        created_at: parts.stamp.created_at,
        reference: request.survey.reference.clone(),
        currency: job.workbook.sheet.currency.clone(),
        rate_sheet: RateSheetUsed {
            name: job.workbook.sheet.name.clone(),
            version: job.workbook.version,
            note: job.workbook.sheet.note.clone(),
        },
        ruleset: standards.ruleset(RulesetId::IN_FORCE).clone(),
        engine_version: crate::ENGINE_VERSION.to_owned(),
        method,
        offer: price::offer(tax.gross, terms),
        totals: price::totals(&total.totals, &tax),
        breakdown: breakdown::breakdown(job, take_off, priced, &lines, method == Method::Measured),
        hours: programme::hours_by_stage(&stages),
        programme: programme::programme(&steps, parts.priced.days, terms),
        rooms: lines::rooms(job.site, &lines),
        lines,
        circuits: board::circuits(job),
        board: board::board(job, &found.findings),
        alarms: Some(board::alarms(job.site, &found.findings)),
        bathrooms: board::bathrooms(job.site, &found.findings),
        demand: demand::demand(&found.demand, job.site),
        routes: ways::routes(job, design.factors()),
        plan: drawn::plan(job),
        take_off: materials::materials(take_off, &bought, job.site, job.workbook),
        risk_flags: found.risk_flags(flags, measured_net),
        questions,
        range,
        cross_check: price::cross_check(&compared),
        options: said::options(&options::options(&work), job.site),
        finishes: said::finishes(&options::finishes(&work), job.site),
        assumptions: stated(parts.assumptions.clone(), job),
        exclusions: words::borrowed(&words::EXCLUSIONS),
        cautions: words::borrowed(&words::CAUTIONS),
    }
}

/// The assumptions as they go out, the model of lengths with them.
pub(super) fn stated(assumptions: Assumptions, job: Job<'_>) -> Vec<Assumption> {
    let mut entries = assumptions.into_entries();
    if let Some(visit) = job.visit {
        entries.push(Assumption {
            subject: "visit".into(),
            places: vec!["house".to_owned()],
            assumed: format!("done beside {}; days of the crew that it pays for: {}", visit.paid_by, visit.days_paid()),
            because: "told in `terms.visit`; whether those days have room for this job is for the firm to see"
                .to_owned(),
        });
    }
    if job.site.measured && job.ways.network().is_none() {
        entries.push(Assumption {
            subject: "routes".into(),
            places: vec!["house".to_owned()],
            assumed: "along the axes of the building, from room to room".to_owned(),
            because: format!("{}; split the survey for more", crate::answer::words::routes::map_limits()),
        });
    }
    if !job.site.measured {
        entries.push(Assumption {
            subject: "lengths".into(),
            places: vec!["house".to_owned()],
            assumed: "by the model of floor areas".to_owned(),
            because: "not every room was drawn; a square storey, mean axis distance two thirds of its side; good to a \
                      quarter either way on one circuit"
                .to_owned(),
        });
    }
    entries.push(Assumption {
        subject: "cables-as-they-lie".into(),
        places: vec!["house".to_owned()],
        assumed: "30 degC in air, 20 degC and 2.5 K.m/W in the ground, no circuit heated by others beside it"
            .to_owned(),
        because:
            "the conditions of the capacity tables; circuits of a house are seldom loaded together, common practice; \
                  where loaded ones run bunched or through one trunking, BS 7671 Table 4C1 is for the designer to apply"
                .to_owned(),
    });
    entries.push(Assumption {
        subject: "lamp-load".into(),
        places: vec!["house".to_owned()],
        assumed: "LED fittings, 6 to 40 W each".to_owned(),
        because: "lamps are not recorded; usual fittings, from memory".to_owned(),
    });
    entries
}
