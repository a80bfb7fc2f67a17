//! The addresses, one file a resource: what it takes and gives, then its handlers.

pub mod cable_routes;
pub mod cable_sizes;
pub mod circuit_checks;
pub mod demand;
pub mod drawings;
pub mod estimates;
pub mod health;
pub mod pages;
pub mod rate_sheet_differences;
pub mod rate_sheets;
pub mod replay;
pub mod survey_reviews;

mod calculation;
mod conditional;
