//! Earthing conductor, main and supplementary bonds, electrodes, and where an outbuilding gets its earth.

use super::{CircuitIndex, Installation};
use crate::checks::{CheckName, Verdict};
use crate::quantities::{Ohms, SquareMillimetres};
use crate::site::{OutbuildingPlan, RoomIndex, Site};
use crate::standards::{EarthingItem, SizedConductor, Standards};
use crate::survey::{ApplianceType, Earthing, PointType, RoomUse};

/// The usual tails of a dwelling on a cut-out up to 100 A. Source: On-Site Guide 2.2.3, seen.
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
    /// Whether the house has its own electrode.
    pub electrode: bool,
}

/// Whether a bathroom wants supplementary bonds.
#[derive(Debug, Clone, PartialEq)]
pub struct SupplementaryPlan {
    /// The room.
    pub room: RoomIndex,
    /// Circuits of the room that do not both disconnect in time and have 30 mA: bonds are wanted where there are any.
    pub in_doubt: Vec<CircuitIndex>,
    /// The size of the bonds.
    pub conductor: SizedConductor,
}

impl SupplementaryPlan {
    /// Whether they are wanted.
    #[must_use]
    pub const fn needed(&self) -> bool {
        !self.in_doubt.is_empty()
    }
}

pub(super) fn plan(site: &Site, standards: &Standards) -> EarthingPlan {
    let electrode = site.supply.earthing == Earthing::Tt;
    let by_tails = sized(standards, EarthingItem::ProtectiveConductor, TAILS);
    let earthing_conductor =
        if electrode { sized(standards, EarthingItem::BuriedEarthingConductor, TAILS) } else { by_tails };
    let main_bond = match site.supply.earthing {
        // The neutral of the supply is as large as the tails in a dwelling.
        Earthing::TnCS | Earthing::Unknown => sized(standards, EarthingItem::MainBondPme, TAILS),
        Earthing::TnS | Earthing::Tt => sized(standards, EarthingItem::MainBond, earthing_conductor.size),
    };
    EarthingPlan { tails: TAILS, earthing_conductor, main_bond, electrode }
}

/// Our tables hold every conductor of a dwelling; a size is never made up where they should not.
fn sized(standards: &Standards, item: EarthingItem, governing: SquareMillimetres) -> SizedConductor {
    standards.earthing(item, governing).expect("the tables hold 25 mm2 and below")
}

/// They may be left out where every circuit of the room disconnects in time and has 30 mA, and the main bonds are good,
/// which are in the scope of every job. Source: BS 7671 701.415.2, from memory.
pub(super) fn supplementary_bonds(
    site: &Site,
    installation: &Installation,
    standards: &Standards,
) -> Vec<SupplementaryPlan> {
    let conductor = sized(standards, EarthingItem::SupplementaryBond, TAILS);
    let bathrooms = site.rooms.iter().enumerate().filter(|(_, room)| room.room_use == RoomUse::Bathroom);
    bathrooms
        .map(|(room, _)| SupplementaryPlan {
            room,
            in_doubt: in_doubt(room, installation),
            conductor: conductor.clone(),
        })
        .collect()
}

fn in_doubt(room: RoomIndex, installation: &Installation) -> Vec<CircuitIndex> {
    let circuits = installation.circuits.iter().zip(&installation.checked).enumerate();
    let serving = circuits.filter(|(_, (circuit, _))| {
        circuit.members.iter().any(|member| member.room == room)
            || (circuit.members.is_empty() && circuit.run.order.contains(&room))
    });
    let in_doubt = serving.filter(|(_, (circuit, checked))| {
        let disconnects =
            checked.as_ref().is_some_and(|proof| proof.judged.check(CheckName::Disconnection).verdict == Verdict::Pass);
        let additional = circuit.device.residual_ma.is_some_and(|residual| residual <= ADDITIONAL_MA);
        !(disconnects && additional)
    });
    in_doubt.map(|(index, _)| index).collect()
}

/// Where the board of an outbuilding gets its earth, and why from there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OutbuildingEarth {
    /// An electrode: the house has no earth from the operator to share.
    OwnWithoutOperators,
    /// An electrode: metal that can be touched, and an earth that hangs on the street's neutral.
    OwnForMetalOnNeutral,
    /// An electrode: metal that can be touched, which would otherwise want a main bond.
    OwnForMetal,
    /// An electrode: people stand wet on the ground, and an earth that hangs on the street's neutral.
    OwnForWetGround,
    /// An electrode: a vehicle is charged, and an earth that hangs on the street's neutral.
    OwnForVehicle,
    /// That of the house, which hangs on the street's neutral: dry, without metal out of the ground.
    HouseOnNeutral,
    /// That of the house, which is a conductor of its own.
    HouseOnConductor,
    /// That of the house, by way of the outbuilding that feeds it.
    HouseByOther,
    /// That of the outbuilding that feeds it, which has an electrode.
    ElectrodeOfOther,
}

