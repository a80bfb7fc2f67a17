//! A small estimate, complete and wholly invented: two rooms, one circuit that passes and one that does not. Its
//! tax is half a penny before rounding.

use engine::checks::{CheckName, CheckUnit, Verdict};
use engine::circuits::DemandVerdict;
use engine::demand::KindDemand;
use engine::estimate::{
    Alarms, Assumption, Board, BoardEarthing, BoardPlace, BoardSupply, Breakdown, CableChosen, Circuit, CircuitPoint,
    CrossCheck, Demand, DeviceChosen, DifferenceCause, Driver, DrumCuts, Estimate, HoursByStage, Included, Judged,
    Line, LineKind, Offer, PricedOption, Programme, ProgrammeStep, Purchase, Question, Range, RateSheetUsed, RiskFlag,
    RiskKind, RoomPrice, Route, RouteSegment, RunnerUp, Severity, SubBoard, TakeOffItem, Totals, UsedInRoom,
    UsedInStage,
};
use engine::money::Money;
use engine::quantities::{Amps, Hours, Metres, Ohms, Volts};
use engine::standards::{CheckedGroup, LoadKind, ReferenceMethod, Ruleset, RulesetId};
use engine::survey::{Medium, Method, SuppliedBy, VatCase};
use engine::working::{Advice, AdviceName, Check};

pub fn money(text: &str) -> Money {
    text.parse().expect("an amount in a test")
}

#[expect(clippy::too_many_lines, reason = "a whole document, written out")]
pub fn estimate() -> Estimate {
    Estimate {
        id: "01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d".to_owned(),
        created_at: "2026-11-25T10:00:00.123456Z".to_owned(),
        reference: Some("J-1042".to_owned()),
        currency: "GBP".to_owned(),
        rate_sheet: RateSheetUsed {
            name: "standard".to_owned(),
            version: 1,
            note: "Every price is invented for demonstration; put in the firm's own.".to_owned(),
        },
        ruleset: ruleset(),
        engine_version: "0.1.0".to_owned(),
        method: Method::Measured,
        totals: totals(),
        hours: HoursByStage {
            strip_out: Hours::ZERO,
            first_fix: Hours::new(4.75),
            second_fix: Hours::new(2.25),
            testing: Hours::new(2.0),
            preliminaries: Hours::new(1.0),
            total: Hours::new(10.0),
        },
        programme: programme(),
        scope: None,
        rooms: vec![
            room("kitchen", "Kitchen", 6, 5.0, ["100.25", "230.10", "330.35"]),
            room("hall", "Hall", 1, 0.5, ["6.20", "14.00", "20.20"]),
        ],
        lines: lines(),
        breakdown: Breakdown::default(),
        offer: Offer::default(),
        circuits: circuits(),
        board: board(),
        alarms: Some(Alarms { category: "ld2".to_owned(), verdict: Verdict::Pass, findings: Vec::new() }),
        bathrooms: Vec::new(),
        demand: demand(),
        routes: routes(),
        plan: None,
        take_off: take_off(),
        included: vec![Included {
            id: "lived-in".into(),
            places: vec!["kitchen".to_owned()],
            what: "People live in this room; the extra hours are in the price. The client could clear it.".to_owned(),
            net: Some("41.20".parse().expect("money")),
        }],
        risk_flags: risk_flags(),
        questions: questions(),
        range: range(),
        cross_check: CrossCheck {
            method: Method::PerPoint,
            net: money("1100.00"),
            difference: money("100.10"),
            causes: vec![
                cause("routes", "140.10", "35 m of cable against 20 m in the rates"),
                cause("rounding", "-40.00", "what the other causes leave"),
            ],
            matching_rates: Vec::new(),
        },
        options: vec![PricedOption {
            id: "clear-the-rooms".into(),
            what: "Clear the kitchen before first fix.".to_owned(),
            net_change: money("-84.00"),
            hours_change: Hours::new(-1.2),
            effect: "Nothing is lost.".into(),
        }],
        finishes: Vec::new(),
        extra_points: Vec::new(),
        assumptions: vec![Assumption {
            subject: "wall".into(),
            places: vec!["kitchen".to_owned(), "hall".to_owned()],
            assumed: "brick".to_owned(),
            because: "usual for the decade of the house".to_owned(),
        }],
        exclusions: vec!["Decoration.".into()],
        cautions: vec!["Isolate, lock, prove dead with a proven tester, prove the tester again.".into()],
    }
}

