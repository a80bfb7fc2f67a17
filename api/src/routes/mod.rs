//! The addresses, one file a resource: what it takes and gives, then its handlers. [`RESOURCES`] is the list of them.

pub mod cable_routes;
pub mod cable_sizes;
pub mod circuit_checks;
pub mod demand;
pub mod drawings;
pub mod estimates;
pub mod firm;
pub mod health;
pub mod kept_estimates;
pub mod pages;
pub mod quotation;
pub mod rate_sheet_differences;
pub mod rate_sheets;
pub mod replay;
pub mod resource;
pub mod survey_reviews;

mod calculation;
mod conditional;
mod sheet_choice;

use resource::Resource;

/// Every resource, in the order of the published document.
pub const RESOURCES: [Resource; 14] = [
    estimates::RESOURCE,
    survey_reviews::RESOURCE,
    drawings::RESOURCE,
    quotation::RESOURCE,
    firm::RESOURCE,
    replay::RESOURCE,
    rate_sheets::RESOURCE,
    rate_sheet_differences::RESOURCE,
    circuit_checks::RESOURCE,
    cable_sizes::RESOURCE,
    cable_routes::RESOURCE,
    demand::RESOURCE,
    health::RESOURCE,
    pages::RESOURCE,
];
