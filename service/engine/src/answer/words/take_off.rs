//! What is done and bought, line by line.

use super::{earthing, labour};
use crate::catalogue::{CableSize, DrawsIn, PointGroup};
use crate::circuits::DrawInEnd;
use crate::money::{Money, decimal};
use crate::routes::Opening;
use crate::site::RoomIndex;
use crate::survey::{Finish, FutureType};
use crate::take_off::{AcrossJoists, CableSpread, Item, ItemDetail, ItemKind, Job, OpeningUser};

/// An item in words.
pub(crate) fn description(job: Job<'_>, item: &Item) -> String {
    match item.what {
        ItemKind::Point(_) => point(job, item),
        ItemKind::Bond(service) => format!("Main bond to {}", plain(service.word())),
        ItemKind::Cable(row) => job.catalogue.cables().row(row).words.clone(),
        ItemKind::ArmouredFeed => {
            let cable = item.circuit.map(|circuit| job.installation.circuits[circuit].cable);
            format!("{} mm2 armoured feed", cable.map_or(0.0, CableSize::line_mm2))
        }
        ItemKind::Chase => {
            let wall = item.room.map_or("wall", |room| job.site.rooms[room].wall.word());
            format!("Chase {} and fix capping", plain(wall))
        }
        ItemKind::ConsumerUnit => format!("Metal consumer unit, {} ways", job.installation.board.ways),
        ItemKind::VisitShared => {
            let by = job.visit.map_or("", |visit| visit.paid_by.as_str());
            format!("Getting there and setting up: paid for by {by}")
        }
        _ => {
            let told = item.detail.as_ref().and_then(|detail| by_detail(job, item, detail));
            told.unwrap_or_else(|| fixed(item.what).map_or_else(|| word(job, item), str::to_owned))
        }
    }
}

/// The words of an item that hang on what tells it from others of its kind.
fn by_detail(job: Job<'_>, item: &Item, detail: &ItemDetail) -> Option<String> {
    Some(match detail {
        ItemDetail::OpenedFloor { line_m, .. } => format!("Open {line_m:.1} m of floor and close it again"),
        ItemDetail::Hole { opening, .. } => hole(job, *opening)?,
        ItemDetail::Riser { metres, .. } => format!("Way of {metres:.2} m up a corner of {}", name(job, item.room?)),
        ItemDetail::SubBoard(place) => format!("Sub-board, {} ways", job.installation.board.sub_boards[*place].ways),
        ItemDetail::Trench(ground) => format!("Trench in {}", plain(ground.word())),
        ItemDetail::DrawIn { end, .. } => format!("Conduit with a draw wire to {}", draw_in_end(job, *end)),
        ItemDetail::Point { .. }
        | ItemDetail::NeutralLooped { .. }
        | ItemDetail::Obstructed(_)
        | ItemDetail::FromIsolator
        | ItemDetail::LoadSensor
        | ItemDetail::Bond { .. }
        | ItemDetail::Access { .. }
        | ItemDetail::Waste(_)
        | ItemDetail::Travel { .. }
        | ItemDetail::VisitShared { .. } => return None,
    })
}

