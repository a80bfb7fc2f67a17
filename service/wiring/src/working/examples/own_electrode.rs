//! Supplies with an own electrode.

use super::*;

fn tt(ze_ohm: f64) -> CircuitSupply {
    CircuitSupply { ze_ohm: Some(ze_ohm), ..CircuitSupply::of(SupplyEarthing::Tt) }
}

#[test]
fn a_30_ma_device_allows_1667_ohm_and_a_100_ma_device_500() {
    // Source: BS 7671 Table 41.5, RA x IdN <= 50 V (from memory).
    for (residual_ma, ohm) in [(30.0, 1_666.666_7), (100.0, 500.0), (300.0, 166.666_7)] {
        let circuit = CircuitToCheck {
            device: ProtectiveDevice { residual_ma: Some(residual_ma), ..rcbo(TripCurve::B, 16.0) },
            ..radial(16.0, 2.5, 10.0)
        };
        let found = checked_on(&tt(100.0), &circuit);
        let check = found.check(CheckName::Disconnection).expect("there");
        close(check.limit, ohm, 0.001);
        assert!(check.working.contains("0.2 s"), "{}", check.working);
    }
}

#[test]
fn without_a_residual_device_the_earth_is_too_poor_for_a_breaker() {
    let circuit = CircuitToCheck {
        device: ProtectiveDevice::breaker(DeviceType::Breaker, TripCurve::B, 16.0),
        ..radial(16.0, 2.5, 10.0)
    };
    let found = checked_on(&tt(21.0), &circuit);
    assert_eq!(found.check(CheckName::Disconnection).map(|check| check.verdict), Some(Verdict::Fail));
    assert_eq!(found.check(CheckName::FaultWithstand).map(|check| check.verdict), Some(Verdict::Fail));
}

#[test]
fn a_residual_device_at_the_origin_protects_every_circuit() {
    let supply = CircuitSupply { residual_ma: Some(100.0), ..tt(100.0) };
    let circuit = CircuitToCheck {
        device: ProtectiveDevice::breaker(DeviceType::Breaker, TripCurve::B, 16.0),
        ..radial(16.0, 2.5, 10.0)
    };
    let found = checked_on(&supply, &circuit);
    assert_eq!(
        found.check(CheckName::Disconnection).map(|check| (check.limit, check.verdict)),
        Some((500.0, Verdict::Pass))
    );
    assert_eq!(found.check(CheckName::AdditionalProtection).map(|check| check.verdict), Some(Verdict::Fail));
}

#[test]
fn an_electrode_over_200_ohm_is_called_unstable() {
    // Source: BS 7671 Table 41.5, note (from memory).
    let request = CircuitCheckRequest { ruleset: None, supply: tt(250.0), circuits: vec![radial(16.0, 2.5, 10.0)] };
    let answer = check_circuits(&STANDARDS, &request).expect("no faults");
    assert!(answer.advice.iter().any(|advice| advice.name == AdviceName::ElectrodeStability));
}

#[test]
fn a_fuse_without_a_residual_device_is_refused_for_want_of_a_table() {
    let circuit =
        CircuitToCheck { device: ProtectiveDevice::fuse(DeviceType::FuseBs3036, 30.0), ..radial(20.0, 2.5, 10.0) };
    let supply = tt(21.0);
    let found =
        check_one(&STANDARDS, &supply, &circuit, &UpstreamOfCircuit::at_origin(&supply)).expect_err("no 0.2 s figure");
    assert_eq!((pointers(&found), found[0].code), (vec!["/device/rating_a"], FaultCode::NotInTable));
}
