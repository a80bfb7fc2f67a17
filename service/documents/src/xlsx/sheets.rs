//! The sheets, one function each, in their order.

use engine::estimate::{Estimate, LineKind, TakeOffItem};
use engine::money::Money;
use rust_xlsxwriter::Worksheet;

use super::pen::{Cell, SheetPen, Styles, Written, below, figures, figures_below, text};
use super::totals::{self, SheetColumn, Total};
use crate::words;

/// Price, hours, days and spread on one page.
pub(super) fn summary(sheet: &mut Worksheet, styles: &Styles, estimate: &Estimate) -> Written {
    let mut pen = SheetPen::new(sheet, styles);
    pen.widths(&[28.0, 18.0, 70.0])?;
    pen.title("Estimate")?;
    let sheet_used = &estimate.rate_sheet;
    for (label, text) in [
        ("Reference", estimate.reference.clone().unwrap_or_default()),
        ("Number", estimate.id.clone()),
        ("Made", estimate.created_at.clone()),
        ("Currency", estimate.currency.clone()),
        ("Method", estimate.method.to_string()),
        ("Designed to", format!("{} ({})", estimate.ruleset.title, estimate.ruleset.id)),
        ("Rate sheet", format!("{}, version {}. {}", sheet_used.name, sheet_used.version, sheet_used.note)),
        ("Engine", estimate.engine_version.clone()),
        ("", "An opinion of price from what was recorded: not an offer, and not a design certificate.".to_owned()),
    ] {
        pen.cells(&[Cell::text(label), Cell::unwrapped(text)])?;
    }
    pen.skip();
    price(&mut pen, estimate)?;
    pen.skip();
    hours(&mut pen, estimate)?;
    pen.skip();
    spread(&mut pen, estimate)
}

fn price(pen: &mut SheetPen<'_>, estimate: &Estimate) -> Written {
    let said = &estimate.totals;
    pen.headings(&[below("Price"), figures_below("Amount"), below("")])?;
    // A cell is named as the sheet names it: rows from 1.
    let first = pen.row + 1;
    let parts = [
        ("Materials", totals::of_all_but(SheetColumn::Materials, LineKind::Preliminaries, estimate), said.materials),
        ("Labour", totals::of_all_but(SheetColumn::Labour, LineKind::Preliminaries, estimate), said.labour),
        ("Preliminaries", totals::of_kind(SheetColumn::Amount, LineKind::Preliminaries, estimate), said.preliminaries),
        ("Overhead", totals::of_kind(SheetColumn::Amount, LineKind::Overhead, estimate), said.overhead),
        ("Contingency", totals::of_kind(SheetColumn::Amount, LineKind::Contingency, estimate), said.contingency),
        ("Profit", totals::of_kind(SheetColumn::Amount, LineKind::Profit, estimate), said.profit),
    ];
    for (label, total, figure) in parts {
        pen.cell(0, &Cell::text(label))?;
        pen.part(1, &total.formula, total.gives, figure)?;
        pen.row += 1;
    }
    let last = pen.row;
    let net_cell = format!("B{}", last + 1);
    let six = [said.materials, said.labour, said.preliminaries, said.overhead, said.contingency, said.profit];
    let net = Total { formula: format!("=ROUND(SUM(B{first}:B{last}),2)"), gives: six.into_iter().sum() };
    total_row(pen, "Net", &net, said.net, "")?;
    let label = words::tax(said);
    total_row(pen, &label, &totals::tax(&net_cell, estimate), said.vat, &said.vat_basis)?;
    let gross = Total { formula: format!("=ROUND({net_cell}+B{},2)", last + 2), gives: said.net + said.vat };
    total_row(pen, "Gross", &gross, said.gross, "")
}

fn total_row(pen: &mut SheetPen<'_>, label: &str, total: &Total, figure: Money, remark: &str) -> Written {
    pen.total_label(0, label)?;
    pen.total(1, &total.formula, total.gives, figure)?;
    pen.cell(2, &Cell::text(remark))?;
    pen.row += 1;
    Ok(())
}

fn hours(pen: &mut SheetPen<'_>, estimate: &Estimate) -> Written {
    let (hours, programme) = (&estimate.hours, &estimate.programme);
    pen.headings(&[below("Person-hours"), figures_below("Hours"), below("")])?;
    for (label, spent) in [
        ("Strip-out", hours.strip_out),
        ("First fix", hours.first_fix),
        ("Second fix", hours.second_fix),
        ("Testing", hours.testing),
        ("Preliminaries", hours.preliminaries),
        ("All stages", hours.total),
    ] {
        pen.cells(&[Cell::text(label), Cell::Figure(spent.value())])?;
    }
    let people = words::people(programme.people);
    let crew = format!("{people}, {} h each a day", words::short(programme.hours_per_day.value()));
    pen.cells(&[Cell::text("Crew days"), Cell::Figure(programme.crew_days), Cell::text(crew)])
}

