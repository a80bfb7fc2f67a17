//! The estimate, as a table of contents: a line a step, from the survey to the document that goes out.

mod assemble;
pub mod difference;
mod engine;
mod extra_points;
mod feeds;
mod findings;
pub mod replay;
mod review;
mod routes_asked;

pub use crate::answer::*;
pub use engine::{Engine, Stamp};
#[cfg(test)]
pub(crate) use findings::PricedJob;
pub use review::{RoomCompleteness, SubjectCompleteness, SurveyReview, SurveyReviewRequest};

use crate::circuits::design;
use crate::context::Context;
use crate::pricing::{self, price};
use crate::site::Site;
use crate::take_off::Job;
use crate::work::Stopped;

/// Prices a survey. What is stopped on the way is no estimate.
fn estimate(engine: &Engine, context: Context<'_>, stamp: Stamp) -> Result<Estimate, Stopped> {
    // survey → site: every gap filled by a stated assumption
    let (site, mut assumptions) = Site::from_survey(context.survey(), context.catalogue, context.work);
    context.work.finished()?;
    // which outbuildings are fed from one another: both ways priced, the cheaper that complies
    let site = feeds::chosen(context, site, &mut assumptions);
    // site → unit rates → routes → circuits → checks
    let design = design(context, &site);
    context.work.finished()?;
    // circuits → take-off → labour → pricing: each item in money; and the job at point rates
    let priced = price(&design);
    let per_point = pricing::per_point(Job::of(&design));
    context.work.finished()?;
    // pricing → range, flags, questions, options → estimate
    assemble::assemble(assemble::Parts {
        engine,
        stamp,
        assumptions,
        design: &design,
        priced: &priced,
        per_point: &per_point,
    })
}
