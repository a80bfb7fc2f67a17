//! A statement in its firm's own transaction.

use tokio_postgres::Row;
use tokio_postgres::types::ToSql;

use crate::database::{Store, answer_or_discard};
use crate::{FirmId, StoreError};

/// Whether a statement may write. Said to Postgres too, which then refuses a write by mistake.
#[derive(Clone, Copy, Debug)]
pub(crate) enum TransactionAccess {
    Read,
    Write,
}

/// Sets the firm for the present transaction alone, so that it cannot stay behind on a pooled connection.
pub(crate) const SET_FIRM: &str = "SELECT set_config('app.firm', $1::uuid::text, true)";

impl Store {
    /// Runs one statement in a transaction of the firm and gives its rows once that is committed.
    ///
    /// Begin, firm, statement and commit are sent together, for one round trip; then each answer is checked, because
    /// Postgres answers the commit of a failed transaction with 'ok'. A caller that goes away between leaves nothing
    /// half done: either all four were sent or none.
    pub(crate) async fn in_transaction(
        &self,
        firm: FirmId,
        access: TransactionAccess,
        sql: &str,
        parameters: &[&(dyn ToSql + Sync)],
    ) -> Result<Vec<Row>, StoreError> {
        let client = self.connection().await?;
        let begin = match access {
            TransactionAccess::Read => "BEGIN READ ONLY",
            TransactionAccess::Write => "BEGIN",
        };
        let firm = firm.as_uuid();
        let answer = tokio::time::timeout(self.answer_wait(), async {
            let set_firm = client.prepare_cached(SET_FIRM).await?;
            let statement = client.prepare_cached(sql).await?;
            let set_firm_parameters: [&(dyn ToSql + Sync); 1] = [&firm];
            let (begun, firm_set, rows, committed) = tokio::join!(
                biased;
                client.batch_execute(begin),
                client.query_one(&set_firm, &set_firm_parameters),
                client.query(&statement, parameters),
                client.batch_execute("COMMIT"),
            );
            begun?;
            firm_set?;
            let rows = rows?;
            committed?;
            Ok(rows)
        })
        .await;
        answer_or_discard(client, answer)
    }
}
