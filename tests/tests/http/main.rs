//! The service over HTTP, against a real Postgres.

mod bad_input;
mod connections;
mod contract;
mod drawings;
mod estimates;
mod firms;
mod given;
mod idempotency;
mod operations;
mod outages;
mod outgoing;
mod pages;
mod papers;
mod patience;
mod rate_sheets;
mod rate_sheets_written;
mod replay;
mod survey_reviews;
mod wiring;
