//! Capacities and rating factors, rings and fuses.

use super::*;

fn iz(circuit: &CircuitToCheck) -> f64 {
    checked(circuit).iz_a
}

#[test]
fn flat_cable_of_2_5_mm2_carries_27_a_clipped_and_20_a_in_an_insulated_wall() {
    // Source: BS 7671 Table 4D5 (2.5 mm2 from memory).
    for (method, amps) in [(ReferenceMethod::C, 27.0), (ReferenceMethod::A, 20.0), (ReferenceMethod::M103, 13.5)] {
        assert_eq!(
            iz(&CircuitToCheck { installation: InstallationConditions::by(method), ..radial(10.0, 2.5, 10.0) }),
            amps
        );
    }
}

#[test]
fn flat_cable_of_1_and_1_5_mm2_has_its_seen_capacities() {
    // Source: BS 7671 Table 4D5, rows seen.
    for (line, method, amps) in [
        (1.0, ReferenceMethod::C, 16.0),
        (1.0, ReferenceMethod::M101, 10.5),
        (1.5, ReferenceMethod::C, 20.0),
        (1.5, ReferenceMethod::M100, 16.0),
        (1.5, ReferenceMethod::A, 14.5),
    ] {
        assert_eq!(
            iz(&CircuitToCheck { installation: InstallationConditions::by(method), ..radial(6.0, line, 10.0) }),
            amps
        );
    }
}

#[test]
fn flat_cable_in_trunking_carries_less_than_clipped_and_is_read_from_the_table_of_two_core_cables() {
    // Source: BS 7671 Table 4D2A method B, two-core (from memory); 1 mm2 also IEC 60364-5-52: 13.1 x 1^0.6 = 13.1 A.
    for (line, amps) in [(1.0, 13.0), (1.5, 16.5), (2.5, 23.0), (6.0, 38.0)] {
        let circuit =
            CircuitToCheck { installation: InstallationConditions::by(ReferenceMethod::B), ..radial(6.0, line, 10.0) };
        assert_eq!(iz(&circuit), amps);
        let working = check(&circuit, CheckName::Overload).working;
        assert!(working.contains("method b, BS 7671 Table 4D2A"), "{working}");
    }
}

#[test]
fn ten_mm2_singles_in_trunking_carry_57_a() {
    // Source: BS 7671 Table 4D1A method B, used in a published example (seen).
    let circuit = CircuitToCheck {
        cable: CircuitCable { cpc_mm2: Some(10.0), ..CircuitCable::of(CableType::SingleCore70, 10.0) },
        installation: InstallationConditions::by(ReferenceMethod::B),
        ..radial(50.0, 10.0, 10.0)
    };
    assert_eq!(iz(&circuit), 57.0);
}

#[test]
fn a_warm_place_takes_six_percent_and_eight_bunched_circuits_nearly_half() {
    // Source: 0.94 at 35 degC and 0.52 for eight circuits, both seen; BS 7671 Tables 4B1 and 4C1.
    let at = |installation| iz(&CircuitToCheck { installation, ..radial(10.0, 2.5, 10.0) });
    let clipped = InstallationConditions::by(ReferenceMethod::C);
    close(at(InstallationConditions { ambient_c: Some(35.0), ..clipped }), 27.0 * 0.94, 1e-9);
    close(at(InstallationConditions { grouped_circuits: Some(8), ..clipped }), 27.0 * 0.52, 1e-9);
    let layer =
        InstallationConditions { grouped_circuits: Some(3), grouping: Some(CableGrouping::SingleLayer), ..clipped };
    close(at(layer), 27.0 * 0.79, 1e-9);
}

#[test]
fn half_a_metre_of_insulation_halves_a_clipped_cable() {
    // Source: BS 7671 523.9 and Appendix 4 item 2.6: 0.5 from 500 mm (seen), 0.88 at 50 mm (from memory).
    let at = |insulation_mm| {
        let installation = InstallationConditions {
            insulation_mm: Some(insulation_mm),
            ..InstallationConditions::by(ReferenceMethod::C)
        };
        iz(&CircuitToCheck { installation, ..radial(10.0, 2.5, 10.0) })
    };
    close(at(500.0), 13.5, 1e-9);
    close(at(50.0), 27.0 * 0.88, 1e-9);
    close(at(401.0), 13.5, 1e-9);
}

#[test]
fn insulation_is_not_taken_twice_from_a_method_that_allows_for_it() {
    // Source: BS 7671 Table 4D5, notes (from memory).
    let installation =
        InstallationConditions { insulation_mm: Some(500.0), ..InstallationConditions::by(ReferenceMethod::M101) };
    let found = checked(&CircuitToCheck { installation, ..radial(10.0, 2.5, 10.0) });
    assert_eq!(found.iz_a, 17.0);
    assert!(found.advice.iter().any(|advice| advice.name == AdviceName::InsulationInMethod));
}