/// What is said of an item besides its hours and materials.
pub(crate) fn note(job: Job<'_>, item: &Item) -> Option<String> {
    let Some(detail) = &item.detail else { return fixed_note(item.what).map(str::to_owned) };
    Some(match detail {
        ItemDetail::Point { own_fitting: false, .. } | ItemDetail::Trench(_) => return None,
        ItemDetail::Point { own_fitting: true, .. } => {
            "client's own fitting: time to unpack, work out and assemble; no warranty of the item".to_owned()
        }
        ItemDetail::NeutralLooped { hours_priced } => {
            let unpriced = if *hours_priced {
                ""
            } else {
                "; the rate sheet has no `neutral-at-switch`, so its hours are not priced"
            };
            format!(
                "feed in and out and the cable to the light; joints saved at the lights are not taken off{unpriced}"
            )
        }
        ItemDetail::FromIsolator => {
            "from the isolator to the appliance, length from common practice; not in the circuit's length".to_owned()
        }
        ItemDetail::LoadSensor => "from the sensor on the tails to the charge point, beside its supply".to_owned(),
        ItemDetail::Obstructed(obstruction) => {
            format!("{} in the way: the factor for obstruction is on these metres only", plain(obstruction.word()))
        }
        ItemDetail::OpenedFloor { joists, users, spread, .. } => {
            let joists = match spread {
                Some(spread) => through_joists(*spread, *joists),
                None => across(*joists),
            };
            format!("{}; {joists}", shared_by(job, users))
        }
        ItemDetail::Hole { users, spread, .. } => format!("{}{}", shared_by(job, users), kept_apart(*spread)),
        ItemDetail::Riser { users, spread, .. } => {
            let apart = kept_apart(*spread);
            format!("in the angle of two walls, a permitted zone; {}{apart}", shared_by(job, users))
        }
        ItemDetail::DrawIn { futures, recorded, conduit_priced, .. } => draw_in(futures, *recorded, *conduit_priced),
        ItemDetail::Bond { place_recorded: true } => "10 mm2 from the earth bar, by the route of a cable".to_owned(),
        ItemDetail::Bond { place_recorded: false } => {
            "10 mm2 from the earth bar; the place of the pipe is not known, so the far side of the house is taken"
                .to_owned()
        }
        ItemDetail::SubBoard(place) => {
            earthing::outbuilding(job.installation.board.sub_boards[*place].earth).to_owned()
        }
        ItemDetail::Access { .. }
        | ItemDetail::Waste(_)
        | ItemDetail::Travel { .. }
        | ItemDetail::VisitShared { .. } => {
            return labour::note(job, detail);
        }
    })
}

/// A point by its label, its finish, and who brings it.
fn point(job: Job<'_>, item: &Item) -> String {
    let Some(ItemDetail::Point { row, .. }) = item.detail else { return word(job, item) };
    let kind = &job.catalogue.points()[row];
    let mut words = kind.label.clone();
    let finish = item.conditions.finish;
    if finish != Finish::White && kind.group != PointGroup::Light {
        words.push_str(", ");
        words.push_str(finish_words(finish));
    }
    if item.client_supplied {
        words.push_str(", supplied by the client");
    }
    words
}

/// The finish of an accessory.
const fn finish_words(finish: Finish) -> &'static str {
    match finish {
        Finish::White => "white",
        Finish::WhiteSlim => "slim white",
        Finish::MetalFlat => "flat metal",
        Finish::MetalScrewless => "screwless metal",
        Finish::Painted => "painted",
        Finish::ClientSupplied => "client's own",
    }
}

fn hole(job: Job<'_>, opening: Opening) -> Option<String> {
    match opening {
        Opening::Wall { from, to, void, .. } => {
            let place = if void { " in the void" } else { "" };
            Some(format!("Drill the wall between {} and {}{place}", name(job, from), name(job, to)))
        }
        Opening::Outside(room) => Some(format!("Drill the outside wall of {}", name(job, room))),
        Opening::Slab { room, .. } => Some(format!("Drill the slab under {}", name(job, room))),
        Opening::Floor(_) | Opening::Storey(_) | Opening::Riser { .. } => None,
    }
}

fn across(joists: AcrossJoists) -> String {
    match joists {
        AcrossJoists::Half => "half of the line taken across the joists".to_owned(),
        AcrossJoists::Across(drilled) => format!("across the joists as recorded, {drilled} of them drilled"),
        AcrossJoists::Along => "along the joists as recorded, none of them drilled".to_owned(),
    }
}

/// Holes in joists, as they are counted joist by joist.
fn through_joists(spread: CableSpread, joists: AcrossJoists) -> String {
    let CableSpread { holes, cables, .. } = spread;
    if holes <= 0.0 {
        return "along the joists, none of them drilled".to_owned();
    }
    let known = match joists {
        AcrossJoists::Half => "half of each way taken across the joists: ",
        AcrossJoists::Across(_) | AcrossJoists::Along => "",
    };
    let plates =
        if spread.plates { ", each with a plate over it: too little of the joist is left to an edge" } else { "" };
    format!(
        "{known}{holes} holes through joists, counted joist by joist, {cables} cables through the busiest{plates}{}",
        kept_apart(Some(spread))
    )
}

