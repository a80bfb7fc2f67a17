//! The audit trail keeps what was answered, to the byte and in order, and gives it up to nobody's change.

use store::{Digest, EntryId, EntryKind, Packed, RequestKey, StoredEntry};
use tokio_postgres::error::SqlState;
use uuid::Uuid;

use crate::given::{count, estimate, one_firm, packed, receipt, record, record_patiently};

#[tokio::test]
async fn an_estimate_comes_back_as_it_was_given_to_the_byte() {
    let given = one_firm().await;
    // Doubled keys, odd spacing and a byte that is no text: what a document type would tidy up or refuse.
    let request = b"{ \"b\":1,\"a\" : 2, \"b\":1.0 }\xff\x00";
    let id = EntryId::now();
    let entry = estimate(id, request);

    let receipt = receipt(&given.record_estimate(given.firm, &entry).await.expect("it is recorded"));
    let found = given.find_estimate(given.firm, id).await.expect("it answers").expect("it is found");

    let expected = StoredEntry {
        n: 1,
        id,
        kind: EntryKind::Estimate,
        created_at: id.created_at(),
        reference: Some("J-1042".to_owned()),
        request: request.to_vec(),
        request_media_type: "application/json".to_owned(),
        response: entry.response.clone(),
        rate_sheet_name: "standard".to_owned(),
        rate_sheet_version: 1,
        ruleset: entry.ruleset.to_owned(),
        engine_version: "0.1.0".to_owned(),
        gross: entry.gross,
        digest: receipt.digest,
        previous_digest: Digest::NONE,
    };
    assert_eq!(found, expected);
    given.store.close().await;
}

#[tokio::test]
async fn the_largest_body_that_is_let_in_comes_back_whole() {
    let given = one_firm().await;
    // A megabyte that does not compress: each byte from a digest of its block's number.
    let body: Vec<u8> = (0..32_768_u32).flat_map(|block| *Digest::of(&block.to_be_bytes()).as_bytes()).collect();
    let id = EntryId::now();
    let mut entry = estimate(id, &body);
    let response = packed(&body);
    entry.response = &response;

    receipt(&given.record_estimate(given.firm, &entry).await.expect("it is recorded"));
    let found = given.find_estimate(given.firm, id).await.expect("it answers").expect("it is found");

    assert_eq!(body.len(), 1 << 20);
    assert!(found.request == body && found.response.unpacked().expect("it unpacks") == body);
    given.store.close().await;
}

#[tokio::test]
async fn an_entry_from_before_answers_were_compressed_is_read_and_followed_as_one_from_after() {
    let given = one_firm().await;
    let (before, after) = (EntryId::now(), EntryId::now());
    let plain = Packed::plain(&b"{\"id\":\"before\"}"[..]);
    let mut entry = estimate(before, b"{}");
    entry.response = &plain;
    let first = receipt(&given.record_estimate(given.firm, &entry).await.expect("it is recorded"));
    receipt(&given.record_estimate(given.firm, &estimate(after, b"{}")).await.expect("it is recorded"));

    let found = given.find_estimate(given.firm, before).await.expect("it answers").expect("it is found");

    // The digest that the release before gave this kind of entry: nothing but its own fields.
    assert_eq!((found.digest, found.response.coding(), &found.response), (first.digest, "identity", &plain));
    let verification = given.verify_chain(given.firm).await.expect("the chain is followed");
    assert!(verification.intact && verification.entries == 2, "{verification:?}");
    given.store.close().await;
}

