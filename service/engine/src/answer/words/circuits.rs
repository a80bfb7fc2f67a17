//! Why each circuit is as it is.

use std::collections::BTreeMap;

use super::routes;
use crate::catalogue::{Catalogue, CircuitType, RatingStep};
use crate::circuits::{
    Bar, CircuitPlan, CircuitReason, DesignerChoices, FeedSize, FormPriced, FormsCompared, InsulationChoice,
    InsulationWay, LargerBecause, LightsShared, SocketsForm, WayPriced, holds_sockets, usual_load,
};
use crate::faults::Fault;
use crate::money::{Money, decimal};
use crate::quantities::Amps;
use crate::site::{OutbuildingPlan, Site};
use crate::take_off::Job;

/// The reasons for a circuit, in the order in which they were found.
pub(crate) fn because(circuit: &CircuitPlan, job: Job<'_>) -> Vec<String> {
    circuit.reasons.iter().map(|reason| words(reason, circuit, job)).collect()
}

fn words(reason: &CircuitReason, circuit: &CircuitPlan, job: Job<'_>) -> String {
    let (site, catalogue) = (job.site, job.catalogue);
    let row = catalogue.circuit(circuit.kind);
    match reason {
        CircuitReason::RingHalved => "two rings: as one it would be longer than a ring of its cable may be".to_owned(),
        CircuitReason::Lights(shared) => lights(*shared).to_owned(),
        CircuitReason::CheapestForm(compared) => cheapest_form(compared),
        CircuitReason::LengthGiven { given, routed } => {
            format!("{given:.1} of cable as given, where its route would have {routed:.1}")
        }
        CircuitReason::Extended { there, joined } => {
            let taken = if circuit.fixed.kept.is_some_and(|kept| kept.assumed) { ", taken" } else { "" };
            format!("checked as it will be: {there:.0} there now{taken}, {joined:.1} added")
        }
        CircuitReason::LengthTaken(length) => {
            format!("its length was not recorded: {length:.0} taken, the way to where it is, with what is joined")
        }
        CircuitReason::UsualOfForm { rating, line_mm2 } => {
            format!("{rating:.0} and {line_mm2} mm2: common practice, no source; {}", row.source)
        }
        CircuitReason::UsualOfKind => format!("{} A and {} mm2: {}", row.device_a, row.line_mm2, row.source),
        CircuitReason::DesignCurrent(current) => design_current(circuit, *current, site, catalogue),
        CircuitReason::ByRatingTable { current, step, line_mm2 } => {
            by_rating_table(*current, &catalogue.ratings()[*step], *line_mm2)
        }
        CircuitReason::BeyondRatingTable(current) => {
            format!("{:.1} A is beyond the largest device of the table: a designer decides", current.value())
        }
        CircuitReason::NeutralAtSwitches => {
            "the neutral is looped at the switches, as preferred: lights on cables from their switches".to_owned()
        }
        CircuitReason::Kept(kept) if kept.assumed => {
            "not recorded: a usual circuit is taken as there and sound; look at it before the price is given".to_owned()
        }
        CircuitReason::Kept(kept) => {
            let tested = if kept.tested { ", tested" } else { ", not tested" };
            format!("there now and kept{tested}: {}", fixed(&circuit.fixed))
        }
        CircuitReason::KeptFeed => "it stays where it lies and is read as buried in the ground unless `method` says otherwise; look at both its ends, \
             at how deep it lies, and at whether its armour is earthed as the board there needs it"
            .to_owned(),
        CircuitReason::Given => format!("given by the designer and kept: {}", fixed(&circuit.fixed)),
        CircuitReason::LoadNotRecorded => {
            "what hangs on it was not recorded: all that its device lets flow".to_owned()
        }
        CircuitReason::FeedSized(size) => feed_size(size),
        CircuitReason::FeedsCompared => {
            let building = circuit.outbuilding.map(|building| &site.outbuildings[building]);
            building.map(|building| other_feed(building, site)).unwrap_or_default()
        }
        CircuitReason::ClearOfInsulation(metres) => {
            format!("clipped clear of the insulation over the {metres:.1} that cross it, never buried in it")
        }
        CircuitReason::Insulation(choice) => insulation(choice, site),
        CircuitReason::Larger { from_mm2, to_mm2, why } => larger(*from_mm2, *to_mm2, why),
        CircuitReason::NotChecked(faults) => not_checked(faults),
        CircuitReason::GivenCableFails => "the cable that was given fails: the checks say where".to_owned(),
        CircuitReason::NoCablePasses => "no cable of the list passes: a designer decides".to_owned(),
        CircuitReason::LowerLetThrough(most_a2s) => lower_let_through(*most_a2s),
    }
}

