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
async fn a_revoked_key_lets_nobody_in_and_stays_on_the_list() {
    let given = one_firm().await;
    let revoked = given.create_key("local", "lost").await.expect("a key is made");
    let kept = given.create_key("local", "office").await.expect("a key is made");
    let firm = given.find_firm("local").await.expect("it answers").expect("the firm is there");
    let lost = given.list_keys(firm).await.expect("it answers").remove(0);
    assert_eq!((lost.name.as_str(), lost.revoked_at), ("lost", None));
    assert!(revoked.reveal().ends_with(&lost.last_four));

    assert!(given.revoke_key(firm, lost.id).await.expect("it answers"));

    assert_eq!(given.find_key(revoked.reveal()).await.expect("it answers"), None);
    assert_eq!(given.find_key(kept.reveal()).await.expect("it answers"), Some(given.firm));
    let listed = given.list_keys(firm).await.expect("it answers");
    let first = listed[0].revoked_at;
    assert!(first.is_some() && listed[1].revoked_at.is_none());
    assert!(given.revoke_key(firm, lost.id).await.expect("it answers"), "once more does no harm");
    assert_eq!(given.list_keys(firm).await.expect("it answers")[0].revoked_at, first);
    given.store.close().await;
}

#[tokio::test]
async fn a_firm_cannot_revoke_the_key_of_another_and_a_firm_that_is_asked_after_is_not_made() {
    let given = one_firm().await;
    let other = given.create_key("other", "office").await.expect("a key is made");
    let id = given.list_keys(other.firm()).await.expect("it answers")[0].id;

    assert!(!given.revoke_key(given.firm, id).await.expect("it answers"));

    assert_eq!(given.find_key(other.reveal()).await.expect("it answers"), Some(other.firm()));
    assert_eq!(given.find_firm("nobody").await.expect("it answers"), None);
    assert_eq!(given.find_firm("nobody").await.expect("it answers"), None);
    given.store.close().await;
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
