//! The published document and the service say the same: every address of it, with every wrong way of calling it.

use end_to_end::{Answer, App};
use reqwest::Method;
use serde_json::Value;

const METHODS: [Method; 6] = [Method::GET, Method::POST, Method::PUT, Method::PATCH, Method::DELETE, Method::OPTIONS];

/// A path of the document with something in its places.
fn filled(path: &str) -> String {
    path.replace("{id}", "01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d")
        .replace("{name}", "standard")
        .replace("{version}", "1")
        .replace("{section}", "points")
}

async fn published(app: &App) -> serde_json::Map<String, Value> {
    app.get("/openapi.json").await.json()["paths"].as_object().expect("paths").clone()
}

fn takes(methods: &Value, method: &Method) -> bool {
    methods.get(method.as_str().to_lowercase()).is_some()
}

#[tokio::test(flavor = "multi_thread")]
async fn the_checked_in_document_is_the_one_that_is_served() {
    let app = App::open().await;

    let served = app.get("/openapi.json").await;

    assert_eq!(served.header("content-type"), "application/json");
    let checked_in = include_str!("../../../openapi/openapi.json");
    assert!(served.bytes == checked_in.as_bytes(), "mend with: cargo run -- openapi > openapi/openapi.json");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_wrong_method_is_told_the_right_ones_at_every_address() {
    let app = App::open().await;
    for (path, methods) in published(&app).await {
        for method in METHODS.iter().filter(|method| !takes(&methods, method)) {
            let refused = Answer::to(app.request(method.clone(), &filled(&path))).await;
            let _ = refused.problem(405, "method-not-allowed");
            let allowed: Vec<&str> = refused.header("allow").split(',').map(str::trim).collect();
            for right in METHODS.iter().filter(|right| takes(&methods, right)) {
                assert!(allowed.contains(&right.as_str()), "{method} {path}: Allow is {allowed:?}");
            }
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_strange_query_parameter_is_refused_at_every_address() {
    let app = App::open().await;
    for (path, methods) in published(&app).await {
        for method in METHODS.iter().filter(|method| takes(&methods, method)) {
            let request = app.request(method.clone(), &format!("{}?strange=1", filled(&path)));
            let refused = Answer::to(request.header("content-type", "application/json").body("{}")).await;
            assert_eq!(refused.problem(422, "invalid")["errors"][0]["parameter"], "strange", "{method} {path}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_body_of_a_strange_type_is_refused_wherever_one_is_taken() {
    let app = App::open().await;
    let mut bodies = 0;
    for (path, methods) in published(&app).await {
        let Some(taken) = methods["post"]["requestBody"]["content"].as_object() else { continue };
        bodies += 1;
        for strange in
            ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "nonsense"]
        {
            let request = app.request(Method::POST, &filled(&path)).header("content-type", strange).body("x=1");
            let refused = Answer::to(request).await;
            let _ = refused.problem(415, "unsupported-media-type");
            for media_type in taken.keys() {
                assert!(refused.header("accept-post").contains(media_type), "{path}: {media_type}");
            }
        }
        let empty =
            Answer::to(app.request(Method::POST, &filled(&path)).header("content-type", "application/json")).await;
        let _ = empty.problem(400, "malformed-body");
        let nothing = app.request(Method::POST, &filled(&path)).header("content-type", "application/json").body("{}");
        let _ = Answer::to(nothing).await.problem(422, "invalid");
    }
    assert!(bodies > 0);
}

#[tokio::test(flavor = "multi_thread")]
async fn an_answer_in_a_strange_form_is_refused_at_every_address_that_gives_one() {
    let app = App::open().await;
    for (path, methods) in published(&app).await {
        if !path.starts_with("/v1") {
            continue;
        }
        for method in METHODS.iter().filter(|method| takes(&methods, method)) {
            let request = app.request(method.clone(), &filled(&path)).header("accept", "image/png");
            let refused = Answer::to(request.header("content-type", "application/json").body("{}")).await;
            let _ = refused.problem(406, "not-acceptable");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_nowhere_is_not_found_whatever_the_method() {
    let app = App::open().await;
    for path in
        ["/", "/v1", "/v1/", "/v1/estimates/", "/v2/estimates", "/v1/estimates/a/b", "/health", "/%2e%2e/etc", "//"]
    {
        for method in METHODS {
            let _ = Answer::to(app.request(method, path)).await.problem(404, "not-found");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn every_status_that_is_answered_is_in_the_document() {
    let app = App::open().await;
    for (path, methods) in published(&app).await {
        for method in METHODS.iter().filter(|method| takes(&methods, method)) {
            let operation = &methods[method.as_str().to_lowercase()];
            for accept in ["*/*", "image/png"] {
                let request = app.request(method.clone(), &filled(&path)).header("accept", accept);
                let answer = Answer::to(request.header("content-type", "application/json").body("{}")).await;
                let status = answer.status.as_str();
                assert!(operation["responses"].get(status).is_some(), "{method} {path} answered {status}");
            }
        }
    }
}
