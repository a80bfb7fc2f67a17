//! The parts put together: totals, range, cross-check, flags, questions, options, and the document itself.

use super::{
    Assumption, Demand, Engine, Estimate, HoursByStage, Line, LineKind, RateSheetUsed, Route, RouteSegment, Stamp,
    Totals, board, breakdown, drawn, lines, materials, programme, questions, settle, words,
};
use crate::catalogue::CircuitType;
use crate::checks::Verdict;
use crate::circuits::CircuitPlan;
use crate::demand::{self, DemandLoad, DemandRequest, DemandSupply};
use crate::flags::{self, Seen};
use crate::labour::Factors;
use crate::money::Money;
use crate::options;
use crate::pricing::cross_check::{Measured, cross_check};
use crate::pricing::{self, Direct, PerPoint, PricedItem};
use crate::quantities::{Amps, Hours, Metres};
use crate::range::unknowns::{Asked, Unknown, occupiable};
use crate::range::{self, Spread};
use crate::rate_sheet::{RateTerms, Stage};
use crate::routes::model;
use crate::site::{Assumptions, Site};
use crate::standards::{LoadKind, RulesetId};
use crate::survey::{EstimateRequest, Method, VatCase};
use crate::take_off::buying::{self, Bought};
use crate::take_off::{Item, Job, TakeOff};

/// The confidence that a price is given at unless the request says otherwise. Source: domain practice, p80 on an
/// ordinary job.
const USUAL_CONFIDENCE: f64 = 0.8;
/// Spread of drops and runs where rooms are drawn but points are not marked, as a share. Common practice, no source.
const UNMARKED_SPREAD: f64 = 0.1;

/// Everything that the earlier steps made.
pub(super) struct Parts<'a> {
    pub engine: &'a Engine,
    pub request: &'a EstimateRequest,
    pub stamp: Stamp,
    pub assumptions: Assumptions,
    pub job: Job<'a>,
    pub take_off: &'a TakeOff,
    pub factors: &'a Factors,
    pub priced: &'a [(&'a Item, PricedItem)],
    pub per_point: &'a PerPoint,
    pub days: f64,
}

