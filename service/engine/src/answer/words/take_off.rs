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
        ItemDetail::SignalEnds { .. } => format!("Where data and television cables end: {}", hub(job)),
        ItemDetail::Point { .. }
        | ItemDetail::BoardContainment { .. }
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
            "Client's own fitting. Time to unpack and assemble it is in. We give no warranty on it".to_owned()
        }
        ItemDetail::NeutralLooped { hours_priced } => {
            let unpriced = if *hours_priced {
                ""
            } else {
                ". The rate sheet has no `neutral-at-switch`, so its hours are not priced"
            };
            format!(
                "Feed in, feed out and the cable to the light meet here. Joints saved at the lights are not taken off{unpriced}"
            )
        }
        ItemDetail::FromIsolator => {
            "From the isolator to the appliance, a usual length (common practice). It is not in the circuit's length"
                .to_owned()
        }
        ItemDetail::LoadSensor => {
            "From the sensor on the tails to the charge point, beside its supply cable".to_owned()
        }
        ItemDetail::SignalEnds { data, television, socket } => signal_ends(*data, *television, *socket),
        ItemDetail::BoardContainment { above, below } => format!(
            "{above} cables from above and {below} from below. They lie together over a metre at most, which does not count as a \
             group (common practice, no source)"
        ),
        ItemDetail::Obstructed(obstruction) => {
            format!("In the way: {}. The extra time is on these metres only", plain(obstruction.word()))
        }
        ItemDetail::OpenedFloor { joists, users, spread, .. } => {
            let joists = match spread {
                Some(spread) => through_joists(*spread, *joists),
                None => across(*joists),
            };
            format!("{}. {joists}", shared_by(job, users))
        }
        ItemDetail::Hole { users, spread, .. } => format!("{}{}", shared_by(job, users), kept_apart(*spread)),
        ItemDetail::Riser { users, spread, .. } => {
            let apart = kept_apart(*spread);
            format!("In the corner of two walls, a permitted zone. {}{apart}", shared_by(job, users))
        }
        ItemDetail::DrawIn { futures, recorded, conduit_priced, .. } => draw_in(futures, *recorded, *conduit_priced),
        ItemDetail::Bond { place_recorded: true } => "10 mm2 from the earth bar, by the way a cable goes".to_owned(),
        ItemDetail::Bond { place_recorded: false } => {
            "10 mm2 from the earth bar. Nobody recorded where the pipe is, so we took the far side of the house"
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

fn hub(job: Job<'_>) -> String {
    let place = job.site.signal_hub;
    match place.room {
        _ if place == job.site.board => "beside the board".to_owned(),
        Some(room) => name(job, room),
        None => "place not known".to_owned(),
    }
}

fn signal_ends(data: u32, television: u32, socket: bool) -> String {
    let socket =
        if socket { ". A double socket for the equipment is in the price, as the room lists none" } else { "" };
    format!("Data cables: {data}, television cables: {television}. Aerial, amplifier and router are by others{socket}")
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
        AcrossJoists::Half => "We took half of the line as across the joists".to_owned(),
        AcrossJoists::Across(drilled) => format!("Across the joists, as recorded: {drilled} of them drilled"),
        AcrossJoists::Along => "Along the joists, as recorded: none of them drilled".to_owned(),
    }
}

/// Holes in joists, as they are counted joist by joist.
fn through_joists(spread: CableSpread, joists: AcrossJoists) -> String {
    let CableSpread { holes, cables, .. } = spread;
    if holes <= 0.0 {
        return "Along the joists: none of them drilled".to_owned();
    }
    let known = match joists {
        AcrossJoists::Half => "We took half of each way as across the joists. ",
        AcrossJoists::Across(_) | AcrossJoists::Along => "",
    };
    let plates = if spread.plates { ". Each gets a metal plate: it is near the edge of the joist" } else { "" };
    format!(
        "{known}{holes} holes through joists, counted one by one. Up to {cables} cables pass through one joist{plates}{}",
        kept_apart(Some(spread))
    )
}

