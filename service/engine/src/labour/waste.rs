//! What leaves the house: old work and spoil, by van or by skip, whichever costs the firm less.

use crate::money::Money;
use crate::rate_sheet::{HireKind, HireRate};
use crate::survey::{Ground, Parking};
use crate::take_off::{ItemDetail, ItemKind, Job, LineKind, SkipsWeighed, TakeOff, WasteOf, WastePart, WasteReason};

/// Loose volume of an old point with its box and cable. Common practice, no source.
const OLD_POINT_M3: f64 = 0.03;
/// Loose spoil of a metre of chase, 30 by 25 mm and half as much again once it is out. Common practice, no source.
const CHASE_M3_PER_M: f64 = 0.03 * 0.025 * 1.5;
/// Loose volume of a metre of old trunking or conduit. Common practice, no source.
const OLD_SURFACE_M3_PER_M: f64 = 0.002;
/// Volume of a storage heater taken apart, its bricks with it. Common practice, no source.
const OLD_HEATER_M3: f64 = 0.15;
/// What is broken out of a metre of hard standing, 300 mm wide and 100 mm thick, likewise. Common practice, no source. The
/// soil of a trench stays in the garden.
const BROKEN_OUT_M3_PER_M: f64 = 0.3 * 0.1 * 1.5;
/// What a van takes at once: sixty old points with the spoil of their chases. Common practice, no source.
pub(crate) const VAN_M3: f64 = 2.0;

/// The cheapest skips that hold it.
struct Skips<'a> {
    rate: &'a HireRate,
    permit: Option<&'a HireRate>,
    count: f64,
    price: Money,
}

pub(super) fn waste(job: Job<'_>, chased_m: f64, take_off: &mut TakeOff) {
    let parts = parts(job, chased_m);
    let volume = parts.iter().map(|part| part.quantity * part.each_m3).sum::<f64>();
    /// What the van takes along between its tools. Common practice, no source.
    const GOES_ALONG_M3: f64 = 0.25;
    if volume <= 0.0 || (!job.site.scope.rewires() && volume <= GOES_ALONG_M3) {
        return;
    }
    let vans = up(volume / VAN_M3);
    let gate_fees = job.workbook.sheet.terms.waste_gate_fee.times(vans);
    let by_van = gate_fees.approximate() + job.workbook.cost_of_one(job.workbook.operations.waste_to_tip) * vans;
    let skips = cheapest(job, volume);
    let skips = skips.map(|skips| SkipsWeighed {
        skip: skips.rate.clone(),
        permit: skips.permit.cloned(),
        count: skips.count,
        price: skips.price,
    });
    let reason = WasteReason { volume_m3: volume, parts, vans, by_van, skips };
    let draft = match reason.by_skip() {
        Some(skips) => {
            take_off.start(LineKind::Preliminaries, ItemKind::Skip).quantity(skips.count, "each").outlay(skips.price)
        }
        None => take_off
            .start(LineKind::Preliminaries, ItemKind::Waste)
            .quantity(vans, "van")
            .work(job.workbook.operations.waste_to_tip, vans)
            .outlay(gate_fees),
    };
    draft.detail(ItemDetail::Waste(reason)).done();
}

/// What leaves the house, loose.
fn parts(job: Job<'_>, chased_m: f64) -> Vec<WastePart> {
    #[expect(clippy::cast_precision_loss, reason = "points to strip are limited to 50,000")]
    let points = job.site.points_to_strip as f64;
    let hard = |ground: Ground| matches!(ground, Ground::Concrete | Ground::Tarmac | Ground::SharedDrive);
    let dug = job.installation.circuits.iter().filter(|circuit| circuit.is_dug());
    let stretches =
        dug.filter_map(|circuit| circuit.outbuilding).flat_map(|building| &job.site.outbuildings[building].stretches);
    let broken: f64 = stretches.filter(|(ground, _)| hard(*ground)).map(|(_, length)| length.value()).sum();
    let part = |of, quantity, each_m3| WastePart { of, quantity, each_m3 };
    let mut parts = vec![
        part(WasteOf::OldPoints, points, OLD_POINT_M3),
        part(WasteOf::OldSurface, job.site.surface_wiring.value(), OLD_SURFACE_M3_PER_M),
        part(WasteOf::StorageHeaters, f64::from(job.site.storage_heaters), OLD_HEATER_M3),
        part(WasteOf::Chase, chased_m, CHASE_M3_PER_M),
        part(WasteOf::HardStanding, broken, BROKEN_OUT_M3_PER_M),
    ];
    parts.retain(|part| part.quantity > 0.0);
    parts
}

fn cheapest<'a>(job: Job<'a>, volume: f64) -> Option<Skips<'a>> {
    let on_the_road = job.site.parking != Parking::Drive;
    let permit = job.workbook.hire(HireKind::SkipPermit).next().filter(|_| on_the_road);
    let priced = job.workbook.hire(HireKind::Skip).map(|rate| {
        let count = up(volume / rate.capacity_m3.max(f64::MIN_POSITIVE));
        let each = rate.price + permit.map_or(Money::ZERO, |permit| permit.price);
        Skips { rate, permit, count, price: each.times(count) }
    });
    priced.min_by(|a, b| a.price.cmp(&b.price).then_with(|| a.rate.item.cmp(&b.rate.item)))
}

/// To whole loads; what is over by less than the figures are sure of is thrown on top.
fn up(loads: f64) -> f64 {
    const OVER: f64 = 1e-6;
    (loads - OVER).ceil().max(1.0)
}
