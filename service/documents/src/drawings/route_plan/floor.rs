//! The house itself on one storey: walls, names, dimensions, what stands in the way, board, intake and services.

use engine::estimate::{PlanPlace, PlanRoom, PlanStorey};

use super::super::lettering::{Face, fitted};
use super::super::sheet::{BODY, HEADING, SMALL};
use super::super::svg::{Area, At, MEDIUM, Stroke, Svg, THICK, THIN, Text, at};
use super::frame::{Frame, sheet_area};
use super::labels::{Taken, steps_away};
use crate::words::fixed;

const WALL: Stroke = Stroke { colour: "#3c3c3c", width: 0.6, dash: "" };
const OUTSIDE: Stroke = Stroke { colour: "#3c3c3c", width: 0.35, dash: "2 1.2" };
pub(super) const OBSTRUCTION: Stroke = Stroke { colour: "#000000", width: 1.1, dash: "1.6 0.7" };

/// Walls and the dimensions of the whole.
pub(super) fn outlines(svg: &mut Svg, storey: &PlanStorey, frame: &Frame, taken: &mut Taken) {
    let title = format!("{}, level {}", storey.name, storey.level);
    let title = fitted(&title, HEADING, Face::Bold, frame.area.width.max(40.0));
    let title = Text::new(at(frame.area.left + 2.0, frame.area.top + 5.0), HEADING, &title).bold();
    taken.take(title.area());
    svg.text(title);
    for room in &storey.rooms {
        let corners: Vec<At> = room.corners.iter().map(|corner| frame.place(*corner)).collect();
        svg.open(&[("data-room", &room.id)]);
        let (fill, pen) = if room.outside { ("#f6f8f3", OUTSIDE) } else { ("#ffffff", WALL) };
        svg.polygon(&corners, fill, pen);
        svg.close();
        walls(&corners, taken);
    }
    dimensions(svg, storey, frame, taken);
}

/// Keeps words and symbols off the walls that run with the sheet; a wall across it would keep too much free.
fn walls(corners: &[At], taken: &mut Taken) {
    const HALF: f64 = 0.25;
    for index in 0..corners.len() {
        let (from, to) = (corners[index], corners[(index + 1) % corners.len()]);
        if (from.x - to.x).abs() < 0.1 || (from.y - to.y).abs() < 0.1 {
            taken.take(Area {
                left: from.x.min(to.x) - HALF,
                top: from.y.min(to.y) - HALF,
                width: (from.x - to.x).abs() + 2.0 * HALF,
                height: (from.y - to.y).abs() + 2.0 * HALF,
            });
        }
    }
}

/// Width and depth of the house's own rooms, in metres.
fn dimensions(svg: &mut Svg, storey: &PlanStorey, frame: &Frame, taken: &mut Taken) {
    let rooms = || storey.rooms.iter().filter(|room| !room.outside);
    let any_inside = rooms().next().is_some();
    let rooms = storey.rooms.iter().filter(|room| !any_inside || !room.outside);
    let Some(reach) = reach(rooms.flat_map(|room| &room.corners)) else { return };
    let front_left = frame.place(PlanPlace { x_m: reach.0, y_m: reach.2 });
    let back_right = frame.place(PlanPlace { x_m: reach.1, y_m: reach.3 });
    let y = frame.house.bottom() + 9.0;
    let x = frame.house.left - 9.0;
    let wide = format!("{} m", fixed(reach.1 - reach.0, 2));
    let deep = format!("{} m", fixed(reach.3 - reach.2, 2));
    for (from, to) in [(at(front_left.x, y), at(back_right.x, y)), (at(x, front_left.y), at(x, back_right.y))] {
        svg.line(from, to, THIN);
        for end in [from, to] {
            svg.line(end.moved(-0.8, 0.8), end.moved(0.8, -0.8), MEDIUM);
        }
    }
    let across = Text::new(at((front_left.x + back_right.x) / 2.0, y - 0.9), BODY, &wide).middle();
    let down = Text::new(at(x - 0.5, (front_left.y + back_right.y) / 2.0), BODY, &deep).middle().edged();
    for text in [across, down] {
        taken.take(text.area());
        svg.text(text);
    }
}

/// Least and greatest x, least and greatest y.
fn reach<'p>(places: impl Iterator<Item = &'p PlanPlace>) -> Option<(f64, f64, f64, f64)> {
    places.fold(None, |reach: Option<(f64, f64, f64, f64)>, place| {
        let (x, y) = (place.x_m, place.y_m);
        Some(
            reach.map_or((x, x, y, y), |(left, right, front, back)| {
                (left.min(x), right.max(x), front.min(y), back.max(y))
            }),
        )
    })
}

