//! A database that keeps the service waiting or hangs up on it.

use std::time::Duration;

use api::Auth;
use api::capacity::Capacity;
use end_to_end::{Answer, App, TestDatabase, note};
use reqwest::Method;
use serde_json::json;

use crate::given::{MINIMAL, kitchen};

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
    // Both wait for one row: the second in the queue may wait for the lock twice, and then runs out of its statement's time
    // before it runs out of the lock's.
    assert!([409, 503].contains(&keyed.status.as_u16()), "{}", keyed.status);
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

/// Two drawn rooms, and a run from the board to a socket.
fn run_across_a_room() -> serde_json::Value {
    let room = |id: &str, x: f64| {
        json!({
            "id": id, "storey": "ground", "wall": "brick",
            "outline": { "x_m": x, "y_m": 0, "width_m": 4, "depth_m": 4 },
            "floor": { "construction": "suspended-timber", "covering": "carpet" }
        })
    };
    json!({
        "survey": { "rooms": [room("hall", 0.0), room("living", 4.0)], "consumer_unit": { "room": "hall" } },
        "runs": [{ "id": "socket", "to": { "room": "living", "wall": "right", "along_m": 1.0 } }]
    })
}

#[tokio::test(flavor = "multi_thread")]
async fn known_callers_go_on_with_what_needs_no_database_while_it_does_not_answer() {
    let database = TestDatabase::create().await;
    let store = database.open().await;
    api::firms::make_ready(&store, "Alder").await.expect("the firm is made");
    let known = store.create_key("Alder", "test").await.expect("a key is made").reveal().to_owned();
    let unseen = store.create_key("Alder", "other").await.expect("a key is made").reveal().to_owned();
    store.close().await;
    // Every key is due at once, so that the database is asked.
    let capacity = Capacity { key_check: Duration::ZERO, ..Capacity::default() };
    let app = App::of_capacity(database, Auth::Keys, capacity).await;
    if !app.database.kind().is_server() {
        note("the embedded database has one connection: nobody else can hold it up");
        return;
    }
    assert_eq!(Answer::to(app.pricing(MINIMAL).bearer_auth(&known)).await.status, 201);
    let owner = app.database.owner().await;
    let locked = "BEGIN; LOCK TABLE api_keys, rate_sheets, rate_sheet_versions, audit_heads IN ACCESS EXCLUSIVE MODE";
    owner.batch_execute(locked).await.expect("the owner may");
    let send = |key: &str, path: &str, body: String| {
        let request = app.request(Method::POST, path).bearer_auth(key).header("content-type", "application/json");
        Answer::to(request.body(body))
    };

    let demand = json!({ "supply": {}, "loads": [ { "kind": "shower", "load_kw": 9.5 } ] }).to_string();
    for (path, body) in [
        ("/v1/demand", demand.clone()),
        ("/v1/survey-reviews", kitchen(2).to_string()),
        ("/v1/routes", run_across_a_room().to_string()),
    ] {
        let answer = send(&known, path, body).await;
        assert_eq!(answer.status, 200, "{path}: {}", String::from_utf8_lossy(&answer.bytes));
    }
    let _ = send(&unseen, "/v1/demand", demand).await.problem(503, "unavailable");
    let _ = Answer::to(app.pricing(MINIMAL).bearer_auth(&known)).await.problem(503, "unavailable");
    owner.batch_execute("ROLLBACK").await.expect("let go");
    assert_eq!(Answer::to(app.pricing(MINIMAL).bearer_auth(&known)).await.status, 201);
    owner.close().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_full_pool_and_a_slow_statement_are_told_as_busy_and_not_as_a_twin() {
    let capacity = Capacity { pool_size: 1, ..Capacity::default() };
    let app = App::of_capacity(TestDatabase::create().await, Auth::Open, capacity).await;
    if !app.database.kind().is_server() {
        note("the embedded database has one connection: nobody else can hold it up");
        return;
    }
    assert_eq!(app.price(MINIMAL).await.status, 201);
    let owner = app.database.owner().await;
    owner.batch_execute("BEGIN; UPDATE audit_heads SET n = n").await.expect("the owner may");

    let keyed = async {
        // The other one has the only connection by then, and waits two seconds for the chain.
        tokio::time::sleep(Duration::from_millis(500)).await;
        Answer::to(app.pricing(MINIMAL).header("idempotency-key", "J-1042")).await
    };
    let (keyless, keyed) = tokio::join!(app.price(MINIMAL), keyed);
    owner.batch_execute("ROLLBACK").await.expect("let go");

    let _ = keyless.problem(503, "unavailable");
    let _ = keyed.problem(503, "unavailable");
    owner.close().await;
}
