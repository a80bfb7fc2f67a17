//! The points of one storey: symbols at their places, moved aside where they would cover each other, and the circuit
//! beside each.

use std::collections::BTreeMap;

use engine::estimate::{Placed, PlanPlace, PlanPoint, PlanRoom, PlanStorey};

use super::super::fittings::{self, FROM_WALL, FittingShape, REACH, away};
use super::super::lettering::Face;
use super::super::sheet::SMALL;
use super::super::svg::{Area, At, GREY, Stroke, Svg, THIN, Text, at};
use super::floor::{holds, pairs};
use super::frame::{Frame, sheet_area};
use super::labels::{Taken, steps_away};
use super::pens::Pens;
use crate::words;

/// Points of one kind on one circuit at one place: one symbol.
pub(super) struct GatheredPoints<'a> {
    pub(super) point: &'a PlanPoint,
    count: usize,
}

/// Points at the very same place as one, in the order of the plan.
pub(super) fn gathered(storey: &PlanStorey) -> Vec<GatheredPoints<'_>> {
    type PointKey<'a> = (&'a str, &'static str, u64, u64, Option<&'a str>);
    let mut places: BTreeMap<PointKey<'_>, usize> = BTreeMap::new();
    let mut all: Vec<GatheredPoints<'_>> = Vec::new();
    for point in &storey.points {
        let (x, y) = (point.at.x_m.to_bits(), point.at.y_m.to_bits());
        let key = (point.room.as_str(), point.point_type.word(), x, y, point.circuit.as_deref());
        match places.get(&key).and_then(|index| all.get_mut(*index)) {
            Some(same) => same.count += 1,
            None => {
                places.insert(key, all.len());
                all.push(GatheredPoints { point, count: 1 });
            }
        }
    }
    all
}

/// A symbol with its place.
pub(super) struct Placement<'a> {
    gathered: &'a GatheredPoints<'a>,
    shape: FittingShape,
    /// Where the point is.
    true_place: At,
    /// Where its symbol is.
    middle: At,
    /// The quarter that the room lies in from the wall.
    towards: u8,
    /// Whether the symbol had to stand away from its place.
    moved: bool,
}

/// Symbols that found no room near their place before a room is taken for full.
const GIVEN_UP_MAX: usize = 8;

/// Finds a place for each symbol: the ceiling's before the walls', each as near to its own place as it can be.
pub(super) fn place<'a>(
    gathered: &'a [GatheredPoints<'a>],
    storey: &PlanStorey,
    frame: &Frame,
    taken: &mut Taken,
) -> Vec<Placement<'a>> {
    let rooms: BTreeMap<&str, &PlanRoom> = storey.rooms.iter().map(|room| (room.id.as_str(), room)).collect();
    let steps = steps_away(REACH * 1.1, 6);
    let within = sheet_area(frame);
    let mut given_up: BTreeMap<&str, usize> = BTreeMap::new();
    let mut placed = Vec::with_capacity(gathered.len());
    for one in gathered {
        let point = one.point;
        let true_place = frame.place(point.at);
        let wall = match rooms.get(point.room.as_str()) {
            Some(room) => wall_at(room, point.at),
            // Outside: on the other side of whatever wall is there.
            None => storey.rooms.iter().find_map(|room| wall_at(room, point.at)).map(|towards| (towards + 2) % 4),
        };
        let own = wall.map_or(true_place, |towards| away(true_place, towards, FROM_WALL));
        let towards = wall.unwrap_or(0);
        let square = |middle: At| Area::around(middle, 2.0 * REACH, 2.0 * REACH);
        let full = given_up.get(point.room.as_str()).is_some_and(|times| *times >= GIVEN_UP_MAX);
        let steps = if full { &steps[..1] } else { steps.as_slice() };
        let room = rooms.get(point.room.as_str());
        // A point stays in its own room, however full.
        let free = |middle: &At| {
            within.holds(&square(*middle))
                && taken.is_free(&square(*middle))
                && room.is_none_or(|room| *middle == own || holds(room, frame, *middle))
        };
        let found = steps.iter().map(|step| own.moved(step.x, step.y)).find(free);
        if found.is_none() {
            *given_up.entry(point.room.as_str()).or_insert(0) += 1;
        }
        let middle = found.unwrap_or(own);
        taken.take(square(middle));
        let shape = fittings::shape(point.point_type);
        placed.push(Placement { gathered: one, shape, true_place, middle, towards, moved: middle != own });
    }
    placed
}

/// The quarter in which the room lies, seen from a place on one of its walls.
fn wall_at(room: &PlanRoom, place: PlanPlace) -> Option<u8> {
    /// A point within this of a wall hangs on it, in metres.
    const ON_WALL_M: f64 = 0.06;
    let doubled: f64 = pairs(room).map(|(a, b)| a.x_m * b.y_m - b.x_m * a.y_m).sum();
    let turn = if doubled < 0.0 { -1.0 } else { 1.0 };
    pairs(room).find_map(|(a, b)| {
        let (x, y) = (b.x_m - a.x_m, b.y_m - a.y_m);
        let length = (x * x + y * y).sqrt();
        if length <= 0.0 {
            return None;
        }
        let (from_x, from_y) = (place.x_m - a.x_m, place.y_m - a.y_m);
        let along = (from_x * x + from_y * y) / length;
        let off = (from_x * y - from_y * x).abs() / length;
        if off > ON_WALL_M || along < -ON_WALL_M || along > length + ON_WALL_M {
            return None;
        }
        // Inwards is to the left of a side of an outline that runs against the clock; y goes up in the house.
        let (inwards_x, inwards_y) = (-y * turn, x * turn);
        Some(match (inwards_x.abs() >= inwards_y.abs(), inwards_x >= 0.0, inwards_y >= 0.0) {
            (true, true, _) => 0,
            (true, false, _) => 2,
            (false, _, true) => 3,
            (false, _, false) => 1,
        })
    })
}

