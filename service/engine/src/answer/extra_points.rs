//! What one more of a kind of point costs, as it goes out.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::money::Money;
use crate::quantities::Hours;

/// One more point of a kind on this job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ExtraPoint {
    /// The kind.
    #[serde(rename = "type")]
    #[schema(example = "double-socket")]
    pub point_type: String,
    /// The room that it was priced in: the one with most of the kind.
    #[schema(example = "lounge")]
    pub room: String,
    /// Its net price: work, cable and material, overhead and profit with them; the visit is paid by the job, and contingency
    /// stands apart.
    pub price: Money,
    /// Person-hours of it.
    pub hours: Hours,
    /// Whether it is what those of the kind come to on average, as in a house that is drawn or large; else the job was priced
    /// again with one more.
    #[serde(default)]
    pub averaged: bool,
}