const fn lights(shared: LightsShared) -> &'static str {
    match shared {
        LightsShared::AllAsGiven => "kept as given, though one trip darkens the whole house (BS 7671 regulation 314.1)",
        LightsShared::OnTwoCircuits => {
            "two lighting circuits, so that one trip does not darken the house (BS 7671 regulation 314.1)"
        }
        LightsShared::StairApart => {
            "the lamps of the stair are on the device of the storey that it leads to, so that one fault never darkens both \
             its ends (common practice, no source)"
        }
        LightsShared::ServiceRoomsApart => {
            "cellar, garage and kitchen are not on one device with the hall (common practice, no source)"
        }
    }
}

/// The stretch that governs what the cable of a circuit carries.
pub(crate) fn governs(circuit: &CircuitPlan, site: &Site) -> String {
    let lying = &circuit.governing;
    if circuit.fixed.method.is_some() {
        return "the method is as the designer gave it".to_owned();
    }
    let medium = lying.medium.word().replace('-', " ");
    let place = lying.room.map_or(String::new(), |room| format!(" of {}", site.rooms[room].id));
    let together = match lying.cables {
        0 | 1 => "no loaded cable beside it".to_owned(),
        cables => format!("{cables} loaded cables in one hole"),
    };
    format!(
        "the stretch that governs: {medium}{place}, method {}, {together}; drops to a point and the first metre at the \
         board are not counted as a group (common practice, no source)",
        lying.method
    )
}

/// What was chosen where a stretch lies in insulation, with what each way costs.
fn insulation(choice: &InsulationChoice, site: &Site) -> String {
    let place = choice.room.map_or(String::new(), |room| format!(" of {}", site.rooms[room].id));
    let medium = choice.medium.word().replace('-', " ");
    let named = |way: InsulationWay| match way {
        InsulationWay::Clear => format!("clip the {:.1} in it clear of the insulation", choice.under),
        InsulationWay::Moved => "go another way".to_owned(),
        InsulationWay::Larger => "a larger cable as it lies".to_owned(),
    };
    let ways = [
        (InsulationWay::Clear, choice.clear),
        (InsulationWay::Moved, choice.moved),
        (InsulationWay::Larger, choice.larger),
    ];
    let priced = ways.into_iter().filter_map(|(way, priced)| {
        let WayPriced { line_mm2, metres, cost } = priced?;
        Some(format!("{}: {metres:.1} of {line_mm2} mm2, {cost} laid", named(way)))
    });
    let priced = priced.collect::<Vec<_>>().join("; ");
    format!(
        "in the {medium}{place} its cable would lie by method {}; chosen as the cheapest: {} ({priced})",
        choice.method,
        named(choice.chosen)
    )
}

/// Why a cable is larger than the one that was first taken.
fn larger(from_mm2: f64, to_mm2: f64, why: &LargerBecause) -> String {
    let why = match why {
        LargerBecause::Fails(checks) => {
            let fails: Vec<&str> = checks.iter().map(|check| check.word()).collect();
            format!(", which fails: {}", fails.join(", "))
        }
        LargerBecause::FewerHoles { saved, costs } => {
            format!(" costs {costs} more and saves {saved} of holes that keep it apart")
        }
        LargerBecause::LastPointBehind => ", so that the last point behind it keeps its drop".to_owned(),
    };
    format!("{to_mm2} mm2 in place of {from_mm2} mm2{why}")
}

fn by_rating_table(current: Amps, step: &RatingStep, line_mm2: f64) -> String {
    let (amps, device_a, source) = (current.value(), step.device_a, &step.source);
    format!("design current {amps:.1} A: {device_a} A and {line_mm2} mm2 by the rating table ({source})")
}

/// What is asked of a device where the limit of its class is too much for the protective conductor.
pub(crate) fn lower_let_through(most_a2s: f64) -> String {
    format!("a device whose maker states at most {most_a2s} A2s at that fault level passes: order such a one")
}

fn not_checked(faults: &[Fault]) -> String {
    let faults: Vec<&str> = faults.iter().map(|fault| fault.detail.as_str()).collect();
    format!("not checked: {}", faults.join("; "))
}

/// What a designer has fixed.
fn fixed(fixed: &DesignerChoices) -> String {
    let named = [
        ("device", fixed.device.is_some()),
        ("cable", fixed.cable.is_some()),
        ("length", fixed.length.is_some()),
        ("method", fixed.method.is_some()),
    ];
    named.into_iter().filter(|(_, fixed)| *fixed).map(|(name, _)| name).collect::<Vec<_>>().join(", ")
}

/// What each form costs, and what bars the others.
fn cheapest_form(compared: &FormsCompared) -> String {
    let forms = &compared.forms;
    let costs =
        |one: &FormPriced| format!("{} {:.1} of {} mm2, {} laid", form(one.form), one.metres, one.line_mm2, one.cost);
    let costs = forms.iter().map(costs).collect::<Vec<_>>().join("; ");
    let barred: String = forms
        .iter()
        .filter_map(|one| Some(format!("; {} is out: {}", form(one.form), bar(one.bar.as_ref()?))))
        .collect();
    format!("{}, the cheapest that may be: {costs}{barred}", form(compared.chosen))
}