#[test]
fn a_buried_cable_is_rated_by_ground_soil_and_depth() {
    // Source: BS 7671 Tables 4D4A method D (46 A), 4B2 (0.95), 4B3 (1.5), 4B4 (0.97), all from memory; 433.1.203.
    let installation = InstallationConditions {
        ambient_c: Some(25.0),
        soil_k_m_per_w: Some(1.0),
        depth_m: Some(1.0),
        burial: Some(Burial::Direct),
        ..InstallationConditions::by(ReferenceMethod::D)
    };
    let circuit =
        CircuitToCheck { cable: CircuitCable::of(CableType::Armoured70, 6.0), installation, ..radial(40.0, 6.0, 20.0) };
    close(iz(&circuit), 46.0 * 0.95 * 1.5 * 0.97, 0.000_1);
    close(check(&circuit, CheckName::Overload).limit, 46.0 * 0.95 * 1.5 * 0.97 * 0.9, 0.000_1);
}

#[test]
fn a_rewirable_fuse_protects_a_cable_to_0_725() {
    // Source: BS 7671 433.1.202 (from memory): 30 A needs a cable of 41.4 A, so 6 mm2 clipped and not 4 mm2.
    let behind_fuse = |line| CircuitToCheck {
        load: CircuitLoad::amps(30.0),
        device: ProtectiveDevice { residual_ma: Some(30.0), ..ProtectiveDevice::fuse(DeviceType::FuseBs3036, 30.0) },
        ..radial(30.0, line, 10.0)
    };
    close(check(&behind_fuse(4.0), CheckName::Overload).limit, 37.0 * 0.725, 1e-9);
    assert_eq!(verdict(&behind_fuse(4.0), CheckName::Overload), Verdict::Fail);
    assert_eq!(verdict(&behind_fuse(6.0), CheckName::Overload), Verdict::Pass);
}

#[test]
fn a_90_degree_cable_on_ordinary_terminals_is_held_to_the_70_degree_table() {
    // Source: BS 7671 512.1.5 (from memory), Tables 4E4A 85 A (seen) and 4D4A 67 A (from memory), 10 mm2 clipped.
    let circuit = CircuitToCheck { cable: CircuitCable::of(CableType::Armoured90, 10.0), ..radial(63.0, 10.0, 10.0) };
    let found = checked(&circuit);
    assert_eq!(found.iz_a, 85.0);
    assert_eq!(found.check(CheckName::Overload).map(|check| check.limit), Some(67.0));
    assert!(found.advice.iter().any(|advice| advice.name == AdviceName::TerminalTemperature));
}

#[test]
fn a_ring_needs_a_cable_of_20_a_wherever_it_lies() {
    // Source: BS 7671 433.1.204 (from memory): 2.5 mm2 passes in methods C, A, 100, 102 and fails in 101 and 103.
    for (method, expected) in [
        (ReferenceMethod::C, Verdict::Pass),
        (ReferenceMethod::A, Verdict::Pass),
        (ReferenceMethod::M100, Verdict::Pass),
        (ReferenceMethod::M102, Verdict::Pass),
        (ReferenceMethod::M101, Verdict::Fail),
        (ReferenceMethod::M103, Verdict::Fail),
    ] {
        let circuit = CircuitToCheck { installation: InstallationConditions::by(method), ..ring(50.0) };
        assert_eq!(verdict(&circuit, CheckName::Overload), expected, "{method}");
    }
}

#[test]
fn the_rule_of_rings_does_not_stretch_to_small_cable_or_big_devices() {
    // Source: BS 7671 433.1.204, 30 or 32 A and 2.5 mm2 (from memory).
    let thin = CircuitToCheck { cable: flat(1.5), ..ring(50.0) };
    assert_eq!(verdict(&thin, CheckName::Overload), Verdict::Fail);
    let big = CircuitToCheck { device: rcbo(TripCurve::B, 40.0), ..ring(50.0) };
    assert_eq!(verdict(&big, CheckName::Overload), Verdict::Fail);
}

#[test]
fn a_radial_at_32_a_in_4_mm2_is_for_clipped_cable_only() {
    // Source: BS 7671 Table 4D5: C 37 A; A 26, 100 and 102 27 A (from memory).
    for (method, expected) in [
        (ReferenceMethod::C, Verdict::Pass),
        (ReferenceMethod::A, Verdict::Fail),
        (ReferenceMethod::M100, Verdict::Fail),
    ] {
        let circuit = CircuitToCheck { installation: InstallationConditions::by(method), ..radial(32.0, 4.0, 20.0) };
        assert_eq!(verdict(&circuit, CheckName::Overload), expected, "{method}");
    }
}
