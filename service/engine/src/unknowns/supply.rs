//! The supply, the services, the garden: what the office could find out by telephone.

use super::{Answer, AnswerAmount, AnswerSubject, AnswerValue, Change, HousePlace, OpenQuestion, UnknownsContext};
use crate::catalogue::CableClass;
use crate::circuits::{BondRun, OperatorNotice};
use crate::pricing::Cost;
use crate::site::AssumedSubject;
use crate::survey::{Dwelling, Earthing, Ground, OutbuildingConstruction};
use crate::take_off::ItemKind;

/// The largest cut-out of an ordinary single-phase dwelling. From memory.
const LARGEST_CUT_OUT_A: f64 = 100.0;

pub(super) fn supply(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let stays = asked.job.site.scope.board_stays();
    if !stays || asked.demand.operator != OperatorNotice::None {
        cut_out(asked, found);
    }
    waits(asked, found);
    for wanted in &asked.job.installation.unassigned.bonds {
        bond(asked, wanted, found);
    }
    if !asked.job.site.supply.earthing_known && !stays {
        let cost = asked.electrode();
        found.push(OpenQuestion {
            subject: AnswerSubject::Earthing,
            places: HousePlace::Intake.into(),
            answers: asked.answers(AnswerSubject::Earthing, |value| {
                if *value == AnswerValue::Earthing(Earthing::Tt) { cost } else { Cost::ZERO }
            }),
            part: None,
            change: Some(Change::Site(|site, answer| {
                if let AnswerValue::Earthing(earthing) = answer {
                    site.supply.earthing = *earthing;
                }
            })),
        });
    }
    outbuildings(asked, found);
}

/// A cut-out that does not bear the house is the operator's to change, and the crew comes back for it; from 100 A on
/// there is nothing larger, and the load is held down instead.
fn cut_out(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    if asked.job.site.supply.cut_out_read {
        return;
    }
    let visit = asked.lost_visit();
    let short = |rating: f64| rating < asked.demand.after_diversity.value() && rating < LARGEST_CUT_OUT_A;
    found.push(OpenQuestion {
        subject: AnswerSubject::CutOut,
        places: HousePlace::Intake.into(),
        answers: asked
            .answers(AnswerSubject::CutOut, |value| if value.figure().is_some_and(short) { visit } else { Cost::ZERO }),
        part: None,
        change: None,
    });
}

/// Things that stop the job if they are first found on the day: each then costs the crew a visit. Found before, they are
/// ordered before the start and cost the firm nothing, so that a recorded one moves no line.
fn waits(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    let site = asked.job.site;
    let visit = asked.lost_visit();
    let mut wait = |subject: AnswerSubject, places: Vec<HousePlace>| {
        let answers = asked.either(subject, visit);
        found.push(OpenQuestion { subject, places, answers, part: None, change: None });
    };
    // Where the board stays, nobody works on the supply.
    let stays = site.scope.board_stays();
    if site.supply.isolator_after_meter.is_none() && !stays {
        wait(AnswerSubject::Isolator, HousePlace::Intake.into());
    }
    let neighbours = matches!(site.dwelling, Some(Dwelling::Terrace | Dwelling::EndTerrace | Dwelling::SemiDetached));
    if site.supply.looped.is_none() && neighbours && !stays {
        wait(AnswerSubject::Looped, HousePlace::Intake.into());
    }
    let coated = asked.rooms(|room| room.textured && room.coating_clear.is_none());
    if site.may_hold_asbestos() && !coated.is_empty() {
        wait(AnswerSubject::CeilingCoating, super::rooms(coated));
    }
    if site.backing_may_hold_asbestos() && !stays {
        wait(AnswerSubject::BoardBacking, HousePlace::Board.into());
    }
}

/// The bond of one service: where it comes in, and whether it is wanted at all.
fn bond(asked: &UnknownsContext<'_>, wanted: &BondRun, found: &mut Vec<OpenQuestion>) {
    let service = &asked.job.site.services[wanted.service];
    let now = asked.cost_of(|item| item.what == ItemKind::Bond(service.kind));
    let place = HousePlace::Service(service.kind);
    if service.spot.is_none() {
        let conductor = asked.job.cable(CableClass::Bond);
        let by_the_metre =
            asked.work(conductor.fished(), wanted.metres) + asked.material(conductor.material, wanted.metres);
        found.push(OpenQuestion {
            subject: AnswerSubject::ServicePosition,
            places: place.into(),
            answers: asked
                .answers(AnswerSubject::ServicePosition, |value| by_the_metre * (value.figure().unwrap_or(1.0) - 1.0)),
            part: None,
            change: None,
        });
    }
    let silent = |subject: AssumedSubject| asked.assumptions.made_for(subject, service.kind);
    if !service.recorded || silent(AssumedSubject::ServiceMaterial) || silent(AssumedSubject::Bonding) {
        found.push(OpenQuestion {
            subject: AnswerSubject::ServiceBond,
            places: place.into(),
            answers: asked.answers(AnswerSubject::ServiceBond, |value| now * (value.figure().unwrap_or(1.0) - 1.0)),
            part: None,
            change: None,
        });
    }
}