/// Steel, lintels and the like, as heavy broken lines.
pub(super) fn obstructions(svg: &mut Svg, storey: &PlanStorey, frame: &Frame) {
    for one in &storey.obstructions {
        svg.open(&[("data-obstruction", one.obstruction_type.word())]);
        let (from, to) = (frame.place(one.from), frame.place(one.to));
        if from == to {
            svg.circle(from, 1.2, "none", OBSTRUCTION);
        } else {
            svg.line(from, to, OBSTRUCTION);
        }
        svg.close();
    }
}

/// Board, intake and services.
fn marks(storey: &PlanStorey, frame: &Frame) -> Vec<(Fixture, At, String)> {
    let mut marks = Vec::new();
    marks.extend(storey.board.map(|place| (Fixture::Board, frame.place(place), "Board".to_owned())));
    marks.extend(storey.sub_boards.iter().map(|place| (Fixture::Board, frame.place(*place), "Sub-board".to_owned())));
    marks.extend(storey.intake.map(|place| (Fixture::Intake, frame.place(place), "Intake".to_owned())));
    marks.extend(storey.services.iter().map(|service| {
        let words = service.service_type.word().replace('-', " ");
        (Fixture::Service, frame.place(service.at), words)
    }));
    marks
}

/// What is there before any point is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fixture {
    Board,
    Intake,
    Service,
}

/// Draws board, intake and services at their places, with their names beside them.
pub(super) fn fixtures(svg: &mut Svg, storey: &PlanStorey, frame: &Frame, taken: &mut Taken) {
    let marks = marks(storey, frame);
    let mut drawn = Vec::with_capacity(marks.len());
    for (mark, place, words) in marks {
        let middle = free_place(place, 4.6, taken);
        taken.take(Area::around(middle, 4.6, 4.6));
        if middle != place {
            svg.line(place, middle, THIN);
            svg.circle(place, 0.4, "#000000", THIN);
        }
        symbol(svg, mark, middle);
        drawn.push((middle, words));
    }
    for (middle, words) in drawn {
        beside(svg, &words, middle, 3.0, frame, taken);
    }
}

pub(super) fn symbol(svg: &mut Svg, mark: Fixture, middle: At) {
    match mark {
        // A board: a rectangle, half of it filled.
        Fixture::Board => {
            svg.rectangle(Area::around(middle, 4.4, 3.0), "#ffffff", THICK);
            let (left, right, top, bottom) = (middle.x - 2.2, middle.x + 2.2, middle.y - 1.5, middle.y + 1.5);
            svg.polygon(&[at(left, bottom), at(left, top), at(right, bottom)], "#000000", THIN);
        }
        // Where the supply comes in: a triangle that points inwards.
        Fixture::Intake => {
            let corners = [middle.moved(-2.0, 1.8), middle.moved(2.0, 1.8), middle.moved(0.0, -1.8)];
            svg.polygon(&corners, "#000000", THIN);
        }
        Fixture::Service => {
            svg.circle(middle, 1.7, "#ffffff", MEDIUM);
            svg.circle(middle, 0.7, "#000000", THIN);
        }
    }
}

/// The nearest place where a square of that side is free; the place itself where none is near.
pub(super) fn free_place(place: At, side: f64, taken: &Taken) -> At {
    const RINGS: i32 = 3;
    steps_away(side * 0.6, RINGS)
        .into_iter()
        .map(|step| place.moved(step.x, step.y))
        .find(|middle| taken.is_free(&Area::around(*middle, side, side)))
        .unwrap_or(place)
}

/// Writes beside a symbol where there is room; whether there was.
pub(super) fn beside(svg: &mut Svg, words: &str, middle: At, gap: f64, frame: &Frame, taken: &mut Taken) -> bool {
    let words = fitted(words, SMALL, Face::Plain, 40.0);
    let within = sheet_area(frame);
    let sides = [
        Text::new(middle.moved(gap, 0.7), SMALL, &words),
        Text::new(middle.moved(-gap, 0.7), SMALL, &words).end(),
        Text::new(middle.moved(0.0, -gap + 0.2), SMALL, &words).middle(),
        Text::new(middle.moved(0.0, gap + 1.4), SMALL, &words).middle(),
    ];
    let Some(text) = sides.into_iter().find(|text| within.holds(&text.area()) && taken.is_free(&text.area())) else {
        return false;
    };
    taken.take(text.area());
    svg.text(text.edged());
    true
}