/// Why there are more holes than one, or than the cables need for room.
fn kept_apart(spread: Option<CableSpread>) -> String {
    let Some(spread) = spread else { return String::new() };
    let CableSpread { holes, for_room, in_one, loaded_in_one, cables, .. } = spread;
    if !spread.keeps_apart() {
        let crowded = cables > in_one;
        return if crowded { format!("; {in_one} cables to a hole at most, for room") } else { String::new() };
    }
    let instead = spread.larger_cable.map_or(String::new(), |money| {
        format!("; a larger cable in place of them would cost {} more at least", Money::rounded(decimal(money)))
    });
    let mut to_one =
        if loaded_in_one == 1 { "one loaded cable".to_owned() } else { format!("{loaded_in_one} loaded cables") };
    to_one.push_str(" to each at most");
    match spread.alone {
        0 => {}
        1 => to_one.push_str(", those of one circuit each by itself"),
        circuits => to_one.push_str(&format!(", those of {circuits} circuits each by itself")),
    }
    format!(
        "; spread over {holes} in place of {for_room}, {to_one}, so that none carries too little among \
         the others (BS 7671 Table 4C1; one loaded to 0.3 of its grouped rating is left out, 523.5){instead}"
    )
}

/// Who shares what was opened once.
fn shared_by(job: Job<'_>, users: &[OpeningUser]) -> String {
    match users {
        [] => "shared by every cable that uses it".to_owned(),
        [only] => format!("for {} alone", user(job, *only)),
        many => {
            let names: Vec<String> = many.iter().map(|one| user(job, *one)).collect();
            format!("shared by {}: 1/{} each", names.join(", "), many.len())
        }
    }
}

fn user(job: Job<'_>, user: OpeningUser) -> String {
    match user {
        OpeningUser::Circuit(circuit) => job.installation.circuits[circuit].id.clone(),
        OpeningUser::Signal => "signal wiring".to_owned(),
        OpeningUser::Bond(service) => format!("the bond to {}", plain(service.word())),
        OpeningUser::DrawIn(end) => format!("the draw-in run to {}", draw_in_end(job, end)),
        OpeningUser::Strappers => "strappers".to_owned(),
    }
}

/// Where a draw-in run ends.
pub(crate) fn draw_in_end(job: Job<'_>, end: DrawInEnd) -> String {
    let side = match end.side {
        DrawsIn::Loft => "the space under the roof",
        DrawsIn::Front => "the outside wall towards the street",
        DrawsIn::Back | DrawsIn::None => "the outside wall towards the garden",
    };
    match end.room {
        Some(room) => format!("{side}, at {}", name(job, room)),
        None => side.to_owned(),
    }
}

fn draw_in(futures: &[FutureType], recorded: bool, conduit_priced: bool) -> String {
    let futures: Vec<String> = futures.iter().map(|future| plain(future.word())).collect();
    let taken = if recorded { "" } else { "; where it ends was not recorded and is taken" };
    let unpriced =
        if conduit_priced { "" } else { "; the rate sheet has no `conduit-draw-in-25`, so its material is not priced" };
    format!("for {}, which may come{taken}{unpriced}", futures.join(", "))
}

fn name(job: Job<'_>, room: RoomIndex) -> String {
    job.site.rooms[room].name.to_lowercase()
}

/// A word of a closed list as it is written in a sentence.
fn plain(word: &str) -> String {
    word.replace('-', " ")
}

/// The kind's own word: for what has no facts of its own.
fn word(job: Job<'_>, item: &Item) -> String {
    item.what.word(job.catalogue.cables()).to_owned()
}

