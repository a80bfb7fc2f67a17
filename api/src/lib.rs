//! HTTP and the command line, and nothing else: what comes in is read, handed to the engine, kept by the store, and
//! answered. Nothing is computed here, and no SQL stands here.
//!
//! A request goes through [`middleware`] (name, span, time limit, panic), the extractors of its handler ([`caller`] first),
//! the [`engine_pool`] (off the listening threads), the store, and out. Whatever goes wrong is a [`problem::Problem`].

pub mod app;
pub mod auth;
pub mod body;
pub mod built_in;
pub mod caller;
pub mod capacity;
pub mod cli;
mod connection;
pub mod engine_pool;
mod fair_queue;
pub mod firms;
pub mod glossary;
pub mod idempotency;
pub mod in_hand;
pub mod limits;
pub mod middleware;
pub mod negotiation;
pub mod openapi;
pub mod outgoing;
mod places;
pub mod problem;
pub mod query;
pub mod rate_limits;
pub mod refusals;
pub mod request_id;
pub mod routes;
mod server;
pub mod settings;
pub mod state;
pub mod telemetry;

pub use server::{Running, start};
pub use settings::{Auth, LogFormat, Settings};
