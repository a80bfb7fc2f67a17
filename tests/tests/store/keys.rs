//! A key lets in the firm that it was made for, until it is revoked.

use crate::given::{count, one_firm};

#[tokio::test]
async fn a_key_belongs_to_the_firm_that_it_was_made_for() {
    let given = one_firm().await;

    let local = given.create_key("local", "office").await.expect("a key is made");
    let other = given.create_key("other", "office").await.expect("a key is made");

    assert_eq!(local.firm(), given.firm);
    assert_ne!(other.firm(), given.firm);
    assert_eq!(given.find_key(local.reveal()).await.expect("it answers"), Some(given.firm));
    assert_eq!(given.find_key(other.reveal()).await.expect("it answers"), Some(other.firm()));
    given.store.close().await;
}

#[tokio::test]
async fn two_keys_of_a_firm_both_let_it_in_so_that_one_can_replace_the_other() {
    let given = one_firm().await;

    let old = given.create_key("local", "office").await.expect("a key is made");
    let new = given.create_key("local", "office").await.expect("a key is made");

    assert_ne!(old.reveal(), new.reveal());
    for key in [old, new] {
        assert_eq!(given.find_key(key.reveal()).await.expect("it answers"), Some(given.firm));
    }
    given.store.close().await;
}

#[tokio::test]
async fn a_key_of_another_database_or_none_at_all_lets_nobody_in() {
    let elsewhere = one_firm().await;
    let stranger = elsewhere.create_key("local", "office").await.expect("a key is made");
    elsewhere.store.close().await;
    let given = one_firm().await;

    for key in [stranger.reveal(), "", "est_", "' OR true --"] {
        assert_eq!(given.find_key(key).await.expect("it answers"), None);
    }
    given.store.close().await;
}

#[tokio::test]
async fn a_revoked_key_lets_nobody_in() {
    let given = one_firm().await;
    let revoked = given.create_key("local", "lost").await.expect("a key is made");
    let kept = given.create_key("local", "office").await.expect("a key is made");
    given.store.close().await;
    let owner = given.database.owner().await;
    owner.batch_execute("UPDATE api_keys SET revoked_at = now() WHERE name = 'lost'").await.expect("the owner may");
    owner.close().await;
    let store = given.database.open().await;

    assert_eq!(store.find_key(revoked.reveal()).await.expect("it answers"), None);
    assert_eq!(store.find_key(kept.reveal()).await.expect("it answers"), Some(given.firm));
    store.close().await;
}

#[tokio::test]
async fn a_key_itself_is_nowhere_in_the_database() {
    let given = one_firm().await;
    let key = given.create_key("local", "office").await.expect("a key is made");
    given.store.close().await;
    let owner = given.database.owner().await;
    let secret = &key.reveal()[4..68];

    let kept = count(&owner, &format!("SELECT count(*) FROM api_keys AS k WHERE k::text LIKE '%{secret}%'")).await;
    let as_bytes = count(&owner, &format!("SELECT count(*) FROM api_keys WHERE key_digest = '\\x{secret}'")).await;
    let last_four: String = owner.query_one("SELECT last_four FROM api_keys", &[]).await.expect("one key").get(0);

    assert_eq!((kept, as_bytes), (0, 0));
    assert!(key.reveal().ends_with(&last_four));
    owner.close().await;
}