pub(super) fn assemble(parts: Parts<'_>) -> Estimate {
    let Parts { engine, request, job, take_off, factors, priced, per_point, .. } = parts;
    let terms = &job.workbook.sheet.terms;
    let asked_terms = request.terms.clone().unwrap_or_default();
    let method = request.method.unwrap_or(Method::Measured);

    // What is not known, and what it spreads.
    let hours = priced.iter().map(|(item, priced)| (item.room, priced.hours));
    let occupiable = occupiable(job.site.rooms.len(), hours);
    let asked =
        Asked { site: job.site, catalogue: job.catalogue, workbook: job.workbook, factors, occupiable: &occupiable };
    let unknowns = asked.unknowns();
    let lengths_deviation = lengths_deviation(job, &parts.assumptions, priced);

    // The measured price.
    let bought = buying::bought(take_off, job.workbook);
    let mut measured = MeasuredPrice::of(lines::measured(job, take_off, priced), &bought, terms);
    let spreads = spreads(priced, &measured.direct, &unknowns, lengths_deviation, terms);
    let range =
        range::range(measured.direct.total(), spreads, asked_terms.confidence.unwrap_or(USUAL_CONFIDENCE), terms);
    measured.close(range.contingency, terms);
    let (mut point_lines, mut point_totals) = at_point_rates(job, per_point);
    let settled = [
        settle::round(&mut measured.lines, &mut measured.totals, terms),
        settle::round(&mut point_lines, &mut point_totals, terms),
    ];
    let cross_check = cross_check(
        method,
        &Measured {
            items: priced,
            sundries: measured.sundries,
            contingency: range.contingency,
            net: measured.totals.net,
            settled,
        },
        per_point,
        terms,
    );

    // The price by the method that was asked for.
    let (mut lines, mut totals) = match method {
        Method::Measured => (measured.lines, measured.totals),
        Method::PerPoint => (point_lines, point_totals),
    };
    lines::number(&mut lines);
    settle::tax(&mut lines, &mut totals, job, &asked_terms);

    // What it means.
    let demand = demand_of(engine, job);
    let seen = Seen {
        site: job.site,
        ways: job.ways,
        installation: job.installation,
        demand: &demand,
        catalogue: job.catalogue,
        workbook: job.workbook,
        items: priced,
        vat: settle::case_to_prove(&asked_terms, terms.vat),
    };
    let risk_flags = flags::flags(&engine.rules, seen);
    let bond_spans = bond_spans(job, priced);
    let questions = questions::questions(&questions::Asking {
        site: job.site,
        assumptions: &parts.assumptions,
        unknowns: &unknowns,
        lengths_deviation,
        flags: &risk_flags,
        bond_spans: &bond_spans,
        terms,
    });
    let choices = options::Priced { site: job.site, take_off, items: priced, factors, workbook: job.workbook };
    let stages = stages(priced);
    let raised = |id: &str| risk_flags.iter().any(|flag| flag.id == id);
    let asks_operator = raised("demand-over-supply") || raised("looped-supply-suspected");
    let samples = raised("asbestos-suspected") || raised("asbestos-behind-board");

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
        ruleset: engine.standards.ruleset(RulesetId::IN_FORCE).clone(),
        engine_version: crate::ENGINE_VERSION.to_owned(),
        method,
        offer: settle::offer(&totals, terms),
        totals,
        breakdown: breakdown::breakdown(job, take_off, priced, &lines, method == Method::Measured),
        hours: hours_by_stage(&stages),
        programme: programme::programme(&stages, parts.days, job.site, asks_operator, samples, terms),
        rooms: lines::rooms(job.site, &lines),
        lines,
        circuits: board::circuits(job),
        board: board::board(job),
        alarms: Some(board::alarms(job)),
        bathrooms: board::bathrooms(job),
        demand,
        routes: routes(job),
        plan: drawn::plan(job),
        take_off: materials::materials(take_off, &bought, job.site, job.workbook),
        risk_flags,
        questions,
        range,
        cross_check,
        options: options::options(&choices),
        finishes: options::finishes(&choices),
        assumptions: stated(parts.assumptions, job),
        exclusions: words::borrowed(&words::EXCLUSIONS),
        cautions: words::borrowed(&words::CAUTIONS),
    }
}

/// The measured price while it is put together.
struct MeasuredPrice {
    lines: Vec<Line>,
    direct: Direct,
    sundries: Money,
    totals: Totals,
}

impl MeasuredPrice {
    fn of(mut lines: Vec<Line>, bought: &[Bought], terms: &RateTerms) -> Self {
        let counted = lines::countable_materials(&lines);
        let sundries = counted.share(terms.sundries_percent / 100.0);
        if sundries != Money::ZERO {
            let because = format!("{} % of {counted} of materials counted above", terms.sundries_percent);
            let words = "Small materials that nobody counts";
            lines.push(lines::plain(LineKind::Sundries, "sundries", words, sundries, sundries, because));
        }
        let left_over = buying::left_over_charge(bought, terms.left_over_charged_percent);
        if left_over != Money::ZERO {
            let because =
                format!("{} % of what is left of the drums and packs bought", terms.left_over_charged_percent);
            let words = "Left over of opened drums and packs";
            lines.push(lines::plain(LineKind::Sundries, "left-over", words, left_over, left_over, because));
        }
        let sundries = sundries + left_over;
        let mut direct = Direct::default();
        for line in &lines {
            direct.add(line.kind, line.materials, line.labour);
        }
        Self { lines, direct, sundries, totals: no_totals() }
    }

    /// Adds overhead, contingency and profit.
    fn close(&mut self, contingency: Money, terms: &RateTerms) {
        let overhead = pricing::overhead(self.direct.total(), terms);
        let profit = pricing::profit(self.direct.total() + overhead + contingency, terms);
        close(&mut self.lines, &self.direct, (overhead, contingency, profit), terms, &mut self.totals);
    }
}

