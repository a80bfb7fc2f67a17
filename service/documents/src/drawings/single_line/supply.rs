//! The intake, from the service cable up to the board: cut-out, meter, what stands between meter and board.

use engine::estimate::{Estimate, LineKind};

use super::super::devices::{self, DeviceSymbol};
use super::super::lettering::{Face, fitted, wrapped};
use super::super::sheet::{BODY, LEADING, SMALL};
use super::super::svg::{At, MEDIUM, Svg, THICK, Text, at};
use super::columns::Columns;
use crate::words::{fixed, short};

/// Where the parts of the intake ended up.
pub(super) struct IntakePlaces {
    /// Height of the node after the meter.
    pub(super) after_meter: f64,
    /// Where the earth of the service cable is taken from.
    pub(super) service: At,
    /// Where the next thing may begin.
    pub(super) bottom: f64,
}

/// Left edge of the words, and the room that they have up to the enclosures.
const WORDS: f64 = 32.0;
const ROOM: f64 = 50.0;

/// Draws it hanging down from `top`, where the tails turn towards the board.
pub(super) fn draw(svg: &mut Svg, estimate: &Estimate, top: At, others: bool) -> IntakePlaces {
    svg.open(&[("data-part", "intake")]);
    tails(svg, estimate, top);
    let mut y = top.y;
    let supply = estimate.board.supply.as_ref();
    let fused = estimate.lines.iter().any(|line| line.kind == LineKind::Supply && line.item == "switched-fuse");
    if fused || estimate.board.switched_fuse_a.is_some() {
        let rating = estimate.board.switched_fuse_a.map(|rating| format!(" {} A", short(rating.value())));
        let words = format!("Switched fuse{} at the meter", rating.unwrap_or_default());
        y = part(svg, DeviceSymbol::SwitchedFuse, at(top.x, y + 2.0), &[&words, "the tails being long"]);
    }
    let after_meter = y + 4.0;
    svg.line(at(top.x, y), at(top.x, after_meter), MEDIUM);
    if others {
        devices::junction(svg, at(top.x, after_meter));
    }
    y = after_meter;
    if supply.is_some_and(|supply| supply.isolator_after_meter == Some(true)) {
        y = part(svg, DeviceSymbol::MainSwitch, at(top.x, y), &["Isolator after the meter"]);
    }
    svg.line(at(top.x, y), at(top.x, y + 2.0), MEDIUM);
    devices::meter(svg, at(top.x, y + 2.0));
    svg.text(Text::new(at(top.x, y + 8.2), SMALL, "kWh").middle());
    svg.text(Text::new(at(WORDS, y + 7.2), BODY, "Meter"));
    y += 11.0;
    let read = supply.map(|supply| supply.cut_out_read);
    let rating = format!("Cut-out {} A", short(estimate.demand.cut_out_a.value()));
    let how = match read {
        Some(true) => "as read",
        Some(false) => "not read: assumed",
        None => "see the assumptions",
    };
    let demand = &estimate.demand;
    let demand = format!("demand {} A: {}", fixed(demand.after_diversity_a.value(), 0), demand.verdict);
    y = part(svg, DeviceSymbol::Fuse, at(top.x, y), &[&rating, how, &demand]);
    let service = at(top.x, y);
    let bottom = service_cable(svg, estimate, service);
    svg.close();
    IntakePlaces { after_meter, service, bottom }
}

/// The tails, from the top of the riser to the board.
fn tails(svg: &mut Svg, estimate: &Estimate, top: At) {
    let board = Columns::beside(0).enclosure;
    svg.polyline(&[top, at(board, top.y)], THICK);
    let metres = fixed(estimate.board.tails_m.value(), 1);
    let size = estimate.board.tails_mm2.map(|size| format!(" {} mm2,", short(size))).unwrap_or_default();
    svg.text(Text::new(at(WORDS, top.y - 1.4), BODY, &format!("Tails,{size} {metres} m")));
}

/// A symbol that stands upright, the supply below it, with words beside it; returns where it ends.
fn part(svg: &mut Svg, symbol: DeviceSymbol, top: At, words: &[&str]) -> f64 {
    let bottom = top.y + devices::LENGTH;
    svg.line(at(top.x, top.y - 2.0), top, MEDIUM);
    devices::device(svg, symbol, at(top.x, bottom), 3);
    for (index, line) in words.iter().enumerate() {
        let size = if index == 0 { BODY } else { SMALL };
        let y = top.y + 7.6 + index as f64 * BODY * LEADING;
        svg.text(Text::new(at(WORDS, y), size, &fitted(line, size, Face::Plain, ROOM)));
    }
    bottom
}

fn service_cable(svg: &mut Svg, estimate: &Estimate, top: At) -> f64 {
    let end = top.moved(0.0, 14.0);
    svg.line(top, end, THICK);
    svg.polygon(&[top.moved(0.0, 5.0), top.moved(-1.1, 8.0), top.moved(1.1, 8.0)], "#000000", MEDIUM);
    let mut lines = vec!["Service cable of the network operator".to_owned()];
    if let Some(supply) = &estimate.board.supply {
        let phases = if supply.phases == 1 { "one phase".to_owned() } else { format!("{} phases", supply.phases) };
        lines.push(format!("{} V, {phases}", short(supply.voltage_v.value())));
        let fault = supply
            .fault_current_ka
            .map_or("fault current not measured".to_owned(), |fault| format!("fault current {} kA", short(fault)));
        lines.push(format!("Ze {} ohm; {fault}", short(supply.ze_ohm.value())));
        if supply.looped == Some(true) {
            lines.push("looped from a neighbour".to_owned());
        }
    }
    let mut y = top.y + 7.0;
    for (index, line) in lines.iter().enumerate() {
        let size = if index == 0 { BODY } else { SMALL };
        for piece in wrapped(line, size, Face::Plain, ROOM, 2) {
            svg.text(Text::new(at(WORDS, y), size, &piece));
            y += size * LEADING;
        }
    }
    y.max(end.y)
}
