//! The scale, and where each storey stands on the sheet.

use engine::estimate::{PlanPlace, PlanStorey};

use super::super::sheet::MARGIN;
use super::super::svg::{Area, At, at};

/// Where one storey stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    /// The whole of it, its title and dimensions with it.
    pub(super) area: Area,
    /// The drawn house within it.
    pub(super) house: Area,
    pub(super) sheet_width: f64,
    left_m: f64,
    front_m: f64,
    mm_per_m: f64,
}

/// All storeys on one sheet.
pub(super) struct Frames {
    pub(super) frames: Vec<Frame>,
    pub(super) width: f64,
    pub(super) height: f64,
    /// One to how many.
    pub(super) scale: u32,
    pub(super) mm_per_m: f64,
}

/// Narrowest sheet: A3 lying. The sheet grows before its scale shrinks, so that symbols have room.
const WIDTH_MIN: f64 = 420.0;
/// Scales and the widest storey in metres that each is used for; the last one is used for anything wider.
const SCALES: [(u32, f64); 5] = [(50, 20.0), (100, 80.0), (200, 200.0), (500, 500.0), (1_000, f64::INFINITY)];
/// Room round the house for title, dimensions and what stands on its outside.
const LEFT: f64 = 18.0;
const RIGHT: f64 = 12.0;
const ABOVE: f64 = 16.0;
const BELOW: f64 = 16.0;

/// What a storey reaches over, in metres.
struct StoreyExtent {
    left: f64,
    right: f64,
    front: f64,
    back: f64,
}

impl StoreyExtent {
    /// Room round what is drawn for cables on the outside of a wall, in metres.
    const ROUND_M: f64 = 0.3;

    fn of(storey: &PlanStorey) -> Self {
        let corners = storey.rooms.iter().flat_map(|room| &room.corners).copied();
        let points = storey.points.iter().map(|point| point.at);
        let obstructions = storey.obstructions.iter().flat_map(|one| [one.from, one.to]);
        let fixed = storey.board.iter().chain(&storey.sub_boards).chain(&storey.intake).copied();
        let services = storey.services.iter().map(|service| service.at);
        let all = corners.chain(points).chain(obstructions).chain(fixed).chain(services);
        let mut reach =
            Self { left: f64::INFINITY, right: f64::NEG_INFINITY, front: f64::INFINITY, back: f64::NEG_INFINITY };
        for place in all.filter(|place| place.x_m.is_finite() && place.y_m.is_finite()) {
            reach.left = reach.left.min(place.x_m - Self::ROUND_M);
            reach.right = reach.right.max(place.x_m + Self::ROUND_M);
            reach.front = reach.front.min(place.y_m - Self::ROUND_M);
            reach.back = reach.back.max(place.y_m + Self::ROUND_M);
        }
        if reach.left > reach.right {
            return Self { left: 0.0, right: 1.0, front: 0.0, back: 1.0 };
        }
        reach
    }
}

impl Frames {
    /// Storeys from left to right, lowest first, and onto the next row where the sheet ends.
    pub(super) fn of(parts: &[PlanStorey]) -> Self {
        let reaches: Vec<StoreyExtent> = parts.iter().map(StoreyExtent::of).collect();
        let widest = reaches.iter().map(|reach| reach.right - reach.left).fold(0.0, f64::max);
        let scale = SCALES.iter().find(|(_, most)| widest <= *most).map_or(1_000, |(scale, _)| *scale);
        let mm_per_m = 1_000.0 / f64::from(scale);
        let width = (widest * mm_per_m + LEFT + RIGHT + 2.0 * MARGIN).max(WIDTH_MIN);

        let mut frames: Vec<Frame> = Vec::with_capacity(reaches.len());
        let (mut x, mut y, mut row) = (MARGIN, 0.0, 0.0_f64);
        for reach in &reaches {
            let (across, deep) = ((reach.right - reach.left) * mm_per_m, (reach.back - reach.front) * mm_per_m);
            let (full_width, full_height) = (across + LEFT + RIGHT, deep + ABOVE + BELOW);
            if x > MARGIN && x + full_width > width - MARGIN {
                (x, y, row) = (MARGIN, y + row, 0.0);
            }
            frames.push(Frame {
                area: Area { left: x, top: y, width: full_width, height: full_height },
                house: Area { left: x + LEFT, top: y + ABOVE, width: across, height: deep },
                sheet_width: width,
                left_m: reach.left,
                front_m: reach.front,
                mm_per_m,
            });
            x += full_width;
            row = row.max(full_height);
        }
        Self { frames, width, height: y + row, scale, mm_per_m }
    }
}

impl Frame {
    /// The same, further down the sheet.
    pub(super) fn below(&self, top: f64) -> Self {
        let down = |area: Area| Area { top: area.top + top, ..area };
        Self { area: down(self.area), house: down(self.house), ..*self }
    }

    /// The part of a line that lies within the house's frame; none where it passes by. By the parameters at which the line
    /// crosses the four edges (Liang and Barsky's method, from memory).
    pub(super) fn within(&self, from: At, to: At) -> Option<(At, At)> {
        let (across, down) = (to.x - from.x, to.y - from.y);
        let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
        for (step, room) in [
            (-across, from.x - self.house.left),
            (across, self.house.right() - from.x),
            (-down, from.y - self.house.top),
            (down, self.house.bottom() - from.y),
        ] {
            if step == 0.0 {
                if room < 0.0 {
                    return None;
                }
                continue;
            }
            let share = room / step;
            if step < 0.0 {
                enters = enters.max(share);
            } else {
                leaves = leaves.min(share);
            }
        }
        let on_line = |share: f64| at(from.x + share * across, from.y + share * down);
        (enters <= leaves).then(|| (on_line(enters), on_line(leaves)))
    }

    /// A place of the house on the sheet; the back of the house is up.
    pub(super) fn place(&self, place: PlanPlace) -> At {
        at(
            self.house.left + (place.x_m - self.left_m) * self.mm_per_m,
            self.house.bottom() - (place.y_m - self.front_m) * self.mm_per_m,
        )
    }
}

/// The part of the sheet that words and symbols of a storey stay within.
pub(super) fn sheet_area(frame: &Frame) -> Area {
    Area { left: MARGIN / 2.0, top: frame.area.top, width: frame.sheet_width - MARGIN, height: frame.area.height }
}
