//! The review of a survey: what it lacks, what could go wrong, what is worth asking, and what was taken meanwhile. The
//! same steps as an estimate, without its document, so that it can follow a form as it is typed.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Assumption, Engine, Question, Range, RiskFlag, findings::PricedJob};
use crate::answer;
use crate::circuits::design;
use crate::context::Context;
use crate::faults::{Fault, FaultCode};
use crate::pricing::{self, price};
use crate::site::Site;
use crate::survey::{EstimateRequest, Point, Room, RoomUse, Survey, rules};
use crate::take_off::buying;
use crate::work::Stopped;

/// A survey to be looked over.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SurveyReviewRequest {
    /// What was recorded so far. Rooms may be without points yet.
    pub survey: Survey,
}

/// What a survey lacks and what that is worth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SurveyReview {
    /// How much of each subject was recorded, in the order of a walk round the house.
    pub completeness: Vec<SubjectCompleteness>,
    /// How much of each room was recorded.
    pub rooms: Vec<RoomCompleteness>,
    /// What is worth asking, the dearest first.
    pub questions: Vec<Question>,
    /// What could hurt somebody, cost money or delay the job.
    pub risk_flags: Vec<RiskFlag>,
    /// What was taken where nothing was recorded.
    pub assumptions: Vec<Assumption>,
    /// How wide the net price is on what is known now, by the service's built-in rate sheet.
    pub range: Range,
}

/// How much of one subject was recorded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SubjectCompleteness {
    /// The subject.
    #[schema(example = "floors")]
    pub subject: String,
    /// What was recorded of what could be, in percent.
    #[schema(minimum = 0, maximum = 100, example = 75)]
    pub percent: u8,
    /// What is missing: rooms or things.
    pub missing: Vec<String>,
}

/// How much of one room was recorded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoomCompleteness {
    /// The room's identifier.
    #[schema(example = "kitchen")]
    pub room: String,
    /// What was recorded of what could be, in percent.
    #[schema(minimum = 0, maximum = 100, example = 60)]
    pub percent: u8,
    /// The subjects that are missing.
    pub missing: Vec<String>,
}

impl SurveyReviewRequest {
    /// Every fault that makes the survey unreadable; a survey without points is none yet.
    #[must_use]
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults = rules::faults(&self.clone().into_request());
        faults.retain(|fault| !(fault.code == FaultCode::MissingField && fault.pointer == "/survey/rooms"));
        faults
    }

    pub(super) fn into_request(self) -> EstimateRequest {
        EstimateRequest { survey: self.survey, rate_sheet: None, method: None, terms: None }
    }
}

/// Looks a survey over.
pub(super) fn review(engine: &Engine, context: Context<'_>) -> Result<SurveyReview, Stopped> {
    let (site, mut assumptions) = Site::from_survey(context.survey(), context.catalogue, context.work);
    context.work.finished()?;
    let site = super::feeds::chosen(context, site, &mut assumptions);
    let design = design(context, &site);
    context.work.finished()?;
    let priced = price(&design);
    context.work.finished()?;
    let items = priced.items();
    let found = PricedJob::of(engine, &assumptions, &design, &priced, &items);
    let open = found.open_matters()?;
    let spread = found.spread(&open, |percent| buying::left_over_charge(&found.bought(), percent));
    // The same price as an estimate would have, for questions and flags are weighed at it.
    let net = pricing::measured(spread.direct, spread.range.contingency, context).totals.net;
    let review = SurveyReview {
        completeness: subjects(context.survey()),
        rooms: rooms(context.survey()),
        questions: found.questions(&open.unknowns, net),
        range: answer::range::range(&spread.range, &open.flags),
        risk_flags: found.told(open.flags, net).risk_flags,
        assumptions: answer::assumptions::assumptions(&assumptions, found.job),
    };
    context.work.finished().map(|()| review)
}

fn marked(point: &Point) -> bool {
    point.at.is_some() || (point.wall.is_some() && point.along_m.is_some())
}

