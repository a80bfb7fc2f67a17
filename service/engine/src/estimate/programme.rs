//! Days from hours, and what waits for what.

use super::{Programme, ProgrammeStep};
use crate::quantities::Hours;
use crate::rate_sheet::{Stage, Workbook};

/// Days that plaster wants between the fixes. Source: domain practice, from memory.
const PLASTER_GAP_DAYS: [u32; 2] = [5, 14];
/// Days that the operator wants for an answer. Common practice, no source: weeks.
const OPERATOR_DAYS: [u32; 2] = [14, 70];
/// Days that a sample wants. Common practice, no source.
const SAMPLE_DAYS: [u32; 2] = [3, 10];

/// What the programme hangs on besides hours.
pub(super) struct Waits {
    /// The operator is asked before anything is begun.
    pub operator_first: bool,
    /// Samples are taken before anything is begun.
    pub sample_first: bool,
    /// Walls were cut that somebody plasters before the second fix.
    pub plaster: bool,
}

/// The programme of hours by stage; the preliminaries' days are spread over the stages they belong to.
pub(super) fn programme(stages: &[f64; Stage::COUNT], days: f64, waits: &Waits, workbook: &Workbook) -> Programme {
    // Tests take longer where only some of the crew may do them.
    let (people, testers) = (workbook.people(), workbook.testers());
    let weight = |stage: Stage| stages[stage.index()] * if stage == Stage::Testing { people / testers } else { 1.0 };
    let work: f64 = Stage::ALL.iter().filter(|stage| **stage != Stage::Preliminaries).map(|stage| weight(*stage)).sum();
    let share = |stage: Stage| if work > 0.0 { tenth(days * weight(stage) / work) } else { 0.0 };
    let mut steps = Vec::new();
    let mut step = |text: &str, crew_days: f64, wait_days: Option<[u32; 2]>, after: &str| {
        steps.push(ProgrammeStep { step: text.to_owned(), crew_days, wait_days, after: after.to_owned() });
    };
    if waits.operator_first {
        step("the network operator answers", 0.0, Some(OPERATOR_DAYS), "the form is sent");
    }
    if waits.sample_first {
        step("samples for asbestos come back", 0.0, Some(SAMPLE_DAYS), "a trained person has taken them");
    }
    step("mark out, strip out and make safe", share(Stage::StripOut), None, "the order, and the answers above");
    step("first fix", share(Stage::FirstFix), None, "every point is marked and agreed");
    if waits.plaster {
        step("plaster and dry", 0.0, Some(PLASTER_GAP_DAYS), "first fix is photographed wall by wall");
    }
    let after =
        if waits.plaster { "walls are dry, fittings are on site" } else { "first fix is done, fittings are on site" };
    step("second fix and board", share(Stage::SecondFix), None, after);
    let tests = if testers < people {
        format!("test, certify, hand over, by the {testers} of the crew who may")
    } else {
        "test, certify, hand over".to_owned()
    };
    step(&tests, share(Stage::Testing), None, "second fix is complete");
    let terms = &workbook.sheet.terms;
    Programme { people: terms.people, hours_per_day: Hours::new(terms.hours_per_day), crew_days: days, steps }
}

fn tenth(days: f64) -> f64 {
    (days * 10.0).round() / 10.0
}
