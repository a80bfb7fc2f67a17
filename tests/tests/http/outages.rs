//! A database that keeps the service waiting or hangs up on it.

use end_to_end::{Answer, App, note};
use reqwest::Method;
use serde_json::json;

use crate::given::MINIMAL;

#[tokio::test(flavor = "multi_thread")]
async fn a_caller_is_told_to_come_again_while_the_database_is_busy_and_nothing_is_priced_twice() {
    let app = App::open().await;
    if !app.database.kind().is_server() {
        note("the embedded database has one connection: nobody else can hold it up");
        return;
    }
    let owner = app.database.owner().await;
    owner.batch_execute("BEGIN; UPDATE audit_heads SET n = n").await.expect("the owner may");

    let demand = json!({ "supply": {}, "loads": [ { "kind": "shower", "load_kw": 9.5 } ] }).to_string();
    let (keyless, keyed, store_free) = tokio::join!(
        app.price(MINIMAL),
        Answer::to(app.pricing(MINIMAL).header("idempotency-key", "J-1042")),
        Answer::to(app.request(Method::POST, "/v1/demand").header("content-type", "application/json").body(demand)),
    );
    owner.batch_execute("ROLLBACK").await.expect("let go");

    let _ = keyless.problem(503, "unavailable");
    let _ = keyed.problem(409, "conflict");
    for refused in [&keyless, &keyed] {
        assert!(refused.header("retry-after").parse::<u32>().is_ok_and(|seconds| seconds > 0));
    }
    assert_eq!(store_free.status, 200, "what needs no database goes on");
    let again = Answer::to(app.pricing(MINIMAL).header("idempotency-key", "J-1042")).await;
    assert_eq!((again.status.as_u16(), again.header("idempotent-replayed")), (201, ""));
    assert!(again.header("audit-entry").starts_with("n=1,"), "{}", again.header("audit-entry"));
    owner.close().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_service_whose_connections_were_cut_recovers_and_tells_nothing_of_its_database() {
    let app = App::open().await;
    let path = app.price(MINIMAL).await.header("location").to_owned();
    if !app.database.kind().is_server() {
        note("the embedded database has nobody who could cut its connection");
        return;
    }
    let owner = app.database.owner().await;
    owner
        .batch_execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()",
        )
        .await
        .expect("the owner may");

    // The first calls may still be handed a connection that is cut.
    let deadline = std::time::Instant::now() + std::time::Duration::from_secs(2);
    loop {
        let answer = app.get(&path).await;
        if answer.status == 200 {
            break;
        }
        let problem = answer.problem(503, "unavailable").to_string();
        for word in ["SELECT", "postgres", "terminat", "127.0.0.1"] {
            assert!(!problem.contains(word), "{problem}");
        }
        assert!(std::time::Instant::now() < deadline, "{problem}");
    }
    owner.close().await;
}
