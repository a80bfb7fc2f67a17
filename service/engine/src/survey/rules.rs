//! The rules of a survey that a schema cannot say: identifiers, references, sums, things that cannot stand
//! together. Every breach is reported, in the order of the document.

mod onward;
mod openings;
mod plan;
mod scope;
mod stack;

use std::collections::BTreeMap;

use super::{Appliance, EstimateRequest, Obstruction, Outbuilding, Point, PointType, Scope, Survey};
use crate::faults::{Fault, FaultCode, nearest};
use crate::limits::{APPLIANCES_MAX, FAULTS_LISTED_MAX, POINTS_MAX};

/// Every breach in `request`, at most [`FAULTS_LISTED_MAX`].
#[must_use]
pub fn faults(request: &EstimateRequest) -> Vec<Fault> {
    let survey = &request.survey;
    let mut faults = Vec::new();
    reference(survey, &mut faults);
    let storeys = storeys(survey, &mut faults);
    let places = places(survey, &mut faults);
    rooms(survey, &storeys, &mut faults);
    references(survey, &storeys, &places, &mut faults);
    vat_exceptions(request, &places, &mut faults);
    visit(request, &places, &mut faults);
    for (index, building) in survey.outbuildings.iter().enumerate() {
        outbuilding(building, &format!("/survey/outbuildings/{index}"), &mut faults);
    }
    onward::faults(survey, &mut faults);
    plan::faults(survey, &storeys, &mut faults);
    supply(survey, &mut faults);
    phases_of_appliances(survey, &mut faults);
    scope::faults(survey, &mut faults);
    counts(survey, &mut faults);
    appliances_within_limit(survey, &mut faults);
    faults.truncate(FAULTS_LISTED_MAX);
    faults
}

/// The reference is looked up by in the audit trail, whose texts cannot hold this character.
fn reference(survey: &Survey, faults: &mut Vec<Fault>) {
    if survey.reference.as_deref().is_some_and(|reference| reference.contains('\0')) {
        let detail = "`reference` holds the character U+0000; leave it out";
        faults.push(Fault::new("/survey/reference", FaultCode::WrongForm, detail));
    }
}

fn storeys<'a>(survey: &'a Survey, faults: &mut Vec<Fault>) -> BTreeMap<&'a str, i8> {
    let mut levels = BTreeMap::new();
    let mut at_level: BTreeMap<i8, usize> = BTreeMap::new();
    for (index, storey) in survey.site.iter().flat_map(|site| &site.storeys).enumerate() {
        let pointer = format!("/survey/site/storeys/{index}");
        if levels.insert(storey.id.as_str(), storey.level).is_some() {
            faults.push(duplicate(format!("{pointer}/id"), "storey", &storey.id));
        }
        if let Some(first) = at_level.insert(storey.level, index) {
            let detail = format!("storeys {first} and {index} are both at level {}; give each its own", storey.level);
            faults.push(Fault::new(format!("{pointer}/level"), FaultCode::Contradiction, detail));
        }
    }
    levels
}

/// Rooms and outbuildings by identifier: one list, because a service or a board may stand in either.
fn places<'a>(survey: &'a Survey, faults: &mut Vec<Fault>) -> BTreeMap<&'a str, usize> {
    let mut places = BTreeMap::new();
    for (index, room) in survey.rooms.iter().enumerate() {
        if let Some(first) = places.insert(room.id.as_str(), index) {
            let detail = format!("the id `{}` is used by rooms {first} and {index}; give each room its own", room.id);
            faults.push(Fault::new(format!("/survey/rooms/{index}/id"), FaultCode::DuplicateId, detail));
        }
    }
    for (index, building) in survey.outbuildings.iter().enumerate() {
        if places.insert(building.id.as_str(), usize::MAX).is_some() {
            faults.push(duplicate(format!("/survey/outbuildings/{index}/id"), "outbuilding", &building.id));
        }
    }
    places
}

fn duplicate(pointer: String, kind: &str, id: &str) -> Fault {
    Fault::new(pointer, FaultCode::DuplicateId, format!("the id `{id}` is used twice; give each {kind} its own"))
}