/// The words of the kinds that need no figure.
const fn fixed(what: ItemKind) -> Option<&'static str> {
    Some(match what {
        ItemKind::NeutralAtSwitch => "Neutral looped at the switches",
        ItemKind::ScanBeforeCutting => "Scan walls and floor before cutting",
        ItemKind::FloorChase => "Chase the screed to floor outlets, conduit in it",
        ItemKind::DrillStuds => "Drill plates and noggins for drops",
        ItemKind::MiniTrunking => "Mini trunking on the surface",
        ItemKind::MoveInsulation => "Roll back and relay loft insulation",
        ItemKind::FireSeals => "Seal holes in a fire line",
        ItemKind::MakingGood => "Fill chases and round boxes, ready for others to skim",
        ItemKind::ProtectiveDevices => "Protective devices, terminated and labelled",
        ItemKind::Tails => "Meter tails and main earth to the board",
        ItemKind::SwitchedFuse => "Switched fuse at the meter, the board being away from it",
        ItemKind::MainEarthTerminal => "Main earthing terminal and earthing conductor",
        ItemKind::EarthElectrode => "Earth electrode, driven and measured",
        ItemKind::FeedMadeOff => "Armoured feed that stays, made off anew",
        ItemKind::OldBoard => "Prove dead, disconnect and remove the old board",
        ItemKind::OldPoints => "Disconnect and remove old points, cables made safe or pulled",
        ItemKind::OldSurfaceWiring => "Take off old cable, conduit and trunking on the surface",
        ItemKind::OldStorageHeaters => "Disconnect and dismantle old storage heaters",
        ItemKind::SmallBoard => "Small board beside the one that stays, which has no free way",
        ItemKind::ResidualProtection => "30 mA protection for the circuit that is extended, which has none",
        ItemKind::WhatStays => "Look at earthing, bonds, main fuse and board that stay",
        ItemKind::MinorWorks => "Minor works certificate",
        ItemKind::SupplyTests => "Tests at the origin and of the earthing",
        ItemKind::CircuitTests => "Dead and live tests",
        ItemKind::ExistingCircuitSurvey => "Find and sample-test a circuit that stays",
        ItemKind::JoinExisting => "Find where a circuit that stays may be joined",
        ItemKind::Certificate => "Installation certificate, schedules and chart",
        ItemKind::Notification => "Notification to building control and papers to the client",
        ItemKind::Handover => "Show the client the board, alarms and controls",
        ItemKind::OperatorForm => "Load survey and form to the network operator",
        ItemKind::MarkOut => "Mark every point with the client",
        ItemKind::Protection => "Protect floors and stairs",
        ItemKind::TemporarySupply => "Temporary supply while the old is off",
        ItemKind::Tower => "Put up and strike a tower where nothing lower reaches",
        ItemKind::Ladder => "Set up and tie a ladder outside",
        ItemKind::Waste => "Take waste to a licensed site, gate fee in it",
        ItemKind::Skip => "Skip for old work and spoil, filled as it comes off",
        ItemKind::SetUp => "Set up, dust control, sweep, make safe for the night",
        ItemKind::Travel => "Travel both ways, the whole crew, and the van",
        ItemKind::ParkAndCarry => "Park away from the house and carry",
        ItemKind::KeepLive => "Restore essential circuits each evening",
        ItemKind::CollectMaterials => "Collect materials",
        ItemKind::MoveFurniture => "Move, cover and put back furniture",
        // Told with their figures.
        ItemKind::Point(_)
        | ItemKind::Bond(_)
        | ItemKind::Cable(_)
        | ItemKind::OpenFloor
        | ItemKind::WallHole
        | ItemKind::SlabHole
        | ItemKind::Riser
        | ItemKind::Chase
        | ItemKind::DrawInRun
        | ItemKind::ConsumerUnit
        | ItemKind::ArmouredFeed
        | ItemKind::Trench
        | ItemKind::SubBoard
        | ItemKind::VisitShared => return None,
    })
}

/// What is always said of a kind.
const fn fixed_note(what: ItemKind) -> Option<&'static str> {
    match what {
        ItemKind::FloorChase => {
            Some("half of the room's shorter side for each outlet; only after the screed has been found free of pipes")
        }
        ItemKind::ConsumerUnit => Some("main switch, surge device, blanks, labels and seals in it"),
        ItemKind::Tails => Some(
            "the supplier, the operator or someone they authorise draws the cut-out fuse; their charge is excluded",
        ),
        ItemKind::EarthElectrode => Some("one rod; poor ground wants more"),
        ItemKind::FeedMadeOff => Some("taken to reach the new boards: a joint or more cable is extra"),
        ItemKind::OldStorageHeaters => {
            Some("heaters from before 1974 may hold asbestos: look before one is opened (from memory)")
        }
        ItemKind::ExistingCircuitSurvey => Some("faults found on it are excluded"),
        _ => None,
    }
}
