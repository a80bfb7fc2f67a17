//! Feeders held against a network solver: `fixtures/feeders.json`, made by `fixtures/feeders.py` with pandapower.

use engine::checks::{CircuitCable, CircuitCheckRequest, CircuitLoad, CircuitSupply, CircuitToCheck, Serves};
use engine::standards::{CableType, CircuitUse, ReferenceMethod, Standards, SupplyEarthing, VOLTAGE_FACTOR_MIN};
use engine::working::check_circuits;
use serde::Deserialize;

#[derive(Deserialize)]
struct Fixture {
    feeders: Vec<Feeder>,
}

#[derive(Deserialize)]
struct Feeder {
    name: String,
    ze_ohm: f64,
    stretches: Vec<Stretch>,
    drop_v: Vec<f64>,
    fault_a: Vec<f64>,
}

#[derive(Deserialize)]
struct Stretch {
    line_mm2: f64,
    cpc_mm2: f64,
    length_m: f64,
    load_a: f64,
}

/// The stretches as circuits, each fed from the one before and carrying all that lies beyond it.
fn request(feeder: &Feeder) -> CircuitCheckRequest {
    let circuits = feeder.stretches.iter().enumerate().map(|(index, stretch)| {
        let carried: f64 = feeder.stretches[index..].iter().map(|beyond| beyond.load_a).sum();
        CircuitToCheck {
            cable: CircuitCable {
                cpc_mm2: Some(stretch.cpc_mm2),
                ..CircuitCable::of(CableType::SingleCore70, stretch.line_mm2)
            },
            serves: Some(Serves::Board),
            fed_from: index.checked_sub(1).map(|before| before.to_string()),
            ..CircuitToCheck::radial(
                index.to_string(),
                CircuitUse::Power,
                CircuitLoad::amps(carried),
                stretch.length_m,
                ReferenceMethod::B,
            )
        }
    });
    let supply = CircuitSupply { ze_ohm: Some(feeder.ze_ohm), ..CircuitSupply::of(SupplyEarthing::TnCS) };
    CircuitCheckRequest { ruleset: None, supply, circuits: circuits.collect() }
}

/// The printed mV/A/m are rounded to two figures, up to 2 % off what IEC 60228 gives.
const TABLE_ROUNDING: f64 = 0.02;

#[test]
fn voltage_drop_and_fault_current_agree_with_a_network_solver() {
    let fixture: Fixture =
        serde_json::from_str(include_str!("fixtures/feeders.json")).expect("the fixture that the script wrote");
    let standards = Standards::built_in();
    assert_eq!(fixture.feeders.len(), 3);
    for feeder in &fixture.feeders {
        let answer = check_circuits(&standards, &request(feeder)).expect("feeders without faults");
        for (index, circuit) in answer.circuits.iter().enumerate() {
            let (solved, ours) = (feeder.drop_v[index], circuit.voltage_drop_v);
            assert!(
                (ours / solved - 1.0).abs() <= TABLE_ROUNDING,
                "{} {index}: {ours} V, solved {solved} V",
                feeder.name
            );
            let fault = 230.0 * VOLTAGE_FACTOR_MIN / circuit.zs_ohm;
            let solved = feeder.fault_a[index];
            assert!((fault / solved - 1.0).abs() <= 0.000_5, "{} {index}: {fault} A, solved {solved} A", feeder.name);
        }
    }
}

#[derive(Deserialize)]
struct SubBoards {
    houses: Vec<House>,
}

/// An invented house with feeds and what hangs behind them, each before what is fed from it or after.
#[derive(Deserialize)]
struct House {
    name: String,
    ze_ohm: f64,
    circuits: Vec<Solved>,
}

#[derive(Deserialize)]
struct Solved {
    fed_from: Option<usize>,
    board: bool,
    line_mm2: f64,
    cpc_mm2: f64,
    length_m: f64,
    current_a: f64,
    drop_v: f64,
    fault_a: f64,
}

impl House {
    fn request(&self) -> CircuitCheckRequest {
        let circuits = self.circuits.iter().enumerate().map(|(index, circuit)| CircuitToCheck {
            cable: CircuitCable {
                cpc_mm2: Some(circuit.cpc_mm2),
                ..CircuitCable::of(CableType::SingleCore70, circuit.line_mm2)
            },
            serves: circuit.board.then_some(Serves::Board),
            fed_from: circuit.fed_from.map(|feed| feed.to_string()),
            ..CircuitToCheck::radial(
                index.to_string(),
                CircuitUse::Power,
                CircuitLoad::amps(circuit.current_a),
                circuit.length_m,
                ReferenceMethod::B,
            )
        });
        let supply = CircuitSupply { ze_ohm: Some(self.ze_ohm), ..CircuitSupply::of(SupplyEarthing::TnCS) };
        CircuitCheckRequest { ruleset: None, supply, circuits: circuits.collect() }
    }
}

#[test]
fn drops_and_faults_behind_the_feeds_of_fifty_houses_agree_with_a_network_solver() {
    let fixture: SubBoards =
        serde_json::from_str(include_str!("fixtures/sub_boards.json")).expect("the fixture that the script wrote");
    let standards = Standards::built_in();
    assert_eq!(fixture.houses.len(), 50);
    let twice_fed = |house: &House| house.circuits.iter().any(|one| one.board && one.fed_from.is_some());
    assert!(fixture.houses.iter().filter(|house| twice_fed(house)).count() >= 10, "boards behind boards");
    for house in &fixture.houses {
        let answer = check_circuits(&standards, &house.request()).expect("houses without faults");
        for (index, solved) in house.circuits.iter().enumerate() {
            let named = |circuit: &&engine::working::CheckedCircuit| circuit.id == index.to_string();
            let ours = answer.circuits.iter().find(named).expect("each is answered");
            let (at, drop) = (format!("{} {index}", house.name), ours.voltage_drop_v);
            assert!((drop / solved.drop_v - 1.0).abs() <= TABLE_ROUNDING, "{at}: {drop} V, solved {} V", solved.drop_v);
            let fault = 230.0 * VOLTAGE_FACTOR_MIN / ours.zs_ohm;
            assert!((fault / solved.fault_a - 1.0).abs() <= 0.000_5, "{at}: {fault} A, solved {} A", solved.fault_a);
        }
    }
}
