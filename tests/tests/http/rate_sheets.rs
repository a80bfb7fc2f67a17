//! A firm's rate sheets: listed, read, and kept by whoever has read them.

use end_to_end::{Answer, App};
use reqwest::Method;
use store::NewRateSheet;

/// A service whose firm has the sheet `extra` in three versions, and `standard`.
async fn with_three_versions() -> App {
    let mut app = App::open().await;
    app.stop().await;
    let store = app.database.open().await;
    let firm = store.ensure_firm("local").await.expect("the firm is there");
    for content in ["{\"v\":1}", "{\"v\":2}", "{\"v\":3}"] {
        let sheet = NewRateSheet {
            name: "extra",
            currency: "GBP",
            content: content.as_bytes(),
            invented: true,
            notes: None,
            effective_from: None,
            effective_until: None,
        };
        store.ensure_rate_sheet(firm, &sheet).await.expect("the sheet is kept");
    }
    store.close().await;
    app.restart().await;
    app
}

#[tokio::test(flavor = "multi_thread")]
async fn a_new_firm_has_the_built_in_sheet_and_it_says_that_it_is_invented() {
    let app = App::open().await;

    let list = app.get("/v1/rate-sheets").await.json();

    assert_eq!(list["items"].as_array().map(Vec::len), Some(1), "{list}");
    let sheet = &list["items"][0];
    assert_eq!((&sheet["name"], &sheet["version"], &sheet["currency"]), (&"standard".into(), &1.into(), &"GBP".into()));
    assert_eq!(sheet["invented"], true);
    assert!(list.get("next_cursor").is_none());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_restart_does_not_add_a_version_of_the_built_in_sheet() {
    let mut app = App::open().await;
    app.restart().await;

    let versions = app.get("/v1/rate-sheets/standard/versions").await.json();

    assert_eq!(versions["items"].as_array().map(Vec::len), Some(1), "{versions}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_sheet_is_read_whole_and_not_sent_again_to_whoever_has_it() {
    let app = App::open().await;

    let newest = app.get("/v1/rate-sheets/standard").await;
    let version = app.get("/v1/rate-sheets/standard/versions/1").await;

    assert_eq!(newest.header("content-location"), "/v1/rate-sheets/standard/versions/1");
    assert!(newest.bytes == version.bytes);
    assert!(newest.json()["labour"].as_array().is_some_and(|rows| rows.len() > 10));
    assert_eq!(newest.header("cache-control"), "private, no-cache");
    assert!(version.header("cache-control").contains("immutable"));

    let tag = newest.header("etag");
    assert_eq!(tag, format!("\"{}\"", store::Digest::of(&newest.bytes)));
    let again =
        |tag: &str| Answer::to(app.request(Method::GET, "/v1/rate-sheets/standard").header("if-none-match", tag));
    let known = again(tag).await;
    assert_eq!((known.status.as_u16(), known.bytes.len(), known.header("etag")), (304, 0, tag));
    assert_eq!(again(&format!("\"other\", {tag}")).await.status, 304);
    assert_eq!(again("\"other\"").await.status, 200);
}

#[tokio::test(flavor = "multi_thread")]
async fn versions_are_listed_page_by_page_the_newest_first() {
    let app = with_three_versions().await;

    let mut seen = Vec::new();
    let mut path = "/v1/rate-sheets/extra/versions?limit=2".to_owned();
    for _ in 0..5 {
        let page = app.get(&path).await.json();
        seen.extend(page["items"].as_array().expect("items").iter().map(|entry| entry["version"].clone()));
        let Some(cursor) = page["next_cursor"].as_str() else { break };
        path = format!("/v1/rate-sheets/extra/versions?limit=2&cursor={cursor}");
    }

    assert_eq!(seen, [3, 2, 1]);
}

#[tokio::test(flavor = "multi_thread")]
async fn sheets_are_listed_page_by_page_by_name() {
    let app = with_three_versions().await;

    let first = app.get("/v1/rate-sheets?limit=1").await.json();
    assert_eq!((&first["items"][0]["name"], &first["items"][0]["version"]), (&"extra".into(), &3.into()));
    let cursor = first["next_cursor"].as_str().expect("a second page");
    let second = app.get(&format!("/v1/rate-sheets?limit=1&cursor={cursor}")).await.json();

    assert_eq!(second["items"][0]["name"], "standard");
    assert!(second.get("next_cursor").is_none());
    let elsewhere = app.get(&format!("/v1/rate-sheets/extra/versions?cursor={cursor}")).await.problem(422, "invalid");
    assert_eq!(elsewhere["errors"][0]["parameter"], "cursor");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_page_of_no_size_and_a_misspelt_parameter_are_refused() {
    let app = App::open().await;

    let refused = app.get("/v1/rate-sheets?limit=0&curser=x").await.problem(422, "invalid");

    let named: Vec<_> = refused["errors"].as_array().expect("errors").iter().map(|error| &error["parameter"]).collect();
    assert_eq!(named, ["curser", "limit"], "{refused}");
    assert!(refused["errors"][0]["detail"].as_str().is_some_and(|detail| detail.contains("`cursor`")), "{refused}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_sheet_or_version_that_is_not_there_is_not_found() {
    let app = App::open().await;
    for path in [
        "/v1/rate-sheets/none",
        "/v1/rate-sheets/none/versions",
        "/v1/rate-sheets/standard/versions/2",
        "/v1/rate-sheets/standard/versions/0",
        "/v1/rate-sheets/standard/versions/99999999999999999999",
        "/v1/rate-sheets/standard/versions/one",
        "/v1/rate-sheets/a%00b",
        "/v1/rate-sheets/%C3%A4",
    ] {
        let _ = app.get(path).await.problem(404, "not-found");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_built_in_sheet_cannot_be_written_and_the_refusal_says_how_to_copy_it() {
    let app = App::open().await;
    let sheet = app.get("/v1/rate-sheets/standard").await;
    let table = app.get("/v1/rate-sheets/standard/sections/materials").await;
    let write = |path: &str, media_type: &str, body: Vec<u8>| {
        let request = app.request(Method::PUT, path).header("if-match", "*").header("content-type", media_type);
        Answer::to(request.body(body))
    };
    let whole = serde_json::json!({ "name": "standard", "sheet": sheet.json() });
    let making = app.request(Method::POST, "/v1/rate-sheets").header("content-type", "application/json");

    let refused = [
        write("/v1/rate-sheets/standard", "application/json", sheet.bytes.clone()).await,
        write("/v1/rate-sheets/standard/sections/materials", "text/csv", table.bytes.clone()).await,
        Answer::to(making.body(whole.to_string())).await,
    ];

    for refused in refused {
        let problem = refused.problem(409, "read-only");
        assert!(problem["detail"].as_str().is_some_and(|detail| detail.contains("copy_of")), "{problem}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn versions_of_the_built_in_name_that_a_firm_wrote_before_stay_and_are_not_taken_for_it() {
    let mut app = App::open().await;
    app.stop().await;
    let store = app.database.open().await;
    let firm = store.ensure_firm("local").await.expect("the firm is there");
    let built_in = store.find_rate_sheet(firm, "standard", None).await.expect("it answers").expect("it is kept");
    let mut own: serde_json::Value = serde_json::from_slice(&built_in.content).expect("JSON");
    own["terms"]["labour_rate"] = "99.00".into();
    let content = own.to_string().into_bytes();
    let written = NewRateSheet {
        name: "standard",
        currency: "GBP",
        content: &content,
        invented: false,
        notes: None,
        effective_from: None,
        effective_until: None,
    };
    store.ensure_rate_sheet(firm, &written).await.expect("it is kept");
    store.close().await;
    app.restart().await;
    let mut survey = crate::given::kitchen(4);

    let unnamed = app.price(survey.to_string()).await.json();
    survey["rate_sheet"] = serde_json::json!({ "name": "standard", "version": 2 });
    let named = app.price(survey.to_string()).await.json();

    assert_eq!((&unnamed["rate_sheet"]["version"], &named["rate_sheet"]["version"]), (&1.into(), &2.into()));
    assert_ne!(unnamed["totals"]["net"], named["totals"]["net"]);
    assert!(app.get("/v1/rate-sheets/standard").await.bytes == built_in.content);
    assert!(app.get("/v1/rate-sheets/standard/versions/2").await.bytes == content);
    assert_eq!(app.get("/v1/rate-sheets").await.json()["items"][0]["version"], 1);
}
