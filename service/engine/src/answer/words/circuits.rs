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
        CircuitReason::RingHalved => "Two rings, as one would be longer than its cable allows".to_owned(),
        CircuitReason::Lights(shared) => lights(*shared).to_owned(),
        CircuitReason::CheapestForm(compared) => cheapest_form(compared),
        CircuitReason::LengthGiven { given, routed } => {
            format!("{given:.1} of cable as given. Its route would take {routed:.1}")
        }
        CircuitReason::Extended { there, joined } => {
            let taken = if circuit.fixed.kept.is_some_and(|kept| kept.assumed) { " (our guess)" } else { "" };
            format!("Checked as it will be: {there:.0} there now{taken}, {joined:.1} added")
        }
        CircuitReason::LengthTaken(length) => {
            format!("Its length was not recorded. We took {length:.0}: the way there, with what is joined")
        }
        CircuitReason::UsualOfForm { rating, line_mm2 } => {
            format!("{rating:.0} and {line_mm2} mm2 are usual (common practice, no source; {})", row.source)
        }
        CircuitReason::UsualOfKind => format!("{} A and {} mm2 are usual ({})", row.device_a, row.line_mm2, row.source),
        CircuitReason::DesignCurrent(current) => design_current(circuit, *current, site, catalogue),
        CircuitReason::ByRatingTable { current, step, line_mm2 } => {
            by_rating_table(*current, &catalogue.ratings()[*step], *line_mm2)
        }
        CircuitReason::BeyondRatingTable(current) => {
            format!("{:.1} A is more than our largest device carries. A designer decides", current.value())
        }
        CircuitReason::NeutralAtSwitches => {
            "The neutral is looped at the switches, as asked. Each light has its cable from its switch".to_owned()
        }
        CircuitReason::Kept(kept) if kept.assumed => {
            "Not recorded. We took a usual circuit as there and sound. Check it before the price is given".to_owned()
        }
        CircuitReason::Kept(kept) => {
            let tested = if kept.tested { ", tested" } else { ", not tested" };
            format!("There now and kept{tested}. Recorded: {}", fixed(&circuit.fixed))
        }
        CircuitReason::KeptFeed => "The feed stays. We took it as buried, unless `method` says otherwise. Check both ends, its depth, and that its armour \
             is earthed as the board there needs"
            .to_owned(),
        CircuitReason::Given => format!("Given by the designer and kept: {}", fixed(&circuit.fixed)),
        CircuitReason::LoadNotRecorded => {
            "Its load was not recorded. We took all that its device lets flow".to_owned()
        }
        CircuitReason::FeedSized(size) => feed_size(size),
        CircuitReason::FeedsCompared => {
            let building = circuit.outbuilding.map(|building| &site.outbuildings[building]);
            building.map(|building| other_feed(building, site)).unwrap_or_default()
        }
        CircuitReason::ClearOfInsulation(metres) => {
            format!("{metres:.1} cross insulation. Clip the cable clear of it and never bury it")
        }
        CircuitReason::Insulation(choice) => insulation(choice, site),
        CircuitReason::Larger { from_mm2, to_mm2, why } => larger(*from_mm2, *to_mm2, why),
        CircuitReason::NotChecked(faults) => not_checked(faults),
        CircuitReason::GivenCableFails => "The cable that was given fails. The checks say where".to_owned(),
        CircuitReason::NoCablePasses => "No cable on the list passes. A designer decides".to_owned(),
        CircuitReason::LowerLetThrough(most_a2s) => lower_let_through(*most_a2s),
    }
}

const fn lights(shared: LightsShared) -> &'static str {
    match shared {
        LightsShared::AllAsGiven => "Kept as given, though one trip darkens the whole house (BS 7671 regulation 314.1)",
        LightsShared::OnTwoCircuits => {
            "Two lighting circuits, so that one trip does not darken the house (BS 7671 regulation 314.1)"
        }
        LightsShared::StairApart => {
            "The stair lights are on the circuit of the storey they lead to. One fault then never darkens both ends of the \
             stair (common practice, no source)"
        }
        LightsShared::ServiceRoomsApart => {
            "Cellar, garage and kitchen are not on one circuit with the hall (common practice, no source)"
        }
    }
}

/// The stretch that governs what the cable of a circuit carries.
pub(crate) fn governs(circuit: &CircuitPlan, site: &Site) -> String {
    let lying = &circuit.governing;
    if circuit.fixed.method.is_some() {
        return "The method is as the designer gave it".to_owned();
    }
    let medium = lying.medium.word().replace('-', " ");
    let place = lying.room.map_or(String::new(), |room| format!(" in {}", site.rooms[room].id));
    let together = match lying.cables {
        0 | 1 => "no loaded cable beside it".to_owned(),
        cables => format!("{cables} loaded cables in one hole"),
    };
    format!(
        "The worst stretch sets this: {medium}{place}, method {}, {together}. Drops to a point and the first metre at the board \
         do not count as a group (common practice, no source)",
        lying.method
    )
}