/// Why there are more holes than one, or than the cables need for room.
fn kept_apart(spread: Option<CableSpread>) -> String {
    let Some(spread) = spread else { return String::new() };
    let CableSpread { holes, for_room, in_one, loaded_in_one, cables, .. } = spread;
    if !spread.keeps_apart() {
        let crowded = cables > in_one;
        return if crowded { format!(". A hole has room for {in_one} cables") } else { String::new() };
    }
    let instead = spread.larger_cable.map_or(String::new(), |money| {
        format!(". Larger cables instead would cost at least {} more", Money::rounded(decimal(money)))
    });
    let mut to_one =
        if loaded_in_one == 1 { "one loaded cable".to_owned() } else { format!("{loaded_in_one} loaded cables") };
    to_one.push_str(" to a hole");
    match spread.alone {
        0 => {}
        1 => to_one.push_str(". The cables of one circuit each have a hole alone"),
        circuits => to_one.push_str(&format!(". The cables of {circuits} circuits each have a hole alone")),
    }
    format!(
        ". {holes} holes in place of {for_room}, so that no cable heats the others too much (BS 7671 Table 4C1). At most \
         {to_one}. A cable loaded to 0.3 of its grouped rating does not count (BS 7671 523.5){instead}"
    )
}

/// Who shares what was opened once.
fn shared_by(job: Job<'_>, users: &[OpeningUser]) -> String {
    match users {
        [] => "Shared by every cable that uses it".to_owned(),
        [only @ OpeningUser::Circuit(_)] => format!("For circuit {} alone", user(job, *only)),
        [only] => format!("For {} alone", user(job, *only)),
        many => {
            let names = |circuits: bool| {
                let of = many.iter().filter(|one| matches!(one, OpeningUser::Circuit(_)) == circuits);
                of.map(|one| user(job, *one)).collect::<Vec<_>>().join(", ")
            };
            let (circuits, others) = (names(true), names(false));
            let circuits = if circuits.is_empty() { circuits } else { format!(". Circuits: {circuits}") };
            let others = if others.is_empty() { others } else { format!(". Others: {others}") };
            format!("Shared: 1/{} each{circuits}{others}", many.len())
        }
    }
}

fn user(job: Job<'_>, user: OpeningUser) -> String {
    match user {
        OpeningUser::Circuit(circuit) => job.installation.circuits[circuit].id.clone(),
        OpeningUser::Signal => "signal wiring".to_owned(),
        OpeningUser::Bond(service) => format!("the bond to {}", plain(service.word())),
        OpeningUser::DrawIn(end) => match end.room {
            Some(room) => format!("the draw-in run at {}", name(job, room)),
            None => format!("the draw-in run to {}", draw_in_end(job, end)),
        },
        OpeningUser::Strappers => "strappers".to_owned(),
    }
}

/// Where a draw-in run ends.
pub(crate) fn draw_in_end(job: Job<'_>, end: DrawInEnd) -> String {
    let side = match end.side {
        DrawsIn::Loft => "the loft",
        DrawsIn::Front => "the outside wall, street side",
        DrawsIn::Back | DrawsIn::None => "the outside wall, garden side",
    };
    match end.room {
        Some(room) => format!("{side}, at {}", name(job, room)),
        None => side.to_owned(),
    }
}

fn draw_in(futures: &[FutureType], recorded: bool, conduit_priced: bool) -> String {
    let futures: Vec<String> = futures.iter().map(|future| plain(future.word())).collect();
    let taken = if recorded { "" } else { ". Nobody recorded where it ends, so we guessed" };
    let unpriced =
        if conduit_priced { "" } else { ". The rate sheet has no `conduit-draw-in-25`, so its material is not priced" };
    format!("For what may come: {}{taken}{unpriced}", futures.join(", "))
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

/// Trunking that holds what comes to the board.
const fn trunking(what: ItemKind) -> &'static str {
    match what {
        ItemKind::TailsContainment => "Trunking for the meter tails on the face of the wall",
        _ => "Trunking from the board to the voids that its cables come from",
    }
}

/// What the crew stands on.
const fn to_work_at_height(what: ItemKind) -> &'static str {
    match what {
        ItemKind::Tower => "Put up a tower and take it down",
        _ => "Set up and tie a ladder outside",
    }
}

