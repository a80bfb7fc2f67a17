//! The published contract of the circuit checks against what the rules enforce.

use std::sync::LazyLock;

use engine::checks::{CircuitCheckRequest, Verdict};
use engine::document::Contract;
use engine::faults::Fault;
use engine::standards::Standards;
use engine::working::check_circuits;

const EXAMPLE: &str = include_str!("fixtures/shower.json");

static STANDARDS: LazyLock<Standards> = LazyLock::new(Standards::built_in);

fn pointers(faults: &[Fault]) -> Vec<&str> {
    faults.iter().map(|fault| fault.pointer.as_str()).collect()
}

#[test]
fn the_published_contract_reads_the_example_and_refuses_a_misspelt_field() {
    let contract: Contract<CircuitCheckRequest> = Contract::new();
    let request = contract.read(EXAMPLE.as_bytes()).expect("the example of the contract");
    let answer = check_circuits(&STANDARDS, &request).expect("no faults");
    let shower = &answer.circuits[0];
    let names: Vec<&str> = shower.checks.iter().map(|check| check.name.word()).collect();
    assert_eq!(
        names,
        [
            "design-current",
            "overload",
            "voltage-drop",
            "disconnection",
            "fault-withstand",
            "additional-protection",
            "breaking-capacity"
        ]
    );
    assert_eq!((answer.verdict, shower.ib_a, shower.in_a, shower.iz_a), (Verdict::Pass, 41.3043, 45.0, 64.0));
    assert_eq!((shower.voltage_drop_v, shower.zs_ohm, shower.r1_r2_ohm), (3.2713, 0.4891, 0.1391));
    let misspelt = EXAMPLE.replace("line_mm2", "line_mm");
    assert!(contract.read(misspelt.as_bytes()).is_err());
}

/// Values outside the limits, each at the place where both the contract and the rules have to refuse it.
const OUTSIDE: [(&str, &str); 31] = [
    ("/supply/voltage_v", "99"),
    ("/supply/voltage_v", "401"),
    ("/supply/ze_ohm", "-0.1"),
    ("/supply/ze_ohm", "2001"),
    ("/supply/fault_current_ka", "0"),
    ("/supply/fault_current_ka", "51"),
    ("/supply/residual_ma", "4"),
    ("/supply/residual_ma", "1001"),
    ("/circuits/0/id", "\"\""),
    ("/circuits/0/load/load_kw", "0"),
    ("/circuits/0/load/load_kw", "101"),
    ("/circuits/0/device/rating_a", "0"),
    ("/circuits/0/device/rating_a", "401"),
    ("/circuits/0/device/residual_ma", "1001"),
    ("/circuits/0/device/breaking_capacity_ka", "0"),
    ("/circuits/0/device/breaking_capacity_ka", "151"),
    ("/circuits/0/device/let_through_a2s", "100000001"),
    ("/circuits/0/cable/line_mm2", "0"),
    ("/circuits/0/cable/line_mm2", "1001"),
    ("/circuits/0/cable/cpc_mm2", "0"),
    ("/circuits/0/cable/cores", "5"),
    ("/circuits/0/length_m", "0"),
    ("/circuits/0/length_m", "1001"),
    ("/circuits/0/disconnection_s", "0.05"),
    ("/circuits/0/disconnection_s", "6"),
    ("/circuits/0/installation/ambient_c", "-21"),
    ("/circuits/0/installation/ambient_c", "101"),
    ("/circuits/0/installation/grouped_circuits", "0"),
    ("/circuits/0/installation/grouped_circuits", "101"),
    ("/circuits/0/installation/insulation_mm", "-1"),
    ("/circuits/0/installation/insulation_mm", "1000001"),
];

#[test]
fn the_published_limits_are_those_that_are_enforced() {
    let contract: Contract<CircuitCheckRequest> = Contract::new();
    let example: serde_json::Value = serde_json::from_str(EXAMPLE).expect("the example");
    for (pointer, wrong) in OUTSIDE {
        let (parent, field) = pointer.rsplit_once('/').expect("a pointer");
        let mut document = example.clone();
        let wrong: serde_json::Value = serde_json::from_str(wrong).expect("a value");
        document.pointer_mut(parent).expect("a place in the example")[field] = wrong;

        let published = contract.faults(&document);
        assert!(pointers(&published).contains(&pointer), "{pointer} is not refused by the contract: {published:?}");

        let request: CircuitCheckRequest = serde_json::from_value(document).expect("of the right types");
        let enforced = check_circuits(&STANDARDS, &request).expect_err("refused by the rules");
        assert!(pointers(&enforced).contains(&pointer), "{pointer} is not refused by the rules: {enforced:?}");
    }
}
