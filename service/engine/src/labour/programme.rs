//! Days from hours, and what waits for what.

use super::Daily;
use crate::rate_sheet::{Stage, Workbook};

/// Days that plaster wants between the fixes. Source: domain practice, from memory.
const PLASTER_GAP_DAYS: [u32; 2] = [5, 14];
/// Days that the operator wants for an answer. Common practice, no source: weeks.
const OPERATOR_DAYS: [u32; 2] = [14, 70];
/// Days that a sample wants. Common practice, no source.
const SAMPLE_DAYS: [u32; 2] = [3, 10];

/// What the programme hangs on besides hours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Waits {
    /// The operator is asked before anything is begun.
    pub operator_first: bool,
    /// Samples are taken before anything is begun.
    pub sample_first: bool,
    /// Walls were cut that somebody plasters before the second fix.
    pub plaster: bool,
}

/// A stage of the programme, or a wait.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StepKind {
    /// The network operator answers.
    OperatorAnswer,
    /// Samples for asbestos come back.
    Samples,
    /// Marking out, stripping out, making safe.
    StripOut,
    /// First fix.
    FirstFix,
    /// Plaster dries.
    Plaster,
    /// Second fix and the board.
    SecondFix {
        /// Whether walls have to dry before it.
        after_plaster: bool,
    },
    /// Tests and papers.
    Testing {
        /// How many of the crew may test, where not all may.
        testers: Option<f64>,
    },
}

impl StepKind {
    /// Least and most days of waiting, where it is a wait.
    #[must_use]
    pub const fn wait_days(self) -> Option<[u32; 2]> {
        match self {
            Self::OperatorAnswer => Some(OPERATOR_DAYS),
            Self::Samples => Some(SAMPLE_DAYS),
            Self::Plaster => Some(PLASTER_GAP_DAYS),
            Self::StripOut | Self::FirstFix | Self::SecondFix { .. } | Self::Testing { .. } => None,
        }
    }
}

/// A step of the programme with the days that the crew takes for it; none for a wait.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimedStep {
    /// What is done.
    pub kind: StepKind,
    /// Days of the crew.
    pub crew_days: f64,
}

/// The programme of hours by stage; the preliminaries' days are spread over the stages they belong to.
#[must_use]
pub fn programme(stages: &[f64; Stage::COUNT], daily: Daily, waits: Waits, workbook: &Workbook) -> Vec<TimedStep> {
    let Daily { days, people, .. } = daily;
    // Tests take longer where only some of those who come may do them.
    let testers = workbook.testers().min(people);
    let weight = |stage: Stage| stages[stage.index()] * if stage == Stage::Testing { people / testers } else { 1.0 };
    let work: f64 = Stage::ALL.iter().filter(|stage| **stage != Stage::Preliminaries).map(|stage| weight(*stage)).sum();
    let share = |stage: Stage| if work > 0.0 { tenth(days * weight(stage) / work) } else { 0.0 };
    let done = |kind: StepKind, stage: Stage| Some(TimedStep { kind, crew_days: share(stage) });
    let wait = |wanted: bool, kind: StepKind| wanted.then_some(TimedStep { kind, crew_days: 0.0 });
    let second_fix = StepKind::SecondFix { after_plaster: waits.plaster };
    let testing = StepKind::Testing { testers: Some(testers).filter(|testers| *testers < people) };
    let steps = [
        wait(waits.operator_first, StepKind::OperatorAnswer),
        wait(waits.sample_first, StepKind::Samples),
        done(StepKind::StripOut, Stage::StripOut),
        done(StepKind::FirstFix, Stage::FirstFix),
        wait(waits.plaster, StepKind::Plaster),
        done(second_fix, Stage::SecondFix),
        done(testing, Stage::Testing),
    ];
    steps.into_iter().flatten().collect()
}

fn tenth(days: f64) -> f64 {
    (days * 10.0).round() / 10.0
}
