//! The installation of a job put into words: circuits, boards, earthing.

use super::words;
use super::{
    AlarmJudged, Alarms, BathroomPoint, Board, BoardEarthing, BoardPlace, BoardSupply, CableChosen, Circuit,
    CircuitPoint, CircuitRating, DeviceChosen, Electrode, ExpectedTests, Judged, MainBond, NewRuleJudged,
    ProvisionLaid, SmallBoard, SubBoard, SupplementaryBond, Way,
};
use crate::catalogue::CircuitType;
use crate::checks::{CheckName, Verdict, test_values};
use crate::circuits::phases::Phase;
use crate::circuits::{self, CircuitPlan, FedFrom, Findings, Proof, SubBoardPlan, earthing, edition};
use crate::quantities::{Amps, Metres, Ohms, Volts};
use crate::site::Site;
use crate::standards::EarthingItem;
use crate::survey::FutureType;
use crate::take_off::{self, Job};
use crate::working::{Advice, AdviceName, Check, check_one};

pub(crate) fn circuits(job: Job<'_>) -> Vec<Circuit> {
    let installation = job.installation;
    installation
        .circuits
        .iter()
        .zip(&installation.checked)
        .take_while(|_| job.ways.work().goes_on())
        .map(|(circuit, proof)| self::circuit(job, circuit, proof.as_ref()))
        .collect()
}

fn circuit(job: Job<'_>, circuit: &CircuitPlan, proof: Option<&Proof>) -> Circuit {
    let judged = proof.map(|proof| &proof.judged);
    let (checks, advice) = proof.map(|proof| shown(job, circuit, proof)).unwrap_or_default();
    Circuit {
        id: circuit.id.clone(),
        name: circuit.name.clone(),
        circuit_type: circuit.kind.word().to_owned(),
        arrangement: if circuit.ring { "ring" } else { "radial" }.to_owned(),
        device: device(job, circuit),
        cable: cable(circuit),
        length_m: circuit.run.metres.rounded(1),
        far_end_m: circuit.run.far_end.rounded(1),
        design_current_a: circuit.design_current.rounded(2),
        points: circuit
            .members
            .iter()
            .map(|member| CircuitPoint {
                room: job.site.rooms[member.room].id.clone(),
                point_type: job.site.rooms[member.room].points[member.point].kind.word().to_owned(),
                count: u64::from(member.count),
            })
            .collect(),
        checks,
        verdict: judged.map_or(Verdict::Fail, |judged| judged.verdict),
        capacity_a: judged.map(|judged| Amps::new(judged.iz_a)),
        rating: judged.and_then(|_| rating(job, circuit)),
        zs_ohm: judged.map(|judged| Ohms::new(judged.zs_ohm)),
        test_values: proof.and_then(|proof| expected_tests(job, proof)),
        advice,
        phase: circuit.phase,
        fed_from: match circuit.fed_from {
            FedFrom::Board => None,
            FedFrom::Intake => Some("intake".to_owned()),
            FedFrom::Circuit(feed) => job.installation.circuits.get(feed).map(|feed| feed.id.clone()),
        },
        existing: circuit.fixed.kept.is_some(),
        because: words::circuits::because(circuit, job),
    }
}

/// What a tester should find; what could be judged has figures.
fn expected_tests(job: Job<'_>, proof: &Proof) -> Option<ExpectedTests> {
    let found = test_values(job.standards, &proof.supply, &proof.circuit, &proof.upstream).ok()?;
    let ends = found.ring_ends;
    Some(ExpectedTests {
        zs_max_measured_ohm: Ohms::new(found.zs_max_measured_ohm),
        r1_r2_ohm: Ohms::new(found.r1_r2_ohm),
        r1_ohm: ends.map(|ends| Ohms::new(ends.r1_ohm)),
        rn_ohm: ends.map(|ends| Ohms::new(ends.rn_ohm)),
        r2_ohm: ends.map(|ends| Ohms::new(ends.r2_ohm)),
        insulation_mohm_min: found.insulation_mohm_min,
        residual_trip_ms_max: found.residual_trip_ms_max,
    })
}

