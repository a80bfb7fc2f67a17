//! Keys: what a firm's program shows to be let in.
//!
//! A key is `est_`, 32 random bytes in hexadecimal, `_`, and four bytes of their SHA-256 as a checksum, so that a mistyped
//! key is refused without a query and a leaked one is easy to search for. Only its SHA-256 is stored.

use std::fmt;

use jiff::Timestamp;
use uuid::Uuid;

use crate::database::{Store, answer_or_discard};
use crate::digest::Digest;
use crate::transaction::TransactionAccess;
use crate::{FirmId, StoreError};

const PREFIX: &str = "est_";
const RANDOM_BYTES: usize = 32;
const CHECKSUM_DIGITS: usize = 8;

/// A key just made: the only time that it is seen.
pub struct NewKey {
    firm: FirmId,
    plaintext: String,
}

impl NewKey {
    /// The firm it belongs to.
    #[must_use]
    pub fn firm(&self) -> FirmId {
        self.firm
    }

    /// The key itself, to be shown once.
    #[must_use]
    pub fn reveal(&self) -> &str {
        &self.plaintext
    }
}

impl fmt::Debug for NewKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("NewKey").field("firm", &self.firm).finish_non_exhaustive()
    }
}

/// What is known of a key without the key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeySummary {
    /// Its identifier.
    pub id: Uuid,
    /// What it is for.
    pub name: String,
    /// Its last four characters, by which a person recognises it.
    pub last_four: String,
    /// When it was made.
    pub created_at: Timestamp,
    /// When it was revoked, if it was.
    pub revoked_at: Option<Timestamp>,
}

impl Store {
    /// Makes a key for the firm of that name, and the firm itself if there is none yet.
    ///
    /// # Errors
    /// As any call of the store; `Refused` where a name is empty or longer than 200 characters.
    pub async fn create_key(&self, firm_name: &str, key_name: &str) -> Result<NewKey, StoreError> {
        let plaintext = fresh_key()?;
        let firm = self.ensure_firm(firm_name).await?;
        let last_four = &plaintext[plaintext.len() - 4..];
        self.in_transaction(
            firm,
            TransactionAccess::Write,
            "INSERT INTO api_keys (firm, id, key_digest, last_four, name) VALUES ($1, $2, $3, $4, $5)",
            &[
                &firm.as_uuid(),
                &Uuid::now_v7(),
                &Digest::of(plaintext.as_bytes()).as_bytes().as_slice(),
                &last_four,
                &key_name,
            ],
        )
        .await?;
        Ok(NewKey { firm, plaintext })
    }

    /// A firm's keys, the oldest first, the revoked ones with them.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn list_keys(&self, firm: FirmId) -> Result<Vec<KeySummary>, StoreError> {
        let sql =
            "SELECT id, name, last_four, created_at, revoked_at FROM api_keys WHERE firm = $1 ORDER BY created_at, id";
        let rows = self.in_transaction(firm, TransactionAccess::Read, sql, &[&firm.as_uuid()]).await?;
        rows.iter()
            .map(|row| {
                Ok(KeySummary {
                    id: row.try_get("id")?,
                    name: row.try_get("name")?,
                    last_four: row.try_get("last_four")?,
                    created_at: row.try_get("created_at")?,
                    revoked_at: row.try_get("revoked_at")?,
                })
            })
            .collect()
    }

    /// Revokes a key of a firm, for good; says whether the firm has such a key. Services that know the key already let it
    /// in until they look again.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn revoke_key(&self, firm: FirmId, id: Uuid) -> Result<bool, StoreError> {
        let sql =
            "UPDATE api_keys SET revoked_at = coalesce(revoked_at, now()) WHERE firm = $1 AND id = $2 RETURNING id";
        let rows = self.in_transaction(firm, TransactionAccess::Write, sql, &[&firm.as_uuid(), &id]).await?;
        Ok(!rows.is_empty())
    }

    /// Whether any firm has a key that is in use.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn has_keys(&self) -> Result<bool, StoreError> {
        let client = self.connection().await?;
        let answer = tokio::time::timeout(self.answer_wait(), async {
            Ok(client.query_one("SELECT any_key_in_use()", &[]).await?.try_get(0)?)
        })
        .await;
        answer_or_discard(client, answer)
    }

    /// The firm that a key belongs to; none where it is not a key, not known, or revoked.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn find_key(&self, plaintext: &str) -> Result<Option<FirmId>, StoreError> {
        if !is_well_formed(plaintext) {
            return Ok(None);
        }
        let digest = Digest::of(plaintext.as_bytes());
        let client = self.connection().await?;
        let answer = tokio::time::timeout(self.answer_wait(), async {
            let statement = client.prepare_cached("SELECT firm_of_key($1)").await?;
            let row = client.query_one(&statement, &[&digest.as_bytes().as_slice()]).await?;
            let firm: Option<Uuid> = row.try_get(0)?;
            Ok(firm.map(FirmId::from_uuid))
        })
        .await;
        answer_or_discard(client, answer)
    }
}

fn fresh_key() -> Result<String, StoreError> {
    let mut bytes = [0; RANDOM_BYTES];
    getrandom::fill(&mut bytes).map_err(|error| StoreError::Refused(error.into()))?;
    let secret = hex::encode(bytes);
    Ok(format!("{PREFIX}{secret}_{}", checksum(&secret)))
}

fn checksum(secret: &str) -> String {
    let mut digits = Digest::of(secret.as_bytes()).to_string();
    digits.truncate(CHECKSUM_DIGITS);
    digits
}

/// Whether a text has the form of a key and its checksum fits. No secret is compared here: the checksum follows from the
/// text itself.
fn is_well_formed(text: &str) -> bool {
    let parts = text.strip_prefix(PREFIX).and_then(|rest| rest.split_once('_'));
    parts.is_some_and(|(secret, given)| secret.len() == RANDOM_BYTES * 2 && checksum(secret) == given)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fresh_key_is_well_formed_and_unlike_the_one_before() {
        let first = fresh_key().expect("the system gives random bytes");
        let second = fresh_key().expect("the system gives random bytes");

        assert!(is_well_formed(&first));
        assert_eq!(first.len(), PREFIX.len() + RANDOM_BYTES * 2 + 1 + CHECKSUM_DIGITS);
        assert_ne!(first, second);
    }

    #[test]
    fn a_key_with_one_digit_mistyped_is_not_well_formed() {
        let key = fresh_key().expect("the system gives random bytes");
        let tenth = key.as_bytes()[10];
        let mistyped = format!("{}{}{}", &key[..10], if tenth == b'0' { '1' } else { '0' }, &key[11..]);

        assert!(!is_well_formed(&mistyped));
    }

    #[test]
    fn what_is_no_key_at_all_is_not_well_formed() {
        for text in ["", "est_", "est__", "est_äöü_12345678", "key", "est_00_00_00"] {
            assert!(!is_well_formed(text), "{text:?}");
        }
    }

    #[test]
    fn printing_a_new_key_for_debugging_does_not_reveal_it() {
        let key = NewKey { firm: FirmId::from_uuid(Uuid::nil()), plaintext: "est_secret".to_owned() };
        assert!(!format!("{key:?}").contains("secret"));
    }
}