/// Adds the three lines at the end of a price and its totals.
fn close(
    lines: &mut Vec<Line>,
    direct: &Direct,
    (overhead, contingency, profit): (Money, Money, Money),
    terms: &RateTerms,
    totals: &mut Totals,
) {
    let mut add = |kind, item: &str, words: &str, amount: Money, because: String| {
        if amount != Money::ZERO {
            lines.push(lines::plain(kind, item, words, Money::ZERO, amount, because));
        }
    };
    add(
        LineKind::Overhead,
        "overhead",
        "Overhead of the firm",
        overhead,
        format!("{} % of {}", terms.overhead_percent, direct.total()),
    );
    add(
        LineKind::Contingency,
        "contingency",
        "Contingency",
        contingency,
        "from the range: what takes the cost to the confidence asked for".to_owned(),
    );
    add(
        LineKind::Profit,
        "profit",
        "Profit",
        profit,
        format!("a margin of {} % on the price", terms.profit_margin_percent),
    );
    totals.materials = direct.materials;
    totals.labour = direct.labour;
    totals.preliminaries = direct.preliminaries;
    totals.overhead = overhead;
    totals.contingency = contingency;
    totals.profit = profit;
    totals.net = direct.total() + overhead + contingency + profit;
}

fn no_totals() -> Totals {
    Totals {
        materials: Money::ZERO,
        labour: Money::ZERO,
        preliminaries: Money::ZERO,
        overhead: Money::ZERO,
        contingency: Money::ZERO,
        profit: Money::ZERO,
        net: Money::ZERO,
        vat: Money::ZERO,
        gross: Money::ZERO,
        vat_case: VatCase::Standard,
        vat_percent: String::new(),
        vat_basis: String::new(),
        vat_by_case: Vec::new(),
    }
}

/// The price at point rates: what the rates come to, with overhead taken out and profit as what is left.
fn at_point_rates(job: Job<'_>, per_point: &PerPoint) -> (Vec<Line>, Totals) {
    let terms = &job.workbook.sheet.terms;
    let mut lines = lines::per_point(job, per_point);
    let mut direct = Direct::default();
    for line in &lines {
        direct.add(line.kind, line.materials, line.labour);
    }
    let overhead = pricing::overhead(direct.total(), terms);
    let profit = per_point.net - direct.total() - overhead;
    let mut totals = no_totals();
    close(&mut lines, &direct, (overhead, Money::ZERO, profit), terms, &mut totals);
    (lines, totals)
}

fn stages(priced: &[(&Item, PricedItem)]) -> [f64; Stage::COUNT] {
    let mut stages = [0.0; Stage::COUNT];
    for (_, priced) in priced {
        for (sum, part) in stages.iter_mut().zip(priced.hours.stages) {
            *sum += part;
        }
    }
    stages
}

fn hours_by_stage(stages: &[f64; Stage::COUNT]) -> HoursByStage {
    let of = |stage: Stage| Hours::new(stages[stage.index()]).rounded(2);
    let parts = Stage::ALL.map(of);
    HoursByStage {
        strip_out: of(Stage::StripOut),
        first_fix: of(Stage::FirstFix),
        second_fix: of(Stage::SecondFix),
        testing: of(Stage::Testing),
        preliminaries: of(Stage::Preliminaries),
        total: parts.into_iter().sum::<Hours>().rounded(2),
    }
}

/// The causes of spread, as standard deviations of the direct cost.
fn spreads(
    priced: &[(&Item, PricedItem)],
    direct: &Direct,
    unknowns: &[Unknown],
    lengths_deviation: f64,
    terms: &RateTerms,
) -> Vec<Spread> {
    let rate = terms.labour_rate.approximate();
    let hours: f64 = priced.iter().map(|(_, priced)| priced.hours.total()).sum();
    let variance: f64 = priced.iter().map(|(_, priced)| priced.hours.variance).sum();
    let spread = |cause: &'static str, deviation: f64| Spread { cause: cause.into(), deviation };
    // A log-normal factor of mean one has the variance exp(σ²) - 1.
    let shared = |sigma: f64| libm::expm1(sigma * sigma).sqrt();
    let mut spreads = vec![
        spread("crew and house, common to all hours", hours * rate * shared(terms.crew_spread)),
        spread("single tasks, each by its three points", variance.sqrt() * rate),
        spread(
            "prices of materials until they are bought",
            direct.materials.approximate() * shared(terms.price_spread),
        ),
        spread("lengths of runs that were not measured", lengths_deviation),
    ];
    spreads.extend(unknowns.iter().map(|unknown| {
        let cause = match unknown.subject {
            "wall" => "walls that were not recorded",
            "floor-construction" => "floors that were not recorded",
            _ => "whether the rooms are empty, which was not recorded",
        };
        spread(cause, unknown.deviation())
    }));
    spreads
}