fn spread(pen: &mut SheetPen<'_>, estimate: &Estimate) -> Written {
    let range = &estimate.range;
    pen.headings(&[below("Spread of the net price"), figures_below("Amount"), below("")])?;
    for (label, amount, meaning) in [
        ("p10", range.p10, "One job in ten costs less."),
        ("p50", range.p50, "Half the jobs cost less."),
        ("p80", range.p80, "Four jobs in five cost less."),
        ("p90", range.p90, "Nine jobs in ten cost less."),
    ] {
        pen.cells(&[Cell::text(label), Cell::Money(amount), Cell::text(meaning)])?;
    }
    pen.cells(&[Cell::text("How"), Cell::Empty, Cell::text(&range.basis)])?;
    let check = &estimate.cross_check;
    let label = format!("Cross check, {}", check.method);
    let difference = format!("The net price less this: {}", words::change(check.difference));
    pen.cells(&[Cell::text(label), Cell::Money(check.net), Cell::text(difference)])
}

/// The lines that the price is the sum of. The totals of other sheets name its columns by letter.
pub(super) fn lines(sheet: &mut Worksheet, styles: &Styles, estimate: &Estimate) -> Written {
    let mut pen = SheetPen::new(sheet, styles);
    pen.headings(&[
        text("Line", 8.0),
        text("Kind", 15.0),
        text("Room", 16.0),
        text("Circuit", 9.0),
        text("Item", 26.0),
        text("Description", 44.0),
        figures("Quantity", 10.0),
        text("Unit", 8.0),
        figures("Hours", 9.0),
        figures("Materials", 12.0),
        figures("Labour", 12.0),
        figures("Amount", 12.0),
        text("Working", 80.0),
    ])?;
    for line in &estimate.lines {
        pen.cells(&[
            Cell::text(&line.id),
            Cell::text(line.kind.word()),
            Cell::optional(line.room.as_ref()),
            Cell::optional(line.circuit.as_ref()),
            Cell::text(&line.item),
            Cell::text(&line.description),
            Cell::Figure(line.quantity),
            Cell::text(&line.unit),
            Cell::Figure(line.hours.value()),
            Cell::Money(line.materials),
            Cell::Money(line.labour),
            Cell::Money(line.amount),
            Cell::unwrapped(line.because.join(". ")),
        ])?;
    }
    if pen.row > 1 {
        pen.sheet.autofilter(0, 0, pen.row - 1, 12)?;
    }
    // The working is for the screen: with it the page would be too small to read.
    pen.sheet.set_print_area(0, 0, pen.row, 11)?;
    let net = totals::of_all(SheetColumn::Amount, estimate);
    pen.total_label(5, "Net")?;
    pen.total(11, &net.formula, net.gives, estimate.totals.net)
}

/// What each room costs; with the whole house it is the net price.
pub(super) fn rooms(sheet: &mut Worksheet, styles: &Styles, estimate: &Estimate) -> Written {
    let mut pen = SheetPen::new(sheet, styles);
    pen.headings(&[
        text("Room", 28.0),
        text("Name", 28.0),
        figures("Points", 9.0),
        figures("Hours", 10.0),
        figures("Materials", 14.0),
        figures("Labour", 14.0),
        figures("Amount", 14.0),
    ])?;
    for room in &estimate.rooms {
        pen.cells(&[
            Cell::text(&room.room),
            Cell::text(&room.name),
            // A count beyond 2^53 cannot come from a survey of at most 50,000 points.
            Cell::Figure(room.points as f64),
            Cell::Figure(room.hours.value()),
            Cell::Money(room.materials),
            Cell::Money(room.labour),
            Cell::Money(room.amount),
        ])?;
    }
    let last = pen.row.max(2);
    let all: Money = estimate.rooms.iter().map(|room| room.amount).sum();
    pen.total_label(0, "All rooms")?;
    pen.total(6, &format!("=ROUND(SUM(G2:G{last}),2)"), all, all)?;
    pen.row += 1;
    let net = totals::of_all(SheetColumn::Amount, estimate);
    let rooms_cell = format!("G{}", pen.row);
    let rest = net.gives - all;
    pen.total_label(0, "Whole house")?;
    pen.total(6, &format!("=ROUND({}-{rooms_cell},2)", net.formula.trim_start_matches('=')), rest, rest)?;
    pen.row += 1;
    pen.total_label(0, "Net")?;
    pen.total(6, &format!("=ROUND({rooms_cell}+G{},2)", pen.row), net.gives, estimate.totals.net)
}