/// What could be recorded of a room, and whether it was.
fn of_room(survey: &Survey, room: &Room) -> Vec<(Subject, bool)> {
    if room.room_use == Some(RoomUse::Outside) {
        return vec![(Subject::Points, !room.points.is_empty())];
    }
    let site = survey.site.as_ref();
    let storey = room.storey.as_deref();
    let storeys = site.iter().flat_map(|site| &site.storeys);
    let storey_height = storeys.into_iter().any(|known| storey == Some(known.id.as_str()) && known.height_m.is_some());
    let floor = room.floor.as_ref();
    // The loft has neither walls nor a ceiling that anybody cuts.
    let loft = room.room_use == Some(RoomUse::Loft);
    let mut subjects = vec![
        (Subject::Uses, room.room_use.is_some()),
        (Subject::Storeys, storey.is_some()),
        (Subject::Outlines, room.outline.is_some() || !room.corners.is_empty()),
        (Subject::Heights, room.height_m.is_some() || storey_height),
        (Subject::Floors, floor.is_some_and(|floor| floor.construction.is_some())),
        (Subject::Coverings, floor.is_some_and(|floor| floor.covering.is_some())),
        (Subject::Occupancy, room.occupancy.is_some() || site.is_some_and(|site| site.occupancy.is_some())),
        (Subject::Points, !room.points.is_empty()),
        (Subject::Positions, !room.points.is_empty() && room.points.iter().all(marked)),
    ];
    if !loft {
        subjects.push((Subject::Walls, room.wall.is_some() || site.is_some_and(|site| site.wall.is_some())));
        subjects.push((Subject::Ceilings, room.ceiling.as_ref().is_some_and(|ceiling| ceiling.construction.is_some())));
    }
    if !room.appliances.is_empty() {
        subjects.push((Subject::Loads, room.appliances.iter().all(|appliance| appliance.load_kw.is_some())));
    }
    subjects
}

fn rooms(survey: &Survey) -> Vec<RoomCompleteness> {
    let mut rooms: Vec<&Room> = survey.rooms.iter().collect();
    rooms.sort_by(|a, b| a.id.cmp(&b.id));
    let completeness = |room: &&Room| {
        let subjects = of_room(survey, room);
        let missing: Vec<String> =
            subjects.iter().filter(|(_, there)| !there).map(|(subject, _)| subject.word().to_owned()).collect();
        let percent = percent(subjects.len() - missing.len(), subjects.len());
        RoomCompleteness { room: room.id.clone(), percent, missing }
    };
    rooms.iter().map(completeness).collect()
}

/// What can be recorded, in the order of a walk round: the house, its rooms, the supply, the services, the garden, what is
/// there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Subject {
    House,
    Uses,
    Storeys,
    Outlines,
    Heights,
    Walls,
    Floors,
    Coverings,
    Ceilings,
    Occupancy,
    Points,
    Positions,
    Loads,
    Supply,
    Services,
    Outbuildings,
    Existing,
}

/// What can be recorded of a room, in the order of a walk round it.
const OF_ROOMS: [Subject; 12] = [
    Subject::Uses,
    Subject::Storeys,
    Subject::Outlines,
    Subject::Heights,
    Subject::Walls,
    Subject::Floors,
    Subject::Coverings,
    Subject::Ceilings,
    Subject::Occupancy,
    Subject::Points,
    Subject::Positions,
    Subject::Loads,
];

impl Subject {
    /// As the review names it.
    const fn word(self) -> &'static str {
        match self {
            Self::House => "house",
            Self::Uses => "uses",
            Self::Storeys => "storeys",
            Self::Outlines => "outlines",
            Self::Heights => "heights",
            Self::Walls => "walls",
            Self::Floors => "floors",
            Self::Coverings => "coverings",
            Self::Ceilings => "ceilings",
            Self::Occupancy => "occupancy",
            Self::Points => "points",
            Self::Positions => "positions",
            Self::Loads => "loads",
            Self::Supply => "supply",
            Self::Services => "services",
            Self::Outbuildings => "outbuildings",
            Self::Existing => "existing",
        }
    }

    /// A subject that there is nothing of is left out rather than called complete.
    fn applies(self, survey: &Survey) -> bool {
        match self {
            Self::Outbuildings => !survey.outbuildings.is_empty(),
            Self::Loads => survey.rooms.iter().any(|room| !room.appliances.is_empty()),
            Self::House
            | Self::Uses
            | Self::Storeys
            | Self::Outlines
            | Self::Heights
            | Self::Walls
            | Self::Floors
            | Self::Coverings
            | Self::Ceilings
            | Self::Occupancy
            | Self::Points
            | Self::Positions
            | Self::Supply
            | Self::Services
            | Self::Existing => true,
        }
    }
}

