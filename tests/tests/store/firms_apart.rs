//! Firms are apart: by row security, by the role the service takes, and by what that role may do.

use std::collections::BTreeSet;

use end_to_end::{Owner, TestDatabase, migrations, note};
use store::{DatabaseSettings, EntryId, FirmId, Store, StoreError};
use tokio_postgres::error::SqlState;

use crate::given::{count, estimate, keep_sheet, one_firm, receipt, record};

/// Two firms, each with a row in every table that belongs to a firm.
async fn two_firms(database: &TestDatabase) -> (FirmId, FirmId) {
    let store = database.open().await;
    let mut firms = Vec::new();
    for name in ["first", "second"] {
        let firm = store.create_key(name, "office").await.expect("a key is made").firm();
        keep_sheet(&store, firm, b"sheet").await;
        let mut entry = estimate(EntryId::now(), b"{}");
        entry.idempotency_key = Some(store::RequestKey { route: "POST /v1/estimates", key: "k-1" });
        receipt(&store.record_estimate(firm, &entry).await.expect("it is recorded"));
        store.keep_firm_details(firm, b"{}").await.expect("it is kept");
        store.keep_client(firm, entry.id, b"{}").await.expect("it is kept");
        firms.push(firm);
    }
    store.close().await;
    (firms[0], firms[1])
}

/// Tables with a column `firm`, partitions among them.
async fn tables_of_firms(owner: &Owner) -> BTreeSet<String> {
    let rows = owner
        .query(
            "SELECT c.relname FROM pg_class AS c JOIN pg_attribute AS a ON a.attrelid = c.oid
             WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND a.attname = 'firm' AND NOT a.attisdropped",
            &[],
        )
        .await
        .expect("the catalogue can be read");
    rows.iter().map(|row| row.get(0)).collect()
}

#[tokio::test]
async fn every_table_with_a_firm_has_row_security_forced_and_a_policy_for_reading_and_writing() {
    let database = TestDatabase::create().await;
    let owner = database.owner().await;

    let all = tables_of_firms(&owner).await;
    let rows = owner
        .query(
            "SELECT c.relname FROM pg_class AS c JOIN pg_policy AS p ON p.polrelid = c.oid
             WHERE c.relrowsecurity AND c.relforcerowsecurity AND p.polname = 'own_firm' AND p.polcmd = '*' AND p.polpermissive
                 AND pg_get_expr(p.polqual, p.polrelid) = '(firm = current_firm())'
                 AND pg_get_expr(p.polwithcheck, p.polrelid) = '(firm = current_firm())'",
            &[],
        )
        .await
        .expect("the catalogue can be read");
    let secured: BTreeSet<String> = rows.iter().map(|row| row.get(0)).collect();

    assert_eq!(secured, all);
    for table in
        ["firms", "api_keys", "rate_sheets", "rate_sheet_versions", "audit_heads", "audit_entries", "idempotency_keys"]
    {
        assert!(all.contains(table), "{table} has a firm");
    }
    owner.close().await;
}

#[tokio::test]
async fn every_key_of_a_firms_table_begins_with_the_firm() {
    let database = TestDatabase::create().await;
    let owner = database.owner().await;

    let rows = owner
        .query(
            "SELECT i.indrelid::regclass::text, i.indexrelid::regclass::text FROM pg_index AS i
             JOIN pg_attribute AS f ON f.attrelid = i.indrelid AND f.attname = 'firm'
             JOIN pg_class AS c ON c.oid = i.indrelid AND c.relnamespace = 'public'::regnamespace
             WHERE i.indkey[0] <> f.attnum",
            &[],
        )
        .await
        .expect("the catalogue can be read");
    let others: Vec<(String, String)> = rows.iter().map(|row| (row.get(0), row.get(1))).collect();

    // These two are what a firm is found by before it is known.
    let expected = [("api_keys", "api_keys_key_digest_key"), ("firms", "firms_name_key")];
    let mut others: Vec<_> = others.iter().map(|(table, index)| (table.as_str(), index.as_str())).collect();
    others.sort_unstable();
    assert_eq!(others, expected);
    owner.close().await;
}

