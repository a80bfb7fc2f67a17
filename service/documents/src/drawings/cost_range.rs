//! How wide the price really is: its distribution, the marks p10, p50, p80 and p90, and what drives the spread.
//!
//! In: `range`, `totals.net` and the currency of an estimate. Where the estimate holds no distribution the marks stand on
//! an axis alone, and the drawing says so: no curve is made up. The sheet is A4 lying, higher where there are many drivers.

use engine::estimate::{Driver, Estimate, Range};
use engine::money::Money;

use super::lettering::{self, Face, fitted};
use super::sheet::{self, BODY, HEADING, MARGIN, SMALL};
use super::svg::{Align, Area, GREY, MEDIUM, Stroke, Svg, THICK, THIN, Text, at};
use crate::words::{fixed, money, sentence};

/// A4 lying.
pub(super) const WIDTH: f64 = 297.0;
const HEIGHT_MIN: f64 = 210.0;
/// Height of the columns of the distribution.
const PLOT: f64 = 82.0;
/// A mark of the distribution, and the edge of every column.
const MARK: Stroke = Stroke { colour: "#000000", width: 0.5, dash: "" };
const NET: Stroke = Stroke { colour: "#b03a00", width: 0.7, dash: "2 1" };
/// No edge to be seen.
const PAPER: Stroke = Stroke { colour: "#ffffff", width: 0.1, dash: "" };
const COLUMN: &str = "#c9d8e6";
const SWING: &str = "#8fb0cc";
const EDGE: Stroke = Stroke { colour: "#4a6a86", width: 0.15, dash: "" };

/// The drawing as an SVG file.
#[must_use]
pub fn cost_range(estimate: &Estimate) -> String {
    let (svg, height) = drawn(estimate);
    let range = &estimate.range;
    let description = format!(
        "Net price in {}: p10 {}, p50 {}, p80 {}, p90 {}.",
        estimate.currency,
        money(range.p10),
        money(range.p50),
        money(range.p80),
        money(range.p90)
    );
    svg.finish(WIDTH, height, "Range of the net price", &description)
}

/// The drawing and the height of its sheet.
pub(super) fn drawn(estimate: &Estimate) -> (Svg, f64) {
    let mut svg = Svg::default();
    let top = sheet::head(&mut svg, estimate, "Range of the net price", WIDTH);
    let after = distribution(&mut svg, estimate, top);
    let after = drivers(&mut svg, estimate, after + 8.0);
    let notes = [
        sentence(&estimate.range.basis),
        format!(
            "p10: one job in ten comes out cheaper; p50: half of them; p80: four in five; p90: nine in ten. Net price: what the \
             estimate asks, in {} before tax. What a driver moves alone is counted from its p10 to its p90, or from the \
             cheapest to the dearest of a few answers.",
            estimate.currency
        ),
        sheet::caution(estimate).to_owned(),
    ];
    let bottom = sheet::foot(&mut svg, notes.iter().map(String::as_str), after + 3.0, WIDTH);
    (svg, bottom.max(HEIGHT_MIN))
}

/// Amounts along the sheet.
struct Axis {
    least: f64,
    most: f64,
    step: f64,
}

impl Axis {
    const LEFT: f64 = MARGIN + 6.0;
    const RIGHT: f64 = WIDTH - MARGIN - 6.0;

    /// Wide enough for every amount, its ends on round figures.
    fn over(amounts: impl Iterator<Item = f64>) -> Self {
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for amount in amounts.filter(|amount| amount.is_finite()) {
            least = least.min(amount);
            most = most.max(amount);
        }
        if least > most {
            (least, most) = (0.0, 0.0);
        }
        // An amount alone gets some room on both sides.
        if most - least < 1.0 {
            (least, most) = (least - 1.0, most + 1.0);
        }
        let step = round_step((most - least) / 10.0);
        Self { least: (least / step).floor() * step, most: (most / step).ceil() * step, step }
    }

    fn x(&self, amount: f64) -> f64 {
        let share = (amount - self.least) / (self.most - self.least);
        Self::LEFT + share.clamp(0.0, 1.0) * (Self::RIGHT - Self::LEFT)
    }
}

/// The next of 1, 2, 5, 10, … that is not less.
fn round_step(least: f64) -> f64 {
    let mut unit = 1.0;
    // Money stays far below 10^18.
    for _ in 0..18 {
        for factor in [1.0, 2.0, 5.0] {
            if unit * factor >= least {
                return unit * factor;
            }
        }
        unit *= 10.0;
    }
    unit
}

