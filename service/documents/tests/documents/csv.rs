//! The lines as CSV.

use engine::money::Money;

use crate::support;

fn csv_of(estimate: &engine::estimate::Estimate) -> Vec<u8> {
    documents::csv::estimate_lines(estimate).expect("memory does not fail")
}

#[test]
fn the_lines_read_as_they_were_last_looked_at() {
    let text = String::from_utf8(csv_of(&support::estimate())).expect("UTF-8");

    assert_eq!(text.matches("\r\n").count(), text.matches('\n').count(), "RFC 4180 ends its lines with CR LF");
    insta::assert_snapshot!(text.replace("\r\n", "\n"));
}

#[test]
fn the_amounts_of_the_rows_add_to_the_net_price() {
    let estimate = support::estimate();
    let bytes = csv_of(&estimate);

    let mut reader = ::csv::Reader::from_reader(bytes.as_slice());
    let amount = reader.headers().expect("a heading").iter().position(|name| name == "amount").expect("the column");
    let sum: Money = reader.records().map(|row| support::money(&row.expect("a row")[amount])).sum();

    assert_eq!(sum, estimate.totals.net);
}

#[test]
fn text_that_a_spreadsheet_would_run_is_made_harmless_and_figures_stay_figures() {
    for start in ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＠"] {
        let mut estimate = support::estimate();
        let hostile = format!("{start}HYPERLINK(\"http://example.invalid\";\"x\")");
        estimate.lines[0].room = Some(hostile.clone());
        estimate.lines[0].description = hostile.clone();
        estimate.lines[0].because = vec![hostile];
        estimate.lines[0].amount = support::money("-210.00");

        let bytes = csv_of(&estimate);

        let mut reader = ::csv::Reader::from_reader(bytes.as_slice());
        let row = reader.records().next().expect("a first row").expect("that reads");
        for column in [2, 5, 13] {
            assert!(row[column].starts_with('\''), "{start:?}: {}", &row[column]);
        }
        assert_eq!(&row[11], "-210.00");
    }
}

#[test]
fn a_semicolon_in_a_name_stays_inside_its_quotation_marks() {
    let mut estimate = support::estimate();
    estimate.lines[0].description = "a;=1+1".to_owned();

    let text = String::from_utf8(csv_of(&estimate)).expect("UTF-8");

    assert!(text.contains("\"a;=1+1\""), "{text}");
}