#[tokio::test]
async fn an_entry_that_the_release_before_writes_beside_this_one_fits_the_chain() {
    let given = one_firm().await;
    record(&given, given.firm, b"{}").await;
    let firm = given.firm;
    given.store.close().await;
    let owner = given.database.owner().await;
    let id = EntryId::now();
    // What that release sends, its columns and no others; the digest of the content is worked out here by hand.
    let framed = |fields: &[Option<&[u8]>]| {
        let mut bytes = Vec::new();
        for field in fields {
            bytes.extend_from_slice(&field.map_or(-1, |field| field.len() as i64).to_be_bytes());
            bytes.extend_from_slice(field.unwrap_or_default());
        }
        *Digest::of(&bytes).as_bytes()
    };
    let firm_bytes = firm.as_uuid().into_bytes();
    let content = framed(&[
        Some(&firm_bytes),
        Some(id.as_uuid().as_bytes()),
        Some(&id.created_at().as_microsecond().to_be_bytes()),
        Some(b"estimate"),
        None,
        Some(b"{}"),
        Some(b"application/json"),
        Some(b"{\"then\":1}"),
        Some(b"standard"),
        Some(&1_i32.to_be_bytes()),
        Some(b"rules"),
        Some(b"0.0.1"),
        Some(b"1.00"),
    ]);
    owner
        .execute(
            "WITH head AS (
                 UPDATE audit_heads SET n = n + 1, previous_digest = digest, digest = audit_digest(digest, n + 1, $1)
                 WHERE firm = $2 RETURNING n, digest, previous_digest)
             INSERT INTO audit_entries (firm, n, id, kind, created_at, request, request_media_type, response, rate_sheet_name,
                 rate_sheet_version, ruleset, engine_version, gross, digest, previous_digest)
             SELECT $2, n, $3, 'estimate', $4, '{}', 'application/json', '{\"then\":1}', 'standard', 1, 'rules', '0.0.1', 1,
                 digest, previous_digest FROM head",
            &[&content.as_slice(), &firm.as_uuid(), &id.as_uuid(), &id.created_at()],
        )
        .await
        .expect("the older columns are enough");
    owner.close().await;

    let store = given.database.open().await;
    let found = store.find_estimate(firm, id).await.expect("it answers").expect("it is found");
    record(&store, firm, b"{}").await;

    assert_eq!(found.response.unpacked().expect("it is read"), b"{\"then\":1}");
    let verification = store.verify_chain(firm).await.expect("the chain is followed");
    assert!(verification.intact && verification.entries == 3, "{verification:?}");
    store.close().await;
}

#[tokio::test]
async fn postgres_keeps_what_is_compressed_as_it_is_in_every_partition() {
    let given = one_firm().await;
    let answer: Vec<u8> = (0..100_000_u32).flat_map(|number| number.to_string().into_bytes()).collect();
    let response = packed(&answer);
    let mut entry = estimate(EntryId::now(), b"{}");
    entry.response = &response;
    receipt(&given.record_estimate(given.firm, &entry).await.expect("it is recorded"));
    given.store.close().await;
    let owner = given.database.owner().await;

    let compressing =
        "SELECT count(*) FROM pg_attribute AS a JOIN pg_partition_tree('audit_entries') AS t ON a.attrelid = t.relid
         WHERE a.attname = 'response' AND a.attstorage <> 'e'";
    let partitions = "SELECT count(*) FROM pg_partition_tree('audit_entries')";
    assert_eq!((count(&owner, compressing).await, count(&owner, partitions).await), (0, 15));
    let sizes = owner.query_one("SELECT octet_length(response), response_length FROM audit_entries", &[]);
    let sizes = sizes.await.expect("there is one entry");
    assert_eq!(sizes.get::<_, i32>(0), i32::try_from(response.bytes().len()).expect("small"));
    assert_eq!(sizes.get::<_, i64>(1), i64::try_from(answer.len()).expect("small"));
    assert!(response.bytes().len() < answer.len());
    owner.close().await;
}

#[tokio::test]
async fn an_estimate_without_reference_or_total_is_kept_too() {
    let given = one_firm().await;
    let id = EntryId::now();
    let mut entry = estimate(id, b"");
    entry.reference = None;
    entry.gross = None;

    receipt(&given.record_estimate(given.firm, &entry).await.expect("it is recorded"));
    let found = given.find_estimate(given.firm, id).await.expect("it answers").expect("it is found");

    assert_eq!((found.reference, found.gross), (None, None));
    given.store.close().await;
}