/// Circuits, and below them every check with its working.
pub(super) fn circuits(sheet: &mut Worksheet, styles: &Styles, estimate: &Estimate) -> Written {
    let mut pen = SheetPen::new(sheet, styles);
    pen.headings(&[
        text("Circuit", 10.0),
        text("Name", 34.0),
        text("Type", 18.0),
        text("Arrangement", 13.0),
        text("Device", 18.0),
        text("Cable, mm2", 38.0),
        text("Method", 10.0),
        figures("Capacity, A", 12.0),
        figures("Metres", 10.0),
        figures("Far end, m", 11.0),
        figures("Design current, A", 18.0),
        text("Verdict", 10.0),
        text("Fed from", 10.0),
        text("Why", 80.0),
    ])?;
    for circuit in &estimate.circuits {
        pen.cells(&[
            Cell::text(&circuit.id),
            Cell::text(&circuit.name),
            Cell::text(&circuit.circuit_type),
            Cell::text(&circuit.arrangement),
            Cell::text(words::device(&circuit.device)),
            Cell::text(words::cable(&circuit.cable)),
            Cell::text(circuit.cable.method.word()),
            circuit.capacity_a.map_or(Cell::Empty, |capacity| Cell::Figure(capacity.value())),
            Cell::Figure(circuit.length_m.value()),
            Cell::Figure(circuit.far_end_m.value()),
            Cell::Figure(circuit.design_current_a.value()),
            Cell::text(circuit.verdict.word()),
            Cell::optional(circuit.fed_from.as_ref()),
            Cell::unwrapped(circuit.because.join(". ")),
        ])?;
    }
    checks(&mut pen, estimate)
}

/// Every check of every circuit.
fn checks(pen: &mut SheetPen<'_>, estimate: &Estimate) -> Written {
    pen.skip();
    pen.headings(&[
        below("Circuit"),
        below("Check"),
        figures_below("Value"),
        figures_below("Limit"),
        below("Unit"),
        below("Clause"),
        below("Verdict"),
        below(""),
        below(""),
        below(""),
        below(""),
        below(""),
        below(""),
        below("Working"),
    ])?;
    for circuit in &estimate.circuits {
        for check in &circuit.checks {
            pen.cells(&[
                Cell::text(&circuit.id),
                Cell::text(check.name.word()),
                Cell::Figure(check.value),
                Cell::Figure(check.limit),
                Cell::text(check.unit.word()),
                Cell::text(&check.clause),
                Cell::text(check.verdict.word()),
                Cell::Empty,
                Cell::Empty,
                Cell::Empty,
                Cell::Empty,
                Cell::Empty,
                Cell::Empty,
                Cell::unwrapped(&check.working),
            ])?;
        }
        for advice in &circuit.advice {
            pen.cells(&[
                Cell::text(&circuit.id),
                Cell::text(advice.name.word()),
                Cell::Empty,
                Cell::Empty,
                Cell::Empty,
                Cell::text(&advice.clause),
                Cell::text(advice.verdict.word()),
                Cell::Empty,
                Cell::Empty,
                Cell::Empty,
                Cell::Empty,
                Cell::Empty,
                Cell::Empty,
                Cell::unwrapped(&advice.working),
            ])?;
        }
    }
    Ok(())
}

/// Materials as used, as bought and left over.
pub(super) fn take_off(sheet: &mut Worksheet, styles: &Styles, estimate: &Estimate) -> Written {
    let mut pen = SheetPen::new(sheet, styles);
    pen.headings(&[
        text("Item", 28.0),
        text("Description", 44.0),
        text("Unit", 8.0),
        figures("Used", 11.0),
        figures("Waste", 11.0),
        figures("Packs", 9.0),
        text("Bought as", 20.0),
        figures("Bought", 11.0),
        figures("Left over", 11.0),
        figures("Charged", 13.0),
    ])?;
    for item in &estimate.take_off {
        pen.cells(&[
            Cell::text(&item.item),
            Cell::text(&item.description),
            Cell::text(&item.unit),
            Cell::Figure(item.used),
            Cell::Figure(item.waste),
            // Packs are counted, far below 2^53.
            Cell::Figure(item.packs as f64),
            Cell::text(as_bought(item)),
            Cell::Figure(item.bought),
            Cell::Figure(item.left_over),
            Cell::Money(item.charged),
        ])?;
    }
    let last = pen.row.max(2);
    let all: Money = estimate.take_off.iter().map(|item| item.charged).sum();
    pen.total_label(1, "Charged in all")?;
    pen.total(9, &format!("=ROUND(SUM(J2:J{last}),2)"), all, all)
}

