//! What is refused, and how.

use super::*;

#[test]
fn no_length_ten_kilometres_no_load_and_a_megawatt_are_refused() {
    for length_m in [0.0, -1.0, 10_000.0, f64::NAN, f64::INFINITY] {
        assert_eq!(pointers(&faults(&radial(16.0, 2.5, length_m))), ["/length_m"], "{length_m}");
    }
    for load_kw in [0.0, 1_000.0, f64::NAN] {
        let circuit = CircuitToCheck { load: CircuitLoad::kilowatts(load_kw), ..radial(16.0, 2.5, 10.0) };
        assert_eq!(pointers(&faults(&circuit)), ["/load/load_kw"], "{load_kw}");
    }
    let both = CircuitLoad { load_kw: Some(1.0), ..CircuitLoad::amps(1.0) };
    assert_eq!(pointers(&faults(&CircuitToCheck { load: both, ..radial(16.0, 2.5, 10.0) })), ["/load"]);
}

#[test]
fn a_device_bigger_than_its_cable_fails_with_the_working() {
    let found = check(&radial(63.0, 2.5, 10.0), CheckName::Overload);
    assert_eq!(found.verdict, Verdict::Fail);
    assert!(found.working.ends_with("63 A > 27 A"), "{}", found.working);
}

#[test]
fn an_unknown_size_method_rating_or_time_is_refused_with_the_name_of_the_table() {
    let circuit = CircuitToCheck {
        device: rcbo(TripCurve::B, 35.0),
        cable: flat(3.0),
        disconnection_s: Some(2.0),
        ..radial(16.0, 2.5, 10.0)
    };
    let found = faults(&circuit);
    assert_eq!(pointers(&found), ["/device/rating_a", "/cable/line_mm2", "/disconnection_s"]);
    assert!(found.iter().all(|fault| fault.code == FaultCode::NotInTable && fault.detail.contains("Table")));
    let buried =
        CircuitToCheck { installation: InstallationConditions::by(ReferenceMethod::D), ..radial(16.0, 2.5, 10.0) };
    assert_eq!(pointers(&faults(&buried)), ["/installation/method"]);
    let hot = InstallationConditions {
        ambient_c: Some(75.0),
        grouped_circuits: Some(50),
        ..InstallationConditions::by(ReferenceMethod::C)
    };
    let found = faults(&CircuitToCheck { installation: hot, ..radial(16.0, 2.5, 10.0) });
    assert_eq!(pointers(&found), ["/installation/ambient_c", "/installation/grouped_circuits"]);
}

#[test]
fn a_fuse_with_a_curve_and_a_breaker_without_one_are_refused() {
    let fuse = ProtectiveDevice { curve: Some(TripCurve::B), ..ProtectiveDevice::fuse(DeviceType::FuseBs883, 32.0) };
    assert_eq!(pointers(&faults(&CircuitToCheck { device: fuse, ..radial(32.0, 6.0, 10.0) })), ["/device/curve"]);
    let breaker = ProtectiveDevice { curve: None, residual_ma: None, ..rcbo(TripCurve::B, 32.0) };
    let found = faults(&CircuitToCheck { device: breaker, ..radial(32.0, 6.0, 10.0) });
    assert_eq!(pointers(&found), ["/device/curve", "/device/residual_ma"]);
}

fn request(circuits: Vec<(&str, Option<&str>)>) -> Result<CircuitCheckAnswer, Vec<Fault>> {
    let circuits = circuits
        .into_iter()
        .map(|(id, fed_from)| CircuitToCheck {
            id: id.to_owned(),
            fed_from: fed_from.map(str::to_owned),
            ..radial(16.0, 2.5, 10.0)
        })
        .collect();
    check_circuits(&STANDARDS, &CircuitCheckRequest { ruleset: None, supply: supply(), circuits })
}

#[test]
fn circuits_that_feed_each_other_in_a_loop_are_refused() {
    let found = request(vec![("tail", Some("a")), ("a", Some("b")), ("b", Some("a")), ("self", Some("self"))])
        .expect_err("two loops");
    assert_eq!(pointers(&found), ["/circuits/1/fed_from", "/circuits/3/fed_from"]);
    assert!(found[0].detail.contains("a from b from a"), "{}", found[0].detail);
}

#[test]
fn unknown_and_repeated_names_are_refused_with_a_suggestion() {
    let found = request(vec![("sub-board", None), ("sub-board", None), ("light", Some("sub-bord"))]).expect_err("two");
    assert_eq!(pointers(&found), ["/circuits/1/id", "/circuits/2/fed_from"]);
    assert!(found[1].detail.contains("did you mean `sub-board`"), "{}", found[1].detail);
}

#[test]
fn a_ring_feeds_no_other_circuit() {
    let feeder = CircuitToCheck { id: "ring".to_owned(), ..ring(40.0) };
    let fed = CircuitToCheck { fed_from: Some("ring".to_owned()), ..radial(16.0, 2.5, 5.0) };
    let circuits = vec![feeder, fed];
    let found = check_circuits(&STANDARDS, &CircuitCheckRequest { ruleset: None, supply: supply(), circuits })
        .expect_err("a ring is a final circuit");
    assert_eq!(pointers(&found), ["/circuits/1/fed_from"]);
}

#[test]
fn every_fault_of_a_request_is_named_at_once_in_the_order_of_the_document() {
    let circuits = vec![
        radial(16.0, 2.5, 0.0),
        CircuitToCheck { id: String::new(), ..radial(16.0, 7.0, 10.0) },
        radial(0.0, 2.5, 10.0),
    ];
    let supply = CircuitSupply { voltage_v: Some(12.0), ..supply() };
    let found = check_circuits(&STANDARDS, &CircuitCheckRequest { ruleset: None, supply, circuits }).expect_err("many");
    assert_eq!(
        pointers(&found),
        [
            "/supply/voltage_v",
            "/circuits/0/length_m",
            "/circuits/1/id",
            "/circuits/1/cable/line_mm2",
            "/circuits/2/id",
            "/circuits/2/load/current_a",
            "/circuits/2/device/rating_a"
        ]
    );
}

#[test]
fn an_answer_reads_back_as_it_was_written() {
    let answer = check_circuits(
        &STANDARDS,
        &CircuitCheckRequest { ruleset: None, supply: supply(), circuits: vec![ring(50.0)] },
    )
    .expect("no faults");
    let text = serde_json::to_string(&answer).expect("writes");
    assert_eq!(serde_json::from_str::<CircuitCheckAnswer>(&text).expect("reads"), answer);
}

#[test]
fn a_single_core_cable_without_its_protective_conductor_is_refused_once() {
    let circuit = CircuitToCheck { cable: CircuitCable::of(CableType::SingleCore70, 2.5), ..radial(16.0, 2.5, 10.0) };
    assert_eq!(pointers(&faults(&circuit)), ["/cable/cpc_mm2"]);
}
