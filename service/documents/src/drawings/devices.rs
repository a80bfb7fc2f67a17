//! Symbols of a single-line diagram, drawn by us after the shapes of IEC 60617 (from memory): each lies along its
//! conductor from left to right, supply on the left, on a length of [`LENGTH`].

use super::svg::{Area, At, MEDIUM, Stroke, Svg, THICK, THIN, at};

/// Millimetres of conductor that a symbol takes.
pub(super) const LENGTH: f64 = 16.0;
/// Half the height that it takes, upwards and downwards: what rows leave free.
#[cfg(test)]
const REACH: f64 = 4.0;

/// A symbol of the diagram.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DeviceSymbol {
    /// Circuit breaker: a contact with a cross.
    Breaker,
    /// Circuit breaker with residual current protection: the same, and a ring round the conductor that acts on it.
    Rcbo,
    /// Residual current device without overcurrent protection: a contact, and a ring round the conductor that acts on it.
    Residual,
    /// Switch-disconnector: a contact with a stroke and a small circle.
    MainSwitch,
    /// Fuse: a rectangle with the conductor through it.
    Fuse,
    /// Fuse on the moving part of a switch.
    SwitchedFuse,
    /// Surge protective device: a rectangle with two arrow heads across a gap.
    Surge,
    /// A device that has no shape of its own here: a plain rectangle; its words say what it is.
    Other,
    /// Blank way.
    Blank,
}

/// Draws a symbol that begins at `start` and runs to the right, or turned by quarters.
pub(super) fn device(svg: &mut Svg, device: DeviceSymbol, start: At, quarters: u8) {
    svg.open_at(start, quarters);
    match device {
        DeviceSymbol::Breaker => {
            contact(svg, MEDIUM);
            cross(svg);
        }
        DeviceSymbol::Rcbo => {
            contact(svg, MEDIUM);
            cross(svg);
            residual(svg);
        }
        DeviceSymbol::Residual => {
            contact(svg, MEDIUM);
            residual(svg);
        }
        DeviceSymbol::MainSwitch => {
            contact(svg, MEDIUM);
            svg.line(at(3.2, -1.6), at(3.2, 1.6), MEDIUM);
            svg.circle(at(4.0, 0.0), 0.8, "#ffffff", MEDIUM);
        }
        DeviceSymbol::Fuse => {
            svg.line(at(0.0, 0.0), at(LENGTH, 0.0), MEDIUM);
            svg.rectangle(Area { left: 4.0, top: -1.5, width: 8.0, height: 3.0 }, "none", MEDIUM);
        }
        DeviceSymbol::SwitchedFuse => switched_fuse(svg),
        DeviceSymbol::Surge => surge(svg),
        DeviceSymbol::Other => {
            svg.line(at(0.0, 0.0), at(4.0, 0.0), MEDIUM);
            svg.line(at(12.0, 0.0), at(LENGTH, 0.0), MEDIUM);
            svg.rectangle(Area { left: 4.0, top: -1.7, width: 8.0, height: 3.4 }, "#ffffff", MEDIUM);
        }
        DeviceSymbol::Blank => {
            svg.line(at(0.0, 0.0), at(4.0, 0.0), THIN);
            svg.line(at(4.0, -1.4), at(4.0, 1.4), THIN);
        }
    }
    svg.close();
}

/// Both ends of the conductor and the blade, open, hinged on the side of the load.
fn contact(svg: &mut Svg, stroke: Stroke) {
    svg.line(at(0.0, 0.0), at(4.0, 0.0), stroke);
    svg.line(at(10.0, 0.0), at(LENGTH, 0.0), stroke);
    svg.line(at(10.0, 0.0), at(4.2, -2.9), stroke);
}

fn cross(svg: &mut Svg) {
    svg.line(at(3.1, -0.9), at(4.9, 0.9), MEDIUM);
    svg.line(at(3.1, 0.9), at(4.9, -0.9), MEDIUM);
}

fn residual(svg: &mut Svg) {
    svg.ellipse(at(12.6, 0.0), (0.9, 2.0), MEDIUM);
    svg.polyline(&[at(12.6, -2.0), at(12.6, -3.1), at(7.6, -3.1), at(7.6, -1.2)], Stroke { dash: "0.8 0.6", ..THIN });
}

