//! What was recorded on the walk round, as it came. Anything may be left out: an absent field is *unknown*, which
//! is answered later by a stated assumption, never by a silent default.
//!
//! In: a JSON document or a CSV tally. Out: an [`EstimateRequest`] whose every fault has been reported at once.
//! This module never fills a gap.

mod circuits;
mod house;
mod openings;
mod outbuildings;
mod read;
mod request;
pub mod rules;
mod supply;
pub mod tally;
mod tally_names;
pub mod vocabulary;
mod wanted;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

pub use crate::geometry::{Outline, Position, WallSide};
pub use circuits::*;
pub use house::*;
pub use openings::*;
pub use outbuildings::*;
pub use read::{SurveyContract, read};
pub use request::*;
pub use supply::*;
pub use vocabulary::*;
pub use wanted::*;

/// What was recorded of the house and of what is wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Survey {
    /// The firm's own reference.
    #[schema(max_length = 500, example = "J-1042")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    /// A remark that is kept with the survey. It changes no figure.
    #[schema(max_length = 500)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// What kind of job it is: what stays is not priced, only checked. Left out: at most eight points in at most two rooms,
    /// with no board, no old points to strip and no storey drawn, are an addition; anything else is a rewire.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scope: Option<Scope>,
    /// The house as a whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site: Option<SiteRecord>,
    /// The rooms with what is wanted in each. Only a board change may do without.
    #[schema(max_items = 2000)]
    #[serde(default)]
    pub rooms: Vec<Room>,
    /// What stands in the way of cables.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub obstructions: Vec<Obstruction>,
    /// Where the supply comes in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub intake: Option<Intake>,
    /// Where the board is to stand, and the one that is there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub consumer_unit: Option<ConsumerUnit>,
    /// Where data, television and telephone cables end; beside the board if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signal_hub: Option<SignalHub>,
    /// Gas, water, oil and steel that may need bonding. Left out: unknown. Empty: looked for and none there.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub services: Option<Vec<Service>>,
    /// Buildings fed from the house.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outbuildings: Vec<Outbuilding>,
    /// The incoming supply.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supply: Option<Supply>,
    /// The installation that is there now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub existing: Option<Existing>,
    /// What may come later.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub future: Vec<Future>,
    /// What the client prefers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub preferences: Option<Preferences>,
    /// Circuits that a designer has fixed, and those that are there now and stay: kept and checked, never replaced. The
    /// rest is designed round them.
    #[schema(max_items = 200)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub circuits: Vec<GivenCircuit>,
}

impl Survey {
    /// The level of a storey by its identifier: as listed, else as the usual word for it says.
    #[must_use]
    pub fn storey_level(&self, storey: &str) -> Option<i8> {
        let listed = self.site.iter().flat_map(|site| &site.storeys);
        let level = listed.into_iter().find(|listed| listed.id == storey).map(|listed| listed.level);
        level.or_else(|| rules::usual_level(storey))
    }
}
