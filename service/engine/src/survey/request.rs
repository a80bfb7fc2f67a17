//! How a survey is to be priced: the rate sheet, the method, the terms, the visit.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Survey;
use super::vocabulary::{Method, PointType, VatCase};

/// A survey and how to price it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EstimateRequest {
    /// What was recorded.
    pub survey: Survey,
    /// The rate sheet to price with; the newest version of `standard` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_sheet: Option<RateSheetReference>,
    /// `measured` if left out. The other method comes back in `cross_check`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub method: Option<Method>,
    /// Tax, confidence, and the visit that the job is done on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terms: Option<Terms>,
}

/// A rate sheet by name and version.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RateSheetReference {
    /// The sheet's name.
    #[schema(min_length = 1, max_length = 64, pattern = "^[a-z0-9][a-z0-9-]*$", example = "standard")]
    pub name: String,
    /// The version; the newest if left out.
    #[schema(minimum = 1, maximum = 1000000, example = 1)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub version: Option<u32>,
}

/// Tax, confidence, and the visit that a job is done on.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Terms {
    /// The tax case of the job; that of the rate sheet if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vat: Option<VatCase>,
    /// What falls under another case: jobs are mixed. The first that covers a line decides; lines of the whole house are
    /// shared out as the others.
    #[schema(max_items = 50)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub vat_exceptions: Vec<VatException>,
    /// How sure the price should be of covering the cost: 0.8 puts the contingency at the eightieth percentile. Left out:
    /// 0.8, and 0.9 while two or more `stop` flags are open.
    #[schema(minimum = 0.5, maximum = 0.99, example = 0.8)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub confidence: Option<f64>,
    /// The visit that this job is done on, where another job pays for getting there. Left out: the job pays its own way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub visit: Option<Visit>,
}

/// A visit that another job pays for. Travel, parking, setting up, the evenings and the way to the merchant's counter are
/// that job's for so many days; what this job takes beyond them it pays itself. The firm's minimum charge is that job's too.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Visit {
    /// The firm's reference of the job that pays for it.
    #[schema(min_length = 1, max_length = 500, example = "J-1041")]
    pub paid_by: String,
    /// Days of the crew that it pays for and that have room for this job; one if left out.
    #[schema(minimum = 0.5, maximum = 365, example = 1)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub days: Option<f64>,
    /// Rooms that it has cleared, protected and scanned: here every point is a further one.
    #[schema(max_items = 200, example = json!(["hall"]))]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rooms: Vec<String>,
}

impl Visit {
    /// Days of the crew that the other job pays for.
    #[must_use]
    pub fn days_paid(&self) -> f64 {
        self.days.unwrap_or(1.0)
    }

    /// Whether the other job has cleared, protected and scanned this room.
    #[must_use]
    pub fn has_begun(&self, room: &str) -> bool {
        self.rooms.iter().any(|begun| begun == room)
    }
}

/// What falls under a tax case of its own: a room, a kind of point, or one kind of point in one room.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VatException {
    /// The case.
    pub case: VatCase,
    /// The room or outbuilding.
    #[schema(min_length = 1, max_length = 64, example = "workshop")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// The kind of point, with the circuits that serve nothing else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub point: Option<PointType>,
}
