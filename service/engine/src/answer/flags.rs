//! The risk flags as they go out.

use std::borrow::Cow;

use serde::{Deserialize, Deserializer, Serialize};
use utoipa::ToSchema;

use super::words;
use crate::flags::{FlagRules, RaisedFlag};
pub use crate::flags::{RiskKind, Severity};
use crate::money::Money;
use crate::take_off::Job;

/// What could hurt somebody, cost money or delay the job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RiskFlag {
    /// What kind of risk it is.
    #[schema(example = "bond-far-side")]
    pub id: Cow<'static, str>,
    /// How bad.
    pub severity: Severity,
    /// What is at stake.
    pub kind: RiskKind,
    /// The rooms, circuits or services; `house` for the whole. Estimates kept long ago have one text, which reads as a
    /// list of one.
    #[serde(rename = "where", deserialize_with = "one_or_many")]
    pub places: Vec<String>,
    /// What was seen.
    pub what: String,
    /// What to do.
    pub action: Cow<'static, str>,
    /// The document or habit behind it.
    pub basis: Cow<'static, str>,
    /// The money at stake, where it can be worked out.
    pub at_stake: Option<Money>,
}

/// A list of texts, or one text.
fn one_or_many<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<String>, D::Error> {
    #[derive(Deserialize)]
    #[serde(untagged)]
    enum OneOrMany {
        One(String),
        Many(Vec<String>),
    }
    Ok(match OneOrMany::deserialize(deserializer)? {
        OneOrMany::One(place) => vec![place],
        OneOrMany::Many(places) => places,
    })
}

/// The flags in words, by severity, then money, then name.
pub(crate) fn risk_flags(raised: &[RaisedFlag], rules: &FlagRules, job: Job<'_>) -> Vec<RiskFlag> {
    let flag = |flag: &RaisedFlag| {
        let rule = rules.of(flag.id);
        RiskFlag {
            id: Cow::Borrowed(flag.id.word()),
            severity: flag.severity,
            kind: rule.kind,
            places: words::places::of_flag(job, &flag.places),
            what: words::flags::what(job, flag),
            action: Cow::Owned(rule.action.clone()),
            basis: Cow::Owned(rule.basis.clone()),
            at_stake: flag.at_stake,
        }
    };
    let mut flags: Vec<RiskFlag> = raised.iter().map(flag).collect();
    flags.sort_by(|a, b| {
        a.severity
            .cmp(&b.severity)
            .then(b.at_stake.cmp(&a.at_stake))
            .then(a.id.cmp(&b.id))
            .then_with(|| a.places.cmp(&b.places))
    });
    flags
}
