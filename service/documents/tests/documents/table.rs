//! The table for a terminal.

use crate::support;

#[test]
fn the_table_reads_as_it_was_last_looked_at() {
    insta::assert_snapshot!(documents::table::estimate(&support::estimate()));
}

#[test]
fn no_line_is_wider_than_a_terminal_of_100_columns() {
    let mut estimate = support::estimate();
    estimate.reference = Some("reference ".repeat(50));
    estimate.rooms[0].name = "a room with a long name ".repeat(20);
    estimate.lines[3].description = "a description that goes on ".repeat(20);
    estimate.lines[4].description = "x".repeat(400);
    estimate.circuits[0].name = "sockets of a long list of rooms ".repeat(10);
    estimate.risk_flags[0].what = "what was seen at length ".repeat(30);

    let table = documents::table::estimate(&estimate);

    let widest = table.lines().map(|line| line.chars().count()).max();
    assert!(widest <= Some(100), "{widest:?}");
    assert!(table.ends_with('\n'));
}

#[test]
fn a_name_with_control_characters_cannot_move_the_cursor() {
    let mut estimate = support::estimate();
    estimate.rooms[0].name = "Kit\u{1b}[2Jchen\u{202e}".to_owned();
    estimate.reference = Some("\u{7}\u{1b}]0;title\u{7}".to_owned());

    let table = documents::table::estimate(&estimate);

    assert!(table.chars().all(|character| character == '\n' || !character.is_control()));
    assert!(!table.contains('\u{202e}'));
}

#[test]
fn an_estimate_of_a_house_with_nothing_to_remark_says_none() {
    let mut estimate = support::estimate();
    estimate.risk_flags.clear();
    estimate.questions.clear();
    estimate.options.clear();
    estimate.assumptions.clear();

    assert_eq!(documents::table::estimate(&estimate).matches("\n  None.\n").count(), 4);
}

#[test]
fn lines_of_the_whole_house_that_are_alike_are_one_row_with_their_sum() {
    let mut estimate = support::estimate();
    let mut again = estimate.lines[4].clone();
    again.id = "L5b".to_owned();
    estimate.lines.insert(5, again);

    let table = documents::table::estimate(&estimate);

    let row = table.lines().find(|line| line.contains("L5-L5b")).expect("one row for both");
    assert!(row.contains(" 4.0 ") && row.ends_with("191.10"), "{row}");
}
