//! Whatever is changed behind the service's back, verification finds it and names the first place.

use store::{ChainFault, EntryId, FirmId, Store, StoreError};

use crate::given::{one_firm, record};

/// One way to damage a firm's chain of four entries, and what must be found.
struct Damage {
    what: &'static str,
    /// SQL as the owner; `$firm` stands for the firm.
    sql: &'static str,
    breaks_at: i64,
    fault: ChainFault,
}

const DAMAGES: &[Damage] = &[
    altered("a byte of the response", "response = set_byte(response, 3, get_byte(response, 3) # 1)"),
    altered("the response's coding", "response_coding = 'identity', response_length = NULL"),
    altered("the response's own length", "response_length = response_length + 1"),
    altered("the response's length taken away", "response_length = NULL"),
    altered("a byte of the request", "request = set_byte(request, 0, get_byte(request, 0) # 1)"),
    altered("the request's media type", "request_media_type = 'text/csv'"),
    altered("the reference", "reference = 'J-1043'"),
    altered("the reference taken away", "reference = NULL"),
    altered("the gross total, by a penny", "gross = gross + 0.01"),
    altered("the gross total taken away", "gross = NULL"),
    altered("the rate sheet's name", "rate_sheet_name = 'other'"),
    altered("the rate sheet's version", "rate_sheet_version = 2"),
    altered("the ruleset", "ruleset = 'other'"),
    altered("the engine's version", "engine_version = '0.1.1'"),
    altered("the time, by a microsecond", "created_at = created_at + interval '1 microsecond'"),
    altered("the kind", "kind = 'other'"),
    altered("the digest", "digest = set_byte(digest, 31, get_byte(digest, 31) # 1)"),
    altered(
        "the identifier",
        "id = (left(id::text, 35) || translate(right(id::text, 1), '0123456789abcdef', '123456789abcdef0'))::uuid",
    ),
    Damage {
        what: "the digest of the entry before",
        sql: "UPDATE audit_entries SET previous_digest = set_byte(previous_digest, 0, 7) WHERE firm = '$firm' AND n = 2",
        breaks_at: 2,
        fault: ChainFault::Unlinked,
    },
    Damage {
        what: "an entry in the middle removed",
        sql: "DELETE FROM audit_entries WHERE firm = '$firm' AND n = 2",
        breaks_at: 2,
        fault: ChainFault::Missing,
    },
    Damage {
        what: "the first entry removed",
        sql: "DELETE FROM audit_entries WHERE firm = '$firm' AND n = 1",
        breaks_at: 1,
        fault: ChainFault::Missing,
    },
    Damage {
        what: "the tail cut off",
        sql: "DELETE FROM audit_entries WHERE firm = '$firm' AND n >= 3",
        breaks_at: 3,
        fault: ChainFault::Missing,
    },
    Damage {
        what: "the tail cut off and the head's count set back",
        sql: "DELETE FROM audit_entries WHERE firm = '$firm' AND n >= 3; UPDATE audit_heads SET n = 2 WHERE firm = '$firm'",
        breaks_at: 2,
        fault: ChainFault::HeadAltered,
    },
    Damage {
        what: "all entries removed",
        sql: "DELETE FROM audit_entries WHERE firm = '$firm'",
        breaks_at: 1,
        fault: ChainFault::Missing,
    },
    Damage {
        what: "two entries swapped",
        sql: "UPDATE audit_entries SET n = 5 - n WHERE firm = '$firm' AND n IN (2, 3)",
        breaks_at: 2,
        fault: ChainFault::Unlinked,
    },
    Damage {
        what: "an entry put in twice",
        sql:
            "INSERT INTO audit_entries (firm, n, id, kind, created_at, reference, request, request_media_type, response,
                  response_coding, response_length, rate_sheet_name,
                  rate_sheet_version, ruleset, engine_version, gross, digest, previous_digest)
              SELECT firm, n, first_id_of(now()), kind, created_at, reference, request, request_media_type, response,
                  response_coding, response_length, rate_sheet_name,
                  rate_sheet_version, ruleset, engine_version, gross, digest, previous_digest
              FROM audit_entries WHERE firm = '$firm' AND n = 2",
        breaks_at: 2,
        fault: ChainFault::Extra,
    },
    Damage {
        what: "an entry put in beyond the head",
        sql:
            "INSERT INTO audit_entries (firm, n, id, kind, created_at, reference, request, request_media_type, response,
                  response_coding, response_length, rate_sheet_name,
                  rate_sheet_version, ruleset, engine_version, gross, digest, previous_digest)
              SELECT firm, 5, first_id_of(now()), kind, created_at, reference, request, request_media_type, response,
                  response_coding, response_length, rate_sheet_name,
                  rate_sheet_version, ruleset, engine_version, gross, digest, digest
              FROM audit_entries WHERE firm = '$firm' AND n = 4",
        breaks_at: 5,
        fault: ChainFault::Extra,
    },
];