fn outbuildings(asked: &UnknownsContext<'_>, found: &mut Vec<OpenQuestion>) {
    for (building, buried) in asked.job.site.outbuildings.iter().zip(asked.fed_in_the_ground()) {
        let room = building.room;
        let id = asked.job.site.rooms[room].id.as_str();
        let silent = |subject: AssumedSubject| asked.assumptions.rooms(subject).any(|place| place == id);
        let mut ask = |subject: AnswerSubject, answers: Vec<Answer>| {
            let places = HousePlace::Room(room).into();
            found.push(OpenQuestion { subject, places, answers, part: None, change: None });
        };
        let metres: f64 = building.stretches.iter().map(|(_, length)| length.value()).sum();
        if silent(AssumedSubject::OutbuildingRun) && buried {
            let now = asked.cost_of(|item| {
                item.room == Some(room) && matches!(item.what, ItemKind::Trench | ItemKind::ArmouredFeed)
            });
            let subject = AnswerSubject::OutbuildingRun;
            ask(subject, asked.multiples(subject, now, |times| AnswerAmount::Metres((metres * times).round())));
        }
        if silent(AssumedSubject::Ground) && buried {
            let now = asked.cost_of(|item| item.room == Some(room) && item.what == ItemKind::Trench);
            let answers = asked.answers(AnswerSubject::Ground, |value| {
                let AnswerValue::Ground(ground) = *value else { return Cost::ZERO };
                asked.trench(ground, metres) - Cost { materials: 0.0, ..now } + asked.backfill(metres)
            });
            ask(AnswerSubject::Ground, answers);
        }
        if silent(AssumedSubject::OutbuildingConstruction) {
            let metal = AnswerValue::Outbuilding(OutbuildingConstruction::Metal);
            let electrode = asked.electrode();
            let answers = asked.answers(AnswerSubject::OutbuildingConstruction, |value| {
                if *value == metal { electrode } else { Cost::ZERO }
            });
            ask(AnswerSubject::OutbuildingConstruction, answers);
        }
        if !building.buried_services_known && metres > 0.0 && buried {
            let answers = asked.answers(AnswerSubject::BuriedServices, |value| {
                // What crosses is dug round by hand, at three times the hours of the same metres.
                asked.trench(Ground::Lawn, value.figure().unwrap_or(0.0).min(metres) * 2.0)
            });
            ask(AnswerSubject::BuriedServices, answers);
        }
    }
}

impl UnknownsContext<'_> {
    /// Whether a trench is dug to each outbuilding, in the order of the site.
    fn fed_in_the_ground(&self) -> impl Iterator<Item = bool> + '_ {
        let site = self.job.site;
        (0..site.outbuildings.len()).map(|index| {
            self.job.installation.circuits.iter().any(|circuit| circuit.outbuilding == Some(index) && circuit.is_dug())
        })
    }

    /// One electrode, driven and measured.
    pub(crate) fn electrode(&self) -> Cost {
        let (operations, materials) = (&self.job.workbook.operations, &self.job.workbook.materials);
        self.work(operations.earth_rod_drive, 1.0)
            + self.work(operations.earth_rod_test, 1.0)
            + self.material(materials.earth_rod, 1.0)
    }

    pub(crate) fn trench(&self, ground: Ground, metres: f64) -> Cost {
        let operations = &self.job.workbook.operations;
        let dig = match ground {
            Ground::Lawn | Ground::Bed => operations.trench_soft,
            Ground::Gravel => operations.trench_gravel,
            Ground::Slabs => operations.trench_slabs,
            Ground::Concrete | Ground::Tarmac | Ground::SharedDrive => operations.trench_hard,
        };
        self.work(dig, metres)
    }

    fn backfill(&self, metres: f64) -> Cost {
        self.work(self.job.workbook.operations.trench_backfill, metres)
    }
}
