//! The ways of the cables on one storey.

use std::collections::BTreeMap;

use engine::estimate::{Estimate, PlanPlace, Route, RoutePlace};

use super::super::lettering::{Face, width};
use super::super::sheet::SMALL;
use super::super::svg::{Area, At, MEDIUM, Stroke, Svg, THIN, Text, at};
use super::frame::{Frame, sheet_area};
use super::labels::{Taken, steps_away};
use super::lanes::{self, Lane};
use super::pens::Pens;

/// A piece of a route on one storey, in metres.
#[derive(Debug, Clone, PartialEq)]
struct Metres {
    /// The route, by its place in the document.
    route: usize,
    places: Vec<PlanPlace>,
    /// Whether it lies under the floor.
    under: bool,
    /// Whether the cable comes from or goes to another storey at its ends.
    rises_at: Vec<PlanPlace>,
}

/// What of a piece lies in the frame, in as many ways as it comes in and out.
fn within(piece: &Metres, frame: &Frame) -> Vec<Lane> {
    let mut ways: Vec<Lane> = Vec::new();
    let corners: Vec<At> = piece.places.iter().map(|place| frame.place(*place)).collect();
    for ends in corners.windows(2) {
        let Some((from, to)) = frame.within(ends[0], ends[1]).filter(|(from, to)| from != to) else { continue };
        match ways.last_mut().filter(|way| way.corners.last() == Some(&from)) {
            Some(way) => way.corners.push(to),
            None => ways.push(Lane { route: piece.route, under: piece.under, corners: vec![from, to] }),
        }
    }
    ways
}

/// The pieces of all routes that lie on a level.
fn on(estimate: &Estimate, level: i8) -> Vec<Metres> {
    let mut pieces = Vec::new();
    for (index, route) in estimate.routes.iter().enumerate() {
        for segment in &route.segments {
            pieces.extend(pieces_of(index, &segment.path, level));
        }
    }
    pieces
}

fn pieces_of(route: usize, path: &[RoutePlace], level: i8) -> Vec<Metres> {
    let on_plan = |place: &RoutePlace| PlanPlace { x_m: place.x_m, y_m: place.y_m };
    let mut pieces: Vec<Metres> = Vec::new();
    let under = |place: &RoutePlace| place.height_m < 0.0;
    for run in path.chunk_by(|one, other| (one.level, under(one)) == (other.level, under(other))) {
        if run.first().is_none_or(|place| place.level != level) {
            continue;
        }
        let mut places: Vec<PlanPlace> = run.iter().map(on_plan).collect();
        // Up and down a wall is one place on plan.
        places.dedup();
        pieces.push(Metres { route, places, under: run.first().is_some_and(under), rises_at: Vec::new() });
    }
    // Where the level changes within the path, the cable goes up or down.
    let changes = path.windows(2).filter(|ends| ends[0].level != ends[1].level);
    for ends in changes {
        for end in ends.iter().filter(|end| end.level == level) {
            pieces.push(Metres { route, places: Vec::new(), under: false, rises_at: vec![on_plan(end)] });
        }
    }
    pieces
}

/// Width of a cable under the floor, against the pens' own above it.
pub(super) const UNDER: f64 = 0.22;

/// Draws them under everything else; returns the ways as drawn.
pub(super) fn draw(svg: &mut Svg, estimate: &Estimate, level: i8, frame: &Frame, pens: &Pens<'_>) -> Vec<Lane> {
    let pieces = on(estimate, level);
    let ways: Vec<Lane> = pieces.iter().flat_map(|piece| within(piece, frame)).collect();
    let ways = lanes::apart(&ways);
    for way in &ways {
        let Some(route) = estimate.routes.get(way.route) else { continue };
        svg.open(&[("data-route", &route.id)]);
        svg.note(&format!("{} for {}", route.id, route.serves));
        let pen = pens.of_circuit(circuit(route));
        svg.polyline(&way.corners, if way.under { Stroke { width: UNDER, ..pen } } else { pen });
        svg.close();
    }
    risers(svg, estimate, &pieces, frame, pens);
    ways
}

/// A mark where cables go up or down, once a place however many they are.
fn risers(svg: &mut Svg, estimate: &Estimate, pieces: &[Metres], frame: &Frame, pens: &Pens<'_>) {
    let mut seen: BTreeMap<(i64, i64), (At, usize)> = BTreeMap::new();
    for piece in pieces {
        for place in &piece.rises_at {
            let on_sheet = frame.place(*place);
            if frame.within(on_sheet, on_sheet).is_none() {
                continue;
            }
            // A sheet of some metres is far within the integer.
            let key = ((on_sheet.x * 2.0).round() as i64, (on_sheet.y * 2.0).round() as i64);
            seen.entry(key).or_insert((on_sheet, piece.route));
        }
    }
    for (place, route) in seen.values() {
        let pen = estimate.routes.get(*route).map_or(MEDIUM, |route| pens.of_circuit(circuit(route)));
        riser(svg, *place, pen.colour);
    }
}

