//! One way of a board: number, device, cable, what it serves, figures.

use engine::checks::Verdict;
use engine::estimate::{CableChosen, Circuit, CircuitPoint, DeviceChosen};

use super::super::devices::{self, DeviceSymbol};
use super::super::lettering::{Face, fitted, wrapped};
use super::super::sheet::{BODY, LEADING, SMALL};
use super::super::svg::{Area, At, MEDIUM, Svg, THIN, Text, at};
use super::columns::{Columns, RIGHT};
use super::groups::Numbered;
use super::names::PaperNames;
use crate::words::{self, capital, fixed, short};

/// The words over the columns.
pub(super) fn titles(svg: &mut Svg, columns: &Columns, y: f64) {
    for (x, title) in [
        (10.0, "Intake"),
        (columns.enclosure, "Board, way, device"),
        (columns.cable_words, "Cable"),
        (columns.serves, "Circuit, and what it serves"),
        (columns.figures, "Figures and checks"),
    ] {
        svg.text(Text::new(at(x, y), SMALL, title).coloured("#555555"));
    }
}

/// Lines that list what a circuit serves at most; the rest is counted.
const LINES_MAX: usize = 5;
/// From the top of a row to its conductor.
pub(super) const CONDUCTOR: f64 = 4.6;
/// From the top of a row to the first line of its words, and from there to what the circuit serves.
const FIRST_LINE: f64 = 3.4;
const TO_SERVES: f64 = 3.0;
/// Between the words of a row and the next row.
const GAP: f64 = 2.2;
/// Number, device and cable with a line of words above and below the conductor.
const ROW_HEIGHT_MIN: f64 = 8.9;

/// A row that is laid out and not drawn yet.
pub(super) struct CircuitRow<'a> {
    way: u32,
    pub(super) section: Option<u8>,
    pub(super) circuit: &'a Circuit,
    pub(super) top: f64,
    pub(super) height: f64,
    serves: Vec<String>,
    figures: Vec<(String, bool)>,
}

impl<'a> CircuitRow<'a> {
    pub(super) fn lay(numbered: &Numbered<'a>, columns: &Columns, names: &PaperNames<'_>, top: f64) -> Self {
        let Numbered { way, section, circuit } = *numbered;
        let room = columns.figures - columns.serves - 4.0;
        let serves = wrapped(&serves(&circuit.points, names), SMALL, Face::Plain, room, LINES_MAX);
        let figures = figures(circuit, RIGHT - columns.figures);
        let lines = |count: usize| count.saturating_sub(1) as f64 * SMALL * LEADING;
        let left = if serves.is_empty() { 0.0 } else { TO_SERVES + lines(serves.len()) };
        let words = FIRST_LINE + left.max(lines(figures.len()));
        Self { way, section, circuit, top, height: (words + GAP).max(ROW_HEIGHT_MIN), serves, figures }
    }

    /// The height of its conductor on the sheet.
    pub(super) fn conductor(&self) -> f64 {
        self.top + CONDUCTOR
    }

    /// Draws it; a feed of another board ends in its lane.
    pub(super) fn draw(&self, svg: &mut Svg, columns: &Columns, ends_at: Option<f64>) {
        let circuit = self.circuit;
        let y = self.conductor();
        svg.open(&[("data-circuit", &circuit.id)]);
        devices::junction(svg, at(columns.bus, y));
        svg.line(at(columns.bus, y), at(columns.device, y), MEDIUM);
        svg.text(Text::new(at(columns.way - 0.6, y - 1.0), SMALL, &self.way.to_string()).end());
        devices::device(svg, symbol(&circuit.device), at(columns.device, y), 0);
        let (kind, rest) = device_words(&circuit.device, self.section);
        let room = columns.outside - columns.device_words - 1.0;
        svg.text(Text::new(at(columns.device_words, y - 1.0), BODY, &fitted(&kind, BODY, Face::Plain, room)));
        svg.text(Text::new(at(columns.device_words, y + 2.9), SMALL, &fitted(&rest, SMALL, Face::Plain, room)));
        self.cable(svg, columns, ends_at);
        self.words(svg, columns);
        svg.close();
    }

