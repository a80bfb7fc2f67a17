//! Brings a database's schema up to date.
//!
//! The runner (refinery) takes no lock of its own: of several processes that start at once, all but one would die. So an
//! advisory lock is taken first, on the very connection that migrates; it goes with the connection, however that ends.
//!
//! `estimator migrate` comes the same way as the service's own start, by the asynchronous driver: one path to test, and
//! no second Postgres client among the dependencies.

use refinery::{Migration, Runner};
use tokio_postgres::Client;

use crate::{StoreError, limits};

mod files {
    refinery::embed_migrations!("../../migrations");
}

/// The oldest Postgres that the migrations are written for: SQL-standard function bodies and LZ4 came with it.
const OLDEST_SERVER: i32 = 140_000;

/// Applies what is missing, under the lock, and makes the coming months' partitions.
pub(crate) async fn bring_up_to_date(client: &mut Client) -> Result<Vec<String>, StoreError> {
    let version: i32 =
        client.query_one("SELECT current_setting('server_version_num')::integer", &[]).await?.try_get(0)?;
    if version < OLDEST_SERVER {
        return Err(StoreError::misconfigured(format!(
            "the database server is Postgres {}; the service needs 14 or newer",
            version / 10_000
        )));
    }

    // The time limit is for waiting on another process; a migration itself takes as long as it takes.
    client
        .batch_execute(&format!(
            "SET search_path = public; SET statement_timeout = {}; SELECT pg_advisory_lock(hashtextextended('estimator migrations', 0)); \
             SET statement_timeout = 0",
            limits::MIGRATION_WAIT.as_millis()
        ))
        .await?;
    let applied = apply_missing(client).await?;
    client.batch_execute("SET ROLE estimator_app").await?;
    client.execute("SELECT make_audit_partitions($1)", &[&limits::PARTITION_MONTHS]).await?;
    client.batch_execute("RESET ROLE; SELECT pg_advisory_unlock(hashtextextended('estimator migrations', 0))").await?;
    Ok(applied)
}

async fn apply_missing(client: &mut Client) -> Result<Vec<String>, StoreError> {
    // A schema newer than this program is left alone: during a roll-out the release before works on it too.
    let runner = files::migrations::runner().set_abort_missing(false);
    if nothing_is_missing(&runner, client).await? {
        return Ok(Vec::new());
    }
    let report = runner.run_async(client).await?;
    Ok(report.applied_migrations().iter().map(Migration::to_string).collect())
}

/// Looks before touching anything, so that a service whose user may not change the schema starts on a migrated one.
async fn nothing_is_missing(runner: &Runner, client: &mut Client) -> Result<bool, StoreError> {
    let history_exists: bool =
        client.query_one("SELECT to_regclass('refinery_schema_history') IS NOT NULL", &[]).await?.try_get(0)?;
    if !history_exists {
        return Ok(false);
    }
    let applied = runner.get_applied_migrations_async(client).await?;
    Ok(runner.get_migrations().iter().all(|wanted| applied.contains(wanted)))
}
