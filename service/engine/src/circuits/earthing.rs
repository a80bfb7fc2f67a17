//! Earthing conductor, main and supplementary bonds, electrodes, and where an outbuilding gets its earth.

use super::CircuitPlan;
use crate::checks::{CheckName, CheckedCircuit, Verdict};
use crate::quantities::{Ohms, SquareMillimetres};
use crate::site::{OutbuildingPlan, RoomIndex, Site};
use crate::standards::{EarthingItem, SizedConductor, Standards};
use crate::survey::{ApplianceType, Earthing, PointType, RoomUse};

/// The usual tails of a dwelling on a cut-out up to 100 A. Source: On-Site Guide 2.2.3, seen at engx.theiet.org.
pub const TAILS: SquareMillimetres = SquareMillimetres::new(25.0);
/// The earthing conductor beside such tails. Source: BS 7671 Table 54.7, seen.
pub const EARTH_BESIDE_TAILS: SquareMillimetres = SquareMillimetres::new(16.0);
/// Above this an electrode is not thought stable. Source: BS 7671 Table 41.5, note, from memory.
pub const ELECTRODE_OHM_MAX: Ohms = Ohms::new(200.0);
/// Additional protection. Source: BS 7671 415.1.1, from memory.
const ADDITIONAL_MA: f64 = 30.0;

/// The earthing of the house.
#[derive(Debug, Clone)]
pub struct EarthingPlan {
    /// Line conductor of the tails.
    pub tails: SquareMillimetres,
    /// The conductor from the operator's terminal or the electrode to the main earthing terminal.
    pub earthing_conductor: SizedConductor,
    /// The size of each main bond.
    pub main_bond: SizedConductor,
    /// Rooms with a bath or shower, and whether they want bonds of their own.
    pub supplementary: Vec<SupplementaryPlan>,
    /// Whether the house has its own electrode.
    pub electrode: bool,
}

/// Whether a bathroom wants supplementary bonds.
#[derive(Debug, Clone, PartialEq)]
pub struct SupplementaryPlan {
    /// The room.
    pub room: RoomIndex,
    /// Whether it does.
    pub needed: bool,
    /// The size, where it does.
    pub conductor: SizedConductor,
    /// Why.
    pub because: String,
}

pub(super) fn plan(
    site: &Site,
    circuits: &[CircuitPlan],
    checked: &[Option<CheckedCircuit>],
    standards: &Standards,
) -> EarthingPlan {
    let electrode = site.supply.earthing == Earthing::Tt;
    let by_tails = sized(standards, EarthingItem::ProtectiveConductor, TAILS);
    let earthing_conductor =
        if electrode { sized(standards, EarthingItem::BuriedEarthingConductor, TAILS) } else { by_tails };
    let main_bond = match site.supply.earthing {
        // The neutral of the supply is as large as the tails in a dwelling.
        Earthing::TnCS | Earthing::Unknown => sized(standards, EarthingItem::MainBondPme, TAILS),
        Earthing::TnS | Earthing::Tt => sized(standards, EarthingItem::MainBond, earthing_conductor.size),
    };
    let bond = sized(standards, EarthingItem::SupplementaryBond, TAILS);
    let supplementary = site
        .rooms
        .iter()
        .enumerate()
        .filter(|(_, room)| room.room_use == RoomUse::Bathroom)
        .map(|(index, _)| supplementary(index, circuits, checked, bond.clone()))
        .collect();
    EarthingPlan { tails: TAILS, earthing_conductor, main_bond, supplementary, electrode }
}

/// Our tables hold every conductor of a dwelling; a size is never made up where they should not.
fn sized(standards: &Standards, item: EarthingItem, governing: SquareMillimetres) -> SizedConductor {
    standards.earthing(item, governing).expect("the tables hold 25 mm2 and below")
}

/// They may be left out where every circuit of the room disconnects in time and has 30 mA, and the main bonds are good,
/// which are in the scope of every job. Source: BS 7671 701.415.2, from memory.
fn supplementary(
    room: RoomIndex,
    circuits: &[CircuitPlan],
    checked: &[Option<CheckedCircuit>],
    conductor: SizedConductor,
) -> SupplementaryPlan {
    let serving = circuits.iter().zip(checked).filter(|(circuit, _)| {
        circuit.members.iter().any(|member| member.room == room)
            || (circuit.members.is_empty() && circuit.run.order.contains(&room))
    });
    let in_doubt: Vec<&str> = serving
        .filter(|(circuit, checked)| {
            let disconnects = checked
                .as_ref()
                .and_then(|checked| checked.check(CheckName::Disconnection))
                .is_some_and(|check| check.verdict == Verdict::Pass);
            let additional = circuit.device.residual_ma.is_some_and(|residual| residual <= ADDITIONAL_MA);
            !(disconnects && additional)
        })
        .map(|(circuit, _)| circuit.id.as_str())
        .collect();
    let needed = !in_doubt.is_empty();
    let because = if needed {
        format!(
            "{} in it do not both disconnect in time and have 30 mA: bond all metal that can be touched at once, at most \
             50 V / Ia from one to the other (BS 7671 415.2.2, 701.415.2)",
            in_doubt.join(", ")
        )
    } else {
        "left out: every circuit in it disconnects in time and has 30 mA, and the main bonds are part of the job; the \
         test of continuity to the main terminal shows it (BS 7671 701.415.2, from memory)"
            .to_owned()
    };
    SupplementaryPlan { room, needed, conductor, because }
}

/// Where the board of an outbuilding gets its earth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutbuildingEarth {
    /// Whether it has its own electrode.
    pub electrode: bool,
    /// Why.
    pub because: &'static str,
}

