//! A survey in, an estimate out, and the same estimate again later.

use end_to_end::{Answer, App};
use reqwest::Method;
use serde_json::{Value, json};

use crate::given::{DEMONSTRATION, MINIMAL, TALLY, kitchen};

/// The top-level keys that every front end is written against.
const KEYS: [&str; 24] = [
    "id",
    "created_at",
    "reference",
    "currency",
    "rate_sheet",
    "ruleset",
    "engine_version",
    "totals",
    "hours",
    "programme",
    "rooms",
    "lines",
    "circuits",
    "board",
    "demand",
    "routes",
    "take_off",
    "risk_flags",
    "questions",
    "range",
    "cross_check",
    "options",
    "assumptions",
    "exclusions",
];

#[tokio::test(flavor = "multi_thread")]
async fn a_survey_is_priced_and_has_an_address_from_then_on() {
    let app = App::open().await;

    let priced = app.price(MINIMAL).await;

    assert_eq!(priced.status, 201, "{}", String::from_utf8_lossy(&priced.bytes));
    assert_eq!(priced.header("content-type"), "application/json");
    assert_eq!(priced.header("cache-control"), "no-store");
    assert!(priced.header("audit-entry").starts_with("n=1, digest="), "{}", priced.header("audit-entry"));
    let estimate = priced.json();
    for key in KEYS.iter().chain(&["cautions"]) {
        assert!(estimate.get(key).is_some(), "{key} is missing");
    }
    assert_eq!(priced.header("location"), format!("/v1/estimates/{}", estimate["id"].as_str().unwrap_or_default()));
}

