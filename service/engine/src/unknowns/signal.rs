//! Where data, television and telephone cables end.

use super::{AnswerSubject, Change, HousePlace, OpenQuestion, UnknownsContext};
use crate::pricing::Cost;
use crate::site::AssumedSubject;

/// Only the job priced again tells what the cables come to from elsewhere; a very large building is not asked.
pub(super) fn hub(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    if !asked.assumptions.made(AssumedSubject::SignalHub) || !asked.priced_again {
        return;
    }
    found.push(OpenQuestion {
        subject: AnswerSubject::SignalHub,
        places: HousePlace::House.into(),
        answers: asked.answers(AnswerSubject::SignalHub, |_| Cost::ZERO),
        part: None,
        change: Some(Change::Site(|site, answer| match answer.figure().unwrap_or(0.0) {
            figure if figure < 1.0 => {}
            figure if figure < 2.0 => site.hub_by_the_router(),
            _ => site.hub_under_the_roof(),
        })),
    });
}
