//! What fills the stud walls that nobody has looked into.

use super::{AnswerSubject, Change, OpenQuestion, UnknownsContext};
use crate::pricing::Cost;
use crate::site::are_unseen_studs;
use crate::survey::Insulation;

/// Only the whole job priced again tells what it does to cables; a very large building is not asked.
pub(super) fn insulation(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let rooms = asked.rooms(are_unseen_studs);
    if rooms.is_empty() || !asked.priced_again {
        return;
    }
    found.push(OpenQuestion {
        subject: AnswerSubject::StudInsulation,
        places: super::rooms(rooms),
        answers: asked.answers(AnswerSubject::StudInsulation, |_| Cost::ZERO),
        part: None,
        change: Some(Change::Site(|site, answer| {
            site.fill_stud_walls(match answer.figure().unwrap_or(0.0) {
                figure if figure < 1.0 => Some(Insulation::None),
                figure if figure < 2.0 => None,
                _ => Some(Insulation::MineralWool),
            });
        })),
    });
}
