//! A firm's sheet goes out to a spreadsheet and comes back: what is plain is taken, what is not is named by its cell.

use engine::faults::CellFault;
use engine::money::Money;
use engine::rate_sheet::difference::difference;
use engine::rate_sheet::sections::{Section, export};
use engine::rate_sheet::{Material, RateSheet};
use engine::{Engine, Stamp};

fn csv(section: Section, sheet: &RateSheet) -> String {
    String::from_utf8(export(section, sheet)).expect("a table is text")
}

fn faults(section: Section, text: &str) -> Vec<CellFault> {
    Engine::new().accept_section(section, text.as_bytes(), &RateSheet::standard()).expect_err("it is refused")
}

/// The one fault: row, column, detail.
fn fault(section: Section, text: &str) -> (u64, String, String) {
    let faults = faults(section, text);
    let [fault] = <[CellFault; 1]>::try_from(faults.clone()).unwrap_or_else(|_| panic!("one fault: {faults:?}"));
    (fault.row, fault.column.unwrap_or_default(), fault.detail)
}

/// The standard sheet's section with one text put in place of another.
fn with(section: Section, from: &str, to: &str) -> String {
    let text = csv(section, &RateSheet::standard());
    assert!(text.contains(from), "{from}");
    text.replacen(from, to, 1)
}

#[test]
fn every_section_goes_out_and_comes_back_the_same_to_the_byte() {
    let engine = Engine::new();
    let sheet = RateSheet::standard();
    let mut own = sheet.clone();
    own.terms.category_percents.insert("cable".to_owned(), -5.0);
    own.effective_from = Some("2027-01-04".to_owned());
    own.note = "=1+1, said \"twice\"; in euros €".to_owned();
    assert_eq!(
        engine.accept_section(Section::Terms, &export(Section::Terms, &own), &sheet).as_ref(),
        Ok(&own),
        "all that a firm may say of its sheet"
    );
    for section in Section::ALL {
        let out = export(*section, &sheet);

        let back = engine.accept_section(*section, &out, &sheet).expect("what was written is read");

        assert_eq!(back, sheet, "{section}");
        assert!(export(*section, &back) == out, "{section}");
    }
}

#[test]
fn every_term_of_the_sheet_stands_in_its_table() {
    let sheet = RateSheet::standard();
    let table = csv(Section::Terms, &sheet);
    let document = serde_json::to_value(&sheet.terms).expect("it is written");
    let families = [("finish_multiples", "\"finish:white\","), ("payment_stages", "\"payment:order\",")];
    for term in document.as_object().expect("terms").keys() {
        let family = families.iter().find(|(name, _)| name == term).map(|(_, row)| (*row).to_owned());
        let row = family.unwrap_or_else(|| format!("\"{term}\","));
        assert!(table.contains(&row), "{term}");
    }
}

#[test]
fn a_spreadsheets_own_ways_of_writing_are_read() {
    let engine = Engine::new();
    let sheet = RateSheet::standard();
    let plain = csv(Section::Points, &sheet);
    let expected = engine.accept_section(Section::Points, plain.as_bytes(), &sheet).expect("it is read");
    let ways = [
        ("byte-order mark", format!("\u{feff}{plain}")),
        ("bare line feeds", plain.replace("\r\n", "\n")),
        ("blank lines", plain.replace("\r\n", "\r\n\r\n,,,,\r\n")),
        ("pound signs", plain.replace(",82.00,", ",£82.00,").replace(",68.00,", ",\"£ 68\",")),
        ("semicolons", plain.replace(',', ";")),
        ("decimal commas", plain.replace(',', ";").replace("82.00", "82,00")),
        ("tabs", plain.replace(',', "\t")),
        ("capitals in the heading", plain.replacen("\"materials_percent\"", "Materials Percent", 1)),
        ("percent signs", plain.replace(",22,", ",22 %,")),
        ("no quotation marks", plain.replace('"', "")),
    ];
    for (way, text) in ways {
        let read = engine.accept_section(Section::Points, text.as_bytes(), &sheet);
        assert_eq!(read.as_ref(), Ok(&expected), "{way}");
    }
}

#[test]
fn a_price_below_nothing_is_refused_at_its_cell() {
    let text = with(Section::Materials, ",100,62.00,", ",100,-62.00,");
    let (row, column, detail) = fault(Section::Materials, &text);
    assert_eq!((row, column.as_str()), (3, "pack_price"));
    assert!(detail.contains("0.00"), "{detail}");
}