/// The checks with their working, and what the rules recommend. What is asked of the maker of the device is said with the
/// check that rests on it; arc fault detection is for outlets, and here it is known whether there are any.
fn shown(job: Job<'_>, circuit: &CircuitPlan, proof: &Proof) -> (Vec<Check>, Vec<Advice>) {
    // What could be judged can be shown: the tables are the same.
    let Ok(shown) = check_one(job.standards, &proof.supply, &proof.circuit, &proof.upstream) else {
        return Default::default();
    };
    let mut checks = shown.checks;
    if let Some(most_a2s) = circuit.let_through_a2s_max {
        for check in checks.iter_mut().filter(|check| check.name == CheckName::FaultWithstand) {
            check.verdict = proof.judged.check(check.name).verdict;
            check.working = format!("{}. {}", check.working, words::circuits::lower_let_through(most_a2s));
        }
    }
    for check in checks.iter_mut().filter(|check| check.name == CheckName::Overload) {
        check.working = format!("{}. {}", check.working, words::circuits::governs(circuit, job.site));
    }
    let applies = |name| name != AdviceName::ArcFaultDetection || circuit.has_outlets(job.site);
    let advice = shown.advice.into_iter().filter(|advice| applies(advice.name)).collect();
    (checks, advice)
}

/// The stretch that governs what the cable carries.
fn rating(job: Job<'_>, circuit: &CircuitPlan) -> Option<CircuitRating> {
    let lying = &circuit.governing;
    let found = lying.rating(circuit.cable, job.standards)?;
    Some(CircuitRating {
        method: lying.method,
        room: lying.room.map(|room| job.site.rooms[room].id.clone()),
        medium: lying.medium,
        iz_a: found.iz().rounded(4),
        it_a: found.tabulated,
        ca: found.ca,
        cg: found.cg,
        ci: found.ci,
        grouped_circuits: lying.cables,
        because: words::circuits::governs(circuit, job.site),
    })
}

fn device(job: Job<'_>, circuit: &CircuitPlan) -> DeviceChosen {
    let both_directions = edition::feeds_back(circuit, job.site);
    DeviceChosen {
        device_type: if circuit.device.combined { "rcbo" } else { "breaker" }.to_owned(),
        curve: Some(circuit.device.curve.word().to_owned()),
        rating_a: circuit.device.rating,
        poles: Some(poles(circuit)),
        residual_ma: circuit.device.residual_ma,
        breaking_capacity_ka: 6.0,
        let_through_a2s_max: circuit.let_through_a2s_max,
        residual_type: circuit.device.residual_ma.map(|_| residual_type(circuit.kind, both_directions).to_owned()),
        both_directions,
    }
}

/// Poles that a device breaks: every phase of its circuit, and the neutral where that has to be cut off too.
fn poles(circuit: &CircuitPlan) -> u8 {
    let lines = if circuit.phase == Some(Phase::All) { 3 } else { 1 };
    lines + u8::from(circuit.breaks_neutral())
}

/// Type A for what holds electronics, which is nearly everything; a vehicle and storage may let direct current flow.
/// Source: BS 7671 531.3.3 and 722.531.3.101, from memory.
const fn residual_type(kind: CircuitType, both_directions: bool) -> &'static str {
    match kind {
        CircuitType::ChargePoint => "a, with 6 mA DC detection in the charge point, or b",
        CircuitType::HeatPump => "a, or f or b if the maker of the unit asks for it",
        _ if both_directions => "b, or as the maker of the inverter says",
        _ => "a",
    }
}

fn cable(circuit: &CircuitPlan) -> CableChosen {
    CableChosen {
        cable_type: circuit.cable.cable_type().word().to_owned(),
        line_mm2: circuit.cable.line_mm2(),
        cpc_mm2: circuit.cable.cpc_mm2(),
        cores: circuit.cores(),
        method: circuit.governing.method,
    }
}

