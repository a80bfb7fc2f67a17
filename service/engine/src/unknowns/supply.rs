//! The supply, the services, the garden: what the office could find out by telephone.

use super::{Answer, Asked, Unknown};
use crate::catalogue::CableClass;
use crate::pricing::Cost;
use crate::site::ServicePlan;
use crate::survey::{Dwelling, Earthing, Ground, OutbuildingConstruction};
use crate::take_off::{ItemKind, bond_metres, needs_bond};

/// The largest cut-out of an ordinary single-phase dwelling. From memory.
const LARGEST_CUT_OUT_A: f64 = 100.0;

pub(super) fn supply(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    cut_out(asked, found);
    waits(asked, found);
    for service in asked.job.site.services.iter().filter(|service| needs_bond(service)) {
        bond(asked, service, found);
    }
    if !asked.job.site.supply.earthing_known {
        let cost = asked.electrode();
        found.push(Unknown {
            id: "earthing",
            ask: Some("How is the house earthed? Look for the earth at the cut-out, or ask the operator"),
            places: vec!["intake".to_owned()],
            cause: "how the house is earthed",
            answers: asked.answers("earthing", |row| {
                if row.answer == Earthing::Tt.word() { cost } else { Cost::ZERO }
            }),
            part: None,
            because: "an electrode of its own where the street gives no earth; every check of a circuit rests on it too", change: None,
        });
    }
    outbuildings(asked, found);
}

/// A cut-out that does not bear the house is the operator's to change, and the crew comes back for it; from 100 A on
/// there is nothing larger, and the load is held down instead.
fn cut_out(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    if asked.job.site.supply.cut_out_read {
        return;
    }
    let visit = asked.lost_visit();
    let short = |rating: f64| rating < asked.demand.after_diversity.value() && rating < LARGEST_CUT_OUT_A;
    found.push(Unknown {
        id: "cut-out",
        ask: Some("What fuse does the cut-out hold? Photograph its label"),
        places: vec!["intake".to_owned()],
        cause: "the fuse in the cut-out",
        answers: asked.answers("cut-out", |row| if row.figure.is_some_and(short) { visit } else { Cost::ZERO }),
        part: None,
        because: "found too small on the day, the crew comes back after the operator's change, whose own charge is excluded; known \
                  before, the change is ordered first",
        change: None,
    });
}

/// Things that stop the job if they are first found on the day: each then costs the crew a visit. Found before, they are
/// ordered before the start and cost the firm nothing, so that a recorded one moves no line.
fn waits(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    let site = asked.job.site;
    let visit = asked.lost_visit();
    let intake = || vec!["intake".to_owned()];
    let mut wait =
        |id: &'static str, ask: &'static str, places: Vec<String>, cause: &'static str, because: &'static str| {
            let answers = asked.either(id, visit);
            found.push(Unknown { id, ask: Some(ask), places, cause, answers, part: None, because, change: None });
        };
    if site.supply.isolator_after_meter.is_none() {
        let because = "found missing on the day, the crew comes back for the board; known before, it is ordered first";
        wait(
            "isolator",
            "Is there an isolator after the meter?",
            intake(),
            "whether the supply can be made dead",
            because,
        );
    }
    let neighbours = matches!(site.dwelling, Some(Dwelling::Terrace | Dwelling::EndTerrace | Dwelling::SemiDetached));
    if site.supply.looped.is_none() && neighbours {
        let ask = "Do two service cables leave the cut-out? One may feed the neighbour";
        let because = "found on the day, the crew comes back after the operator has unlooped it; known before, it is ordered first";
        wait("looped", ask, intake(), "whether the supply is looped", because);
    }
    let coated = |room: &crate::site::RoomPlan| room.textured && room.coating_clear.is_none();
    let coated = asked.rooms(coated);
    if site.may_hold_asbestos() && !coated.is_empty() {
        let ask = "Have these textured ceilings been sampled for asbestos, and what was found?";
        let because = "found on the day, work under them stops and the crew comes back; sampled before, it is planned; removal is excluded";
        wait("ceiling-coating", ask, asked.named(&coated), "asbestos in textured ceilings", because);
    }
    if site.backing_may_hold_asbestos() {
        let ask = "Has the board behind the old fuses been sampled for asbestos, and what was found?";
        let because = "found on the day, nothing is touched and the crew comes back; sampled before, it is planned; removal is excluded";
        wait("board-backing", ask, vec!["board".to_owned()], "asbestos behind the old board", because);
    }
}

