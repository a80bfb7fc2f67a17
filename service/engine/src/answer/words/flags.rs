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
            "the board behind the old fuses, and the guards in them, may hold asbestos".to_owned()
        }
        FlagDetail::OldBoard { backing_suspect: false } => {
            "the guards in rewireable fuses may hold asbestos; the board behind them does not".to_owned()
        }
        FlagDetail::Demand { after_diversity, cut_out } => format!(
            "{after_diversity:.0} after diversity against a cut-out of {cut_out:.0}{}",
            if job.site.supply.cut_out_read { "" } else { ", which was taken and not read" }
        ),
        FlagDetail::Operator { after_diversity, kinds } => {
            let kinds: Vec<String> = kinds.iter().map(|kind| kind.word().replace('-', " ")).collect();
            format!("{} with {after_diversity:.0} after diversity in the whole house", kinds.join(", "))
        }
        FlagDetail::SpareWays { used, ways } => format!("{used} of {ways} ways are used"),
        FlagDetail::Bonded { mm2 } if *mm2 > 0.0 => format!("bonded in {mm2} mm2 where 10 mm2 is asked for"),
        FlagDetail::Bonded { .. } => "metal pipe, not bonded".to_owned(),
        FlagDetail::BondLength { metres } if flag.id == FlagId::ServicePositionUnknown => {
            format!("no place recorded; {metres:.0} m to the far side of the house was taken")
        }
        FlagDetail::BondLength { metres } => format!("{metres:.0} m of 10 mm2 from the board"),
        FlagDetail::Detour { saves } => format!(
            "the cables go round what lies across the void; free, the price would be {saves} less: see that the way round \
             is as free as it was drawn"
        ),
        FlagDetail::Unmarked { unmarked, points } => format!("{unmarked} of {points} points have no place"),
        FlagDetail::TaxCase(case) => {
            format!("the tax case `{case}` was asked for; the firm owes the difference without evidence")
        }
        FlagDetail::BoardPlace(findings) => board_place(findings),
        FlagDetail::ArcDetection(arc) => board::arc_detection(*arc).to_owned(),
        FlagDetail::NewRule(rule) => board::new_rule(rule, job.site),
        FlagDetail::StoreysWithoutAlarm(levels) => {
            let storeys: Vec<String> = levels.iter().map(|level| format!("level {level}")).collect();
            format!("no smoke alarm on {}", storeys.join(", "))
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
        CircuitFlag::NotChecked => format!("{name} could not be checked: {}", not_checked(circuit)),
        CircuitFlag::BeyondDevices => format!("{name}: the load is beyond the largest device of the table"),
        CircuitFlag::Fails(checks) => {
            let checks: Vec<&str> = checks.iter().map(|check| check.word()).collect();
            format!("{name} fails: {}", checks.join(", "))
        }
        CircuitFlag::Shower(check) => shower(job, index, *check),
        CircuitFlag::OldRing => {
            format!("a ring that nobody has tested, {name}, with {} more on it", circuit.point_count())
        }
        CircuitFlag::FeedDrop(drop_v) => format!("{name} loses {drop_v:.1} V before the final circuits lose theirs"),
        CircuitFlag::Unconnected => format!("{name} and no point for it"),
    }
}

const fn coatings(ceilings: bool, tiles: bool) -> &'static str {
    match (ceilings, tiles) {
        (true, true) => "textured ceilings and vinyl tiles in a house from before 2000",
        (true, false) => "textured ceilings in a house from before 2000",
        _ => "vinyl tiles in a house from before 2000",
    }
}

fn board_place(findings: &[PlaceFinding]) -> String {
    let findings: Vec<String> = findings.iter().map(|finding| board::place(*finding)).collect();
    findings.join("; ")
}

/// What was missing to check a circuit.
fn not_checked(circuit: &CircuitPlan) -> String {
    let faults = circuit.reasons.iter().rev().find_map(|reason| match reason {
        CircuitReason::NotChecked(faults) => Some(faults),
        _ => None,
    });
    let faults: Vec<&str> = faults.into_iter().flatten().map(|fault| fault.detail.as_str()).collect();
    format!("not checked: {}", faults.join("; "))
}

/// A shower on a cable that stays, with the working of the check that it fails.
fn shower(job: Job<'_>, index: CircuitIndex, check: CheckName) -> String {
    let circuit = &job.installation.circuits[index];
    let proof = job.installation.checked[index].as_ref();
    let shown = proof.and_then(|proof| check_one(job.standards, &proof.supply, &proof.circuit, &proof.upstream).ok());
    let working = shown.as_ref().and_then(|shown| shown.check(check)).map_or("", |check| &check.working);
    format!(
        "{:.1} of shower on the {} mm2 that stays, behind {:.0}: {working}",
        circuit.design_current,
        circuit.cable.line_mm2(),
        circuit.device.rating,
    )
}

