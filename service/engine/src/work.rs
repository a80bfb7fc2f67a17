//! How much work one answer may take, and the word to stop.
//!
//! Work is counted in steps where the long loops are, never by a clock: the same request takes the same steps on every
//! machine, and is answered or refused the same. A step is about as dear everywhere: some ten nanoseconds of one core.
//! When the budget is spent, or nobody waits for the answer any more, every loop ends at its next turn with whatever it
//! has; the services look before they answer, and what was left half done never gets out.

use std::cell::Cell;
use std::fmt;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::limits::WORK_STEPS_MAX;

/// A part of the work, as a refusal names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WorkPart {
    /// The plans of the storeys: walls made straight, what is over, under and beside each room, places of points.
    Plans,
    /// Ways of cables, searched and laid.
    Routes,
    /// Circuits, designed and checked.
    Circuits,
    /// What is counted and bought.
    TakeOff,
    /// Hours and money.
    Pricing,
    /// Feeds of outbuildings, priced both ways.
    Feeds,
    /// What was not recorded, each answer priced.
    Questions,
    /// The draws of the range.
    Range,
    /// Flags.
    Flags,
    /// Options and finishes.
    Options,
    /// The document that goes out.
    Answer,
}

impl WorkPart {
    /// Every part, in the order of the job.
    pub const ALL: [Self; 11] = [
        Self::Plans,
        Self::Routes,
        Self::Circuits,
        Self::TakeOff,
        Self::Pricing,
        Self::Feeds,
        Self::Questions,
        Self::Range,
        Self::Flags,
        Self::Options,
        Self::Answer,
    ];

    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Plans => "the plans of its storeys",
            Self::Routes => "the ways of its cables",
            Self::Circuits => "its circuits",
            Self::TakeOff => "counting its items and what is bought",
            Self::Pricing => "its hours and prices",
            Self::Feeds => "comparing the feeds of its outbuildings",
            Self::Questions => "pricing what was not recorded",
            Self::Range => "the range of its price",
            Self::Flags => "its risk flags",
            Self::Options => "its options",
            Self::Answer => "writing the answer",
        }
    }

    /// What the caller can do where this part is too much.
    #[must_use]
    pub const fn remedy(self) -> &'static str {
        match self {
            Self::Plans => {
                "draw fewer rooms, with fewer corners and openings, in one survey, or split it, one survey a dwelling"
            }
            Self::Routes => "draw fewer rooms in one survey, give fewer points, or split it, one survey a dwelling",
            Self::Circuits | Self::Options | Self::Flags => {
                "give fewer points and appliances, or split the survey, one a dwelling"
            }
            Self::TakeOff | Self::Pricing | Self::Range | Self::Answer => {
                "give fewer rooms and points, or split the survey, one a dwelling"
            }
            Self::Feeds => "say how each outbuilding is fed, or give fewer of them in one survey",
            Self::Questions => "record what is left open, give fewer rooms, or split the survey, one a dwelling",
        }
    }
}

/// Why an answer was not finished.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stopped {
    /// It takes more steps than one answer may; this part took the most of them.
    TooMuchWork(WorkPart),
    /// Nobody waits for it any more.
    Cancelled,
}

impl fmt::Display for Stopped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooMuchWork(part) => write!(
                f,
                "the request asks for more work than one answer may take; most of it went into {}: {}",
                part.words(),
                part.remedy()
            ),
            Self::Cancelled => f.write_str("nobody waits for the answer any more"),
        }
    }
}

impl std::error::Error for Stopped {}

/// The word that nobody waits for an answer any more; whoever holds a copy may give it, from any thread.
#[derive(Debug, Clone, Default)]
pub struct Cancellation(Arc<AtomicBool>);

impl Cancellation {
    /// Gives the word.
    pub fn cancel(&self) {
        self.0.store(true, Ordering::Relaxed);
    }

