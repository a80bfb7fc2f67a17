//! The four ways in which the published table allows for diversity.

use super::answer::{KindDemand, amps_shown};
use crate::quantities::Amps;
use crate::standards::{AllowanceRule, DiversityAllowance, LoadKind};

/// One load, or several alike, as a current of each.
#[derive(Debug, Clone, Copy)]
pub(super) struct CountedLoad {
    pub kind: LoadKind,
    pub each: Amps,
    pub count: u32,
    pub socket: bool,
}

impl CountedLoad {
    fn together(&self) -> f64 {
        self.each.value() * f64::from(self.count)
    }
}

/// Loads alike, of which some are taken at one fraction and the others at another.
struct Share {
    each_a: f64,
    count: u32,
    fraction: f64,
}

/// What one kind of load counts.
pub(super) fn counted(allowance: &DiversityAllowance, loads: &[CountedLoad]) -> KindDemand {
    let own: Vec<&CountedLoad> = loads.iter().filter(|load| load.kind == allowance.kind).collect();
    let connected_a = own.iter().map(|load| load.together()).sum();
    let (after_a, working) = match allowance.rule {
        AllowanceRule::All => {
            let fraction = allowance.first();
            (connected_a * fraction, format!("{} A x {fraction}", amps_shown(connected_a)))
        }
        AllowanceRule::AboveThreshold => above_threshold(allowance, connected_a, &own),
        AllowanceRule::Largest => shares(&largest_first(allowance, &own, 1)),
        AllowanceRule::TwoLargest => {
            // Showers and other instantaneous heaters are one row of the table: the two largest are those of both.
            let row: Vec<&CountedLoad> = loads.iter().filter(|load| is_instantaneous(load.kind)).collect();
            let taken = largest_first(allowance, &row, 2);
            shares(&taken.into_iter().filter(|(kind, _)| *kind == allowance.kind).collect::<Vec<_>>())
        }
    };
    let after_a = amps_shown(after_a);
    KindDemand {
        kind: allowance.kind,
        connected_a: amps_shown(connected_a),
        after_diversity_a: after_a,
        rule: format!("{} ({})", allowance.text, allowance.source),
        working: format!("{working} = {after_a} A"),
    }
}

const fn is_instantaneous(kind: LoadKind) -> bool {
    matches!(kind, LoadKind::Shower | LoadKind::InstantaneousWaterHeater)
}

fn above_threshold(allowance: &DiversityAllowance, connected_a: f64, own: &[&CountedLoad]) -> (f64, String) {
    let below = connected_a.min(allowance.threshold().value());
    let above = connected_a - below;
    let sockets: u32 = own.iter().filter(|load| load.socket).map(|load| load.count).sum();
    let socket = allowance.socket().value();
    let after = below * allowance.first() + above * allowance.rest() + f64::from(sockets) * socket;
    let mut working =
        format!("{} A x {} + {} A x {}", amps_shown(below), allowance.first(), amps_shown(above), allowance.rest());
    if sockets > 0 {
        working.push_str(&format!(" + {sockets} x {socket} A"));
    }
    (after, working)
}

/// The loads from the largest down, the first few at the first fraction and the others at the second. Of equals the one
/// that was given first counts as the larger.
fn largest_first(allowance: &DiversityAllowance, loads: &[&CountedLoad], few: u32) -> Vec<(LoadKind, Share)> {
    let mut sorted: Vec<&CountedLoad> = loads.to_vec();
    sorted.sort_by(|a, b| b.each.value().total_cmp(&a.each.value()));
    let mut left = few;
    let mut taken = Vec::new();
    for load in sorted {
        let first = load.count.min(left);
        left -= first;
        let each_a = load.each.value();
        for (count, fraction) in [(first, allowance.first()), (load.count - first, allowance.rest())] {
            if count > 0 {
                taken.push((load.kind, Share { each_a, count, fraction }));
            }
        }
    }
    taken
}

fn shares(taken: &[(LoadKind, Share)]) -> (f64, String) {
    let sum = taken.iter().map(|(_, share)| share.each_a * f64::from(share.count) * share.fraction).sum();
    let parts: Vec<String> = taken
        .iter()
        .map(|(_, Share { each_a, count, fraction })| format!("{count} x {} A x {fraction}", amps_shown(*each_a)))
        .collect();
    (sum, parts.join(" + "))
}
