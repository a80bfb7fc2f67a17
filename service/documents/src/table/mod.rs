//! An estimate as plain text for a terminal of 100 columns: the price first, then what it is made of, then what
//! could go wrong with it, and at the end what to mind before anybody touches anything.

mod design;
mod findings;
mod layout;

use std::collections::BTreeSet;

use engine::estimate::{Estimate, Line};
use engine::money::Money;
use engine::quantities::Hours;

use self::layout::{Grid, TableColumn, hanging, heading};
use crate::words::{self, clean, fixed, money, sentence, short};

/// The whole estimate as text; it ends with a line end.
#[must_use]
pub fn estimate(estimate: &Estimate) -> String {
    let mut out = String::new();
    title(estimate, &mut out);
    price_and_hours(estimate, &mut out);
    programme(estimate, &mut out);
    rooms(estimate, &mut out);
    whole_house(estimate, &mut out);
    design::circuits(estimate, &mut out);
    findings::risks(estimate, &mut out);
    findings::included(estimate, &mut out);
    findings::questions(estimate, &mut out);
    findings::range(estimate, &mut out);
    findings::cross_check(estimate, &mut out);
    findings::options(estimate, &mut out);
    findings::assumptions(estimate, &mut out);
    findings::list("Not in the price", &estimate.exclusions, &mut out);
    findings::list("Cautions", &estimate.cautions, &mut out);
    out
}

fn title(estimate: &Estimate, out: &mut String) {
    let title = match &estimate.reference {
        Some(reference) => format!("Estimate for {}", clean(reference)),
        None => "Estimate".to_owned(),
    };
    heading(title.trim_end(), out);
    out.remove(0);
    hanging("  Number      ", &clean(&format!("{}, made {}", estimate.id, estimate.created_at)), out);
    let sheet = &estimate.rate_sheet;
    let sheet = format!("{}, version {}. {}", sheet.name, sheet.version, sheet.note);
    hanging("  Rate sheet  ", &clean(&sheet), out);
    hanging("  Designed to ", &clean(&format!("{} ({})", estimate.ruleset.title, estimate.ruleset.id)), out);
    hanging("  Method      ", &format!("{}; the other is in the cross check", estimate.method), out);
    hanging("  ", "An opinion of price from what was recorded: not an offer, and not a design certificate.", out);
}

fn price_and_hours(estimate: &Estimate, out: &mut String) {
    let (totals, hours) = (&estimate.totals, &estimate.hours);
    heading(&format!("Price, {}, and person-hours", clean(&estimate.currency)), out);
    let amounts = [
        ("Materials", totals.materials),
        ("Labour", totals.labour),
        ("Preliminaries", totals.preliminaries),
        ("Overhead", totals.overhead),
        ("Contingency", totals.contingency),
        ("Profit", totals.profit),
    ];
    let stages = [
        ("Strip-out", hours.strip_out),
        ("First fix", hours.first_fix),
        ("Second fix", hours.second_fix),
        ("Testing", hours.testing),
        ("Preliminaries", hours.preliminaries),
    ];
    let mut grid = Grid::new([
        TableColumn::Text(""),
        TableColumn::Figure(""),
        TableColumn::Text(""),
        TableColumn::Text(""),
        TableColumn::Figure(""),
    ]);
    let mut row = |left: (&str, Money), right: Option<(&str, Hours)>| {
        let (stage, spent) =
            right.map_or((String::new(), String::new()), |(stage, spent)| (stage.to_owned(), fixed(spent.value(), 1)));
        grid.row([left.0.to_owned(), money(left.1), "      ".to_owned(), stage, spent]);
    };
    for (index, amount) in amounts.into_iter().enumerate() {
        row(amount, stages.get(index).copied());
    }
    row(("Net", totals.net), Some(("All stages", hours.total)));
    let tax = words::tax(totals);
    row((&tax, totals.vat), None);
    row(("Gross", totals.gross), None);
    grid.print(out);
    hanging("  Tax: ", &sentence(&totals.vat_basis), out);
}

