//! What long tails take from every circuit behind them: they are a feed of their own, from a switched fuse at the meter to
//! the house's board. Short ones are left out of account, as everybody does (common practice, no source).

use super::board::TAILS_M_MAX;
use super::earthing::{EARTH_BESIDE_TAILS, TAILS};
use crate::checks::{Supply, Upstream};
use crate::quantities::{Metres, Ohms};
use crate::site::Site;
use crate::standards::{CableType, ProtectiveConductor, Standards, SupplyEarthing};
use crate::told::Told;

/// What the circuits of the house's board find there, and how that comes about; nothing to be told of short tails.
pub(super) fn at_board(
    length: Metres,
    supply: &Supply,
    site: &Site,
    standards: &Standards,
    told: Told,
) -> (Upstream, Option<String>) {
    let origin = Upstream::at_origin(supply);
    if length <= TAILS_M_MAX {
        return (origin, None);
    }
    // Our tables hold both sizes.
    let resistance = |size| standards.conductor_resistance(size).expect("the tables hold 16 and 25 mm2");
    let multiplier = standards
        .temperature_multiplier(ProtectiveConductor::CopperCore, CableType::SingleCore70)
        .expect("the tables hold copper at 70 degC");
    let per_amp = standards.voltage_drop(CableType::SingleCore70, TAILS).expect("the tables hold 25 mm2");
    // An electrode is reached by a conductor of its own.
    let earth = (supply.earthing != SupplyEarthing::Tt).then(|| resistance(EARTH_BESIDE_TAILS));
    let line = resistance(TAILS);
    let of_earth = earth.map_or(Ohms::ZERO, |earth| earth.times(multiplier).over(length));
    let added = line.times(multiplier).over(length) + of_earth;
    // At most what the fuse lets flow: what the house draws at once is not known here.
    let fuse = site.supply.cut_out;
    let drop = per_amp.drop(fuse, length);
    let cold_ohm = line.times(2.0).over(length).value();
    let upstream = Upstream {
        voltage_drop_v: drop.value(),
        zs_ohm: origin.zs_ohm + added.value(),
        // The supply taken as wholly reactive, as in the checks: never too small.
        fault_current_ka: origin.fault_current_ka.map(|start_ka| {
            let volts = site.supply.voltage.value();
            volts / (volts / (start_ka * 1_000.0)).hypot(cold_ohm) / 1_000.0
        }),
        ..origin
    };
    if told == Told::InFigures {
        return (upstream, None);
    }
    let earth = earth.map_or_else(String::new, |earth| format!(" + {} x {multiplier}", earth.value()));
    let words = format!(
        "the tails are in every check: Zs at the board {} + ({} x {multiplier}{earth}) mohm/m x {length:.1} / 1000 = {:.4} \
         ohm; {} mV/A/m x {fuse:.0}, all that the fuse lets flow, x {length:.1} / 1000 = {drop:.2}",
        origin.zs_ohm,
        line.value(),
        upstream.zs_ohm,
        per_amp.value(),
    );
    (upstream, Some(words))
}