impl OutbuildingEarth {
    /// Whether it has its own electrode.
    #[must_use]
    pub const fn has_electrode(self) -> bool {
        match self {
            Self::OwnWithoutOperators
            | Self::OwnForMetalOnNeutral
            | Self::OwnForMetal
            | Self::OwnForWetGround
            | Self::OwnForVehicle => true,
            Self::HouseOnNeutral | Self::HouseOnConductor | Self::HouseByOther | Self::ElectrodeOfOther => false,
        }
    }
}

/// The outbuilding whose electrode earths the board of this one: its own, or that of one which feeds it; none where the
/// earth comes from the house.
#[must_use]
pub fn earthed_at(building: usize, site: &Site) -> Option<usize> {
    let on_the_way = std::iter::successors(Some(building), |building| site.outbuildings[*building].via);
    let mut on_the_way = on_the_way.take(site.outbuildings.len());
    on_the_way.find(|building| outbuilding_earth(&site.outbuildings[*building], site).has_electrode())
}

/// Where the board of an outbuilding gets its earth, by way of another one where that feeds it.
#[must_use]
pub fn board_earth(building: usize, site: &Site) -> OutbuildingEarth {
    let plan = &site.outbuildings[building];
    let own = outbuilding_earth(plan, site);
    match plan.via {
        Some(_) if !own.has_electrode() => match earthed_at(building, site) {
            Some(_) => OutbuildingEarth::ElectrodeOfOther,
            None => OutbuildingEarth::HouseByOther,
        },
        _ => own,
    }
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
    match site.supply.earthing {
        Earthing::Tt => OutbuildingEarth::OwnWithoutOperators,
        Earthing::TnCS | Earthing::Unknown if building.metal => OutbuildingEarth::OwnForMetalOnNeutral,
        Earthing::TnS if building.metal => OutbuildingEarth::OwnForMetal,
        Earthing::TnCS | Earthing::Unknown if holds(PointType::HotTubIsolator, ApplianceType::HotTub) => {
            OutbuildingEarth::OwnForWetGround
        }
        Earthing::TnCS | Earthing::Unknown if holds(PointType::ChargePoint, ApplianceType::ChargePoint) => {
            OutbuildingEarth::OwnForVehicle
        }
        Earthing::TnCS | Earthing::Unknown => OutbuildingEarth::HouseOnNeutral,
        Earthing::TnS => OutbuildingEarth::HouseOnConductor,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::survey::{EstimateRequest, Survey};
    use crate::work::WorkBudget;

    fn site(survey: serde_json::Value) -> Site {
        let survey: Survey = serde_json::from_value(survey).expect("a survey");
        let request = EstimateRequest { survey, rate_sheet: None, method: None, terms: None };
        Site::from_survey(&request.survey, &Catalogue::built_in(), &WorkBudget::unlimited()).0
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
        assert!(decided("tn-c-s", serde_json::json!({ "construction": "metal" })).has_electrode());
        assert!(decided("unknown", serde_json::json!({ "construction": "metal" })).has_electrode());
        assert!(!decided("tn-c-s", serde_json::json!({ "construction": "timber" })).has_electrode());
    }

    #[test]
    fn a_hot_tub_or_a_vehicle_in_an_outbuilding_has_its_own_electrode_on_tn_c_s() {
        // Source: BS 7671 722.411.4.1 and section 740 practice, from memory.
        let tub = serde_json::json!({ "construction": "timber", "points": [{ "type": "hot-tub-isolator" }] });
        let vehicle = serde_json::json!({ "construction": "masonry", "appliances": [{ "type": "charge-point" }] });
        assert!(decided("tn-c-s", tub.clone()).has_electrode());
        assert!(decided("tn-c-s", vehicle).has_electrode());
        assert!(!decided("tn-s", tub).has_electrode());
    }

    #[test]
    fn a_house_on_its_own_electrode_has_none_to_share() {
        assert!(decided("tt", serde_json::json!({ "construction": "timber" })).has_electrode());
    }
}
