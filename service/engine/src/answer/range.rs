//! The spread of the price, and what is worth asking, as they go out.

use std::borrow::Cow;
use std::collections::BTreeSet;

use super::{DistributionBin, Driver, PricedAnswer, Question, Range, words};
use crate::flags::{RaisedFlag, Severity, ToldAs};
use crate::range::{AskedQuestion, CauseShare, PriceBin, PriceRange, QuestionAbout};
use crate::take_off::Job;
use crate::unknowns::QuestionId;

/// The spread in words; `flags` are those that its confidence rests on.
pub(crate) fn range(range: &PriceRange, flags: &[RaisedFlag]) -> Range {
    let open = flags.iter().filter(|flag| flag.told_as == ToldAs::Flag && flag.severity == Severity::Stop);
    let open: BTreeSet<&str> = open.map(|flag| flag.id.word()).collect();
    let driver = |cause: &CauseShare| Driver {
        cause: words::range::cause(&cause.kind),
        share_percent: cause.percent,
        swing: cause.swing,
    };
    let bin = |bin: &PriceBin| DistributionBin { from: bin.from, to: bin.to, share: bin.share };
    Range {
        p10: range.p10,
        p50: range.p50,
        p80: range.p80,
        p90: range.p90,
        mean: range.mean,
        base: range.base,
        contingency: range.contingency,
        confidence: range.confidence.share,
        confidence_because: words::range::confidence(range.confidence, &open),
        draws: range.draws,
        drivers: range.causes.iter().map(driver).collect(),
        distribution: range.bins.iter().map(bin).collect(),
        basis: Cow::Borrowed(words::range::BASIS),
    }
}

/// The questions in words, dearest first; whether what was taken as less than a rewire is one comes before all others.
pub(crate) fn questions(job: Job<'_>, asked: &[AskedQuestion<'_>]) -> Vec<Question> {
    let scope = job.site.scope;
    let assumed_small = scope.assumed && !scope.rewires();
    let question = |asked: &AskedQuestion<'_>| {
        let (ask, places, because) = match asked.about {
            QuestionAbout::Priced(subject, places) => {
                let places = words::places::of_question(job, places);
                (words::questions::ask(subject)?, places, words::questions::because(subject))
            }
            QuestionAbout::Plain(question) => {
                let (ask, place) = words::questions::plain(question);
                (ask, words::places::of_question(job, &[place]), words::questions::MOVES_NOTHING)
            }
        };
        let answers = asked.answers.iter().map(|answer| PricedAnswer {
            answer: words::questions::answer(answer.value, answer.amount),
            odds: answer.odds,
            net: answer.net,
        });
        Some(Question {
            id: Cow::Borrowed(asked.about.id().word()),
            ask: ask.to_owned(),
            places,
            worth: asked.worth,
            answers: answers.collect(),
            because: because.to_owned(),
        })
    };
    let mut questions: Vec<Question> = asked.iter().filter_map(question).collect();
    let behind = |question: &Question| !(assumed_small && question.id == QuestionId::Scope.word());
    questions.sort_by(|a, b| {
        behind(a).cmp(&behind(b)).then(b.worth.cmp(&a.worth)).then(a.id.cmp(&b.id)).then(a.places.cmp(&b.places))
    });
    questions
}
