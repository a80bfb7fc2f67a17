//! Single-core cables in conduit and trunking.

use super::*;
use crate::standards::EnclosureType;

fn conduit(diameter_mm: f64, run_m: f64, bends: u8) -> CircuitEnclosure {
    CircuitEnclosure {
        enclosure_type: EnclosureType::Conduit,
        diameter_mm: Some(diameter_mm),
        width_mm: None,
        height_mm: None,
        run_m: Some(run_m),
        bends: Some(bends),
        others: Vec::new(),
    }
}

fn singles(line_mm2: f64, enclosure: CircuitEnclosure) -> CircuitToCheck {
    CircuitToCheck {
        cable: CircuitCable { cpc_mm2: Some(line_mm2), ..CircuitCable::of(CableType::SingleCore70, line_mm2) },
        installation: InstallationConditions::by(ReferenceMethod::B),
        enclosure: Some(enclosure),
        ..radial(16.0, line_mm2, 6.0)
    }
}

#[test]
fn cables_that_do_not_fit_fail_the_circuit_and_the_next_conduit_passes() {
    // Source: Whitfield, The Electrician's Guide, 4.5.3 (from memory): 364 against 233 in 20 mm and 422 in 25 mm.
    let others = vec![
        EnclosedCable { line_mm2: 1.0, count: 8 },
        EnclosedCable { line_mm2: 2.5, count: 1 },
        EnclosedCable { line_mm2: 6.0, count: 2 },
    ];
    let drawn = |diameter_mm| singles(2.5, CircuitEnclosure { others: others.clone(), ..conduit(diameter_mm, 6.0, 1) });
    let (small, large) = (checked(&drawn(20.0)), checked(&drawn(25.0)));
    let space = |found: &CheckedCircuit| {
        let check = found.enclosure.clone().expect("an enclosure was given");
        (check.value, check.limit, check.verdict)
    };
    assert_eq!(space(&small), (364.0, 233.0, Verdict::Fail));
    assert_eq!(space(&large), (364.0, 422.0, Verdict::Pass));
    assert_eq!((small.verdict, large.verdict), (Verdict::Fail, Verdict::Pass));
    assert_eq!(small.checks.len(), 7);
}

#[test]
fn a_ring_passes_its_conduit_twice() {
    // Source: On-Site Guide Table E3: 2.5 mm2 is 30: two lines, two neutrals and two protective conductors.
    let ring = CircuitToCheck { arrangement: Some(Arrangement::Ring), ..singles(2.5, conduit(25.0, 5.0, 2)) };
    assert_eq!(checked(&ring).enclosure.map(|check| check.value), Some(180.0));
}

#[test]
fn a_longer_or_more_bent_conduit_never_has_more_room() {
    let room = |run_m, bends| {
        let found = check_one(
            &STANDARDS,
            &supply(),
            &singles(1.5, conduit(20.0, run_m, bends)),
            &UpstreamOfCircuit::at_origin(&supply()),
        );
        found.ok().and_then(|found| found.enclosure).map(|check| check.limit)
    };
    for bends in 0..4 {
        let by_run: Vec<f64> = (5..40).filter_map(|quarters| room(f64::from(quarters) / 4.0, bends)).collect();
        assert!(by_run.windows(2).all(|pair| pair[1] <= pair[0]), "{bends}: {by_run:?}");
    }
    for run in [1.5, 2.5, 3.5, 4.5] {
        let by_bend: Vec<f64> = (0..4).filter_map(|bends| room(run, bends)).collect();
        assert!(by_bend.len() >= 3 && by_bend.windows(2).all(|pair| pair[1] <= pair[0]), "{run}: {by_bend:?}");
    }
}

#[test]
fn what_the_tables_do_not_hold_is_refused_with_their_name() {
    let refused = |enclosure: CircuitEnclosure, line: f64| {
        let found = faults(&singles(line, enclosure));
        let [fault] = &found[..] else { panic!("{found:?}") };
        (fault.pointer.clone(), fault.code)
    };
    assert_eq!(refused(conduit(22.0, 2.0, 0), 2.5), ("/enclosure".to_owned(), FaultCode::NotInTable));
    assert_eq!(refused(conduit(20.0, 12.0, 0), 2.5), ("/enclosure".to_owned(), FaultCode::NotInTable));
    assert_eq!(refused(conduit(20.0, 6.0, 4), 2.5), ("/enclosure".to_owned(), FaultCode::NotInTable));
    assert_eq!(refused(CircuitEnclosure { run_m: None, ..conduit(20.0, 1.0, 0) }, 2.5).0, "/enclosure/run_m");
    assert_eq!(
        refused(CircuitEnclosure { width_mm: Some(50.0), ..conduit(20.0, 1.0, 0) }, 2.5).0,
        "/enclosure/width_mm"
    );
    let other = vec![EnclosedCable { line_mm2: 3.0, count: 1 }];
    let pointer = "/enclosure/others/0/line_mm2".to_owned();
    assert_eq!(
        refused(CircuitEnclosure { others: other, ..conduit(20.0, 1.0, 0) }, 2.5),
        (pointer, FaultCode::NotInTable)
    );
    // 1 mm2 in trunking was nowhere seen in print at a size that a cable can have.
    let trunking = CircuitEnclosure {
        enclosure_type: EnclosureType::Trunking,
        diameter_mm: None,
        width_mm: Some(50.0),
        height_mm: Some(50.0),
        run_m: None,
        bends: None,
        others: Vec::new(),
    };
    let found = faults(&CircuitToCheck {
        load: CircuitLoad::amps(6.0),
        device: rcbo(TripCurve::B, 6.0),
        ..singles(1.0, trunking)
    });
    assert_eq!(pointers(&found), ["/cable/line_mm2", "/cable/cpc_mm2"]);
}

#[test]
fn only_single_core_cables_by_method_a_or_b_are_drawn_into_anything() {
    let clipped = CircuitToCheck {
        installation: InstallationConditions::by(ReferenceMethod::C),
        ..singles(2.5, conduit(20.0, 2.0, 0))
    };
    let flat = CircuitToCheck { enclosure: Some(conduit(20.0, 2.0, 0)), ..radial(16.0, 2.5, 10.0) };
    for circuit in [clipped, flat] {
        assert_eq!(pointers(&faults(&circuit)), ["/enclosure"]);
    }
}
