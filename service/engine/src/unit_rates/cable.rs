//! Laying a metre of cable.

use super::{Conditions, Factors, Rate, Void};
use crate::catalogue::CableSize;
use crate::rate_sheet::{OperationIndex, Workbook};
use crate::site::RoomIndex;
use crate::survey::Medium;

/// Of the operations in the open, through joists, clipped, fished and in a chase, that of a stretch.
#[must_use]
pub(crate) const fn operation_by_void(operations: [OperationIndex; 5], medium: Medium, void: Void) -> OperationIndex {
    let [open, joists, clipped, fished, chase] = operations;
    match (medium, void) {
        (Medium::WallChase, _) => chase,
        (_, Void::Closed) => fished,
        (_, Void::Joists) => joists,
        (_, Void::Surface) => clipped,
        (_, Void::Open | Void::Trunking) => open,
    }
}

/// Hours and money of a metre of cable as it lies in a room, its trunking with it, as the map weighs it.
#[must_use]
pub(crate) fn laying(
    workbook: &Workbook,
    factors: &Factors,
    cable: CableSize,
    (medium, void, room): (Medium, Void, Option<RoomIndex>),
) -> Rate {
    let overhead = matches!(medium, Medium::Loft | Medium::CeilingVoid);
    let conditions = Conditions { room, overhead, ..Conditions::HOUSE };
    let work = |operation| {
        let hours = factors.hours_of_one(operation, &conditions, workbook);
        Rate { hours, money: hours * workbook.sheet.terms.labour_rate.approximate() }
    };
    let material = |material| Rate { hours: 0.0, money: workbook.material(material).approximate_cost };
    let cable = workbook.cable(cable.row());
    let mut metre = work(operation_by_void(cable.laying, medium, void));
    if void == Void::Trunking {
        metre = metre.plus(work(workbook.operations.mini_trunking)).plus(material(workbook.materials.mini_trunking));
    }
    metre.plus(cable.material.map_or(Rate::default(), material))
}