/// A change to the second entry's content.
const fn altered(what: &'static str, sql: &'static str) -> Damage {
    Damage { what, sql, breaks_at: 2, fault: ChainFault::Altered }
}

impl Damage {
    fn sql_for(&self, firm: FirmId) -> String {
        let sql = if self.sql.contains("audit_entries") {
            self.sql.to_owned()
        } else {
            format!("UPDATE audit_entries SET {} WHERE firm = '$firm' AND n = 2", self.sql)
        };
        sql.replace("$firm", &firm.to_string())
    }
}

#[tokio::test]
async fn every_damage_to_a_chain_is_found_at_its_first_place() {
    let given = one_firm().await;
    let mut firms = Vec::new();
    for damage in DAMAGES {
        firms.push(firm_with_four_entries(&given.store, damage.what).await);
    }
    given.store.close().await;

    let owner = given.database.owner().await;
    // What the owner of a database can always do: the chain is there for the day that somebody does.
    owner.batch_execute("SET session_replication_role = replica").await.expect("the owner may still the triggers");
    for (damage, (firm, _)) in DAMAGES.iter().zip(&firms) {
        owner.batch_execute(&damage.sql_for(*firm)).await.unwrap_or_else(|error| panic!("{}: {error:?}", damage.what));
    }
    owner.close().await;

    let store = given.database.open().await;
    for (damage, (firm, _)) in DAMAGES.iter().zip(&firms) {
        let found = store.verify_chain(*firm).await.expect("a broken chain is an answer");
        assert!(!found.intact, "{}: {found:?}", damage.what);
        assert_eq!(
            (found.breaks_at, found.fault),
            (Some(damage.breaks_at), Some(damage.fault)),
            "{}: {found:?}",
            damage.what
        );
    }
    store.close().await;
}

#[tokio::test]
async fn an_altered_estimate_is_not_given_out() {
    let given = one_firm().await;
    let (firm, ids) = firm_with_four_entries(&given.store, "firm").await;
    given.store.close().await;
    let owner = given.database.owner().await;
    owner
        .batch_execute(&format!(
            "SET session_replication_role = replica; UPDATE audit_entries SET gross = 1 WHERE firm = '{firm}' AND n = 2"
        ))
        .await
        .expect("the owner may still the triggers");
    owner.close().await;
    let store = given.database.open().await;

    let altered = store.find_estimate(firm, ids[1]).await.expect_err("it is not what was written");
    let sound = store.find_estimate(firm, ids[2]).await.expect("it answers");

    assert!(matches!(altered, StoreError::Corrupt(_)), "{altered:?}");
    assert!(sound.is_some());
    store.close().await;
}

#[tokio::test]
async fn a_break_beyond_the_first_batch_is_found() {
    let given = one_firm().await;
    let entries = 3 * store::limits::VERIFY_BATCH;
    for which in 0..entries {
        record(&given, given.firm, &which.to_be_bytes()).await;
    }
    assert!(given.verify_chain(given.firm).await.expect("it is followed").intact);
    given.store.close().await;
    let owner = given.database.owner().await;
    owner
        .batch_execute(&format!(
            "SET session_replication_role = replica; DELETE FROM audit_entries WHERE n = {}",
            entries - 1
        ))
        .await
        .expect("the owner may still the triggers");
    owner.close().await;

    let store = given.database.open().await;
    let found = store.verify_chain(given.firm).await.expect("a broken chain is an answer");

    assert_eq!((found.breaks_at, found.fault), (Some(entries - 1), Some(ChainFault::Missing)));
    assert_eq!((found.entries, found.last), (entries - 1, Some(entries)));
    store.close().await;
}

async fn firm_with_four_entries(store: &Store, name: &str) -> (FirmId, Vec<EntryId>) {
    let firm = store.ensure_firm(name).await.expect("a firm is made");
    let mut ids = Vec::new();
    for request in [b"1", b"2", b"3", b"4"] {
        ids.push(record(store, firm, request).await);
    }
    assert!(store.verify_chain(firm).await.expect("it is followed").intact);
    (firm, ids)
}
