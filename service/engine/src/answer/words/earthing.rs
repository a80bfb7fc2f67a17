//! Where earths come from, and which bonds are wanted.

use crate::circuits::earthing::{ELECTRODE_OHM_MAX, OutbuildingEarth, SupplementaryPlan};
use crate::circuits::{CircuitPlan, Installation, SURGE_REACH, SubBoardPlan, needs_bond};
use crate::quantities::SquareMillimetres;
use crate::site::{ServicePlan, Site};
use crate::standards::{NotInTable, SizedConductor};

/// Whether a bathroom wants bonds of its own, and why.
pub(crate) fn supplementary(plan: &SupplementaryPlan, installation: &Installation) -> String {
    if !plan.needed() {
        return "left out: every circuit in it disconnects in time and has 30 mA, and the main bonds are part of the job; \
                the test of continuity to the main terminal shows it (BS 7671 701.415.2, from memory)"
            .to_owned();
    }
    let in_doubt: Vec<&str> = plan.in_doubt.iter().map(|circuit| installation.circuits[*circuit].id.as_str()).collect();
    format!(
        "{} in it do not both disconnect in time and have 30 mA: bond all metal that can be touched at once, at most \
         50 V / Ia from one to the other (BS 7671 415.2.2, 701.415.2)",
        in_doubt.join(", ")
    )
}

/// Where the board of an outbuilding gets its earth, and why from there.
pub(crate) const fn outbuilding(earth: OutbuildingEarth) -> &'static str {
    match earth {
        OutbuildingEarth::OwnWithoutOperators => "own electrode: the house has no earth from the operator to share",
        OutbuildingEarth::OwnForMetalOnNeutral => {
            "own electrode: metal of the building can be touched or reaches the ground, and the house's earth hangs on the \
             street's neutral; armour of the feed kept insulated at the far gland"
        }
        OutbuildingEarth::OwnForMetal => {
            "own electrode: metal of the building can be touched or reaches the ground, and would otherwise want a main \
             bond of 10 mm2 back to the house; armour of the feed kept insulated at the far gland"
        }
        OutbuildingEarth::OwnForWetGround => {
            "own electrode: people stand wet on the ground beside what is fed, and the house's earth hangs on the street's \
             neutral; armour of the feed kept insulated at the far gland"
        }
        OutbuildingEarth::OwnForVehicle => {
            "own electrode: a vehicle is charged there, and the house's earth hangs on the street's neutral; equipment \
             that opens all poles on a broken neutral is the other way; armour of the feed kept insulated at the far gland"
        }
        OutbuildingEarth::HouseOnNeutral => {
            "earth from the house along the armour and a core: dry, without metal that comes out of the ground, so no \
             main bond is wanted in it; a metal water or gas pipe found there changes that: 10 mm2 or an own electrode"
        }
        OutbuildingEarth::HouseOnConductor => {
            "earth from the house along the armour and a core: the operator's earth is a conductor of its own, and no \
             metal of the building comes out of the ground"
        }
        OutbuildingEarth::HouseByOther => {
            "earth from the house along the armour and a core, by way of the outbuilding that feeds it: dry, without metal that \
             comes out of the ground"
        }
        OutbuildingEarth::ElectrodeOfOther => {
            "earth along the armour and a core from the outbuilding that feeds it, which has its own electrode: every circuit \
             behind it, the feed with them, disconnects by a residual current device"
        }
    }
}

/// What is said where the owner has declined surge protection.
pub(crate) const SURGE_DECLINED: &str = "none: the owner has declined it in writing (BS 7671 443.4.1, from memory)";

/// What the board of an outbuilding stands in.
pub(crate) const ENCLOSURE_OUTSIDE: &str = "non-combustible: asked for in a garage that is part of the house or built against it (BS 7671 421.1.201, from memory); in \
     a detached building that is disputed, and it is priced so";

/// Why the board of an outbuilding has a surge device of its own, or none.
pub(crate) fn surge_at(plan: &SubBoardPlan, site: &Site) -> String {
    if site.surge_declined {
        return SURGE_DECLINED.to_owned();
    }
    let metres = plan.cable.value();
    if plan.surge_device {
        format!(
            "its own: {metres:.1} m of cable from that of the house, over {SURGE_REACH:.0} (BS 7671 534.4.9, from memory)"
        )
    } else {
        format!("that of the house, within {SURGE_REACH:.0} of cable: {metres:.1} m (BS 7671 534.4.9, from memory)")
    }
}

/// How the feed of an outbuilding is made off, and what protects it.
pub(crate) fn feed_entry(plan: &SubBoardPlan, feed: &CircuitPlan) -> String {
    let upstream = match feed.device.residual_ma {
        Some(residual_ma) => format!("{residual_ma:.0} mA, time-delayed, before the feed"),
        None => "no residual current device before the feed".to_owned(),
    };
    if plan.earth.has_electrode() {
        format!(
            "armour earthed at the end that feeds it and insulated at the far gland; conductors doubly insulated up to the \
             residual current devices of the board; 30 mA there, {upstream}, never 30 mA (from memory)"
        )
    } else {
        format!("armour earthed at both ends; 30 mA at its board, {upstream} (from memory)")
    }
}

/// Why an electrode is held to its limit, and what its conductor is sized by.
pub(crate) fn electrode(conductor: Result<SizedConductor, NotInTable>) -> String {
    format!(
        "50 V / 30 mA allows 1667 ohm, but more than {ELECTRODE_OHM_MAX:.0} is not thought stable (BS 7671 411.5.3, Table \
         41.5, from memory); conductor by {}",
        conductor.map_or_else(|missing| missing.to_string(), |sized| sized.source)
    )
}

/// Why a service is bonded, or not.
pub(crate) fn main_bond(service: &ServicePlan, source: &str, size: SquareMillimetres) -> String {
    if !service.metal {
        "left out: it comes in as plastic, and brings no earth into the house".to_owned()
    } else if service.taken_sound {
        "it stays and was not looked at: taken as sound, and looked at before work starts".to_owned()
    } else if needs_bond(service) {
        format!("{size} by {source}, within 0.6 m of where it comes in, before any branch (BS 7671 544.1.2)")
    } else {
        format!("the conductor that is there is large enough: {size} by {source}")
    }
}