/// `2 × 100, 1 × 50`; of an estimate kept before there was a choice of sizes, the usual one.
fn as_bought(item: &TakeOffItem) -> String {
    if item.purchases.is_empty() {
        return format!("{} × {}", item.packs, item.pack_size);
    }
    let sizes = item.purchases.iter().map(|purchase| format!("{} × {}", purchase.packs, purchase.pack_size));
    sizes.collect::<Vec<_>>().join(", ")
}

fn questions(pen: &mut SheetPen<'_>, estimate: &Estimate) -> Written {
    pen.skip();
    pen.headings(&[
        below("Question"),
        figures_below("Worth"),
        below(""),
        below("Where"),
        below("Ask"),
        below("How worth was found"),
    ])?;
    for question in &estimate.questions {
        pen.cells(&[
            Cell::text(&question.id),
            Cell::Money(question.worth),
            Cell::Empty,
            Cell::text(words::places(&question.places)),
            Cell::text(&question.ask),
            Cell::text(&question.because),
        ])?;
    }
    Ok(())
}

/// What is in the price because of the house.
fn included(pen: &mut SheetPen<'_>, estimate: &Estimate) -> Written {
    pen.skip();
    pen.headings(&[
        below("In the price because of the house"),
        below(""),
        below(""),
        below("Where"),
        below("What"),
        below(""),
        below(""),
        figures_below("Net"),
    ])?;
    for one in &estimate.included {
        pen.cells(&[
            Cell::text(&one.id),
            Cell::Empty,
            Cell::Empty,
            Cell::text(one.places.join(", ")),
            Cell::text(&one.what),
            Cell::Empty,
            Cell::Empty,
            one.net.map_or(Cell::Empty, Cell::Money),
        ])?;
    }
    Ok(())
}

/// Risks, then what the price holds because of the house, then questions, then options.
pub(super) fn risks_and_questions(sheet: &mut Worksheet, styles: &Styles, estimate: &Estimate) -> Written {
    let mut pen = SheetPen::new(sheet, styles);
    pen.headings(&[
        text("Risk", 28.0),
        text("Severity", 12.0),
        text("Kind", 12.0),
        text("Where", 24.0),
        text("What", 56.0),
        text("Do", 56.0),
        text("Basis", 40.0),
        figures("At stake", 13.0),
    ])?;
    for flag in &estimate.risk_flags {
        pen.cells(&[
            Cell::text(&flag.id),
            Cell::text(words::severity(flag.severity)),
            Cell::text(words::risk_kind(flag.kind)),
            Cell::text(flag.places.join(", ")),
            Cell::text(&flag.what),
            Cell::text(&flag.action),
            Cell::text(&flag.basis),
            flag.at_stake.map_or(Cell::Empty, Cell::Money),
        ])?;
    }
    included(&mut pen, estimate)?;
    questions(&mut pen, estimate)?;
    pen.skip();
    pen.headings(&[
        below("Option"),
        figures_below("Net"),
        figures_below("Hours"),
        below(""),
        below("What"),
        below("What it means"),
    ])?;
    for option in &estimate.options {
        pen.cells(&[
            Cell::text(&option.id),
            Cell::Money(option.net_change),
            Cell::Figure(option.hours_change.value()),
            Cell::Empty,
            Cell::text(&option.what),
            Cell::text(&option.effect),
        ])?;
    }
    Ok(())
}

/// What was taken where nothing was recorded, what the price leaves out, and what to mind.
pub(super) fn assumptions(sheet: &mut Worksheet, styles: &Styles, estimate: &Estimate) -> Written {
    let mut pen = SheetPen::new(sheet, styles);
    pen.headings(&[text("Not recorded", 30.0), text("Where", 30.0), text("Assumed", 50.0), text("Why", 80.0)])?;
    for assumption in &estimate.assumptions {
        pen.cells(&[
            Cell::text(&assumption.subject),
            Cell::text(words::places(&assumption.places)),
            Cell::text(&assumption.assumed),
            Cell::text(&assumption.because),
        ])?;
    }
    for (title, entries) in [("Not in the price", &estimate.exclusions), ("Cautions", &estimate.cautions)] {
        pen.skip();
        pen.headings(&[below(title)])?;
        for entry in entries {
            pen.cells(&[Cell::unwrapped(entry)])?;
        }
    }
    Ok(())
}
