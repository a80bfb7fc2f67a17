//! What could go wrong with the price, and what would make it surer.

use std::borrow::Cow;

use engine::estimate::{Estimate, Severity};

use super::layout::{Grid, TableColumn, hanging, heading};
use crate::words::{self, change, clean, fixed, money, sentence, short};

/// Questions shown; the document holds them all.
const QUESTIONS_SHOWN: usize = 10;
/// Causes of the spread shown.
const DRIVERS_SHOWN: usize = 8;

pub(super) fn risks(estimate: &Estimate, out: &mut String) {
    heading(&format!("Risks ({})", estimate.risk_flags.len()), out);
    for flag in &estimate.risk_flags {
        let stake = flag.at_stake.map(|amount| format!(" At stake: {}.", money(amount))).unwrap_or_default();
        let kind = words::risk_kind(flag.kind);
        let head = format!("{} ({kind}, {}): {}", flag.id, place(&flag.places), sentence(&flag.what));
        hanging(&format!("  {:<8}", severity(flag.severity)), &clean(&head), out);
        hanging("          Do: ", &format!("{}{stake}", sentence(&flag.action)), out);
        hanging("          Basis: ", &clean(&flag.basis), out);
    }
    none_if(estimate.risk_flags.is_empty(), out);
}

/// What is in the price because of the house.
pub(super) fn included(estimate: &Estimate, out: &mut String) {
    heading(&format!("In the price because of the house ({})", estimate.included.len()), out);
    for one in &estimate.included {
        let net = one.net.map(|amount| format!(" Net: {}.", money(amount))).unwrap_or_default();
        hanging("  - ", &format!("{}: {}{net}", place(&one.places), sentence(&one.what)), out);
    }
    none_if(estimate.included.is_empty(), out);
}

pub(super) fn questions(estimate: &Estimate, out: &mut String) {
    let questions = &estimate.questions;
    let shown = questions.len().min(QUESTIONS_SHOWN);
    heading(&format!("Worth asking (the dearest {shown} of {}), {}", questions.len(), clean(&estimate.currency)), out);
    let mut grid =
        Grid::new([TableColumn::Figure("Worth"), TableColumn::Wrapped("Question"), TableColumn::Text("Subject")]);
    for question in questions.iter().take(QUESTIONS_SHOWN) {
        let about = words::places(&question.places);
        let ask = if about.is_empty() || about == "house" {
            question.ask.clone()
        } else {
            format!("{} ({about})", question.ask)
        };
        grid.row([money(question.worth), clean(&ask), clean(&question.id)]);
    }
    if questions.is_empty() {
        none_if(true, out);
    } else {
        grid.print(out);
    }
}

pub(super) fn range(estimate: &Estimate, out: &mut String) {
    let range = &estimate.range;
    heading(&format!("Spread of the net price, {}", clean(&estimate.currency)), out);
    let mut grid = Grid::new([
        TableColumn::Figure("p10"),
        TableColumn::Figure("p50"),
        TableColumn::Figure("p80"),
        TableColumn::Figure("p90"),
        TableColumn::Figure("Contingency"),
        TableColumn::Figure("Confidence"),
    ]);
    grid.row([
        money(range.p10),
        money(range.p50),
        money(range.p80),
        money(range.p90),
        money(range.contingency),
        format!("{} %", short(range.confidence * 100.0)),
    ]);
    grid.print(out);
    hanging("  ", &sentence(&range.basis), out);
    if !range.confidence_because.is_empty() {
        hanging("  ", &sentence(&format!("confidence {}", range.confidence_because)), out);
    }
    out.push('\n');
    let mut grid = Grid::new([
        TableColumn::Wrapped("What the spread comes from"),
        TableColumn::Figure("Share, %"),
        TableColumn::Figure("Swing"),
    ]);
    for driver in range.drivers.iter().take(DRIVERS_SHOWN) {
        grid.row([clean(&driver.cause), fixed(driver.share_percent, 1), money(driver.swing)]);
    }
    grid.print(out);
}

pub(super) fn cross_check(estimate: &Estimate, out: &mut String) {
    let check = &estimate.cross_check;
    heading(&format!("Cross check, {}", clean(&estimate.currency)), out);
    let text = format!(
        "Priced {} the net is {}; priced {} it is {}: {} apart.",
        estimate.method,
        money(estimate.totals.net),
        check.method,
        money(check.net),
        money(check.difference.abs())
    );
    hanging("  ", &text, out);
    let mut grid =
        Grid::new([TableColumn::Figure("Difference"), TableColumn::Text("Cause"), TableColumn::Wrapped("Why")]);
    for cause in &check.causes {
        grid.row([change(cause.amount), clean(&cause.cause), clean(&cause.because)]);
    }
    grid.rule();
    grid.row([change(check.difference), "in all".to_owned(), String::new()]);
    grid.print(out);
}

pub(super) fn options(estimate: &Estimate, out: &mut String) {
    heading(&format!("What could be done another way, {}", clean(&estimate.currency)), out);
    let mut grid = Grid::new([
        TableColumn::Figure("Net"),
        TableColumn::Figure("Hours"),
        TableColumn::Wrapped("What, and what it means"),
    ]);
    for option in &estimate.options {
        let hours = option.hours_change.value();
        let sign = if hours > 0.05 { "+" } else { "" };
        grid.row([
            change(option.net_change),
            format!("{sign}{}", fixed(hours, 1)),
            format!("{} {}", sentence(&option.what), sentence(&option.effect)),
        ]);
    }
    if estimate.options.is_empty() {
        none_if(true, out);
    } else {
        grid.print(out);
    }
}

pub(super) fn assumptions(estimate: &Estimate, out: &mut String) {
    heading(&format!("Assumed, because it was not recorded ({})", estimate.assumptions.len()), out);
    for assumption in &estimate.assumptions {
        let about = words::places(&assumption.places);
        let about = if about.is_empty() || about == "house" { String::new() } else { format!(" ({about})") };
        let why = sentence(&assumption.because);
        let text = format!("{}{about}: {}. {why}", assumption.subject, assumption.assumed);
        hanging("  - ", &clean(&text), out);
    }
    none_if(estimate.assumptions.is_empty(), out);
}

pub(super) fn list(title: &str, entries: &[Cow<'static, str>], out: &mut String) {
    heading(title, out);
    for entry in entries {
        hanging("  - ", &sentence(entry), out);
    }
    none_if(entries.is_empty(), out);
}

fn none_if(empty: bool, out: &mut String) {
    if empty {
        out.push_str("  None.\n");
    }
}

/// A place as a person reads it.
fn place(places: &[String]) -> String {
    let places = words::places(places);
    if places == "house" { "whole house".to_owned() } else { places }
}

fn severity(severity: Severity) -> String {
    words::severity(severity).to_uppercase()
}