pub(crate) fn board(job: Job<'_>, findings: &Findings) -> Board {
    let plan = &job.installation.board;
    let site = job.site;
    let at_board = &plan.at_board.upstream;
    let arc_detection = findings.arc_detection;
    let stays = plan.stays;
    Board {
        stays,
        small_board: plan.small_board.then(|| small_board(job)),
        room: site.board.room.map(|room| site.rooms[room].id.clone()),
        height_m: plan.height,
        place: Some(place(findings)),
        supply: Some(supply(site)),
        tails_m: plan.tails.rounded(1),
        tails_mm2: (!stays).then(|| plan.earthing.tails.value()),
        tails_drop_v: Some(Volts::new(at_board.voltage_drop_v).rounded(2)),
        zs_ohm: Some(Ohms::new(at_board.zs_ohm).rounded(4)),
        fault_current_ka: at_board.fault_current_ka.map(|current| (current * 10_000.0).round() / 10_000.0),
        switched_fuse_a: plan.switched_fuse.then(|| site.supply.cut_out.min(plan.main_switch)),
        main_switch_a: plan.main_switch,
        main_switch_poles: (!stays).then_some(if site.supply.phases == 3 { 4 } else { 2 }),
        ways_used: plan.used,
        ways_spare: plan.ways.saturating_sub(plan.used),
        ways: plan.ways,
        chart: if stays { chart_of_what_stays(job) } else { chart(job, FedFrom::Board, plan.ways, &plan.kept_for) },
        enclosure: if stays { words::board::enclosure_that_stays(site) } else { words::board::ENCLOSURE }.to_owned(),
        surge_device: !stays && !site.surge_declined,
        surge: Some(
            if stays {
                words::board::SURGE_STAYS
            } else if site.surge_declined {
                words::earthing::SURGE_DECLINED
            } else {
                words::board::SURGE
            }
            .to_owned(),
        ),
        arc_detection: Some(Judged {
            verdict: arc_detection.verdict(),
            because: words::board::arc_detection(arc_detection).to_owned(),
        }),
        sub_boards: plan.sub_boards.iter().map(|board| sub_board(job, board)).collect(),
        earthing: Some(board_earthing(job, findings)),
        provisions: provisions(job),
        new_rules: new_rules(site, findings),
        because: words::board::because(plan, site),
    }
}

fn place(findings: &Findings) -> BoardPlace {
    let findings: Vec<Judged> = findings
        .place
        .iter()
        .map(|finding| Judged {
            verdict: finding.verdict(),
            because: format!("{} ({})", words::board::place(*finding), words::board::place_clause(*finding)),
        })
        .collect();
    BoardPlace { verdict: findings.iter().map(|finding| finding.verdict).max().unwrap_or(Verdict::Pass), findings }
}

fn supply(site: &Site) -> BoardSupply {
    BoardSupply {
        voltage_v: site.supply.voltage,
        phases: site.supply.phases,
        earthing: site.supply.earthing.word().to_owned(),
        ze_ohm: site.supply.ze,
        fault_current_ka: site.supply.fault_current.map(|current| current.value()),
        cut_out_a: site.supply.cut_out,
        cut_out_read: site.supply.cut_out_read,
        looped: site.supply.looped,
        isolator_after_meter: site.supply.isolator_after_meter,
    }
}

fn sub_board(job: Job<'_>, plan: &SubBoardPlan) -> SubBoard {
    let feed = job.installation.checked.get(plan.feed).and_then(Option::as_ref).map(|proof| &proof.judged);
    SubBoard {
        outbuilding: job.site.rooms[job.site.outbuildings[plan.outbuilding].room].id.clone(),
        fed_from: job.installation.circuits[plan.feed].id.clone(),
        ways: plan.ways,
        ways_used: Some(plan.used),
        ways_spare: Some(plan.ways.saturating_sub(plan.used)),
        main_switch_a: Some(plan.main_switch),
        zs_ohm: feed.map(|feed| Ohms::new(feed.zs_ohm)),
        fault_current_ka: feed.and_then(|feed| feed.end_fault_current_ka),
        chart: chart(job, FedFrom::Circuit(plan.feed), plan.ways, &[]),
        earthing: words::earthing::outbuilding(plan.earth).to_owned(),
        surge_device: Some(plan.surge_device),
        surge: Some(words::earthing::surge_at(plan, job.site)),
        enclosure: Some(words::earthing::ENCLOSURE_OUTSIDE.to_owned()),
        feed_entry: Some(words::earthing::feed_entry(plan, &job.installation.circuits[plan.feed])),
        electrode: plan.earth.has_electrode().then(|| electrode(job)),
    }
}