#[tokio::test(flavor = "multi_thread")]
async fn an_estimate_comes_back_to_the_byte_also_after_a_restart() {
    let mut app = App::open().await;
    let priced = app.price(DEMONSTRATION).await;
    let path = priced.header("location").to_owned();

    let at_once = app.get(&path).await;
    app.restart().await;
    let later = app.get(&path).await;

    for read in [&at_once, &later] {
        assert_eq!((read.status.as_u16(), read.header("content-type")), (200, "application/json"));
        assert!(read.bytes == priced.bytes, "the bytes differ");
        assert_eq!(read.header("audit-entry"), priced.header("audit-entry"));
        assert_eq!((read.header("cache-control"), read.header("vary")), ("no-store", "Accept, Accept-Encoding"));
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_lines_add_to_the_total_that_was_sent() {
    let app = App::open().await;

    let estimate = app.price(DEMONSTRATION).await.json();

    let pennies = |amount: &Value| -> i64 {
        let digits = amount.as_str().expect("money is a text").replace('.', "");
        digits.parse().expect("money is digits and a point")
    };
    let lines: i64 = estimate["lines"].as_array().expect("lines").iter().map(|line| pennies(&line["amount"])).sum();
    assert_eq!(lines, pennies(&estimate["totals"]["net"]));
    assert!(lines > 0);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_tally_from_a_spreadsheet_is_priced_too() {
    let app = App::open().await;
    let tally =
        || app.request(Method::POST, "/v1/estimates").header("content-type", "text/csv; charset=utf-8").body(TALLY);

    let priced = Answer::to(tally()).await;

    assert_eq!(priced.status, 201, "{}", String::from_utf8_lossy(&priced.bytes));
    assert!(priced.json()["rooms"].as_array().is_some_and(|rooms| rooms.len() > 3));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_tally_is_priced_as_the_kind_of_job_that_the_query_says_and_again_when_it_is_replayed() {
    const ONE_SOCKET: &str = "room,point,count\nlounge,double-socket,1\n";
    let app = App::open().await;
    let send = |query: &str, key: &'static str| {
        let request = app.request(Method::POST, &format!("/v1/estimates{query}")).header("content-type", "text/csv");
        Answer::to(request.header("idempotency-key", key).body(ONE_SOCKET))
    };

    let addition = send("?scope=addition", "one").await;
    let rewire = send("?scope=rewire", "two").await;

    let said = |answer: &Answer| (answer.json()["scope"]["kind"].clone(), answer.json()["scope"]["assumed"].clone());
    assert_eq!(said(&addition), (json!("addition"), json!(false)));
    assert_eq!(said(&rewire), (json!("rewire"), json!(false)));
    let again = Answer::to(app.request(Method::POST, &format!("{}/replay", rewire.header("location")))).await;
    assert_eq!(again.json()["same"], true);
    assert_eq!(send("?scope=addition", "two").await.status, 422, "another kind of job is another request");
    assert_eq!(send("?scope=adition", "three").await.status, 422);
    let survey = app.request(Method::POST, "/v1/estimates?scope=addition").header("content-type", "application/json");
    assert_eq!(Answer::to(survey.body(MINIMAL)).await.status, 422);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_kept_estimate_is_given_as_csv_and_as_a_workbook() {
    let app = App::open().await;
    let priced = app.price(DEMONSTRATION).await;
    let path = priced.header("location").to_owned();
    let given = |accept: &'static str| Answer::to(app.request(Method::GET, &path).header("accept", accept));

    let csv = given("text/csv").await;
    assert_eq!((csv.status.as_u16(), csv.header("content-type")), (200, "text/csv; charset=utf-8; header=present"));
    assert!(csv.header("content-disposition").ends_with(".csv\""), "{}", csv.header("content-disposition"));
    let lines = String::from_utf8(csv.bytes).expect("text").lines().count();
    assert!(lines > priced.json()["lines"].as_array().expect("lines").len(), "{lines} lines");

    let xlsx = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
    let workbook = given("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet, */*;q=0.1").await;
    assert_eq!((workbook.status.as_u16(), workbook.header("content-type")), (200, xlsx));
    assert!(workbook.bytes.starts_with(b"PK"));

    let refused = given("image/png").await.problem(406, "not-acceptable");
    assert!(refused["detail"].as_str().is_some_and(|detail| detail.contains("text/csv")), "{refused}");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_head_of_an_estimate_says_what_its_body_would_be() {
    let app = App::open().await;
    let path = app.price(MINIMAL).await.header("location").to_owned();

    let full = app.get(&path).await;
    let head = Answer::to(app.request(Method::HEAD, &path)).await;

    assert_eq!(head.status, 200);
    assert_eq!(head.header("content-length"), full.bytes.len().to_string());
    assert!(head.bytes.is_empty());
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_no_estimate_of_ours_is_not_found() {
    let app = App::open().await;
    for id in [
        "01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d",
        "00000000-0000-0000-0000-000000000000",
        "9b2c6a3e-5f0d-4d8e-9a57-7d1c2b3a4f5e",
        "kitchen",
        "%00",
        "1' OR '1'='1",
    ] {
        let _ = app.get(&format!("/v1/estimates/{id}")).await.problem(404, "not-found");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_rate_sheet_is_taken_by_name_and_version_and_a_strange_one_is_refused() {
    let app = App::open().await;
    let with = |sheet: Value| {
        let mut survey = kitchen(3);
        survey["rate_sheet"] = sheet;
        survey.to_string()
    };

    let priced = app.price(with(json!({ "name": "standard", "version": 1 }))).await;
    assert_eq!(priced.status, 201);
    assert_eq!(priced.json()["rate_sheet"]["version"], 1);

    let version = app.price(with(json!({ "name": "standard", "version": 7 }))).await;
    assert_eq!(version.pointers(), ["/rate_sheet/version"]);
    let name = app.price(with(json!({ "name": "of-another-firm" }))).await;
    assert_eq!(name.pointers(), ["/rate_sheet/name"]);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_same_survey_gives_the_same_estimate_but_for_its_name_and_time() {
    let app = App::open().await;
    let masked = |answer: Answer| {
        let mut estimate = answer.json();
        estimate["id"] = Value::Null;
        estimate["created_at"] = Value::Null;
        estimate.to_string()
    };

    let (first, second) = tokio::join!(app.price(DEMONSTRATION), app.price(DEMONSTRATION));

    assert_ne!(first.header("location"), second.header("location"));
    assert_eq!(masked(first), masked(second));
}