#[tokio::test]
async fn the_services_role_owns_nothing_and_cannot_step_past_row_security() {
    let database = TestDatabase::create().await;
    let owner = database.owner().await;

    let role = owner
        .query_one(
            "SELECT rolsuper, rolbypassrls, rolcanlogin, rolcreaterole, rolcreatedb FROM pg_roles WHERE rolname = 'estimator_app'",
            &[],
        )
        .await
        .expect("the role is there");
    let owned = count(&owner, "SELECT count(*) FROM pg_class WHERE relowner = 'estimator_app'::regrole").await
        + count(&owner, "SELECT count(*) FROM pg_proc WHERE proowner = 'estimator_app'::regrole").await;

    assert_eq!((0..5).filter(|column| role.get::<_, bool>(*column)).count(), 0);
    assert_eq!(owned, 0);
    owner.close().await;
}

#[tokio::test]
async fn the_services_role_holds_these_rights_and_no_others() {
    let database = TestDatabase::create().await;
    let owner = database.owner().await;

    let rows = owner
        .query(
            "SELECT table_name || ': ' || string_agg(privilege_type, ', ' ORDER BY privilege_type)
             FROM information_schema.role_table_grants WHERE grantee = 'estimator_app' GROUP BY table_name ORDER BY table_name",
            &[],
        )
        .await
        .expect("the grants can be read");
    let grants: Vec<String> = rows.iter().map(|row| row.get(0)).collect();

    assert_eq!(
        grants,
        [
            "api_keys: INSERT, SELECT",
            "audit_entries: INSERT, SELECT",
            "audit_heads: SELECT, UPDATE",
            "estimate_clients: DELETE, INSERT, SELECT, UPDATE",
            "firm_details: INSERT, SELECT, UPDATE",
            "firms: SELECT",
            "idempotency_keys: DELETE, INSERT, SELECT, UPDATE",
            "rate_sheet_versions: INSERT, SELECT",
            "rate_sheets: INSERT, SELECT",
            "refinery_schema_history: SELECT",
        ]
    );
    owner.close().await;
}

#[tokio::test]
async fn without_a_firm_set_no_table_shows_a_row() {
    let database = TestDatabase::create().await;
    two_firms(&database).await;
    let owner = database.owner().await;
    let tables = tables_that_may_be_read(&owner).await;

    for table in &tables {
        assert!(count(&owner, &format!("SELECT count(*) FROM {table}")).await >= 2, "{table} holds rows");
    }
    owner.batch_execute("SET ROLE estimator_app").await.expect("the owner may take the role");
    for table in &tables {
        assert_eq!(count(&owner, &format!("SELECT count(*) FROM {table}")).await, 0, "{table}");
    }
    owner.close().await;
}

#[tokio::test]
async fn a_firm_sees_its_own_rows_and_none_of_anothers() {
    let database = TestDatabase::create().await;
    let (first, second) = two_firms(&database).await;
    let owner = database.owner().await;
    let tables = tables_that_may_be_read(&owner).await;

    owner
        .batch_execute(&format!("SET ROLE estimator_app; SET app.firm = '{first}'"))
        .await
        .expect("the owner may take the role");

    for table in &tables {
        assert!(count(&owner, &format!("SELECT count(*) FROM {table} WHERE firm = '{first}'")).await >= 1, "{table}");
        assert_eq!(count(&owner, &format!("SELECT count(*) FROM {table} WHERE firm = '{second}'")).await, 0, "{table}");
        assert_eq!(count(&owner, &format!("SELECT count(*) FROM {table} WHERE firm <> '{first}'")).await, 0, "{table}");
    }
    owner.close().await;
}