fn distribution(svg: &mut Svg, estimate: &Estimate, top: f64) -> f64 {
    let range = &estimate.range;
    let net = estimate.totals.net;
    let marks = marks(range);
    let bins = range.distribution.iter().flat_map(|bin| [bin.from, bin.to]);
    let all = bins.chain(marks.iter().map(|(_, amount)| *amount)).chain([net]);
    let axis = Axis::over(all.map(Money::approximate));

    let labels_bottom = top + 17.0;
    let foot = labels_bottom + PLOT;
    columns(svg, range, &axis, foot);
    scale(svg, &axis, foot);
    let told =
        format!("net price in {}, before tax; the outermost columns hold every draw beyond them", estimate.currency);
    svg.text(Text::new(at(WIDTH / 2.0, foot + 9.2), SMALL, &told).middle().coloured("#555555"));
    mark(svg, &together(&marks, net), &axis, (top + 1.0, foot));
    if range.distribution.is_empty() {
        let words = "This estimate holds the marks and no distribution: nothing is drawn between them.";
        svg.text(Text::new(at(WIDTH / 2.0, foot - PLOT / 2.0), BODY, words).middle().edged());
    }
    foot + 10.0
}

fn marks(range: &Range) -> [(&'static str, Money); 4] {
    [("p10", range.p10), ("p50", range.p50), ("p80", range.p80), ("p90", range.p90)]
}

/// A mark as it is drawn: its words, its amount, and whether it is the estimate's own price.
struct Mark {
    words: String,
    amount: Money,
    is_net: bool,
}

/// The marks from the least up, those of one amount as one.
fn together(marks: &[(&'static str, Money)], net: Money) -> Vec<Mark> {
    let mut all: Vec<(Money, &str, bool)> = marks.iter().map(|(name, amount)| (*amount, *name, false)).collect();
    all.push((net, "net price", true));
    all.sort_by_key(|(amount, ..)| *amount);
    let same = all.chunk_by(|one, other| one.0 == other.0);
    same.map(|same| {
        let amount = same.first().map_or(net, |(amount, ..)| *amount);
        let names: Vec<&str> = same.iter().map(|(_, name, _)| *name).collect();
        Mark {
            words: format!("{}  {}", names.join(" = "), money(amount)),
            amount,
            is_net: same.iter().any(|(.., is_net)| *is_net),
        }
    })
    .collect()
}

/// Columns whose areas are the shares, so that bins of unlike width do not mislead.
fn columns(svg: &mut Svg, range: &Range, axis: &Axis, foot: f64) {
    let density = |from: f64, to: f64, share: f64| if to > from { share / (to - from) } else { 0.0 };
    let bins = || range.distribution.iter().map(|bin| (bin.from.approximate(), bin.to.approximate(), bin.share));
    let highest = bins().map(|(from, to, share)| density(from, to, share)).fold(0.0, f64::max);
    if highest <= 0.0 {
        return;
    }
    svg.open(&[("data-part", "distribution")]);
    for (from, to, share) in bins() {
        let height = (density(from, to, share) / highest).clamp(0.0, 1.0) * PLOT;
        let (left, right) = (axis.x(from), axis.x(to));
        svg.rectangle(Area { left, top: foot - height, width: right - left, height }, COLUMN, EDGE);
    }
    svg.close();
}

fn scale(svg: &mut Svg, axis: &Axis, foot: f64) {
    svg.line(at(Axis::LEFT, foot), at(Axis::RIGHT, foot), MEDIUM);
    let steps = ((axis.most - axis.least) / axis.step).round().clamp(1.0, 40.0);
    let mut step = 0.0;
    while step <= steps {
        let amount = axis.least + axis.step * step;
        let x = axis.x(amount);
        svg.line(at(x, foot), at(x, foot + 1.6), THIN);
        svg.text(Text::new(at(x, foot + 5.0), BODY, &whole(amount)).middle());
        step += 1.0;
    }
}

/// A round amount without pennies.
fn whole(amount: f64) -> String {
    let text = money(Money::rounded(engine::money::decimal(amount)));
    text.strip_suffix(".00").unwrap_or(&text).to_owned()
}

/// Marks with their words above the columns: beside or over the mark, in the first of a few lines where they cross no
/// other mark and no other words.
fn mark(svg: &mut Svg, marks: &[Mark], axis: &Axis, (top, foot): (f64, f64)) {
    const LINE: f64 = 3.6;
    let lines: Vec<f64> = marks.iter().map(|mark| axis.x(mark.amount.approximate())).collect();
    let mut taken: Vec<Area> = Vec::new();
    let mut placed = Vec::with_capacity(marks.len());
    for (mark, x) in marks.iter().zip(&lines) {
        let (face, stroke) = if mark.is_net { (Face::Bold, NET) } else { (Face::Plain, MARK) };
        let width = lettering::width(&mark.words, BODY, face);
        let middle = x.clamp(MARGIN + width / 2.0, WIDTH - MARGIN - width / 2.0);
        let over = Text { face, colour: stroke.colour, ..Text::new(at(middle, top + 2.0), BODY, &mark.words).middle() };
        let beside = |align, move_by| Text { align, place: at(x + move_by, top + 2.0), ..over };
        let sides = [over, beside(Align::End, 1.0), beside(Align::Start, -1.0)];
        let candidates = (0..marks.len()).flat_map(|line| {
            let down = LINE * line as f64;
            sides.map(|text| Text { place: text.place.moved(0.0, down), ..text })
        });
        let clear = |text: &Text<'_>| {
            let area = text.area();
            let on_sheet = area.left >= MARGIN && area.right() <= WIDTH - MARGIN;
            let crosses =
                lines.iter().any(|other| (other - x).abs() > 0.01 && (area.left..=area.right()).contains(other));
            on_sheet && !crosses && !taken.iter().any(|other| other.overlaps(&area))
        };
        // Marks so close that every word crosses one: below what is there already.
        let lowest = Text { place: over.place.moved(0.0, LINE * taken.len() as f64), ..over };
        let text = candidates.into_iter().find(clear).unwrap_or(lowest);
        taken.push(text.area());
        placed.push((mark, *x, stroke, text));
    }
    // From above down, so that words stand on their own paper over the marks that come down through them.
    placed.sort_by(|one, other| one.3.place.y.total_cmp(&other.3.place.y));
    for (mark, x, stroke, text) in placed {
        svg.open(&[("data-mark", &mark.words)]);
        svg.rectangle(text.area(), "#ffffff", PAPER);
        svg.text(text);
        svg.line(at(x, text.place.y + 1.0), at(x, foot), stroke);
        svg.close();
    }
}

fn drivers(svg: &mut Svg, estimate: &Estimate, top: f64) -> f64 {
    const ROW: f64 = 7.2;
    const CAUSE: f64 = 96.0;
    const BAR: f64 = MARGIN + CAUSE + 4.0;
    const FIGURES: f64 = 62.0;
    let drivers = &estimate.range.drivers;
    svg.text(Text::new(at(MARGIN, top), HEADING, "What drives the spread").bold());
    let column = |x: f64, words| Text::new(at(x, top), SMALL, words).coloured("#555555");
    svg.text(column(BAR, "share of the variance, in percent"));
    svg.text(column(WIDTH - MARGIN, "moves the net price alone by").end());
    if drivers.is_empty() {
        svg.text(Text::new(at(MARGIN, top + ROW), BODY, "Nothing is said about what the spread comes from."));
        return top + ROW * 1.5;
    }
    let longest = WIDTH - MARGIN - FIGURES - BAR;
    svg.line(at(BAR, top + 2.6), at(BAR, top + 2.6 + ROW * drivers.len() as f64), THIN);
    let mut y = top + 2.6;
    for driver in drivers {
        driver_row(svg, driver, y, (BAR, longest));
        svg.line(at(MARGIN, y + ROW), at(WIDTH - MARGIN, y + ROW), GREY);
        y += ROW;
    }
    svg.line(at(BAR, top + 2.6), at(BAR, y), THICK);
    y
}

fn driver_row(svg: &mut Svg, driver: &Driver, y: f64, (bar, longest): (f64, f64)) {
    let middle = y + 4.5;
    svg.open(&[("data-driver", &driver.cause)]);
    svg.note(&driver.cause);
    let cause = fitted(&driver.cause, BODY, Face::Plain, bar - MARGIN - 4.0);
    svg.text(Text::new(at(bar - 3.0, middle), BODY, &cause).end());
    let length = longest * (driver.share_percent / 100.0).clamp(0.0, 1.0);
    svg.rectangle(Area { left: bar, top: y + 1.5, width: length, height: 4.2 }, SWING, EDGE);
    let share = format!("{} %", fixed(driver.share_percent, 1));
    svg.text(Text::new(at(bar + length + 1.5, middle), BODY, &share));
    svg.text(Text::new(at(WIDTH - MARGIN, middle), BODY, &money(driver.swing)).end());
    svg.close();
}