fn ruleset() -> Ruleset {
    Ruleset {
        id: RulesetId::A4,
        title: "BS 7671:2018 with Amendment 4".to_owned(),
        checked: vec![CheckedGroup {
            group: "loop impedance".to_owned(),
            edition: "2018".to_owned(),
            status: "derived".to_owned(),
            note: "to be held against the printed table".to_owned(),
        }],
    }
}

fn totals() -> Totals {
    Totals {
        materials: money("416.45"),
        labour: money("459.65"),
        preliminaries: money("60.00"),
        overhead: money("90.00"),
        contingency: money("55.55"),
        profit: money("118.45"),
        net: money("1200.10"),
        vat: money("60.01"),
        gross: money("1260.11"),
        vat_case: VatCase::Reduced,
        vat_percent: "5".to_owned(),
        vat_basis: "Renovation of a dwelling empty for two years or more; the evidence is held.".to_owned(),
        vat_by_case: Vec::new(),
    }
}

fn programme() -> Programme {
    let step = |step: &str, crew_days: f64, wait_days: Option<[u32; 2]>, after: &str| ProgrammeStep {
        step: step.to_owned(),
        crew_days,
        wait_days,
        after: after.to_owned(),
    };
    Programme {
        visits: Some(1),
        people: 2,
        hours_per_day: Hours::new(7.5),
        crew_days: 0.7,
        steps: vec![
            step("First fix", 0.4, None, "marking out, agreed with the client"),
            step("Plaster dries", 0.0, Some([7, 14]), "first fix, photographed"),
            step("Second fix and testing", 0.3, None, "plaster dry, fittings on site"),
        ],
    }
}

fn room(room: &str, name: &str, points: u64, hours: f64, [materials, labour, amount]: [&str; 3]) -> RoomPrice {
    RoomPrice {
        room: room.to_owned(),
        name: name.to_owned(),
        points,
        hours: Hours::new(hours),
        materials: money(materials),
        labour: money(labour),
        amount: money(amount),
        price: money(amount),
    }
}

#[expect(clippy::too_many_lines, reason = "every line of a document, written out")]
fn lines() -> Vec<Line> {
    vec![
        line(
            ("L1", LineKind::Point),
            Some("kitchen"),
            Some("C1"),
            ("double-socket", "Double socket"),
            (6.0, "each", 3.0),
            ["60.00", "150.00", "210.00"],
        ),
        line(
            ("L2", LineKind::Cable),
            Some("kitchen"),
            Some("C1"),
            ("cable-te-2-5", "Cable, 2.5 mm2"),
            (35.0, "m", 2.0),
            ["40.25", "80.10", "120.35"],
        ),
        line(
            ("L3", LineKind::Point),
            Some("hall"),
            Some("C2"),
            ("pendant", "Pendant"),
            (1.0, "each", 0.5),
            ["6.20", "14.00", "20.20"],
        ),
        line(
            ("L4", LineKind::Board),
            None,
            None,
            ("board", "Consumer unit of 10 ways with its devices"),
            (1.0, "each", 1.5),
            ["310.00", "120.00", "430.00"],
        ),
        line(
            ("L5", LineKind::Testing),
            None,
            None,
            ("testing", "Dead and live tests, certificate"),
            (2.0, "circuit", 2.0),
            ["0.00", "95.55", "95.55"],
        ),
        line(
            ("L6", LineKind::Preliminaries),
            None,
            None,
            ("travel", "Getting there"),
            (1.0, "day", 1.0),
            ["12.00", "48.00", "60.00"],
        ),
        line(
            ("L7", LineKind::Overhead),
            None,
            None,
            ("overhead", "Overhead of the firm"),
            (1.0, "sum", 0.0),
            ["0.00", "0.00", "90.00"],
        ),
        line(
            ("L8", LineKind::Contingency),
            None,
            None,
            ("contingency", "From the middle to 80 in 100"),
            (1.0, "sum", 0.0),
            ["0.00", "0.00", "55.55"],
        ),
        line(
            ("L9", LineKind::Profit),
            None,
            None,
            ("profit", "Margin on the price"),
            (1.0, "sum", 0.0),
            ["0.00", "0.00", "118.45"],
        ),
    ]
}

