//! The plan of the routes: each storey to scale with its rooms, points, obstructions and the ways of the cables.
//!
//! In: `plan` and `routes` of an estimate. There is nothing to draw where the survey had no outlines, or where the
//! estimate is from before the plan was kept; then the answer says so. Every point of the plan is in the drawing, and
//! what could not get a word beside it is counted in the notes. Work and size grow with rooms, points and stretches.

mod floor;
mod frame;
mod labels;
mod lanes;
mod legend;
mod parts;
mod pens;
mod points;
mod routes;

use engine::estimate::{Estimate, Plan, PlanStorey, Route};

use super::NothingToDraw;
use super::sheet;
use super::svg::Svg;
use frame::Frames;
use labels::Taken;
use pens::Pens;

/// The plan as an SVG file.
///
/// # Errors
/// [`NothingToDraw`] where the estimate holds no plan, with the reason.
pub fn route_plan(estimate: &Estimate) -> Result<String, NothingToDraw> {
    let plan = estimate.plan.as_ref().filter(|plan| plan.storeys.iter().any(|storey| !storey.rooms.is_empty()));
    let plan = plan.ok_or(NothingToDraw::NoOutlines)?;
    let drawn = drawn(estimate, plan);
    let description = format!(
        "{} storeys, {} points ({} without a word beside them), {} routes; scale 1:{}.",
        plan.storeys.len(),
        plan.storeys.iter().map(|storey| storey.points.len()).sum::<usize>(),
        drawn.unlabelled,
        estimate.routes.len(),
        drawn.scale
    );
    Ok(drawn.svg.finish(drawn.width, drawn.height, "Plan of the routes", &description))
}

/// The drawing before it is written.
pub(super) struct PlanDrawing {
    pub(super) svg: Svg,
    pub(super) width: f64,
    pub(super) height: f64,
    /// One to how many.
    pub(super) scale: u32,
    /// Points without a word beside them, for want of room.
    pub(super) unlabelled: usize,
}

pub(super) fn drawn(estimate: &Estimate, plan: &Plan) -> PlanDrawing {
    let mut svg = Svg::default();
    let pens = Pens::of(estimate);
    let parts: Vec<PlanStorey> = plan.storeys.iter().flat_map(parts::apart).collect();
    let frames = Frames::of(&parts);
    let top = sheet::head(&mut svg, estimate, "Plan of the routes", frames.width);
    let mut unlabelled = 0;
    for (storey, frame) in parts.iter().zip(&frames.frames) {
        let frame = frame.below(top);
        svg.open(&[("data-storey", &storey.id)]);
        let mut taken = Taken::default();
        floor::outlines(&mut svg, storey, &frame, &mut taken);
        let ways = routes::draw(&mut svg, estimate, storey.level, &frame, &pens);
        floor::obstructions(&mut svg, storey, &frame);
        floor::fixtures(&mut svg, storey, &frame, &mut taken);
        let gathered = points::gathered(storey);
        let placed = points::place(&gathered, storey, &frame, &mut taken);
        floor::words(&mut svg, storey, &frame, &mut taken);
        unlabelled += points::draw(&mut svg, &placed, &frame, &pens, &mut taken);
        routes::tag(&mut svg, estimate, &ways, &frame, &pens, &mut taken);
        svg.close();
    }
    let under = top + frames.height;
    let under = legend::draw(&mut svg, estimate, plan, &pens, &frames, under);
    let notes = notes(estimate, plan, unlabelled);
    let height = sheet::foot(&mut svg, notes.iter().map(String::as_str), under, frames.width);
    PlanDrawing { svg, width: frames.width, height, scale: frames.scale, unlabelled }
}

fn notes(estimate: &Estimate, plan: &Plan, unlabelled: usize) -> Vec<String> {
    let mut notes = vec![
        "Drawn from a survey, not from a measured building: set every point and run out on site, and prove where pipes and \
         cables lie before anything is cut. Cables that share a way are drawn side by side; they do not lie so."
            .to_owned(),
    ];
    let mut drawn: std::collections::BTreeSet<&str> = std::collections::BTreeSet::new();
    drawn.extend(plan.storeys.iter().flat_map(|storey| &storey.rooms).map(|room| room.id.as_str()));
    drawn.extend(plan.storeys.iter().flat_map(|storey| &storey.points).map(|point| point.room.as_str()));
    let missing: Vec<String> = estimate
        .rooms
        .iter()
        .filter(|room| room.points > 0 && !drawn.contains(room.room.as_str()))
        .map(|room| room.name.clone())
        .collect();
    if !missing.is_empty() {
        notes.push(format!("Not drawn, because nothing says where they are: {}.", crate::words::places(&missing)));
    }
    let has_way = |route: &&Route| route.segments.iter().any(|segment| segment.path.len() > 1);
    if !estimate.routes.iter().any(|route| has_way(&route)) {
        notes.push("This estimate holds lengths of cable and no ways: no route is drawn.".to_owned());
    } else {
        notes.push("A cable between two storeys is drawn on the lower one.".to_owned());
        let without = estimate.routes.iter().filter(|route| !has_way(route));
        let without: Vec<String> = without.map(|route| route.serves.clone()).collect();
        if !without.is_empty() {
            notes.push(format!(
                "Of these only the length is known, and no way is drawn: {}.",
                crate::words::places(&without)
            ));
        }
    }
    if unlabelled > 0 {
        notes.push(format!(
            "{unlabelled} points stand too close for a word beside each; their rooms' lines in the price list them."
        ));
    }
    notes.push(sheet::caution(estimate).to_owned());
    notes
}
