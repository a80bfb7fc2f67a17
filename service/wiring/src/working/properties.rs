//! What must hold of every circuit, tried on many that nobody thought of.

use std::sync::LazyLock;

use proptest::prelude::*;

use super::*;
use crate::checks::*;
use crate::standards::{CableType, CircuitUse, DeviceType, ReferenceMethod, Standards, SupplyEarthing, TripCurve};

static STANDARDS: LazyLock<Standards> = LazyLock::new(Standards::built_in);

fn any_supply() -> impl Strategy<Value = CircuitSupply> {
    let earthing = prop::sample::select(SupplyEarthing::ALL);
    let fault_current = prop::option::of(0.2..16.0f64);
    (earthing, 0.01..1.0f64, fault_current, prop::option::of(prop::sample::select(vec![30.0, 100.0, 300.0]))).prop_map(
        |(earthing, ze, fault_current_ka, residual_ma)| CircuitSupply {
            ze_ohm: Some(if earthing == SupplyEarthing::Tt { ze * 300.0 } else { ze }),
            fault_current_ka,
            residual_ma,
            ..CircuitSupply::of(earthing)
        },
    )
}

fn any_device() -> impl Strategy<Value = ProtectiveDevice> {
    let breakers = prop::sample::select(TripCurve::ALL).prop_flat_map(|curve| {
        let ratings: Vec<f64> =
            STANDARDS.ratings(DeviceType::Breaker, Some(curve)).iter().map(|row| row.rating.value()).collect();
        prop::sample::select(ratings)
            .prop_map(move |rating| ProtectiveDevice::breaker(DeviceType::Breaker, curve, rating))
    });
    let kinds: Vec<DeviceType> = DeviceType::ALL.iter().copied().filter(|kind| !kind.is_breaker()).collect();
    let fuses = prop::sample::select(kinds).prop_flat_map(|kind| {
        let ratings: Vec<f64> = STANDARDS.ratings(kind, None).iter().map(|row| row.rating.value()).collect();
        prop::sample::select(ratings).prop_map(move |rating| ProtectiveDevice::fuse(kind, rating))
    });
    let residual = prop::option::of(prop::sample::select(vec![10.0, 30.0, 100.0, 300.0]));
    (prop_oneof![3 => breakers, 1 => fuses], residual)
        .prop_map(|(device, residual_ma)| ProtectiveDevice { residual_ma, ..device })
}

fn any_cable() -> impl Strategy<Value = (CircuitCable, ReferenceMethod)> {
    prop::sample::select(CableType::ALL).prop_flat_map(|kind| {
        let sizes: Vec<f64> = STANDARDS.sizes(kind).map(|size| size.value()).collect();
        let methods: Vec<ReferenceMethod> = STANDARDS.methods(kind).collect();
        (prop::sample::select(sizes), prop::sample::select(methods)).prop_map(move |(line_mm2, method)| {
            let cpc_mm2 = (kind == CableType::SingleCore70).then_some(line_mm2);
            (CircuitCable { cpc_mm2, ..CircuitCable::of(kind, line_mm2) }, method)
        })
    })
}

prop_compose! {
    fn any_circuit()(
        device in any_device(),
        (cable, method) in any_cable(),
        circuit_use in prop::sample::select(CircuitUse::ALL),
        ring in any::<bool>(),
        board in any::<bool>(),
        warm in any::<bool>(),
        spread in prop::option::of(prop::sample::select(LoadSpread::ALL)),
        share in 0.05..1.3f64,
        length_m in 0.1..400.0f64,
        ambient in 10..60i32,
        grouped in 1..20u32,
        insulation_mm in prop_oneof![Just(0.0), 0.0..800.0f64],
    ) -> CircuitToCheck {
        let buried = method == ReferenceMethod::D;
        let ring = ring && !buried && !board;
        CircuitToCheck {
            arrangement: ring.then_some(Arrangement::Ring),
            load: CircuitLoad { spread, ..CircuitLoad::amps(device.rating_a * share) },
            serves: Some(if board { Serves::Board } else { Serves::Loads }),
            voltage_drop_at: Some(if warm { ConductorTemperature::Operating } else { ConductorTemperature::Rated }),
            device,
            cable,
            installation: InstallationConditions {
                ambient_c: Some(f64::from(ambient)),
                grouped_circuits: Some(if buried { 1 } else { grouped }),
                insulation_mm: Some(insulation_mm),
                ..InstallationConditions::by(method)
            },
            ..CircuitToCheck::radial("C1", circuit_use, CircuitLoad::amps(1.0), length_m, method)
        }
    }
}

