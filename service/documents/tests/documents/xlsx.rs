//! The workbook, opened again as a spreadsheet would.

use std::io::Cursor;

use calamine::{Data, DataType, Range, Reader, Xlsx};
use engine::estimate::{Estimate, VatShare};
use engine::money::Money;
use engine::survey::VatCase;

use crate::support::{self, money};

fn open(estimate: &Estimate) -> Xlsx<Cursor<Vec<u8>>> {
    let bytes = documents::xlsx::estimate(estimate).expect("a workbook");
    Xlsx::new(Cursor::new(bytes)).expect("that opens")
}

fn sheet(estimate: &Estimate, name: &str) -> Range<Data> {
    open(estimate).worksheet_range(name).expect("the sheet is there")
}

/// The amount beside a label in the first column.
fn beside(sheet: &Range<Data>, label: &str, column: usize) -> Money {
    let row = sheet.rows().find(|row| row[0] == label).unwrap_or_else(|| panic!("no row {label}"));
    let figure = match &row[column] {
        Data::Float(figure) => *figure,
        Data::String(text) => text.parse().expect("a formula's result is a figure"),
        other => panic!("{label}: {other:?}"),
    };
    money(&format!("{figure:.2}"))
}

#[test]
fn the_summary_shows_the_totals_of_the_document_to_the_penny() {
    let estimate = support::estimate();
    let summary = sheet(&estimate, "Summary");

    let totals = &estimate.totals;
    for (label, figure) in [
        ("Materials", totals.materials),
        ("Labour", totals.labour),
        ("Overhead", totals.overhead),
        ("Contingency", totals.contingency),
        ("Profit", totals.profit),
        ("Net", totals.net),
        ("VAT, 5 % (reduced)", totals.vat),
        ("Gross", totals.gross),
        ("p80", estimate.range.p80),
    ] {
        assert_eq!(beside(&summary, label, 1), figure, "{label}");
    }
}

#[test]
fn a_mixed_job_shows_both_rates_and_the_tax_of_each() {
    let mut estimate = support::estimate();
    let share = |case, percent: &str, net: &str, vat: &str| VatShare {
        case,
        percent: percent.to_owned(),
        net: money(net),
        vat: money(vat),
        condition: "invented".into(),
        notice: "VAT Notice 708".into(),
    };
    estimate.totals.vat_by_case =
        vec![share(VatCase::Standard, "20", "200.10", "40.02"), share(VatCase::Reduced, "5", "1000.00", "50.00")];
    estimate.totals.vat = money("90.02");
    estimate.totals.gross = money("1290.12");

    let summary = sheet(&estimate, "Summary");

    assert_eq!(beside(&summary, "VAT, 20 and 5 %", 1), money("90.02"));
    assert_eq!(beside(&summary, "Gross", 1), money("1290.12"));
    assert!(documents::table::estimate(&estimate).contains("VAT, 20 and 5 %"));
}

#[test]
fn every_total_is_a_formula_and_the_rooms_with_the_whole_house_are_the_net_price() {
    let estimate = support::estimate();
    let formulas = open(&estimate).worksheet_formula("Summary").expect("formulas");
    let rooms = sheet(&estimate, "Rooms");

    assert_eq!(formulas.rows().flatten().filter(|formula| !formula.is_empty()).count(), 9);
    assert_eq!(beside(&rooms, "All rooms", 6), money("350.55"));
    assert_eq!(beside(&rooms, "Whole house", 6), money("849.55"));
    assert_eq!(beside(&rooms, "Net", 6), estimate.totals.net);
}

#[test]
fn the_lines_add_to_the_net_price_below_them() {
    let estimate = support::estimate();
    let lines = sheet(&estimate, "Lines");

    let rows: Vec<&[Data]> = lines.rows().collect();
    let amounts: Money =
        rows[1..=9].iter().map(|row| money(&format!("{:.2}", row[11].as_f64().expect("a figure")))).sum();
    assert_eq!(amounts, estimate.totals.net);
    assert_eq!(rows.len(), 11);
}

#[test]
fn the_columns_that_totals_name_by_letter_are_the_ones_meant() {
    let formulas = open(&support::estimate()).worksheet_formula("Summary").expect("formulas");
    let lines = sheet(&support::estimate(), "Lines");

    let headings: Vec<String> = lines.rows().next().expect("a heading").iter().map(ToString::to_string).collect();
    assert_eq!([&headings[1], &headings[9], &headings[10], &headings[11]], ["Kind", "Materials", "Labour", "Amount"]);
    let formulas: Vec<&str> = formulas.rows().flatten().map(String::as_str).filter(|text| !text.is_empty()).collect();
    insta::assert_snapshot!(formulas.join("\n"));
}

#[test]
fn a_total_that_the_lines_do_not_give_stays_as_the_document_has_it() {
    let mut estimate = support::estimate();
    estimate.totals.materials = money("416.46");

    let formulas = open(&estimate).worksheet_formula("Summary").expect("formulas");

    assert_eq!(beside(&sheet(&estimate, "Summary"), "Materials", 1), money("416.46"));
    assert_eq!(formulas.rows().flatten().filter(|formula| !formula.is_empty()).count(), 7, "materials and net");
}

#[test]
fn the_sheets_stand_in_the_order_in_which_they_are_read() {
    assert_eq!(
        open(&support::estimate()).sheet_names(),
        ["Summary", "Lines", "Rooms", "Circuits", "Take-off", "Risks and questions", "Assumptions"]
    );
}

#[test]
fn the_same_estimate_gives_the_same_bytes() {
    let once = documents::xlsx::estimate(&support::estimate()).expect("a workbook");
    let again = documents::xlsx::estimate(&support::estimate()).expect("a workbook");

    assert!(once == again);
}

#[test]
fn text_that_looks_like_a_formula_is_text() {
    let mut estimate = support::estimate();
    estimate.rooms[0].name = "=1+1".to_owned();
    estimate.lines[0].description = "=cmd|'x'!A1".to_owned();

    let formulas = open(&estimate).worksheet_formula("Lines").expect("formulas");

    assert_eq!(sheet(&estimate, "Rooms").rows().nth(1).map(|row| row[1].to_string()).as_deref(), Some("=1+1"));
    assert_eq!(formulas.rows().flatten().filter(|formula| !formula.is_empty()).count(), 1, "the net price alone");
}

#[test]
fn an_estimate_without_lines_rooms_or_a_date_that_reads_is_still_a_workbook() {
    let mut estimate = support::estimate();
    estimate.lines.clear();
    estimate.rooms.clear();
    estimate.take_off.clear();
    estimate.created_at = "yesterday".to_owned();
    estimate.totals.vat_percent = "none".to_owned();
    estimate.totals.vat_case = VatCase::NotRegistered;

    assert_eq!(beside(&sheet(&estimate, "Summary"), "Net", 1), money("1200.10"));
}

#[test]
fn a_text_longer_than_a_cell_is_cut() {
    let mut estimate = support::estimate();
    estimate.lines[0].because = vec!["w".repeat(40_000)];

    assert_eq!(sheet(&estimate, "Lines").rows().nth(1).map(|row| row[12].to_string().len()), Some(32_767));
}
