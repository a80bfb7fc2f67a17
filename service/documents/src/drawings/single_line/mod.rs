//! The single-line diagram: supply, cut-out, meter, boards way by way, what each circuit serves, earthing and bonding.
//!
//! In: the supply, the circuits, the boards, the demand, the lines and the assumptions of an estimate. Every circuit is
//! in the drawing once, under the board that feeds it. The sheet is as wide as A3 lying and as high as the boards
//! need. Work and size grow with the circuits.

mod boards;
mod columns;
mod earthing;
mod groups;
mod legend;
mod names;
mod rows;
mod supply;

use engine::checks::Verdict;
use engine::estimate::Estimate;

use super::sheet;
use super::svg::{Svg, at};
use crate::words::{fixed, sentence, short};
use boards::{BETWEEN, INCOMING};
pub(super) use columns::WIDTH;
use columns::{Columns, RISER};
use names::PaperNames;

/// At least as high as A3 lying.
const HEIGHT_MIN: f64 = 297.0;

/// The diagram as an SVG file.
#[must_use]
pub fn single_line_diagram(estimate: &Estimate) -> String {
    let (svg, height) = drawn(estimate);
    let description = format!(
        "Supply, boards, {} circuits, earthing and bonding of the installation that the estimate is for.",
        estimate.circuits.len()
    );
    svg.finish(WIDTH, height, "Single-line diagram", &description)
}

/// The drawing and the height of its sheet.
pub(super) fn drawn(estimate: &Estimate) -> (Svg, f64) {
    let mut svg = Svg::default();
    let names = PaperNames::of(estimate);
    let groups = groups::groups(estimate, &names);
    let columns = Columns::beside(groups.iter().filter(|group| group.feed.is_some()).count());
    let top = sheet::head(&mut svg, estimate, "Single-line diagram", WIDTH);
    rows::titles(&mut svg, &columns, top + 1.0);

    let first = top + 4.0;
    let from_intake = groups.iter().any(|group| group.from_intake);
    let intake = supply::draw(&mut svg, estimate, at(RISER, first + INCOMING), from_intake);
    let bonded = earthing::draw(&mut svg, estimate, &names, &intake);
    let left_bottom = legend::draw(&mut svg, bonded + BETWEEN);

    let laid = boards::lay(&groups, &columns, &names, first);
    for (group, place) in groups.iter().zip(&laid.places) {
        svg.open(&[("data-board", group.key)]);
        boards::draw(&mut svg, group, place, &columns);
        svg.close();
    }
    boards::feed(&mut svg, &groups, &laid, &columns, intake.after_meter);

    let notes = notes(estimate);
    let under = laid.bottom.max(left_bottom) + BETWEEN;
    let bottom = sheet::foot(&mut svg, notes.iter().map(String::as_str), under, WIDTH);
    (svg, bottom.max(HEIGHT_MIN))
}

fn notes(estimate: &Estimate) -> Vec<String> {
    let demand = &estimate.demand;
    let mut notes = vec![
        format!(
            "Demand after diversity {} A against a cut-out of {} A: {}. {}",
            fixed(demand.after_diversity_a.value(), 0),
            short(demand.cut_out_a.value()),
            demand.verdict,
            sentence(&demand.working)
        ),
        "RCD: the breaker is behind the RCD of that number. Breakers that share one are on its section of the bus. kA: what the device can break. Ib: design current. In: rating of the device. Iz: capacity of the cable as it lies. Zs: loop impedance at the far end. \
         Cable: line and protective conductor in mm2, metres of all legs together, reference method. Symbols \
         drawn after IEC 60617, from memory."
            .to_owned(),
    ];
    let assumed: Vec<String> = estimate
        .assumptions
        .iter()
        .filter(|assumption| SUBJECTS.contains(&assumption.subject.as_ref()))
        .map(|assumption| format!("{} {}", assumption.subject.replace('-', " "), assumption.assumed))
        .collect();
    if !assumed.is_empty() {
        notes.push(format!("Not recorded, and assumed: {}.", assumed.join("; ")));
    }
    let residual: Vec<String> = estimate
        .circuits
        .iter()
        .filter_map(|circuit| Some((circuit, circuit.device.residual_type.as_deref()?)))
        .filter(|(_, kind)| rows::residual_type(kind).1)
        .map(|(circuit, kind)| format!("{}: type {kind}", circuit.id))
        .collect();
    if !residual.is_empty() {
        notes.push(format!("* Residual current: {}.", residual.join("; ")));
    }
    let arcs = estimate.board.arc_detection.iter().filter(|judged| judged.verdict != Verdict::Pass);
    notes.extend(arcs.map(|judged| format!("Arc fault detection: {}: {}", judged.verdict, sentence(&judged.because))));
    notes.push(sheet::caution(estimate).to_owned());
    notes
}

/// Assumptions that a reader of the diagram has to know of.
const SUBJECTS: [&str; 8] =
    ["earthing", "ze", "cut-out", "fault-current", "intake", "consumer-unit", "load", "cables-as-they-lie"];