fn checked(supply: &CircuitSupply, circuit: &CircuitToCheck) -> Option<CheckedCircuit> {
    check_one(&STANDARDS, supply, circuit, &UpstreamOfCircuit::at_origin(supply)).ok()
}

/// No check that failed may be better once the circuit has become worse.
fn never_better(better: &CheckedCircuit, worse: &CheckedCircuit) -> Result<(), TestCaseError> {
    for (before, after) in better.checks.iter().zip(&worse.checks) {
        prop_assert!(after.verdict >= before.verdict, "{}\n{}", before.working, after.working);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_000))]

    #[test]
    fn a_longer_run_never_turns_a_fail_into_a_pass(supply in any_supply(), circuit in any_circuit(), more in 0.01..400.0f64) {
        let longer = CircuitToCheck { length_m: circuit.length_m + more, ..circuit.clone() };
        if let (Some(better), Some(worse)) = (checked(&supply, &circuit), checked(&supply, &longer)) {
            never_better(&better, &worse)?;
        }
    }

    #[test]
    fn a_hotter_place_never_turns_a_fail_into_a_pass(supply in any_supply(), circuit in any_circuit(), more in 0.1..30.0f64) {
        let mut hotter = circuit.clone();
        hotter.installation.ambient_c = circuit.installation.ambient_c.map(|ambient| ambient + more);
        if let (Some(better), Some(worse)) = (checked(&supply, &circuit), checked(&supply, &hotter)) {
            never_better(&better, &worse)?;
        }
    }

    #[test]
    fn more_circuits_together_never_turn_a_fail_into_a_pass(supply in any_supply(), circuit in any_circuit(), more in 1..10u32) {
        let mut fuller = circuit.clone();
        fuller.installation.grouped_circuits = circuit.installation.grouped_circuits.map(|grouped| grouped + more);
        if let (Some(better), Some(worse)) = (checked(&supply, &circuit), checked(&supply, &fuller)) {
            never_better(&better, &worse)?;
        }
    }

    #[test]
    fn more_insulation_never_turns_a_fail_into_a_pass(supply in any_supply(), circuit in any_circuit(), more in 0.1..600.0f64) {
        let mut wrapped = circuit.clone();
        wrapped.installation.insulation_mm = circuit.installation.insulation_mm.map(|length| length + more);
        if let (Some(better), Some(worse)) = (checked(&supply, &circuit), checked(&supply, &wrapped)) {
            never_better(&better, &worse)?;
        }
    }

    #[test]
    fn a_bigger_load_never_turns_a_fail_into_a_pass(supply in any_supply(), circuit in any_circuit(), times in 1.0..3.0f64) {
        let mut heavier = circuit.clone();
        heavier.load.current_a = circuit.load.current_a.map(|current| current * times);
        if let (Some(better), Some(worse)) = (checked(&supply, &circuit), checked(&supply, &heavier)) {
            never_better(&better, &worse)?;
        }
    }

    #[test]
    fn a_worse_supply_never_turns_a_fail_into_a_pass(supply in any_supply(), circuit in any_circuit(), more in 0.0..2.0f64) {
        let farther = CircuitSupply { ze_ohm: supply.ze_ohm.map(|ze| ze + more), ..supply.clone() };
        if let (Some(better), Some(worse)) = (checked(&supply, &circuit), checked(&farther, &circuit)) {
            let verdicts = |found: &CheckedCircuit| found.check(CheckName::Disconnection).map(|check| check.verdict);
            prop_assert!(verdicts(&worse) >= verdicts(&better));
        }
    }

    #[test]
    fn a_bigger_cable_never_fails_on_drop_or_overload_where_a_smaller_passed(
        supply in any_supply(), circuit in any_circuit(), step in 1..5usize,
    ) {
        let sizes: Vec<f64> = STANDARDS.sizes(circuit.cable.cable_type).map(|size| size.value()).collect();
        let at = sizes.iter().position(|size| *size == circuit.cable.line_mm2).expect("drawn from the list");
        let Some(&line_mm2) = sizes.get(at + step) else { return Ok(()) };
        let cpc_mm2 = circuit.cable.cpc_mm2.map(|_| line_mm2);
        // At operating temperature the correction stops above 16 mm2, where the table has a reactance.
        let rated = CircuitToCheck { voltage_drop_at: None, ..circuit };
        let bigger = CircuitToCheck { cable: CircuitCable { line_mm2, cpc_mm2, ..rated.cable }, ..rated.clone() };
        if let (Some(smaller), Some(bigger)) = (checked(&supply, &rated), checked(&supply, &bigger)) {
            for name in [CheckName::VoltageDrop, CheckName::Disconnection] {
                let verdict = |found: &CheckedCircuit| found.check(name).map(|check| check.verdict);
                prop_assert!(verdict(&bigger) <= verdict(&smaller), "{name}");
            }
        }
    }

    #[test]
    fn each_verdict_agrees_with_its_value_and_limit(supply in any_supply(), circuit in any_circuit()) {
        let Some(found) = checked(&supply, &circuit) else { return Ok(()) };
        prop_assert_eq!(found.checks.len(), 7);
        prop_assert_eq!(Some(found.verdict), found.checks.iter().map(|check| check.verdict).max());
        for check in &found.checks {
            prop_assert!(check.value.is_finite() && check.limit.is_finite() && check.value >= 0.0);
            prop_assert_eq!(check.verdict == Verdict::Pass, check.value <= check.limit, "{}", check.working);
            let sign = if check.verdict == Verdict::Pass { "<=" } else { ">" };
            let unit = check.unit.word();
            let ending = format!(". {} {unit} {sign} {} {unit}", line::figure(check.value), line::figure(check.limit));
            prop_assert!(check.working.ends_with(&ending), "{} does not end with {ending}", check.working);
        }
    }

    #[test]
    fn any_numbers_at_all_give_checks_or_faults_and_never_a_panic(
        supply in any_supply(),
        circuit in any_circuit(),
        figures in prop::array::uniform12(prop_oneof![any::<f64>(), Just(0.0), Just(f64::NAN), 0.001..2_000.0f64]),
        cores in prop::option::of(any::<u8>()),
        grouped in any::<u32>(),
    ) {
        let [rating, line, cpc, length, ambient, insulation, soil, depth, load, ze, fault, energy] = figures;
        let supply = CircuitSupply { ze_ohm: Some(ze), fault_current_ka: Some(fault), ..supply };
        let mut wild = circuit;
        wild.device = ProtectiveDevice { rating_a: rating, let_through_a2s: Some(energy), ..wild.device };
        wild.cable = CircuitCable { line_mm2: line, cpc_mm2: Some(cpc), cores, ..wild.cable };
        wild.length_m = length;
        wild.load.load_kw = Some(load);
        wild.installation = InstallationConditions {
            ambient_c: Some(ambient),
            insulation_mm: Some(insulation),
            soil_k_m_per_w: Some(soil),
            depth_m: Some(depth),
            grouped_circuits: Some(grouped),
            ..wild.installation
        };
        let request = CircuitCheckRequest { ruleset: None, supply, circuits: vec![wild] };
        if let Err(faults) = check_circuits(&STANDARDS, &request) {
            prop_assert!(!faults.is_empty() && faults.iter().all(|fault| fault.pointer.starts_with('/')));
        }
    }

    #[test]
    fn the_chosen_size_is_the_smallest_that_does_not_fail(
        supply in any_supply(), load_a in 1.0..90.0f64, length_m in 1.0..150.0f64,
        (cable, method) in any_cable(), ring in any::<bool>(),
    ) {
        let request = CableSizeRequest {
            ruleset: None,
            supply,
            circuit_use: CircuitUse::Power,
            arrangement: (ring && method != ReferenceMethod::D).then_some(Arrangement::Ring),
            load: CircuitLoad::amps(load_a),
            cable_type: cable.cable_type,
            length_m,
            installation: InstallationConditions::by(method),
            device: None,
            disconnection_s: None,
            serves: None,
            upstream: None,
        };
        let answer = size_cable(&STANDARDS, &request).expect("a request without faults");
        let first = answer.sizes.iter().find(|size| size.verdict != Verdict::Fail).map(|size| size.line_mm2);
        prop_assert_eq!(first, answer.chosen.as_ref().map(|chosen| chosen.line_mm2));
        prop_assert_eq!(answer.chosen.is_none(), answer.nearest_miss.is_some());
        prop_assert_eq!(answer.sizes.len(), STANDARDS.sizes(cable.cable_type).count());
    }
}

