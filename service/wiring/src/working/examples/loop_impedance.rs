//! Earth fault loops: published limits and lengths.

use super::*;

fn limit(device: ProtectiveDevice) -> f64 {
    let circuit = CircuitToCheck { load: CircuitLoad::amps(1.0), device, ..radial(6.0, 10.0, 1.0) };
    check(&circuit, CheckName::Disconnection).limit
}

#[test]
fn breakers_have_the_limits_that_every_electrician_knows() {
    // Source: BS 7671 Table 41.3 at Cmin 0.95 (from memory; each is 218.5 / Ia).
    let published = [
        (TripCurve::B, 6.0, 7.28),
        (TripCurve::B, 10.0, 4.37),
        (TripCurve::B, 16.0, 2.73),
        (TripCurve::B, 20.0, 2.19),
        (TripCurve::B, 32.0, 1.37),
        (TripCurve::B, 40.0, 1.09),
        (TripCurve::B, 50.0, 0.87),
        (TripCurve::B, 63.0, 0.69),
        (TripCurve::C, 6.0, 3.64),
        (TripCurve::C, 16.0, 1.37),
        (TripCurve::C, 20.0, 1.09),
        (TripCurve::C, 32.0, 0.68),
        (TripCurve::D, 16.0, 0.68),
        (TripCurve::D, 32.0, 0.34),
    ];
    for (curve, rating, ohm) in published {
        assert_eq!(limit(rcbo(curve, rating)), ohm, "{curve}{rating}");
    }
}

#[test]
fn fuses_have_their_published_limits() {
    // Source: BS 7671 Table 41.2 (from memory; BS 88-2 from 6 to 32 A is 0.95 of figures seen for 2011).
    let published = [
        (DeviceType::FuseBs882, 6.0, 7.8),
        (DeviceType::FuseBs882, 20.0, 1.68),
        (DeviceType::FuseBs882, 32.0, 0.99),
        (DeviceType::FuseBs883, 32.0, 0.91),
        (DeviceType::FuseBs3036, 30.0, 1.04),
        (DeviceType::FuseBs1362, 13.0, 2.3),
    ];
    for (fuse, rating, ohm) in published {
        let device = ProtectiveDevice { residual_ma: Some(30.0), ..ProtectiveDevice::fuse(fuse, rating) };
        assert_eq!(limit(device), ohm, "{fuse} {rating}");
    }
}

#[test]
fn a_distribution_circuit_is_held_to_5_s() {
    // Source: BS 7671 411.3.2.3 and Table 41.4, BS 88-3 100 A 0.38 ohm (from memory).
    let circuit = CircuitToCheck {
        serves: Some(Serves::Board),
        device: ProtectiveDevice::fuse(DeviceType::FuseBs883, 100.0),
        cable: CircuitCable { cpc_mm2: Some(16.0), ..CircuitCable::of(CableType::SingleCore70, 25.0) },
        installation: InstallationConditions::by(ReferenceMethod::B),
        ..radial(100.0, 25.0, 3.0)
    };
    assert_eq!(check(&circuit, CheckName::Disconnection).limit, 0.38);
}

#[test]
fn r1_r2_of_2_5_and_1_5_mm2_over_22_m_is_0_43_ohm_cold() {
    // Source: a published exercise, 19.51 mohm/m x 22 m = 0.429 ohm at 20 degC (seen); times 1.20 hot.
    close(checked(&radial(20.0, 2.5, 22.0)).r1_r2_ohm, 0.429 * 1.2, 0.001);
}

#[test]
fn a_ring_has_a_quarter_of_its_end_to_end_resistance() {
    // Source: On-Site Guide, (r1 + r2) / 4 (from memory): 60 m x 19.51 mohm/m / 4 = 0.293 ohm cold.
    close(checked(&ring(60.0)).r1_r2_ohm, 60.0 * 19.51 / 4_000.0 * 1.2, 0.000_1);
}

#[test]
fn armour_carries_the_fault_where_there_is_no_core_for_it() {
    // Source: BS 5467, 10 mm2 3-core armour 3.9 to 4.0 mohm/m (from memory): 30 m x (1.83 x 1.28 + 4 x 1.18).
    let circuit = CircuitToCheck {
        cable: CircuitCable { cores: Some(3), ..CircuitCable::of(CableType::Armoured90, 10.0) },
        ..radial(32.0, 10.0, 30.0)
    };
    close(checked(&circuit).r1_r2_ohm, 0.2119, 0.000_1);
    let with_core = CircuitToCheck {
        cable: CircuitCable { cpc_mm2: Some(10.0), ..CircuitCable::of(CableType::Armoured90, 10.0) },
        ..circuit
    };
    close(checked(&with_core).r1_r2_ohm, 30.0 * 3.66 * 1.28 / 1_000.0, 0.000_1);
}

#[test]
fn a_ring_longer_than_its_limit_fails_on_disconnection() {
    // Source: derived handbook length, B32 in 2.5/1.5 mm2 at Ze 0.35: 174 m (On-Site Guide layout, derived).
    assert_eq!(verdict(&ring(173.0), CheckName::Disconnection), Verdict::Pass);
    assert_eq!(verdict(&ring(175.0), CheckName::Disconnection), Verdict::Fail);
}

#[test]
fn a_radial_of_4_mm2_at_32_a_reaches_50_m_on_tn_c_s_and_28_m_on_tn_s() {
    // Source: derived handbook lengths, B32 in 4/1.5 mm2: 50.6 m at Ze 0.35, 28.2 m at 0.8.
    for (ze_ohm, length) in [(0.35, 50.6), (0.8, 28.2)] {
        let supply = CircuitSupply { ze_ohm: Some(ze_ohm), ..supply() };
        let at =
            |length| checked_on(&supply, &radial(32.0, 4.0, length)).check(CheckName::Disconnection).map(|c| c.verdict);
        assert_eq!(at(length), Some(Verdict::Pass), "{ze_ohm}");
        assert_eq!(at(length + 0.6), Some(Verdict::Fail), "{ze_ohm}");
    }
}
