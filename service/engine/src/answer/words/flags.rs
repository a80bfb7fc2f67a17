//! What is said of a flag: where it is raised, and what was found.

use super::{alarms, bathrooms, board};
use crate::checks::CheckName;
use crate::circuits::place::PlaceFinding;
use crate::circuits::{CircuitIndex, CircuitPlan, CircuitReason};
use crate::flags::{CircuitFlag, FlagDetail, FlagId, RaisedFlag};
use crate::take_off::Job;
use crate::working::check_one;

/// What was found.
pub(crate) fn what(job: Job<'_>, flag: &RaisedFlag) -> String {
    match &flag.detail {
        FlagDetail::Plain => plain(job, flag.id),
        FlagDetail::Coatings { ceilings, tiles } => coatings(*ceilings, *tiles).to_owned(),
        FlagDetail::OldBoard { backing_suspect: true } => {
            "The backing of the old board and the guards of its fuses may hold asbestos".to_owned()
        }
        FlagDetail::OldBoard { backing_suspect: false } => {
            "The guards of the rewireable fuses may hold asbestos".to_owned()
        }
        FlagDetail::Demand { after_diversity, cut_out } => format!(
            "The house may draw {after_diversity:.0}. {} {cut_out:.0}",
            if job.site.supply.cut_out_read { "Its main fuse is" } else { "Nobody read its main fuse, so we took" }
        ),
        FlagDetail::Operator { after_diversity, kinds } => {
            let kinds: Vec<String> = kinds.iter().map(|kind| kind.word().replace('-', " ")).collect();
            format!("New: {}. The whole house may draw {after_diversity:.0}", kinds.join(", "))
        }
        FlagDetail::SpareWays { used, ways } => format!("{used} of {ways} ways on the board are used"),
        FlagDetail::Bond { metres, .. } if flag.id == FlagId::ServicePositionUnknown => {
            format!("Nobody recorded its place. We took {metres:.0} m of bond, to the far side of the house")
        }
        FlagDetail::Bond { present_mm2, metres } if *present_mm2 > 0.0 => {
            format!("The bond of {present_mm2} mm2 is undersized. {metres:.0} m of 10 mm2 is in the price")
        }
        FlagDetail::Bond { metres, .. } => {
            format!("Metal pipe without a bond. {metres:.0} m of 10 mm2 is in the price")
        }
        FlagDetail::Detour { saves } => format!("Cables go round it. A free way would save {saves}"),
        FlagDetail::Unmarked { unmarked, points } => format!("{unmarked} of {points} points have no place on the plan"),
        FlagDetail::TaxCase(case) => {
            format!("The {} VAT rate was asked for. Without evidence you owe the difference", case.word())
        }
        FlagDetail::BoardPlace(findings) => board_place(findings),
        FlagDetail::ArcDetection(arc) => board::arc_detection(*arc).to_owned(),
        FlagDetail::NewRule(rule) => board::new_rule(rule, job.site),
        FlagDetail::StoreysWithoutAlarm(levels) => {
            let storeys: Vec<String> = levels.iter().map(|level| format!("level {level}")).collect();
            format!("No smoke alarm on {}", storeys.join(", "))
        }
        FlagDetail::Alarm(finding) => alarms::working(finding, job.site),
        FlagDetail::Zone(finding) => format!("{}: {}", finding.point, bathrooms::working(finding)),
        FlagDetail::Circuit(index, wrong) => circuit(job, *index, wrong),
    }
}

/// What is wrong with a circuit.
fn circuit(job: Job<'_>, index: CircuitIndex, wrong: &CircuitFlag) -> String {
    let circuit = &job.installation.circuits[index];
    let name = &circuit.name;
    match wrong {
        CircuitFlag::NotChecked => format!("{name} could not be checked. {}", not_checked(circuit)),
        CircuitFlag::BeyondDevices => format!("{name}: the load is more than our largest device carries"),
        CircuitFlag::Fails(checks) => {
            let checks: Vec<&str> = checks.iter().map(|check| check.word()).collect();
            format!("{name} fails: {}", checks.join(", "))
        }
        CircuitFlag::Shower(check) => shower(job, index, *check),
        CircuitFlag::OldRing => {
            format!("{name} gets {} more points. Nobody has tested this ring", circuit.point_count())
        }
        CircuitFlag::FeedDrop(drop_v) => format!("{name} alone loses {drop_v:.1} V"),
        CircuitFlag::Unconnected => format!("{name}: no point is recorded for it"),
    }
}