/// Circuits in the order of the chart, those behind one residual current device side by side as its bar asks; then ways kept
/// for something, then free ones.
fn chart(job: Job<'_>, fed_from: FedFrom, ways: u32, kept_for: &[FutureType]) -> Vec<Way> {
    let installation = job.installation;
    let taken = circuits::names::in_order_of_ways(&installation.circuits, &installation.board.sections, fed_from);
    let mut chart = taken_ways(job, &taken);
    chart.extend(kept_for.iter().map(|future| spare(Some(future.word().to_owned()))));
    numbered(chart, ways)
}

/// A board that stays: the circuits that are known on it, the new ones unless they have a small board, ways in use that nobody
/// recorded, then free ones.
fn chart_of_what_stays(job: Job<'_>) -> Vec<Way> {
    let plan = &job.installation.board;
    let mut chart = taken_ways(job, &on_the_board(job, |circuit| !plan.small_board || circuit.fixed.kept.is_some()));
    let in_use = Way { name: words::board::IN_USE.to_owned(), unrecorded: true, ..spare(None) };
    chart.resize(chart.len().max(plan.used as usize), in_use);
    numbered(chart, plan.ways)
}

/// The small board with the new circuits.
fn small_board(job: Job<'_>) -> SmallBoard {
    let used = job.installation.board.new_circuits;
    let ways = used.max(1).next_multiple_of(take_off::SMALL_BOARD_WAYS);
    let new = on_the_board(job, |circuit| circuit.fixed.kept.is_none());
    SmallBoard {
        ways,
        ways_used: used,
        ways_spare: ways - used,
        chart: numbered(taken_ways(job, &new), ways),
        enclosure: words::board::ENCLOSURE.to_owned(),
    }
}

/// The circuits of the house's board that the test picks, in the order of the chart.
fn on_the_board(job: Job<'_>, picks: impl Fn(&CircuitPlan) -> bool) -> Vec<usize> {
    let installation = job.installation;
    let taken = circuits::names::in_order_of_ways(&installation.circuits, &installation.board.sections, FedFrom::Board);
    taken.into_iter().filter(|index| picks(&installation.circuits[*index])).collect()
}

/// So many ways: those that are taken, then free ones.
fn numbered(mut chart: Vec<Way>, ways: u32) -> Vec<Way> {
    chart.resize(chart.len().max(ways as usize), spare(None));
    for (way, number) in chart.iter_mut().zip(1..) {
        way.way = number;
    }
    chart
}

fn taken_ways(job: Job<'_>, circuits: &[usize]) -> Vec<Way> {
    let installation = job.installation;
    let way = |index: &usize| {
        let index = *index;
        let circuit = &installation.circuits[index];
        Way {
            way: 0,
            circuit: Some(circuit.id.clone()),
            name: circuit.name.clone(),
            device: Some(device(job, circuit)),
            cable: Some(cable(circuit)),
            length_m: Some(circuit.run.metres.rounded(1)),
            section: installation.board.sections.get(&index).copied(),
            kept_for: None,
            unrecorded: false,
        }
    };
    circuits.iter().map(way).collect()
}

fn spare(kept_for: Option<String>) -> Way {
    Way {
        way: 0,
        circuit: None,
        name: kept_for
            .as_ref()
            .map_or_else(|| "Spare".to_owned(), |future| format!("Spare, for {}", future.replace('-', " "))),
        device: None,
        cable: None,
        length_m: None,
        section: None,
        kept_for,
        unrecorded: false,
    }
}

fn electrode(job: Job<'_>) -> Electrode {
    let conductor = job.standards.earthing(EarthingItem::BuriedEarthingConductor, earthing::TAILS);
    Electrode {
        ohm_max: earthing::ELECTRODE_OHM_MAX,
        conductor_mm2: conductor.as_ref().map_or(0.0, |sized| sized.size.value()),
        because: words::earthing::electrode(conductor),
    }
}