    /// Whether it was given.
    #[must_use]
    pub fn is_cancelled(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

/// The work of one answer: what was spent of its budget, by part, and whether it goes on.
#[derive(Debug)]
pub struct WorkBudget {
    budget: u64,
    steps: Cell<u64>,
    by_part: [Cell<u64>; WorkPart::ALL.len()],
    /// The part that all steps are now taken for, whatever loop they are counted in.
    purpose: Cell<Option<WorkPart>>,
    stopped: Cell<Option<Stopped>>,
    cancellation: Cancellation,
}

impl WorkBudget {
    /// Work that may take as many steps as one answer may, and ends early when the word is given.
    #[must_use]
    pub fn cancelled_by(cancellation: Cancellation) -> Self {
        Self::of(WORK_STEPS_MAX, cancellation)
    }

    /// Work without an end: for callers who are their own masters.
    #[must_use]
    pub fn unlimited() -> Self {
        Self::of(u64::MAX, Cancellation::default())
    }

    /// Work of so many steps.
    #[must_use]
    pub fn of(budget: u64, cancellation: Cancellation) -> Self {
        Self {
            budget,
            steps: Cell::new(0),
            by_part: Default::default(),
            purpose: Cell::new(None),
            stopped: Cell::new(None),
            cancellation,
        }
    }

    /// Counts steps that were taken, in a loop that is short by itself: whoever called it asks whether it goes on.
    pub fn count(&self, part: WorkPart, steps: u64) {
        if self.stopped.get().is_some() {
            return;
        }
        let part = &self.by_part[self.purpose.get().unwrap_or(part) as usize];
        part.set(part.get().saturating_add(steps));
        self.steps.set(self.steps.get().saturating_add(steps));
    }

    /// Counts steps and says whether the loop goes on.
    #[must_use]
    pub fn spend(&self, part: WorkPart, steps: u64) -> bool {
        self.count(part, steps);
        self.goes_on()
    }

    /// Whether the work goes on: nobody has called it off, and steps are left.
    #[must_use]
    pub fn goes_on(&self) -> bool {
        if self.stopped.get().is_some() {
            return false;
        }
        let stopped = if self.steps.get() > self.budget {
            Stopped::TooMuchWork(self.largest_part())
        } else if self.cancellation.is_cancelled() {
            Stopped::Cancelled
        } else {
            return true;
        };
        self.stopped.set(Some(stopped));
        false
    }

    /// Whether all that was made so far is whole.
    ///
    /// # Errors
    /// Why it is not.
    pub fn finished(&self) -> Result<(), Stopped> {
        if self.goes_on() { Ok(()) } else { Err(self.stopped.get().unwrap_or(Stopped::Cancelled)) }
    }

    /// Does something all of whose steps are taken for one part: a job that is designed again for a question is the
    /// question's work.
    pub fn on_behalf_of<T>(&self, part: WorkPart, something: impl FnOnce() -> T) -> T {
        let before = self.purpose.replace(self.purpose.get().or(Some(part)));
        let done = something();
        self.purpose.set(before);
        done
    }

    /// Steps taken so far.
    #[must_use]
    pub fn steps(&self) -> u64 {
        self.steps.get()
    }

    /// Steps taken so far for one part.
    #[must_use]
    pub fn steps_of(&self, part: WorkPart) -> u64 {
        self.by_part[part as usize].get()
    }

    /// The part that has taken the most; of several, the first in the order of the job.
    fn largest_part(&self) -> WorkPart {
        let taken = WorkPart::ALL.into_iter().rev();
        taken.max_by_key(|part| self.steps_of(*part)).unwrap_or(WorkPart::Answer)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_budget_that_is_spent_ends_the_work_and_names_the_part_that_took_the_most() {
        let work = WorkBudget::of(10, Cancellation::default());

        assert!(work.spend(WorkPart::Routes, 4) && work.spend(WorkPart::Circuits, 6));
        assert_eq!(work.finished(), Ok(()));

        assert!(!work.spend(WorkPart::Routes, 1));
        assert_eq!(work.finished(), Err(Stopped::TooMuchWork(WorkPart::Circuits)));
    }

    #[test]
    fn a_job_designed_again_for_a_question_is_the_questions_work() {
        let work = WorkBudget::of(10, Cancellation::default());

        work.on_behalf_of(WorkPart::Questions, || work.count(WorkPart::Routes, 7));
        work.count(WorkPart::Routes, 2);

        assert_eq!((work.steps_of(WorkPart::Questions), work.steps_of(WorkPart::Routes)), (7, 2));
    }

    #[test]
    fn work_that_was_called_off_stays_so() {
        let cancellation = Cancellation::default();
        let work = WorkBudget::of(u64::MAX, cancellation.clone());
        assert!(work.goes_on());

        cancellation.cancel();

        assert!(!work.spend(WorkPart::Range, 1));
        assert_eq!(work.finished(), Err(Stopped::Cancelled));
    }
}
