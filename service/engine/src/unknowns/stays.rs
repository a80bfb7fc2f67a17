//! What stays and was not looked at: taken as sound, with a way to say what it would cost if it is not.

use super::{AnswerSubject, AnswerValue, Change, HousePlace, OpenQuestion, UnknownsContext};
use crate::catalogue::CableClass;
use crate::pricing::Cost;
use crate::site::Site;
use crate::survey::Scope;

pub(super) fn stays(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    if !asked.job.site.scope.board_stays() {
        return;
    }
    earthing_and_bonds(asked, found);
    ways(asked, found);
}

/// Earthing and bonds that nobody looked at: the doubt is a terminal and a bond to each service that is taken as sound.
fn earthing_and_bonds(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    /// Of a bond whose way nobody knows. Common practice, no source.
    const BOND_M: f64 = 8.0;
    let site = asked.job.site;
    let unseen = site.services.iter().filter(|service| service.metal && service.taken_sound).count();
    if unseen == 0 && site.supply.earthing_known {
        return;
    }
    let (operations, materials) = (&asked.job.workbook.operations, &asked.job.workbook.materials);
    let conductor = asked.job.cable(CableClass::Bond);
    let bond = asked.work(conductor.clipped(), BOND_M)
        + asked.work(operations.bonding_terminate, 1.0)
        + asked.material(conductor.material, BOND_M)
        + asked.material(materials.earth_clamp, 1.0);
    let terminal = asked.work(operations.earth_terminal, 1.0) + asked.material(materials.earth_terminal, 1.0);
    #[expect(clippy::cast_precision_loss, reason = "a few services")]
    let cost = bond * unseen as f64 + if site.supply.earthing_known { Cost::ZERO } else { terminal };
    found.push(OpenQuestion {
        subject: AnswerSubject::EarthingSound,
        places: HousePlace::Intake.into(),
        answers: asked.either(AnswerSubject::EarthingSound, cost),
        part: None,
        change: None,
    });
}

/// Free ways for what is new: whether there are any, where nobody counted; where there is none, a small board is priced, and the
/// whole board changed is the other way.
fn ways(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let site = asked.job.site;
    let board = &asked.job.installation.board;
    if board.new_circuits == 0 {
        return;
    }
    let (subject, change): (_, fn(&mut Site, &AnswerValue)) = if board.small_board {
        (AnswerSubject::BoardChanged, |site, answer| {
            if answer.figure().is_some_and(|changed| changed > 0.0) {
                site.scope.kind = Scope::BoardChange;
            }
        })
    } else if site.board_found.ways_spare.is_none() {
        (AnswerSubject::FreeWays, |site, answer| {
            if answer.figure().is_some_and(|full| full > 0.0) {
                site.board_found.ways_spare = Some(0);
            }
        })
    } else {
        return;
    };
    found.push(OpenQuestion {
        subject,
        places: HousePlace::Board.into(),
        answers: asked.either(subject, Cost::ZERO),
        part: None,
        change: Some(Change::Site(change)),
    });
}
