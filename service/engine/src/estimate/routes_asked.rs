//! Routes asked for by themselves: a drawn site and the ends of runs in, the ways of their cables out.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Route, storey_level, ways};
use crate::catalogue::{Catalogue, PointPlace};
use crate::faults::{Fault, FaultCode, nearest};
use crate::labour::Factors;
use crate::limits::FAULTS_LISTED_MAX;
use crate::money::Money;
use crate::quantities::{Hours, Metres};
use crate::rate_sheet::Workbook;
use crate::routes::{Ask, Course, Gauge, Opening, Prices, Run, Stop, StopPoint, Ways, is_mapped, mapped_words};
use crate::site::{Site, Spot};
use crate::survey::vocabulary::closed_list;
use crate::survey::{EstimateRequest, Position, RateSheetReference, Survey, WallSide};

/// A drawn site and the runs that are wanted on it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RoutesRequest {
    /// The site, as for an estimate; every room with its outline. Points of rooms may be left out: those that are there
    /// share what is opened.
    pub survey: Survey,
    /// The rate sheet to weigh the ways with; the newest version of `standard` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_sheet: Option<RateSheetReference>,
    /// The runs. They are planned together: what one opens is free for the others.
    #[schema(min_items = 1, max_items = 100)]
    pub runs: Vec<RunAsked>,
}

/// A run that is wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RunAsked {
    /// Its identifier.
    #[schema(min_length = 1, max_length = 64, example = "shower")]
    pub id: String,
    /// Where it starts; at the board if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<RunEnd>,
    /// Where it goes.
    #[schema(min_items = 1, max_items = 100)]
    pub to: Vec<RunEnd>,
    /// How it goes through its ends; `chain` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub course: Option<CourseAsked>,
    /// Line conductor of its flat cable, in mm2; 2.5 if left out.
    #[schema(minimum = 1, maximum = 16, example = 2.5)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line_mm2: Option<f64>,
}

/// One end of a run. Without a place: in the middle of the room, on the nearest wall.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RunEnd {
    /// The room.
    #[schema(min_length = 1, max_length = 64, example = "bathroom")]
    pub room: String,
    /// The place on plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Position>,
    /// The side of the room on whose wall it is, where that was measured instead of the place. With `along_m`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<WallSide>,
    /// Metres along that wall: from the left end of a front or back wall, from the front end of a side wall.
    #[schema(minimum = 0, maximum = 1000, example = 1.2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_m: Option<f64>,
    /// Its centre above the floor, in metres; 0.45 if left out. On a ceiling it is not asked for.
    #[schema(minimum = 0, maximum = 20, example = 0.45)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// On a wall or on the ceiling; `wall` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<EndPlace>,
}

closed_list! {
    /// How a run goes through its ends.
    CourseAsked {
        Ring = "ring": "From the start through all and back.",
        Chain = "chain": "From the start through all.",
        Tree = "tree": "From the start, branching at ends.",
        Star = "star": "From the start to each end by itself.",
    }
}

closed_list! {
    /// Where in a room an end is.
    EndPlace {
        Wall = "wall": "On a wall.",
        Ceiling = "ceiling": "On the ceiling.",
    }
}

/// The routes of the runs, in their order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoutesAnswer {
    /// ISO 4217; every amount of the document is in it.
    #[schema(example = "GBP")]
    pub currency: String,
    /// One for each run: `serves` is the run's identifier.
    pub routes: Vec<Route>,
}