#[tokio::test]
async fn each_entry_names_the_digest_of_the_firms_entry_before_it() {
    let given = one_firm().await;
    let other = given.ensure_firm("other").await.expect("a firm is made");

    let first = receipt(&given.record_estimate(given.firm, &estimate(EntryId::now(), b"1")).await.expect("recorded"));
    record(&given, other, b"between").await;
    let id = EntryId::now();
    let second = receipt(&given.record_estimate(given.firm, &estimate(id, b"2")).await.expect("recorded"));
    let found = given.find_estimate(given.firm, id).await.expect("it answers").expect("it is found");

    assert_eq!((first.n, second.n), (1, 2));
    assert_eq!(found.previous_digest, first.digest);
    assert_eq!(found.digest, second.digest);
    given.store.close().await;
}

#[tokio::test]
async fn forty_estimates_at_once_stand_one_after_the_other_without_a_gap() {
    let given = one_firm().await;

    let recording: Vec<_> = (0..40_u8)
        .map(|which| {
            let (store, firm) = (given.store.clone(), given.firm);
            tokio::spawn(async move {
                let (request, key) = ([which], which.to_string());
                let mut entry = estimate(EntryId::now(), &request);
                // Every other one has a key of its own: its claim and the wait for the chain's head meet in one statement.
                if which % 2 == 0 {
                    entry.idempotency_key = Some(RequestKey { route: "POST /v1/estimates", key: &key });
                }
                record_patiently(&store, firm, &entry).await
            })
        })
        .collect();
    let mut places = Vec::new();
    for recorded in recording {
        places.push(receipt(&recorded.await.expect("no panic")).n);
    }
    places.sort_unstable();

    assert_eq!(places, (1..=40).collect::<Vec<i64>>());
    let verification = given.verify_chain(given.firm).await.expect("the chain is followed");
    assert!(verification.intact, "{verification:?}");
    assert_eq!((verification.entries, verification.first, verification.last), (40, Some(1), Some(40)));
    given.store.close().await;
}

#[tokio::test]
async fn an_empty_chain_is_whole() {
    let given = one_firm().await;

    let verification = given.verify_chain(given.firm).await.expect("the chain is followed");

    assert!(verification.intact);
    assert_eq!((verification.entries, verification.first, verification.last), (0, None, None));
    given.store.close().await;
}

#[tokio::test]
async fn the_same_identifier_twice_is_refused_and_leaves_no_gap() {
    let given = one_firm().await;
    let id = record(&given, given.firm, b"1").await;

    let refused = given.record_estimate(given.firm, &estimate(id, b"2")).await.expect_err("the identifier is taken");
    record(&given, given.firm, b"3").await;

    assert!(!refused.is_retryable());
    let verification = given.verify_chain(given.firm).await.expect("the chain is followed");
    assert!(verification.intact && verification.entries == 2, "{verification:?}");
    given.store.close().await;
}

#[tokio::test]
async fn an_entry_cannot_be_changed_removed_or_emptied_away() {
    let given = one_firm().await;
    record(&given, given.firm, b"{}").await;
    given.store.close().await;
    let owner = given.database.owner().await;
    let partition: String = owner
        .query_one("SELECT tableoid::regclass::text FROM audit_entries", &[])
        .await
        .expect("there is one entry")
        .get(0);
    let attempts = |table: &str| {
        [format!("UPDATE {table} SET response = 'other'"), format!("DELETE FROM {table}"), format!("TRUNCATE {table}")]
    };

    // The owner is stopped by the triggers …
    for sql in attempts("audit_entries").iter().chain(&attempts(&partition)) {
        let error = owner.batch_execute(sql).await.expect_err(sql);
        assert_eq!(error.code(), Some(&SqlState::RESTRICT_VIOLATION), "{sql}: {error:?}");
    }
    // … and the service already by what it may do.
    owner
        .batch_execute(&format!("SET ROLE estimator_app; SET app.firm = '{}'", given.firm))
        .await
        .expect("the owner may take the role");
    for sql in attempts("audit_entries").iter().chain(&attempts(&partition)) {
        let error = owner.batch_execute(sql).await.expect_err(sql);
        assert_eq!(error.code(), Some(&SqlState::INSUFFICIENT_PRIVILEGE), "{sql}: {error:?}");
    }
    assert_eq!(count(&owner, "SELECT count(*) FROM audit_entries").await, 1);
    owner.close().await;
}