fn rooms(survey: &Survey, storeys: &BTreeMap<&str, i8>, faults: &mut Vec<Fault>) {
    for (index, room) in survey.rooms.iter().enumerate() {
        let pointer = format!("/survey/rooms/{index}");
        if let Some(storey) = &room.storey {
            known_storey(storey, storeys, format!("{pointer}/storey"), faults);
        }
        for (point_index, point) in room.points.iter().enumerate() {
            let pointer = format!("{pointer}/points/{point_index}");
            self::point(point, &pointer, faults);
        }
        overlaps_within_limit(&room.appliances, &pointer, faults);
    }
}

/// An appliance list may name one kind twice with different loads, but not say nothing twice.
fn overlaps_within_limit(appliances: &[Appliance], pointer: &str, faults: &mut Vec<Fault>) {
    for (index, appliance) in appliances.iter().enumerate() {
        let repeated = appliances[..index]
            .iter()
            .any(|earlier| earlier.appliance_type == appliance.appliance_type && earlier == appliance);
        if repeated && appliance.at.is_none() {
            let detail = format!("`{}` is written twice alike; give one entry with `count`", appliance.appliance_type);
            faults.push(Fault::new(format!("{pointer}/appliances/{index}"), FaultCode::Contradiction, detail));
        }
    }
}

fn point(point: &Point, pointer: &str, faults: &mut Vec<Fault>) {
    let takes_gangs = matches!(
        point.point_type,
        PointType::OneWaySwitch | PointType::TwoWaySwitch | PointType::IntermediateSwitch | PointType::Dimmer
    );
    if point.gangs.is_some_and(|gangs| gangs > 1) && !takes_gangs {
        let detail = format!("`{}` has no gangs; leave `gangs` out", point.point_type);
        faults.push(Fault::new(format!("{pointer}/gangs"), FaultCode::Contradiction, detail));
    }
    if point.length_m.is_some() && point.point_type != PointType::StripLight {
        let detail = format!("only `strip-light` goes by length; leave `length_m` out of `{}`", point.point_type);
        faults.push(Fault::new(format!("{pointer}/length_m"), FaultCode::Contradiction, detail));
    }
}

fn vat_exceptions(request: &EstimateRequest, places: &BTreeMap<&str, usize>, faults: &mut Vec<Fault>) {
    for (index, exception) in request.terms.iter().flat_map(|terms| &terms.vat_exceptions).enumerate() {
        let pointer = format!("/terms/vat_exceptions/{index}");
        if let Some(room) = &exception.room {
            known_place(room, places, format!("{pointer}/room"), faults);
        } else if exception.point.is_none() {
            let detail = "it does not say what this case is for. Give `room`, `point` or both";
            faults.push(Fault::new(pointer, FaultCode::MissingField, detail));
        }
    }
}

fn visit(request: &EstimateRequest, places: &BTreeMap<&str, usize>, faults: &mut Vec<Fault>) {
    let Some(visit) = request.terms.as_ref().and_then(|terms| terms.visit.as_ref()) else { return };
    if request.survey.reference.as_ref() == Some(&visit.paid_by) {
        let detail =
            "it is this job's own reference; give that of the job that pays for the visit, or leave `visit` out";
        faults.push(Fault::new("/terms/visit/paid_by", FaultCode::Contradiction, detail));
    }
    for (index, room) in visit.rooms.iter().enumerate() {
        known_place(room, places, format!("/terms/visit/rooms/{index}"), faults);
    }
}

