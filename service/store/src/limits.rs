//! Every limit of the store, in one place.
//!
//! The ladder of waits is: client 30 s > request 10 s > one answer from the database 4 s (statement and one more) > statement 3 s > lock 2 s >
//! connection from the pool 1 s. Each is shorter than the one around it, so that the innermost cause is what is reported.

use std::time::Duration;

/// Connections to a Postgres server, unless the settings say otherwise.
pub const POOL_SIZE: usize = 16;

/// Longest wait for a free connection to a Postgres server.
pub const POOL_WAIT: Duration = Duration::from_secs(1);

/// Longest wait for the one connection of the embedded Postgres: all callers queue for it.
pub const EMBEDDED_WAIT: Duration = Duration::from_secs(5);

/// Longest wait for a connection to the embedded Postgres, which may have to be started again for it.
pub const EMBEDDED_START_WAIT: Duration = Duration::from_secs(15);

/// Longest wait for the embedded Postgres to end.
pub const EMBEDDED_STOP_WAIT: Duration = Duration::from_secs(10);

/// Longest wait for a server to accept a connection.
pub const CONNECT_WAIT: Duration = Duration::from_secs(3);

/// How long a start waits for a server that is not there yet (one that is itself still starting), unless the settings
/// say otherwise.
pub const START_WAIT: Duration = Duration::from_secs(15);

/// How long a start waits for another process that is migrating the same database.
pub const MIGRATION_WAIT: Duration = Duration::from_secs(120);

/// Postgres cancels a statement after this, unless the settings say otherwise.
pub const STATEMENT_TIMEOUT: Duration = Duration::from_secs(3);

/// Postgres gives up waiting for a row (a chain's head, a twin's idempotency key) after this, and sooner where a statement
/// has less time.
pub const LOCK_TIMEOUT: Duration = Duration::from_secs(2);

/// Postgres ends a session that sits inside a transaction for this long.
pub const IDLE_IN_TRANSACTION_TIMEOUT: Duration = Duration::from_secs(5);

/// So much longer than Postgres works on a statement the service waits for its answer; then it throws the connection away.
pub const ANSWER_MARGIN: Duration = Duration::from_secs(1);

/// Longest time for which a server may leave what was sent to it unconfirmed.
pub const UNCONFIRMED_WAIT: Duration = Duration::from_secs(8);

/// How long an idempotency key is remembered.
pub const IDEMPOTENCY_KEY_HOURS: i32 = 24;

/// After every so many entries of a firm, its expired idempotency keys are removed.
pub const FORGET_KEYS_EVERY: i64 = 256;

/// Entries read at once while a chain is verified: bounds memory (each holds a request and a response).
pub const VERIFY_BATCH: i64 = 32;

/// Months for which audit partitions are made ahead, the present one included.
pub const PARTITION_MONTHS: i32 = 13;