const fn coatings(ceilings: bool, tiles: bool) -> &'static str {
    match (ceilings, tiles) {
        (true, true) => "Textured ceilings and vinyl tiles from before 2000 may hold asbestos",
        (true, false) => "Textured ceilings from before 2000 may hold asbestos",
        _ => "Vinyl tiles from before 2000 may hold asbestos",
    }
}

fn board_place(findings: &[PlaceFinding]) -> String {
    let findings: Vec<String> = findings.iter().map(|finding| board::place(*finding)).collect();
    findings.join(". ")
}

/// What was missing to check a circuit.
fn not_checked(circuit: &CircuitPlan) -> String {
    let faults = circuit.reasons.iter().rev().find_map(|reason| match reason {
        CircuitReason::NotChecked(faults) => Some(faults),
        _ => None,
    });
    let faults: Vec<&str> = faults.into_iter().flatten().map(|fault| fault.detail.as_str()).collect();
    faults.join(". ")
}

/// A shower on a cable that stays, with the working of the check that it fails.
fn shower(job: Job<'_>, index: CircuitIndex, check: CheckName) -> String {
    let circuit = &job.installation.circuits[index];
    let proof = job.installation.checked[index].as_ref();
    let shown = proof.and_then(|proof| check_one(job.standards, &proof.supply, &proof.circuit, &proof.upstream).ok());
    let working = shown.as_ref().and_then(|shown| shown.check(check)).map_or("", |check| &check.working);
    format!(
        "The shower draws {:.1}. The cable that stays is {} mm2, behind {:.0}. {working}",
        circuit.design_current,
        circuit.cable.line_mm2(),
        circuit.device.rating,
    )
}

/// What a flag says without figures of its own.
fn plain(job: Job<'_>, id: FlagId) -> String {
    let site = job.site;
    match id {
        FlagId::TailsTooLong => format!(
            "The tails are {:.1} long, so a switched fuse at the meter is in the price",
            job.installation.board.tails
        ),
        FlagId::AccessAndParking => format!(
            "The house is {} km away. Parking: {}. Travel and carrying are in the price",
            site.distance_km, site.parking
        ),
        FlagId::SingleItemVisit => {
            format!("A visit for {} points. Travel and setting up are in the price", site.points())
        }
        FlagId::ThreePhaseSupply => format!(
            "{} phases of {:.0}. The circuits are shared between them by load",
            site.supply.phases, site.supply.voltage
        ),
        FlagId::AlarmsShort => {
            format!("Category {} needs an alarm here. None is recorded", site.alarms.word().to_uppercase())
        }
        FlagId::ListedOrConsent if site.listed => "The building is listed".to_owned(),
        FlagId::ListedOrConsent => "Somebody else has to agree: the house is let or leased".to_owned(),
        _ => fixed(id).to_owned(),
    }
}