fn line(
    (id, kind): (&str, LineKind),
    room: Option<&str>,
    circuit: Option<&str>,
    (item, description): (&str, &str),
    (quantity, unit, hours): (f64, &str, f64),
    [materials, labour, amount]: [&str; 3],
) -> Line {
    Line {
        id: id.to_owned(),
        key: format!("{}/{item}", room.unwrap_or("house")),
        kind,
        room: room.map(str::to_owned),
        circuit: circuit.map(str::to_owned),
        item: item.to_owned(),
        description: description.to_owned(),
        quantity,
        unit: unit.to_owned(),
        stage: None,
        finish: None,
        crew: 1,
        hours: Hours::new(hours),
        materials: money(materials),
        labour: money(labour),
        amount: money(amount),
        price: money(amount),
        vat_case: None,
        vat: Money::ZERO,
        because: vec![format!("{quantity} {unit} of {item}"), format!("{hours} h")],
    }
}

fn circuits() -> Vec<Circuit> {
    let check = |value: f64, limit: f64, verdict: Verdict| Check {
        name: CheckName::Overload,
        value,
        limit,
        unit: CheckUnit::Amps,
        verdict,
        clause: "BS 7671 433.1.1(ii)".into(),
        working: format!("In = {value} A; Iz = {limit} A"),
    };
    let circuit = |id: &str, name: &str, rating: f64, line_mm2: f64, checks: Vec<Check>, verdict: Verdict| Circuit {
        rating: None,
        id: id.to_owned(),
        name: name.to_owned(),
        circuit_type: "radial-sockets".to_owned(),
        arrangement: "radial".to_owned(),
        device: DeviceChosen {
            device_type: "rcbo".to_owned(),
            curve: Some("b".to_owned()),
            poles: Some(1),
            rating_a: Amps::new(rating),
            residual_ma: Some(30.0),
            breaking_capacity_ka: 6.0,
            let_through_a2s_max: None,
            residual_type: Some("a".to_owned()),
            both_directions: false,
        },
        cable: CableChosen {
            cable_type: "flat-twin-and-earth-70c".to_owned(),
            line_mm2,
            cpc_mm2: 1.5,
            cores: Some(2),
            method: ReferenceMethod::M103,
        },
        length_m: Metres::new(35.0),
        far_end_m: Metres::new(22.5),
        design_current_a: Amps::new(18.26),
        points: vec![CircuitPoint { room: "kitchen".to_owned(), point_type: "double-socket".to_owned(), count: 6 }],
        checks,
        verdict,
        capacity_a: Some(Amps::new(27.0)),
        zs_ohm: Some(Ohms::new(0.82)),
        test_values: None,
        phase: None,
        advice: vec![Advice {
            name: AdviceName::ArcFaultDetection,
            verdict: Verdict::Advise,
            clause: "BS 7671 421.1.7".into(),
            working: "recommended for socket circuits".into(),
        }],
        fed_from: None,
        existing: false,
        because: vec!["kitchen on its own".to_owned()],
    };
    vec![
        circuit("C1", "Sockets, kitchen", 20.0, 2.5, vec![check(20.0, 27.0, Verdict::Pass)], Verdict::Pass),
        circuit("C2", "Sockets, workshop", 32.0, 2.5, vec![check(32.0, 27.0, Verdict::Fail)], Verdict::Fail),
    ]
}

