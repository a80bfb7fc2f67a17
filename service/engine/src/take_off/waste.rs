//! What leaves the house: old work and spoil, by van or by skip, whichever costs the firm less.

use super::house::pennies;
use super::{ItemKind, Job, LineKind, TakeOff};
use crate::money::Money;
use crate::rate_sheet::{HireKind, HireRate};
use crate::survey::{Ground, Parking};
use crate::told::Told;

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
const VAN_M3: f64 = 2.0;

/// The cheapest skips that hold it.
struct Skips<'a> {
    rate: &'a HireRate,
    permit: Option<&'a HireRate>,
    count: f64,
    price: Money,
}

pub(super) fn waste(job: Job<'_>, chased_m: f64, take_off: &mut TakeOff) {
    let told = take_off.told();
    let (volume, working) = volume(job, chased_m, told);
    if volume <= 0.0 {
        return;
    }
    let vans = up(volume / VAN_M3);
    let gate_fees = job.workbook.sheet.terms.waste_gate_fee.times(vans);
    let by_van = gate_fees.approximate() + job.workbook.cost_of_one(job.workbook.does.waste_to_tip) * vans;
    let skips = cheapest(job, volume);
    let against = match &skips {
        Some(skips) => {
            let (count, skip, price) = (skips.count, &skips.rate.item, skips.price);
            told.put(format_args!("{vans} vans at {by_van:.2} against {count} × {skip} at {price}"))
        }
        None => told.put(format_args!("{vans} vans of {VAN_M3} m3; the rate sheet hires no skip")),
    };
    let note = told.put(format_args!("{volume:.2} m3 loose: {working}; {against}"));
    match skips.filter(|skips| skips.price.approximate() < by_van) {
        Some(skips) => {
            let permit = skips.permit.map_or_else(String::new, |permit| {
                let (count, item, price) = (skips.count, &permit.item, permit.price);
                told.put(format_args!("; {count} × {item} at {price}, as it stands on the road"))
            });
            take_off
                .start(LineKind::Preliminaries, ItemKind::Skip, "Skip for old work and spoil, filled as it comes off")
                .quantity(skips.count, "each")
                .outlay(pennies(skips.price))
                .note(format_args!("{note}{permit}"))
                .done();
        }
        None => {
            take_off
                .start(LineKind::Preliminaries, ItemKind::Waste, "Take waste to a licensed site, gate fee in it")
                .quantity(vans, "van")
                .work(job.workbook.does.waste_to_tip, vans)
                .outlay(pennies(gate_fees))
                .note(note)
                .done();
        }
    }
}

/// How much leaves the house, loose, and the working.
fn volume(job: Job<'_>, chased_m: f64, told: Told) -> (f64, String) {
    #[expect(clippy::cast_precision_loss, reason = "points to strip are limited to 50,000")]
    let points = job.site.points_to_strip as f64;
    let hard = |ground: Ground| matches!(ground, Ground::Concrete | Ground::Tarmac | Ground::SharedDrive);
    let dug = job.installation.circuits.iter().filter(|circuit| circuit.is_dug());
    let stretches =
        dug.filter_map(|circuit| circuit.outbuilding).flat_map(|building| &job.site.outbuildings[building].stretches);
    let broken: f64 = stretches.filter(|(ground, _)| hard(*ground)).map(|(_, length)| length.value()).sum();
    let mut volume = 0.0;
    let mut working: Vec<String> = Vec::new();
    for (quantity, each, of) in [
        (points, OLD_POINT_M3, "old points"),
        (job.site.surface_wiring.value(), OLD_SURFACE_M3_PER_M, "m on the surface"),
        (f64::from(job.site.storage_heaters), OLD_HEATER_M3, "storage heaters"),
        (chased_m, CHASE_M3_PER_M, "m of chase"),
        (broken, BROKEN_OUT_M3_PER_M, "m of hard standing"),
    ] {
        if quantity > 0.0 {
            volume += quantity * each;
            told.push(format_args!("{quantity:.0} {of} at {each:.4} m3"), &mut working);
        }
    }
    (volume, working.join(" + "))
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
