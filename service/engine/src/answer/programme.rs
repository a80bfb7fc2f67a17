//! Hours and days as they go out.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::words;
use crate::labour::Daily;
use crate::labour::programme::TimedStep;
use crate::quantities::Hours;
use crate::rate_sheet::{RateTerms, Stage};

/// Person-hours by stage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct HoursByStage {
    /// Old work off, made safe.
    pub strip_out: Hours,
    /// All that is hidden.
    pub first_fix: Hours,
    /// All that shows, and making good.
    pub second_fix: Hours,
    /// Tests and papers.
    pub testing: Hours,
    /// Getting there, protecting, keeping the house alive.
    pub preliminaries: Hours,
    /// All of them.
    pub total: Hours,
}

/// Days, and what waits for what.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Programme {
    /// People who come: those that were priced, one where one will do.
    #[schema(example = 2)]
    pub people: u32,
    /// Times that they come, each of them a day or half of one; absent in older estimates.
    #[serde(default)]
    #[schema(example = 9)]
    pub visits: Option<u32>,
    /// Hours of one person in one day, with setting up and clearing away in them.
    pub hours_per_day: Hours,
    /// Days of the whole crew.
    #[schema(example = 8.5)]
    pub crew_days: f64,
    /// The stages in order.
    pub steps: Vec<ProgrammeStep>,
}

/// One stage of the programme, or a wait.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ProgrammeStep {
    /// What is done.
    pub step: String,
    /// Days of the crew; 0 for a wait.
    pub crew_days: f64,
    /// Least and most days of waiting, where it is a wait.
    pub wait_days: Option<[u32; 2]>,
    /// What must be done first.
    pub after: String,
}

/// Hours by stage, in hundredths.
pub(crate) fn hours_by_stage(stages: &[f64; Stage::COUNT]) -> HoursByStage {
    let of = |stage: Stage| Hours::new(stages[stage.index()]).rounded(2);
    let parts = Stage::ALL.map(of);
    HoursByStage {
        strip_out: of(Stage::StripOut),
        first_fix: of(Stage::FirstFix),
        second_fix: of(Stage::SecondFix),
        testing: of(Stage::Testing),
        preliminaries: of(Stage::Preliminaries),
        total: parts.into_iter().sum::<Hours>().rounded(2),
    }
}

/// The steps of the crew's days.
pub(crate) fn programme(steps: &[TimedStep], daily: Daily, terms: &RateTerms) -> Programme {
    let step = |step: &TimedStep| ProgrammeStep {
        step: words::programme::step(step.kind),
        crew_days: step.crew_days,
        wait_days: step.kind.wait_days(),
        after: words::programme::after(step.kind).to_owned(),
    };
    let steps = steps.iter().map(step).collect();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "people of a crew")]
    let people = daily.people.round().max(0.0) as u32;
    Programme {
        people,
        visits: Some(daily.visits()),
        hours_per_day: Hours::new(terms.hours_per_day),
        crew_days: daily.days,
        steps,
    }
}