#[tokio::test]
async fn a_row_cannot_be_written_for_another_firm() {
    let database = TestDatabase::create().await;
    let (first, second) = two_firms(&database).await;
    let owner = database.owner().await;
    owner
        .batch_execute(&format!("SET ROLE estimator_app; SET app.firm = '{first}'"))
        .await
        .expect("the owner may take the role");

    let inserted = owner
        .execute(&format!("INSERT INTO rate_sheets (firm, name) VALUES ('{second}', 'smuggled')"), &[])
        .await
        .expect_err("the policy checks what is written");
    let moved = owner
        .execute(&format!("UPDATE idempotency_keys SET firm = '{second}'"), &[])
        .await
        .expect_err("the policy checks what a row becomes");
    let others = owner
        .execute(&format!("UPDATE audit_heads SET n = 7 WHERE firm = '{second}'"), &[])
        .await
        .expect("there is nothing to change");

    assert_eq!(inserted.code(), Some(&SqlState::INSUFFICIENT_PRIVILEGE));
    assert_eq!(moved.code(), Some(&SqlState::INSUFFICIENT_PRIVILEGE));
    assert_eq!(others, 0);
    owner.close().await;
}

/// Tables of firms that the service's role may read: all but the partitions, which are reached through their parent.
async fn tables_that_may_be_read(owner: &Owner) -> Vec<String> {
    let tables = tables_of_firms(owner).await;
    tables.into_iter().filter(|table| !table.starts_with("audit_entries_")).collect()
}

#[tokio::test]
async fn anothers_estimate_rate_sheet_and_chain_are_not_found() {
    let given = one_firm().await;
    let id = record(&given, given.firm, b"{}").await;
    keep_sheet(&given, given.firm, b"sheet").await;
    let other = given.ensure_firm("other").await.expect("a firm is made");

    assert!(given.find_estimate(given.firm, id).await.expect("it answers").is_some());
    assert!(given.find_estimate(other, id).await.expect("it answers").is_none());
    assert!(given.find_rate_sheet(other, "standard", None).await.expect("it answers").is_none());
    assert!(given.list_rate_sheets(other, 10, None).await.expect("it answers").items.is_empty());
    assert_eq!(given.verify_chain(other).await.expect("it answers").entries, 0);
    given.store.close().await;
}

#[tokio::test]
async fn a_firm_that_was_never_made_is_unknown() {
    let given = one_firm().await;
    let stranger = FirmId::from_uuid(EntryId::now().as_uuid());
    let mut entry = estimate(EntryId::now(), b"{}");

    let plain = given.record_estimate(stranger, &entry).await.expect_err("there is no chain to add to");
    entry.idempotency_key = Some(store::RequestKey { route: "r", key: "k" });
    let keyed = given.record_estimate(stranger, &entry).await.expect_err("there is no chain to add to");
    let chain = given.verify_chain(stranger).await.expect_err("there is no chain");

    for error in [plain, keyed, chain] {
        assert!(matches!(error, StoreError::UnknownFirm), "{error:?}");
    }
    given.store.close().await;
}

#[tokio::test]
async fn a_firm_is_made_once_however_many_ask_at_once() {
    let database = TestDatabase::create().await;
    let store = database.open().await;

    let asked: Vec<_> = (0..8)
        .map(|_| {
            let store = store.clone();
            tokio::spawn(async move { store.ensure_firm("local").await })
        })
        .collect();
    let mut firms = BTreeSet::new();
    for answer in asked {
        firms.insert(answer.await.expect("no panic").expect("each gets a firm"));
    }

    assert_eq!(firms.len(), 1);
    store.close().await;
}

#[tokio::test]
async fn an_owner_who_is_no_superuser_can_migrate_and_a_plain_user_can_serve() {
    let database = TestDatabase::create_empty().await;
    if !database.kind().is_server() {
        note("the embedded database lets in one user, a superuser: the other users are played by him");
        play_other_users(&database).await;
        return;
    }
    let administrator = database.owner().await;
    let name = database.settings().database_url.expect("a server has an address");
    let (as_owner, as_user) = other_users(&administrator, &name).await;

    let migrated = store::migrate(&as_owner).await.expect("an owner who may make roles can migrate");
    administrator.batch_execute(&format!("GRANT estimator_app TO {}", user_of(&as_user))).await.expect("granted");
    let store = Store::open(&as_user).await.expect("a plain user in the service's role can serve");

    assert_eq!(migrated, migrations());
    let firm = store.ensure_firm("local").await.expect("a firm is made");
    let key = store.create_key("local", "office").await.expect("a key is made");
    assert_eq!(store.find_key(key.reveal()).await.expect("it answers"), Some(firm));
    let id = record(&store, firm, b"{}").await;
    assert!(store.find_estimate(firm, id).await.expect("it answers").is_some());
    assert!(store.verify_chain(firm).await.expect("it answers").intact);
    store.close().await;

    // The owner is under row security as well: it is forced.
    let owner = Store::open(&as_owner).await.expect("the owner can serve too");
    assert_eq!(owner.ensure_firm("local").await.expect("found"), firm);
    owner.close().await;
    remove_users(&administrator, &as_owner, &as_user).await;
    administrator.close().await;
}

