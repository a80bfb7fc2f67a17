//! What whoever runs the service relies on: health, names of requests, the log.

use std::io::Write;
use std::sync::{Arc, LazyLock, Mutex, PoisonError};

use api::{Auth, LogFormat};
use end_to_end::{Answer, App, TestDatabase};
use reqwest::Method;
use serde_json::{Value, json};

use crate::given::kitchen;

#[tokio::test(flavor = "multi_thread")]
async fn the_service_is_live_and_ready_and_not_ready_once_it_drains() {
    let app = App::open().await;
    assert_eq!(app.get("/health/live").await.json(), json!({ "status": "live" }));
    assert_eq!(app.get("/health/ready").await.json(), json!({ "status": "ready" }));

    app.running().start_draining();

    let draining = app.get("/health/ready").await;
    let _ = draining.problem(503, "unavailable");
    assert!(!draining.header("retry-after").is_empty());
    assert_eq!(app.get("/health/live").await.status, 200);
    assert_eq!(app.get("/v1/rate-sheets").await.status, 200, "requests in hand are still answered");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_request_keeps_the_name_that_its_caller_gave_it() {
    let app = App::open().await;
    let named = |id: &'static str| Answer::to(app.request(Method::GET, "/v1/nothing").header("x-request-id", id));

    let problem = named("web-42").await.problem(404, "not-found");
    assert_eq!(problem["instance"], "urn:request:web-42");

    let forged = named("a\" level=\"ERROR").await;
    assert_eq!(forged.header("x-request-id").len(), 36);
}

#[tokio::test(flavor = "multi_thread")]
async fn every_answer_tells_browsers_to_be_careful() {
    let app = App::open().await;
    for path in ["/v1/rate-sheets", "/v1/nothing", "/health/live", "/docs/", "/problems", "/openapi.json"] {
        let answer = app.get(path).await;
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(answer.header("x-frame-options"), "DENY", "{path}");
        assert!(answer.header("content-security-policy").contains("default-src"), "{path}");
        assert_eq!(answer.header("server"), "", "{path}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_client_that_dribbles_is_cut_off() {
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    let app = App::open().await;
    let mut slow = tokio::net::TcpStream::connect(app.running().addr).await.expect("connects");
    let head = "POST /v1/estimates HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ncontent-length: 90\r\n\r\n{";
    slow.write_all(head.as_bytes()).await.expect("writes");

    let mut answer = String::new();
    let read = tokio::time::timeout(std::time::Duration::from_secs(9), slow.read_to_string(&mut answer)).await;

    assert!(read.is_ok(), "the connection is still open");
    assert!(answer.starts_with("HTTP/1.1 408 "), "{answer}");
    assert!(answer.contains("/problems#request-timeout"), "{answer}");
}

/// Where the log goes in this test program: every test in it logs here.
#[derive(Clone, Default)]
struct Captured(Arc<Mutex<Vec<u8>>>);

impl Write for Captured {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

impl Captured {
    fn text(&self) -> String {
        String::from_utf8(self.0.lock().unwrap_or_else(PoisonError::into_inner).clone()).expect("text")
    }
}

/// The log of this test program: a process has one.
fn shared_log() -> Captured {
    static LOG: LazyLock<Captured> = LazyLock::new(|| {
        let log = Captured::default();
        let writer = log.clone();
        api::telemetry::start_log_to(LogFormat::Json, move || writer.clone());
        log
    });
    LOG.clone()
}

#[tokio::test(flavor = "multi_thread")]
async fn the_log_names_the_request_and_holds_no_key_no_body_and_no_name() {
    let log = shared_log();
    let database = TestDatabase::create().await;
    let store = database.open().await;
    let firm = api::firms::make_ready(&store, "Marker-Firm").await.expect("the firm is made");
    let key = store.create_key("Marker-Firm", "test").await.expect("a key is made").reveal().to_owned();
    store.close().await;
    let app = App::on(database, Auth::Keys).await;
    let mut survey = kitchen(2);
    survey["survey"]["reference"] = json!("MARKER-REFERENCE");
    survey["survey"]["rooms"][0]["name"] = json!("MARKER-ROOM");
    let mut spoilt = survey.clone();
    spoilt["MARKER-FIELD"] = json!("MARKER-VALUE");

    for body in [survey, spoilt] {
        let request = app.pricing(body.to_string()).bearer_auth(&key).header("x-request-id", "marked-request");
        let _ = Answer::to(request.header("idempotency-key", "MARKER-IDEMPOTENCY")).await;
    }
    let _ = Answer::to(app.request(Method::GET, "/v1/rate-sheets?cursor=MARKER-QUERY").bearer_auth(&key)).await;
    let _ = Answer::to(app.request(Method::GET, "/v1/rate-sheets").bearer_auth(key.replace('_', "-"))).await;

    let text = log.text();
    let mine: Vec<Value> = text
        .lines()
        .filter(|line| line.contains("marked-request"))
        .map(|line| serde_json::from_str(line).expect("one object a line"))
        .collect();
    let answered = mine.iter().find(|event| event["http.status"] == 201).expect("the request is in the log");
    assert_eq!(answered["span"]["http.route"], "/v1/estimates");
    assert_eq!(answered["span"]["firm.id"], firm.to_string());
    assert!(answered["latency_ms"].as_f64().is_some_and(|latency| latency > 0.0));
    let secret = key.split('_').nth(1).expect("the key's secret part");
    for forbidden in ["MARKER", "Marker", secret] {
        assert!(!text.contains(forbidden), "{forbidden} is in the log");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_flood_of_refusals_is_counted_in_the_log_and_not_written_out() {
    let log = shared_log();
    let app = App::open().await;
    let before = counted(&log.text(), "not-acceptable");
    for _ in 0..300 {
        let refused =
            app.request(Method::GET, "/v1/rate-sheets").header("accept", "image/png").header("x-request-id", "flood");
        let _ = Answer::to(refused).await.problem(406, "not-acceptable");
    }
    let enough = async {
        while counted(&log.text(), "not-acceptable") < before + 300 {
            tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        }
    };

    tokio::time::timeout(std::time::Duration::from_secs(5), enough).await.expect("each refusal is counted");
    let lines = log.text().lines().filter(|line| line.contains("flood")).count();
    assert!(lines < 30, "{lines} lines for 300 refusals");
}

/// How many refusals of that kind the log has counted.
fn counted(log: &str, slug: &str) -> u64 {
    let lines = log.lines().filter_map(|line| serde_json::from_str::<Value>(line).ok());
    lines.filter(|line| line["problem"] == slug).filter_map(|line| line["count"].as_u64()).sum()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_service_that_takes_keys_and_has_none_says_so_at_its_start() {
    let log = shared_log();
    let warning = "there is no key: nobody can call";
    let before = log.text().matches(warning).count();

    let _app = App::on(TestDatabase::create().await, Auth::Keys).await;

    assert!(log.text().matches(warning).count() > before);
}