/// The bond of one service: where it comes in, and whether it is wanted at all.
fn bond(asked: &Asked<'_>, service: &ServicePlan, found: &mut Vec<Unknown>) {
    let name = service.kind.word();
    let now = asked.cost_of(|item| item.what == ItemKind::Bond(service.kind));
    let place = vec![name.replace('-', " ")];
    if service.spot.is_none() {
        let conductor = asked.job.cable(CableClass::Bond);
        let metres = bond_metres(asked.job, service);
        let by_the_metre = asked.work(conductor.fished(), metres) + asked.material(conductor.material, metres);
        found.push(Unknown {
            id: "service-position",
            ask: Some("Where does the pipe come in?"),
            places: place.clone(),
            cause: "where the services come in",
            answers: asked.answers("service-position", |row| by_the_metre * (row.figure.unwrap_or(1.0) - 1.0)),
            part: None,
            because: "the length of the main bond, priced to the far side of the house",
            change: None,
        });
    }
    let silent = |subject: &str| asked.assumptions.places(subject).any(|place| place == name);
    if !service.recorded || silent("service-material") || silent("bonding") {
        found.push(Unknown {
            id: "service-bond",
            ask: Some("Is the pipe metal where it comes in, and does it have a 10 mm2 bond already?"),
            places: place,
            cause: "whether the services want a bond",
            answers: asked.answers("service-bond", |row| now * (row.figure.unwrap_or(1.0) - 1.0)),
            part: None,
            because: "the main bond falls away",
            change: None,
        });
    }
}

fn outbuildings(asked: &Asked<'_>, found: &mut Vec<Unknown>) {
    for (building, buried) in asked.job.site.outbuildings.iter().zip(asked.fed_in_the_ground()) {
        let room = building.room;
        let id = asked.job.site.rooms[room].id.as_str();
        let silent = |subject: &str| asked.assumptions.places(subject).any(|place| place == id);
        let mut ask =
            |id: &'static str, ask: &'static str, cause: &'static str, because: &'static str, answers: Vec<Answer>| {
                let places = vec![asked.job.site.rooms[room].id.clone()];
                found.push(Unknown { id, ask: Some(ask), places, cause, answers, part: None, because, change: None });
            };
        let metres: f64 = building.stretches.iter().map(|(_, length)| length.value()).sum();
        if silent("outbuilding-run") && buried {
            let now = asked.cost_of(|item| {
                item.room == Some(room) && matches!(item.what, ItemKind::Trench | ItemKind::ArmouredFeed)
            });
            let because = "digging, laying and the armoured cable";
            let answers = asked.multiples("outbuilding-run", metres, "m", now);
            ask(
                "outbuilding-run",
                "How long is the way to the outbuilding? Pace it",
                "the length of the trench",
                because,
                answers,
            );
        }
        if silent("ground") && buried {
            let now = asked.cost_of(|item| item.room == Some(room) && item.what == ItemKind::Trench);
            let answers = asked.answers("ground", |row| {
                let Some(ground) = Ground::from_word(&row.answer) else { return Cost::ZERO };
                asked.trench(ground, metres) - Cost { materials: 0.0, ..now } + asked.backfill(metres)
            });
            let because = "digging, by what lies on top";
            ask(
                "ground",
                "What does the trench go through: lawn, slabs, concrete?",
                "the ground of the trench",
                because,
                answers,
            );
        }
        if silent("outbuilding-construction") {
            let electrode = asked.electrode();
            let answers = asked.answers("outbuilding-construction", |row| {
                if row.answer == OutbuildingConstruction::Metal.word() { electrode } else { Cost::ZERO }
            });
            let because = "an electrode of its own for a metal building";
            ask(
                "outbuilding-construction",
                "What is the outbuilding made of?",
                "what the outbuilding is made of",
                because,
                answers,
            );
        }
        if !building.buried_services_known && metres > 0.0 && buried {
            let answers = asked.answers("buried-services", |row| {
                // What crosses is dug round by hand, at three times the hours of the same metres.
                asked.trench(Ground::Lawn, row.figure.unwrap_or(0.0).min(metres) * 2.0)
            });
            let ask_for = "What else is buried on the way of the trench? Ask for the service drawings, and scan";
            ask("buried-services", ask_for, "what else is buried", "digging by hand round what crosses", answers);
        }
    }
}

impl Asked<'_> {
    /// Whether a trench is dug to each outbuilding, in the order of the site.
    fn fed_in_the_ground(&self) -> impl Iterator<Item = bool> + '_ {
        let site = self.job.site;
        (0..site.outbuildings.len()).map(|index| {
            self.job.installation.circuits.iter().any(|circuit| circuit.outbuilding == Some(index) && circuit.is_dug())
        })
    }

    /// One electrode, driven and measured.
    pub(crate) fn electrode(&self) -> Cost {
        let (does, takes) = (&self.job.workbook.does, &self.job.workbook.takes);
        self.work(does.earth_rod_drive, 1.0) + self.work(does.earth_rod_test, 1.0) + self.material(takes.earth_rod, 1.0)
    }

    pub(crate) fn trench(&self, ground: Ground, metres: f64) -> Cost {
        let does = &self.job.workbook.does;
        let dig = match ground {
            Ground::Lawn | Ground::Bed => does.trench_soft,
            Ground::Gravel => does.trench_gravel,
            Ground::Slabs => does.trench_slabs,
            Ground::Concrete | Ground::Tarmac | Ground::SharedDrive => does.trench_hard,
        };
        self.work(dig, metres)
    }

    fn backfill(&self, metres: f64) -> Cost {
        self.work(self.job.workbook.does.trench_backfill, metres)
    }
}
