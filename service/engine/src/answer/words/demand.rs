//! What is said of the demand of a house.

use crate::circuits::{ApplyBecause, DesignedDemand, HouseDemand, MeasuredPeak, OperatorNotice, SocketsCounted};
use crate::demand::DemandAnswer;
use crate::faults::Fault;
use crate::quantities::Amps;
use crate::site::Site;
use crate::standards::LoadKind;
use crate::survey::PeakSeason;

/// Why no allowance was made.
pub(crate) fn not_worked(faults: &[Fault]) -> String {
    let faults: Vec<&str> = faults.iter().map(|fault| fault.detail.as_str()).collect();
    format!("No diversity taken. {}", faults.join(". "))
}

/// What is asked of the operator then.
pub(crate) const ASK_A_DESIGNER: &str = "Have a designer work out the demand before you promise anything";

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
            "With a load manager that stops the vehicle while the rest runs, {:.1} A are left (BS 7671 722.311.201, from memory)",
            answer.after_diversity_a - vehicle.after_diversity_a
        ));
    }
    if site.supply.phases > 1 {
        notes.push(
            "The circuits are shared between three phases by load. These are the figures of the phase that carries most"
                .to_owned(),
        );
    }
    notes
}

/// What the designed figure is made of.
pub(crate) fn designed(demand: &HouseDemand) -> Vec<String> {
    let DesignedDemand { current, measured, on_top, held_back } = demand.designed;
    let mut words = Vec::new();
    if let Some(MeasuredPeak { current: peak, season, over_a_year }) = measured {
        let season = season.map_or("at a time nobody wrote down", |season| match season {
            PeakSeason::Winter => "in winter",
            PeakSeason::Summer => "in summer",
            PeakSeason::Year => "over a year",
        });
        words.push(format!(
            "{peak:.1} was measured {season}. We took {over_a_year:.1} for a whole year (common practice, no source)"
        ));
        if on_top > Amps::ZERO {
            words.push(format!("Charge points and heat pumps add {on_top:.1}, which the peak does not show"));
        }
    } else {
        words.push(format!("No peak was measured. We took the published allowance, {:.1}", demand.after_diversity));
    }
    if held_back > Amps::ZERO {
        let fuse = demand.cut_out;
        let bears = if current <= fuse {
            format!("so that the fuse of {fuse:.0} bears the rest")
        } else {
            format!("and what is left is still over the fuse of {fuse:.0}")
        };
        words.push(format!(
            "The load sensor holds the vehicle back by {held_back:.1}, {bears} (BS 7671 722.311.201, from memory). That leaves \
             {current:.1}"
        ));
    }
    words
}

/// Why the operator is told, or asked first.
pub(crate) fn operator(demand: &HouseDemand) -> Vec<String> {
    match demand.operator {
        OperatorNotice::None => Vec::new(),
        OperatorNotice::Notify28Days => {
            vec!["Connect, then tell the operator within 28 days. One form for all, with these figures".to_owned()]
        }
        OperatorNotice::ApplyFirst => {
            let why = demand.apply_because.iter().map(|because| apply_because(*because, demand));
            why.chain(["Apply before you order the equipment. One form for all, with these figures".to_owned()])
                .collect()
        }
    }
}

fn apply_because(because: ApplyBecause, demand: &HouseDemand) -> String {
    match because {
        ApplyBecause::Over60A => format!("{:.1} after diversity is over 60 A (13.8 kVA)", demand.after_diversity),
        ApplyBecause::OverFuse => format!("It is over the main fuse of {:.0}", demand.cut_out),
        ApplyBecause::FuseUnread => "Nobody read the main fuse".to_owned(),
        ApplyBecause::Looped => "The supply is looped".to_owned(),
        ApplyBecause::LargeSource => "Battery or generator is over 16 A on a phase (G99)".to_owned(),
    }
}

fn sockets(sockets: &SocketsCounted) -> String {
    let SocketsCounted { made, counted, floor_of_one_m2 } = sockets;
    let shared = if counted < made {
        format!(
            ". {made} are laid, but more circuits in one area plug in no more. An area counts one circuit for each \
             {floor_of_one_m2} m2 of its floor"
        )
    } else {
        String::new()
    };
    format!(
        "{counted} circuits of sockets count, each at the rating of its device. The largest counts in full, each other at 40 % \
         (On-Site Guide Table A2). The table does not count outlets, so each further 32 A circuit adds 12.8 A{shared}"
    )
}
