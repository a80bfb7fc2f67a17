//! What every step may look at: the tables, the firm's sheet and what was asked.

use crate::catalogue::Catalogue;
use crate::rate_sheet::Workbook;
use crate::standards::Standards;
use crate::survey::{EstimateRequest, Survey, Visit};
use crate::work::WorkBudget;

/// The tables and the request that a job is worked out from. Nothing in it changes from step to step.
#[derive(Clone, Copy)]
pub struct Context<'a> {
    /// What the trade knows before it sees the house.
    pub catalogue: &'a Catalogue,
    /// The wiring rules' tables.
    pub standards: &'a Standards,
    /// The firm's hours and prices.
    pub workbook: &'a Workbook,
    /// What was asked.
    pub request: &'a EstimateRequest,
    /// What the job may still cost to work out.
    pub work: &'a WorkBudget,
}

impl<'a> Context<'a> {
    /// The survey, for what the site does not hold.
    #[must_use]
    pub fn survey(&self) -> &'a Survey {
        &self.request.survey
    }

    /// The visit that another job pays for, where this one is done on it.
    #[must_use]
    pub fn visit(&self) -> Option<&'a Visit> {
        self.request.terms.as_ref().and_then(|terms| terms.visit.as_ref())
    }
}