/// On one connection: the migration as a user who may only make roles, then what the service's role can do with it.
async fn play_other_users(database: &TestDatabase) {
    let connection = database.owner().await;
    connection
        .batch_execute(
            "CREATE ROLE new_owner CREATEROLE; GRANT ALL ON SCHEMA public TO new_owner; SET SESSION AUTHORIZATION new_owner;
             CREATE TABLE refinery_schema_history (version integer)",
        )
        .await
        .expect("the superuser may become another");
    connection
        .batch_execute(include_str!("../../../migrations/V1__firms_rate_sheets_audit_trail.sql"))
        .await
        .expect("an owner who may make roles can migrate");

    let firm = "01a21242-4846-7589-b9ec-57d1a01e73dd";
    connection.batch_execute("SET ROLE estimator_app").await.expect("the owner may take the role");
    count(&connection, "SELECT make_audit_partitions(2)::bigint").await;
    let made: String = connection
        .query_one(&format!("SELECT ensure_firm('local', '{firm}')::text"), &[])
        .await
        .expect("the service's role can make a firm")
        .get(0);
    assert_eq!(made, firm);
    assert_eq!(count(&connection, "SELECT count(*) FROM audit_heads").await, 0, "no firm is set");

    // The owner is under row security as well: it is forced. What he may see is what the look-ups need.
    connection.batch_execute("RESET ROLE").await.expect("back to the owner");
    assert_eq!(count(&connection, "SELECT count(*) FROM audit_heads").await, 0);
    assert_eq!(count(&connection, "SELECT count(*) FROM firms").await, 1);
    connection.close().await;
}

/// Settings for the database's new owner, who may make roles, and for a user with no rights at all.
async fn other_users(administrator: &Owner, url: &str) -> (DatabaseSettings, DatabaseSettings) {
    let database: String =
        administrator.query_one("SELECT current_database()::text", &[]).await.expect("it has a name").get(0);
    let owner = format!("owner_of_{database}");
    let user = format!("user_of_{database}");
    // A server older than this test may have the role from another database; the new owner must then be let in by hand.
    administrator
        .batch_execute(&format!(
            "CREATE ROLE {owner} LOGIN CREATEROLE PASSWORD 'p'; CREATE ROLE {user} LOGIN PASSWORD 'p';
             ALTER DATABASE {database} OWNER TO {owner};
             DO $$ BEGIN IF EXISTS (SELECT FROM pg_roles WHERE rolname = 'estimator_app') THEN GRANT estimator_app TO {owner}; END IF; END $$"
        ))
        .await
        .expect("the administrator may make users");
    let settings = |name: &str| {
        let host = url.rsplit_once('@').map_or(url, |(_, host)| host);
        DatabaseSettings::new(Some(format!("postgres://{name}:p@{host}")), "unused")
    };
    (settings(&owner), settings(&user))
}

fn user_of(settings: &DatabaseSettings) -> String {
    let url = settings.database_url.as_deref().unwrap_or_default();
    url.trim_start_matches("postgres://").split(':').next().unwrap_or_default().to_owned()
}

/// Roles belong to the whole server, and would stay when the database goes.
async fn remove_users(administrator: &Owner, as_owner: &DatabaseSettings, as_user: &DatabaseSettings) {
    let (owner, user) = (user_of(as_owner), user_of(as_user));
    administrator
        .batch_execute(&format!(
            "REASSIGN OWNED BY {owner} TO CURRENT_USER; DROP OWNED BY {owner}; DROP ROLE {owner}, {user}"
        ))
        .await
        .expect("the users can be removed");
}
