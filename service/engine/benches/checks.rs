//! How fast circuits are checked. Aim: one circuit under 2 microseconds, ten thousand well under 100 milliseconds.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use engine::checks::{
    Arrangement, CircuitCable, CircuitCheckRequest, CircuitLoad, CircuitSupply, CircuitToCheck, InstallationConditions,
    ProtectiveDevice, UpstreamOfCircuit, judge_circuit,
};
use engine::demand::{DemandLoad, DemandRequest, DemandSupply, after_diversity};
use engine::document::Contract;
use engine::standards::{
    CableType, CircuitUse, DeviceType, LoadKind, ReferenceMethod, Standards, SupplyEarthing, TripCurve,
};
use engine::working::{CableSizeRequest, check_circuits, check_circuits_as_json, check_one, size_cable};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const MANY: usize = 10_000;

fn supply() -> CircuitSupply {
    CircuitSupply { ze_ohm: Some(0.35), fault_current_ka: Some(1.2), ..CircuitSupply::of(SupplyEarthing::TnCS) }
}

fn shower() -> CircuitToCheck {
    CircuitToCheck {
        device: ProtectiveDevice {
            residual_ma: Some(30.0),
            ..ProtectiveDevice::breaker(DeviceType::Rcbo, TripCurve::B, 45.0)
        },
        cable: CircuitCable::of(CableType::FlatTwinAndEarth70, 10.0),
        ..CircuitToCheck::radial("shower", CircuitUse::Power, CircuitLoad::kilowatts(9.5), 18.0, ReferenceMethod::C)
    }
}

/// Boards of nine circuits, each board fed by a distribution circuit.
fn many() -> CircuitCheckRequest {
    let circuits = (0..MANY)
        .map(|index| {
            let feeder = index / 10 * 10;
            let ring = index % 3 == 0 && index != feeder;
            CircuitToCheck {
                id: format!("C{index}"),
                arrangement: ring.then_some(Arrangement::Ring),
                fed_from: (index != feeder).then(|| format!("C{feeder}")),
                ..shower()
            }
        })
        .collect();
    CircuitCheckRequest { ruleset: None, supply: supply(), circuits }
}

fn bench(criterion: &mut Criterion) {
    let standards = Standards::built_in();
    let supply = supply();
    let origin = UpstreamOfCircuit::at_origin(&supply);
    let shower = shower();
    criterion.bench_function("one circuit", |bencher| {
        bencher.iter(|| check_one(&standards, &supply, black_box(&shower), &origin).map(|checked| checked.verdict));
    });
    criterion.bench_function("one circuit, judged alone", |bencher| {
        bencher.iter(|| judge_circuit(&standards, &supply, black_box(&shower), &origin).map(|judged| judged.verdict));
    });
    let request = many();
    criterion.bench_function("ten thousand circuits on boards", |bencher| {
        bencher.iter(|| check_circuits(&standards, black_box(&request)).map(|answer| answer.verdict));
    });
    let contract: Contract<CircuitCheckRequest> = Contract::new();
    let bytes = serde_json::to_vec(&request).unwrap_or_default();
    criterion.bench_function("ten thousand circuits read against the contract", |bencher| {
        bencher.iter(|| contract.read(black_box(&bytes)).map(|request| request.circuits.len()));
    });
    criterion.bench_function("ten thousand circuits checked and written", |bencher| {
        bencher.iter(|| check_circuits_as_json(&standards, black_box(&request)).map(|bytes| bytes.len()));
    });
    let size = CableSizeRequest {
        ruleset: None,
        supply: supply.clone(),
        circuit_use: CircuitUse::Power,
        arrangement: None,
        load: CircuitLoad::kilowatts(9.5),
        cable_type: CableType::FlatTwinAndEarth70,
        length_m: 18.0,
        installation: InstallationConditions::by(ReferenceMethod::M100),
        device: None,
        disconnection_s: None,
        serves: None,
        upstream: None,
    };
    criterion.bench_function("every size for one load", |bencher| {
        bencher.iter(|| size_cable(&standards, black_box(&size)).map(|answer| answer.sizes.len()));
    });
    let loads: Vec<DemandLoad> = LoadKind::ALL
        .iter()
        .map(|&kind| DemandLoad { kind, count: Some(2), load_kw: Some(3.0), current_a: None, socket_outlet: None })
        .collect();
    let demand = DemandRequest { ruleset: None, supply: DemandSupply::default(), loads };
    criterion.bench_function("demand of a house", |bencher| {
        bencher.iter(|| after_diversity(&standards, black_box(&demand)).map(|answer| answer.after_diversity_a));
    });
    criterion.bench_function("reading the tables", |bencher| bencher.iter(Standards::built_in));
}

criterion_group!(benches, bench);
criterion_main!(benches);