/// The words of the kinds that need no figure.
const fn fixed(what: ItemKind) -> Option<&'static str> {
    Some(match what {
        ItemKind::NeutralAtSwitch => "Neutral looped at the switches",
        ItemKind::ScanBeforeCutting => "Scan walls and floor before cutting",
        ItemKind::FloorChase => "Chase the screed to floor outlets and lay conduit",
        ItemKind::DrillStuds => "Drill plates and noggins for drops",
        ItemKind::MiniTrunking => "Mini trunking on the surface",
        ItemKind::MoveInsulation => "Roll back and relay loft insulation",
        ItemKind::FireSeals => "Seal holes in a fire line",
        ItemKind::MakingGood => "Fill chases and round boxes, ready for others to skim",
        ItemKind::ProtectiveDevices => "Devices in the board, connected and labelled",
        ItemKind::Tails => "Meter tails and main earth to the board",
        ItemKind::TailsContainment | ItemKind::BoardContainment => trunking(what),
        ItemKind::SwitchedFuse => "Switched fuse at the meter, as the board is away from it",
        ItemKind::MainEarthTerminal => "Main earthing terminal and earthing conductor",
        ItemKind::EarthElectrode => "Earth rod, driven and measured",
        ItemKind::FeedMadeOff => "Armoured feed that stays: new glands and ends",
        ItemKind::OldBoard => "Prove dead, then take out the old board",
        ItemKind::OldPoints => "Take off old points, pull cables or make them safe",
        ItemKind::OldSurfaceWiring => "Take off old cable, conduit and trunking on the surface",
        ItemKind::OldStorageHeaters => "Disconnect old storage heaters and take them apart",
        ItemKind::SmallBoard => "Small board beside the old one, which has no free way",
        ItemKind::ResidualProtection => "30 mA RCD for the circuit that is extended, which has none",
        ItemKind::WhatStays => "Check the earthing, bonds, main fuse and board that stay",
        ItemKind::MinorWorks => "Minor works certificate",
        ItemKind::SupplyTests => "Tests at the origin and of the earthing",
        ItemKind::CircuitTests => "Dead and live tests",
        ItemKind::ExistingCircuitSurvey => "Find and sample-test a circuit that stays",
        ItemKind::JoinExisting => "Find where a circuit that stays may be joined",
        ItemKind::Certificate => "Electrical certificate with its test sheets and the board chart",
        ItemKind::Notification => "Tell building control, and send the client the papers",
        ItemKind::Handover => "Show the client the board, alarms and controls",
        ItemKind::OperatorForm => "Add up the loads and send the operator's form",
        ItemKind::MarkOut => "Mark every point with the client",
        ItemKind::Protection => "Protect floors and stairs",
        ItemKind::TemporarySupply => "Temporary supply while the old is off",
        ItemKind::Tower | ItemKind::Ladder => to_work_at_height(what),
        ItemKind::Waste => "Take waste to a licensed site, gate fee included",
        ItemKind::Skip => "Skip for old work and spoil",
        ItemKind::SetUp => "Set up, dust control, sweep, make safe for the night",
        ItemKind::Travel => "Travel both ways, the whole crew, and the van",
        ItemKind::ParkAndCarry => "Park away from the house and carry",
        ItemKind::KeepLive => "Switch needed circuits back on each evening",
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
        | ItemKind::VisitShared
        | ItemKind::SignalEnds => return None,
    })
}

/// What is always said of a kind.
const fn fixed_note(what: ItemKind) -> Option<&'static str> {
    match what {
        ItemKind::FloorChase => {
            Some("Half of the room's shorter side for each outlet. First make sure that no pipes are in the screed")
        }
        ItemKind::ConsumerUnit => Some("With main switch, surge device, blanks, labels and seals"),
        ItemKind::Tails => Some(
            "Only the supplier, the operator or someone they authorise draws the main fuse. Their charge is not in the price. The \
             tails are one length without joints",
        ),
        ItemKind::TailsContainment => Some(
            "No RCD stands before the tails. Hidden in a wall they would want steel round them (BS 7671 522.6.204)",
        ),
        ItemKind::EarthElectrode => Some("One rod. Poor ground needs more"),
        ItemKind::FeedMadeOff => Some("We took it as long enough for the new boards. A joint or more cable is extra"),
        ItemKind::OldStorageHeaters => {
            Some("Heaters from before 1974 may hold asbestos. Check before you open one (from memory)")
        }
        ItemKind::ExistingCircuitSurvey => Some("Faults found on it are not in the price"),
        _ => None,
    }
}
