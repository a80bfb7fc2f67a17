//! Sizing: what the trade fits.

use super::*;

fn wanted(load: CircuitLoad, method: ReferenceMethod, insulation_mm: f64, length_m: f64) -> CableSizeRequest {
    CableSizeRequest {
        ruleset: None,
        supply: supply(),
        circuit_use: CircuitUse::Power,
        arrangement: None,
        load,
        cable_type: CableType::FlatTwinAndEarth70,
        length_m,
        installation: InstallationConditions {
            insulation_mm: Some(insulation_mm),
            ..InstallationConditions::by(method)
        },
        device: None,
        disconnection_s: None,
        serves: None,
        upstream: None,
    }
}

fn chosen(request: &CableSizeRequest) -> (f64, Option<f64>, f64) {
    let answer = size_cable(&STANDARDS, request).expect("no faults");
    let chosen = answer.chosen.expect("a size passes");
    (chosen.line_mm2, chosen.cpc_mm2, chosen.device.rating_a)
}

#[test]
fn a_9_5_kw_shower_through_insulation_wants_10_mm2() {
    // Source: trade practice (from memory): 41.3 A, so 45 A; 6 mm2 clipped has 47 A, and 41 A through 50 mm of
    // insulation or 34 A above a ceiling under it.
    let through = wanted(CircuitLoad::kilowatts(9.5), ReferenceMethod::C, 50.0, 18.0);
    assert_eq!(chosen(&through), (10.0, Some(4.0), 45.0));
    let answer = size_cable(&STANDARDS, &through).expect("no faults");
    let six = answer.sizes.iter().find(|size| size.line_mm2 == 6.0).expect("6 mm2 is judged");
    let failed: Vec<CheckName> =
        six.checks.iter().filter(|check| check.verdict == Verdict::Fail).map(|check| check.name).collect();
    assert_eq!(failed, [CheckName::Overload]);
    assert_eq!(chosen(&wanted(CircuitLoad::kilowatts(9.5), ReferenceMethod::M100, 0.0, 18.0)), (10.0, Some(4.0), 45.0));
    assert_eq!(chosen(&wanted(CircuitLoad::kilowatts(9.5), ReferenceMethod::C, 0.0, 18.0)), (6.0, Some(2.5), 45.0));
}

#[test]
fn an_immersion_heater_of_3_kw_takes_16_a() {
    // Source: trade practice (from memory): 13.04 A at 230 V, 16 A; clipped 1.5 mm2 would carry it.
    assert_eq!(chosen(&wanted(CircuitLoad::kilowatts(3.0), ReferenceMethod::M101, 0.0, 10.0)), (2.5, Some(1.5), 16.0));
}

#[test]
fn a_charge_point_of_7_4_kw_takes_40_a_in_6_mm2_clipped() {
    // Source: trade practice (from memory): 32.2 A continuous, 40 A, 6 mm2 of 47 A.
    assert_eq!(chosen(&wanted(CircuitLoad::kilowatts(7.4), ReferenceMethod::C, 0.0, 20.0)), (6.0, Some(2.5), 40.0));
}

#[test]
fn a_ring_of_sockets_is_2_5_mm2_at_32_a() {
    // Source: On-Site Guide, standard ring (seen).
    let ring = CableSizeRequest {
        arrangement: Some(Arrangement::Ring),
        ..wanted(CircuitLoad::amps(26.0), ReferenceMethod::C, 0.0, 70.0)
    };
    assert_eq!(chosen(&ring), (2.5, Some(1.5), 32.0));
}

#[test]
fn lighting_of_6_a_clipped_is_1_mm2() {
    // Source: BS 7671 Table 4D5, 1 mm2 clipped 16 A and 44 mV/A/m, seen; 6004 protective conductor of 1 mm2 from memory.
    let lights = |length_m| CableSizeRequest {
        circuit_use: CircuitUse::Lighting,
        device: Some(DeviceWanted { rating_a: Some(6.0), ..DeviceWanted::of(DeviceType::Rcbo) }),
        ..wanted(CircuitLoad::amps(6.0), ReferenceMethod::C, 0.0, length_m)
    };
    assert_eq!(chosen(&lights(20.0)), (1.0, Some(1.0), 6.0));
    // 44 mV x 6 A x 30 m is 7.9 V, above the 6.9 V of lighting; 1.5 mm2 drops 5.2 V.
    assert_eq!(chosen(&lights(30.0)), (1.5, Some(1.0), 6.0));
}

#[test]
fn where_no_size_passes_the_nearest_miss_is_explained() {
    let answer = size_cable(&STANDARDS, &wanted(CircuitLoad::kilowatts(14.0), ReferenceMethod::M103, 0.0, 20.0))
        .expect("no faults");
    assert!(answer.chosen.is_none());
    let miss = answer.nearest_miss.expect("a miss is named");
    assert_eq!(miss.line_mm2, 16.0);
    assert!(miss.explanation.starts_with("overload is 1.48 times its limit"), "{}", miss.explanation);
    assert_eq!(answer.sizes.len(), 7);
}

#[test]
fn a_load_beyond_every_rating_is_refused_with_the_table() {
    let found = size_cable(&STANDARDS, &wanted(CircuitLoad::kilowatts(99.0), ReferenceMethod::C, 0.0, 20.0))
        .expect_err("430 A");
    assert_eq!((pointers(&found), found[0].code), (vec!["/load"], FaultCode::NotInTable));
}