proptest! {
    #[test]
    fn an_answer_written_circuit_by_circuit_is_the_answer_to_the_byte(
        supply in any_supply(),
        circuits in prop::collection::vec((any_circuit(), any::<usize>(), any::<bool>()), 1..6),
    ) {
        let count = circuits.len();
        let circuits = circuits
            .into_iter()
            .enumerate()
            .map(|(index, (circuit, feeder, fed))| CircuitToCheck {
                id: format!("C{index}"),
                fed_from: fed.then(|| format!("C{}", feeder % count)),
                ..circuit
            })
            .collect();
        let request = CircuitCheckRequest { ruleset: None, supply, circuits };
        let whole = check_circuits(&STANDARDS, &request).map(|answer| serde_json::to_vec(&answer).expect("writes"));
        prop_assert_eq!(check_circuits_as_json(&STANDARDS, &request), whole);
    }
}

#[test]
fn a_circuit_reaches_the_same_checks_alone_and_among_others() {
    let supply =
        CircuitSupply { ze_ohm: Some(0.35), fault_current_ka: Some(1.2), ..CircuitSupply::of(SupplyEarthing::TnCS) };
    let named = |id: &str, fed_from: Option<&str>| CircuitToCheck {
        fed_from: fed_from.map(str::to_owned),
        ..CircuitToCheck::radial(id, CircuitUse::Power, CircuitLoad::amps(10.0), 20.0, ReferenceMethod::C)
    };
    let circuits = vec![named("far", Some("middle")), named("middle", Some("near")), named("near", None)];
    let request = CircuitCheckRequest { ruleset: None, supply: supply.clone(), circuits: circuits.clone() };
    let together = check_circuits(&STANDARDS, &request).expect("no faults");

    let mut upstream = UpstreamOfCircuit::at_origin(&supply);
    for (index, serves) in [(2, Serves::Board), (1, Serves::Board), (0, Serves::Loads)] {
        let alone = CircuitToCheck { serves: Some(serves), ..circuits[index].clone() };
        let found = check_one(&STANDARDS, &supply, &alone, &upstream).expect("no faults");
        assert_eq!(found, together.circuits[index]);
        upstream = found.feeds();
    }
}

#[test]
fn ten_thousand_circuits_in_one_chain_are_checked_without_recursion() {
    let supply = CircuitSupply::of(SupplyEarthing::TnCS);
    let circuits = (0..10_000)
        .map(|index: usize| CircuitToCheck {
            fed_from: index.checked_sub(1).map(|before| before.to_string()),
            ..CircuitToCheck::radial(
                index.to_string(),
                CircuitUse::Power,
                CircuitLoad::amps(1.0),
                1.0,
                ReferenceMethod::C,
            )
        })
        .rev()
        .collect();
    let request = CircuitCheckRequest { ruleset: None, supply, circuits };
    let answer = check_circuits(&STANDARDS, &request).expect("no faults");
    assert!(answer.circuits[0].voltage_drop_v > answer.circuits[9_999].voltage_drop_v * 1_000.0);
    assert_eq!(answer.verdict, Verdict::Fail);
}
