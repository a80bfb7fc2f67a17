//! The boards one below the other, and the conductors that feed them.

use std::collections::BTreeMap;

use super::super::devices::{self, DeviceSymbol};
use super::super::lettering::{Face, fitted, wrapped};
use super::super::sheet::{BODY, HEADING, LEADING, SMALL};
use super::super::svg::{Area, ENCLOSURE, MEDIUM, Svg, THICK, Text, at};
use super::columns::{Columns, RIGHT, RISER};
use super::earthing::PROTECTIVE;
use super::groups::Group;
use super::names::PaperNames;
use super::rows::{CONDUCTOR, CircuitRow, residual_type};
use crate::words::short;

/// From the top of an enclosure to the conductor that comes in.
pub(super) const INCOMING: f64 = 9.0;
/// From one enclosure to the next: the feed of the lower one runs there.
pub(super) const BETWEEN: f64 = 5.0;
/// From the top of an enclosure to its first row.
const HEAD: f64 = 12.4;
/// Lines of the remark beside the title: what the head has room for.
const REMARK_LINES: usize = 3;
/// Height of the surge device's row.
const EXTRA: f64 = 7.8;
/// Height of a row of spare ways.
const SPARE: f64 = 4.6;
/// From the top of a section to the residual current device that it hangs behind, and to its first row.
const TO_RESIDUAL: f64 = 2.4;
const SECTION: f64 = TO_RESIDUAL + devices::LENGTH + 0.6;
/// From a bar down to where the riser leaves it.
const TO_RISER: f64 = 2.6;

/// Where one board stands.
pub(super) struct BoardPlaced<'a> {
    top: f64,
    bottom: f64,
    rows: Vec<CircuitRow<'a>>,
    /// The sections of its bus that hang behind residual current devices of their own.
    sections: Vec<Section>,
    /// The lane that its feed comes down in.
    lane: Option<usize>,
    /// The lanes of those of its circuits that feed another board, by identifier.
    feeds: BTreeMap<&'a str, usize>,
}

/// A section of a bus behind a residual current device.
struct Section {
    number: u8,
    top: f64,
    /// What stands beside its device.
    words: [String; 2],
    /// The conductor of its last way.
    lowest: f64,
}

/// Where all boards stand.
pub(super) struct BoardsPlaced<'a> {
    pub(super) places: Vec<BoardPlaced<'a>>,
    pub(super) bottom: f64,
}

pub(super) fn lay<'a>(groups: &[Group<'a>], columns: &Columns, names: &PaperNames<'_>, first: f64) -> BoardsPlaced<'a> {
    let lanes: BTreeMap<&str, usize> =
        groups.iter().filter_map(|group| group.feed).enumerate().map(|(lane, feed)| (feed, lane)).collect();
    let mut places = Vec::with_capacity(groups.len());
    let mut top = first;
    for group in groups {
        let mut y = top + HEAD + if group.surge.is_some() { EXTRA } else { 0.0 };
        let mut rows = Vec::with_capacity(group.circuits.len());
        let mut feeds = BTreeMap::new();
        let mut sections: Vec<Section> = Vec::new();
        for numbered in &group.circuits {
            let circuit = numbered.circuit;
            if let Some(number) = numbered.section
                && sections.last().is_none_or(|section| section.number != number)
            {
                let words = section_words(group, number);
                sections.push(Section { number, top: y, words, lowest: y + SECTION });
                y += SECTION;
            }
            let row = CircuitRow::lay(numbered, columns, names, y);
            y += row.height;
            if let Some(section) = sections.last_mut() {
                section.lowest = row.conductor();
            }
            rows.push(row);
            if let Some(lane) = lanes.get(circuit.id.as_str()) {
                feeds.insert(circuit.id.as_str(), *lane);
            }
        }
        // Below the sections the spare ways have a bar of their own.
        let apart = if sections.is_empty() || group.spare.is_empty() { 0.0 } else { TO_RISER };
        let bottom = y + apart + SPARE * group.spare.len() as f64 + if group.spare.is_empty() { 0.0 } else { 2.0 };
        let lane = group.feed.and_then(|feed| lanes.get(feed).copied());
        places.push(BoardPlaced { top, bottom, rows, sections, lane, feeds });
        top = bottom + BETWEEN;
    }
    BoardsPlaced { places, bottom: top - BETWEEN }
}

