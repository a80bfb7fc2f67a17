//! The store against a real Postgres: firms stay apart, history stays as it was, and a request sent twice is done once.

mod audit_trail;
mod broken_chains;
mod firms_apart;
mod given;
mod idempotency;
mod keys;
mod outages;
mod rate_sheets;
mod starting;