fn programme(estimate: &Estimate, out: &mut String) {
    let programme = &estimate.programme;
    heading("Programme", out);
    let visits = programme.visits.map(|visits| format!(", {}", words::visits(visits))).unwrap_or_default();
    let crew = format!(
        "{} crew days of {}, {} h each a day{visits}",
        fixed(programme.crew_days, 1),
        words::people(programme.people),
        short(programme.hours_per_day.value())
    );
    hanging("  ", &crew, out);
    let mut grid = Grid::new([
        TableColumn::Text("Step"),
        TableColumn::Figure("Crew days"),
        TableColumn::Figure("Wait, days"),
        TableColumn::Wrapped("After"),
    ]);
    for step in &programme.steps {
        let wait = step.wait_days.map(|[least, most]| format!("{least} to {most}")).unwrap_or_default();
        let days = if step.wait_days.is_some() { String::new() } else { fixed(step.crew_days, 1) };
        grid.row([clean(&step.step), days, wait, clean(&step.after)]);
    }
    grid.print(out);
}

fn rooms(estimate: &Estimate, out: &mut String) {
    heading(&format!("Rooms, {}", clean(&estimate.currency)), out);
    let mut grid = Grid::new([
        TableColumn::Wrapped("Room"),
        TableColumn::Figure("Points"),
        TableColumn::Figure("Hours"),
        TableColumn::Figure("Materials"),
        TableColumn::Figure("Labour"),
        TableColumn::Figure("Amount"),
    ]);
    for room in &estimate.rooms {
        grid.row([
            clean(&room.name),
            room.points.to_string(),
            fixed(room.hours.value(), 1),
            money(room.materials),
            money(room.labour),
            money(room.amount),
        ]);
    }
    grid.rule();
    grid.row([
        "All rooms".to_owned(),
        estimate.rooms.iter().map(|room| room.points).sum::<u64>().to_string(),
        fixed(estimate.rooms.iter().map(|room| room.hours).sum::<Hours>().value(), 1),
        money(estimate.rooms.iter().map(|room| room.materials).sum()),
        money(estimate.rooms.iter().map(|room| room.labour).sum()),
        money(estimate.rooms.iter().map(|room| room.amount).sum()),
    ]);
    grid.print(out);
}

fn whole_house(estimate: &Estimate, out: &mut String) {
    let rooms: BTreeSet<&str> = estimate.rooms.iter().map(|room| room.room.as_str()).collect();
    let in_a_room = |line: &Line| line.room.as_deref().is_some_and(|room| rooms.contains(room));
    let lines: Vec<&Line> = estimate.lines.iter().filter(|line| !in_a_room(line)).collect();
    heading(&format!("Whole house, {}", clean(&estimate.currency)), out);
    let mut grid = Grid::new([
        TableColumn::Text("Line"),
        TableColumn::Wrapped("What"),
        TableColumn::Figure("Quantity"),
        TableColumn::Text("Unit"),
        TableColumn::Figure("Hours"),
        TableColumn::Figure("Amount"),
    ]);
    for alike in lines.chunk_by(|line, next| line.item == next.item && line.description == next.description) {
        grid.row(whole_house_row(alike));
    }
    grid.rule();
    let amount: Money = lines.iter().map(|line| line.amount).sum();
    let hours: Hours = lines.iter().map(|line| line.hours).sum();
    let row = |what: &str, hours: Hours, amount: Money| {
        ["".to_owned(), what.to_owned(), String::new(), String::new(), fixed(hours.value(), 1), money(amount)]
    };
    grid.row(row("Whole house", hours, amount));
    grid.row(row("With the rooms: net", estimate.hours.total, estimate.totals.net));
    grid.print(out);
}

/// Lines of the whole house that are alike, as one row: what is done to every circuit is said once.
fn whole_house_row(alike: &[&Line]) -> Vec<String> {
    let (Some(first), Some(last)) = (alike.first(), alike.last()) else { return Vec::new() };
    let id = if alike.len() == 1 { first.id.clone() } else { format!("{}-{}", first.id, last.id) };
    vec![
        clean(&id),
        clean(&first.description),
        fixed(alike.iter().map(|line| line.quantity).sum(), 1),
        clean(&first.unit),
        fixed(alike.iter().map(|line| line.hours).sum::<Hours>().value(), 1),
        money(alike.iter().map(|line| line.amount).sum()),
    ]
}
