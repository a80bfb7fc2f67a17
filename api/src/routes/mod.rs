//! The addresses, one file a resource: what it takes and gives, then its handlers.

pub mod estimates;
pub mod health;
pub mod pages;
pub mod rate_sheets;

mod conditional;
