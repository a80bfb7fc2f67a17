//! Symbols of the points on a plan, drawn by us: shapes after IEC 60617 and common practice (from memory) where there is
//! one, otherwise a letter in a square. The legend of every plan says what each one means.

use engine::survey::PointType;

use super::lettering::Face;
use super::svg::{Align, Area, At, MEDIUM, Stroke, Svg, THIN, Text, at};

/// A shape on the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum FittingShape {
    /// A cup on a stem with the stroke of the protective contact; filled for two outlets.
    Outlet { double: bool, letter: &'static str },
    /// A circle with a lever for each way that it switches.
    Switch { levers: u8, letter: &'static str },
    /// A circle with a cross.
    Lamp,
    /// A short bar between two strokes.
    Batten,
    /// A circle with letters: alarms and fans.
    Disc(&'static str),
    /// A square with letters: connections of fixed equipment, signal outlets.
    Square(&'static str),
}

/// Half the side of the square that a shape keeps free.
pub(super) const REACH: f64 = 2.2;
/// From the wall to the middle of the shape.
pub(super) const FROM_WALL: f64 = 2.5;
/// Letters within a shape.
const LETTER: f64 = 1.75;

/// The shape of a kind of point.
pub(super) const fn shape(point: PointType) -> FittingShape {
    use PointType as P;
    const fn outlet(double: bool, letter: &'static str) -> FittingShape {
        FittingShape::Outlet { double, letter }
    }
    const fn switch(levers: u8, letter: &'static str) -> FittingShape {
        FittingShape::Switch { levers, letter }
    }
    match point {
        P::DoubleSocket => outlet(true, ""),
        P::SingleSocket => outlet(false, ""),
        P::DoubleSocketUsb => outlet(true, "U"),
        P::OutsideSocket => outlet(false, "W"),
        P::FloorSocket => outlet(false, "F"),
        P::ApplianceSocket => outlet(false, "A"),
        P::OneWaySwitch => switch(1, ""),
        P::TwoWaySwitch => switch(2, ""),
        P::IntermediateSwitch => switch(4, ""),
        P::Dimmer => switch(1, "D"),
        P::MovementSwitch => switch(1, "M"),
        P::PullCordSwitch => switch(1, "P"),
        P::TimeLagSwitch => switch(1, "T"),
        P::Pendant | P::CeilingLight | P::WallLight | P::BathroomLight | P::LoftLight => FittingShape::Lamp,
        P::OutsideLight => FittingShape::Disc("L"),
        P::OutsideLightSensor => FittingShape::Disc("LS"),
        P::Downlight => FittingShape::Disc("×"),
        P::LinearLight | P::StripLight => FittingShape::Batten,
        P::ExtractorFan => FittingShape::Disc("F"),
        P::InlineFan => FittingShape::Disc("IF"),
        P::SmokeAlarm => FittingShape::Disc("S"),
        P::HeatAlarm => FittingShape::Disc("H"),
        P::CoAlarm => FittingShape::Disc("CO"),
        P::FusedUnit => FittingShape::Square("FU"),
        P::CookerControl => FittingShape::Square("CC"),
        P::CookerPlate => FittingShape::Square("CP"),
        P::OvenPoint => FittingShape::Square("OV"),
        P::HobPoint => FittingShape::Square("HO"),
        P::ShowerSwitch => FittingShape::Square("SH"),
        P::ImmersionPoint => FittingShape::Square("IM"),
        P::StorageHeaterPoint => FittingShape::Square("ST"),
        P::PanelHeaterPoint => FittingShape::Square("PH"),
        P::TowelRailPoint => FittingShape::Square("TR"),
        P::FloorHeatingPoint => FittingShape::Square("FH"),
        P::BoilerPoint => FittingShape::Square("BO"),
        P::ShaverOutlet => FittingShape::Square("SV"),
        P::AlarmPanelSpur => FittingShape::Square("AL"),
        P::ChargePoint => FittingShape::Square("EV"),
        P::HeatPumpIsolator => FittingShape::Square("HP"),
        P::CoolingUnitIsolator => FittingShape::Square("CU"),
        P::HotTubIsolator => FittingShape::Square("HT"),
        P::BatteryPoint => FittingShape::Square("BA"),
        P::GenerationPoint => FittingShape::Square("PV"),
        P::BlankBox => FittingShape::Square("B"),
        P::DataOutlet => FittingShape::Square("D"),
        P::TvOutlet => FittingShape::Square("TV"),
        P::TelephoneOutlet => FittingShape::Square("T"),
        P::AccessPoint => FittingShape::Square("AP"),
        P::Doorbell => FittingShape::Square("DB"),
        P::DoorCamera => FittingShape::Square("DC"),
        P::Thermostat => FittingShape::Square("TH"),
    }
}

/// Draws a shape round its middle; `towards` is the quarter that the room lies in from the wall: 0 right, 1 down, 2
/// left, 3 up.
pub(super) fn draw(svg: &mut Svg, shape: FittingShape, middle: At, towards: u8) {
    match shape {
        FittingShape::Outlet { double, letter } => {
            outlet(svg, double, middle, towards);
            // The cup lies towards the wall.
            letters(svg, letter, away(middle, towards, -0.4), if double { "#ffffff" } else { "#000000" });
        }
        FittingShape::Switch { levers, letter } => {
            switch(svg, levers, middle, towards);
            // Beside the circle, where a single lever is not.
            letters(svg, letter, away(middle, towards + 1, 1.4), "#000000");
        }
        FittingShape::Lamp => {
            svg.circle(middle, 1.7, "#ffffff", THIN);
            svg.line(middle.moved(-1.2, -1.2), middle.moved(1.2, 1.2), THIN);
            svg.line(middle.moved(-1.2, 1.2), middle.moved(1.2, -1.2), THIN);
        }
        FittingShape::Batten => {
            svg.rectangle(Area::around(middle, 4.0, 1.0), "#ffffff", THIN);
            for end in [-2.0, 2.0] {
                svg.line(middle.moved(end, -1.1), middle.moved(end, 1.1), THIN);
            }
        }
        FittingShape::Disc(text) => {
            svg.circle(middle, 1.8, "#ffffff", THIN);
            letters(svg, text, middle, "#000000");
        }
        FittingShape::Square(text) => {
            svg.rectangle(Area::around(middle, 3.5, 3.5), "#ffffff", THIN);
            letters(svg, text, middle, "#000000");
        }
    }
}

/// A place moved towards the room, or towards the wall by less than nothing.
pub(super) fn away(place: At, towards: u8, by: f64) -> At {
    match towards % 4 {
        0 => place.moved(by, 0.0),
        1 => place.moved(0.0, by),
        2 => place.moved(-by, 0.0),
        _ => place.moved(0.0, -by),
    }
}

fn letters(svg: &mut Svg, text: &str, middle: At, colour: &'static str) {
    let size = if text.chars().count() > 1 { LETTER } else { LETTER + 0.3 };
    let place = middle.moved(0.0, size * 0.36);
    svg.text(Text { place, size, align: Align::Middle, face: Face::Plain, colour, edged: false, text });
}

fn outlet(svg: &mut Svg, double: bool, middle: At, towards: u8) {
    // Drawn with the room below it, then turned.
    svg.open_at(middle, towards + 3);
    svg.line(at(0.0, -2.2), at(0.0, -1.5), MEDIUM);
    svg.line(at(-1.8, -1.5), at(1.8, -1.5), MEDIUM);
    svg.half_circle(at(0.0, 0.5), 1.8, if double { "#000000" } else { "#ffffff" }, MEDIUM);
    svg.close();
}

fn switch(svg: &mut Svg, levers: u8, middle: At, towards: u8) {
    const LEVER: Stroke = Stroke { width: 0.28, ..THIN };
    svg.open_at(middle, towards + 3);
    svg.circle(at(0.0, 0.0), 0.8, "#ffffff", LEVER);
    let ways = [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)];
    for (x, y) in ways.into_iter().take(usize::from(levers)) {
        svg.line(at(0.57 * x, 0.57 * y), at(1.7 * x, 1.7 * y), LEVER);
        // The stroke at the lever's end stands across it.
        svg.line(at(1.7 * x, 1.7 * y), at(1.15 * x, 2.2 * y), LEVER);
    }
    svg.close();
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::drawings::svg::shapes;

    #[test]
    fn points_of_unlike_kinds_look_unlike_but_for_lights_and_bars() {
        let mut kinds: BTreeMap<FittingShape, Vec<PointType>> = BTreeMap::new();
        for point in PointType::ALL {
            kinds.entry(shape(*point)).or_default().push(*point);
        }
        for (shape, points) in kinds {
            assert!(
                points.len() == 1 || matches!(shape, FittingShape::Lamp | FittingShape::Batten),
                "{shape:?}: {points:?}"
            );
        }
    }

    #[test]
    fn no_shape_reaches_over_the_square_that_is_kept_free_for_it() {
        for point in PointType::ALL {
            for towards in 0..4 {
                let mut svg = Svg::default();
                draw(&mut svg, shape(*point), at(50.0, 50.0), towards);
                let shapes = shapes(svg);
                assert!(!shapes.is_empty(), "{point:?} is drawn");
                for area in shapes {
                    for edge in [area.left, area.right(), area.top, area.bottom()] {
                        assert!((edge - 50.0).abs() <= REACH + 0.35, "{point:?} reaches {area:?}");
                    }
                }
            }
        }
    }
}
