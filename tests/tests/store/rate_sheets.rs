//! Rate sheets are versions that never change.

use store::{Digest, Expected, Kept, NewRateSheet, StoreError};
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
        let sheet = NewRateSheet {
            name,
            currency: "GBP",
            content,
            invented: false,
            notes: None,
            effective_from: None,
            effective_until: None,
        };
        given.ensure_rate_sheet(given.firm, &sheet).await.expect("it is kept");
    }

    let first = given.list_rate_sheets(given.firm, 2, None).await.expect("it answers");
    let second = given.list_rate_sheets(given.firm, 2, Some("b")).await.expect("it answers");

    let names = |page: &store::ListPart<store::RateSheetSummary>| -> Vec<(String, i32)> {
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

#[tokio::test]
async fn of_sixteen_writers_over_the_same_version_exactly_one_makes_the_next() {
    let given = one_firm().await;
    let first = keep_sheet(&given, given.firm, b"one").await;

    let writing: Vec<_> = (0..16)
        .map(|n| {
            let (store, firm, read) = (given.store.clone(), given.firm, first.digest);
            tokio::spawn(async move {
                let content = format!("{n}");
                let sheet = NewRateSheet {
                    name: "standard",
                    currency: "GBP",
                    content: content.as_bytes(),
                    invented: true,
                    notes: None,
                    effective_from: None,
                    effective_until: None,
                };
                store.keep_rate_sheet(firm, &sheet, Expected::Newest(&[read])).await.expect("it answers")
            })
        })
        .collect();
    let mut won = Vec::new();
    for writer in writing {
        match writer.await.expect("no panic") {
            Kept::New(summary) => won.push(summary),
            Kept::Otherwise(newest) => assert_eq!(newest.map(|newest| newest.version), Some(2)),
            Kept::Same(summary) => panic!("nobody wrote the same: {summary:?}"),
        }
    }

    assert_eq!(won.len(), 1);
    assert_eq!(won[0].version, 2);
    given.store.close().await;
}

#[tokio::test]
async fn what_is_expected_must_be_there() {
    let given = one_firm().await;
    let sheet = |content: &'static [u8]| NewRateSheet {
        name: "standard",
        currency: "GBP",
        content,
        invented: true,
        notes: None,
        effective_from: None,
        effective_until: None,
    };
    let keep = async |content, expected: Expected<'_>| {
        given.keep_rate_sheet(given.firm, &sheet(content), expected).await.expect("it answers")
    };

    assert_eq!(keep(b"one", Expected::Something).await, Kept::Otherwise(None));
    assert_eq!(keep(b"one", Expected::Newest(&[Digest::of(b"one")])).await, Kept::Otherwise(None));
    assert!(matches!(keep(b"one", Expected::Nothing).await, Kept::New(one) if one.version == 1));
    assert!(matches!(keep(b"one", Expected::Nothing).await, Kept::Otherwise(Some(one)) if one.version == 1));
    assert!(matches!(keep(b"one", Expected::Something).await, Kept::Same(one) if one.version == 1));
    assert!(
        matches!(keep(b"two", Expected::Newest(&[Digest::of(b"zero"), Digest::of(b"one")])).await, Kept::New(two) if two.version == 2)
    );
    given.store.close().await;
}

#[tokio::test]
async fn a_version_is_used_from_its_first_day_to_its_last_and_the_newest_of_those_that_are() {
    let given = one_firm().await;
    let days = [(b"1", None, None), (b"2", Some("2027-01-04"), Some("2027-06-30")), (b"3", Some("2028-01-01"), None)];
    for (content, from, until) in days {
        let sheet = NewRateSheet {
            name: "standard",
            currency: "GBP",
            content,
            invented: true,
            notes: None,
            effective_from: from.map(|day: &str| day.parse().expect("a day")),
            effective_until: until.map(|day: &str| day.parse().expect("a day")),
        };
        given.ensure_rate_sheet(given.firm, &sheet).await.expect("it is kept");
    }

    for (day, version) in [
        ("2026-11-25", 1),
        ("2027-01-04", 2),
        ("2027-06-30", 2),
        ("2027-07-01", 1),
        ("2027-12-31", 1),
        ("2028-01-01", 3),
    ] {
        let day = day.parse().expect("a day");
        let found = given.find_rate_sheet_in_effect(given.firm, "standard", day).await.expect("it answers");
        assert_eq!(found.map(|found| found.version), Some(version), "{day}");
    }
    given.store.close().await;
}