const MARKED: Stroke = Stroke { colour: "#000000", width: 0.2, dash: "" };

/// Draws symbols and words; returns how many points have no word beside them.
pub(super) fn draw(
    svg: &mut Svg,
    placed: &[Placement<'_>],
    frame: &Frame,
    pens: &Pens<'_>,
    taken: &mut Taken,
) -> usize {
    for one in placed {
        let point = one.gathered.point;
        svg.open(&[
            ("data-point", point.point_type.word()),
            ("data-room", &point.room),
            ("data-circuit", point.circuit.as_deref().unwrap_or("none")),
            ("data-count", &one.gathered.count.to_string()),
        ]);
        svg.note(&description(one.gathered));
        if one.moved {
            svg.line(one.true_place, one.middle, GREY);
        }
        fittings::draw(svg, one.shape, one.middle, one.towards);
        mark(svg, point.placed, one);
        svg.close();
    }
    let mut without = 0;
    for one in placed {
        let Some(words) = label(one.gathered) else { continue };
        let colour = pens.of_circuit(one.gathered.point.circuit.as_deref()).colour;
        if !write(svg, &words, one, colour, frame, taken) {
            without += one.gathered.count;
        }
    }
    without
}

fn description(gathered: &GatheredPoints<'_>) -> String {
    let point = gathered.point;
    let circuit = point.circuit.as_deref().map_or("no circuit".to_owned(), |circuit| format!("circuit {circuit}"));
    let placed = match point.placed {
        Placed::AsMarked => "place marked on the survey",
        Placed::SpreadByRule => "place spread by rule",
    };
    let height = words::fixed(point.height_m, 2);
    format!(
        "{} {}, {}, {circuit}, {height} m up, {placed}",
        gathered.count,
        words::point(point.point_type.word()),
        point.room
    )
}

/// The dot at a point's own place: filled where it was marked, hollow where it was spread by rule.
fn mark(svg: &mut Svg, placed: Placed, one: &Placement<'_>) {
    let on_shape = (one.true_place.x - one.middle.x).abs() < 0.1 && (one.true_place.y - one.middle.y).abs() < 0.1;
    let place = if on_shape { one.middle.moved(-1.7, 1.7) } else { one.true_place };
    dot(svg, placed, place);
}

pub(super) fn dot(svg: &mut Svg, placed: Placed, place: At) {
    match placed {
        Placed::AsMarked => svg.circle(place, 0.55, "#000000", MARKED),
        Placed::SpreadByRule => svg.circle(place, 0.45, "#ffffff", MARKED),
    }
}

fn label(gathered: &GatheredPoints<'_>) -> Option<String> {
    let circuit = gathered.point.circuit.as_deref();
    match (circuit, gathered.count) {
        (Some(circuit), 1) => Some(circuit.to_owned()),
        (Some(circuit), count) => Some(format!("{count} × {circuit}")),
        (None, 1) => None,
        (None, count) => Some(format!("{count} ×")),
    }
}

/// Writes a label in the nearest of a few places round a symbol, rather in the room than across its wall; whether there
/// was one.
fn write(
    svg: &mut Svg,
    words: &str,
    one: &Placement<'_>,
    colour: &'static str,
    frame: &Frame,
    taken: &mut Taken,
) -> bool {
    let middle = one.middle;
    let within = sheet_area(frame);
    let words = super::super::lettering::fitted(words, SMALL, Face::Plain, 20.0);
    let text = |x: f64, y: f64| Text::new(middle.moved(x, y + SMALL * 0.35), SMALL, &words).coloured(colour);
    let near = REACH + 0.1;
    let mut sides: Vec<Text<'_>> = Vec::with_capacity(24);
    for out in [0.0, 1.8, 3.6] {
        let reach = near + out;
        let line = REACH + SMALL * 0.6 + out;
        let (right, left) = (text(reach, 0.0), text(-reach, 0.0).end());
        let (above, below) = (text(0.0, -line).middle(), text(0.0, line).middle());
        sides.extend(match one.towards {
            2 => [left, above, below, right],
            1 => [right, left, below, above],
            3 => [right, left, above, below],
            _ => [right, above, below, left],
        });
        sides.extend([
            text(reach - 0.6, -line + 0.8),
            text(reach - 0.6, line - 0.8),
            text(-reach + 0.6, -line + 0.8).end(),
            text(-reach + 0.6, line - 0.8).end(),
        ]);
    }
    let Some(text) = sides.into_iter().find(|text| within.holds(&text.area()) && taken.is_free(&text.area())) else {
        return false;
    };
    let area = text.area();
    // Far from its symbol, a hair line says whose it is.
    let (x, y) = (area.middle().x - middle.x, area.middle().y - middle.y);
    if x.abs() - area.width / 2.0 > near + 1.0 || y.abs() > REACH + SMALL * 0.6 + 1.0 {
        let end = at(middle.x.clamp(area.left, area.right()), middle.y.clamp(area.top, area.bottom()));
        svg.line(
            middle.moved(x.signum() * REACH.min(x.abs()), y.signum() * REACH.min(y.abs())),
            end,
            Stroke { colour, ..THIN },
        );
    }
    taken.take(area);
    svg.text(text.edged());
    true
}
