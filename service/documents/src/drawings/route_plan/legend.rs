//! What the lines and symbols of the plan mean, and the scale bar.

use std::collections::BTreeMap;

use engine::estimate::{Estimate, Placed, Plan, Route};

use super::super::fittings;
use super::super::lettering::{Face, fitted, wrapped};
use super::super::sheet::{BODY, HEADING, MARGIN, SMALL};
use super::super::svg::Stroke;
use super::super::svg::{Area, At, MEDIUM, Svg, THIN, Text, at};
use super::frame::Frames;
use super::pens::{OTHER, Pens};
use super::{floor, points, routes};
use crate::words::{self, fixed};

/// From one entry to the next.
const STEP: f64 = 5.2;
/// Width of a column of circuits, and of one of symbols.
const CIRCUITS: f64 = 132.0;
const SYMBOLS: f64 = 50.0;

/// Draws scale bar, circuits and symbols from `top` down; returns where they end.
pub(super) fn draw(svg: &mut Svg, estimate: &Estimate, plan: &Plan, pens: &Pens<'_>, frames: &Frames, top: f64) -> f64 {
    svg.open(&[("data-part", "legend")]);
    let y = scale_bar(svg, frames, top + 4.0);
    let y = circuits(svg, estimate, pens, frames.width, y + 7.0);
    let y = symbols(svg, plan, frames.width, y + 7.0);
    svg.close();
    y + 3.0
}

/// A bar of round metres.
fn scale_bar(svg: &mut Svg, frames: &Frames, y: f64) -> f64 {
    const PARTS: f64 = 5.0;
    let part_m =
        [1.0, 2.0, 5.0, 10.0, 20.0].into_iter().find(|metres| metres * frames.mm_per_m >= 10.0).unwrap_or(50.0);
    let part = part_m * frames.mm_per_m;
    let mut index = 0.0;
    while index < PARTS {
        let fill = if index % 2.0 == 0.0 { "#000000" } else { "#ffffff" };
        svg.rectangle(Area { left: MARGIN + part * index, top: y, width: part, height: 1.6 }, fill, THIN);
        svg.text(Text::new(at(MARGIN + part * index, y + 4.6), SMALL, &fixed(part_m * index, 0)));
        index += 1.0;
    }
    let end = MARGIN + part * PARTS;
    svg.text(Text::new(at(end, y + 4.6), SMALL, &format!("{} m", fixed(part_m * PARTS, 0))));
    let words = format!(
        "Scale 1:{} where the sheet is printed at its full width of {} mm",
        frames.scale,
        fixed(frames.width, 0)
    );
    svg.text(Text::new(at(end + 12.0, y + 1.8), BODY, &words));
    y + 5.0
}

fn circuits(svg: &mut Svg, estimate: &Estimate, pens: &Pens<'_>, width: f64, top: f64) -> f64 {
    let mut entries: Vec<(Stroke, String, String)> = estimate
        .circuits
        .iter()
        .map(|circuit| {
            let own = || estimate.routes.iter().filter(|route| route.circuit.as_deref() == Some(circuit.id.as_str()));
            (pens.of_circuit(Some(&circuit.id)), format!("{}  {}", circuit.id, circuit.name), media(own()))
        })
        .collect();
    let others = estimate.routes.iter().filter(|route| route.circuit.is_none());
    entries.extend(others.map(|route| (OTHER, format!("{}  {}", route.id, route.serves), media([route].into_iter()))));
    svg.text(Text::new(at(MARGIN, top), HEADING, "Circuits, bonds and draw-in runs, and the ways that they go").bold());
    // Many media take a second line; then every entry has room for one, so that the columns stay level.
    let media: Vec<Vec<String>> =
        entries.iter().map(|(_, _, media)| wrapped(media, SMALL, Face::Plain, CIRCUITS - 20.0, 3)).collect();
    let lines = media.iter().map(Vec::len).max().unwrap_or(1).max(1);
    let step = 4.7 + 2.7 * lines as f64;
    columns(svg, width, top + 6.0, (CIRCUITS, step), entries.len(), |svg, index, place| {
        let (Some((pen, name, _)), Some(media)) = (entries.get(index), media.get(index)) else { return };
        svg.line(place, place.moved(14.0, 0.0), *pen);
        svg.text(Text::new(place.moved(16.0, 0.4), BODY, &fitted(name, BODY, Face::Bold, CIRCUITS - 20.0)).bold());
        let mut down = 3.4;
        for line in media {
            svg.text(Text::new(place.moved(16.0, down), SMALL, line));
            down += 2.7;
        }
    })
}