#[tokio::test]
async fn an_entry_lies_in_the_partition_of_its_month() {
    let given = one_firm().await;
    let id = record(&given, given.firm, b"{}").await;
    given.store.close().await;
    let owner = given.database.owner().await;

    let partition: String = owner
        .query_one("SELECT tableoid::regclass::text FROM audit_entries", &[])
        .await
        .expect("there is one entry")
        .get(0);

    assert_eq!(partition, id.created_at().strftime("audit_entries_%Y_%m").to_string());
    owner.close().await;
}

#[tokio::test]
async fn a_month_without_a_partition_refuses_no_entry() {
    let given = one_firm().await;
    // The year 2150, long after the partitions that a start makes ahead.
    let later = id_at("2150-03-15T12:00:00Z");

    receipt(&given.record_estimate(given.firm, &estimate(later, b"{}")).await.expect("it is recorded"));

    let found = given.find_estimate(given.firm, later).await.expect("it answers").expect("it is found");
    assert_eq!(found.created_at, later.created_at());
    assert!(given.verify_chain(given.firm).await.expect("the chain is followed").intact);
    given.store.close().await;
    let owner = given.database.owner().await;
    assert_eq!(count(&owner, "SELECT count(*) FROM audit_entries_other").await, 1);
    owner.close().await;
}

#[tokio::test]
async fn a_start_makes_thirteen_months_and_leaves_a_month_alone_of_which_entries_lie_elsewhere() {
    let given = one_firm().await;
    given.store.close().await;
    let owner = given.database.owner().await;
    assert_eq!(count(&owner, PARTITIONS).await, 13);

    // The last month's partition is taken away, and an entry of that month put into the trail.
    let last: String = owner.query_one(LAST_PARTITION, &[]).await.expect("the catalogue can be read").get(0);
    let month = last.trim_start_matches("audit_entries_");
    owner
        .batch_execute(&format!(
            "DROP TABLE {last};
             INSERT INTO audit_entries (firm, n, id, kind, created_at, request, request_media_type, response, rate_sheet_name,
                 rate_sheet_version, ruleset, engine_version, digest, previous_digest)
             SELECT firm, 1, first_id_of(to_timestamp('{month}', 'YYYY_MM')), 'estimate', now(), '', '', '', '', 1, '', '', digest, digest
             FROM audit_heads"
        ))
        .await
        .expect("the owner may");
    owner.close().await;
    given.database.open().await.close().await;

    let owner = given.database.owner().await;
    assert_eq!(count(&owner, PARTITIONS).await, 12);
    assert_eq!(count(&owner, "SELECT count(*) FROM audit_entries_other").await, 1);
    owner.close().await;
}

const PARTITIONS: &str = "
    SELECT count(*) FROM pg_inherits
    WHERE inhparent = 'audit_entries'::regclass AND inhrelid <> 'audit_entries_other'::regclass";

const LAST_PARTITION: &str = "
    SELECT max(c.relname)::text FROM pg_inherits AS i JOIN pg_class AS c ON c.oid = i.inhrelid
    WHERE i.inhparent = 'audit_entries'::regclass AND c.relname <> 'audit_entries_other'";

/// An identifier made at that time.
fn id_at(time: &str) -> EntryId {
    let time: jiff::Timestamp = time.parse().expect("a time");
    let seconds = u64::try_from(time.as_second()).expect("after 1970");
    let id = Uuid::new_v7(uuid::Timestamp::from_unix_time(seconds, 0, 0, 0));
    EntryId::from_uuid(id).expect("it is of version 7")
}
