//! An estimate comes out again as it was given, or the difference is named.

use end_to_end::{Answer, App};
use reqwest::Method;
use serde_json::json;

use crate::given::{DEMONSTRATION, TALLY, kitchen};

async fn replay(app: &App, estimate: &Answer) -> Answer {
    assert_eq!(estimate.status, 201, "{}", String::from_utf8_lossy(&estimate.bytes));
    Answer::to(app.request(Method::POST, &format!("{}/replay", estimate.header("location")))).await
}

#[tokio::test(flavor = "multi_thread")]
async fn an_estimate_of_a_survey_and_one_of_a_tally_come_out_the_same_to_the_byte() {
    let mut app = App::open().await;
    let survey = app.price(DEMONSTRATION).await;
    let request = app.request(Method::POST, "/v1/estimates").header("content-type", "text/csv");
    let tally = Answer::to(request.body(TALLY)).await;
    app.restart().await;

    for estimate in [survey, tally] {
        let replayed = replay(&app, &estimate).await.json();

        assert_eq!(replayed["same"], true, "{replayed}");
        assert_eq!(replayed["id"], estimate.json()["id"]);
        assert_eq!((&replayed["causes"], replayed.get("differences")), (&json!([]), None));
        assert_eq!(replayed["then"], replayed["now"]);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn an_estimate_keeps_to_its_version_of_the_sheet_when_a_newer_one_is_there() {
    let app = App::open().await;
    let copy = json!({ "name": "ours", "copy_of": { "name": "standard" } });
    let made = app.request(Method::POST, "/v1/rate-sheets").header("content-type", "application/json");
    assert_eq!(Answer::to(made.body(copy.to_string())).await.status, 201);
    let mut survey = kitchen(4);
    survey["rate_sheet"] = json!({ "name": "ours" });
    let estimate = app.price(survey.to_string()).await;
    let mut sheet = app.get("/v1/rate-sheets/ours").await.json();
    sheet["terms"]["labour_rate"] = json!("99.00");
    let request = app.request(Method::PUT, "/v1/rate-sheets/ours").header("if-match", "*");
    let written = Answer::to(request.header("content-type", "application/json").body(sheet.to_string())).await;
    assert_eq!(written.json()["version"], 2);

    let replayed = replay(&app, &estimate).await.json();

    assert_eq!((&replayed["same"], &replayed["then"]["rate_sheet_version"]), (&json!(true), &json!(1)));
    let dearer = app.price(survey.to_string()).await.json();
    assert_ne!(dearer["totals"]["net"], estimate.json()["totals"]["net"]);
}

#[tokio::test(flavor = "multi_thread")]
async fn an_estimate_of_an_older_engine_names_it_and_the_lines_that_differ() {
    let mut app = App::open().await;
    let estimate = app.price(kitchen(4).to_string()).await;
    let id = estimate.json()["id"].as_str().expect("an id").to_owned();
    app.stop().await;
    let store = app.database.open().await;
    let firm = store.find_firm("local").await.expect("it answers").expect("the firm");
    // What an older engine might have kept: the same request, another net price.
    let kept =
        store.find_estimate(firm, id.parse::<uuid::Uuid>().ok().and_then(store::EntryId::from_uuid).expect("an id"));
    let kept = kept.await.expect("it answers").expect("it is kept");
    let older_id = store::EntryId::now();
    let net = estimate.json()["totals"]["net"].as_str().expect("net").to_owned();
    let older = String::from_utf8(kept.response.unpacked().expect("it unpacks"))
        .expect("text")
        .replace(&format!("\"net\":\"{net}\""), "\"net\":\"1.00\"");
    let entry = store::NewEntry {
        id: older_id,
        kind: kept.kind,
        reference: None,
        request: &kept.request,
        request_media_type: &kept.request_media_type,
        response: &store::Packed::plain(older),
        rate_sheet_name: &kept.rate_sheet_name,
        rate_sheet_version: kept.rate_sheet_version,
        ruleset: &kept.ruleset,
        engine_version: "0.0.1",
        gross: kept.gross,
        idempotency_key: None,
    };
    let _ = store.record_estimate(firm, &entry).await.expect("it is recorded");
    store.close().await;
    app.restart().await;

    let replayed = Answer::to(app.request(Method::POST, &format!("/v1/estimates/{older_id}/replay"))).await.json();

    assert_eq!((&replayed["same"], &replayed["causes"][0]["cause"]), (&json!(false), &json!("engine")), "{replayed}");
    assert_eq!(replayed["differences"]["totals"][0]["total"], "net");
    assert_eq!(replayed["differences"]["totals"][0]["before"], "1.00");
}

#[tokio::test(flavor = "multi_thread")]
async fn an_estimate_kept_before_answers_were_compressed_is_given_and_worked_out_again_to_the_byte() {
    let mut app = App::open().await;
    let estimate = app.price(DEMONSTRATION).await;
    let first_id: uuid::Uuid = estimate.json()["id"].as_str().and_then(|id| id.parse().ok()).expect("an id");
    app.stop().await;
    let store = app.database.open().await;
    let firm = store.find_firm("local").await.expect("it answers").expect("the firm");
    let kept = store.find_estimate(firm, store::EntryId::from_uuid(first_id).expect("an entry"));
    let kept = kept.await.expect("it answers").expect("it is kept");
    let id = store::EntryId::now();
    let text = String::from_utf8(kept.response.unpacked().expect("it unpacks")).expect("text");
    let text = text.replace(&kept.id.to_string(), &id.to_string());
    let text = text.replace(&kept.created_at.to_string(), &id.created_at().to_string());
    let entry = store::NewEntry {
        id,
        kind: kept.kind,
        reference: kept.reference.as_deref(),
        request: &kept.request,
        request_media_type: &kept.request_media_type,
        response: &store::Packed::plain(text.clone()),
        rate_sheet_name: &kept.rate_sheet_name,
        rate_sheet_version: kept.rate_sheet_version,
        ruleset: &kept.ruleset,
        engine_version: &kept.engine_version,
        gross: kept.gross,
        idempotency_key: None,
    };
    let _ = store.record_estimate(firm, &entry).await.expect("it is recorded");
    assert!(store.verify_chain(firm).await.expect("it is followed").intact);
    store.close().await;
    app.restart().await;
    let path = format!("/v1/estimates/{id}");

    for coding in ["identity", "zstd"] {
        let given = Answer::to(app.request(Method::GET, &path).header("accept-encoding", coding)).await;
        assert!(given.status == 200 && given.bytes == text.as_bytes(), "{coding}");
        assert_eq!(given.header("content-encoding"), "", "it lies there as it was written");
    }
    let replayed = Answer::to(app.request(Method::POST, &format!("{path}/replay"))).await.json();
    assert_eq!(replayed["same"], true, "{replayed}");
    for form in ["text/csv", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"] {
        assert_eq!(Answer::to(app.request(Method::GET, &path).header("accept", form)).await.status, 200, "{form}");
    }
    assert_eq!(app.get(&format!("{path}/drawings/single-line-diagram")).await.status, 200);
}

#[tokio::test(flavor = "multi_thread")]
async fn an_estimate_that_is_not_there_cannot_be_worked_out_again() {
    let app = App::open().await;
    for id in ["01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d", "none"] {
        let request = app.request(Method::POST, &format!("/v1/estimates/{id}/replay"));
        let _ = Answer::to(request).await.problem(404, "not-found");
    }
}