/// The outbuilding whose electrode earths the board of this one: its own, or that of one which feeds it; none where the
/// earth comes from the house.
#[must_use]
pub fn earthed_at(building: usize, site: &Site) -> Option<usize> {
    let on_the_way = std::iter::successors(Some(building), |building| site.outbuildings[*building].via);
    let mut on_the_way = on_the_way.take(site.outbuildings.len());
    on_the_way.find(|building| outbuilding_earth(&site.outbuildings[*building], site).electrode)
}

/// Where the board of an outbuilding gets its earth, by way of another one where that feeds it.
#[must_use]
pub fn board_earth(building: usize, site: &Site) -> OutbuildingEarth {
    let plan = &site.outbuildings[building];
    let own = outbuilding_earth(plan, site);
    if own.electrode || plan.via.is_none() {
        return own;
    }
    let because = if earthed_at(building, site).is_some() {
        "earth along the armour and a core from the outbuilding that feeds it, which has its own electrode: every circuit \
         behind it, the feed with them, disconnects by a residual current device"
    } else {
        "earth from the house along the armour and a core, by way of the outbuilding that feeds it: dry, without metal that \
         comes out of the ground"
    };
    OutbuildingEarth { electrode: false, because }
}

/// Decides by the house's earth and by what in the building touches the ground. Metal that does, water out of doors and
/// a vehicle must not hang on a neutral that may break in the street. Source: BS 7671 411.4.2, 542.1.3.3, 722.411.4.1 and
/// domain practice on outbuildings, from memory; the designer decides.
#[must_use]
pub fn outbuilding_earth(building: &OutbuildingPlan, site: &Site) -> OutbuildingEarth {
    let room = &site.rooms[building.room];
    let holds = |point: PointType, appliance: ApplianceType| {
        room.points.iter().any(|one| one.kind == point) || room.appliances.iter().any(|one| one.kind == appliance)
    };
    let own = |because| OutbuildingEarth { electrode: true, because };
    let shared = |because| OutbuildingEarth { electrode: false, because };
    match site.supply.earthing {
        Earthing::Tt => own("own electrode: the house has no earth from the operator to share"),
        Earthing::TnCS | Earthing::Unknown if building.metal => own(
            "own electrode: metal of the building can be touched or reaches the ground, and the house's earth hangs on the \
             street's neutral; armour of the feed kept insulated at the far gland",
        ),
        Earthing::TnS if building.metal => own(
            "own electrode: metal of the building can be touched or reaches the ground, and would otherwise want a main \
             bond of 10 mm2 back to the house; armour of the feed kept insulated at the far gland",
        ),
        Earthing::TnCS | Earthing::Unknown if holds(PointType::HotTubIsolator, ApplianceType::HotTub) => own(
            "own electrode: people stand wet on the ground beside what is fed, and the house's earth hangs on the street's \
             neutral; armour of the feed kept insulated at the far gland",
        ),
        Earthing::TnCS | Earthing::Unknown if holds(PointType::ChargePoint, ApplianceType::ChargePoint) => own(
            "own electrode: a vehicle is charged there, and the house's earth hangs on the street's neutral; equipment \
             that opens all poles on a broken neutral is the other way; armour of the feed kept insulated at the far gland",
        ),
        Earthing::TnCS | Earthing::Unknown => shared(
            "earth from the house along the armour and a core: dry, without metal that comes out of the ground, so no \
             main bond is wanted in it; a metal water or gas pipe found there changes that: 10 mm2 or an own electrode",
        ),
        Earthing::TnS => shared(
            "earth from the house along the armour and a core: the operator's earth is a conductor of its own, and no \
             metal of the building comes out of the ground",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::survey::{EstimateRequest, Survey};

    fn site(survey: serde_json::Value) -> Site {
        let survey: Survey = serde_json::from_value(survey).expect("a survey");
        let request = EstimateRequest { survey, rate_sheet: None, method: None, terms: None };
        Site::from_survey(&request.survey, &Catalogue::built_in()).0
    }

    fn decided(earthing: &str, building: serde_json::Value) -> OutbuildingEarth {
        let mut building = building;
        building["id"] = "shed".into();
        let site = site(serde_json::json!({
            "rooms": [{ "id": "hall", "points": [{ "type": "pendant" }] }], "outbuildings": [building],
            "supply": { "earthing": earthing }
        }));
        outbuilding_earth(&site.outbuildings[0], &site)
    }

    #[test]
    fn a_metal_shed_never_hangs_on_the_streets_neutral() {
        // Source: BS 7671 411.4.2 and domain practice on outbuildings, from memory.
        assert!(decided("tn-c-s", serde_json::json!({ "construction": "metal" })).electrode);
        assert!(decided("unknown", serde_json::json!({ "construction": "metal" })).electrode);
        assert!(!decided("tn-c-s", serde_json::json!({ "construction": "timber" })).electrode);
    }

    #[test]
    fn a_hot_tub_or_a_vehicle_in_an_outbuilding_has_its_own_electrode_on_tn_c_s() {
        // Source: BS 7671 722.411.4.1 and section 740 practice, from memory.
        let tub = serde_json::json!({ "construction": "timber", "points": [{ "type": "hot-tub-isolator" }] });
        let vehicle = serde_json::json!({ "construction": "masonry", "appliances": [{ "type": "charge-point" }] });
        assert!(decided("tn-c-s", tub.clone()).electrode);
        assert!(decided("tn-c-s", vehicle).electrode);
        assert!(!decided("tn-s", tub).electrode);
    }

    #[test]
    fn a_house_on_its_own_electrode_has_none_to_share() {
        assert!(decided("tt", serde_json::json!({ "construction": "timber" })).electrode);
    }
}