/// Number and residual current of the device that a section hangs behind, and the ways that it serves.
fn section_words(group: &Group<'_>, number: u8) -> [String; 2] {
    let behind = || group.circuits.iter().filter(|one| one.section == Some(number));
    let residual = behind().filter_map(|one| one.circuit.device.residual_ma).reduce(f64::min);
    let residual = residual.map(|residual| format!(", {} mA", short(residual))).unwrap_or_default();
    let kind = behind().find_map(|one| one.circuit.device.residual_type.as_deref()).map(residual_type);
    let kind = kind.map(|(letter, _)| format!(", type {letter}")).unwrap_or_default();
    let ways = || behind().map(|one| one.way);
    let (first, last) = (ways().min().unwrap_or_default(), ways().max().unwrap_or_default());
    let ways = if first == last { format!("way {first}") } else { format!("ways {first} to {last}") };
    [format!("RCD {number}{residual}{kind}"), format!("in front of {ways}")]
}

pub(super) fn draw(svg: &mut Svg, group: &Group<'_>, place: &BoardPlaced<'_>, columns: &Columns) {
    let enclosure = Area {
        left: columns.enclosure,
        top: place.top,
        width: columns.outside - columns.enclosure,
        height: place.bottom - place.top,
    };
    svg.rectangle(enclosure, "none", ENCLOSURE);
    head(svg, group, place, columns);
    let incoming = place.top + INCOMING;
    match &group.main_switch {
        Some(words) => {
            devices::device(svg, DeviceSymbol::MainSwitch, at(columns.enclosure + 1.0, incoming), 0);
            svg.line(at(columns.enclosure, incoming), at(columns.enclosure + 1.0, incoming), MEDIUM);
            svg.line(at(columns.enclosure + 1.0 + devices::LENGTH, incoming), at(columns.bus, incoming), MEDIUM);
            svg.text(Text::new(at(columns.bus + 2.0, incoming + 0.9), BODY, words));
        }
        None => svg.line(at(columns.enclosure, incoming), at(columns.bus, incoming), MEDIUM),
    }
    let mut lowest = incoming;
    if let Some(words) = &group.surge {
        let y = place.top + HEAD + CONDUCTOR - 1.0;
        surge(svg, columns, y, words);
        lowest = y;
    }
    for row in &place.rows {
        let lane = place.feeds.get(row.circuit.id.as_str()).map(|lane| columns.lane(*lane));
        row.draw(svg, columns, lane);
        if row.section.is_none() {
            lowest = row.conductor();
        }
    }
    let first_spare = lowest;
    let mut spares = Vec::with_capacity(group.spare.len());
    for (index, words) in group.spare.iter().enumerate() {
        let y = place.bottom - 2.0 - SPARE * (group.spare.len() - index) as f64 + SPARE / 2.0 + 0.5;
        spare(svg, words, columns, y);
        spares.push(y);
    }
    match (spares.first(), spares.last()) {
        (Some(first), Some(last)) if !place.sections.is_empty() => {
            devices::bar(svg, at(columns.bus, *first - 1.0), at(columns.bus, *last));
        }
        (_, Some(last)) => lowest = *last,
        _ => {}
    }
    devices::bar(svg, at(columns.bus, incoming), at(columns.bus, lowest));
    if !place.sections.is_empty() {
        sections(svg, place, columns, first_spare, spares.first().copied());
    }
    if group.electrode {
        let foot = at(columns.enclosure - 6.0, place.bottom - 8.0);
        svg.line(at(columns.enclosure, foot.y), foot, PROTECTIVE);
        devices::earth(svg, foot);
    }
}

