//! Tests and papers: of new circuits, of those that stay, of the supply; the certificate and the notices.

use super::{ItemKind, Job, LineKind, TakeOff};
use crate::catalogue::{CircuitFamily, CircuitType};
use crate::circuits::{CertificateKind, CircuitPlan, ExistingCircuit};

/// Circuits that one certificate's schedules hold before more hours are asked for. Source: the labour table.
const CIRCUITS_ON_A_CERTIFICATE: usize = 12;
/// Circuits up to which a certificate of less than a rewire is a short one. Common practice, no source.
const CIRCUITS_ON_A_SHORT_CERTIFICATE: usize = 2;

pub(super) fn testing(job: Job<'_>, take_off: &mut TakeOff) {
    let operations = &job.workbook.operations;
    supply(job, take_off);
    for (index, circuit) in job.installation.circuits.iter().enumerate() {
        match circuit.fixed.kept {
            Some(_) if job.site.scope.board_stays() && circuit.members.is_empty() => {}
            Some(kept) if !job.site.scope.rewires() => extended(job, take_off, index, circuit, kept),
            kept => {
                new_circuit(job, take_off, index, circuit);
                if let Some(kept) = kept {
                    kept_circuit(job, take_off, index, circuit, kept);
                }
            }
        }
    }
    papers(job, take_off);
    let asks_operator = |kind| matches!(kind, CircuitType::ChargePoint | CircuitType::HeatPump);
    let loads = job.installation.circuits.iter().filter(|circuit| asks_operator(circuit.kind)).count();
    let loads = f64::from(u32::try_from(loads).unwrap_or(u32::MAX));
    take_off
        .start(LineKind::Testing, ItemKind::OperatorForm)
        .quantity(loads, "item")
        .work(operations.operator_form, loads)
        .done();
}

/// The origin is tested where the supply is worked on; what stays is looked at, for the work rests on it.
fn supply(job: Job<'_>, take_off: &mut TakeOff) {
    let operations = &job.workbook.operations;
    if job.site.scope.board_stays() {
        let looked_at = take_off.start(LineKind::Testing, ItemKind::WhatStays);
        looked_at.work(operations.check_what_stays, 1.0).done();
    } else {
        let tests = take_off.start(LineKind::Testing, ItemKind::SupplyTests);
        tests.work(operations.supply_tests, 1.0).done();
    }
}

fn new_circuit(job: Job<'_>, take_off: &mut TakeOff, index: usize, circuit: &CircuitPlan) {
    let operations = &job.workbook.operations;
    let dead = match circuit.kind.family() {
        CircuitFamily::Sockets if circuit.kind == CircuitType::RingSockets => operations.dead_test_ring,
        CircuitFamily::Lighting => operations.dead_test_lighting,
        CircuitFamily::Sockets | CircuitFamily::Outside | CircuitFamily::Load | CircuitFamily::Other => {
            operations.dead_test_radial
        }
    };
    take_off
        .start(LineKind::Testing, ItemKind::CircuitTests)
        .circuit(index)
        .quantity(1.0, "circuit")
        .work(dead, 1.0)
        .work(operations.live_test, 1.0)
        .done();
}

/// A circuit that is there: tested as far as it is worked on, and found where it is joined to. Behind a new board it is
/// tested before and after.
fn extended(job: Job<'_>, take_off: &mut TakeOff, index: usize, circuit: &CircuitPlan, kept: ExistingCircuit) {
    let operations = &job.workbook.operations;
    let test = if job.site.scope.board_stays() { operations.test_extended } else { operations.test_at_new_board };
    let tests = take_off.start(LineKind::Testing, ItemKind::CircuitTests).circuit(index).quantity(1.0, "circuit");
    tests.work(test, 1.0).done();
    if circuit.members.is_empty() {
        return;
    }
    let join = take_off.start(LineKind::BuildersWork, ItemKind::JoinExisting).circuit(index).quantity(1.0, "each");
    let find = if kept.tested { 0.0 } else { 1.0 };
    join.work(operations.isolate_circuit, 1.0).work(operations.find_and_extend, find).done();
}

/// A circuit that stays in a rewire is looked for and tested before it is joined to, unless somebody has.
fn kept_circuit(job: Job<'_>, take_off: &mut TakeOff, index: usize, circuit: &CircuitPlan, kept: ExistingCircuit) {
    let operations = &job.workbook.operations;
    if !kept.tested {
        take_off
            .start(LineKind::Testing, ItemKind::ExistingCircuitSurvey)
            .circuit(index)
            .quantity(1.0, "circuit")
            .work(operations.existing_circuit_survey, 1.0)
            .done();
    }
    if !circuit.members.is_empty() {
        take_off
            .start(LineKind::Testing, ItemKind::JoinExisting)
            .circuit(index)
            .quantity(1.0, "each")
            .work(operations.find_and_extend, 1.0)
            .done();
    }
}

fn papers(job: Job<'_>, take_off: &mut TakeOff) {
    let operations = &job.workbook.operations;
    let number = |count: usize| f64::from(u32::try_from(count).unwrap_or(u32::MAX));
    for certificate in job.installation.certificates(job.site) {
        let circuits = certificate.circuits.len();
        match certificate.kind {
            CertificateKind::Installation => {
                let short = job.site.scope.board_stays() && circuits <= CIRCUITS_ON_A_SHORT_CERTIFICATE;
                let write = if short { operations.certificate_short } else { operations.certificate };
                take_off
                    .start(LineKind::Testing, ItemKind::Certificate)
                    .work(write, 1.0)
                    .work(operations.certificate_extra, number(circuits.saturating_sub(CIRCUITS_ON_A_CERTIFICATE)))
                    .done();
            }
            CertificateKind::MinorWorks => {
                let mut paper = take_off.start(LineKind::Testing, ItemKind::MinorWorks);
                if let [circuit] = certificate.circuits[..] {
                    paper = paper.circuit(circuit);
                }
                paper.work(operations.minor_works, 1.0).done();
            }
        }
    }
    if job.installation.notice(job.site).required {
        take_off
            .start(LineKind::Testing, ItemKind::Notification)
            .work(operations.notify, 1.0)
            .outlay(job.workbook.sheet.terms.notification_fee)
            .done();
    }
    // A smaller job is shown as its certificate is handed over.
    if job.site.scope.rewires() {
        let handover = take_off.start(LineKind::Testing, ItemKind::Handover);
        handover.work(operations.handover, 1.0).done();
    }
}