    fn cable(&self, svg: &mut Svg, columns: &Columns, ends_at: Option<f64>) {
        let circuit = self.circuit;
        let y = self.conductor();
        let end = ends_at.unwrap_or(columns.load);
        let from = columns.device + devices::LENGTH;
        if circuit.arrangement == "ring" {
            // Both legs leave the same terminal and come back to it.
            let legs = columns.outside + 1.0;
            svg.line(at(from, y), at(legs, y), MEDIUM);
            for side in [-0.6, 0.6] {
                svg.polyline(&[at(legs, y), at(legs + 1.0, y + side), at(end - 1.0, y + side), at(end, y)], MEDIUM);
            }
        } else {
            svg.line(at(from, y), at(end, y), MEDIUM);
        }
        let room = columns.lanes - columns.cable_words - 1.0;
        let size = cable_words(&circuit.cable);
        svg.text(Text::new(at(columns.cable_words, y - 1.3), BODY, &fitted(&size, BODY, Face::Plain, room)));
        let run = format!(
            "{} m {}, method {}{}",
            fixed(circuit.length_m.value(), 1),
            circuit.arrangement,
            circuit.cable.method.to_string().to_uppercase(),
            if circuit.existing { ", there now" } else { "" }
        );
        svg.text(Text::new(at(columns.cable_words, y + 3.1), SMALL, &fitted(&run, SMALL, Face::Plain, room)));
        if ends_at.is_none() {
            load(svg, kind_of_load(circuit), at(columns.load, y));
        }
    }

    fn words(&self, svg: &mut Svg, columns: &Columns) {
        let circuit = self.circuit;
        let name = format!("{}  {}", circuit.id, circuit.name);
        let room = columns.figures - columns.serves - 4.0;
        let first = self.top + FIRST_LINE;
        svg.text(Text::new(at(columns.serves, first), BODY, &fitted(&name, BODY, Face::Bold, room)).bold());
        for (index, line) in self.serves.iter().enumerate() {
            let y = first + TO_SERVES + index as f64 * SMALL * LEADING;
            svg.text(Text::new(at(columns.serves, y), SMALL, line));
        }
        for (index, (line, heavy)) in self.figures.iter().enumerate() {
            let text = Text::new(at(columns.figures, first + index as f64 * SMALL * LEADING), SMALL, line);
            svg.text(if *heavy { text.bold() } else { text });
        }
    }
}

fn symbol(device: &DeviceChosen) -> DeviceSymbol {
    match device.device_type.as_str() {
        "rcbo" => DeviceSymbol::Rcbo,
        "breaker" => DeviceSymbol::Breaker,
        "fuse" => DeviceSymbol::Fuse,
        "switched-fuse" => DeviceSymbol::SwitchedFuse,
        _ => DeviceSymbol::Other,
    }
}

/// What the device is, and what it can break; a breaker with a residual current stands behind a device that has it.
fn device_words(device: &DeviceChosen, section: Option<u8>) -> (String, String) {
    let both = if device.both_directions { ", both ways" } else { "" };
    let breaks = format!("{} kA{both}", short(device.breaking_capacity_ka));
    let kind = device.residual_type.as_deref().map(residual_type);
    let kind = kind.map(|(letter, more)| format!("type {letter}{}, ", if more { "*" } else { "" })).unwrap_or_default();
    let number = section.map(|number| format!(" {number}")).unwrap_or_default();
    match (device.device_type.as_str(), device.residual_ma) {
        ("rcbo", _) | (_, None) => (capital(&words::device(device)), format!("{kind}{breaks}")),
        (_, Some(residual)) => {
            let alone = DeviceChosen { residual_ma: None, ..device.clone() };
            let shared = format!("{}, RCD{number}", capital(&words::device(&alone)));
            (shared, format!("{} mA, {kind}{breaks}", short(residual)))
        }
    }
}

/// The letter of a kind of residual current, and whether the estimate says more of it than that: the notes then do.
pub(super) fn residual_type(words: &str) -> (String, bool) {
    let letter = words.split([',', ' ']).next().unwrap_or_default();
    (letter.to_uppercase(), letter.len() < words.len())
}