#[test]
fn a_price_that_no_pack_has_and_a_price_that_is_none_are_refused() {
    let (row, column, _) = fault(Section::Materials, &with(Section::Materials, ",100,62.00,", ",100,6200000.00,"));
    assert_eq!((row, column.as_str()), (3, "pack_price"));
    let (row, column, detail) = fault(Section::Materials, &with(Section::Materials, ",100,62.00,", ",100,ask,"));
    assert_eq!((row, column.as_str()), (3, "pack_price"));
    assert!(detail.contains("`ask`"), "{detail}");
}

#[test]
fn an_operation_that_nothing_asks_for_is_refused_with_the_one_that_was_meant() {
    let text = with(Section::Labour, "\"chase-single-brick\"", "\"chase-singel-brick\"");
    let found = faults(Section::Labour, &text);
    assert!(found.iter().any(|fault| fault.row > 1
        && fault.column.as_deref() == Some("operation")
        && fault.detail.contains("`chase-single-brick`")));
    assert!(found.iter().any(|fault| fault.row == 1 && fault.detail.contains("`chase-single-brick`")), "{found:?}");
}

#[test]
fn a_material_of_the_firms_own_is_kept_though_nothing_asks_for_it() {
    let own = "own-item,Own item,each,10,12.5,0,no,100 at 99; 50 at £55,own,first-fix,ours\r\n";
    let text = csv(Section::Materials, &RateSheet::standard()) + own;
    let sheet = Engine::new().accept_section(Section::Materials, text.as_bytes(), &RateSheet::standard());
    let sheet = sheet.expect("it is read");
    let last = sheet.materials.last().expect("a last row");
    assert_eq!(last.pack_price.to_string(), "12.50");
    let packs: Vec<(f64, String)> = last.other_packs.iter().map(|pack| (pack.size, pack.price.to_string())).collect();
    assert_eq!(packs, [(100.0, "99.00".to_owned()), (50.0, "55.00".to_owned())]);
}

#[test]
fn an_item_that_the_engine_asks_for_cannot_be_left_out() {
    let text: String = csv(Section::Materials, &RateSheet::standard())
        .split_inclusive("\r\n")
        .filter(|line| !line.starts_with("\"clip\","))
        .collect();
    let (row, _, detail) = fault(Section::Materials, &text);
    assert_eq!(row, 1);
    assert!(detail.contains("`clip`"), "{detail}");
}

#[test]
fn hours_out_of_order_a_row_twice_and_a_dearer_further_point_are_refused() {
    let text = with(Section::Labour, ",0.06,0.1,0.18,", ",0.06,0.3,0.18,");
    assert_eq!(fault(Section::Labour, &text).0, 2);

    let points = csv(Section::Points, &RateSheet::standard());
    let again = points.lines().nth(1).expect("a first row").to_owned();
    let (row, column, detail) = fault(Section::Points, &format!("{points}{again}\r\n"));
    assert_eq!((row as usize, column.as_str()), (points.lines().count() + 1, "item"));
    assert!(detail.contains("keep one"), "{detail}");

    let (row, column, _) = fault(Section::Points, &with(Section::Points, ",82.00,68.00,", ",82.00,83.00,"));
    assert_eq!((row, column.as_str()), (2, "further"));
}

#[test]
fn all_faults_are_told_at_once_in_the_order_of_the_rows() {
    let text = with(Section::Points, ",82.00,68.00,22,", ",x,y,z,");
    let columns: Vec<String> = faults(Section::Points, &text).into_iter().filter_map(|fault| fault.column).collect();
    assert_eq!(columns, ["first", "further", "materials_percent"]);
}

#[test]
fn what_cannot_be_read_and_what_makes_no_sense_are_told_in_one_answer() {
    // Row 2: an amount that is none. Row 3: a price below nothing. Row 5: a pack that holds nothing, which the contract
    // refuses, and beside it a price that the rules do.
    let text = csv(Section::Materials, &RateSheet::standard());
    let text: Vec<String> = text
        .lines()
        .enumerate()
        .map(|(index, line)| {
            let mut cells: Vec<&str> = line.split(',').collect();
            match index + 1 {
                2 => cells[4] = "ask",
                3 => cells[4] = "-1.00",
                5 => (cells[3], cells[4]) = ("0", "-2.00"),
                _ => {}
            }
            cells.join(",")
        })
        .collect();

    let found = faults(Section::Materials, &text.join("\r\n"));

    let places: Vec<(u64, &str)> =
        found.iter().map(|fault| (fault.row, fault.column.as_deref().unwrap_or_default())).collect();
    assert_eq!(places, [(2, "pack_price"), (3, "pack_price"), (5, "pack_price"), (5, "pack_size")], "{found:?}");
}

