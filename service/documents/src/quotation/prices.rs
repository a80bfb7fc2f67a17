//! The price, broken down as far as the firm breaks it down. Every depth ends with the same totals.

use std::collections::BTreeMap;

use engine::estimate::{Estimate, Line, LineKind};
use engine::money::Money;

use super::Detail;
use super::paper::{Block, PaperRow, PaperTable, RowWeight, figures, row, word, words};
use crate::words::{capital, clean, fixed, money, short};

/// The table of the price.
pub(super) fn table(estimate: &Estimate, detail: Detail) -> Block {
    let mut rows = match detail {
        Detail::LumpSum => {
            vec![row(vec!["The work as described".to_owned(), money(estimate.totals.net)], RowWeight::Plain)]
        }
        Detail::ByRoom => by_room(estimate),
        Detail::ByLine => by_line(estimate),
    };
    let columns = match detail {
        Detail::LumpSum | Detail::ByRoom => vec![words("What"), figures("Price")],
        Detail::ByLine => vec![words("What"), figures("Quantity"), word("Unit"), figures("Price")],
    };
    let blanks = columns.len() - 2;
    let sum = |label: String, amount: Money, weight| {
        let mut cells = vec![label];
        cells.extend(std::iter::repeat_n(String::new(), blanks));
        cells.push(money(amount));
        row(cells, weight)
    };
    rows.push(sum("Price without VAT".to_owned(), estimate.totals.net, RowWeight::Sum));
    let shares = &estimate.totals.vat_by_case;
    if shares.is_empty() {
        rows.push(sum(format!("VAT at {} %", estimate.totals.vat_percent), estimate.totals.vat, RowWeight::Plain));
    }
    for share in shares {
        let label = format!("VAT at {} % on {}", clean(&share.percent), money(share.net));
        rows.push(sum(label, share.vat, RowWeight::Plain));
    }
    rows.push(sum(format!("To pay, {}", clean(&estimate.currency)), estimate.totals.gross, RowWeight::Total));
    Block::Table(PaperTable { caption: "The price".to_owned(), columns, rows })
}

/// The price of each room, and what is left of the net price for the house as a whole.
fn by_room(estimate: &Estimate) -> Vec<PaperRow> {
    let mut rows: Vec<PaperRow> = estimate
        .rooms
        .iter()
        .filter(|room| room.price != Money::ZERO)
        .map(|room| row(vec![clean(&room.name), money(room.price)], RowWeight::Plain))
        .collect();
    let rooms: Money = estimate.rooms.iter().map(|room| room.price).sum();
    let whole = estimate.totals.net - rooms;
    if whole != Money::ZERO {
        rows.push(row(vec![WHOLE.to_owned(), money(whole)], RowWeight::Plain));
    }
    rows
}

const WHOLE: &str = "Whole house: board, earthing, testing, setting up and travel";

fn by_line(estimate: &Estimate) -> Vec<PaperRow> {
    let mut rows = Vec::with_capacity(estimate.lines.len() + estimate.rooms.len() + 1);
    let (of_rooms, whole) = lines_by_room(estimate, |line| line.price != Money::ZERO);
    let names = estimate.rooms.iter().map(|room| clean(&room.name)).chain([WHOLE_HEADING.to_owned()]);
    for (name, lines) in names.zip(of_rooms.into_iter().chain([whole])) {
        if !lines.is_empty() {
            rows.push(row(vec![name, String::new(), String::new(), String::new()], RowWeight::Group));
            rows.extend(lines.into_iter().map(of_line));
        }
    }
    rows
}

const WHOLE_HEADING: &str = "Whole house";

/// The lines of each room, in the order of the rooms, and those of the whole house.
fn lines_by_room(estimate: &Estimate, wanted: impl Fn(&Line) -> bool) -> (Vec<Vec<&Line>>, Vec<&Line>) {
    let rooms = estimate.rooms.iter().enumerate();
    let places: BTreeMap<&str, usize> = rooms.map(|(index, room)| (room.room.as_str(), index)).collect();
    let (mut of_rooms, mut whole) = (vec![Vec::new(); estimate.rooms.len()], Vec::new());
    for line in estimate.lines.iter().filter(|line| wanted(line)) {
        match line.room.as_deref().and_then(|room| places.get(room)) {
            Some(index) => of_rooms[*index].push(line),
            None => whole.push(line),
        }
    }
    (of_rooms, whole)
}

fn of_line(line: &Line) -> PaperRow {
    let quantity = if line.quantity.fract() == 0.0 { short(line.quantity) } else { fixed(line.quantity, 1) };
    row(vec![capital(&clean(&line.description)), quantity, clean(&line.unit), money(line.price)], RowWeight::Plain)
}

/// What is done in each room, in plain words: its points with their number.
pub(super) fn scope_by_room(estimate: &Estimate) -> Vec<(String, String)> {
    let (of_rooms, _) = lines_by_room(estimate, |line| line.kind == LineKind::Point && line.quantity > 0.0);
    let rooms = estimate.rooms.iter().zip(of_rooms);
    rooms.filter(|(_, points)| !points.is_empty()).map(|(room, points)| (clean(&room.name), counted(&points))).collect()
}

fn counted(points: &[&Line]) -> String {
    let mut counts: Vec<(String, f64)> = Vec::new();
    for point in points {
        let what = clean(&point.description);
        match counts.iter_mut().find(|(known, _)| *known == what) {
            Some((_, count)) => *count += point.quantity,
            None => counts.push((what, point.quantity)),
        }
    }
    let words: Vec<String> =
        counts.iter().map(|(what, count)| format!("{} × {}", short(*count), lowered(what))).collect();
    words.join(", ")
}

/// With a small first letter, unless the word is an abbreviation.
fn lowered(text: &str) -> String {
    let mut letters = text.chars();
    let (first, second) = (letters.next(), text.chars().nth(1));
    match first {
        Some(first) if !second.is_some_and(char::is_uppercase) => {
            format!("{}{}", first.to_lowercase(), letters.as_str())
        }
        Some(_) | None => text.to_owned(),
    }
}