/// What undrawn rooms or unmarked points leave open, in direct cost.
fn lengths_deviation(job: Job<'_>, assumptions: &Assumptions, priced: &[(&Item, PricedItem)]) -> f64 {
    let by_length = |item: &Item| matches!(item.kind, LineKind::Cable | LineKind::BuildersWork | LineKind::MakingGood);
    let cost: f64 =
        priced.iter().filter(|(item, _)| by_length(item)).map(|(_, priced)| priced.amount().approximate()).sum();
    if !job.site.measured {
        cost * model::SPREAD
    } else if assumptions.made("positions") {
        cost * UNMARKED_SPREAD
    } else {
        0.0
    }
}

/// For each bond without a place: its direct cost less that of one beside the board.
fn bond_spans(job: Job<'_>, priced: &[(&Item, PricedItem)]) -> Vec<(String, f64)> {
    /// A bond beside the board is about this long. Common practice, no source.
    const BESIDE_THE_BOARD_M: f64 = 3.0;
    job.site
        .services
        .iter()
        .filter(|service| service.spot.is_none() && crate::take_off::needs_bond(service))
        .map(|service| {
            let words = format!("Main bond to {}", service.kind.word().replace('-', " "));
            let metres = crate::take_off::bond_metres(job, service).max(BESIDE_THE_BOARD_M);
            let line = priced.iter().find(|(item, _)| item.kind == LineKind::Earthing && item.label.words == words);
            let cost = line.map_or(0.0, |(_, priced)| priced.amount().approximate());
            (service.kind.word().replace('-', " "), cost * (1.0 - BESIDE_THE_BOARD_M / metres))
        })
        .collect()
}

/// The demand of all loads, by the published allowances.
fn demand_of(engine: &Engine, job: Job<'_>) -> Demand {
    let supply = &job.site.supply;
    let request = DemandRequest {
        ruleset: None,
        supply: DemandSupply {
            voltage_v: Some(supply.voltage.value()),
            cut_out_a: supply.cut_out_read.then_some(supply.cut_out.value()),
        },
        loads: loads(job),
    };
    match demand::after_diversity(&engine.standards, &request) {
        Ok(answer) => Demand {
            connected_a: Amps::new(answer.connected_a),
            after_diversity_a: Amps::new(answer.after_diversity_a),
            cut_out_a: Amps::new(answer.cut_out_a),
            verdict: answer.verdict,
            working: answer.working,
            ask_operator: answer.ask_operator,
            by_kind: answer.by_kind,
        },
        // More loads than the allowances are meant for: no dwelling, so no verdict.
        Err(faults) => Demand {
            connected_a: job.installation.circuits.iter().map(|circuit| circuit.design_current).sum(),
            after_diversity_a: job.installation.circuits.iter().map(|circuit| circuit.design_current).sum(),
            cut_out_a: supply.cut_out,
            verdict: Verdict::Fail,
            working: format!(
                "no diversity taken: {}",
                faults.into_iter().map(|fault| fault.detail).collect::<Vec<_>>().join("; ")
            ),
            ask_operator: vec!["have the demand worked out by a designer before anything is promised".to_owned()],
            by_kind: Vec::new(),
        },
    }
}

