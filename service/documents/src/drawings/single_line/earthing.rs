//! The earthing arrangement, the main earthing terminal and what is bonded to it.

use engine::estimate::{BoardEarthing, Estimate, Line, LineKind};
use engine::survey::Earthing;

use super::super::devices;
use super::super::lettering::{Face, fitted, wrapped};
use super::super::sheet::{BODY, HEADING, LEADING, SMALL};
use super::super::svg::{At, MEDIUM, Stroke, Svg, THICK, Text, at};
use super::groups::ELECTRODE;
use super::names::PaperNames;
use super::supply::IntakePlaces;
use crate::words::{fixed, short};

/// Protective conductors are broken lines, so that they are told from live ones without colour.
pub(super) const PROTECTIVE: Stroke = Stroke { dash: "2.2 1", ..MEDIUM };
const LEFT: f64 = 10.0;
/// The conductor that everything bonded hangs on.
const STEM: f64 = 16.0;
const WORDS: f64 = 28.0;
const ROOM: f64 = 54.0;

/// Draws it under the intake; returns where it ends.
pub(super) fn draw(svg: &mut Svg, estimate: &Estimate, names: &PaperNames<'_>, intake: &IntakePlaces) -> f64 {
    svg.open(&[("data-part", "earthing")]);
    let arrangement = estimate.board.earthing.as_ref().and_then(|earthing| Earthing::from_word(&earthing.system));
    let mut y = intake.bottom + 8.0;
    svg.text(Text::new(at(WORDS - 6.0, y), HEADING, "Earthing and bonding").bold());
    y += 4.2;
    for line in wrapped(&arrangement_words(estimate), SMALL, Face::Plain, ROOM + 6.0, 6) {
        svg.text(Text::new(at(WORDS - 6.0, y), SMALL, &line));
        y += SMALL * LEADING;
    }
    let terminal = at(STEM, y + 6.0);
    lead(svg, arrangement, intake.service, terminal);
    svg.line(terminal.moved(-5.0, 0.0), terminal.moved(5.0, 0.0), THICK);
    svg.text(Text::new(at(WORDS - 4.0, terminal.y + 0.9), BODY, "Main earthing terminal"));
    let bottom = bonds(svg, estimate, names, terminal);
    svg.close();
    bottom
}

fn arrangement_words(estimate: &Estimate) -> String {
    let Some(earthing) = &estimate.board.earthing else {
        return "The arrangement is in the survey; this estimate was made before it was kept in the answer.".to_owned();
    };
    let words = match Earthing::from_word(&earthing.system) {
        Some(Earthing::TnCS) => "TN-C-S: earth terminal of the operator, joined to the neutral at the cut-out",
        Some(Earthing::TnS) => "TN-S: separate protective conductor or sheath of the service cable",
        Some(Earthing::Tt) => "TT: own electrode, no earth from the operator",
        Some(Earthing::Unknown) | None => "not found out",
    };
    let known = if earthing.known { "as recorded" } else { "assumed, to be found out before work" };
    format!("{words} ({known})")
}

/// From the service cable or the electrode to the terminal.
fn lead(svg: &mut Svg, arrangement: Option<Earthing>, service: At, terminal: At) {
    match arrangement {
        Some(Earthing::TnCS | Earthing::TnS) => {
            let from = service.moved(0.0, 2.0);
            devices::junction(svg, from);
            svg.polyline(&[from, at(LEFT + 2.0, from.y), at(LEFT + 2.0, terminal.y)], PROTECTIVE);
        }
        Some(Earthing::Tt) => {
            let rod = at(LEFT + 2.0, terminal.y);
            devices::earth(svg, rod);
        }
        Some(Earthing::Unknown) | None => {}
    }
}