/// What a flag says without figures of its own.
fn plain(job: Job<'_>, id: FlagId) -> String {
    let site = job.site;
    match id {
        FlagId::TailsTooLong => format!("{:.1} of tails from intake to board", job.installation.board.tails),
        FlagId::AccessAndParking => format!("{} km away, parking: {}", site.distance_km, site.parking),
        FlagId::SingleItemVisit => format!("{} points on one visit", site.points()),
        FlagId::ThreePhaseSupply => format!(
            "{} phases of {:.0}: the circuits are shared out over them by load, each checked on its own phase",
            site.supply.phases, site.supply.voltage
        ),
        FlagId::AlarmsShort => format!("category {} asks for an alarm here and none was recorded", site.alarms),
        FlagId::ListedOrConsent if site.listed => "the building is listed".to_owned(),
        FlagId::ListedOrConsent => "the client does not hold it alone".to_owned(),
        _ => fixed(id).to_owned(),
    }
}

/// What is always said of a flag; its word where it is always said with figures.
const fn fixed(id: FlagId) -> &'static str {
    match id {
        FlagId::LeadPaintLikely => "built before 1970 and walls are to be cut",
        FlagId::SilicaDust => "chases in masonry",
        FlagId::OldSheathWiring => "rubber or lead sheath was seen",
        FlagId::BorrowedNeutralLikely => "a borrowed neutral is suspected",
        FlagId::HeatedScreed => "screed with heating pipes",
        FlagId::FinishedCoveringOverVoid => "tile, glued timber or the like lies over the void that is wanted",
        FlagId::CrawlSpaceUnsafe => "crawl space lower than 0.45 m",
        FlagId::FloorConstructionUnknown => "nobody recorded how the floor is made",
        FlagId::EngineeredJoists => "a house of this age is likely to have web joists or trusses",
        FlagId::LathCeiling => "holes in laths and plaster",
        FlagId::FireLineCrossed => {
            "holes in a fire line: a garage's wall or ceiling, a flat's hall, or a ceiling recorded as one"
        }
        FlagId::CableInInsulation => "a ring or a heater whose cable passes over 100 mm of insulation above a ceiling",
        FlagId::ConcreteCeiling => "concrete ceiling with points on it",
        FlagId::BothVoidsClosed => "neither floor nor ceiling lets a cable through unseen",
        FlagId::PolystyreneContact => "polystyrene where cables go: it draws the plasticiser out of the sheath",
        FlagId::WallConstructionUnknown => "nobody recorded what the walls are made of",
        FlagId::ThinLeafChase => "clinker block: soft, often a thin leaf",
        FlagId::JoistCapacity => "joists under 150 mm, or cut already, under a floor that is to be opened",
        FlagId::SeparatingWallBox => {
            "rooms with boxes lie against the neighbour's wall, and no place keeps them off it"
        }
        FlagId::StairwellHeight => "a light or alarm over the stair or above 3 m",
        FlagId::NoWayIntoLoft => "lights under a roof that the loft does not reach, and nobody has found a way in",
        FlagId::ElectrodeGroundPoor => "an electrode is priced with one rod, and nobody knows the ground",
        FlagId::DimmerLampMismatch => "a dimmer, and the lamps are not on the list",
        FlagId::OtherTradesOrder => "somebody else fills the chases, and his dates are not known",
        FlagId::FurnishedRoom => "furniture in the way of first fix",
        FlagId::LivedIn => "slept or worked in while we are there",
        FlagId::VulnerablePerson => "somebody depends on power or clean air",
        FlagId::KitchenStays => "the fitted units stay",
        FlagId::KitchenPlanMissing => "no point of the kitchen has a place",
        FlagId::ClientSuppliedFitting => "fittings that the client buys",
        FlagId::HeavyFitting => "a fitting over 2 kg on the ceiling or wall",
        FlagId::ApplianceLoadUnknown => "an appliance without a load",
        FlagId::NoSwitchForLight => "lights and no switch",
        FlagId::TwoWayWithoutPartner => "a single two-way switch in the house",
        FlagId::CoAlarmMissing => "something burns fuel and there is no alarm for its gas",
        FlagId::LoftConversionAhead => "a loft conversion is to come",
        FlagId::NationUnknown => "the nation was not recorded; England was taken",
        FlagId::EarthingUnknown => "nobody has found out how the house is earthed",
        FlagId::CutOutUnreadable => "the rating of the cut-out was not read",
        FlagId::LoopedSupplySuspected => "the supply is looped from a neighbour's cut-out",
        FlagId::SupplyCannotBeMadeDead => "there is no isolator after the meter",
        FlagId::SecondSource => "storage or generation is there, wanted or to come",
        FlagId::ChargePointEarthing => "a charge point on an earth shared with the street's neutral",
        FlagId::SteelAcrossRoute => "something on the plan lies across the only free way of these circuits",
        FlagId::PartialKeepsOld => "kept, and nobody has tested it: what is wrong with it becomes ours",
        FlagId::OutdoorMetalOnTnCS => "metal that can be touched or reaches the ground, on the street's earth",
        FlagId::BuriedServicesUnknown => "a trench, and no drawing of what else is buried",
        FlagId::TrenchSurfaceOrOwner => "hard or shared ground on the way",
        _ => id.word(),
    }
}