const fn form(form: SocketsForm) -> &'static str {
    match form {
        SocketsForm::Ring => "a ring",
        SocketsForm::Radial32 => "a 32 A radial",
        SocketsForm::Radial20 => "a 20 A radial",
    }
}

fn bar(bar: &Bar) -> String {
    match bar {
        Bar::Kitchen => "a kitchen's load is above 20 A".to_owned(),
        Bar::OtherDeviceGiven => "another device was given".to_owned(),
        Bar::Carries(carried, method) => format!("4 mm2 carries {carried:.0} where it lies (method {method})"),
        Bar::Area { area, limit } => format!("{area:.0} of floor is above its {limit:.0}"),
        Bar::Points { points, limit } => format!("{points} points are above its {limit}"),
        Bar::FarEnd { metres, limit } => format!("its far end would be {metres:.0} away, above {limit:.0}"),
    }
}

fn feed_size(size: &FeedSize) -> String {
    let FeedSize { largest_a, current_a, rating_a, behind_a, .. } = size;
    let of_its_cable = match &size.cable {
        None => "its cable is as given, and the checks say whether it bears that".to_owned(),
        Some(cable) => format!(
            "{} mm2 keeps the drop over {:.0} m near {:.0} % of nominal, so that the final circuits have the rest",
            cable.line_mm2,
            cable.run_m,
            cable.drop_share * 100.0
        ),
    };
    let above = if rating_a > behind_a { "above" } else { "not above" };
    format!(
        "largest final circuit {largest_a:.1} A and 40 % of the others, {current_a:.1} A; {rating_a} A, {above} the \
         {behind_a} A behind it; {of_its_cable}"
    )
}

/// What is said of a feed beside the other one.
fn other_feed(building: &OutbuildingPlan, site: &Site) -> String {
    let Some(other) = &building.other_feed else { return String::new() };
    let from = routes::fed_from(building, site);
    let money = Money::rounded(decimal(other.money));
    let figures = format!("{money} of direct cost, {:+.1} m of armoured cable, {:+.1} h", other.metres, other.hours);
    match &other.fails {
        Some(fails) => {
            let fails = routes::failure(fails);
            format!("{from}: the other feed differs by {figures}, and does not comply: {fails}")
        }
        None => format!("{from}: the other feed differs by {figures}"),
    }
}

/// How the design current of a circuit comes about, so that a pencil can follow it.
fn design_current(circuit: &CircuitPlan, current: Amps, site: &Site, catalogue: &Catalogue) -> String {
    let voltage = site.supply.voltage;
    let parts = match circuit.kind {
        CircuitType::Outside if holds_sockets(&circuit.members, site) => {
            return format!(
                "sockets, and what is plugged in is not known: all that the device lets flow, {current:.0}"
            );
        }
        CircuitType::Lighting | CircuitType::Alarms | CircuitType::Outside => lamps(circuit, site, catalogue),
        kind if circuit.appliances.is_empty() => format!("{:.1}, usual of its kind", usual_load(kind, catalogue)),
        _ => plates(circuit),
    };
    if circuit.kind == CircuitType::Cooker {
        return format!(
            "load {parts} / {voltage:.0}: the first 10 A and 30 % of the rest, {current:.2} (On-Site Guide Table A2)"
        );
    }
    format!("load {parts} / {voltage:.0} = {current:.2}")
}

/// Lamps and alarms: how many of each wattage.
fn lamps(circuit: &CircuitPlan, site: &Site, catalogue: &Catalogue) -> String {
    let mut counts: BTreeMap<u64, u64> = BTreeMap::new();
    for member in &circuit.members {
        let point = &site.rooms[member.room].points[member.point];
        let each_w = catalogue.point(point.kind, point.gangs).load_w * point.length.value();
        if each_w > 0.0 {
            // Positive figures keep their order as bits.
            *counts.entry(each_w.to_bits()).or_default() += u64::from(member.count);
        }
    }
    let parts: Vec<String> =
        counts.iter().map(|(each_w, count)| format!("{count} x {} W", f64::from_bits(*each_w))).collect();
    if parts.is_empty() { "0 W".to_owned() } else { parts.join(" + ") }
}

fn plates(circuit: &CircuitPlan) -> String {
    let parts: Vec<String> = circuit
        .appliances
        .iter()
        .map(|one| {
            let times = if one.count > 1 { format!("{} x ", one.count) } else { String::new() };
            format!("{times}{} {}", one.kind.word().replace('-', " "), one.load)
        })
        .collect();
    parts.join(" + ")
}
