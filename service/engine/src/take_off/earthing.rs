//! Earthing: the terminal, main bonds by their way, the electrode.

use super::{ItemDetail, ItemKind, Job, LineKind, TakeOff};
use crate::catalogue::CableClass;
use crate::circuits::BondRun;
use crate::site::ServicePlan;
use crate::survey::Earthing;
use crate::unit_rates::Void;

pub(super) fn earthing(job: Job<'_>, take_off: &mut TakeOff) {
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    if !job.site.scope.board_stays() {
        take_off
            .start(LineKind::Earthing, ItemKind::MainEarthTerminal)
            .work(operations.earth_terminal, 1.0)
            .uses_material(materials.earth_terminal, 1.0)
            .done();
    }
    for run in &job.installation.unassigned.bonds {
        bond(job, take_off, run);
    }
    if job.site.supply.earthing == Earthing::Tt && job.site.scope.rewires() {
        electrode(job, take_off, None);
    }
}

/// Metres of a bond by how they are run.
#[derive(Default)]
struct BondMetres {
    laid: f64,
    clipped: f64,
    fished: f64,
}

fn by_way(job: Job<'_>, service: &ServicePlan, bond: &BondRun) -> BondMetres {
    if let Some(run) = &bond.run {
        let of = |wanted: fn(Void) -> bool| -> f64 {
            run.segments.iter().filter(|segment| wanted(segment.void)).map(|segment| segment.metres.value()).sum()
        };
        let fished = of(|void| void == Void::Closed);
        let clipped = of(|void| void == Void::Surface);
        return BondMetres { laid: (run.metres.value() - fished - clipped).max(0.0), clipped, fished };
    }
    let metres = bond.metres;
    // Where the pipe comes in on a solid floor the conductor is fished or clipped; under a floor that lifts it is laid.
    let closed =
        service.spot.and_then(|spot| spot.room).is_none_or(|room| job.ways.room(room).low.void != Void::Joists);
    if closed {
        BondMetres { fished: metres, ..BondMetres::default() }
    } else {
        BondMetres { laid: metres, ..BondMetres::default() }
    }
}

fn bond(job: Job<'_>, take_off: &mut TakeOff, bond: &BondRun) {
    let service = &job.site.services[bond.service];
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    let conductor = job.cable(CableClass::Bond);
    let metres = bond.metres;
    let by_way = by_way(job, service, bond);
    let mut draft = take_off.start(LineKind::Earthing, ItemKind::Bond(service.kind));
    if let Some(room) = service.spot.and_then(|spot| spot.room) {
        draft = draft.room(room);
    }
    draft
        .quantity((metres * 100.0).round() / 100.0, "m")
        .work(conductor.open(), by_way.laid)
        .work(conductor.clipped(), by_way.clipped)
        .work(conductor.fished(), by_way.fished)
        .work(operations.bonding_terminate, 1.0)
        .uses_material(conductor.material, metres)
        .uses_material(materials.earth_clamp, 1.0)
        .detail(ItemDetail::Bond { place_recorded: service.spot.is_some() })
        .done();
}

pub(super) fn electrode(job: Job<'_>, take_off: &mut TakeOff, room: Option<usize>) {
    let (operations, materials) = (&job.workbook.operations, &job.workbook.materials);
    let kind = if room.is_some() { LineKind::Outbuilding } else { LineKind::Earthing };
    let mut draft = take_off.start(kind, ItemKind::EarthElectrode);
    if let Some(room) = room {
        draft = draft.room(room);
    }
    draft
        .quantity(1.0, "each")
        .work(operations.earth_rod_drive, 1.0)
        .work(operations.earth_rod_test, 1.0)
        .uses_material(materials.earth_rod, 1.0)
        .done();
}
