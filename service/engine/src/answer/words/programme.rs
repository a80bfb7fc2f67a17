//! What is done when, and what has to be done before it.

use crate::labour::programme::StepKind;

/// What is done.
pub(crate) fn step(kind: StepKind) -> String {
    let words = match kind {
        StepKind::OperatorAnswer => "the network operator answers",
        StepKind::Samples => "samples for asbestos come back",
        StepKind::StripOut => "mark out, strip out and make safe",
        StepKind::FirstFix => "first fix",
        StepKind::Plaster => "plaster and dry",
        StepKind::SecondFix { .. } => "second fix and board",
        StepKind::Testing { testers: None } => "test, certify, hand over",
        StepKind::Testing { testers: Some(testers) } => {
            return format!("test, certify, hand over, by the {testers} of the crew who may test");
        }
    };
    words.to_owned()
}

/// What must be done first.
pub(crate) const fn after(kind: StepKind) -> &'static str {
    match kind {
        StepKind::OperatorAnswer => "the form is sent",
        StepKind::Samples => "a trained person has taken them",
        StepKind::StripOut => "the order is placed, and the waits above are over",
        StepKind::FirstFix => "every point is marked and agreed",
        StepKind::Plaster => "first fix is photographed wall by wall",
        StepKind::SecondFix { after_plaster: true } => "walls are dry and fittings are on site",
        StepKind::SecondFix { after_plaster: false } => "first fix is done and fittings are on site",
        StepKind::Testing { .. } => "second fix is complete",
    }
}
