//! What a firm and its clients put on their papers. Outside the audit trail: it is changed and taken away like any address
//! book, and no estimate rests on it. The store keeps documents and does not read them.

use uuid::Uuid;

use crate::database::Store;
use crate::transaction::TransactionAccess;
use crate::{EntryId, FirmId, StoreError};

impl Store {
    /// Keeps a firm's details in place of those before.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn keep_firm_details(&self, firm: FirmId, content: &[u8]) -> Result<(), StoreError> {
        let sql = "INSERT INTO firm_details (firm, content) VALUES ($1, $2)
            ON CONFLICT (firm) DO UPDATE SET content = excluded.content, changed_at = now()";
        self.in_transaction(firm, TransactionAccess::Write, sql, &[&firm.as_uuid(), &content]).await.map(drop)
    }

    /// A firm's details, if it has given any.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn find_firm_details(&self, firm: FirmId) -> Result<Option<Vec<u8>>, StoreError> {
        let sql = "SELECT content FROM firm_details WHERE firm = $1";
        let rows = self.in_transaction(firm, TransactionAccess::Read, sql, &[&firm.as_uuid()]).await?;
        Ok(rows.first().map(|row| row.try_get("content")).transpose()?)
    }

    /// Keeps the client of an estimate in place of the one before. Whether the firm has such an estimate is the caller's to
    /// know.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn keep_client(&self, firm: FirmId, estimate: EntryId, content: &[u8]) -> Result<(), StoreError> {
        let sql = "INSERT INTO estimate_clients (firm, estimate, content) VALUES ($1, $2, $3)
            ON CONFLICT (firm, estimate) DO UPDATE SET content = excluded.content, changed_at = now()";
        let id: Uuid = estimate.as_uuid();
        self.in_transaction(firm, TransactionAccess::Write, sql, &[&firm.as_uuid(), &id, &content]).await.map(drop)
    }

    /// The client of an estimate, if one was given.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn find_client(&self, firm: FirmId, estimate: EntryId) -> Result<Option<Vec<u8>>, StoreError> {
        let sql = "SELECT content FROM estimate_clients WHERE firm = $1 AND estimate = $2";
        let id: Uuid = estimate.as_uuid();
        let rows = self.in_transaction(firm, TransactionAccess::Read, sql, &[&firm.as_uuid(), &id]).await?;
        Ok(rows.first().map(|row| row.try_get("content")).transpose()?)
    }

    /// Takes the client of an estimate away, for good; says whether there was one.
    ///
    /// # Errors
    /// As any call of the store.
    pub async fn forget_client(&self, firm: FirmId, estimate: EntryId) -> Result<bool, StoreError> {
        let sql = "DELETE FROM estimate_clients WHERE firm = $1 AND estimate = $2 RETURNING estimate";
        let id: Uuid = estimate.as_uuid();
        let rows = self.in_transaction(firm, TransactionAccess::Write, sql, &[&firm.as_uuid(), &id]).await?;
        Ok(!rows.is_empty())
    }
}
