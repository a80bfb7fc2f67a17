//! A request sent twice under one key is done once.

use store::{EntryId, Recorded, RequestKey, StoredEntry};

use crate::given::{count, estimate, one_firm, packed, receipt, record_patiently};

const ROUTE: &str = "POST /v1/estimates";

fn keyed<'a>(request: &'a [u8], key: &'a str) -> store::NewEntry<'a> {
    let mut entry = estimate(EntryId::now(), request);
    entry.idempotency_key = Some(RequestKey { route: ROUTE, key });
    entry
}

fn replayed(recorded: Recorded) -> StoredEntry {
    match recorded {
        Recorded::Replayed(entry) => *entry,
        other => panic!("not replayed: {other:?}"),
    }
}

#[tokio::test]
async fn the_same_request_under_the_same_key_gives_the_first_answer_again() {
    let given = one_firm().await;
    let first = keyed(b"{}", "k-1");
    let mut second = keyed(b"{}", "k-1");
    let another = packed(b"another answer");
    second.response = &another;

    receipt(&given.record_estimate(given.firm, &first).await.expect("it is recorded"));
    let again = replayed(given.record_estimate(given.firm, &second).await.expect("it answers"));

    assert_eq!((again.id, &again.response), (first.id, first.response));
    assert!(given.find_estimate(given.firm, second.id).await.expect("it answers").is_none());
    assert_eq!(given.verify_chain(given.firm).await.expect("it is followed").entries, 1);
    given.store.close().await;
}

#[tokio::test]
async fn another_request_under_the_same_key_is_refused() {
    let given = one_firm().await;

    receipt(&given.record_estimate(given.firm, &keyed(b"{}", "k-1")).await.expect("it is recorded"));
    let reused = given.record_estimate(given.firm, &keyed(b"{ }", "k-1")).await.expect("it answers");

    assert!(matches!(reused, Recorded::KeyReused), "{reused:?}");
    assert_eq!(given.verify_chain(given.firm).await.expect("it is followed").entries, 1);
    given.store.close().await;
}

#[tokio::test]
async fn a_key_counts_for_its_own_firm_and_route_only() {
    let given = one_firm().await;
    let other_firm = given.ensure_firm("other").await.expect("a firm is made");
    let mut other_route = keyed(b"2", "k-1");
    other_route.idempotency_key = Some(RequestKey { route: "POST /v1/others", key: "k-1" });

    receipt(&given.record_estimate(given.firm, &keyed(b"1", "k-1")).await.expect("it is recorded"));
    receipt(&given.record_estimate(given.firm, &other_route).await.expect("it is recorded"));
    receipt(&given.record_estimate(other_firm, &keyed(b"3", "k-1")).await.expect("it is recorded"));
    given.store.close().await;
}

#[tokio::test]
async fn the_same_request_without_a_key_is_done_each_time() {
    let given = one_firm().await;

    receipt(&given.record_estimate(given.firm, &estimate(EntryId::now(), b"{}")).await.expect("it is recorded"));
    let second =
        receipt(&given.record_estimate(given.firm, &estimate(EntryId::now(), b"{}")).await.expect("it is recorded"));

    assert_eq!(second.n, 2);
    given.store.close().await;
}

#[tokio::test]
async fn eight_twins_at_once_are_done_once_and_all_get_the_same_answer() {
    let given = one_firm().await;

    let sending: Vec<_> = (0..8)
        .map(|_| {
            let (store, firm) = (given.store.clone(), given.firm);
            tokio::spawn(async move {
                let entry = keyed(b"{}", "k-1");
                (entry.id, record_patiently(&store, firm, &entry).await)
            })
        })
        .collect();
    let (mut new, mut again) = (Vec::new(), Vec::new());
    for sent in sending {
        match sent.await.expect("no panic") {
            (id, Recorded::New(_)) => new.push(id),
            (_, recorded) => again.push(replayed(recorded).id),
        }
    }

    assert_eq!(new.len(), 1);
    assert_eq!(again, [new[0]; 7]);
    let verification = given.verify_chain(given.firm).await.expect("it is followed");
    assert!(verification.intact && verification.entries == 1, "{verification:?}");
    given.store.close().await;
}

#[tokio::test]
async fn a_key_is_free_again_after_a_day_and_not_before() {
    let given = one_firm().await;
    receipt(&given.record_estimate(given.firm, &keyed(b"1", "k-1")).await.expect("it is recorded"));
    receipt(&given.record_estimate(given.firm, &keyed(b"2", "k-2")).await.expect("it is recorded"));
    given.store.close().await;
    let owner = given.database.owner().await;
    owner
        .batch_execute(
            "UPDATE idempotency_keys SET created_at = now() - interval '24 hours 1 second' WHERE key = 'k-1';
             UPDATE idempotency_keys SET created_at = now() - interval '23 hours 59 minutes' WHERE key = 'k-2'",
        )
        .await
        .expect("the owner may");
    owner.close().await;
    let store = given.database.open().await;

    let freed = receipt(&store.record_estimate(given.firm, &keyed(b"3", "k-1")).await.expect("it is recorded"));
    let held = store.record_estimate(given.firm, &keyed(b"4", "k-2")).await.expect("it answers");
    let freed_again = store.record_estimate(given.firm, &keyed(b"3", "k-1")).await.expect("it answers");

    assert_eq!(freed.n, 3);
    assert!(matches!(held, Recorded::KeyReused), "{held:?}");
    assert_eq!(replayed(freed_again).n, 3);
    store.close().await;
}

#[tokio::test]
async fn expired_keys_are_removed_in_time_and_live_ones_stay() {
    let given = one_firm().await;
    for key in ["k-1", "k-2", "k-3"] {
        receipt(&given.record_estimate(given.firm, &keyed(b"1", key)).await.expect("it is recorded"));
    }
    given.store.close().await;
    let owner = given.database.owner().await;
    owner
        .batch_execute("UPDATE idempotency_keys SET created_at = now() - interval '25 hours' WHERE key <> 'k-3'")
        .await
        .expect("the owner may");
    owner.close().await;

    let store = given.database.open().await;
    for _ in 3..store::limits::FORGET_KEYS_EVERY {
        receipt(&store.record_estimate(given.firm, &estimate(EntryId::now(), b"1")).await.expect("it is recorded"));
    }
    store.close().await;

    let owner = given.database.owner().await;
    let left = count(&owner, "SELECT count(*) FROM idempotency_keys").await;
    owner.close().await;
    assert_eq!(left, 1);
}
