//! Routes asked for by themselves: a drawn site, the ends of runs and the places that tours visit in, the ways of their
//! cables out.

use std::collections::BTreeMap;

use super::{
    AskedLeg, AskedRoute, AskedTour, EndPlace, RouteOpening, RouteSegment, RoutesAnswer, RoutesRequest, RunEnd,
};
use crate::answer::{ways, words};
use crate::catalogue::{CableMake, CableSize, Cables, Catalogue, PointPlace};
use crate::checks::Arrangement;
use crate::faults::{Fault, FaultCode, nearest};
use crate::geometry::{Position, TOUCHING_M};
use crate::limits::{FAULTS_LISTED_MAX, VISITS_ASKED_MAX};
use crate::money::Money;
use crate::quantities::{Hours, Metres};
use crate::rate_sheet::Workbook;
use crate::routes::{Ask, Opening, Routing, Run, RunStop, StopPoint, Topology};
use crate::site::storey::CONDITION_M_MAX;
use crate::site::{Location, Site};
use crate::standards::CableType;
use crate::survey::EstimateRequest;
use crate::unit_rates::{Prices, is_mapped};
use crate::work::WorkBudget;

/// Plans the runs and the tours. Where the work is stopped, what comes out is to be thrown away.
pub(super) fn routes(
    catalogue: &Catalogue,
    request: &RoutesRequest,
    workbook: &Workbook,
    work: &WorkBudget,
) -> Result<RoutesAnswer, Vec<Fault>> {
    let mut faults = survey_faults(request);
    if faults.iter().any(|fault| fault.pointer == "/survey/rooms" && fault.code == FaultCode::OutOfRange) {
        // More points than are given a place, one by one: nothing else is looked at.
        return Err(faults);
    }
    let (site, _) = Site::from_survey(&request.survey, catalogue, work);
    if !work.goes_on() {
        return Err(faults);
    }
    for (index, room) in request.survey.rooms.iter().enumerate() {
        if room.outline.is_none() && room.corners.is_empty() {
            let detail = format!("`{}` has no outline; routes are searched on drawn rooms only: draw it", room.id);
            faults.push(Fault::new(format!("/survey/rooms/{index}/outline"), FaultCode::MissingField, detail));
        }
    }
    let wanted = wanted(request, &site, catalogue.cables(), &mut faults);
    if !is_mapped(&site) {
        let detail = format!("{}. Split the survey", words::routes::map_limits());
        faults.push(Fault::new("/survey/rooms", FaultCode::OutOfRange, detail));
    }
    if !faults.is_empty() {
        faults.truncate(FAULTS_LISTED_MAX);
        return Err(faults);
    }
    let cables: Vec<CableSize> = wanted.iter().map(|wanted| wanted.cable).collect();
    let prices = Prices::with_cables(&site, catalogue, workbook, &cables);
    let mut ways = Routing::of(&site, catalogue, prices, work, |storey| request.survey.storey_level(storey));
    let asks: Vec<Ask<'_>> = wanted.iter().map(|wanted| wanted.ask(catalogue.cables())).collect();
    let laid = ways.runs_together(&asks);
    let runs = found(&wanted, laid)?;
    let answering = Answering { catalogue, ways: &ways, users: users(&runs, &ways) };
    let mut answers = wanted.iter().zip(&runs);
    let routes = request.runs.iter().zip(&mut answers).map(|(run, laid)| answering.route(&run.id, laid)).collect();
    let tours = request.tours.iter().zip(&mut answers).map(|(tour, laid)| answering.tour(&tour.id, laid)).collect();
    Ok(RoutesAnswer { currency: workbook.sheet.currency.clone(), routes, tours })
}

/// A run or a tour with its ends on the site.
struct WantedRun {
    pointer: String,
    from: Location,
    stops: Vec<RunStop>,
    topology: Topology,
    cable: CableSize,
}

impl WantedRun {
    fn ask(&self, cables: &Cables) -> Ask<'_> {
        let cable = cables.class_of(self.cable);
        Ask { from: self.from, stops: &self.stops, topology: self.topology, cable, explained: true }
    }
}

