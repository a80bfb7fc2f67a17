//! What long tails take from every circuit behind them: they are a feed of their own, from a switched fuse at the meter to
//! the house's board. Short ones are left out of account, as everybody does (common practice, no source).

use super::earthing::{EARTH_BESIDE_TAILS, TAILS};
use crate::catalogue::CableClass;
use crate::checks::{CircuitSupply, UpstreamOfCircuit};
use crate::quantities::{Amps, Metres, Ohms, Volts};
use crate::routes::Routing;
use crate::site::{Location, Site};
use crate::standards::{
    CableType, MilliohmsPerMetre, MillivoltsPerAmpMetre, ProtectiveConductor, Standards, SupplyEarthing,
};
use crate::survey::Medium;

/// Tails longer than this along their route want a switched fuse at the meter. Source: the operator's policy,
/// usually 3 m, some 2 m; not BS 7671.
pub const TAILS_M_MAX: Metres = Metres::new(3.0);
/// What the circuits of the house's board find there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtBoard {
    /// Impedance, fault current, and what was dropped on the way.
    pub upstream: UpstreamOfCircuit,
    /// How that comes about, where the tails are long.
    pub tails: Option<TailsDrop>,
}

/// What long tails add to the loop, and what they drop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TailsDrop {
    /// The loop at the intake.
    pub origin_zs_ohm: f64,
    /// The line conductor, cold.
    pub line: MilliohmsPerMetre,
    /// The earthing conductor beside it, cold; none where an electrode is reached by a conductor of its own.
    pub earth: Option<MilliohmsPerMetre>,
    /// From cold to working temperature.
    pub multiplier: f64,
    /// Drop along the tails.
    pub per_amp: MillivoltsPerAmpMetre,
    /// All that the fuse lets flow.
    pub fuse: Amps,
    /// What is dropped by that.
    pub drop: Volts,
}

/// The way of the tails.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TailsRun {
    /// Its length.
    pub length: Metres,
    /// So much of it would lie in walls.
    pub in_walls: Metres,
}

/// Intake to board along the route, up or down the wall at both ends.
pub(super) fn run(ways: &Routing<'_>) -> TailsRun {
    /// Where board and meter share a wall. Common practice, no source.
    const SIDE_BY_SIDE_M: f64 = 1.5;
    /// Up from the meter and down to the board. Common practice, no source.
    const ENDS_M: f64 = 2.0;
    let site = ways.site();
    let place = |spot: Location| (spot.room, spot.level, spot.at);
    let in_sight = |length| TailsRun { length, in_walls: Metres::ZERO };
    if place(site.board) == place(site.intake) {
        return in_sight(Metres::new(SIDE_BY_SIDE_M));
    }
    // In one room they go along the wall and into no void.
    if site.intake.room == site.board.room {
        return in_sight(ways.between_spots(site.intake, site.board) + Metres::new(ENDS_M));
    }
    let by_the_map = ways.between_on_the_map(site.intake, site.board, site.board.centre(), CableClass::Heaviest);
    match by_the_map {
        Some(run) => {
            let in_a_wall = |medium| matches!(medium, Medium::WallChase | Medium::StudCavity | Medium::DryLiningGap);
            let hidden = run.segments.iter().filter(|segment| in_a_wall(segment.medium));
            TailsRun { length: run.metres, in_walls: hidden.map(|segment| segment.metres).sum() }
        }
        None => {
            let ends = Metres::new(ENDS_M);
            TailsRun { length: ways.between_spots(site.intake, site.board) + ends, in_walls: ends }
        }
    }
}

pub(super) fn at_board(length: Metres, supply: &CircuitSupply, site: &Site, standards: &Standards) -> AtBoard {
    let origin = UpstreamOfCircuit::at_origin(supply);
    if length <= TAILS_M_MAX {
        return AtBoard { upstream: origin, tails: None };
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
    let upstream = UpstreamOfCircuit {
        voltage_drop_v: drop.value(),
        zs_ohm: origin.zs_ohm + added.value(),
        // The supply taken as wholly reactive, as in the checks: never too small.
        fault_current_ka: origin.fault_current_ka.map(|start_ka| {
            let volts = site.supply.voltage.value();
            volts / (volts / (start_ka * 1_000.0)).hypot(cold_ohm) / 1_000.0
        }),
        ..origin
    };
    let tails = TailsDrop { origin_zs_ohm: origin.zs_ohm, line, earth, multiplier, per_amp, fuse, drop };
    AtBoard { upstream, tails: Some(tails) }
}