fn references(survey: &Survey, storeys: &BTreeMap<&str, i8>, places: &BTreeMap<&str, usize>, faults: &mut Vec<Fault>) {
    if let Some(intake) = &survey.intake {
        known_place(&intake.room, places, "/survey/intake/room".to_owned(), faults);
    }
    if let Some(unit) = &survey.consumer_unit {
        known_place(&unit.room, places, "/survey/consumer_unit/room".to_owned(), faults);
        if let Some(room) = unit.existing.as_ref().and_then(|board| board.room.as_ref()) {
            known_place(room, places, "/survey/consumer_unit/existing/room".to_owned(), faults);
        }
    }
    if let Some(hub) = &survey.signal_hub {
        known_place(&hub.room, places, "/survey/signal_hub/room".to_owned(), faults);
    }
    for (index, service) in survey.services.iter().flatten().enumerate() {
        if let Some(room) = &service.room {
            known_place(room, places, format!("/survey/services/{index}/room"), faults);
        }
    }
    for (index, future) in survey.future.iter().enumerate() {
        if let Some(room) = &future.room {
            known_place(room, places, format!("/survey/future/{index}/room"), faults);
        }
    }
    for (index, Obstruction { storey, from, to, .. }) in survey.obstructions.iter().enumerate() {
        if let Some(storey) = storey {
            known_storey(storey, storeys, format!("/survey/obstructions/{index}/storey"), faults);
        }
        if from == to {
            let detail = "both ends are the same place. Give the two ends of what is in the way";
            faults.push(Fault::new(format!("/survey/obstructions/{index}/to"), FaultCode::Contradiction, detail));
        }
    }
}

fn known_place(id: &str, places: &BTreeMap<&str, usize>, pointer: String, faults: &mut Vec<Fault>) {
    if !places.contains_key(id) {
        faults.push(unknown_reference(pointer, "room", id, places.keys().copied()));
    }
}

fn known_storey(id: &str, storeys: &BTreeMap<&str, i8>, pointer: String, faults: &mut Vec<Fault>) {
    // Without a list of storeys the usual words stand for themselves.
    let usual = storeys.is_empty() && usual_level(id).is_some();
    if !storeys.contains_key(id) && !usual {
        faults.push(unknown_reference(pointer, "storey", id, storeys.keys().copied()));
    }
}

/// The level that a usual word for a storey means, where a survey lists no storeys.
#[must_use]
pub fn usual_level(word: &str) -> Option<i8> {
    match word {
        "cellar" | "basement" => Some(-1),
        "ground" => Some(0),
        "first" => Some(1),
        "second" => Some(2),
        "third" => Some(3),
        // Over the usual two storeys; a taller house lists its storeys.
        "loft" => Some(2),
        _ => None,
    }
}

fn unknown_reference<'a>(pointer: String, kind: &str, id: &str, known: impl Iterator<Item = &'a str> + Clone) -> Fault {
    let mut detail = format!("there is no {kind} `{id}` in this survey");
    match nearest(id, known.clone()) {
        Some(meant) => detail.push_str(&format!("; did you mean `{meant}`?")),
        None => {
            let listed: Vec<&str> = known.take(20).collect();
            if listed.is_empty() {
                detail.push_str(&format!("; it lists no {kind}s: add one with that id"));
            } else {
                detail.push_str(&format!("; it has {}", listed.join(", ")));
            }
        }
    }
    Fault::new(pointer, FaultCode::UnknownReference, detail)
}

fn outbuilding(building: &Outbuilding, pointer: &str, faults: &mut Vec<Fault>) {
    if !building.stretches.is_empty() && (building.run_m.is_some() || building.ground.is_some()) {
        let detail = "give either `stretches`, or `run_m` with `ground`, not both";
        faults.push(Fault::new(format!("{pointer}/stretches"), FaultCode::Contradiction, detail));
    }
    for (index, entry) in building.points.iter().enumerate() {
        point(entry, &format!("{pointer}/points/{index}"), faults);
    }
    overlaps_within_limit(&building.appliances, pointer, faults);
}

fn supply(survey: &Survey, faults: &mut Vec<Fault>) {
    let Some(supply) = &survey.supply else { return };
    if supply.phases == Some(2) {
        let detail = "`phases` is 2; give 1 or 3";
        faults.push(Fault::new("/survey/supply/phases", FaultCode::OutOfRange, detail));
    }
    let phases = supply.phases.unwrap_or(1);
    match supply.cut_out_phases {
        Some(2) => {
            let detail = "`cut_out_phases` is 2; give 1 or 3, or leave it out";
            faults.push(Fault::new("/survey/supply/cut_out_phases", FaultCode::OutOfRange, detail));
        }
        Some(cut_out) if phases != 2 && cut_out != phases => {
            let detail = format!(
                "the supply has {phases} phases and the cut-out {cut_out}. A cut-out has a fuse for each phase. Look at both again"
            );
            faults.push(Fault::new("/survey/supply/cut_out_phases", FaultCode::Contradiction, detail));
        }
        _ => {}
    }
    if let (Some(peak), Some(cut_out)) = (supply.measured_peak_a, supply.cut_out_a)
        && peak > cut_out
    {
        let detail = format!(
            "a peak of {peak} A was measured behind a cut-out of {cut_out} A. Its fuse would have blown. Read both again"
        );
        faults.push(Fault::new("/survey/supply/measured_peak_a", FaultCode::Contradiction, detail));
    }
    if supply.measured_in.is_some() && supply.measured_peak_a.is_none() {
        let detail = "`measured_in` says when the peak was measured, but no peak is given. Give `measured_peak_a`, or leave it out";
        faults.push(Fault::new("/survey/supply/measured_in", FaultCode::Contradiction, detail));
    }
}

