//! What people hold in their hands: the quotation, who offers and to whom, estimates found again.

use end_to_end::{Answer, App};
use reqwest::Method;
use serde_json::{Value, json};

const SOCKET: &str = include_str!("../../../openapi/examples/one-socket.json");

async fn estimated(app: &App) -> Value {
    let answer = app.price(SOCKET).await;
    assert_eq!(answer.status.as_u16(), 201);
    answer.json()
}

async fn sent(app: &App, method: Method, path: &str, body: &Value) -> Answer {
    Answer::to(app.request(method, path).header("content-type", "application/json").body(body.to_string())).await
}

async fn page(app: &App, path: &str) -> String {
    let answer = Answer::to(app.request(Method::GET, path).header("accept", "text/html")).await;
    assert_eq!(answer.status.as_u16(), 200, "{}", String::from_utf8_lossy(&answer.bytes));
    String::from_utf8(answer.bytes).expect("text")
}

#[tokio::test(flavor = "multi_thread")]
async fn a_quotation_names_the_firm_and_the_client_and_all_depths_the_same_total() {
    let app = App::open().await;
    let estimate = estimated(&app).await;
    let at = format!("/v1/estimates/{}", estimate["id"].as_str().expect("id"));
    let gross = estimate["totals"]["gross"].as_str().expect("gross").to_owned();

    let firm = json!({ "name": "Invented <Electrical>", "address": ["1 Example Yard"], "colour": "#123456" });
    assert_eq!(sent(&app, Method::PUT, "/v1/firm", &firm).await.status.as_u16(), 200);
    assert_eq!(app.get("/v1/firm").await.json(), firm);
    let client = json!({ "name": "An invented client", "address": ["2 Example Road"] });
    assert_eq!(app.get(&format!("{at}/client")).await.status.as_u16(), 404);
    assert_eq!(sent(&app, Method::PUT, &format!("{at}/client"), &client).await.status.as_u16(), 200);

    for detail in ["lump-sum", "by-room", "by-line"] {
        let shown = page(&app, &format!("{at}/quotation?detail={detail}")).await;
        for words in ["Invented &lt;Electrical&gt;", "An invented client", &gross, "Your right to cancel"] {
            assert!(shown.contains(words), "{detail}: {words}");
        }
        assert!(!shown.contains("<script") && !shown.contains("http"), "{detail}");
    }

    let gone = Answer::to(app.request(Method::DELETE, &format!("{at}/client"))).await;
    assert_eq!(gone.status.as_u16(), 204);
    assert!(!page(&app, &format!("{at}/quotation")).await.contains("An invented client"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_mark_that_is_no_picture_an_unknown_depth_and_a_form_that_is_not_there_are_refused() {
    let app = App::open().await;
    let at = format!("/v1/estimates/{}", estimated(&app).await["id"].as_str().expect("id"));

    let refused = sent(&app, Method::PUT, "/v1/firm", &json!({ "logo": "aGVsbG8=" })).await;
    assert_eq!(refused.pointers(), ["/logo"]);
    let refused = sent(&app, Method::PUT, "/v1/firm", &json!({ "colour": "green", "nmae": "x" })).await;
    assert_eq!(refused.problem(422, "invalid")["errors"].as_array().map(Vec::len), Some(2));
    let _ = app.get(&format!("{at}/quotation?detail=by-wire")).await.problem(422, "invalid");
    let picture = app.request(Method::GET, &format!("{at}/quotation")).header("accept", "image/png");
    let _ = Answer::to(picture).await.problem(406, "not-acceptable");
    let _ = app.get("/v1/estimates/0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d/quotation").await.problem(404, "not-found");
}

#[tokio::test(flavor = "multi_thread")]
async fn estimates_are_found_by_reference_page_by_page_and_come_in_parts() {
    let app = App::open().await;
    let mut request: Value = serde_json::from_str(SOCKET).expect("JSON");
    let mut ids = Vec::new();
    for reference in ["J-1", "J-2", "J-1"] {
        request["survey"]["reference"] = reference.into();
        ids.push(app.price(request.to_string()).await.json()["id"].as_str().expect("id").to_owned());
    }

    let found = app.get("/v1/estimates?reference=J-1&limit=1").await.json();
    assert_eq!(found["items"][0]["id"], ids[2].as_str(), "the newest first");
    let cursor = found["next_cursor"].as_str().expect("there is more");
    let next = app.get(&format!("/v1/estimates?reference=J-1&limit=1&cursor={cursor}")).await.json();
    assert_eq!((&next["items"][0]["id"], next.get("next_cursor")), (&json!(ids[0]), None));
    let none = app.get("/v1/estimates?before=2020-01-01").await.json();
    assert_eq!(none["items"], json!([]));

    let at = format!("/v1/estimates/{}", ids[0]);
    let parts = app.get(&format!("{at}?fields=totals,questions")).await;
    let names: Vec<String> = parts.json().as_object().expect("an object").keys().cloned().collect();
    assert_eq!(names, ["id", "questions", "totals"]);
    assert_eq!(parts.json()["totals"], app.get(&at).await.json()["totals"]);
    let known = app.request(Method::GET, &format!("{at}?fields=totals,questions"));
    let unchanged = Answer::to(known.header("if-none-match", parts.header("etag"))).await;
    assert_eq!(unchanged.status.as_u16(), 304);
    let _ = app.get(&format!("{at}?fields=total")).await.problem(422, "invalid");

    let asked = app.get(&format!("{at}/request")).await;
    assert_eq!(asked.json()["survey"]["reference"], "J-1");
    assert_eq!(app.price(asked.bytes).await.json()["totals"], parts.json()["totals"]);
}
