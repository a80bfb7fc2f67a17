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
        notes.push(
            "the circuits are shared out over three phases by load, and each phase is worked; these are the figures of the one \
             that carries most"
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
        let season = season.map_or("at a time that nobody wrote down", |season| match season {
            PeakSeason::Winter => "in winter",
            PeakSeason::Summer => "in summer",
            PeakSeason::Year => "over a year",
        });
        words.push(format!(
            "{peak:.1} measured {season}, taken as {over_a_year:.1} over a year (common practice, no source)"
        ));
        if on_top > Amps::ZERO {
            words.push(format!("{on_top:.1} of charge points and heat pumps on top, which the peak does not show"));
        }
    } else {
        words.push(format!("the published allowance, {:.1}: no peak was measured", demand.after_diversity));
    }
    if held_back > Amps::ZERO {
        words.push(format!(
            "the load sensor holds the vehicle back by {held_back:.1}, so that the fuse of {:.0} bears the rest \
             (BS 7671 722.311.201, from memory): {current:.1}",
            demand.cut_out
        ));
    }
    words
}

/// Why the operator is told, or asked first.
pub(crate) fn operator(demand: &HouseDemand) -> Vec<String> {
    match demand.operator {
        OperatorNotice::None => Vec::new(),
        OperatorNotice::Notify28Days => {
            vec!["Connect, then notify the operator within 28 days: one form for all, with these figures".to_owned()]
        }
        OperatorNotice::ApplyFirst => {
            let why = demand.apply_because.iter().map(|because| apply_because(*because, demand));
            why.chain(["apply before the equipment is ordered: one form for all, with these figures".to_owned()])
                .collect()
        }
    }
}

fn apply_because(because: ApplyBecause, demand: &HouseDemand) -> String {
    match because {
        ApplyBecause::Over60A => format!("{:.1} after diversity is over 60 A (13.8 kVA)", demand.after_diversity),
        ApplyBecause::OverFuse => format!("it is over the fuse of {:.0}", demand.cut_out),
        ApplyBecause::FuseUnread => "the fuse was not read".to_owned(),
        ApplyBecause::Looped => "the supply is looped".to_owned(),
        ApplyBecause::LargeSource => "storage or generation is over 16 A on a phase (G99)".to_owned(),
    }
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
