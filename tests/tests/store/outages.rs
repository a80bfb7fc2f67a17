//! A database that is slow, cut off or back again, and callers that go away.

use std::time::{Duration, Instant};

use end_to_end::note;
use store::{EntryId, StoreError};

use crate::given::{estimate, one_firm, receipt, record};

#[tokio::test]
async fn a_chain_held_by_another_for_too_long_is_busy_and_nothing_is_recorded() {
    let given = one_firm().await;
    if !given.database.kind().is_server() {
        note("the embedded database has one connection: nobody else can hold a chain");
        given.store.close().await;
        return;
    }
    let owner = given.database.owner().await;
    owner.batch_execute("BEGIN; UPDATE audit_heads SET n = n").await.expect("the owner may");
    let started = Instant::now();

    let error = given.record_estimate(given.firm, &estimate(EntryId::now(), b"1")).await.expect_err("the head is held");
    let waited = started.elapsed();
    owner.batch_execute("ROLLBACK").await.expect("let go");
    record(&given, given.firm, b"2").await;

    assert!(matches!(error, StoreError::Held(_)), "{error:?}");
    assert!(error.is_retryable());
    assert!(waited < Duration::from_secs(4), "{waited:?}");
    assert_eq!(given.verify_chain(given.firm).await.expect("it is followed").entries, 1);
    owner.close().await;
    given.store.close().await;
}

#[tokio::test]
async fn after_every_connection_was_cut_the_store_works_again() {
    let given = one_firm().await;
    record(&given, given.firm, b"1").await;
    if !given.database.kind().is_server() {
        note("the embedded database has nobody who could cut its connection");
        given.store.close().await;
        return;
    }
    let owner = given.database.owner().await;
    owner
        .batch_execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()",
        )
        .await
        .expect("the owner may");

    // The first calls may still be handed a connection that is cut; that must show as something worth another try.
    let deadline = Instant::now() + Duration::from_secs(2);
    loop {
        match given.record_estimate(given.firm, &estimate(EntryId::now(), b"2")).await {
            Ok(recorded) => {
                receipt(&recorded);
                break;
            }
            Err(error) => assert!(error.is_retryable() && Instant::now() < deadline, "{error:?}"),
        }
    }

    let verification = given.verify_chain(given.firm).await.expect("it is followed");
    assert!(verification.intact && verification.entries == 2, "{verification:?}");
    owner.close().await;
    given.store.close().await;
}

#[tokio::test]
async fn callers_that_go_away_in_the_middle_leave_nothing_half_done() {
    let given = one_firm().await;
    let other = given.ensure_firm("other").await.expect("a firm is made");
    record(&given, given.firm, b"warm").await;

    // Each call is given up after a different number of steps, from none at all to all of them.
    for microseconds in (0..4000).step_by(100) {
        let entry = estimate(EntryId::now(), b"{}");
        let call = given.record_estimate(given.firm, &entry);
        let _ = tokio::time::timeout(Duration::from_micros(microseconds), call).await;
    }

    // The connections they leave behind belong to no firm and are in no transaction.
    record(&given, other, b"{}").await;
    for firm in [given.firm, other] {
        let verification = given.verify_chain(firm).await.expect("it is followed");
        assert!(verification.intact && verification.entries >= 1, "{verification:?}");
    }
    given.store.close().await;
}
