//! A firm makes a sheet of its own, changes it, and prices with it; nobody's change is lost on the way.

use api::Auth;
use end_to_end::{Answer, App, TestDatabase};
use reqwest::Method;
use serde_json::{Value, json};

use crate::given::{DEMONSTRATION, kitchen};

struct Sheet {
    app: App,
}

/// A service whose firm has a copy of the built-in sheet, `ours`.
async fn with_our_copy() -> Sheet {
    let sheet = Sheet { app: App::open().await };
    let made = sheet.make(&json!({ "name": "ours", "copy_of": { "name": "standard" }, "note": "Ours." })).await;
    assert_eq!(made.status, 201, "{}", String::from_utf8_lossy(&made.bytes));
    sheet
}

impl Sheet {
    async fn make(&self, body: &Value) -> Answer {
        let request = self.app.request(Method::POST, "/v1/rate-sheets").header("content-type", "application/json");
        Answer::to(request.body(body.to_string())).await
    }

    async fn write(&self, name: &str, header: (&str, &str), body: impl Into<Vec<u8>>) -> Answer {
        let request = self.app.request(Method::PUT, &format!("/v1/rate-sheets/{name}"));
        let request = request.header("content-type", "application/json").header(header.0, header.1);
        Answer::to(request.body(body.into())).await
    }

    async fn write_section(&self, section: &str, tag: &str, table: impl Into<Vec<u8>>) -> Answer {
        let request = self.app.request(Method::PUT, &format!("/v1/rate-sheets/ours/sections/{section}"));
        Answer::to(request.header("content-type", "text/csv").header("if-match", tag).body(table.into())).await
    }