/// What was chosen where a stretch lies in insulation, with what each way costs.
fn insulation(choice: &InsulationChoice, site: &Site) -> String {
    let place = choice.room.map_or(String::new(), |room| format!(" of {}", site.rooms[room].id));
    let medium = choice.medium.word().replace('-', " ");
    let named = |way: InsulationWay| match way {
        InsulationWay::Clear => format!("clip {:.1} clear of the insulation", choice.under),
        InsulationWay::Moved => "take another way".to_owned(),
        InsulationWay::Larger => "lay a larger cable in it".to_owned(),
    };
    let ways = [
        (InsulationWay::Clear, choice.clear),
        (InsulationWay::Moved, choice.moved),
        (InsulationWay::Larger, choice.larger),
    ];
    let priced = ways.into_iter().filter_map(|(way, priced)| {
        let WayPriced { line_mm2, metres, cost } = priced?;
        Some(format!(". To {}: {metres:.1} of {line_mm2} mm2, laid for {cost}", named(way)))
    });
    let priced: String = priced.collect();
    format!(
        "Insulation{place}: the cable would lie there by method {} ({medium}). Cheapest: {}{priced}",
        choice.method,
        named(choice.chosen)
    )
}

/// Why a cable is larger than the one that was first taken.
fn larger(from_mm2: f64, to_mm2: f64, why: &LargerBecause) -> String {
    let why = match why {
        LargerBecause::Fails(checks) => {
            let fails: Vec<&str> = checks.iter().map(|check| check.word()).collect();
            format!(", which fails {}", fails.join(", "))
        }
        LargerBecause::FewerHoles { saved, costs } => {
            format!(". It costs {costs} more and saves {saved} of extra holes")
        }
        LargerBecause::LastPointBehind => ", so that the last point behind it stays within its voltage drop".to_owned(),
    };
    format!("{to_mm2} mm2, not {from_mm2} mm2{why}")
}

fn by_rating_table(current: Amps, step: &RatingStep, line_mm2: f64) -> String {
    let (amps, device_a, source) = (current.value(), step.device_a, &step.source);
    format!("For {amps:.1} A the rating table gives {device_a} A and {line_mm2} mm2 ({source})")
}

/// What is asked of a device where the limit of its class is too much for the protective conductor.
pub(crate) fn lower_let_through(most_a2s: f64) -> String {
    format!("A device of at most {most_a2s} A2s at that fault level passes. Order one whose maker states that")
}

fn not_checked(faults: &[Fault]) -> String {
    let faults: Vec<&str> = faults.iter().map(|fault| fault.detail.as_str()).collect();
    format!("Not checked. {}", faults.join(". "))
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
    let costs = |one: &FormPriced| {
        format!(". Laid as {}, {:.1} of {} mm2: {}", form(one.form), one.metres, one.line_mm2, one.cost)
    };
    let costs: String = forms.iter().map(costs).collect();
    let barred: String =
        forms.iter().filter_map(|one| Some(format!(". Not {}: {}", form(one.form), bar(one.bar.as_ref()?)))).collect();
    format!("The cheapest that may be is {}{costs}{barred}", form(compared.chosen))
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
        Bar::Kitchen => "a kitchen draws more than 20 A".to_owned(),
        Bar::OtherDeviceGiven => "another device was given".to_owned(),
        Bar::Carries(carried, method) => format!("4 mm2 carries {carried:.0} where it lies (method {method})"),
        Bar::Area { area, limit } => format!("{area:.0} of floor is more than its {limit:.0}"),
        Bar::Points { points, limit } => format!("{points} points are more than its {limit}"),
        Bar::FarEnd { metres, limit } => format!("its far end would be {metres:.1} off, over {limit:.1}"),
    }
}

fn feed_size(size: &FeedSize) -> String {
    let FeedSize { largest_a, current_a, rating_a, behind_a, .. } = size;
    let of_its_cable = match &size.cable {
        None => "Its cable is as given. The checks say whether it is large enough".to_owned(),
        Some(cable) => format!(
            "{} mm2 keeps the voltage drop over {:.0} m near {:.0} %. The circuits behind it have the rest",
            cable.line_mm2,
            cable.run_m,
            cable.drop_share * 100.0
        ),
    };
    let above = if rating_a > behind_a { "above" } else { "not above" };
    format!(
        "The largest circuit is {largest_a:.1} A. With 40 % of the others that makes {current_a:.1} A. The device is \
         {rating_a} A, {above} the {behind_a} A behind it. {of_its_cable}"
    )
}

/// What is said of a feed beside the other one.
fn other_feed(building: &OutbuildingPlan, site: &Site) -> String {
    let Some(other) = &building.other_feed else { return String::new() };
    let from = routes::fed_from(building, site);
    let money = Money::rounded(decimal(other.money));
    let figures = format!("{money} of cost, {:+.1} m of armoured cable, {:+.1} h", other.metres, other.hours);
    match &other.fails {
        Some(fails) => {
            let fails = routes::failure(fails);
            format!("{from}. The other feed differs by {figures}. It does not comply: {fails}")
        }
        None => format!("{from}. The other feed differs by {figures}"),
    }
}

/// How the design current of a circuit comes about, so that a pencil can follow it.
fn design_current(circuit: &CircuitPlan, current: Amps, site: &Site, catalogue: &Catalogue) -> String {
    let voltage = site.supply.voltage;
    let parts = match circuit.kind {
        CircuitType::Outside if holds_sockets(&circuit.members, site) => {
            return format!(
                "Nobody knows what will be plugged in. We took all that the device lets flow, {current:.0}"
            );
        }
        CircuitType::Lighting | CircuitType::Alarms | CircuitType::Outside => lamps(circuit, site, catalogue),
        kind if circuit.appliances.is_empty() => format!("{:.1} (usual)", usual_load(kind, catalogue)),
        _ => plates(circuit),
    };
    if circuit.kind == CircuitType::Cooker {
        return format!(
            "Load: {parts} at {voltage:.0}. The first 10 A and 30 % of the rest make {current:.2} (On-Site Guide Table A2)"
        );
    }
    format!("Load: {parts} / {voltage:.0} = {current:.2}")
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