/// What is always said of a flag; its word where it is always said with figures.
#[expect(clippy::too_many_lines, reason = "one sentence a flag, and every flag named")]
const fn fixed(id: FlagId) -> &'static str {
    match id {
        FlagId::LeadPaintLikely => "Paint from before 1970 may hold lead, and walls are cut",
        FlagId::SilicaDust => "Chasing brick, block or concrete makes dust that harms the lungs",
        FlagId::OldSheathWiring => "Old cable with a rubber or lead sheath was seen",
        FlagId::BorrowedNeutralLikely => "The stair lights may share a neutral with another circuit",
        FlagId::HeatedScreed => "Heating pipes lie in the screed, so cables go another way",
        FlagId::FinishedCoveringOverVoid => "The floor covering does not lift, so cables go another way",
        FlagId::CrawlSpaceUnsafe => "The crawl space is lower than 0.45 m, so cables go another way",
        FlagId::FloorConstructionUnknown => "Nobody recorded how the floor is made",
        FlagId::EngineeredJoists => "A house of this age often has web joists or trusses",
        FlagId::LathCeiling => "Holes are cut in lath and plaster, which may come down",
        FlagId::FireLineCrossed => "Cables pass a fire-resisting wall or ceiling. Sealing the holes is in the price",
        FlagId::CableInInsulation => "These cables cross a ceiling with deep insulation and are rated for it",
        FlagId::ConcreteCeiling => "Under a concrete ceiling cables lie in trunking",
        FlagId::BothVoidsClosed => {
            "Neither the floor nor the ceiling has room for cables, so they lie in trunking that shows"
        }
        FlagId::PolystyreneContact => "There is polystyrene where cables go",
        FlagId::WallConstructionUnknown => "Nobody recorded what the walls are made of",
        FlagId::ThinLeafChase => "Clinker block is soft and often thin. Chases in it are in the price",
        FlagId::JoistCapacity => "The joists are under 150 mm deep or cut already, and this floor is to be opened",
        FlagId::SeparatingWallBox => "Points may stand on the wall to the neighbour",
        FlagId::StairwellHeight => "A light or alarm is over the stair or above 3 m. A tower is in the price",
        FlagId::NoWayIntoLoft => "Nobody has found a way into the roof over these lights",
        FlagId::ElectrodeGroundPoor => "One earth rod is in the price, and nobody knows the ground",
        FlagId::DimmerLampMismatch => "There is a dimmer, and its lamps are not recorded",
        FlagId::OtherTradesOrder => "Another trade fills the chases, and its dates are not known",
        FlagId::FurnishedRoom => "Furniture is in the way. The extra hours are in the price",
        FlagId::LivedIn => "People live or work in these rooms. The extra hours are in the price",
        FlagId::VulnerablePerson => "Somebody in the house depends on power or clean air",
        FlagId::KitchenStays => "The fitted kitchen units stay, so cables drop from above",
        FlagId::KitchenPlanMissing => "No point in the kitchen has a place",
        FlagId::ClientSuppliedFitting => "The client buys these fittings",
        FlagId::HeavyFitting => "A fitting over 2 kg. Its noggin is in the price",
        FlagId::ApplianceLoadUnknown => "Nobody recorded the load of an appliance, so we took a high usual one",
        FlagId::NoSwitchForLight => "There are lights and no switch",
        FlagId::TwoWayWithoutPartner => "There is only one two-way switch in the house",
        FlagId::CoAlarmMissing => "A fuel burner is here and no carbon monoxide alarm",
        FlagId::LoftConversionAhead => "A loft conversion is planned",
        FlagId::NationUnknown => "Nobody recorded the nation, so we took England",
        FlagId::EarthingUnknown => "Nobody has found out how the house is earthed",
        FlagId::CutOutUnreadable => "Nobody read the main fuse, so we took 60 A",
        FlagId::LoopedSupplySuspected => "The supply is looped from a neighbour",
        FlagId::SupplyCannotBeMadeDead => "There is no isolator after the meter",
        FlagId::SecondSource => "The house has or gets a battery, solar panels or a generator",
        FlagId::ChargePointEarthing => "The charge point shares the supplier's earth (PME)",
        FlagId::SteelAcrossRoute => "A beam or the like lies across the only hidden way of these circuits",
        FlagId::PartialKeepsOld => "This circuit stays and nobody has tested it",
        FlagId::OutdoorMetalOnTnCS => "Metal building on PME: priced with its own earth rod",
        FlagId::BuriedServicesUnknown => "A trench is dug, and nobody knows what else is buried",
        FlagId::TrenchSurfaceOrOwner => "The trench crosses hard or shared ground",
        FlagId::AsbestosSuspected
        | FlagId::AsbestosBehindBoard
        | FlagId::BondMissing
        | FlagId::BondFarSide
        | FlagId::ServicePositionUnknown
        | FlagId::DemandOverSupply
        | FlagId::OperatorFirst
        | FlagId::TailsTooLong
        | FlagId::SpareWaysShort
        | FlagId::PositionsNotMarked
        | FlagId::AlarmsShort
        | FlagId::ListedOrConsent
        | FlagId::CircuitCheckFailed
        | FlagId::ConnectionPointMissing
        | FlagId::SingleItemVisit
        | FlagId::AccessAndParking
        | FlagId::VatEvidenceMissing
        | FlagId::FarBoardVoltDrop
        | FlagId::BoardPlaceBad
        | FlagId::ArcDetectionRequired
        | FlagId::BatteryPlaceBad
        | FlagId::ThreePhaseSupply
        | FlagId::AlarmOutOfReach
        | FlagId::BathroomZoneConflict
        | FlagId::OldRingExtended
        | FlagId::ShowerBiggerThanCable => id.word(),
    }
}
