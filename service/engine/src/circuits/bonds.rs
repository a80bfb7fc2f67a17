//! Main bonds: which services get a new one, and which way it goes from the earth bar at the board.

use crate::catalogue::CableClass;
use crate::quantities::Metres;
use crate::routes::{BENDS, Routing, Run};
use crate::site::ServicePlan;
use crate::survey::ServiceType;

/// A bonding conductor that is there now and is at least this large is kept. Source: BS 7671 Table 54.8 for a supply
/// neutral up to 35 mm2, seen.
const MAIN_BOND_MM2: f64 = 10.0;
/// A clamp sits this high on the pipe. Common practice, no source.
const CLAMP: Metres = Metres::new(0.3);

/// The bond of a service.
#[derive(Debug, Clone)]
pub struct BondRun {
    /// The service, by its place in the list of them.
    pub service: usize,
    /// Which kind it is.
    pub kind: ServiceType,
    /// Its way; absent where nothing was drawn or the place of the pipe is not known.
    pub run: Option<Run>,
    /// Its length.
    pub metres: f64,
}

impl BondRun {
    /// Its way with its reasons, for the routes.
    pub(crate) fn explained(&self, ways: &Routing<'_>) -> Option<Run> {
        let spot = ways.site().services[self.service].spot?;
        ways.between_explained(ways.site().board, spot, CLAMP, CableClass::Bond)
    }
}

/// Whether a service gets a new bond.
pub(crate) fn needs_bond(service: &ServicePlan) -> bool {
    service.metal && !service.taken_sound && service.bonded_mm2 < MAIN_BOND_MM2
}

/// The bonds that are wanted, in the order of the services.
pub(super) fn bonds(ways: &Routing<'_>) -> Vec<BondRun> {
    let services = ways.site().services.iter().enumerate();
    let wanted = services.filter(|(_, service)| needs_bond(service));
    wanted
        .map(|(index, service)| {
            let board = ways.site().board;
            let run = service.spot.and_then(|spot| ways.between_on_the_map(board, spot, CLAMP, CableClass::Bond));
            let metres = metres(ways, service, run.as_ref());
            BondRun { service: index, kind: service.kind, run, metres }
        })
        .collect()
}

/// Metres of a bond along its way; where that is not known, by the model of lengths.
fn metres(ways: &Routing<'_>, service: &ServicePlan, run: Option<&Run>) -> f64 {
    /// Down to the pipe and up to the board. Common practice, no source.
    const ENDS_M: f64 = 2.0;
    if let Some(run) = run {
        return run.metres.value();
    }
    let board = ways.site().board;
    let plan = match service.spot {
        Some(spot) => ways.between_spots(board, spot),
        None => ways.to_far_side(board),
    };
    plan.value() * BENDS + ENDS_M
}