fn board() -> Board {
    Board {
        stays: false,
        small_board: None,
        room: Some("hall".to_owned()),
        height_m: Some(Metres::new(1.4)),
        place: Some(BoardPlace { verdict: Verdict::Pass, findings: Vec::new() }),
        supply: Some(BoardSupply {
            voltage_v: Volts::new(230.0),
            phases: 1,
            earthing: "tn-c-s".to_owned(),
            ze_ohm: Ohms::new(0.35),
            fault_current_ka: None,
            cut_out_a: Amps::new(60.0),
            cut_out_read: false,
            looped: None,
            isolator_after_meter: None,
        }),
        tails_mm2: Some(25.0),
        tails_drop_v: None,
        zs_ohm: None,
        fault_current_ka: None,
        switched_fuse_a: None,
        main_switch_poles: Some(2),
        chart: Vec::new(),
        surge: Some("type 2".to_owned()),
        arc_detection: Some(Judged { verdict: Verdict::Advise, because: "recommended".to_owned() }),
        earthing: Some(BoardEarthing {
            system: "tn-c-s".to_owned(),
            known: false,
            conductor_mm2: 16.0,
            conductor_because: "BS 7671 Table 54.7".to_owned(),
            main_bonds: Vec::new(),
            supplementary: Vec::new(),
            electrode: None,
        }),
        provisions: Vec::new(),
        new_rules: Vec::new(),
        ways_used: 2,
        ways_spare: 8,
        ways: 10,
        main_switch_a: Amps::new(100.0),
        enclosure: "metal enclosure".to_owned(),
        surge_device: true,
        sub_boards: vec![sub_board()],
        tails_m: Metres::new(1.8),
        because: vec!["two circuits and two spare ways".to_owned()],
    }
}

fn sub_board() -> SubBoard {
    SubBoard {
        surge_device: None,
        surge: None,
        enclosure: None,
        feed_entry: None,
        outbuilding: "workshop".to_owned(),
        fed_from: "C2".to_owned(),
        ways: 4,
        ways_used: Some(2),
        ways_spare: Some(2),
        main_switch_a: Some(Amps::new(63.0)),
        zs_ohm: None,
        fault_current_ka: None,
        chart: Vec::new(),
        electrode: None,
        earthing: "own electrode, because its metal touches the ground".to_owned(),
    }
}

fn demand() -> Demand {
    Demand {
        connected_a: Amps::new(95.0),
        after_diversity_a: Amps::new(62.0),
        cut_out_a: Amps::new(60.0),
        verdict: DemandVerdict::Fail,
        designed_a: None,
        designed_because: Vec::new(),
        measured_peak_a: None,
        operator: None,
        operator_because: Vec::new(),
        large_loads: Vec::new(),
        phases: Vec::new(),
        working: "62 A > 60 A".to_owned(),
        ask_operator: vec!["Ask the operator before the work is promised.".to_owned()],
        notes: Vec::new(),
        by_kind: vec![KindDemand {
            kind: LoadKind::SocketCircuit,
            connected_a: 64.0,
            after_diversity_a: 44.8,
            rule: "the largest in full, 40 % of the others".to_owned(),
            working: "32 A x 1 + 32 A x 0.4 = 44.8 A".to_owned(),
        }],
    }
}