/// Plans the runs.
pub(super) fn routes(
    catalogue: &Catalogue,
    request: &RoutesRequest,
    workbook: &Workbook,
) -> Result<RoutesAnswer, Vec<Fault>> {
    let (site, _) = Site::from_survey(&request.survey, catalogue);
    let mut faults = survey_faults(request);
    for (index, room) in request.survey.rooms.iter().enumerate() {
        if room.outline.is_none() && room.corners.is_empty() {
            let detail = format!("`{}` has no outline; routes are searched on drawn rooms only: draw it", room.id);
            faults.push(Fault::new(format!("/survey/rooms/{index}/outline"), FaultCode::MissingField, detail));
        }
    }
    let runs: Vec<Wanted> = request
        .runs
        .iter()
        .enumerate()
        .filter_map(|(index, run)| wanted(run, &format!("/runs/{index}"), &site, &mut faults))
        .collect();
    duplicates(request, &mut faults);
    if !is_mapped(&site) {
        let detail = format!("{}; split the survey", mapped_words());
        faults.push(Fault::new("/survey/rooms", FaultCode::OutOfRange, detail));
    }
    if !faults.is_empty() {
        faults.truncate(FAULTS_LISTED_MAX);
        return Err(faults);
    }
    let factors = Factors::of(&site, workbook);
    let prices = Prices::of(&site, catalogue, workbook, &factors);
    let mut ways = Ways::of(&site, catalogue, prices, |storey| storey_level(&request.survey, storey));
    let asks: Vec<Ask<'_>> = runs.iter().map(Wanted::ask).collect();
    let laid = ways.runs_together(&asks);
    answer(request, (catalogue, workbook), &ways, &laid)
}

/// A run with its ends on the site.
struct Wanted {
    from: Spot,
    stops: Vec<Stop>,
    course: Course,
    gauge: Gauge,
}

impl Wanted {
    fn ask(&self) -> Ask<'_> {
        Ask { from: self.from, stops: &self.stops, course: self.course, gauge: self.gauge, explained: true }
    }
}

/// The survey's own faults; a site without points is none here.
fn survey_faults(request: &RoutesRequest) -> Vec<Fault> {
    let survey = EstimateRequest { survey: request.survey.clone(), rate_sheet: None, method: None, terms: None };
    let mut faults = crate::survey::rules::faults(&survey);
    faults.retain(|fault| !(fault.pointer == "/survey/rooms" && fault.code == FaultCode::MissingField));
    faults
}

fn duplicates(request: &RoutesRequest, faults: &mut Vec<Fault>) {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (index, run) in request.runs.iter().enumerate() {
        if let Some(first) = seen.insert(run.id.as_str(), index) {
            let detail = format!("the id `{}` is used by runs {first} and {index}; give each its own", run.id);
            faults.push(Fault::new(format!("/runs/{index}/id"), FaultCode::DuplicateId, detail));
        }
    }
}

fn wanted(run: &RunAsked, pointer: &str, site: &Site, faults: &mut Vec<Fault>) -> Option<Wanted> {
    /// Centre of an outlet above the floor. Source: Approved Document M, 450 mm, as in the reference table.
    const USUAL_HEIGHT_M: f64 = 0.45;
    let course = match run.course.unwrap_or(CourseAsked::Chain) {
        CourseAsked::Ring => Course::Ring,
        CourseAsked::Chain => Course::Chain,
        CourseAsked::Tree => Course::Tree,
        CourseAsked::Star => Course::Star,
    };
    let from = match &run.from {
        None => Some(site.board),
        Some(from) => end(from, &format!("{pointer}/from"), site, faults),
    };
    let mut stops = Vec::new();
    for (index, to) in run.to.iter().enumerate() {
        let Some(Spot { room: Some(room), at, .. }) = end(to, &format!("{pointer}/to/{index}"), site, faults) else {
            continue;
        };
        let place = match to.place.unwrap_or(EndPlace::Wall) {
            EndPlace::Wall => PointPlace::Wall,
            EndPlace::Ceiling => PointPlace::Ceiling,
        };
        let height = match place {
            PointPlace::Ceiling => site.rooms[room].height,
            _ => Metres::new(to.height_m.unwrap_or(USUAL_HEIGHT_M)),
        };
        let point =
            StopPoint { place, is_switch: false, in_and_out: true, height, count: 1, at, entry: None, first: 0 };
        stops.push(Stop { room, points: vec![point], share_of_walls: 1.0 });
    }
    Some(Wanted { from: from?, stops, course, gauge: Gauge::of(run.line_mm2.unwrap_or(2.5)) })
}