/// Names of rooms with their dimensions, and what the obstructions are, where there is room.
pub(super) fn words(svg: &mut Svg, storey: &PlanStorey, frame: &Frame, taken: &mut Taken) {
    for room in &storey.rooms {
        room_words(svg, room, frame, taken);
    }
    for one in &storey.obstructions {
        let (from, to) = (frame.place(one.from), frame.place(one.to));
        let middle = at((from.x + to.x) / 2.0, (from.y + to.y) / 2.0);
        let blocks: Vec<String> = one.blocks.iter().map(|medium| medium.word().replace('-', " ")).collect();
        let closes = if blocks.is_empty() { String::new() } else { format!(", closes {}", blocks.join(", ")) };
        let words = format!("{}{closes}", one.obstruction_type.word().replace('-', " "));
        // Beside its middle, or beside one of its ends.
        let _ = beside(svg, &words, middle, 1.6, frame, taken)
            || beside(svg, &words, from, 1.6, frame, taken)
            || beside(svg, &words, to, 1.6, frame, taken);
    }
}

fn room_words(svg: &mut Svg, room: &PlanRoom, frame: &Frame, taken: &mut Taken) {
    let Some((left, right, front, back)) = reach(room.corners.iter()) else { return };
    let upper_left = frame.place(PlanPlace { x_m: left, y_m: back });
    let lower_right = frame.place(PlanPlace { x_m: right, y_m: front });
    let inside = Area {
        left: upper_left.x,
        top: upper_left.y,
        width: lower_right.x - upper_left.x,
        height: lower_right.y - upper_left.y,
    };
    let name = fitted(&room.name, BODY, Face::Bold, (inside.width - 2.0).max(6.0));
    let size = fitted(&size(room), SMALL, Face::Plain, (inside.width - 2.0).max(6.0));
    let both = |middle: At| {
        let name = Text::new(middle.moved(0.0, -0.6), BODY, &name).bold().middle();
        let size = Text::new(middle.moved(0.0, 2.2), SMALL, &size).middle();
        (name, size)
    };
    let free = |text: &Text<'_>| inside.holds(&text.area()) && taken.is_free(&text.area());
    // From the middle outwards; an L-shaped room has its words where they fit.
    let steps = steps_away(2.5, 10);
    let places = steps.iter().map(|step| inside.middle().moved(step.x, step.y));
    let found = places.map(both).find(|(name, size)| {
        free(name) && free(size) && in_outline(room, frame, &name.area()) && in_outline(room, frame, &size.area())
    });
    let (name, size) = found.unwrap_or_else(|| both(inside.middle()));
    for text in [name, size] {
        taken.take(text.area());
        svg.text(text.edged());
    }
}

/// Width and depth of a rectangle; the area of any other outline.
fn size(room: &PlanRoom) -> String {
    let Some((left, right, front, back)) = reach(room.corners.iter()) else { return String::new() };
    let doubled: f64 = pairs(room).map(|(a, b)| a.x_m * b.y_m - b.x_m * a.y_m).sum();
    let area = (doubled / 2.0).abs();
    let around = (right - left) * (back - front);
    if (around - area).abs() < 0.01 {
        format!("{} × {} m", fixed(right - left, 2), fixed(back - front, 2))
    } else {
        format!("{} m2", fixed(area, 1))
    }
}

/// The sides of the outline.
pub(super) fn pairs(room: &PlanRoom) -> impl Iterator<Item = (PlanPlace, PlanPlace)> {
    let corners = &room.corners;
    (0..corners.len()).filter_map(move |index| Some((*corners.get(index)?, *corners.get((index + 1) % corners.len())?)))
}

/// Whether all corners of an area lie in the room.
fn in_outline(room: &PlanRoom, frame: &Frame, area: &Area) -> bool {
    let (left, right, top, bottom) = (area.left, area.right(), area.top, area.bottom());
    [at(left, top), at(right, top), at(left, bottom), at(right, bottom)]
        .into_iter()
        .all(|place| holds(room, frame, place))
}

/// Whether a place on the sheet lies in the room: a ray to the right crosses its outline an odd number of times.
pub(super) fn holds(room: &PlanRoom, frame: &Frame, place: At) -> bool {
    let crossed = pairs(room).filter(|(a, b)| {
        let (a, b) = (frame.place(*a), frame.place(*b));
        (a.y > place.y) != (b.y > place.y) && place.x < a.x + (place.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    !crossed.count().is_multiple_of(2)
}