#[test]
fn a_cell_that_cannot_be_read_is_not_blamed_for_what_rests_on_it() {
    // Hours out of order, shares that do not add to 100: nobody can tell while one of the figures is missing.
    let hours = with(Section::Labour, ",0.06,0.1,0.18,", ",x,0.1,0.18,");
    assert_eq!(fault(Section::Labour, &hours).1, "optimistic_h");
    let payments = with(Section::Terms, "\"payment:order\",15", "\"payment:order\",some");
    assert!(fault(Section::Terms, &payments).2.contains("some"));
    let tax = with(Section::Terms, "\"vat\",\"standard\"", "\"vat\",\"twenty\"").replacen("28.00", "0.00", 1);
    let found = faults(Section::Terms, &tax);
    assert_eq!(found.len(), 2, "a word that is not on its list and a rate of nothing: {found:?}");
}

#[test]
fn a_missing_a_doubled_and_a_misspelt_column_are_refused_in_the_heading() {
    let text = with(Section::Points, "\"further\"", "\"furhter\"");
    let found = faults(Section::Points, &text);
    assert!(found.iter().all(|fault| fault.row == 1), "{found:?}");
    assert!(found.iter().any(|fault| fault.detail.contains("did you mean `further`")), "{found:?}");
    assert!(found.iter().any(|fault| fault.detail.contains("`further` is missing")), "{found:?}");
    assert_eq!(fault(Section::Points, "").0, 1);
}

#[test]
fn a_term_is_told_by_its_row() {
    let text = with(Section::Terms, "28.00", "£0");
    let (row, column, _) = fault(Section::Terms, &text);
    let line = text.lines().position(|line| line.contains("labour_rate")).expect("it is there") + 1;
    assert_eq!((row as usize, column.as_str()), (line, "value"));

    let (_, column, detail) =
        fault(Section::Terms, &(csv(Section::Terms, &RateSheet::standard()) + "labuor_rate,3\r\n"));
    assert_eq!(column, "term");
    assert!(detail.contains("`labour_rate`"), "{detail}");

    let payments = with(Section::Terms, "\"payment:order\",15", "\"payment:order\",25");
    assert!(fault(Section::Terms, &payments).2.contains("110"));
    let nothing = with(Section::Terms, "\"payment:order\",15", "\"payment:order\",0");
    let found = faults(Section::Terms, &nothing);
    let line = nothing.lines().position(|line| line.contains("payment:order")).expect("it is there") + 1;
    assert!(found.iter().any(|fault| fault.row as usize == line), "{found:?}");
    let tax = with(Section::Terms, "\"vat\",\"standard\"", "\"vat\",\"twenty\"");
    assert!(fault(Section::Terms, &tax).2.contains("reverse-charge"));

    let days = with(Section::Terms, "\"effective_from\",\"\"", "effective_from,2027-02-30");
    assert!(fault(Section::Terms, &days).2.contains("calendar"));
}

#[test]
fn five_thousand_items_of_a_merchants_list_are_read_and_made_ready() {
    let mut sheet = RateSheet::standard();
    sheet.materials.extend((0..5_000).map(|n| Material {
        item: format!("merchant-{n}"),
        description: format!("Item {n} of a merchant's list, invented"),
        unit: "each".to_owned(),
        pack_size: 10.0,
        pack_price: "12.50".parse().expect("an amount"),
        waste_percent: 2.0,
        finished: false,
        other_packs: Vec::new(),
        category: "invented".to_owned(),
        stage: None,
        source: "invented".to_owned(),
    }));
    let engine = Engine::new();
    let table = export(Section::Materials, &sheet);

    let read = engine.accept_section(Section::Materials, &table, &RateSheet::standard()).expect("it is read");
    let workbook = engine.prepare(read, 1).expect("it has everything");

    assert_eq!(workbook.materials().len(), sheet.materials.len());
}

#[test]
fn two_sheets_differ_by_what_was_changed_and_nothing_else() {
    let before = RateSheet::standard();
    let mut after = before.clone();
    after.materials[1].pack_price = "70.00".parse().expect("an amount");
    after.terms.overhead_percent = 9.0;
    let gone = after.points.pop().expect("a rate");
    after.materials.reverse();

    let found = difference(&before, &after);

    let told: Vec<_> =
        found.changes.iter().map(|change| (change.section, change.key.as_str(), change.column)).collect();
    assert_eq!(
        told,
        [
            (Section::Materials, "cable-te-1-5", Some("pack_price")),
            (Section::Points, gone.item.as_str(), None),
            (Section::Terms, "overhead_percent", Some("value")),
        ]
    );
    assert_eq!(found.changes_total, 3);
    assert_eq!((found.changes[0].before.as_deref(), found.changes[0].after.as_deref()), (Some("62.00"), Some("70.00")));
    assert!(difference(&after, &after).changes.is_empty());
}

