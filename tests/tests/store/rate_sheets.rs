//! Rate sheets are versions that never change.

use store::{Digest, NewRateSheet, StoreError};
use tokio_postgres::error::SqlState;

use crate::given::{keep_sheet, one_firm};

#[tokio::test]
async fn the_same_document_is_kept_once_and_another_becomes_the_next_version() {
    let given = one_firm().await;

    let first = keep_sheet(&given, given.firm, b"one").await;
    let again = keep_sheet(&given, given.firm, b"one").await;
    let second = keep_sheet(&given, given.firm, b"two").await;
    let back = keep_sheet(&given, given.firm, b"one").await;

    assert_eq!(first, again);
    assert_eq!((first.version, second.version, back.version), (1, 2, 3));
    assert_eq!(first.digest, Digest::of(b"one"));
    given.store.close().await;
}

#[tokio::test]
async fn eight_services_that_keep_the_same_document_at_once_make_one_version() {
    let given = one_firm().await;

    let keeping: Vec<_> = (0..8)
        .map(|_| {
            let (store, firm) = (given.store.clone(), given.firm);
            tokio::spawn(async move { keep_sheet(&store, firm, b"one").await.version })
        })
        .collect();
    for kept in keeping {
        assert_eq!(kept.await.expect("no panic"), 1);
    }

    let versions = given.list_rate_sheet_versions(given.firm, "standard", 10, None).await.expect("it answers");
    assert_eq!(versions.items.len(), 1);
    given.store.close().await;
}

#[tokio::test]
async fn a_version_is_found_by_its_number_and_the_newest_without_one() {
    let given = one_firm().await;
    let bytes = b"{ \"b\": 1, \"a\":2 }\xff";
    keep_sheet(&given, given.firm, bytes).await;
    let second = keep_sheet(&given, given.firm, b"two").await;

    let first = given.find_rate_sheet(given.firm, "standard", Some(1)).await.expect("it answers").expect("it is found");
    let newest = given.find_rate_sheet(given.firm, "standard", None).await.expect("it answers").expect("it is found");

    assert_eq!(first.content, bytes);
    assert_eq!((newest.summary, newest.content.as_slice()), (second, b"two".as_slice()));
    assert!(given.find_rate_sheet(given.firm, "standard", Some(3)).await.expect("it answers").is_none());
    assert!(given.find_rate_sheet(given.firm, "other", None).await.expect("it answers").is_none());
    given.store.close().await;
}

#[tokio::test]
async fn sheets_are_listed_by_name_each_at_its_newest_version_page_by_page() {
    let given = one_firm().await;
    for (name, content) in [("b", b"1"), ("a", b"1"), ("c", b"1"), ("b", b"2")] {
        let sheet = NewRateSheet { name, currency: "GBP", content, invented: false, notes: None };
        given.ensure_rate_sheet(given.firm, &sheet).await.expect("it is kept");
    }

    let first = given.list_rate_sheets(given.firm, 2, None).await.expect("it answers");
    let second = given.list_rate_sheets(given.firm, 2, Some("b")).await.expect("it answers");

    let names = |page: &store::Page<store::RateSheetSummary>| -> Vec<(String, i32)> {
        page.items.iter().map(|sheet| (sheet.name.clone(), sheet.version)).collect()
    };
    assert_eq!(names(&first), [("a".to_owned(), 1), ("b".to_owned(), 2)]);
    assert!(first.more);
    assert_eq!(names(&second), [("c".to_owned(), 1)]);
    assert!(!second.more);
    given.store.close().await;
}

#[tokio::test]
async fn versions_are_listed_newest_first_page_by_page() {
    let given = one_firm().await;
    for content in [b"1", b"2", b"3"] {
        keep_sheet(&given, given.firm, content).await;
    }

    let first = given.list_rate_sheet_versions(given.firm, "standard", 2, None).await.expect("it answers");
    let second = given.list_rate_sheet_versions(given.firm, "standard", 2, Some(2)).await.expect("it answers");
    let none = given.list_rate_sheet_versions(given.firm, "other", 2, None).await.expect("it answers");

    assert_eq!(first.items.iter().map(|sheet| sheet.version).collect::<Vec<_>>(), [3, 2]);
    assert!(first.more);
    assert_eq!(second.items.iter().map(|sheet| sheet.version).collect::<Vec<_>>(), [1]);
    assert!(!second.more);
    assert!(none.items.is_empty());
    given.store.close().await;
}

#[tokio::test]
async fn a_version_cannot_be_changed_removed_or_emptied_away() {
    let given = one_firm().await;
    keep_sheet(&given, given.firm, b"one").await;
    given.store.close().await;
    let owner = given.database.owner().await;
    let attempts = [
        "UPDATE rate_sheet_versions SET notes = 'other'",
        "DELETE FROM rate_sheet_versions",
        "TRUNCATE rate_sheet_versions",
    ];

    for sql in attempts {
        let error = owner.batch_execute(sql).await.expect_err(sql);
        assert_eq!(error.code(), Some(&SqlState::RESTRICT_VIOLATION), "{sql}: {error:?}");
    }
    owner
        .batch_execute(&format!("SET ROLE estimator_app; SET app.firm = '{}'", given.firm))
        .await
        .expect("the owner may take the role");
    for sql in attempts {
        let error = owner.batch_execute(sql).await.expect_err(sql);
        assert_eq!(error.code(), Some(&SqlState::INSUFFICIENT_PRIVILEGE), "{sql}: {error:?}");
    }
    owner.close().await;
}

#[tokio::test]
async fn a_document_altered_behind_the_service_is_not_given_out() {
    let given = one_firm().await;
    keep_sheet(&given, given.firm, b"one").await;
    given.store.close().await;
    let owner = given.database.owner().await;
    owner
        .batch_execute(
            "ALTER TABLE rate_sheet_versions DROP CONSTRAINT rate_sheet_versions_digest_check;
             SET session_replication_role = replica; UPDATE rate_sheet_versions SET content = 'two'",
        )
        .await
        .expect("the owner may still the triggers");
    owner.close().await;
    let store = given.database.open().await;

    let error = store.find_rate_sheet(given.firm, "standard", None).await.expect_err("it is not what was written");

    assert!(matches!(error, StoreError::Corrupt(_)), "{error:?}");
    store.close().await;
}
