//! What the end-to-end tests stand on: a database of its own for each test, and the service in front of it.
//!
//! The database is, in this order: the server that `TEST_DATABASE_URL` names; a container, where a Docker engine answers;
//! the embedded Postgres. `TEST_DATABASE=container` or `TEST_DATABASE=embedded` asks for one and takes no other. Which one it
//! was stands once in each test program's output, as `database: …`, because a test that passes on the embedded
//! Postgres says less about a server.

mod app;
mod container;
mod database;
mod folder;
mod owner;
mod server;

pub use app::{Answer, App};
pub use database::{Kind, TestDatabase, migrations, note};
pub use owner::Owner;