fn loads(job: Job<'_>) -> Vec<DemandLoad> {
    let mut loads: std::collections::BTreeMap<(LoadKind, u64), u32> = std::collections::BTreeMap::new();
    for circuit in job.installation.circuits.iter().filter(|circuit| circuit.kind != CircuitType::Distribution) {
        let kind = load_kind(circuit, job.site);
        let plates = circuit.appliances.iter().map(|one| one.load.current_at(job.site.supply.voltage));
        let currents: Vec<Amps> = match circuit.kind {
            _ if circuit.feeds_sockets(job.site) => vec![circuit.device.rating],
            _ if circuit.appliances.is_empty() => vec![circuit.design_current],
            _ => plates.collect(),
        };
        for current in currents.into_iter().filter(|current| *current > Amps::ZERO) {
            *loads.entry((kind, current.value().to_bits())).or_insert(0) += 1;
        }
    }
    loads
        .into_iter()
        .map(|((kind, current), count)| DemandLoad {
            kind,
            count: Some(count),
            load_kw: None,
            current_a: Some(f64::from_bits(current)),
            socket_outlet: None,
        })
        .collect()
}

fn load_kind(circuit: &CircuitPlan, site: &Site) -> LoadKind {
    if circuit.feeds_sockets(site) {
        return LoadKind::SocketCircuit;
    }
    match circuit.kind {
        CircuitType::RingSockets | CircuitType::RadialSockets | CircuitType::Sockets => LoadKind::SocketCircuit,
        CircuitType::Lighting | CircuitType::Alarms => LoadKind::Lighting,
        CircuitType::Cooker | CircuitType::Oven | CircuitType::Hob => LoadKind::Cooker,
        CircuitType::Shower => LoadKind::Shower,
        CircuitType::Immersion => LoadKind::ThermostaticWaterHeater,
        CircuitType::FloorHeating => LoadKind::FloorHeating,
        CircuitType::ChargePoint => LoadKind::EvCharger,
        CircuitType::HeatPump => LoadKind::HeatPump,
        CircuitType::Heating
        | CircuitType::Boiler
        | CircuitType::Freezer
        | CircuitType::Outside
        | CircuitType::Distribution
        | CircuitType::Appliance
        | CircuitType::Spare
        | CircuitType::None => LoadKind::SpaceHeating,
    }
}

fn routes(job: Job<'_>) -> Vec<Route> {
    let because = if job.site.measured {
        "along the building's axes from room to room, by the void that opens most easily; no other way was searched"
    } else {
        "nothing was drawn: lengths from a model of floor areas, good to a quarter either way"
    };
    let mut routes: Vec<Route> = job
        .installation
        .circuits
        .iter()
        .map(|circuit| {
            let mut segments: Vec<_> = circuit.run.segments.iter().collect();
            segments.sort_by_key(|segment| (segment.room, segment.medium));
            let segments: Vec<RouteSegment> = segments
                .chunk_by(|a, b| (a.room, a.medium) == (b.room, b.medium))
                .map(|same| RouteSegment {
                    medium: same[0].medium,
                    room: same[0].room.map(|room| job.site.rooms[room].id.clone()),
                    metres: same.iter().map(|segment| segment.metres).sum::<Metres>().rounded(2),
                    hours: Hours::new(
                        same.iter()
                            .map(|segment| crate::take_off::segment_hours(job.workbook, circuit.cable, segment))
                            .sum(),
                    )
                    .rounded(2),
                    obstruction: same
                        .iter()
                        .find_map(|segment| segment.obstruction)
                        .map(|obstruction| obstruction.word().to_owned()),
                    path: Vec::new(),
                })
                .collect();
            Route {
                id: String::new(),
                serves: circuit.id.clone(),
                circuit: Some(circuit.id.clone()),
                metres: segments.iter().map(|segment| segment.metres).sum::<Metres>().rounded(2),
                hours: segments.iter().map(|segment| segment.hours).sum::<Hours>().rounded(2),
                segments,
                chosen_because: because.to_owned(),
                runner_up: None,
            }
        })
        .collect();
    for (index, route) in routes.iter_mut().enumerate() {
        route.id = format!("R{}", index + 1);
    }
    routes
}

/// The assumptions as they go out, the model of lengths with them.
fn stated(assumptions: Assumptions, job: Job<'_>) -> Vec<Assumption> {
    let mut entries = assumptions.into_entries();
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
        subject: "lamp-load".into(),
        places: vec!["house".to_owned()],
        assumed: "LED fittings, 6 to 40 W each".to_owned(),
        because: "lamps are not recorded; usual fittings, from memory".to_owned(),
    });
    entries
}
