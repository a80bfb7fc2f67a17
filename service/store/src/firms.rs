//! Firms: whose data it is.

use uuid::Uuid;

use crate::StoreError;
use crate::database::{Store, answer_or_discard};

/// The identifier of a firm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FirmId(Uuid);

impl FirmId {
    /// A firm's identifier that is already known.
    #[must_use]
    pub fn from_uuid(firm: Uuid) -> Self {
        Self(firm)
    }

    /// The identifier as a plain UUID.
    #[must_use]
    pub fn as_uuid(&self) -> Uuid {
        self.0
    }
}

impl std::fmt::Display for FirmId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

impl Store {
    /// The firm of that name; it is made, with an empty audit trail, if there is none yet.
    ///
    /// # Errors
    /// As any call of the store; `Refused` where the name is empty or longer than 200 characters.
    pub async fn ensure_firm(&self, name: &str) -> Result<FirmId, StoreError> {
        let client = self.connection().await?;
        let answer = tokio::time::timeout(self.answer_wait(), async {
            let statement = client.prepare_cached("SELECT ensure_firm($1, $2)").await?;
            let row = client.query_one(&statement, &[&name, &Uuid::now_v7()]).await?;
            Ok(FirmId(row.try_get(0)?))
        })
        .await;
        answer_or_discard(client, answer)
    }

    /// The firm of that name, if there is one.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn find_firm(&self, name: &str) -> Result<Option<FirmId>, StoreError> {
        let client = self.connection().await?;
        let answer = tokio::time::timeout(self.answer_wait(), async {
            let statement = client.prepare_cached("SELECT firm_of_name($1)").await?;
            let firm: Option<Uuid> = client.query_one(&statement, &[&name]).await?.try_get(0)?;
            Ok(firm.map(FirmId))
        })
        .await;
        answer_or_discard(client, answer)
    }
}