/// The board's earth bar, every main bond, bonds within rooms, and the house's own electrode.
fn bonds(svg: &mut Svg, estimate: &Estimate, names: &PaperNames<'_>, terminal: At) -> f64 {
    /// From one branch to the next.
    const STEP: f64 = 8.0;
    let mut branches = vec![("Earth bar of the consumer unit".to_owned(), "with the tails".to_owned())];
    match &estimate.board.earthing {
        Some(earthing) => branches.extend(designed(earthing, estimate, names)),
        None => branches.extend(of_an_older_estimate(estimate, names)),
    }
    let mut y = terminal.y;
    for (first, second) in &branches {
        y += STEP;
        svg.polyline(&[at(STEM, y), at(WORDS - 2.0, y)], PROTECTIVE);
        svg.circle(at(WORDS - 2.0, y), 0.7, "#ffffff", MEDIUM);
        svg.text(Text::new(at(WORDS, y + 0.6), BODY, &fitted(first, BODY, Face::Plain, ROOM)));
        svg.text(Text::new(at(WORDS, y + 3.6), SMALL, &fitted(second, SMALL, Face::Plain, ROOM)));
    }
    svg.line(terminal, at(STEM, y), PROTECTIVE);
    y + 5.0
}

/// What the design asks for.
fn designed(earthing: &BoardEarthing, estimate: &Estimate, names: &PaperNames<'_>) -> Vec<(String, String)> {
    let conductor = format!("Earthing conductor, {} mm2", short(earthing.conductor_mm2));
    let mut branches = vec![(conductor, "to the means of earthing".to_owned())];
    if let Some(electrode) = &earthing.electrode {
        let size = format!(
            "conductor {} mm2, at most {} ohm",
            short(electrode.conductor_mm2),
            short(electrode.ohm_max.value())
        );
        branches.push(("Earth electrode of the house".to_owned(), size));
    }
    for bond in &earthing.main_bonds {
        // The line of the price knows the room.
        let priced = estimate.lines.iter().find(|line| {
            let service = line.item.strip_prefix("bond-").filter(|_| line.kind == LineKind::Earthing);
            service.is_some_and(|service| bond.service.starts_with(service))
        });
        let place = priced.and_then(|line| line.room.as_deref());
        let place = place.map(|room| format!(", {}", names.room(room))).unwrap_or_default();
        let second = match (bond.needed, bond.length_m, bond.existing_mm2 > 0.0) {
            (true, Some(metres), _) => format!("{} mm2, {} m, new", short(bond.size_mm2), fixed(metres.value(), 1)),
            (true, None, _) => format!("{} mm2, new", short(bond.size_mm2)),
            (false, _, true) => format!("{} mm2 is there and stays", short(bond.existing_mm2)),
            (false, _, false) => bond.because.clone(),
        };
        branches.push((format!("Main bond to {}{place}", bond.service.replace('-', " ")), second));
    }
    for bond in earthing.supplementary.iter().filter(|bond| bond.needed) {
        let size = format!("{} mm2, within the room", short(bond.size_mm2));
        branches.push((format!("Supplementary bonds, {}", names.room(&bond.room)), size));
    }
    branches
}

/// What the lines of an estimate say that was kept before its board had the figures: there they stand in words alone.
fn of_an_older_estimate(estimate: &Estimate, names: &PaperNames<'_>) -> Vec<(String, String)> {
    let mut branches = Vec::new();
    for line in estimate.lines.iter().filter(|line| line.kind == LineKind::Earthing) {
        if line.item.starts_with("bond-") {
            branches.push(bond_in_words(line, names));
        } else if line.item == ELECTRODE {
            branches.push((line.description.clone(), "to the terminal".to_owned()));
        }
    }
    if branches.is_empty() {
        branches.push(("No new main bond is priced".to_owned(), "what is there stays; prove it".to_owned()));
    }
    branches
}

/// A bond of such an estimate: what it goes to and where, its length, and its size as the line says it.
fn bond_in_words(line: &Line, names: &PaperNames<'_>) -> (String, String) {
    let place = line.room.as_deref().map(|room| format!(", {}", names.room(room))).unwrap_or_default();
    let size = line.because.iter().find(|because| because.contains(" mm2 "));
    let size = size.and_then(|because| because.split([',', ';']).next()).map(|size| format!("{size}, "));
    let metres = fixed(line.quantity, 1);
    (format!("{}{place}", line.description), format!("{}{metres} m", size.unwrap_or_default()))
}
