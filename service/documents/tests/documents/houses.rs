//! The published examples, priced by the engine and written in each form.

use std::io::Cursor;

use calamine::{DataType, Reader, Xlsx};
use engine::estimate::{Engine, Estimate, Stamp};
use engine::money::Money;
use engine::rate_sheet::RateSheet;

use crate::support::money;

const EXAMPLES: [&str; 5] = ["kestrel-bank.json", "three-bed.json", "counts-only.json", "minimal.json", "tally.csv"];

fn priced(name: &str) -> Estimate {
    let path = format!("{}/../../openapi/examples/{name}", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(path).expect("the example is there");
    let engine = Engine::new();
    let request = if name.ends_with(".csv") {
        engine.read_tally(&bytes).expect("a right tally")
    } else {
        engine.read_survey(&bytes).expect("a right survey")
    };
    let workbook = engine.prepare(RateSheet::standard(), 1).expect("the built-in sheet is whole");
    let stamp = Stamp { id: "example".to_owned(), created_at: "2026-11-25T10:00:00Z".to_owned() };
    engine.estimate(&request, &workbook, stamp)
}

#[test]
fn every_example_fits_a_terminal_and_ends_with_the_cautions() {
    for name in EXAMPLES {
        let estimate = priced(name);
        let table = documents::table::estimate(&estimate);

        assert!(table.lines().all(|line| line.chars().count() <= 100), "{name}");
        let cautions = table.find("\nCautions\n").expect("cautions");
        assert_eq!(table[cautions..].matches("\n  - ").count(), estimate.cautions.len(), "{name}");
    }
}

#[test]
fn every_total_of_a_priced_house_is_a_formula_that_gives_the_figure_of_the_document() {
    for name in EXAMPLES {
        let estimate = priced(name);
        let bytes = documents::xlsx::estimate(&estimate).expect("a workbook");
        let mut book = Xlsx::new(Cursor::new(bytes)).expect("that opens");

        let formulas = |book: &mut Xlsx<_>, sheet: &str| {
            let range = book.worksheet_formula(sheet).expect("formulas");
            range.rows().flatten().filter(|formula| !formula.is_empty()).count()
        };
        assert_eq!(formulas(&mut book, "Summary"), 9, "{name}");
        assert_eq!(formulas(&mut book, "Rooms"), 3, "{name}");
        let lines = book.worksheet_range("Lines").expect("the sheet is there");
        let amounts = lines.rows().skip(1).take(estimate.lines.len()).map(|row| row[11].as_f64().expect("a figure"));
        let sum: Money = amounts.map(|amount| money(&format!("{amount:.2}"))).sum();
        assert_eq!(sum, estimate.totals.net, "{name}");
    }
}

#[test]
fn the_amounts_of_every_example_as_csv_add_to_its_net_price() {
    for name in EXAMPLES {
        let estimate = priced(name);
        let bytes = documents::csv::estimate_lines(&estimate).expect("memory does not fail");

        let mut reader = ::csv::Reader::from_reader(bytes.as_slice());
        let sum: Money = reader.records().map(|row| money(&row.expect("a row")[11])).sum();
        assert_eq!(sum, estimate.totals.net, "{name}");
    }
}

#[test]
fn every_example_reads_back_from_its_stored_bytes_to_the_byte() {
    for name in EXAMPLES {
        let stored = serde_json::to_vec(&priced(name)).expect("writes");
        let read: Estimate = serde_json::from_slice(&stored).expect("reads back");

        assert!(serde_json::to_vec(&read).expect("writes") == stored, "{name}");
    }
}

#[test]
fn the_diagram_says_what_is_found_at_each_board_and_where_its_earth_comes_from() {
    let estimate = priced("kestrel-bank.json");
    let sheet = documents::drawings::Drawing::SingleLineDiagram.of(&estimate).expect("a diagram");

    let board = estimate.board.zs_ohm.expect("known").value();
    assert!(sheet.contains(&format!("11 spare; Zs {board:.2} ohm by the house")), "the consumer unit");
    let workshop = &estimate.board.sub_boards[0];
    let zs = workshop.zs_ohm.expect("checked").value();
    assert!(sheet.contains(&format!("3 used; Zs {zs:.2} ohm by the house")), "the workshop's board");
    // Not cut off where the line ends.
    assert!(workshop.earthing.ends_with("at the far gland") && sheet.contains("at the far gland"), "its earth");
    assert!(sheet.contains("1.5/1 mm2 3-core and earth"), "the alarms");
}