/// A circle with a stroke through it.
pub(super) fn riser(svg: &mut Svg, place: At, colour: &'static str) {
    let pen = Stroke { colour, ..THIN };
    svg.circle(place, 0.9, "#ffffff", pen);
    svg.line(place.moved(-0.9, 0.9), place.moved(0.9, -0.9), pen);
}

fn circuit(route: &Route) -> Option<&str> {
    route.circuit.as_deref()
}

/// What a route is called beside its line: its circuit, or what it serves; where that is too long the number under which
/// the legend has it.
fn name(route: &Route) -> &str {
    /// Room beside a line.
    const ROOM: f64 = 24.0;
    let name = route.circuit.as_deref().unwrap_or(&route.serves);
    if width(name, SMALL, Face::Bold) <= ROOM { name } else { &route.id }
}

/// Writes the circuit beside the longest straight stretch of each route, where there is room.
pub(super) fn tag(
    svg: &mut Svg,
    estimate: &Estimate,
    ways: &[Lane],
    frame: &Frame,
    pens: &Pens<'_>,
    taken: &mut Taken,
) {
    /// Steps of looking aside for room.
    const RINGS: i32 = 3;
    let steps = steps_away(1.6, RINGS);
    let within = sheet_area(frame);
    for (route, middle) in tag_places(ways) {
        let Some(route) = estimate.routes.get(route) else { continue };
        let words = name(route);
        let colour = pens.of_circuit(circuit(route)).colour;
        let tag = |step: &At| {
            Text::new(at(middle.x + step.x, middle.y + step.y + 0.7), SMALL, words).bold().middle().coloured(colour)
        };
        let free = |text: &Text<'_>| within.holds(&text.area()) && taken.is_free(&text.area());
        let Some(text) = steps.iter().map(tag).find(free) else { continue };
        let area = text.area();
        taken.take(area);
        svg.rectangle(Area { top: area.top + 0.2, height: area.height - 0.4, ..area }, "#ffffff", PAPER);
        svg.text(text);
    }
}

/// Where each route is named: on its longest way, and on its next one where that is long too.
fn tag_places(ways: &[Lane]) -> Vec<(usize, At)> {
    /// A way shorter than this on the sheet is followed without a word of its own.
    const LONG: f64 = 40.0;
    let mut by_route: BTreeMap<usize, Vec<(f64, At)>> = BTreeMap::new();
    for way in ways {
        if let Some(middle) = lanes::longest_middle(&way.corners) {
            by_route.entry(way.route).or_default().push((lanes::length(&way.corners), middle));
        }
    }
    let mut places = Vec::new();
    for (route, mut ways) in by_route {
        // Stable: of two as long, the first of the document.
        ways.sort_by(|one, other| other.0.total_cmp(&one.0));
        let named = ways.iter().enumerate().take_while(|(index, (length, _))| *index == 0 || *length >= LONG).take(2);
        places.extend(named.map(|(_, (_, middle))| (route, *middle)));
    }
    places
}

/// No edge to be seen.
const PAPER: Stroke = Stroke { colour: "#ffffff", ..THIN };

#[cfg(test)]
mod tests {
    use super::*;

    fn place(level: i8, x_m: f64, height_m: f64) -> RoutePlace {
        RoutePlace { level, x_m, y_m: 0.0, height_m }
    }

    #[test]
    fn a_way_up_the_wall_is_one_place_and_a_way_to_another_storey_is_marked_on_both() {
        let path = [place(0, 0.0, 1.8), place(0, 0.0, 2.5), place(0, 3.0, 2.5), place(1, 3.0, 0.0), place(1, 5.0, 0.0)];

        let below = pieces_of(0, &path, 0);
        let above = pieces_of(0, &path, 1);

        let xs = |piece: &Metres| piece.places.iter().map(|place| place.x_m).collect::<Vec<_>>();
        assert_eq!((xs(&below[0]), xs(&above[0])), (vec![0.0, 3.0], vec![3.0, 5.0]));
        assert_eq!((below[1].rises_at.len(), above[1].rises_at.len()), (1, 1));
        assert!(pieces_of(0, &path, 2).is_empty());
    }

    #[test]
    fn a_cable_under_the_floor_is_a_piece_of_its_own() {
        let path = [place(0, 0.0, 0.45), place(0, 0.0, -0.1), place(0, 4.0, -0.1), place(0, 4.0, 0.45)];

        let pieces = pieces_of(0, &path, 0);

        let under: Vec<bool> = pieces.iter().map(|piece| piece.under).collect();
        assert_eq!(under, [false, true, false]);
        assert_eq!(pieces[1].places.len(), 2);
    }
}
