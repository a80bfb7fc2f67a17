//! What is said of the demand of a house.

use crate::circuits::{HouseDemand, SocketsCounted};
use crate::demand::DemandAnswer;
use crate::faults::Fault;
use crate::site::Site;
use crate::standards::LoadKind;

/// Why no allowance was made.
pub(crate) fn not_worked(faults: &[Fault]) -> String {
    let faults: Vec<&str> = faults.iter().map(|fault| fault.detail.as_str()).collect();
    format!("no diversity taken: {}", faults.join("; "))
}

/// What is asked of the operator then.
pub(crate) const ASK_A_DESIGNER: &str = "have the demand worked out by a designer before anything is promised";

/// What a demand hangs on: how many circuits of sockets the published table is asked for; and what may be switched by a
/// load manager need not be counted together.
pub(crate) fn notes(demand: &HouseDemand, answer: &DemandAnswer, site: &Site) -> Vec<String> {
    let mut notes = Vec::new();
    if demand.sockets.counted > 1 {
        notes.push(sockets(&demand.sockets));
    }
    let vehicle = answer.by_kind.iter().find(|kind| kind.kind == LoadKind::EvCharger);
    if let Some(vehicle) = vehicle {
        notes.push(format!(
            "a load manager that stops the vehicle while the rest runs leaves {:.1} A (BS 7671 722.311.201, from memory)",
            answer.after_diversity_a - vehicle.after_diversity_a
        ));
    }
    if site.supply.phases > 1 {
        notes.push("worked for one phase; over three phases a designer divides the circuits and works each".to_owned());
    }
    notes
}

fn sockets(sockets: &SocketsCounted) -> String {
    let SocketsCounted { made, counted, floor_of_one_m2 } = sockets;
    let shared = if counted < made {
        format!(
            "; {made} are made, but how the outlets of one area are divided among circuits plugs nothing more in: an area \
             counts for the circuits that its floor asks for, one for each {floor_of_one_m2} m2"
        )
    } else {
        String::new()
    };
    format!(
        "{counted} circuits of sockets count, the largest in full and 40 % of each other, as On-Site Guide Table A2 has it, \
         each at the rating of its device; the table knows no outlets, so each further circuit of 32 A adds 12.8 A{shared}"
    )
}