/// The runs, then the tours.
fn wanted(request: &RoutesRequest, site: &Site, cables: &Cables, faults: &mut Vec<Fault>) -> Vec<WantedRun> {
    if request.runs.is_empty() && request.tours.is_empty() {
        let detail = "nothing is asked for; give `runs`, `tours` or both";
        faults.push(Fault::new("/runs", FaultCode::MissingField, detail));
    }
    let visits: usize = request.tours.iter().map(|tour| tour.visit.len()).sum();
    if visits > VISITS_ASKED_MAX {
        let detail =
            format!("the tours visit {visits} places together, at most {VISITS_ASKED_MAX} do; split the request");
        faults.push(Fault::new("/tours", FaultCode::OutOfRange, detail));
        return Vec::new();
    }
    duplicates("runs", request.runs.iter().map(|run| run.id.as_str()), faults);
    duplicates("tours", request.tours.iter().map(|tour| tour.id.as_str()), faults);
    let mut wanted = Vec::with_capacity(request.runs.len() + request.tours.len());
    for (index, run) in request.runs.iter().enumerate() {
        let pointer = format!("/runs/{index}");
        let cable = cable((run.cable_type, run.line_mm2), &pointer, cables, faults);
        let from = start(run.from.as_ref(), &pointer, site, faults);
        let stop = stop(&run.to, &format!("{pointer}/to"), site, faults);
        if let (Some(cable), Some(from), Some(stop)) = (cable, from, stop) {
            wanted.push(WantedRun { pointer, from, stops: vec![stop], topology: Topology::Star, cable });
        }
    }
    for (index, tour) in request.tours.iter().enumerate() {
        let pointer = format!("/tours/{index}");
        let cable = cable((tour.cable_type, tour.line_mm2), &pointer, cables, faults);
        let from = start(tour.from.as_ref(), &pointer, site, faults);
        let places = tour.visit.iter().enumerate();
        let stops: Vec<RunStop> =
            places.filter_map(|(at, end)| stop(end, &format!("{pointer}/visit/{at}"), site, faults)).collect();
        let topology = match tour.arrangement.unwrap_or(Arrangement::Radial) {
            Arrangement::Ring => Topology::Ring,
            Arrangement::Radial => Topology::Chain,
        };
        if let (Some(cable), Some(from)) = (cable, from) {
            wanted.push(WantedRun { pointer, from, stops, topology, cable });
        }
    }
    wanted
}

/// The survey's own faults; a site without points is none here.
fn survey_faults(request: &RoutesRequest) -> Vec<Fault> {
    let survey = EstimateRequest { survey: request.survey.clone(), rate_sheet: None, method: None, terms: None };
    let mut faults = crate::survey::rules::faults(&survey);
    faults.retain(|fault| !(fault.pointer == "/survey/rooms" && fault.code == FaultCode::MissingField));
    faults
}

fn duplicates<'a>(list: &str, ids: impl Iterator<Item = &'a str>, faults: &mut Vec<Fault>) {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (index, id) in ids.enumerate() {
        if let Some(first) = seen.insert(id, index) {
            let detail = format!("the id `{id}` is used by {list} {first} and {index}; give each its own");
            faults.push(Fault::new(format!("/{list}/{index}/id"), FaultCode::DuplicateId, detail));
        }
    }
}

/// The cable that the rate sheet prices for what was asked for: of that size, or the next larger one.
fn cable(
    (kind, line_mm2): (Option<CableType>, Option<f64>),
    pointer: &str,
    cables: &Cables,
    faults: &mut Vec<Fault>,
) -> Option<CableSize> {
    let kind = kind.unwrap_or(CableType::FlatTwinAndEarth70);
    let (make, usual_mm2) = match kind {
        CableType::FlatTwinAndEarth70 => (CableMake::Flat, 2.5),
        CableType::Armoured70 | CableType::Armoured90 => (CableMake::Armoured, 4.0),
        CableType::SingleCore70 => {
            let detail = "single cores lie in conduit, which is not routed here; give `flat-twin-and-earth-70c`, \
                          `armoured-70c` or `armoured-90c`";
            faults.push(Fault::new(format!("{pointer}/cable_type"), FaultCode::NotInTable, detail));
            return None;
        }
    };
    let line_mm2 = line_mm2.unwrap_or(usual_mm2);
    cables.laid(make).find(|cable| cable.line_mm2() >= line_mm2)
}

/// The cable in words.
fn cable_words(cable: CableSize) -> String {
    let make = if cable.is_armoured() { "armoured" } else { "flat twin and earth" };
    format!("{} mm2 {make}", cable.line_mm2())
}

/// Where a cable starts.
fn start(from: Option<&RunEnd>, pointer: &str, site: &Site, faults: &mut Vec<Fault>) -> Option<Location> {
    let Some(from) = from else { return Some(site.board) };
    let pointer = format!("{pointer}/from");
    if from.place == Some(EndPlace::Ceiling) {
        let detail = "a cable starts on a wall, as at a board; leave `place` out, or turn the run about";
        faults.push(Fault::new(format!("{pointer}/place"), FaultCode::Contradiction, detail));
        return None;
    }
    let spot = end(from, &pointer, site, faults)?;
    Some(Location { height: from.height_m.map(Metres::new), ..spot })
}

/// Where a cable goes.
fn stop(to: &RunEnd, pointer: &str, site: &Site, faults: &mut Vec<Fault>) -> Option<RunStop> {
    /// Centre of an outlet above the floor. Source: Approved Document M, 450 mm, as in the reference table.
    const USUAL_HEIGHT_M: f64 = 0.45;
    let Location { room: Some(room), at, .. } = end(to, pointer, site, faults)? else { return None };
    let (place, height) = match to.place.unwrap_or(EndPlace::Wall) {
        EndPlace::Wall => (PointPlace::Wall, Metres::new(to.height_m.unwrap_or(USUAL_HEIGHT_M))),
        EndPlace::Ceiling => (PointPlace::Ceiling, site.rooms[room].height),
    };
    let point = StopPoint { place, is_switch: false, in_and_out: true, height, count: 1, at, entry: None, first: 0 };
    Some(RunStop { room, points: vec![point], share_of_walls: 1.0 })
}