/// An end on the site.
fn end(end: &RunEnd, pointer: &str, site: &Site, faults: &mut Vec<Fault>) -> Option<Spot> {
    let Some(room) = site.room(&end.room) else {
        let mut detail = format!("there is no room `{}` in this survey", end.room);
        if let Some(meant) = nearest(&end.room, site.rooms.iter().map(|room| room.id.as_str())) {
            detail.push_str(&format!("; did you mean `{meant}`?"));
        }
        faults.push(Fault::new(format!("{pointer}/room"), FaultCode::UnknownReference, detail));
        return None;
    };
    let plan = &site.rooms[room];
    let outline = plan.outline.as_ref()?;
    let at = match (end.at, end.wall, end.along_m) {
        (Some(at), None, None) if outline.holds_nearly(at) => at,
        (Some(at), None, None) => {
            let detail = format!("({}, {}) is outside the room `{}`", at.x_m, at.y_m, end.room);
            faults.push(Fault::new(format!("{pointer}/at"), FaultCode::Contradiction, detail));
            return None;
        }
        (None, Some(side), Some(along)) => match outline.on_side(side, along) {
            Some(at) => at,
            None => {
                let detail = format!("`along_m` is {along}; that wall of `{}` is shorter", end.room);
                faults.push(Fault::new(format!("{pointer}/along_m"), FaultCode::OutOfRange, detail));
                return None;
            }
        },
        (None, None, None) if end.place == Some(EndPlace::Ceiling) => outline.middle(),
        (None, None, None) => outline.on_wall(outline.along(outline.middle())),
        _ => {
            let detail = "give either `at`, or `wall` with `along_m`, or none of them";
            faults.push(Fault::new(pointer.to_owned(), FaultCode::Contradiction, detail));
            return None;
        }
    };
    Some(Spot { room: Some(room), level: plan.level, at: Some(at) })
}

fn answer(
    request: &RoutesRequest,
    (catalogue, workbook): (&Catalogue, &Workbook),
    ways: &Ways<'_>,
    laid: &[Option<Run>],
) -> Result<RoutesAnswer, Vec<Fault>> {
    let mut users: BTreeMap<Opening, u32> = BTreeMap::new();
    for opening in laid.iter().flatten().flat_map(|run| &run.openings) {
        *users.entry(*opening).or_insert(0) += 1;
    }
    let mut routes = Vec::with_capacity(laid.len());
    let mut faults = Vec::new();
    for (index, (asked, run)) in request.runs.iter().zip(laid).enumerate() {
        let Some(run) = run else {
            let detail = "there is no way for this run: its start or one of its ends is in no drawn room of the house";
            faults.push(Fault::new(format!("/runs/{index}"), FaultCode::Contradiction, detail));
            continue;
        };
        let segments = ways::as_it_lies(ways.site(), &run.legs);
        let openings = ways::openings(ways, run, &users);
        let shares: Money = openings.iter().map(|opening| opening.share).sum();
        routes.push(Route {
            id: format!("R{}", index + 1),
            serves: asked.id.clone(),
            circuit: None,
            metres: segments.iter().map(|segment| segment.metres).sum::<Metres>().rounded(2),
            hours: segments.iter().map(|segment| segment.hours).sum::<Hours>().rounded(2),
            amount: Some(ways::laid(&segments) + shares),
            segments,
            openings,
            limits: super::route_limits::limits(ways.site(), catalogue, run),
            chosen_because: ways::because(true, run),
            runner_up: run.why.as_ref().and_then(|why| why.runner_up).map(ways::runner_up),
        });
    }
    if faults.is_empty() { Ok(RoutesAnswer { currency: workbook.sheet.currency.clone(), routes }) } else { Err(faults) }
}
