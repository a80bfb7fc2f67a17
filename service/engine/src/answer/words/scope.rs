//! What stays, what is put right, and who has to be told.

use crate::circuits::NoticeBecause;
use crate::survey::Scope;
use crate::take_off::{ItemKind, Job};

/// Why building control has to be told, or not.
pub(crate) const fn notice(because: NoticeBecause) -> &'static str {
    match because {
        NoticeBecause::NewCircuit => "A new circuit is notifiable (Building Regulations, from memory).",
        NoticeBecause::BoardChanged => "A new board is notifiable (Building Regulations, from memory).",
        NoticeBecause::Bathroom => {
            "Work in a bathroom is notifiable near the bath or shower. Measure 0.6 m from its edge (Building Regulations, from \
             memory)."
        }
        NoticeBecause::Kitchen => "In Wales work in a kitchen is notifiable (Building Regulations, from memory).",
        NoticeBecause::Outdoors => "In Wales outdoor work is notifiable (Building Regulations, from memory).",
        NoticeBecause::ScottishFlat => "In Scotland a flat needs a building warrant (seen second-hand).",
        NoticeBecause::ScottishTallHouse => {
            "In Scotland a house of more than two storeys needs a building warrant (seen second-hand)."
        }
        NoticeBecause::ScottishHouse => {
            "In Scotland a house of up to two storeys needs no warrant, unless a wall to a neighbour is cut (seen second-hand)."
        }
        NoticeBecause::NorthernIreland => "Northern Ireland asks for no notice (from memory).",
        NoticeBecause::ExtensionOnly => {
            "No circuit is new, the board stays, and no work is near a bath or shower (Building Regulations, from memory)."
        }
    }
}

/// What is there and stays.
pub(crate) fn stays(job: Job<'_>) -> Vec<String> {
    let scope = job.site.scope;
    let mut stays: Vec<String> = Vec::new();
    if scope.board_stays() {
        stays.extend(["Consumer unit", "Meter tails", "Earthing"].map(str::to_owned));
    }
    if !scope.rewires() {
        let sound = job.site.services.iter().filter(|service| service.metal && service.taken_sound).count();
        if sound > 0 {
            stays.push("Main bonds".to_owned());
        }
    }
    let kept = job.installation.circuits.iter().filter(|circuit| circuit.fixed.kept.is_some());
    stays.extend(kept.map(|circuit| circuit.name.clone()));
    if scope.kind != Scope::Rewire && scope.board_stays() {
        stays.push("All other wiring".to_owned());
    }
    stays
}

/// What is put right, and why; nothing for an item that puts nothing right.
pub(crate) fn made_good(what: ItemKind) -> Option<(String, &'static str)> {
    Some(match what {
        ItemKind::Bond(service) => (
            format!("Main bond to {}", service.word().replace('-', " ")),
            "The bond is missing or too small. New work depends on it, so it comes first (BS 7671 132.16, from memory).",
        ),
        ItemKind::ResidualProtection => (
            "30 mA RCD for the circuit that is extended".to_owned(),
            "New sockets and buried cables need 30 mA, and the circuit has none (BS 7671 411.3.3 and 522.6.202, from \
             memory).",
        ),
        ItemKind::SmallBoard => (
            "Small board beside the one that stays".to_owned(),
            "The board has no free way for the new circuit (BS 7671 536.4.203, seen).",
        ),
        _ => return None,
    })
}
