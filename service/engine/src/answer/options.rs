//! What could be done another way, as it goes out.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::words;
use crate::money::Money;
use crate::options::{FinishChange, JobOption};
use crate::quantities::Hours;
use crate::site::Site;
use crate::survey::Finish;

/// What could be done another way.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PricedOption {
    /// Which.
    #[schema(example = "clear-the-rooms")]
    pub id: Cow<'static, str>,
    /// What is done.
    pub what: String,
    /// Change of the net price: less than nothing saves.
    pub net_change: Money,
    /// Change of the hours.
    pub hours_change: Hours,
    /// What is lost or gained.
    pub effect: Cow<'static, str>,
}

/// The same points in another finish.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FinishAlternative {
    /// The room; absent for the whole house.
    pub room: Option<String>,
    /// The finish, for every accessory that has one.
    pub finish: Finish,
    /// Change of the net price, as long as the contingency stays; less than nothing saves.
    pub net_change: Money,
    /// Change of the hours.
    pub hours_change: Hours,
}

/// The options of a job.
pub(crate) fn options(options: &[JobOption], site: &Site) -> Vec<PricedOption> {
    let option = |option: &JobOption| PricedOption {
        id: Cow::Borrowed(option.kind.word()),
        what: words::options::what(option.kind, site),
        net_change: option.net_change,
        hours_change: option.hours_change,
        effect: Cow::Borrowed(words::options::effect(option.kind)),
    };
    options.iter().map(option).collect()
}

/// The same points in every other finish.
pub(crate) fn finishes(changes: &[FinishChange], site: &Site) -> Vec<FinishAlternative> {
    let alternative = |change: &FinishChange| FinishAlternative {
        room: change.room.map(|room| site.rooms[room].id.clone()),
        finish: change.finish,
        net_change: change.net_change,
        hours_change: change.hours_change,
    };
    changes.iter().map(alternative).collect()
}
