//! Days from hours, and what waits for what.

use super::{Programme, ProgrammeStep};
use crate::quantities::Hours;
use crate::rate_sheet::{RateTerms, Stage};
use crate::site::Site;

/// Days that plaster wants between the fixes. Source: domain practice, from memory.
const PLASTER_GAP_DAYS: [u32; 2] = [5, 14];
/// Days that the operator wants for an answer. Common practice, no source: weeks.
const OPERATOR_DAYS: [u32; 2] = [14, 70];
/// Days that a sample wants. Common practice, no source.
const SAMPLE_DAYS: [u32; 2] = [3, 10];

/// The programme of hours by stage; the preliminaries' days are spread over the stages they belong to.
pub(super) fn programme(
    stages: &[f64; Stage::COUNT],
    days: f64,
    site: &Site,
    operator_first: bool,
    sample_first: bool,
    terms: &RateTerms,
) -> Programme {
    let work: f64 =
        Stage::ALL.iter().filter(|stage| **stage != Stage::Preliminaries).map(|stage| stages[stage.index()]).sum();
    let share = |stage: Stage| if work > 0.0 { tenth(days * stages[stage.index()] / work) } else { 0.0 };
    let mut steps = Vec::new();
    let mut step = |text: &str, crew_days: f64, wait_days: Option<[u32; 2]>, after: &str| {
        steps.push(ProgrammeStep { step: text.to_owned(), crew_days, wait_days, after: after.to_owned() });
    };
    if operator_first {
        step("the network operator answers", 0.0, Some(OPERATOR_DAYS), "the form is sent");
    }
    if sample_first {
        step("samples for asbestos come back", 0.0, Some(SAMPLE_DAYS), "a trained person has taken them");
    }
    step("mark out, strip out and make safe", share(Stage::StripOut), None, "the order, and the answers above");
    step("first fix", share(Stage::FirstFix), None, "every point is marked and agreed");
    if site.making_good || stages[Stage::FirstFix.index()] > 0.0 {
        step("plaster and dry", 0.0, Some(PLASTER_GAP_DAYS), "first fix is photographed wall by wall");
    }
    step("second fix and board", share(Stage::SecondFix), None, "walls are dry, fittings are on site");
    step("test, certify, hand over", share(Stage::Testing), None, "second fix is complete");
    Programme { people: terms.people, hours_per_day: Hours::new(terms.hours_per_day), crew_days: days, steps }
}

fn tenth(days: f64) -> f64 {
    (days * 10.0).round() / 10.0
}
