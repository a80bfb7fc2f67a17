//! What is worth asking, in the order of the money that the answer can move, and nothing that the survey answers.

use std::borrow::Cow;

use super::{PricedAnswer, Question};
use crate::money::Money;
use crate::unknowns::{Asked, Unknown};

/// What the questions are made from.
pub(super) struct Asking<'a> {
    pub asked: &'a Asked<'a>,
    pub unknowns: &'a [Unknown],
    /// The measured net price.
    pub net: Money,
}

/// Every question, dearest first.
pub(super) fn questions(asking: &Asking<'_>) -> Vec<Question> {
    let mut questions: Vec<Question> = asking.unknowns.iter().filter_map(|unknown| asking.question(unknown)).collect();
    questions.extend(asking.moving_nothing());
    questions.sort_by(|a, b| b.worth.cmp(&a.worth).then(a.id.cmp(&b.id)).then(a.places.cmp(&b.places)));
    questions
}

impl Asking<'_> {
    /// None where only opening the fabric tells.
    fn question(&self, unknown: &Unknown) -> Option<Question> {
        let terms = &self.asked.job.workbook.sheet.terms;
        let answer = |answer: &crate::unknowns::Answer| PricedAnswer {
            answer: answer.answer.clone(),
            odds: answer.odds,
            net: self.net + self.asked.selling(answer.adds),
        };
        Some(Question {
            id: Cow::Borrowed(unknown.id),
            ask: unknown.ask?.to_owned(),
            places: unknown.places.clone(),
            worth: crate::pricing::selling(unknown.worth(), terms),
            answers: unknown.answers.iter().map(answer).collect(),
            because: unknown.because.to_owned(),
        })
    }

    /// Questions whose answers move no line of the price, but decide whether the job is safe or allowed.
    fn moving_nothing(&self) -> impl Iterator<Item = Question> + '_ {
        let priced = |id: &str| self.unknowns.iter().any(|unknown| unknown.id == id);
        let made = |subject: &str| self.asked.assumptions.made(subject);
        let site = self.asked.job.site;
        let existing = self.asked.survey.consumer_unit.as_ref().and_then(|unit| unit.existing.as_ref());
        let person = self.asked.survey.site.as_ref().and_then(|site| site.vulnerable_person);
        let asks = [
            (
                person.is_none(),
                "vulnerable-person",
                "Does anybody in the house depend on power or clean air for their health, or is anybody under two?",
                "house",
            ),
            (
                existing.is_none_or(|board| board.condition.is_none()),
                "existing-board",
                "What board is there now, and what is it fixed to? Photograph it shut",
                "board",
            ),
            (site.tenure.is_none(), "tenure", "Does the client own the house, and alone?", "house"),
            (
                made("ze") || made("fault-current"),
                "supply-measured",
                "What are the loop impedance and the fault current at the intake? Measure them",
                "intake",
            ),
            (made("cut-out") && !priced("cut-out"), "cut-out", "What fuse does the cut-out hold?", "intake"),
            (made("earthing") && !priced("earthing"), "earthing", "How is the house earthed?", "intake"),
            (made("nation"), "nation", "In which nation is the house?", "house"),
            (site.built_year.is_none(), "built-year", "When was the house built?", "house"),
            (
                self.asked.survey.existing.as_ref().is_none_or(|existing| existing.cable_era.is_none()),
                "cable-era",
                "What is the oldest cable to be seen, in the loft or behind a socket?",
                "house",
            ),
        ];
        asks.into_iter().filter(|(asked, ..)| *asked).map(|(_, id, ask, place)| Question {
            id: Cow::Borrowed(id),
            ask: ask.to_owned(),
            places: vec![place.to_owned()],
            worth: Money::ZERO,
            answers: Vec::new(),
            because:
                "it moves no line of this price; it decides what to look for, and whether the job is safe or allowed"
                    .to_owned(),
        })
    }
}
