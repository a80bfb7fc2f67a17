//! What is worth asking, in the order of the money that the answer can move, and nothing that the survey answers.

use std::borrow::Cow;

use super::{Question, RiskFlag};
use crate::money::Money;
use crate::pricing::selling;
use crate::range::unknowns::Unknown;
use crate::rate_sheet::RateTerms;
use crate::site::{Assumptions, Site};

/// Questions about fabric and occupancy, from what their answers would cost.
fn of_unknowns<'a>(
    unknowns: &'a [Unknown],
    site: &'a Site,
    terms: &'a RateTerms,
) -> impl Iterator<Item = Question> + 'a {
    unknowns.iter().map(move |unknown| {
        let (cheapest, dearest) = unknown.ends();
        let ask = match unknown.subject {
            "wall" => "What are the walls made of?",
            "floor-construction" => "How are the floors made, and is there a void under them?",
            _ => "Will the rooms be empty while we work?",
        };
        Question {
            id: Cow::Borrowed(unknown.subject),
            ask: ask.to_owned(),
            places: unknown.rooms.iter().map(|room| site.rooms[*room].id.clone()).collect(),
            worth: selling(unknown.span(), terms),
            because: format!("net price from `{cheapest}` to `{dearest}`, the same answer taken in all these rooms"),
        }
    })
}

pub(super) struct Asking<'a> {
    pub site: &'a Site,
    pub assumptions: &'a Assumptions,
    pub unknowns: &'a [Unknown],
    /// Standard deviation of direct cost that unmarked places and undrawn rooms leave.
    pub lengths_deviation: f64,
    pub flags: &'a [RiskFlag],
    /// Direct cost of each bond to a service without a place, less that of one beside the board.
    pub bond_spans: &'a [(String, f64)],
    pub terms: &'a RateTerms,
}

/// Every question, dearest first.
pub(super) fn questions(asking: &Asking<'_>) -> Vec<Question> {
    let terms = asking.terms;
    let mut questions: Vec<Question> = of_unknowns(asking.unknowns, asking.site, terms).collect();
    let mut ask = |id: &'static str, ask: &str, place: &str, worth: Money, because: &str| {
        questions.push(Question {
            id: Cow::Borrowed(id),
            ask: ask.to_owned(),
            places: vec![place.to_owned()],
            worth,
            because: because.to_owned(),
        });
    };
    for (service, span) in asking.bond_spans {
        let because = "a bond across the house against one beside the board";
        ask("service-position", &format!("Where does the {service} come in?"), service, selling(*span, terms), because);
    }
    if asking.lengths_deviation > 0.0 {
        /// From the tenth to the ninetieth percentile of a normal distribution, in standard deviations.
        const P10_TO_P90: f64 = 2.563;
        let worth = selling(asking.lengths_deviation * P10_TO_P90, terms);
        let (text, because) = if asking.site.measured {
            ("Where does each point stand?", "the length of drops and runs between points spread by rule")
        } else {
            ("What are the sizes and places of the rooms?", "runs from a model of floor areas, good to a quarter")
        };
        ask("positions", text, "house", worth, because);
    }
    let nothing = Money::ZERO;
    let moves_nothing = "it moves no line of this price; it decides whether the job is safe or allowed";
    if asking.assumptions.made("cut-out") {
        ask("cut-out", "What fuse does the cut-out hold?", "intake", nothing, moves_nothing);
    }
    if asking.assumptions.made("earthing") {
        ask("earthing", "How is the house earthed?", "intake", nothing, moves_nothing);
    }
    if asking.assumptions.made("nation") {
        ask("nation", "In which nation is the house?", "house", nothing, moves_nothing);
    }
    if asking.site.built_year.is_none() {
        ask(
            "built-year",
            "When was the house built?",
            "house",
            nothing,
            "age decides what fabric, cable and asbestos to look for",
        );
    }
    for flag in
        asking.flags.iter().filter(|flag| flag.id == "connection-point-missing" || flag.id == "no-switch-for-light")
    {
        let text = if flag.id == "no-switch-for-light" {
            "How are these lights switched?"
        } else {
            "How is this appliance connected?"
        };
        let worth = flag.at_stake.unwrap_or(nothing);
        ask("missing-point", text, &flag.place, worth, "the rate of the point that is not in the survey");
    }
    questions.sort_by(|a, b| b.worth.cmp(&a.worth).then(a.id.cmp(&b.id)).then(a.places.cmp(&b.places)));
    questions
}