/// The divided bus: from the bar of the main switch down beside it, through a residual current device into each section.
fn sections(svg: &mut Svg, place: &BoardPlaced<'_>, columns: &Columns, bar_ends: f64, spares: Option<f64>) {
    let leaves = bar_ends + TO_RISER;
    let last = place.sections.iter().map(|section| section.top + TO_RESIDUAL).chain(spares).fold(leaves, f64::max);
    svg.polyline(
        &[
            at(columns.bus, bar_ends),
            at(columns.bus, leaves),
            at(columns.riser, leaves),
            at(columns.riser, last),
            at(columns.bus, last),
        ],
        THICK,
    );
    for section in &place.sections {
        let number = section.number.to_string();
        svg.open(&[("data-section", &number)]);
        let top = section.top + TO_RESIDUAL;
        if top < last {
            devices::junction(svg, at(columns.riser, top));
        }
        svg.line(at(columns.riser, top), at(columns.bus, top), THICK);
        devices::device(svg, DeviceSymbol::Residual, at(columns.bus, top), 1);
        devices::bar(svg, at(columns.bus, top + devices::LENGTH), at(columns.bus, section.lowest));
        let room = columns.outside - columns.device - 1.0;
        let [name, ways] = &section.words;
        svg.text(Text::new(at(columns.device, top + 7.2), BODY, &fitted(name, BODY, Face::Bold, room)).bold());
        svg.text(Text::new(at(columns.device, top + 10.8), SMALL, &fitted(ways, SMALL, Face::Plain, room)));
        svg.close();
    }
}

fn head(svg: &mut Svg, group: &Group<'_>, place: &BoardPlaced<'_>, columns: &Columns) {
    let room = columns.outside - columns.enclosure - 4.0;
    let title = fitted(&group.title, HEADING, Face::Bold, room);
    svg.text(Text::new(at(columns.enclosure + 2.0, place.top + 4.2), HEADING, &title).bold());
    // The remark stands where no feed turns down.
    let room = RIGHT - columns.serves;
    for (index, line) in wrapped(&group.remark, SMALL, Face::Plain, room, REMARK_LINES).iter().enumerate() {
        let y = place.top + 4.0 + index as f64 * SMALL * LEADING;
        svg.text(Text::new(at(columns.serves, y), SMALL, line));
    }
}

fn surge(svg: &mut Svg, columns: &Columns, y: f64, words: &str) {
    devices::junction(svg, at(columns.bus, y));
    svg.line(at(columns.bus, y), at(columns.device, y), MEDIUM);
    devices::device(svg, DeviceSymbol::Surge, at(columns.device, y), 0);
    svg.line(at(columns.device + devices::LENGTH, y), at(columns.device_words + 2.0, y), MEDIUM);
    devices::earth(svg, at(columns.device_words + 2.0, y));
    let room = columns.outside - columns.device_words - 7.0;
    svg.text(Text::new(at(columns.device_words + 6.0, y + 0.9), SMALL, &fitted(words, SMALL, Face::Plain, room)));
}

fn spare(svg: &mut Svg, words: &str, columns: &Columns, y: f64) {
    devices::junction(svg, at(columns.bus, y));
    svg.line(at(columns.bus, y), at(columns.device, y), MEDIUM);
    devices::device(svg, DeviceSymbol::Blank, at(columns.device, y), 0);
    let room = columns.outside - columns.device - 7.0;
    svg.text(Text::new(at(columns.device + 6.0, y + 0.8), SMALL, &fitted(words, SMALL, Face::Plain, room)));
}

/// The conductors between the boards: down the lane, along above the enclosure, in from the left.
pub(super) fn feed(svg: &mut Svg, groups: &[Group<'_>], laid: &BoardsPlaced<'_>, columns: &Columns, after_meter: f64) {
    let rows = laid.places.iter().flat_map(|place| &place.rows);
    let conductors: BTreeMap<&str, f64> = rows.map(|row| (row.circuit.id.as_str(), row.conductor())).collect();
    for (group, place) in groups.iter().zip(&laid.places) {
        let incoming = place.top + INCOMING;
        if group.from_intake {
            let down = columns.enclosure - 2.0;
            svg.polyline(
                &[at(RISER, after_meter), at(down, after_meter), at(down, incoming), at(columns.enclosure, incoming)],
                THICK,
            );
        }
        let Some((lane, from)) = place.lane.zip(group.feed.and_then(|feed| conductors.get(feed))) else { continue };
        let (lane, along, down) = (columns.lane(lane), place.top - BETWEEN / 2.0, columns.enclosure - 4.0);
        svg.polyline(
            &[at(lane, *from), at(lane, along), at(down, along), at(down, incoming), at(columns.enclosure, incoming)],
            MEDIUM,
        );
    }
}