/// An end on the site.
fn end(end: &RunEnd, pointer: &str, site: &Site, faults: &mut Vec<Fault>) -> Option<Location> {
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
    // Made straight, a wall may have gone a little to the other side of a place on it.
    let near = |at: Position| outline.holds(at) || outline.nearest_on_wall(at).off <= TOUCHING_M + CONDITION_M_MAX;
    let in_the_house = end.at.map(|at| site.frame.to_house(at));
    let at = match (end.at, end.wall, end.along_m) {
        (Some(at), None, None) if in_the_house.is_some_and(near) => in_the_house.unwrap_or(at),
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
    Some(Location { room: Some(room), level: plan.level, at: Some(at), height: None })
}

/// The runs, or why one of them has no way.
fn found(wanted: &[WantedRun], laid: Vec<Option<Run>>) -> Result<Vec<Run>, Vec<Fault>> {
    let lost: Vec<Fault> = wanted
        .iter()
        .zip(&laid)
        .filter(|(_, run)| run.is_none())
        .map(|(wanted, _)| {
            let detail =
                "there is no way for this cable: its start or one of its ends is in no drawn room of the house";
            Fault::new(wanted.pointer.clone(), FaultCode::Contradiction, detail)
        })
        .collect();
    if lost.is_empty() { Ok(laid.into_iter().flatten().collect()) } else { Err(lost) }
}

/// How many use what is opened: the runs that were asked for, and the points of the survey for which it is open anyway.
fn users(runs: &[Run], ways: &Routing<'_>) -> BTreeMap<Opening, u32> {
    let mut users = BTreeMap::new();
    for opening in runs.iter().flat_map(|run| &run.openings) {
        *users.entry(*opening).or_insert_with(|| ways.opened_by_points(*opening)) += 1;
    }
    users
}

/// What the answer is made with.
struct Answering<'a> {
    catalogue: &'a Catalogue,
    ways: &'a Routing<'a>,
    users: BTreeMap<Opening, u32>,
}

impl Answering<'_> {
    fn route(&self, id: &str, (wanted, run): (&WantedRun, &Run)) -> AskedRoute {
        let segments = ways::as_it_lies(self.ways.site(), &run.placed);
        let openings = ways::openings(self.ways, run, &self.users);
        AskedRoute {
            id: id.to_owned(),
            cable: cable_words(wanted.cable),
            metres: metres(&segments),
            hours: (hours(&segments) + opening_hours(&openings)).rounded(2),
            cost: ways::laid(&segments) + opening_cost(&openings),
            segments,
            openings,
            limits: ways::limits(self.ways.site(), self.catalogue, run),
            chosen_because: words::routes::because(run, self.ways.site()),
            runner_up: run.why.as_ref().and_then(|why| why.runner_up).map(ways::runner_up),
        }
    }

    fn tour(&self, id: &str, (wanted, run): (&WantedRun, &Run)) -> AskedTour {
        let ends = run.legs.iter().skip(1).map(|leg| leg.first).chain([run.placed.len()]);
        let legs: Vec<AskedLeg> = run
            .legs
            .iter()
            .zip(ends)
            .map(|(leg, end)| {
                let segments = ways::as_it_lies(self.ways.site(), &run.placed[leg.first..end]);
                AskedLeg {
                    from: leg.from.checked_sub(1),
                    to: leg.to.checked_sub(1),
                    metres: metres(&segments),
                    hours: hours(&segments).rounded(3),
                    cost: ways::laid(&segments),
                    segments,
                }
            })
            .collect();
        let openings = ways::openings(self.ways, run, &self.users);
        AskedTour {
            id: id.to_owned(),
            cable: cable_words(wanted.cable),
            order: legs.iter().filter_map(|leg| leg.to).collect(),
            metres: legs.iter().map(|leg| leg.metres).sum::<Metres>().rounded(2),
            hours: (legs.iter().map(|leg| leg.hours).sum::<Hours>() + opening_hours(&openings)).rounded(2),
            cost: legs.iter().map(|leg| leg.cost).sum::<Money>() + opening_cost(&openings),
            legs,
            openings,
            limits: ways::limits(self.ways.site(), self.catalogue, run),
            chosen_because: words::routes::because(run, self.ways.site()),
            runner_up: run.why.as_ref().and_then(|why| why.runner_up).map(ways::runner_up),
        }
    }
}

fn metres(segments: &[RouteSegment]) -> Metres {
    segments.iter().map(|segment| segment.metres).sum::<Metres>().rounded(2)
}

fn hours(segments: &[RouteSegment]) -> Hours {
    segments.iter().map(|segment| segment.hours).sum()
}

fn opening_hours(openings: &[RouteOpening]) -> Hours {
    openings.iter().map(|opening| opening.hours).sum()
}

fn opening_cost(openings: &[RouteOpening]) -> Money {
    openings.iter().map(|opening| opening.share).sum()
}
