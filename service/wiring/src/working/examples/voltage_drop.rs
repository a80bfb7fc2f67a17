//! Voltage drop: published millivolts and lengths.

use super::*;

#[test]
fn flat_cable_drops_its_published_millivolts() {
    // Source: BS 7671 Table 4D5 / 4D1B, seen: 44, 29, 18, 11, 7.3, 4.4, 2.8 mV/A/m.
    let published = [(1.0, 44.0), (1.5, 29.0), (2.5, 18.0), (4.0, 11.0), (6.0, 7.3), (10.0, 4.4), (16.0, 2.8)];
    for (line_mm2, millivolts) in published {
        let circuit = CircuitToCheck { load: CircuitLoad::amps(10.0), ..radial(10.0, line_mm2, 10.0) };
        close(checked(&circuit).voltage_drop_v, millivolts / 10.0, 1e-9);
    }
}

#[test]
fn lighting_may_drop_6_9_v_and_power_11_5_v() {
    // Source: BS 7671 525.202, 3 % and 5 % of 230 V (seen).
    for (circuit_use, volts) in [(CircuitUse::Lighting, 6.9), (CircuitUse::Power, 11.5)] {
        let limit = check(&CircuitToCheck { circuit_use, ..radial(6.0, 1.5, 10.0) }, CheckName::VoltageDrop).limit;
        close(limit / 100.0 * 230.0, volts, 1e-9);
    }
}

#[test]
fn a_ring_reaches_106_m() {
    // Source: On-Site Guide, 106 m for a 32 A ring in 2.5/1.5 mm2 (seen): 20 A half way round, 12 A spread, cable of
    // 20 A, corrected for conductor temperature. At rated temperature the same ring reaches 98 m.
    let warm = |length_m| CircuitToCheck {
        installation: InstallationConditions::by(ReferenceMethod::A),
        voltage_drop_at: Some(ConductorTemperature::Operating),
        ..ring(length_m)
    };
    assert_eq!(verdict(&warm(106.0), CheckName::VoltageDrop), Verdict::Pass);
    assert_eq!(verdict(&warm(107.0), CheckName::VoltageDrop), Verdict::Fail);
    assert_eq!(verdict(&ring(98.0), CheckName::VoltageDrop), Verdict::Pass);
    assert_eq!(verdict(&ring(99.0), CheckName::VoltageDrop), Verdict::Fail);
}

#[test]
fn final_circuits_reach_their_handbook_lengths() {
    // Source: On-Site Guide layout, lengths derived with conductor temperature: cooker or shower 6 mm2 at 32 A in
    // method 100, 50.0 m; shower 10 mm2 at 40 A, 67.2 m; 4 mm2 radial at its full 32 A, 32.7 m (no correction);
    // 2.5 mm2 radial at 20 A in method 100, 32.3 m (33 m published).
    let warm = |rating, line, length| CircuitToCheck {
        installation: InstallationConditions::by(ReferenceMethod::M100),
        voltage_drop_at: Some(ConductorTemperature::Operating),
        ..radial(rating, line, length)
    };
    for (rating, line, length) in [(32.0, 6.0, 50.0), (40.0, 10.0, 67.2), (20.0, 2.5, 32.3)] {
        assert_eq!(verdict(&warm(rating, line, length - 0.1), CheckName::VoltageDrop), Verdict::Pass, "{line}");
        assert_eq!(verdict(&warm(rating, line, length + 0.3), CheckName::VoltageDrop), Verdict::Fail, "{line}");
    }
    assert_eq!(verdict(&radial(32.0, 4.0, 32.6), CheckName::VoltageDrop), Verdict::Pass);
    assert_eq!(verdict(&radial(32.0, 4.0, 32.8), CheckName::VoltageDrop), Verdict::Fail);
}

#[test]
fn lighting_spread_along_its_run_reaches_twice_as_far() {
    // Source: derived handbook length, 1.5 mm2 at 6 A spread evenly: 89.6 m with conductor temperature, 79.3 without.
    let spread = |length_m| CircuitToCheck {
        circuit_use: CircuitUse::Lighting,
        load: CircuitLoad { spread: Some(LoadSpread::Even), ..CircuitLoad::amps(6.0) },
        ..radial(6.0, 1.5, length_m)
    };
    assert_eq!(verdict(&spread(79.0), CheckName::VoltageDrop), Verdict::Pass);
    assert_eq!(verdict(&spread(80.0), CheckName::VoltageDrop), Verdict::Fail);
    let warm = |length_m| CircuitToCheck {
        voltage_drop_at: Some(ConductorTemperature::Operating),
        installation: InstallationConditions::by(ReferenceMethod::M100),
        ..spread(length_m)
    };
    assert_eq!(verdict(&warm(89.5), CheckName::VoltageDrop), Verdict::Pass);
    assert_eq!(verdict(&warm(89.8), CheckName::VoltageDrop), Verdict::Fail);
}

#[test]
fn a_final_circuit_shares_the_allowance_of_its_feeder() {
    // Source: BS 7671 525.1, one allowance from the origin (from memory).
    let feeder = CircuitToCheck {
        id: "to the workshop".to_owned(),
        cable: CircuitCable { cores: Some(3), ..CircuitCable::of(CableType::Armoured70, 10.0) },
        ..radial(40.0, 10.0, 40.0)
    };
    let outlet =
        CircuitToCheck { id: "outlet".to_owned(), fed_from: Some(feeder.id.clone()), ..radial(16.0, 2.5, 20.0) };
    let request = CircuitCheckRequest { ruleset: None, supply: supply(), circuits: vec![outlet, feeder] };
    let answer = check_circuits(&STANDARDS, &request).expect("no faults");
    let [outlet, feeder] = &answer.circuits[..] else { panic!("two circuits") };
    close(feeder.voltage_drop_v, 4.4 * 40.0 * 40.0 / 1_000.0, 1e-9);
    close(outlet.voltage_drop_v, feeder.voltage_drop_v + 18.0 * 16.0 * 20.0 / 1_000.0, 1e-9);
    close(outlet.zs_ohm, feeder.zs_ohm + outlet.r1_r2_ohm, 0.000_2);
    assert_eq!(outlet.fault_current_ka, feeder.end_fault_current_ka);
    assert!(outlet.fault_current_ka < feeder.fault_current_ka);
    assert!(feeder.check(CheckName::AdditionalProtection).is_some_and(|check| check.verdict == Verdict::Pass));
}
