//! What the symbols mean.

use super::super::devices::{self, DeviceSymbol};
use super::super::sheet::{HEADING, SMALL};
use super::super::svg::{At, MEDIUM, Svg, Text, at};
use super::earthing::PROTECTIVE;
use super::rows;

const LEFT: f64 = 10.0;
const WORDS: f64 = 32.0;
/// From one entry to the next.
const STEP: f64 = 6.6;

/// Draws it under the earthing; returns where it ends.
pub(super) fn draw(svg: &mut Svg, top: f64) -> f64 {
    svg.open(&[("data-part", "legend")]);
    svg.text(Text::new(at(LEFT, top), HEADING, "Symbols").bold());
    let mut y = top + STEP;
    let mut entry = |svg: &mut Svg, words: &str, symbol: &dyn Fn(&mut Svg, At)| {
        symbol(svg, at(LEFT, y));
        svg.text(Text::new(at(WORDS, y + 0.8), SMALL, words));
        y += STEP;
    };
    for (symbol, words) in [
        (DeviceSymbol::Rcbo, "breaker with residual current protection"),
        (DeviceSymbol::Breaker, "breaker"),
        (DeviceSymbol::Residual, "RCD (residual current device)"),
        (DeviceSymbol::MainSwitch, "switch-disconnector"),
        (DeviceSymbol::Fuse, "fuse"),
        (DeviceSymbol::SwitchedFuse, "switched fuse"),
        (DeviceSymbol::Surge, "surge protective device"),
    ] {
        entry(svg, words, &|svg, place| devices::device(svg, symbol, place, 0));
    }
    entry(svg, "ring: both legs on one terminal", &|svg, place| {
        for side in [-0.6, 0.6] {
            let (near, far) = (place.moved(1.0, side), place.moved(devices::LENGTH - 1.0, side));
            svg.polyline(&[place, near, far, place.moved(devices::LENGTH, 0.0)], MEDIUM);
        }
    });
    entry(svg, "protective conductor", &|svg, place| svg.line(place, place.moved(devices::LENGTH, 0.0), PROTECTIVE));
    for (kind, words) in [
        ("ring-sockets", "socket outlets"),
        ("lighting", "lights"),
        ("alarms", "alarms"),
        ("appliance", "fixed equipment"),
    ] {
        entry(svg, words, &|svg, place| {
            svg.line(place.moved(5.0, 0.0), place.moved(10.0, 0.0), MEDIUM);
            rows::load(svg, kind, place.moved(10.0, 0.0));
        });
    }
    svg.close();
    y
}