#[test]
fn the_lines_of_two_estimates_account_for_every_penny_between_them() {
    let engine = Engine::new();
    let house = include_bytes!("../../../openapi/examples/kestrel-bank.json");
    let request = engine.read_survey(house).expect("the demonstration house is read");
    let standard = RateSheet::standard();
    let mut dearer = standard.clone();
    dearer.terms.labour_rate = "31.00".parse().expect("an amount");
    let price = |sheet: RateSheet| {
        let workbook = engine.prepare(sheet, 1).expect("it has everything");
        let stamp = Stamp { id: String::new(), created_at: String::new() };
        engine.estimate(&request, &workbook, stamp)
    };
    let (before, after) = (price(standard), price(dearer));
    let in_memory = engine::estimate::difference::between(&before, &after);
    let [before, after] = [before, after].map(|estimate| serde_json::to_vec(&estimate).expect("it is written"));

    let found = engine::estimate::difference::difference(&before, &after).expect("two estimates");

    assert_eq!(in_memory, found, "two estimates differ as their documents do");
    let net = found.totals.iter().find(|total| total.total == "net").expect("the net price differs").difference;
    assert!(!net.is_negative() && net != engine::money::Money::ZERO);
    assert_eq!(found.lines.iter().map(|line| line.difference).sum::<engine::money::Money>(), net);
    assert_eq!(found.lines_total, found.lines.len());
    let same = engine::estimate::difference::difference(&after, &after).expect("two estimates");
    assert_eq!(same, engine::estimate::difference::EstimateDifference::default());
}

#[test]
fn a_kept_sheet_whose_unit_price_is_a_slip_of_the_keys_is_refused_and_the_largest_that_is_taken_prices_a_house() {
    let engine = Engine::new();
    let with = |price: &str, size: f64| {
        let mut sheet = RateSheet::standard();
        for material in &mut sheet.materials {
            (material.pack_price, material.pack_size) = (price.parse().expect("an amount"), size);
            material.other_packs.clear();
        }
        sheet
    };
    let slip = with("999999999999.00", 0.000_000_1);
    let materials = slip.materials.len();
    let refused = engine.prepare(slip, 1).expect_err("no house can be priced with it");
    assert!(refused.missing.is_empty(), "no row is missing: {:?}", refused.missing);
    assert_eq!(refused.beyond.len(), materials, "each price of it is beyond the limit");
    let second = &refused.beyond[1];
    assert_eq!((second.row, second.pointer().as_str()), (1, "/materials/1/pack_price"));
    let said = second.to_string();
    assert!(said.contains(&second.item) && said.contains("no more than 1000000000.00 a unit"), "{said}");
    assert!(said.contains(&format!("comes to {:.2} a unit", second.unit_price)), "what was found: {said}");
    assert!(refused.to_string().contains(&said) && !refused.to_string().contains("lacks"), "{refused}");

    let mut one = RateSheet::standard();
    one.materials[4].pack_price = "999999999999.00".parse().expect("an amount");
    one.materials[4].pack_size = 0.000_1;
    one.labour.retain(|unit| unit.operation != "set-up-clear-away-day");
    let refused = engine.prepare(one, 1).expect_err("no house can be priced with it");
    assert_eq!(refused.beyond.iter().map(|price| price.row).collect::<Vec<_>>(), [4]);
    assert!(
        refused.missing.iter().any(|row| row.key == "set-up-clear-away-day"),
        "and what is missing stands beside it"
    );
    let faults = engine.rate_sheet_faults(&with("100000.00", 0.01));
    assert!(faults.iter().any(|fault| fault.pointer == "/materials/0/pack_price"), "{faults:?}");

    let largest = with("1000.00", 0.01);
    assert!(engine.rate_sheet_faults(&largest).is_empty());
    let house = include_bytes!("../../../openapi/examples/kestrel-bank.json");
    let request = engine.read_survey(house).expect("the example reads");
    let kept_long_ago = with("500.00", 0.000_001);
    for sheet in [largest, kept_long_ago] {
        let workbook = engine.prepare(sheet, 1).expect("it can be priced with");
        let stamp = Stamp { id: String::new(), created_at: String::new() };
        let estimate = engine.estimate(&request, &workbook, stamp);
        assert_eq!(estimate.lines.iter().map(|line| line.amount).sum::<Money>(), estimate.totals.net);
    }
}