fn switched_fuse(svg: &mut Svg) {
    svg.line(at(0.0, 0.0), at(3.0, 0.0), MEDIUM);
    svg.line(at(12.0, 0.0), at(LENGTH, 0.0), MEDIUM);
    svg.line(at(12.0, 0.0), at(3.2, -3.4), MEDIUM);
    // A rectangle along the blade, worked out from its ends: 4.4 long and 1.8 high on the slope of 3.4 in 8.8.
    svg.polygon(&[at(5.23, -3.58), at(9.33, -2.0), at(8.69, -0.32), at(4.58, -1.9)], "none", MEDIUM);
}

fn surge(svg: &mut Svg) {
    svg.line(at(0.0, 0.0), at(4.0, 0.0), MEDIUM);
    svg.line(at(12.0, 0.0), at(LENGTH, 0.0), MEDIUM);
    svg.rectangle(Area { left: 4.0, top: -1.7, width: 8.0, height: 3.4 }, "#ffffff", MEDIUM);
    svg.line(at(4.0, 0.0), at(6.6, 0.0), MEDIUM);
    svg.line(at(9.4, 0.0), at(12.0, 0.0), MEDIUM);
    svg.polygon(&[at(7.8, 0.0), at(6.0, -0.9), at(6.0, 0.9)], "#000000", THIN);
    svg.polygon(&[at(8.2, 0.0), at(10.0, -0.9), at(10.0, 0.9)], "#000000", THIN);
}

/// The meter: a square with a band on it.
pub(super) fn meter(svg: &mut Svg, top: At) {
    svg.rectangle(Area { left: top.x - 4.5, top: top.y, width: 9.0, height: 9.0 }, "#ffffff", MEDIUM);
    svg.line(at(top.x - 4.5, top.y + 2.2), at(top.x + 4.5, top.y + 2.2), MEDIUM);
}

/// Earth: a stroke that comes down on three bars, each shorter.
pub(super) fn earth(svg: &mut Svg, top: At) {
    let foot = top.y + 3.0;
    svg.line(top, at(top.x, foot), MEDIUM);
    for (step, half) in [(0.0, 2.4), (0.9, 1.5), (1.8, 0.7)] {
        svg.line(at(top.x - half, foot + step), at(top.x + half, foot + step), MEDIUM);
    }
}

/// A bar that conductors end on.
pub(super) fn bar(svg: &mut Svg, from: At, to: At) {
    svg.line(from, to, THICK);
}

/// A dot where conductors meet.
pub(super) fn junction(svg: &mut Svg, middle: At) {
    svg.circle(middle, 0.6, "#000000", THIN);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawings::svg::shapes;

    const ALL: [DeviceSymbol; 9] = [
        DeviceSymbol::Breaker,
        DeviceSymbol::Rcbo,
        DeviceSymbol::Residual,
        DeviceSymbol::MainSwitch,
        DeviceSymbol::Fuse,
        DeviceSymbol::SwitchedFuse,
        DeviceSymbol::Surge,
        DeviceSymbol::Other,
        DeviceSymbol::Blank,
    ];

    #[test]
    fn no_symbol_reaches_further_than_the_room_that_is_left_for_it() {
        for symbol in ALL {
            for quarters in 0..4 {
                let mut svg = Svg::default();
                device(&mut svg, symbol, at(50.0, 50.0), quarters);
                let shapes = shapes(svg);
                assert!(!shapes.is_empty(), "{symbol:?} is drawn");
                let edge = |edge: fn(&Area) -> f64| shapes.iter().map(move |area| edge(area) - 50.0);
                let (left, right) = (edge(|area| -area.left + 100.0), edge(Area::right));
                let (top, bottom) = (edge(|area| -area.top + 100.0), edge(Area::bottom));
                let furthest = |edge: &mut dyn Iterator<Item = f64>| edge.fold(f64::NEG_INFINITY, f64::max);
                let mut sides = [left.collect::<Vec<_>>(), right.collect(), top.collect(), bottom.collect()]
                    .map(|side| furthest(&mut side.into_iter()));
                assert!(sides.iter().all(|side| *side <= LENGTH + 0.4), "{symbol:?} turned by {quarters}: {sides:?}");
                // Left, right, top, bottom: those across the conductor.
                if quarters % 2 == 1 {
                    sides.rotate_left(2);
                }
                assert!(sides[2].max(sides[3]) <= REACH + 0.2, "{symbol:?} turned by {quarters}: {sides:?}");
            }
        }
    }
}