fn routes() -> Vec<Route> {
    vec![Route {
        id: "R1".to_owned(),
        serves: "C1".to_owned(),
        circuit: Some("C1".to_owned()),
        segments: vec![RouteSegment {
            method: None,
            iz_a: None,
            medium: Medium::FloorVoid,
            room: Some("kitchen".to_owned()),
            metres: Metres::new(35.0),
            hours: Hours::new(2.0),
            amount: None,
            obstruction: None,
            path: Vec::new(),
        }],
        metres: Metres::new(35.0),
        hours: Hours::new(2.0),
        amount: None,
        openings: Vec::new(),
        limits: Vec::new(),
        chosen_because: "boards lift here".to_owned(),
        runner_up: Some(RunnerUp {
            medium: Medium::WallChase,
            metres_more: Metres::new(4.0),
            hours_more: Hours::new(3.0),
            money_more: None,
        }),
    }]
}

fn take_off() -> Vec<TakeOffItem> {
    vec![TakeOffItem {
        item: "cable-te-2-5".to_owned(),
        description: "Cable, 2.5 mm2".to_owned(),
        unit: "m".to_owned(),
        finish: None,
        supplied_by: SuppliedBy::Firm,
        used: 35.0,
        waste: 3.5,
        packs: 1,
        pack_size: 100.0,
        bought: 100.0,
        left_over: 61.5,
        charged: money("40.25"),
        category: "cable".to_owned(),
        purchases: vec![Purchase { packs: 1, pack_size: 100.0, cost: money("88.00") }],
        cost: money("88.00"),
        cost_at_least: money("88.00"),
        left_over_cost: money("54.12"),
        drums: vec![DrumCuts { pack_size: 100.0, cuts: vec![20.0, 18.5], left_over: 61.5 }],
        joints: 0,
        by_room: vec![UsedInRoom { room: Some("kitchen".to_owned()), used: 35.0 }],
        by_stage: vec![UsedInStage { stage: engine::rate_sheet::Stage::FirstFix, used: 35.0 }],
    }]
}

fn risk_flags() -> Vec<RiskFlag> {
    vec![
        RiskFlag {
            id: "demand-over-cut-out".into(),
            severity: Severity::Stop,
            kind: RiskKind::Safety,
            places: vec!["house".to_owned()],
            what: "62 A after diversity stand against an assumed cut-out of 60 A.".to_owned(),
            action: "Ask the operator before a fixed price is given.".into(),
            basis: "BS 7671 311.1".into(),
            at_stake: Some(money("450.00")),
        },
        RiskFlag {
            id: "floor-unknown".into(),
            severity: Severity::Medium,
            kind: RiskKind::Money,
            places: vec!["kitchen".to_owned()],
            what: "Nobody has lifted the floor.".to_owned(),
            action: "Lift one board before the price is fixed.".into(),
            basis: "common practice, no source".into(),
            at_stake: None,
        },
    ]
}

fn questions() -> Vec<Question> {
    vec![Question {
        id: "floor-construction".into(),
        ask: "How is the floor made?".to_owned(),
        places: vec!["kitchen".to_owned()],
        worth: money("310.00"),
        answers: Vec::new(),
        because: "priced once with each kind".to_owned(),
    }]
}

fn range() -> Range {
    Range {
        p10: money("980.00"),
        p50: money("1144.55"),
        p80: money("1200.10"),
        p90: money("1380.00"),
        contingency: money("55.55"),
        confidence: 0.8,
        confidence_because: "as the request asks".to_owned(),
        drivers: vec![
            Driver { cause: "how the crew works".to_owned(), share_percent: 70.5, swing: money("210.00") },
            Driver { cause: "floor of the kitchen".to_owned(), share_percent: 29.5, swing: money("120.00") },
        ],
        mean: money("1150.00"),
        base: money("1144.45"),
        draws: 2000,
        distribution: Vec::new(),
        basis: "2,000 draws with shared causes; weather and prices to come are left out.".into(),
    }
}

fn cause(cause: &'static str, amount: &str, because: &str) -> DifferenceCause {
    DifferenceCause { cause: cause.into(), amount: money(amount), because: because.to_owned() }
}