    async fn section(&self, section: &str) -> Answer {
        self.app.get(&format!("/v1/rate-sheets/ours/sections/{section}")).await
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_copy_is_a_sheet_of_its_own_and_the_same_request_is_done_once() {
    let given = with_our_copy().await;

    let copy = given.app.get("/v1/rate-sheets/ours").await.json();
    assert_eq!((&copy["name"], &copy["note"], &copy["invented"]), (&json!("ours"), &json!("Ours."), &json!(true)));
    assert_eq!(copy["labour"], given.app.get("/v1/rate-sheets/standard").await.json()["labour"]);

    let again = given.make(&json!({ "name": "ours", "copy_of": { "name": "standard" }, "note": "Ours." })).await;
    assert_eq!((again.status.as_u16(), &again.json()["version"]), (201, &json!(1)));
    let other = given.make(&json!({ "name": "ours", "copy_of": { "name": "standard" }, "note": "Other." })).await;
    let _ = other.problem(409, "already-there");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_sheet_made_of_nothing_of_two_things_or_of_one_that_is_not_there_is_refused() {
    let given = Sheet { app: App::open().await };

    assert_eq!(given.make(&json!({ "name": "ours" })).await.pointers(), ["/copy_of"]);
    let whole = given.app.get("/v1/rate-sheets/standard").await.json();
    let both = json!({ "name": "standard", "copy_of": { "name": "standard" }, "sheet": whole });
    assert_eq!(given.make(&both).await.pointers(), ["/sheet"]);
    assert_eq!(given.make(&json!({ "name": "ours", "sheet": whole })).await.pointers(), ["/sheet/name"]);
    let none = json!({ "name": "ours", "copy_of": { "name": "standard", "version": 9 } });
    assert_eq!(given.make(&none).await.pointers(), ["/copy_of"]);
    assert_eq!(given.make(&json!({ "name": "Not a name", "copy_of": { "name": "x" } })).await.pointers(), ["/name"]);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_sheet_is_written_over_the_version_that_was_read_and_kept_to_the_byte() {
    let given = with_our_copy().await;
    let read = given.app.get("/v1/rate-sheets/ours").await;
    let mut sheet = read.json();
    sheet["terms"]["labour_rate"] = json!("31.00");
    let text = serde_json::to_string_pretty(&sheet).expect("it is written");

    let written = given.write("ours", ("if-match", read.header("etag")), text.as_bytes()).await;

    assert_eq!((written.status.as_u16(), &written.json()["version"]), (200, &json!(2)));
    let newest = given.app.get("/v1/rate-sheets/ours").await;
    assert!(newest.bytes == text.as_bytes());
    assert_eq!(newest.header("etag"), written.header("etag"));
    let first = given.app.get("/v1/rate-sheets/ours/versions/1").await;
    assert!(first.bytes == read.bytes, "a version never changes");
    let same = given.write("ours", ("if-match", written.header("etag")), text.as_bytes()).await;
    assert_eq!(same.json()["version"], 2, "the same document makes no version");
}

#[tokio::test(flavor = "multi_thread")]
async fn writing_without_saying_over_what_is_refused_and_so_is_writing_over_what_has_gone() {
    let given = with_our_copy().await;
    let read = given.app.get("/v1/rate-sheets/ours").await;
    let put = |name: &str| {
        let request = given.app.request(Method::PUT, &format!("/v1/rate-sheets/{name}"));
        request.header("content-type", "application/json").body(read.bytes.clone())
    };

    let _ = Answer::to(put("ours")).await.problem(428, "precondition-required");
    for stale in ["\"other\"", "W/\"other\"", &format!("W/{}", read.header("etag")), "\"\", \"b\""] {
        let _ = given.write("ours", ("if-match", stale), read.bytes.clone()).await.problem(412, "precondition-failed");
    }
    let _ = given.write("ours", ("if-none-match", "*"), read.bytes.clone()).await.problem(412, "precondition-failed");
    let _ = given.write("ours", ("if-none-match", "\"a\""), read.bytes.clone()).await.problem(422, "invalid");
    let both = put("ours").header("if-match", "*").header("if-none-match", "*");
    let _ = Answer::to(both).await.problem(422, "invalid");

    let renamed = String::from_utf8_lossy(&read.bytes).replacen("\"ours\"", "\"new\"", 1);
    let _ = given.write("new", ("if-match", "*"), renamed.clone()).await.problem(412, "precondition-failed");
    let made = given.write("new", ("if-none-match", "*"), renamed).await;
    assert_eq!((made.status.as_u16(), made.header("location")), (201, "/v1/rate-sheets/new"));
    assert_eq!(given.write("ours", ("if-match", "*"), read.bytes.clone()).await.status, 200);
}

#[tokio::test(flavor = "multi_thread")]
async fn of_eight_who_write_over_the_same_version_at_once_exactly_one_wins() {
    let given = with_our_copy().await;
    let read = given.app.get("/v1/rate-sheets/ours").await;
    let writing: Vec<_> = (1..=8)
        .map(|n| {
            let mut sheet = read.json();
            sheet["terms"]["labour_rate"] = json!(format!("3{n}.00"));
            let request = given.app.request(Method::PUT, "/v1/rate-sheets/ours");
            let request = request.header("content-type", "application/json").header("if-match", read.header("etag"));
            tokio::spawn(Answer::to(request.body(sheet.to_string())))
        })
        .collect();

    let mut answers = Vec::new();
    for writer in writing {
        answers.push(writer.await.expect("no panic"));
    }

    let won: Vec<&Answer> = answers.iter().filter(|answer| answer.status == 200).collect();
    assert_eq!(won.len(), 1, "{:?}", answers.iter().map(|answer| answer.status).collect::<Vec<_>>());
    for lost in answers.iter().filter(|answer| answer.status != 200) {
        let _ = lost.problem(412, "precondition-failed");
    }
    let newest = given.app.get("/v1/rate-sheets/ours").await;
    assert_eq!(newest.header("etag"), won[0].header("etag"));
    let versions = given.app.get("/v1/rate-sheets/ours/versions").await.json();
    assert_eq!(versions["items"].as_array().map(Vec::len), Some(2));
}

#[tokio::test(flavor = "multi_thread")]
async fn rates_that_make_no_sense_are_refused_each_at_its_place() {
    let given = with_our_copy().await;
    let read = given.app.get("/v1/rate-sheets/ours").await;
    let mut sheet = read.json();
    sheet["terms"]["labour_rate"] = json!("-28.00");
    sheet["materials"][0]["pack_price"] = json!("99999999.00");
    sheet["labour"][3]["operation"] = json!("chase-dubble-aerated-block");
    sheet["effective_from"] = json!("2027-02-30");
    sheet["points"].as_array_mut().expect("rows").retain(|rate| rate["item"] != "visit");

    let mut pointers = given.write("ours", ("if-match", "*"), sheet.to_string()).await.pointers();

    pointers.sort();
    let expected = [
        "/effective_from",
        "/labour",
        "/labour/3/operation",
        "/materials/0/pack_price",
        "/points",
        "/terms/labour_rate",
    ];
    assert_eq!(pointers, expected);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_section_goes_to_a_spreadsheet_and_back_and_makes_a_version_only_where_something_changes() {
    let given = with_our_copy().await;
    for section in ["labour", "materials", "points", "factors", "hire", "terms"] {
        let table = given.section(section).await;
        assert!(table.header("content-type").starts_with("text/csv"), "{section}");

        let written = given.write_section(section, table.header("etag"), table.bytes.clone()).await;

        assert_eq!((written.status.as_u16(), &written.json()["version"]), (200, &json!(1)), "{section}");
        assert_eq!(written.header("etag"), table.header("etag"), "{section}");
        assert!(given.section(section).await.bytes == table.bytes, "{section}");
    }

    let table = given.section("points").await;
    let text = String::from_utf8(table.bytes.clone()).expect("text");
    let dearer = format!("\u{feff}{}", text.replace(',', ";").replacen("82.00", "£90", 1));
    let written = given.write_section("points", table.header("etag"), dearer).await;
    assert_eq!(written.json()["version"], 2);
    let newest = given.section("points").await;
    assert_eq!(written.header("etag"), newest.header("etag"), "the next `If-Match` works from the answer");
    assert_eq!(newest.header("etag"), format!("\"{}\"", written.json()["digest"].as_str().expect("a digest")));
    assert_eq!(String::from_utf8_lossy(&newest.bytes), text.replacen("82.00", "90.00", 1));
    let stale = given.write_section("points", table.header("etag"), text).await;
    let _ = stale.problem(412, "precondition-failed");
}

#[tokio::test(flavor = "multi_thread")]
async fn faults_of_a_table_are_told_by_row_and_column() {
    let given = with_our_copy().await;
    let table = given.section("materials").await;
    let text = String::from_utf8(table.bytes.clone()).expect("text").replacen(",100,62.00,", ",0,-62.00,", 1);

    let refused = given.write_section("materials", table.header("etag"), text).await.problem(422, "invalid");

    let places: Vec<(Value, Value)> = refused["errors"]
        .as_array()
        .expect("errors")
        .iter()
        .map(|error| (error["row"].clone(), error["column"].clone()))
        .collect();
    let both = [(json!(3), json!("pack_price")), (json!(3), json!("pack_size"))];
    assert_eq!(places, both, "what the schema refuses and what the rules do, in one answer: {refused}");
    let _ = given.section("nothing").await.problem(404, "not-found");
    let json = given.app.request(Method::PUT, "/v1/rate-sheets/ours/sections/points").header("if-match", "*");
    let wrong = Answer::to(json.header("content-type", "application/json").body("{}")).await;
    let _ = wrong.problem(415, "unsupported-media-type");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_firm_prices_with_its_own_sheet_and_sees_every_penny_of_the_difference() {
    let given = with_our_copy().await;
    let terms = given.section("terms").await;
    let text = String::from_utf8(terms.bytes.clone()).expect("text");
    let own = text.replacen("28.00", "£31", 1).replacen("\"invented\",\"yes\"", "\"invented\",no", 1);
    assert_eq!(given.write_section("terms", terms.header("etag"), own).await.status, 200);
    let house: Value = serde_json::from_str(DEMONSTRATION).expect("the demonstration house");
    let price = async |name: &str| {
        let mut request = house.clone();
        request["rate_sheet"] = json!({ "name": name });
        given.app.price(request.to_string()).await.json()
    };
    let (standard, ours) = (price("standard").await, price("ours").await);
    assert_eq!((&ours["rate_sheet"]["name"], &ours["rate_sheet"]["version"]), (&json!("ours"), &json!(2)));

    let asked = json!({ "before": { "name": "standard" }, "after": { "name": "ours" }, "survey": house["survey"],
                        "method": house["method"], "terms": house["terms"] });
    let mut asked = asked;
    asked.as_object_mut().expect("an object").retain(|_, value| !value.is_null());
    let request = given.app.request(Method::POST, "/v1/rate-sheet-differences");
    let found = Answer::to(request.header("content-type", "application/json").body(asked.to_string())).await;

    assert_eq!(found.status, 200, "{}", String::from_utf8_lossy(&found.bytes));
    let found = found.json();
    let keys: Vec<&str> =
        found["changes"].as_array().expect("changes").iter().filter_map(|change| change["key"].as_str()).collect();
    assert_eq!(keys, ["invented", "labour_rate", "note"]);
    let pennies = |amount: &Value| -> i64 { amount.as_str().expect("money").replace('.', "").parse().expect("money") };
    let lines: i64 =
        found["on_survey"]["lines"].as_array().expect("lines").iter().map(|line| pennies(&line["difference"])).sum();
    assert_eq!(lines, pennies(&ours["totals"]["net"]) - pennies(&standard["totals"]["net"]));
    assert!(lines > 0);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_firm_that_is_not_registered_for_tax_is_not_made_to_charge_some() {
    let given = with_our_copy().await;
    let terms = given.section("terms").await;
    let text = String::from_utf8(terms.bytes.clone()).expect("text");
    let own = text.replacen("\"vat\",\"standard\"", "\"vat\",\"not-registered\"", 1);
    assert_eq!(given.write_section("terms", terms.header("etag"), own).await.status, 200);
    let mut request = kitchen(3);
    request["rate_sheet"] = json!({ "name": "ours" });
    assert_eq!(given.app.price(request.to_string()).await.json()["totals"]["vat"], "0.00");

    request["terms"] = json!({ "vat": "standard" });

    assert_eq!(given.app.price(request.to_string()).await.pointers(), ["/terms/vat"]);
    let asked = json!({ "before": { "name": "standard" }, "after": { "name": "ours" }, "survey": request["survey"],
                        "terms": request["terms"] });
    let compared = given.app.request(Method::POST, "/v1/rate-sheet-differences");
    let compared = compared.header("content-type", "application/json").body(asked.to_string());
    assert_eq!(Answer::to(compared).await.pointers(), ["/terms/vat"]);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_version_of_next_year_is_not_priced_with_unless_it_is_asked_for() {
    let given = with_our_copy().await;
    let read = given.app.get("/v1/rate-sheets/ours").await;
    let mut sheet = read.json();
    sheet["effective_from"] = json!("2999-01-01");
    assert_eq!(given.write("ours", ("if-match", "*"), sheet.to_string()).await.json()["version"], 2);
    let price = async |reference: Value| {
        let mut request = kitchen(3);
        request["rate_sheet"] = reference;
        given.app.price(request.to_string()).await
    };

    assert_eq!(price(json!({ "name": "ours" })).await.json()["rate_sheet"]["version"], 1);
    assert_eq!(price(json!({ "name": "ours", "version": 2 })).await.json()["rate_sheet"]["version"], 2);

    sheet.as_object_mut().expect("an object").remove("effective_from");
    sheet["effective_until"] = json!("1999-12-31");
    let only = sheet.to_string().replacen("\"ours\"", "\"past\"", 1);
    assert_eq!(given.write("past", ("if-none-match", "*"), only).await.status, 201);
    assert_eq!(price(json!({ "name": "past" })).await.pointers(), ["/rate_sheet/name"]);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_sheet_of_five_thousand_items_is_taken_in_two_seconds_and_priced_from_memory_afterwards() {
    let given = with_our_copy().await;
    let table = given.section("materials").await;
    let mut text = String::from_utf8(table.bytes.clone()).expect("text");
    for n in 0..5_000 {
        text.push_str(&format!("merchant-{n},Item {n} of an invented list,each,10,12.5,2,no,,invented,,invented\r\n"));
    }

    let started = std::time::Instant::now();
    let written = given.write_section("materials", table.header("etag"), text).await;
    let taken = started.elapsed();

    assert_eq!(written.status, 200);
    // The limit of the specification, for a build without optimisation too.
    assert!(taken.as_secs_f64() < 2.0, "{taken:?}");
    let mut request = kitchen(3);
    request["rate_sheet"] = json!({ "name": "ours" });
    assert_eq!(given.app.price(request.to_string()).await.status, 201);
}

/// The place of the cable that most sockets are wired with.
fn place_of_a_cable(sheet: &Value) -> usize {
    let materials = sheet["materials"].as_array().expect("rows");
    materials.iter().position(|material| material["item"] == "cable-te-2-5").expect("the cable is there")
}

#[tokio::test(flavor = "multi_thread")]
async fn a_pack_of_less_than_a_hundredth_is_refused_as_a_document_and_as_a_table() {
    let given = with_our_copy().await;
    let mut sheet = given.app.get("/v1/rate-sheets/ours").await.json();
    let place = place_of_a_cable(&sheet);
    sheet["materials"][place]["pack_size"] = json!(0.000_000_1);
    sheet["materials"][place]["other_packs"] = json!([{ "size": 0.001, "price": "1.00" }]);
    let table = given.section("materials").await;
    let text = String::from_utf8(table.bytes.clone()).expect("text");
    let row = text.lines().find(|line| line.starts_with("\"cable-te-2-5\",")).expect("the cable has a row");
    let smaller = row.replacen(",100,", ",0.0000001,", 1);
    assert_ne!(smaller, row);

    let document = given.write("ours", ("if-match", "*"), sheet.to_string()).await;
    let whole = given.make(&json!({ "name": "ours", "sheet": sheet })).await;
    let by_table = given.write_section("materials", table.header("etag"), text.replacen(row, &smaller, 1)).await;

    let at = |field: &str| format!("/materials/{place}/{field}");
    assert_eq!(document.pointers(), [at("pack_size"), at("other_packs/0/size")]);
    let inside = [format!("/sheet{}", at("pack_size")), format!("/sheet{}", at("other_packs/0/size"))];
    assert_eq!(whole.pointers(), inside);
    let fault = &by_table.problem(422, "invalid")["errors"][0];
    assert_eq!(fault["column"], "pack_size");
    assert!(fault["detail"].as_str().is_some_and(|detail| detail.contains("0.01 or more")), "{fault}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_sheet_that_was_kept_with_hardly_anything_in_a_pack_is_still_priced_with() {
    let database = TestDatabase::create().await;
    let store = database.open().await;
    let firm = api::firms::make_ready(&store, api::firms::LOCAL).await.expect("the firm is made");
    let kept = store.find_rate_sheet(firm, "standard", None).await.expect("it is looked for").expect("it is there");
    let mut sheet: Value = serde_json::from_slice(&kept.content).expect("it is JSON");
    let place = place_of_a_cable(&sheet);
    sheet["materials"][place]["pack_size"] = json!(0.000_000_1);
    sheet["name"] = json!("kept");
    let content = sheet.to_string().into_bytes();
    let new = store::NewRateSheet {
        name: "kept",
        currency: "GBP",
        content: &content,
        invented: true,
        notes: None,
        effective_from: None,
        effective_until: None,
    };
    let _ = store.ensure_rate_sheet(firm, &new).await.expect("it is kept");
    store.close().await;
    let app = App::on(database, Auth::Open).await;
    let mut house: Value = serde_json::from_str(DEMONSTRATION).expect("the demonstration house");
    house["rate_sheet"] = json!({ "name": "kept" });

    assert_eq!(app.price(house.to_string()).await.status, 201);
}

#[tokio::test(flavor = "multi_thread")]
async fn however_many_faults_a_sheet_has_a_hundred_are_listed() {
    let given = Sheet { app: App::open().await };
    let mut sheet = given.app.get("/v1/rate-sheets/standard").await.json();
    for unit in sheet["labour"].as_array_mut().expect("rows") {
        unit["operation"] = json!("nothing-of-the-kind");
    }

    let refused = given.make(&json!({ "name": "ours", "note": "Ours.", "sheet": sheet })).await;

    let pointers = refused.pointers();
    assert_eq!(pointers.len(), 100);
    assert_eq!(pointers[..2], ["/sheet/name", "/note"], "what is listed first is kept");
}
