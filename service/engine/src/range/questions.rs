//! What is worth asking, and the money that the answer can move; nothing that the survey answers.

use crate::money::Money;
use crate::pricing::selling;
use crate::site::AssumedSubject;
use crate::survey::Survey;
use crate::unknowns::{
    AnswerAmount, AnswerSubject, AnswerValue, HousePlace, OpenQuestion, QuestionId, UnknownsContext,
};

/// A question that is worth asking.
#[derive(Debug, Clone)]
pub(crate) struct AskedQuestion<'a> {
    /// What it is about.
    pub about: QuestionAbout<'a>,
    /// The money that the answer can move.
    pub worth: Money,
    /// The answers.
    pub answers: Vec<AnswerPrice<'a>>,
}

/// What a question is about.
#[derive(Debug, Clone, Copy)]
pub(crate) enum QuestionAbout<'a> {
    /// Something whose answers are priced, and the rooms or things meant.
    Priced(AnswerSubject, &'a [HousePlace]),
    /// Something whose answers move no line of the price.
    Plain(PlainQuestion),
}

/// Questions whose answers move no line of the price, but decide whether the job is safe or allowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum PlainQuestion {
    VulnerablePerson,
    ExistingBoard,
    Tenure,
    SupplyMeasured,
    CutOut,
    Earthing,
    PointPlace,
    Nation,
    BuiltYear,
    CableEra,
    TwoWayPartner,
}

impl QuestionAbout<'_> {
    /// Which question it is.
    pub(crate) const fn id(self) -> QuestionId {
        match self {
            Self::Priced(subject, _) => subject.question(),
            Self::Plain(PlainQuestion::VulnerablePerson) => QuestionId::VulnerablePerson,
            Self::Plain(PlainQuestion::ExistingBoard) => QuestionId::ExistingBoard,
            Self::Plain(PlainQuestion::Tenure) => QuestionId::Tenure,
            Self::Plain(PlainQuestion::SupplyMeasured) => QuestionId::SupplyMeasured,
            Self::Plain(PlainQuestion::CutOut) => QuestionId::CutOut,
            Self::Plain(PlainQuestion::Earthing) => QuestionId::Earthing,
            Self::Plain(PlainQuestion::PointPlace) => QuestionId::PointPlace,
            Self::Plain(PlainQuestion::Nation) => QuestionId::Nation,
            Self::Plain(PlainQuestion::BuiltYear) => QuestionId::BuiltYear,
            Self::Plain(PlainQuestion::CableEra) => QuestionId::CableEra,
            Self::Plain(PlainQuestion::TwoWayPartner) => QuestionId::TwoWayPartner,
        }
    }
}

/// An answer, priced.
#[derive(Debug, Clone)]
pub(crate) struct AnswerPrice<'a> {
    pub value: &'a AnswerValue,
    pub amount: Option<AnswerAmount>,
    pub odds: f64,
    /// The net price if it turns out so.
    pub net: Money,
}

/// What the questions are made from.
pub(crate) struct Asking<'a> {
    pub asked: &'a UnknownsContext<'a>,
    pub unknowns: &'a [OpenQuestion],
    /// The measured net price.
    pub net: Money,
}

/// Every question, those that move the price first.
pub(crate) fn questions<'a>(asking: &Asking<'a>) -> Vec<AskedQuestion<'a>> {
    let mut questions: Vec<AskedQuestion<'_>> =
        asking.unknowns.iter().map(|unknown| asking.question(unknown)).collect();
    questions.extend(asking.moving_nothing());
    questions
}

impl<'a> Asking<'a> {
    fn question(&self, unknown: &'a OpenQuestion) -> AskedQuestion<'a> {
        let answers = unknown.answers.iter().map(|answer| AnswerPrice {
            value: &answer.value,
            amount: answer.amount,
            odds: answer.odds,
            net: self.net + self.asked.selling(answer.adds),
        });
        AskedQuestion {
            about: QuestionAbout::Priced(unknown.subject, &unknown.places),
            worth: selling(unknown.worth(), &self.asked.job.workbook.sheet.terms),
            answers: answers.collect(),
        }
    }

    /// Questions whose answers move no line of the price, but decide whether the job is safe or allowed.
    fn moving_nothing(&self) -> impl Iterator<Item = AskedQuestion<'a>> {
        let priced = |id: QuestionId| self.unknowns.iter().any(|unknown| unknown.id() == id);
        let made = |subject: AssumedSubject| self.asked.assumptions.made(subject);
        let (site, survey) = (self.asked.job.site, self.asked.survey);
        let asks = [
            (vulnerable_person_is_unknown(survey), PlainQuestion::VulnerablePerson),
            (board_is_unknown(survey), PlainQuestion::ExistingBoard),
            (site.tenure.is_none(), PlainQuestion::Tenure),
            (made(AssumedSubject::Ze) || made(AssumedSubject::FaultCurrent), PlainQuestion::SupplyMeasured),
            (made(AssumedSubject::CutOut) && !priced(QuestionId::CutOut), PlainQuestion::CutOut),
            (
                made(AssumedSubject::Earthing)
                    && ![QuestionId::Earthing, QuestionId::EarthingSound].into_iter().any(priced),
                PlainQuestion::Earthing,
            ),
            (made(AssumedSubject::PointMoved) || site.has_boxes_marked_on_a_party_wall(), PlainQuestion::PointPlace),
            (made(AssumedSubject::Nation), PlainQuestion::Nation),
            (site.built_year.is_none(), PlainQuestion::BuiltYear),
            (survey.existing.as_ref().is_none_or(|existing| existing.cable_era.is_none()), PlainQuestion::CableEra),
            (site.two_way_switches() == 1, PlainQuestion::TwoWayPartner),
        ];
        asks.into_iter().filter(|(asked, _)| *asked).map(|(_, question)| AskedQuestion {
            about: QuestionAbout::Plain(question),
            worth: Money::ZERO,
            answers: Vec::new(),
        })
    }
}

fn vulnerable_person_is_unknown(survey: &Survey) -> bool {
    survey.site.as_ref().and_then(|site| site.vulnerable_person).is_none()
}

fn board_is_unknown(survey: &Survey) -> bool {
    let existing = survey.consumer_unit.as_ref().and_then(|unit| unit.existing.as_ref());
    existing.is_none_or(|board| board.condition.is_none())
}