/// Every subject that the survey has something of, in the order of the list.
fn subjects(survey: &Survey) -> Vec<SubjectCompleteness> {
    let mut in_rooms: BTreeMap<Subject, Vec<(&str, bool)>> = BTreeMap::new();
    for room in &survey.rooms {
        for (subject, there) in of_room(survey, room) {
            in_rooms.entry(subject).or_default().push((room.id.as_str(), there));
        }
    }
    let mut all = vec![(Subject::House, of_house(survey))];
    for subject in OF_ROOMS {
        let mut entries = in_rooms.remove(&subject).unwrap_or_default();
        entries.sort_unstable();
        all.push((subject, entries));
    }
    all.push((Subject::Supply, of_supply(survey)));
    all.push((Subject::Services, of_services(survey)));
    all.push((Subject::Outbuildings, of_outbuildings(survey)));
    all.push((Subject::Existing, of_existing(survey)));
    let completeness = all.into_iter().map(|(subject, entries)| (subject, complete(subject, entries)));
    let said = completeness.filter(|(subject, complete)| complete.percent < 100 || subject.applies(survey));
    said.map(|(_, complete)| complete).collect()
}

fn of_house(survey: &Survey) -> Vec<(&'static str, bool)> {
    let site = survey.site.clone().unwrap_or_default();
    vec![
        ("dwelling", site.dwelling.is_some()),
        ("built-year", site.built_year.is_some()),
        ("nation", site.nation.is_some()),
        ("tenure", site.tenure.is_some()),
        ("distance", site.distance_km.is_some()),
        ("parking", site.parking.is_some()),
        ("storeys", !site.storeys.is_empty()),
        ("vulnerable-person", site.vulnerable_person.is_some()),
    ]
}

fn of_supply(survey: &Survey) -> Vec<(&'static str, bool)> {
    let supply = survey.supply.clone().unwrap_or_default();
    vec![
        ("intake", survey.intake.is_some()),
        ("consumer-unit", survey.consumer_unit.is_some()),
        ("earthing", supply.earthing.is_some()),
        ("ze", supply.ze_ohm.is_some()),
        ("cut-out", supply.cut_out_a.is_some()),
        ("fault-current", supply.fault_current_ka.is_some()),
        ("looped", supply.looped.is_some()),
        ("isolator", supply.isolator_after_meter.is_some()),
    ]
}

fn of_services(survey: &Survey) -> Vec<(&'static str, bool)> {
    let Some(services) = &survey.services else { return vec![("services", false)] };
    let mut all: Vec<(&'static str, bool)> = services
        .iter()
        .map(|service| {
            let whole = service.room.is_some() && service.entry_material.is_some() && service.bonded_mm2.is_some();
            (service.service_type.word(), whole)
        })
        .collect();
    all.sort_unstable();
    all
}

fn of_outbuildings(survey: &Survey) -> Vec<(&str, bool)> {
    let mut all: Vec<(&str, bool)> = survey
        .outbuildings
        .iter()
        .map(|building| {
            let way = !building.stretches.is_empty() || (building.run_m.is_some() && building.ground.is_some());
            let whole = way && building.construction.is_some() && building.buried_services_known.is_some();
            (building.id.as_str(), whole)
        })
        .collect();
    all.sort_unstable();
    all
}

fn of_existing(survey: &Survey) -> Vec<(&'static str, bool)> {
    let existing = survey.existing.clone().unwrap_or_default();
    let board = survey.consumer_unit.as_ref().and_then(|unit| unit.existing.as_ref());
    vec![
        ("cable-era", existing.cable_era.is_some()),
        ("points-to-strip", existing.points_to_strip.is_some()),
        ("board", board.is_some_and(|board| board.condition.is_some())),
    ]
}

fn complete(subject: Subject, entries: Vec<(&str, bool)>) -> SubjectCompleteness {
    let missing: Vec<String> = entries.iter().filter(|(_, there)| !there).map(|(name, _)| (*name).to_owned()).collect();
    let percent = percent(entries.len() - missing.len(), entries.len());
    SubjectCompleteness { subject: subject.word().to_owned(), percent, missing }
}

/// Rounded down: 100 is said only where nothing is missing.
fn percent(there: usize, all: usize) -> u8 {
    u8::try_from(there.saturating_mul(100).checked_div(all).unwrap_or(100)).unwrap_or(100)
}