/// A load on three phases wants a supply of three.
fn phases_of_appliances(survey: &Survey, faults: &mut Vec<Fault>) {
    let three = survey.supply.as_ref().and_then(|supply| supply.phases) == Some(3);
    for (place, appliance) in appliances(survey) {
        match appliance.phases {
            Some(2) => {
                faults.push(Fault::new(place.of("phases"), FaultCode::OutOfRange, "`phases` is 2; give 1 or 3"));
            }
            Some(3) if !three => {
                let detail = "it takes three phases, but the supply does not have them. Give `supply.phases` 3, or an \
                              appliance for one phase";
                faults.push(Fault::new(place.of("phases"), FaultCode::Contradiction, detail));
            }
            _ => {}
        }
    }
}

/// Where an appliance stands in a survey.
struct AppliancePlace {
    list: &'static str,
    index: usize,
    entry: usize,
}

impl AppliancePlace {
    /// The pointer to one of its fields.
    fn of(&self, field: &str) -> String {
        let Self { list, index, entry } = self;
        format!("/survey/{list}/{index}/appliances/{entry}/{field}")
    }
}

/// The appliances of the rooms, then those of the outbuildings.
fn appliances(survey: &Survey) -> impl Iterator<Item = (AppliancePlace, &Appliance)> {
    let in_rooms = survey.rooms.iter().enumerate().map(|(index, room)| ("rooms", index, &room.appliances));
    let buildings = survey.outbuildings.iter().enumerate();
    let in_buildings = buildings.map(|(index, building)| ("outbuildings", index, &building.appliances));
    in_rooms.chain(in_buildings).flat_map(|(list, index, appliances)| {
        let placed = appliances.iter().enumerate();
        placed.map(move |(entry, appliance)| (AppliancePlace { list, index, entry }, appliance))
    })
}

/// Each appliance may become a circuit with a route, a device and seven checks: one small `count` is much work.
fn appliances_within_limit(survey: &Survey, faults: &mut Vec<Fault>) {
    let mut said = 0;
    for (place, appliance) in appliances(survey) {
        let before = said;
        said += u64::from(appliance.count.unwrap_or(1));
        if said > APPLIANCES_MAX {
            let detail = format!(
                "with this entry the survey has {said} appliances, {before} without it; give at most \
                 {APPLIANCES_MAX} in all, or split the survey"
            );
            faults.push(Fault::new(place.of("count"), FaultCode::OutOfRange, detail));
            return;
        }
    }
}

fn counts(survey: &Survey, faults: &mut Vec<Fault>) {
    let in_rooms = survey.rooms.iter().flat_map(|room| &room.points);
    let in_buildings = survey.outbuildings.iter().flat_map(|building| &building.points);
    let wanted = in_rooms.chain(in_buildings).filter(|point| point.stays != Some(true));
    let points: u64 = wanted.map(|point| u64::from(point.count.unwrap_or(1))).sum();
    if points > POINTS_MAX {
        let detail = format!("the survey has {points} points in all; give at most {POINTS_MAX}, or split it");
        faults.push(Fault::new("/survey/rooms", FaultCode::OutOfRange, detail));
    }
    if points == 0 && survey.scope != Some(Scope::BoardChange) {
        let detail = "no room has any points; record at least one point to price";
        faults.push(Fault::new("/survey/rooms", FaultCode::MissingField, detail));
    }
}