fn board_earthing(job: Job<'_>, findings: &Findings) -> BoardEarthing {
    let plan = &job.installation.board.earthing;
    let bond = |(index, service): (usize, &crate::site::ServicePlan)| {
        let laid = job.installation.unassigned.bond(index);
        MainBond {
            service: service.kind.word().to_owned(),
            needed: laid.is_some(),
            size_mm2: plan.main_bond.size.value(),
            existing_mm2: service.bonded_mm2,
            length_m: laid.map(|bond| Metres::new(bond.metres).rounded(1)),
            because: words::earthing::main_bond(service, &plan.main_bond.source, plan.main_bond.size),
        }
    };
    BoardEarthing {
        system: job.site.supply.earthing.word().to_owned(),
        known: job.site.supply.earthing_known,
        conductor_mm2: plan.earthing_conductor.size.value(),
        conductor_because: if job.site.scope.board_stays() {
            words::earthing::CONDUCTOR_STAYS.to_owned()
        } else {
            format!("For tails of {} ({})", plan.tails, plan.earthing_conductor.source)
        },
        main_bonds: job.site.services.iter().enumerate().map(bond).collect(),
        supplementary: findings
            .supplementary
            .iter()
            .map(|bond| SupplementaryBond {
                room: job.site.rooms[bond.room].id.clone(),
                needed: bond.needed(),
                size_mm2: bond.conductor.size.value(),
                because: words::earthing::supplementary(bond, job.installation),
            })
            .collect(),
        electrode: plan.electrode.then(|| electrode(job)),
    }
}

fn provisions(job: Job<'_>) -> Vec<ProvisionLaid> {
    let draw_ins = &job.installation.unassigned.draw_ins;
    job.site
        .future
        .iter()
        .map(|future| {
            let row = job.catalogue.provision(*future);
            let draw_in = draw_ins.iter().find(|draw_in| draw_in.futures.contains(future));
            ProvisionLaid {
                future: future.word().to_owned(),
                ways: row.ways,
                provision: row.provision.clone(),
                towards: draw_in.map(|draw_in| words::take_off::draw_in_end(job, draw_in.ends)),
                metres: draw_in.map(|draw_in| draw_in.metres.rounded(2)),
                source: row.source.clone(),
            }
        })
        .collect()
}

fn new_rules(site: &Site, findings: &Findings) -> Vec<NewRuleJudged> {
    let judged = findings.new_rules.iter().map(|rule| NewRuleJudged {
        subject: rule.word().to_owned(),
        applies: rule.applies(),
        verdict: rule.verdict(),
        clause: words::board::new_rule_clause(rule).to_owned(),
        working: words::board::new_rule(rule, site),
    });
    judged.collect()
}

pub(crate) fn alarms(site: &Site, findings: &Findings) -> Alarms {
    let findings: Vec<AlarmJudged> = findings
        .alarms
        .iter()
        .map(|finding| AlarmJudged {
            room: finding.room.map(|room| site.rooms[room].id.clone()),
            level: finding.level,
            wants: finding.wants.word().to_owned(),
            recorded: finding.recorded,
            reach_m: finding.reach_m,
            verdict: finding.verdict,
            working: words::alarms::working(finding, site),
        })
        .collect();
    Alarms {
        category: site.alarms.word().to_owned(),
        verdict: findings.iter().map(|finding| finding.verdict).max().unwrap_or(Verdict::Pass),
        findings,
    }
}

pub(crate) fn bathrooms(site: &Site, findings: &Findings) -> Vec<BathroomPoint> {
    findings
        .bathrooms
        .iter()
        .map(|finding| BathroomPoint {
            room: site.rooms[finding.room].id.clone(),
            point_type: finding.point.word().to_owned(),
            distance_m: finding.distance_m,
            measured: finding.measured,
            least_m: finding.least_m,
            verdict: finding.verdict,
            working: words::bathrooms::working(finding),
        })
        .collect()
}
