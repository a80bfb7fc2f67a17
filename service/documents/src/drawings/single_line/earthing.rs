//! The earthing arrangement, the main earthing terminal and what is bonded to it.

use engine::estimate::{Estimate, Line, LineKind};
use engine::survey::Earthing;

use super::super::devices;
use super::super::lettering::{Face, fitted, wrapped};
use super::super::sheet::{BODY, HEADING, LEADING, SMALL};
use super::super::svg::{At, MEDIUM, Stroke, Svg, THICK, Text, at};
use super::Names;
use super::groups::ELECTRODE;
use super::supply::Intake;
use crate::words::fixed;

/// Protective conductors are broken lines, so that they are told from live ones without colour.
pub(super) const PROTECTIVE: Stroke = Stroke { dash: "2.2 1", ..MEDIUM };
const LEFT: f64 = 10.0;
/// The conductor that everything bonded hangs on.
const STEM: f64 = 16.0;
const WORDS: f64 = 28.0;
const ROOM: f64 = 54.0;

/// Draws it under the intake; returns where it ends.
pub(super) fn draw(svg: &mut Svg, estimate: &Estimate, names: &Names<'_>, intake: &Intake) -> f64 {
    svg.open(&[("data-part", "earthing")]);
    let arrangement = estimate.supply.as_ref().map(|supply| supply.earthing);
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
    let Some(supply) = &estimate.supply else {
        return "The arrangement is in the survey; this estimate was made before it was kept in the answer.".to_owned();
    };
    let words = match supply.earthing {
        Earthing::TnCS => "TN-C-S: earth terminal of the operator, joined to the neutral at the cut-out",
        Earthing::TnS => "TN-S: separate protective conductor or sheath of the service cable",
        Earthing::Tt => "TT: own electrode, no earth from the operator",
        Earthing::Unknown => "not found out",
    };
    let known = if supply.earthing_known { "as recorded" } else { "assumed, to be found out before work" };
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

/// The board's earth bar, and every main bond of the price.
fn bonds(svg: &mut Svg, estimate: &Estimate, names: &Names<'_>, terminal: At) -> f64 {
    /// From one branch to the next.
    const STEP: f64 = 8.0;
    let mut branches = vec![("Earth bar of the consumer unit".to_owned(), "with the tails".to_owned())];
    let earthing = estimate.lines.iter().filter(|line| line.kind == LineKind::Earthing);
    for line in earthing {
        if line.item.starts_with("bond-") {
            branches.push(bond(line, names));
        } else if line.item == ELECTRODE {
            branches.push((line.description.clone(), "to the terminal".to_owned()));
        }
    }
    if !branches.iter().any(|(words, _)| words.starts_with("Main bond")) {
        branches.push(("No new main bond is priced".to_owned(), "what is there stays; prove it".to_owned()));
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

/// A bond of the price: what it goes to and where, its length, and its size as the line says it.
fn bond(line: &Line, names: &Names<'_>) -> (String, String) {
    let place = line.room.as_deref().map(|room| format!(", {}", names.room(room))).unwrap_or_default();
    let size = line.because.iter().find(|because| because.contains(" mm2 "));
    let size = size.and_then(|because| because.split([',', ';']).next()).map(|size| format!("{size}, "));
    let metres = fixed(line.quantity, 1);
    (format!("{}{place}", line.description), format!("{}{metres} m", size.unwrap_or_default()))
}
