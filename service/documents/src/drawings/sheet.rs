//! What every sheet has: a head that says whose drawing it is, and a foot with what must be minded.

use engine::estimate::Estimate;

use super::lettering::{Face, fitted, wrapped};
use super::svg::{MEDIUM, Svg, Text, at};

/// Blank edge of a sheet.
pub(super) const MARGIN: f64 = 10.0;
/// Letters on a sheet of A3: 2.5 mm is the least that ISO 3098 asks for on a drawing (from memory); notes are smaller.
pub(super) const TITLE: f64 = 5.5;
pub(super) const HEADING: f64 = 3.4;
pub(super) const BODY: f64 = 2.5;
pub(super) const SMALL: f64 = 2.1;
/// From one line of text to the next, as a share of its size.
pub(super) const LEADING: f64 = 1.35;

/// Title and origin over a sheet of that width; the drawing begins below what is returned.
pub(super) fn head(svg: &mut Svg, estimate: &Estimate, title: &str, width: f64) -> f64 {
    let room = width - 2.0 * MARGIN;
    svg.text(Text::new(at(MARGIN, MARGIN + 5.0), TITLE, title).bold());
    let origin = origin(estimate);
    svg.text(Text::new(at(MARGIN, MARGIN + 10.0), BODY, &fitted(&origin, BODY, Face::Plain, room)));
    let line = MARGIN + 12.5;
    svg.line(at(MARGIN, line), at(width - MARGIN, line), MEDIUM);
    line + 4.0
}

/// Which estimate it is drawn from.
fn origin(estimate: &Estimate) -> String {
    let reference = estimate.reference.as_ref().map(|text| format!("Reference {text}  |  ")).unwrap_or_default();
    let day = estimate.created_at.get(..10).unwrap_or(&estimate.created_at);
    format!(
        "{reference}Estimate {} of {day}  |  {}  |  Engine {}",
        estimate.id, estimate.ruleset.title, estimate.engine_version
    )
}

/// Notes under a drawing, wrapped to the sheet's width; returns where the sheet may end.
pub(super) fn foot<'n>(svg: &mut Svg, notes: impl IntoIterator<Item = &'n str>, top: f64, width: f64) -> f64 {
    /// Lines that one note may take before it is cut.
    const LINES_MAX: usize = 6;
    let room = width - 2.0 * MARGIN;
    svg.line(at(MARGIN, top), at(width - MARGIN, top), MEDIUM);
    let mut y = top + SMALL * 1.6;
    for note in notes {
        for line in wrapped(note, SMALL, Face::Plain, room, LINES_MAX) {
            svg.text(Text::new(at(MARGIN, y), SMALL, &line));
            y += SMALL * LEADING;
        }
        y += SMALL * 0.4;
    }
    y + MARGIN - SMALL
}

/// The caution that every drawing bears: the estimate's own first one.
pub(super) fn caution(estimate: &Estimate) -> &str {
    estimate.cautions.first().map_or(
        "An estimate from a survey is not a design certificate. A competent, qualified person checks every circuit on site.",
        |caution| caution.as_ref(),
    )
}
