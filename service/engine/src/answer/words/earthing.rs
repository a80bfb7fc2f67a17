//! Where earths come from, and which bonds are wanted.

use crate::circuits::earthing::{ELECTRODE_OHM_MAX, OutbuildingEarth, SupplementaryPlan};
use crate::circuits::{CircuitPlan, Installation, SURGE_REACH, SubBoardPlan, needs_bond};
use crate::quantities::SquareMillimetres;
use crate::site::{ServicePlan, Site};
use crate::standards::{NotInTable, SizedConductor};

/// Whether a bathroom wants bonds of its own, and why.
pub(crate) fn supplementary(plan: &SupplementaryPlan, installation: &Installation) -> String {
    if !plan.needed() {
        return "Left out. Every circuit in it disconnects in time and has 30 mA, and the main bonds are part of the job. A continuity \
                test to the main terminal proves it (BS 7671 701.415.2, from memory)"
            .to_owned();
    }
    let in_doubt: Vec<&str> = plan.in_doubt.iter().map(|circuit| installation.circuits[*circuit].id.as_str()).collect();
    format!(
        "These circuits do not both disconnect in time and have 30 mA: {}. Bond all metal that can be touched at once, with at \
         most 50 V / Ia from one to the other (BS 7671 415.2.2, 701.415.2)",
        in_doubt.join(", ")
    )
}

/// Where the board of an outbuilding gets its earth, and why from there.
pub(crate) const fn outbuilding(earth: OutbuildingEarth) -> &'static str {
    match earth {
        OutbuildingEarth::OwnWithoutOperators => {
            "Its own earth rod, as the house has no earth from the operator to share"
        }
        OutbuildingEarth::OwnForMetalOnNeutral => {
            "Its own earth rod. Metal of the building can be touched or reaches the ground, and the house's earth is the street's \
             neutral (PME). Keep the armour of the feed insulated at the far gland"
        }
        OutbuildingEarth::OwnForMetal => {
            "Its own earth rod. Metal of the building can be touched or reaches the ground. Else it would need a main bond of \
             10 mm2 back to the house. Keep the armour of the feed insulated at the far gland"
        }
        OutbuildingEarth::OwnForWetGround => {
            "Its own earth rod. People stand wet on the ground there, and the house's earth is the street's neutral (PME). Keep \
             the armour of the feed insulated at the far gland"
        }
        OutbuildingEarth::OwnForVehicle => {
            "Its own earth rod. A vehicle is charged there, and the house's earth is the street's neutral (PME). A charge point \
             that opens all poles on a broken neutral is the other way. Keep the armour of the feed insulated at the far gland"
        }
        OutbuildingEarth::HouseOnNeutral => {
            "Earth from the house, along the armour and a core. The building is dry and has no metal out of the ground, so it \
             needs no main bond. A metal water or gas pipe there changes that: fit a 10 mm2 bond or an earth rod"
        }
        OutbuildingEarth::HouseOnConductor => {
            "Earth from the house, along the armour and a core. The operator's earth is a conductor of its own (TN-S), and no metal \
             of the building comes out of the ground"
        }
        OutbuildingEarth::HouseByOther => {
            "Earth from the house, along the armour and a core, by way of the outbuilding that feeds it. The building is dry and \
             has no metal out of the ground"
        }
        OutbuildingEarth::ElectrodeOfOther => {
            "Earth from the outbuilding that feeds it, along the armour and a core. That one has its own electrode (earth rod). \
             So RCDs disconnect the feed and every circuit behind it"
        }
    }
}

/// The earthing conductor of an installation whose board stays.
pub(crate) const CONDUCTOR_STAYS: &str = "It stays. This is the size of a new one, so look at the one that is there";

/// What is said where the owner has declined surge protection.
pub(crate) const SURGE_DECLINED: &str = "None. The owner has declined it in writing (BS 7671 443.4.1, from memory)";

/// What the board of an outbuilding stands in.
pub(crate) const ENCLOSURE_OUTSIDE: &str = "Metal, which does not burn. A garage in or against the house must have it (BS 7671 421.1.201, from memory). For a \
     detached building that is disputed, and we priced it";

/// Why the board of an outbuilding has a surge device of its own, or none.
pub(crate) fn surge_at(plan: &SubBoardPlan, site: &Site) -> String {
    if site.surge_declined {
        return SURGE_DECLINED.to_owned();
    }
    let metres = plan.cable.value();
    if plan.surge_device {
        format!(
            "Its own SPD. It is {metres:.1} m of cable from that of the house, over {SURGE_REACH:.0} (BS 7671 534.4.9, from memory)"
        )
    } else {
        format!(
            "The SPD of the house will do. It is {metres:.1} m of cable away, within {SURGE_REACH:.0} (BS 7671 534.4.9, from memory)"
        )
    }
}

/// How the feed of an outbuilding is made off, and what protects it.
pub(crate) fn feed_entry(plan: &SubBoardPlan, feed: &CircuitPlan) -> String {
    let upstream = match feed.device.residual_ma {
        Some(residual_ma) => format!("A {residual_ma:.0} mA time-delayed RCD at the house end"),
        None => "No RCD at the house end".to_owned(),
    };
    if plan.earth.has_electrode() {
        format!(
            "Earth the armour at the end that feeds it and insulate it at the far gland. Keep the cores doubly insulated up to the \
             RCDs of the board. 30 mA there. {upstream}, never one of 30 mA (from memory)"
        )
    } else {
        format!("Earth the armour at both ends. 30 mA at its board. {upstream} (from memory)")
    }
}

/// Why an electrode is held to its limit, and what its conductor is sized by.
pub(crate) fn electrode(conductor: Result<SizedConductor, NotInTable>) -> String {
    format!(
        "50 V / 30 mA allows 1667 ohm, but more than {ELECTRODE_OHM_MAX:.0} is not thought stable (BS 7671 411.5.3, Table 41.5, \
         from memory). Conductor by {}",
        conductor.map_or_else(|missing| missing.to_string(), |sized| sized.source)
    )
}

/// Why a service is bonded, or not.
pub(crate) fn main_bond(service: &ServicePlan, source: &str, size: SquareMillimetres) -> String {
    if !service.metal {
        "Left out. It comes in as plastic and brings no earth into the house".to_owned()
    } else if service.taken_sound {
        "It stays, and nobody has looked at it. We took it as sound. Check it before work starts".to_owned()
    } else if needs_bond(service) {
        format!(
            "{size} ({source}). Fit it within 0.6 m of where the pipe comes in, before any branch (BS 7671 544.1.2)"
        )
    } else {
        format!("The bond that is there is large enough. It needs {size} ({source})")
    }
}