/// Metres by the way that they go, most first.
fn media<'r>(routes: impl Iterator<Item = &'r Route>) -> String {
    let mut metres: BTreeMap<&str, f64> = BTreeMap::new();
    for segment in routes.flat_map(|route| &route.segments) {
        *metres.entry(segment.medium.word()).or_insert(0.0) += segment.metres.value();
    }
    let mut metres: Vec<(&str, f64)> = metres.into_iter().collect();
    metres.sort_by(|one, other| other.1.total_cmp(&one.1).then(one.0.cmp(other.0)));
    let words = metres.iter().map(|(medium, metres)| format!("{} {} m", medium.replace('-', " "), fixed(*metres, 1)));
    words.collect::<Vec<_>>().join(", ")
}

fn symbols(svg: &mut Svg, plan: &Plan, width: f64, top: f64) -> f64 {
    let mut counts: BTreeMap<&str, (engine::survey::PointType, usize)> = BTreeMap::new();
    for point in plan.storeys.iter().flat_map(|storey| &storey.points) {
        counts.entry(point.point_type.word()).or_insert((point.point_type, 0)).1 += 1;
    }
    let counts: Vec<(engine::survey::PointType, usize)> = counts.into_values().collect();
    svg.text(Text::new(at(MARGIN, top), HEADING, "Symbols").bold());
    type Draw = fn(&mut Svg, At);
    let others: [(&str, Draw); 8] = [
        ("thin line: cable under the floor", |svg, place| {
            let pen = Stroke { width: routes::UNDER, ..MEDIUM };
            svg.line(place.moved(-2.2, 0.0), place.moved(2.2, 0.0), pen);
        }),
        ("place marked on the survey", |svg, at| points::dot(svg, Placed::AsMarked, at)),
        ("place spread by rule: settle on site", |svg, at| points::dot(svg, Placed::SpreadByRule, at)),
        ("board", |svg, at| floor::symbol(svg, floor::Fixture::Board, at)),
        ("intake", |svg, at| floor::symbol(svg, floor::Fixture::Intake, at)),
        ("service to bond", |svg, at| floor::symbol(svg, floor::Fixture::Service, at)),
        ("cable to another storey", |svg, at| routes::riser(svg, at, MEDIUM.colour)),
        ("obstruction", |svg, place| {
            svg.line(place.moved(-2.2, 0.0), place.moved(2.2, 0.0), floor::OBSTRUCTION);
        }),
    ];
    columns(svg, width, top + 6.0, (SYMBOLS, STEP), others.len() + counts.len(), |svg, index, place| {
        let middle = place.moved(2.4, 0.0);
        let words = match (others.get(index), index.checked_sub(others.len()).and_then(|index| counts.get(index))) {
            (Some((words, draw)), _) => {
                draw(svg, middle);
                (*words).to_owned()
            }
            (None, Some((point, count))) => {
                fittings::draw(svg, fittings::shape(*point), middle, 1);
                format!("{} ({count})", words::point(point.word()))
            }
            (None, None) => return,
        };
        svg.text(Text::new(place.moved(6.2, 0.8), SMALL, &fitted(&words, SMALL, Face::Plain, SYMBOLS - 8.0)));
    })
}

/// Entries in as many columns as the sheet holds, filled downwards; returns where they end.
fn columns(
    svg: &mut Svg,
    width: f64,
    top: f64,
    (column, step): (f64, f64),
    entries: usize,
    draw: impl Fn(&mut Svg, usize, At),
) -> f64 {
    // At least one column; the sheet is never narrower than one.
    let across = (((width - 2.0 * MARGIN) / column).floor() as usize).max(1);
    let down = entries.div_ceil(across);
    for index in 0..entries {
        let (x, y) = ((index / down) as f64, (index % down) as f64);
        draw(svg, index, at(MARGIN + column * x, top + step * y));
    }
    top + step * down as f64
}
