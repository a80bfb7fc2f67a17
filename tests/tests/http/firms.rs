//! With keys, each caller is one firm and sees nothing of another.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use api::Auth;
use api::capacity::Capacity;
use end_to_end::{Answer, App, TestDatabase};
use reqwest::Method;

use crate::given::MINIMAL;

pub struct TwoFirms {
    pub app: App,
    pub alder: String,
    pub birch: String,
}

/// Two invented firms, each with a key.
async fn two_firms() -> TwoFirms {
    two_firms_with(Capacity::default()).await
}

pub async fn two_firms_with(capacity: Capacity) -> TwoFirms {
    let database = TestDatabase::create().await;
    let store = database.open().await;
    let mut keys = Vec::new();
    for firm in ["Alder", "Birch"] {
        api::firms::make_ready(&store, firm).await.expect("the firm is made");
        keys.push(store.create_key(firm, "test").await.expect("a key is made").reveal().to_owned());
    }
    store.close().await;
    let app = App::of_capacity(database, Auth::Keys, capacity).await;
    let (birch, alder) = (keys.remove(1), keys.remove(0));
    TwoFirms { app, alder, birch }
}

impl TwoFirms {
    async fn get(&self, key: &str, path: &str) -> Answer {
        Answer::to(self.app.request(Method::GET, path).bearer_auth(key)).await
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn another_firms_estimate_is_not_found_and_ones_own_is() {
    let given = two_firms().await;

    let priced = Answer::to(given.app.pricing(MINIMAL).bearer_auth(&given.alder)).await;

    assert_eq!(priced.status, 201);
    let path = priced.header("location");
    assert!(given.get(&given.alder, path).await.bytes == priced.bytes);
    let strange = given.get(&given.birch, path).await.problem(404, "not-found");
    let nothing =
        given.get(&given.birch, "/v1/estimates/01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d").await.problem(404, "not-found");
    assert_eq!(strange["detail"], nothing["detail"], "the answers must not tell them apart");
    let drawing = format!("{path}/drawings/single-line-diagram");
    assert_eq!(given.get(&given.alder, &drawing).await.status, 200);
    let _ = given.get(&given.birch, &drawing).await.problem(404, "not-found");
}

#[tokio::test(flavor = "multi_thread")]
async fn two_firms_may_use_the_same_idempotency_key() {
    let given = two_firms().await;
    let send = |key: &str| Answer::to(given.app.pricing(MINIMAL).bearer_auth(key).header("idempotency-key", "1"));

    let (alder, birch) = (send(&given.alder).await, send(&given.birch).await);

    assert_eq!((alder.status.as_u16(), birch.status.as_u16()), (201, 201));
    assert_eq!(birch.header("idempotent-replayed"), "");
    assert_ne!(alder.header("location"), birch.header("location"));
}

#[tokio::test(flavor = "multi_thread")]
async fn without_a_known_key_nobody_gets_under_v1_but_health_and_documents_are_open() {
    let given = two_firms().await;
    let document = given.app.get("/openapi.json").await.json();

    let paths = document["paths"].as_object().expect("paths").iter().filter(|(path, _)| path.starts_with("/v1"));
    for (path, methods) in paths {
        let path = path
            .replace("{id}", "01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d")
            .replace("{name}", "standard")
            .replace("{version}", "1")
            .replace("{section}", "points");
        for method in methods.as_object().expect("methods").keys() {
            let method: Method = method.to_uppercase().parse().expect("a method");
            refused_to_strangers(&given, &method, &path).await;
        }
    }
    for path in ["/health/live", "/health/ready", "/openapi.json", "/docs/", "/problems"] {
        // A busy machine may be not ready for a moment; nobody is asked for a key.
        assert_ne!(given.app.get(path).await.status, 401, "{path}");
    }
}

async fn refused_to_strangers(given: &TwoFirms, method: &Method, path: &str) {
    let request = || given.app.request(method.clone(), path).header("content-type", "application/json");

    let nobody = Answer::to(request()).await;
    let _ = nobody.problem(401, "unauthenticated");
    assert!(nobody.header("www-authenticate").starts_with("Bearer realm="), "{method} {path}");

    for strange in ["est_0000", "", "Ä", &given.alder.replace('a', "b")] {
        let stranger = Answer::to(request().header("authorization", format!("Bearer {strange}"))).await;
        let _ = stranger.problem(401, "unauthenticated");
    }
    let basic = request().header("authorization", format!("Basic {}", given.alder));
    let _ = Answer::to(basic).await.problem(401, "unauthenticated");
}

#[tokio::test(flavor = "multi_thread")]
async fn another_firms_sheet_is_neither_read_nor_written_over() {
    let given = two_firms().await;
    let send = |key: &str, method: Method, path: &str, body: &str| {
        let request = given.app.request(method, path).bearer_auth(key).header("if-match", "*");
        Answer::to(request.header("content-type", "application/json").body(body.to_owned()))
    };
    let copy = r#"{ "name": "ours", "copy_of": { "name": "standard" } }"#;
    assert_eq!(send(&given.alder, Method::POST, "/v1/rate-sheets", copy).await.status, 201);
    let sheet = given.get(&given.alder, "/v1/rate-sheets/ours").await;

    let _ = given.get(&given.birch, "/v1/rate-sheets/ours").await.problem(404, "not-found");
    let _ = given.get(&given.birch, "/v1/rate-sheets/ours/sections/points").await.problem(404, "not-found");
    let text = String::from_utf8(sheet.bytes.clone()).expect("text").replacen("28.00", "29.00", 1);
    let over = send(&given.birch, Method::PUT, "/v1/rate-sheets/ours", &text).await;
    let _ = over.problem(412, "precondition-failed");
    let apart = r#"{ "before": { "name": "standard" }, "after": { "name": "ours" } }"#;
    let compared = send(&given.birch, Method::POST, "/v1/rate-sheet-differences", apart).await;
    assert_eq!(compared.pointers(), ["/after"]);
    assert!(given.get(&given.alder, "/v1/rate-sheets/ours").await.bytes == sheet.bytes);
    assert_eq!(send(&given.birch, Method::POST, "/v1/rate-sheets", copy).await.status, 201, "a name is a firm's own");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_new_firm_can_price_at_once() {
    let given = two_firms().await;

    let sheets = given.get(&given.birch, "/v1/rate-sheets").await.json();

    assert_eq!(sheets["items"][0]["name"], "standard");
}

#[tokio::test(flavor = "multi_thread")]
async fn without_keys_a_page_under_a_strange_name_is_not_answered() {
    let app = App::open().await;

    let rebound = Answer::to(app.request(Method::GET, "/v1/rate-sheets").header("host", "estimates.example")).await;

    let _ = rebound.problem(421, "misdirected-request");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_firm_that_sends_all_it_can_keeps_another_firms_form_neither_out_nor_long() {
    let given = two_firms_with(Capacity { queue_size: 16, rate_limit: 0, ..Capacity::default() }).await;
    let refused = Arc::new(AtomicUsize::new(0));
    let mut crowd = tokio::task::JoinSet::new();
    for _ in 0..60 {
        let request = given.app.pricing(MINIMAL).bearer_auth(&given.alder);
        let refused = Arc::clone(&refused);
        crowd.spawn(async move {
            loop {
                if Answer::to(request.try_clone().expect("its body is text")).await.status == 503 {
                    refused.fetch_add(1, Ordering::Relaxed);
                    tokio::time::sleep(Duration::from_millis(100)).await;
                }
            }
        });
    }
    while refused.load(Ordering::Relaxed) == 0 {
        tokio::time::sleep(Duration::from_millis(10)).await;
    }

    for _ in 0..5 {
        let form = Answer::to(given.app.pricing(MINIMAL).bearer_auth(&given.birch)).await;
        assert_eq!(form.status, 201, "{}", String::from_utf8_lossy(&form.bytes));
    }

    crowd.abort_all();
}

#[tokio::test(flavor = "multi_thread")]
async fn a_key_is_told_what_it_may_still_send_and_refused_beyond() {
    let given = two_firms_with(Capacity { rate_limit: 3, ..Capacity::default() }).await;

    let mut left = Vec::new();
    for _ in 0..3 {
        let answer = given.get(&given.alder, "/v1/rate-sheets").await;
        assert_eq!((answer.status.as_u16(), answer.header("ratelimit-policy")), (200, "\"key\";q=3;w=60"));
        left.push(answer.header("ratelimit").split(';').nth(1).unwrap_or_default().to_owned());
    }
    let refused = given.get(&given.alder, "/v1/rate-sheets").await;

    assert_eq!(left, ["r=2", "r=1", "r=0"]);
    let _ = refused.problem(429, "too-many-requests");
    assert!(refused.header("retry-after").parse::<u32>().is_ok_and(|seconds| (1..=21).contains(&seconds)));
    assert!(refused.header("ratelimit").starts_with("\"key\";r=0;"), "{}", refused.header("ratelimit"));
    assert_eq!(given.get(&given.birch, "/v1/rate-sheets").await.status, 200, "another key has its own");
    assert_eq!(given.app.get("/health/live").await.status, 200);
}