fn cable_words(cable: &CableChosen) -> String {
    let words = words::cable(cable);
    words.split_once(' ').map_or_else(|| words.clone(), |(sizes, kind)| format!("{sizes} mm2 {kind}"))
}

/// What it serves, room by room.
fn serves(points: &[CircuitPoint], names: &PaperNames<'_>) -> String {
    let mut text = String::new();
    for (index, point) in points.iter().enumerate() {
        let same_room =
            index.checked_sub(1).and_then(|before| points.get(before)).is_some_and(|before| before.room == point.room);
        if same_room {
            text.push_str(", ");
        } else {
            text.push_str(if index > 0 { "; " } else { "" });
            text.push_str(names.room(&point.room));
            text.push_str(": ");
        }
        text.push_str(&format!("{} {}", point.count, words::point(&point.point_type)));
    }
    text
}

/// What a designer looks at first, and whether it stands in heavy letters.
fn figures(circuit: &Circuit, room: f64) -> Vec<(String, bool)> {
    let capacity = circuit.capacity_a.map(|capacity| format!(", Iz {} A", short(capacity.value()))).unwrap_or_default();
    let impedance = circuit.zs_ohm.map(|zs| format!("; Zs {} ohm", fixed(zs.value(), 2))).unwrap_or_default();
    let currents = format!(
        "Ib {} A, In {} A{capacity}{impedance} at {} m",
        fixed(circuit.design_current_a.value(), 1),
        short(circuit.device.rating_a.value()),
        fixed(circuit.far_end_m.value(), 0)
    );
    let mut lines = vec![(currents, false)];
    let wrong: Vec<String> = circuit
        .checks
        .iter()
        .filter(|check| check.verdict != Verdict::Pass)
        .map(|check| format!("{}: {}", check.name, check.verdict))
        .collect();
    let verdict = match (circuit.checks.is_empty(), wrong.is_empty()) {
        (true, _) => format!("{}: not checked, a figure is beyond the tables", circuit.verdict),
        (false, true) => format!("{} checks: {}", circuit.checks.len(), circuit.verdict),
        (false, false) => wrong.join("; "),
    };
    lines.extend(wrapped(&verdict, SMALL, Face::Bold, room, 3).into_iter().map(|line| (line, true)));
    lines
        .into_iter()
        .map(|(line, heavy)| (fitted(&line, SMALL, if heavy { Face::Bold } else { Face::Plain }, room), heavy))
        .collect()
}

/// What is drawn at the end: an outside circuit with outlets on it ends in one.
fn kind_of_load(circuit: &Circuit) -> &str {
    let outlets = circuit.points.iter().any(|point| point.point_type.ends_with("socket"));
    if circuit.circuit_type == "outside" && outlets { "sockets" } else { &circuit.circuit_type }
}

/// The load at the end of the conductor.
pub(super) fn load(svg: &mut Svg, circuit_type: &str, end: At) {
    let middle = end.moved(2.4, 0.0);
    match circuit_type {
        "ring-sockets" | "radial-sockets" | "sockets" | "freezer" => {
            // A socket outlet: half a circle on its stem, and the stroke of the protective contact.
            svg.open_at(end, 3);
            svg.half_circle(at(0.0, 2.6), 2.0, "none", MEDIUM);
            svg.line(at(0.0, 0.0), at(0.0, 0.6), MEDIUM);
            svg.line(at(-2.0, 0.6), at(2.0, 0.6), MEDIUM);
            svg.close();
        }
        "lighting" => {
            svg.circle(middle, 2.2, "#ffffff", MEDIUM);
            svg.line(middle.moved(-1.55, -1.55), middle.moved(1.55, 1.55), MEDIUM);
            svg.line(middle.moved(-1.55, 1.55), middle.moved(1.55, -1.55), MEDIUM);
        }
        "alarms" => {
            svg.circle(middle, 2.2, "#ffffff", MEDIUM);
            svg.text(Text::new(middle.moved(0.0, 0.8), SMALL, "A").middle());
        }
        _ => {
            svg.rectangle(Area::around(middle, 4.4, 3.4), "#ffffff", MEDIUM);
            svg.line(middle.moved(-2.2, 1.7), middle.moved(2.2, -1.7), THIN);
        }
    }
}
